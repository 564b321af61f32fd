"""What somebody might do to an export."""

from __future__ import annotations

import json
from collections.abc import Callable
from hashlib import sha256
from typing import Any

from gwlog.journal import chain
from tests.promise.logbook_forms import more_water, moved
from tests.promise.material import Line, body, hashed, loads, parsed, put, text
from tests.promise.tampered import Bench, Given, form


def closed(lines: list[Line], bench: Bench, **changed: Any) -> bytes:
    """The lines as an export has them, with the closing line made anew."""
    content = text(lines)
    said = {
        **closing(bench), "sha256": sha256(content).hexdigest(), "entries": len(lines), "home": lines[0]["hash"],
        "seal_number": f"{len(lines)}:{lines[-1]['hash']}", "notes_withheld": sum(
            body(line)["note_sha256"] is not None and "note" not in line for line in lines), **changed}
    return content + f"{chain.canonical(said)}\n".encode()


def closing(bench: Bench) -> dict[str, Any]:
    """The closing line of the export as it was given."""
    return dict(json.loads(bench.material.export.decode().split("\n")[-2]))


def lines_form(name: str, change: Callable[[list[Line]], object], *, says: str = "", by_number: bool = False) -> None:
    """A form in which the lines are changed and the closing line is made anew."""
    @form(f"export.{name}")
    def tampered(bench: Bench) -> Given:
        lines = parsed(bench.material.entries)
        change(lines)
        return Given(bench.write(closed(lines, bench), "given.jsonl"),
                     number=bench.material.number if by_number else None, says=says)


def bytes_form(name: str, change: Callable[[bytes], bytes], *, says: str = "") -> None:
    """A form in which the bytes are changed."""
    @form(f"export.{name}")
    def tampered(bench: Bench) -> Given:
        changed = change(bench.material.export)
        assert changed != bench.material.export
        return Given(bench.write(changed, "given.jsonl"), says=says)


def noted(lines: list[Line]) -> Line:
    return lines[loads(lines, noted=True)[0]]


def _swap(lines: list[Line]) -> None:
    one, other = loads(lines)[2:4]
    lines[one], lines[other] = lines[other], lines[one]


def without_note(line: Line) -> None:
    """A note taken out, as a withheld one is."""
    del line["note"], line["salt"]


def unknown_kind(lines: list[Line]) -> None:
    """An entry of a kind that there is not, sealed by the rule."""
    put(lines[loads(lines)[2]], kind="wish")
    hashed(lines)


def beyond(lines: list[Line]) -> None:
    """A load of more water than any, sealed by the rule."""
    put(lines[loads(lines)[2]], volume_ml=2_000_001)
    hashed(lines)


def respelled(lines: list[Line]) -> None:
    """What was sealed in another spelling, sealed by the rule."""
    line = lines[loads(lines)[2]]
    line["body"] = line["body"].replace(",", ", ")
    previous = chain.START
    for each in lines:
        previous = each["hash"] = chain.link(previous, each["body"])


def _no_moment(lines: list[Line]) -> None:
    moved(lines, loads(lines)[2], happened_at="2026-06-31T18:00:00Z")


lines_form("entry-deleted", lambda lines: lines.pop(loads(lines)[2]))
lines_form("entry-added", lambda lines: lines.insert(loads(lines)[2], dict(lines[loads(lines)[3]])))
lines_form("entries-swapped", _swap)
lines_form("note-changed", lambda lines: noted(lines).update(note="all was well"))
lines_form("note-added", lambda lines: lines[loads(lines)[-1]].update(note="all was well", salt="00" * 16))
lines_form("note-removed", lambda lines: without_note(noted(lines)), says="left out: 1")
lines_form("salt-changed", lambda lines: noted(lines).update(salt="00" * 16))
lines_form("line-more", lambda lines: noted(lines).update(more="x"))
lines_form("kind-unknown", unknown_kind)
lines_form("respelled", respelled)
lines_form("out-of-range", _no_moment)
lines_form("rewritten", lambda lines: hashed(more_water(lines)), by_number=True)


def _cut(lines: list[Line]) -> None:
    del lines[-6:]


lines_form("tail-cut", _cut, by_number=True)

bytes_form("entry-changed", lambda content: content.replace(b'\\"went_to\\":\\"sewer', b'\\"went_to\\":\\"garden', 1))
bytes_form("line-empty", lambda content: content.replace(b"\n", b"\n\n", 1))
bytes_form("line-ends", lambda content: content.replace(b"\n", b"\r\n"))
bytes_form("byte-order-mark", lambda content: b"\xef\xbb\xbf" + content)
bytes_form("cut-in-line", lambda content: content[:-40])
bytes_form("closing-twice", lambda content: content + content.split(b"\n")[-2] + b"\n")
bytes_form("closing-removed", lambda content: b"\n".join(content.split(b"\n")[:-2]) + b"\n", says="no closing line")


@form("export.cut-with-closing")
def cut_with_closing(bench: Bench) -> Given:
    lines = bench.material.export.split(b"\n")
    return Given(bench.write(b"\n".join([*lines[:-5], *lines[-2:]]), "given.jsonl"))


@form("export.closing-changed")
def closing_changed(bench: Bench) -> Given:
    lines = parsed(bench.material.entries)
    return Given(bench.write(closed(lines, bench, seal_number=f"{len(lines)}:{'0' * 64}"), "given.jsonl"))


@form("export.closing-withheld")
def closing_withheld(bench: Bench) -> Given:
    lines = parsed(bench.material.entries)
    without_note(noted(lines))
    return Given(bench.write(closed(lines, bench, notes_withheld=0), "given.jsonl"))


@form("export.line-key-twice")
def key_twice(bench: Bench) -> Given:
    lines = parsed(bench.material.entries)
    content = text(lines).replace(b'{"body"', b'{"seq":1,"body"', 1)
    said = closing(bench) | {"sha256": sha256(content).hexdigest()}
    return Given(bench.write(content + f"{chain.canonical(said)}\n".encode(), "given.jsonl"))
