"""A small household's logbook and everything that is given of it to others, made once, tampered with in copies."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from gwlog.documents.handover import handover
from gwlog.documents.pack import packed
from gwlog.household import look
from gwlog.journal import chain, check_seal, exchange, export_file, pack, reader
from gwlog.journal.facts import WashLoad
from gwlog.journal.zipped import zipped
from tests.conftest import SITE, Shelf

NOW = datetime(2026, 7, 14, 18, 0, tzinfo=UTC)
Line = dict[str, Any]
Members = dict[str, bytes]
NOTE = "the hose had slipped off"


def live(path: Path, days: tuple[int, ...], shelf: Shelf) -> None:
    """Set the small household up, and let it log on these days of June."""
    from gwlog.cli.main import run

    site = shelf.folder / f"{path.name}.toml"
    site.write_text(SITE, encoding="utf-8")

    def there(moment: datetime, *words: str) -> None:
        patch.setattr("gwlog.clock.now", lambda: moment)
        assert run(["--logbook", str(path), *words]) in (0, 3), words

    with pytest.MonkeyPatch.context() as patch:
        there(datetime(2026, 6, 1, 16, 0, tzinfo=UTC), "begin", str(site))
        for number, day in enumerate(days):
            at = datetime(2026, 6, day, 18, 0, tzinfo=UTC)
            note = ("--note", f"{NOTE}, {number}") if number % 2 else ()
            there(at, "load", "towels", "--to", "garden", "--by", "Ines", *note)
            there(at + timedelta(hours=2), "load", "whites", "--to", "sewer")
        last, *_, first = [fact.id for fact in reversed(reader.read(path)) if isinstance(fact, WashLoad)]
        there(datetime(2026, 6, 28, 18, 0, tzinfo=UTC), "correct", str(first), "--volume", "20gal", "--note", "anew")
        there(datetime(2026, 6, 28, 19, 0, tzinfo=UTC), "withdraw", str(last), "--note", "it never ran")
        there(datetime(2026, 7, 1, 18, 0, tzinfo=UTC), "observe", "ponding", "fig", "--note", "near the path")
        there(datetime(2026, 7, 2, 18, 0, tzinfo=UTC), "mulch", "Fig", "--measured", "3in")
        there(datetime(2026, 7, 2, 19, 0, tzinfo=UTC), "load", "diapers", "--to", "sewer")


def parsed(content: bytes) -> list[Line]:
    """The lines of an export."""
    return [json.loads(line) for line in content.decode().split("\n")[:-1]]


def body(line: Line) -> dict[str, Any]:
    """What was sealed of a line: its body, and what happened as far as it is shown."""
    what = line.get("parts", {}).get("what")
    return {**json.loads(line["body"]), **({} if what is None else json.loads(what["text"]))}


def put(line: Line, **changed: Any) -> None:
    """Change what was sealed of a line, by somebody who knows the rule; its hash is left."""
    sealed, what = json.loads(line["body"]), line.get("parts", {}).get("what")
    if what is not None:
        columns = json.loads(what["text"])
        what["text"] = chain.canonical(columns | {name: changed.pop(name) for name in columns if name in changed})
        sealed["parts_sha256"]["what"] = chain.digest_of_part(what["text"], what["salt"])
    line["body"] = chain.canonical(sealed | changed)


def hashed(lines: list[Line]) -> list[Line]:
    """Number and hash everything anew, as somebody does who knows the rule."""
    previous = chain.START
    for number, line in enumerate(lines, start=1):
        if body(line)["id"] != number:
            put(line, id=number)
        line["seq"] = number
        previous = line["hash"] = chain.link(previous, line["body"])
    return lines


def text(lines: list[Line]) -> bytes:
    """The lines as an export has them."""
    return "".join(f"{chain.canonical(line)}\n" for line in lines).encode()


def loads(lines: list[Line], *, noted: bool = False) -> list[int]:
    """The places of the loads in the lines; of those with a note alone."""
    return [place for place, line in enumerate(lines)
            if body(line).get("kind") == "wash_load" and (not noted or "note" in line)]


def manifest_of(members: Members) -> dict[str, Any]:
    """A pack's or a handover's manifest."""
    return dict(json.loads(members["manifest.json"]))


def signed(members: Members, **changed: Any) -> Members:
    """The files with a manifest made anew by a forger: digests of all, and whatever is changed."""
    manifest = manifest_of(members)
    manifest["files"] = {name: sha256(data).hexdigest() for name, data in members.items() if name != "manifest.json"}
    return {**members, "manifest.json": pack.manifest_bytes(manifest | changed)}


@dataclass
class Material:
    """The files, each as it was given."""

    shelf: Shelf

    def made(self, name: str, make: Callable[[Path], object]) -> Path:
        """A file of the shelf, made when it is first asked for."""
        return self.shelf.file(f"promise-{name}", make)

    @cached_property
    def logbook(self) -> Path:
        return self.made("true.db", lambda path: live(path, (2, 4, 6, 9, 11, 16), self.shelf))

    @cached_property
    def made_up(self) -> Path:
        """The same household with other months, sealed whole by the rule."""
        return self.made("made-up.db", lambda path: live(path, (3, 5, 8, 10, 12, 15), self.shelf))

    @cached_property
    def older(self) -> Path:
        """The logbook as it was some entries ago."""
        return self.made("older.db", lambda path: exchange.import_into(path, text(parsed(self.entries)[:-4])))

    @cached_property
    def entries(self) -> bytes:
        return exchange.export(self.logbook)

    @cached_property
    def number(self) -> str:
        """The logbook's seal number, as a witness noted it."""
        return ":".join(map(str, reader.last_seal(self.logbook)[:2]))

    def pack(self, reader_of: str = "everything", logbook: str = "logbook") -> Path:
        """The pack for a reader, of one of the logbooks."""
        return self.made(f"{logbook}-{reader_of}.zip", lambda path: path.write_bytes(
            packed(look(getattr(self, logbook), NOW), reader=reader_of).content))

    def handover(self, logbook: str = "logbook") -> Path:
        """The handover of one of the logbooks."""
        return self.made(f"{logbook}-handover.zip",
                         lambda path: path.write_bytes(handover(getattr(self, logbook), NOW)[0]))

    @cached_property
    def handed_number(self) -> str:
        """The seal number of the logbook as it was handed on."""
        return str(manifest_of(members_in(self.handover()))["seal_number"])

    @cached_property
    def export(self) -> bytes:
        return b"".join(export_file.lines(self.logbook))


def members_in(path: Path) -> Members:
    """Name -> content of the files in a zip."""
    with check_seal.opened(path) as files:
        return {name: files.whole(name) for name in files.sizes}


def repacked(members: Members) -> bytes:
    """A zip of these files, as gwlog makes it."""
    return zipped(members)
