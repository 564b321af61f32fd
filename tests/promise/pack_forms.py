"""What somebody might do to a record pack: to the zip, to the unpacked folder, and to what is in it."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from gwlog.journal import check_seal
from gwlog.journal.pack import manifest_bytes
from tests.promise.export_forms import beyond, respelled, unknown_kind, without_note
from tests.promise.logbook_forms import more_water, written_after
from tests.promise.material import NOW, Line, Members, body, loads, manifest_of, members_in, parsed, put, signed, text
from tests.promise.material import repacked as as_gwlog
from tests.promise.tampered import Bench, Given, form

ENTRIES, LETTER = "entries.jsonl", "letter.html"


def of_pack(name: str, change: Callable[[bytes], bytes]) -> None:
    """A form in which the bytes of the zip are changed."""
    @form(f"pack.{name}")
    def tampered(bench: Bench) -> Given:
        given = bench.material.pack().read_bytes()
        changed = change(given)
        assert changed != given
        return Given(bench.write(changed))


def zipped_by(members: Members, change: Callable[[zipfile.ZipInfo], None] = lambda _: None, *, zip64: bool = False,
              order: Callable[[list[str]], list[str]] = sorted, between: bytes = b"", comment: bytes = b"") -> bytes:
    """A zip as the standard library makes it, the same as gwlog's own but for what is changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        archive.comment = comment
        for name in order(list(members)):
            info = zipfile.ZipInfo(name)
            info.compress_type, info.create_system, info.external_attr = zipfile.ZIP_DEFLATED, 3, 0o100600 << 16
            change(info)
            with archive.open(info, "w", force_zip64=zip64) as file:
                file.write(members[name])
            if between and archive.fp is not None:
                archive.fp.seek(archive.start_dir)
                archive.fp.write(between)
                archive.start_dir = archive.fp.tell()
    return out.getvalue()


def by_zip(name: str, change: Callable[[zipfile.ZipInfo], None] = lambda _: None, **more: Any) -> None:
    """A form in which the same files are packed in another way."""
    @form(f"pack.{name}")
    def tampered(bench: Bench) -> Given:
        members = members_in(bench.material.pack())
        assert zipped_by(members) == bench.material.pack().read_bytes()
        changed = zipped_by(members, change, **more)
        assert changed != bench.material.pack().read_bytes()
        return Given(bench.write(changed))


def set_to(**values: Any) -> Callable[[zipfile.ZipInfo], None]:
    """Change what is written of the letter."""
    def change(info: zipfile.ZipInfo) -> None:
        if info.filename == LETTER:
            for key, value in values.items():
                setattr(info, key, value)

    return change


of_pack("bytes-before", lambda content: b"MZ" + content)
of_pack("bytes-after", lambda content: content + b"\0")
of_pack("cut-off", lambda content: content[:-30])
by_zip("bytes-between", between=b"hidden")
by_zip("comment", comment=b"all is well")
by_zip("member-comment", set_to(comment=b"all is well"))
by_zip("extra-field", set_to(extra=b"\x99\x99\x04\0more"))
by_zip("stored", set_to(compress_type=zipfile.ZIP_STORED))
by_zip("date-changed", set_to(date_time=(2026, 7, 1, 0, 0, 0)))
by_zip("zip64", zip64=True)
by_zip("reordered", order=lambda names: sorted(names, reverse=True))
by_zip("doubled-name", order=lambda names: sorted([*names, LETTER]))
by_zip("packed-anew", lambda info: setattr(info, "create_system", 0))


def at_header(name: str, local: int, listed: int, value: bytes) -> None:
    """A form in which bytes of the letter's headers are overwritten: in front of it, in the directory."""
    def change(content: bytes) -> bytes:
        made = bytearray(content)
        front, entry = content.index(LETTER.encode()) - 30, content.rindex(LETTER.encode()) - 46
        for place in (front + local if local else 0, entry + listed if listed else 0):
            if place:
                made[place:place + len(value)] = value
        return bytes(made)

    of_pack(name, change)


at_header("local-header", 30, 0, b"better.html")
at_header("encrypted", 6, 8, b"\1\0")
at_header("size-lies", 22, 24, b"\x10\0\0\0")
at_header("crc-wrong", 14, 16, b"\1\2\3\4")


@form("pack.byte-flipped")
def byte_flipped(bench: Bench) -> Given:
    content = bytearray(bench.material.pack().read_bytes())
    content[content.index(ENTRIES.encode()) + 200] ^= 4
    return Given(bench.write(bytes(content)))


@form("pack.bytes-behind-content")
def behind_content(bench: Bench) -> Given:
    members, out, directory = members_in(bench.material.pack()), b"", b""
    for name in sorted(members):
        packed = zipped_by({name: members[name]})
        crc, size, long = (int.from_bytes(packed[place:place + 4], "little") for place in (14, 18, 22))
        content = packed[30 + len(name):30 + len(name) + size] + (b"hidden" if name == LETTER else b"")
        place = len(out)
        out += check_seal.header(name, len(content), long, crc, None) + content
        directory += check_seal.header(name, len(content), long, crc, place)
    return Given(bench.write(out + directory + check_seal.closing(len(members), len(directory), len(out))))


def of_files(name: str, change: Callable[[Members], Members]) -> None:
    """A form in which the files are others, and the manifest is as it was."""
    @form(f"pack.{name}")
    def tampered(bench: Bench) -> Given:
        return Given(bench.write(as_gwlog(change(members_in(bench.material.pack())))))


def better(members: Members) -> bytes:
    """The letter with a word changed."""
    changed = members[LETTER].replace(b"</body>", b"<p>All is well.</p></body>")
    assert changed != members[LETTER]
    return changed


of_files("foreign-file", lambda members: {**members, "words.txt": b"all is well"})
of_files("other-case", lambda members: {**members, "Letter.html": b"all is well"})
of_files("path-name", lambda members: {**members, "../letter.html": b"all is well"})
of_files("folder-inside", lambda members: {**members, "more/": b""})
of_files("file-missing", lambda members: {name: data for name, data in members.items() if name != LETTER})
of_files("files-swapped", lambda members: {**members, LETTER: members["README.txt"], "README.txt": members[LETTER]})
of_files("letter-changed", lambda members: {**members, LETTER: better(members)})
of_files("program-changed", lambda members: {**members, "check_seal.py": members["check_seal.py"] + b"\n"})
of_files("bomb", lambda members: {**members, ENTRIES: b"\n" * 100_000_001})


@form("pack.link-inside")
def link_inside(bench: Bench) -> Given:
    members = {**members_in(bench.material.pack()), LETTER: b"/etc/hostname"}
    return Given(bench.write(zipped_by(members, set_to(external_attr=0o120777 << 16))))


def of_folder(name: str, change: Callable[[Path], object]) -> None:
    """A form in which the unpacked folder is changed."""
    @form(f"pack.{name}")
    def tampered(bench: Bench) -> Given:
        with zipfile.ZipFile(bench.material.pack()) as archive:
            archive.extractall(bench.folder / "unpacked")
        assert check_seal.examine(bench.folder / "unpacked", []).holds
        change(bench.folder / "unpacked")
        return Given(bench.folder / "unpacked")


def _linked(folder: Path) -> None:
    (folder / LETTER).rename(folder.parent / LETTER)
    (folder / LETTER).symlink_to(folder.parent / LETTER)


of_folder("folder-unlisted", lambda folder: (folder / "words.txt").write_text("all is well"))
of_folder("folder-link", _linked)
of_folder("folder-nested", lambda folder: (folder / "more").mkdir())
of_folder("folder-missing", lambda folder: (folder / LETTER).unlink())
of_folder("folder-changed", lambda folder: (folder / LETTER).write_bytes((folder / LETTER).read_bytes() + b" "))


def forged(name: str, change: Callable[[Bench, Members], Members], *, of: str = "everything", says: str = "",
           by_number: bool = False) -> None:
    """A form in which files are changed, and the manifest with them; what it tells of the entries too."""
    @form(f"pack.{name}")
    def tampered(bench: Bench) -> Given:
        members = members_in(bench.material.pack(of))
        changed = change(bench, members)
        assert changed != members
        return Given(bench.write(as_gwlog(changed)), says=says,
                     number=bench.material.number if by_number else None)


def with_file(name: str, content: Callable[[Bench, Members], bytes]) -> Callable[[Bench, Members], Members]:
    """Another content for one file."""
    return lambda bench, members: signed({**members, name: content(bench, members)})


PROGRAM = b"print('The pack holds.')\n"


def _older_program(bench: Bench, _: Members) -> bytes:
    from gwlog.journal import pack

    bench.patch.setattr(pack, "EDITIONS", (check_seal.sha256(PROGRAM),))
    return PROGRAM


forged("letter-swapped", with_file(LETTER, lambda _, members: better(members)))
forged("letter-of-another", with_file(
    LETTER, lambda bench, _: members_in(bench.material.pack(logbook="made_up"))[LETTER]))
forged("readme-swapped", with_file("README.txt", lambda _, members: members["README.txt"] + b"All is well.\n"))
forged("program-swapped", with_file("check_seal.py", lambda *_: PROGRAM))
forged("program-older", with_file("check_seal.py", _older_program))
forged("numbers-changed", with_file("noted.txt", lambda _, members: members["noted.txt"].replace(b":", b":00")))
forged("numbers-removed", with_file("noted.txt", lambda *_: b"# none\n"))
forged("landlord-letter", with_file(LETTER, lambda _, members: better(members)), of="landlord",
       says="the letter cannot be made again", by_number=True)
forged("landlord-annex", with_file("annex.html", lambda *_: b"<p>All is well.</p>"), of="landlord")


def told(name: str, *, of: str = "everything", says: str = "", by_number: bool = False, **changed: Any) -> None:
    """A form in which the manifest tells something else, with a digest that fits."""
    def change(_: Bench, members: Members) -> Members:
        manifest = manifest_of(members)
        new = {key: value(manifest[key]) if callable(value) else value for key, value in changed.items()}
        return {**members, "manifest.json": manifest_bytes(manifest | new)}

    forged(name, change, of=of, says=says, by_number=by_number)


told("manifest-number", seal_number="3:" + "0" * 64)
told("manifest-counts", counts=lambda counts: {**counts, "wash_load": 99})
told("manifest-period", period=lambda days: [days[0], "2026-12-31"])
told("manifest-withheld", notes_withheld=5)
told("manifest-entries", entries=99)
told("manifest-home", home="0" * 64)
told("manifest-site", site="Heron House")
told("manifest-landlord", reader="landlord")
told("manifest-reader", reader="inspector")
told("manifest-summary", summary=lambda figures: {**figures, "exceptions_open": 0, "upkeep_overdue": 0,
                                                  "had_to_go_to_sewer": figures["had_to_go_to_sewer"] + 1})
told("manifest-made", made="2026-07-20T18:00:00Z")
told("manifest-more", praise="all is well")
told("manifest-file-more", files=lambda files: {**files, "witness/3.sig": "0" * 64})
told("landlord-summary", of="landlord", by_number=True,
     summary=lambda figures: {**figures, "upkeep_overdue": 0, "had_to_go_to_sewer": 99, "went_to_sewer": 99})


@form("pack.manifest-changed")
def manifest_changed(bench: Bench) -> Given:
    members = members_in(bench.material.pack())
    changed = members["manifest.json"].replace(b'"upkeep_overdue": ', b'"upkeep_overdue": 1')
    return Given(bench.write(as_gwlog({**members, "manifest.json": changed})))


@form("pack.manifest-key-twice")
def key_twice(bench: Bench) -> Given:
    members = members_in(bench.material.pack())
    changed = members["manifest.json"].replace(b"{", b'{\n "made": "2026-07-20T18:00:00Z",', 1)
    return Given(bench.write(as_gwlog({**members, "manifest.json": changed})))


@form("pack.manifest-version")
def manifest_version(bench: Bench) -> Given:
    members = members_in(bench.material.pack())
    return Given(bench.write(as_gwlog(signed({**members, LETTER: better(members)}, gwlog="0.0.9"))),
                 says="gwlog 0.0.9 made them")


@form("pack.manifest-form")
def manifest_form(bench: Bench) -> Given:
    members = members_in(bench.material.pack())
    members["report.html"] = better({LETTER: members.pop(LETTER)})
    members.pop("annex.html")
    manifest = manifest_of(signed(members, form="gwlog-pack-2"))
    keys = check_seal.FORMS["gwlog-pack-2"].manifest
    members["manifest.json"] = manifest_bytes({key: value for key, value in manifest.items() if key in keys})
    return Given(bench.write(as_gwlog(members)), says="of an older form")


def relined(members: Members, lines: list[Line]) -> Members:
    """The pack of these entries, with a manifest and seal numbers that fit."""
    entries = text(lines)
    number = f"{len(lines)}:{lines[-1]['hash']}"
    bodies = [body(line) for line in lines if "body" in line]
    counts: dict[str, int] = {}
    for kind in (said["kind"] for said in bodies if "kind" in said):
        counts[kind] = counts.get(kind, 0) + 1
    return signed(
        {**members, ENTRIES: entries, "noted.txt": f"2026-07-14 {number} last entry recorded in that month\n".encode()},
        seal_number=number, entries=len(lines), home=lines[0]["hash"], counts=counts,
        notes_withheld=sum("note" not in line and body(line)["note_sha256"] is not None
                           for line in lines if "body" in line))


def of_lines(name: str, change: Callable[[list[Line]], object], *, of: str = "everything", says: str = "",
             by_number: bool = False) -> None:
    """A form in which the entries' lines are changed, and the manifest with them."""
    def changed(_: Bench, members: Members) -> Members:
        lines = parsed(members[ENTRIES])
        change(lines)
        return relined(members, lines)

    forged(name, changed, of=of, says=says, by_number=by_number)


def _swap(lines: list[Line]) -> None:
    one, other = loads(lines)[2:4]
    lines[one], lines[other] = lines[other], lines[one]


def _noted(lines: list[Line]) -> Line:
    return lines[loads(lines, noted=True)[0]]


def _replay(lines: list[Line]) -> None:
    lines[loads(lines)[4]] = dict(lines[loads(lines)[2]])


def _one_hash(lines: list[Line]) -> None:
    from gwlog.journal import chain

    place = loads(lines)[2]
    more_water(lines)
    lines[place]["hash"] = chain.link(lines[place - 1]["hash"], lines[place]["body"])


of_lines("entry-changed", more_water)
of_lines("entry-deleted", lambda lines: lines.pop(loads(lines)[2]))
of_lines("entry-added", lambda lines: lines.insert(loads(lines)[2], dict(lines[loads(lines)[3]])))
of_lines("entries-swapped", _swap)
of_lines("entry-replayed", _replay)
of_lines("one-hash-anew", _one_hash)
of_lines("note-changed", lambda lines: _noted(lines).update(note="all was well"))
of_lines("note-added", lambda lines: lines[loads(lines)[-1]].update(note="all was well", salt="00" * 16))
of_lines("note-removed", lambda lines: without_note(_noted(lines)), says="left out: 1")
of_lines("salt-changed", lambda lines: _noted(lines).update(salt="00" * 16))
def _part(lines: list[Line]) -> None:
    when = lines[loads(lines)[2]]["parts"]["when"]
    when["text"] = when["text"].replace("2026-06", "2026-05")


def _parts(lines: list[Line]) -> None:
    one, other = (lines[place] for place in loads(lines)[2:4])
    one["parts"], other["parts"] = other["parts"], one["parts"]


def _nameless(lines: list[Line]) -> None:
    for line in lines:
        line["parts"].pop("who", None)


def _hashes(lines: list[Line]) -> None:
    lines[:12] = [{"hash": line["hash"], "seq": line["seq"]} for line in lines[:12]]


of_lines("part-changed", _part)
of_lines("parts-of-another", _parts)
of_lines("names-removed", _nameless, says="left out: ")
of_lines("landlord-hashes", _hashes, of="landlord", says="only the hashes")
of_lines("line-more", lambda lines: _noted(lines).update(more="x"))
of_lines("line-respelled", respelled)
of_lines("kind-unknown", unknown_kind)
of_lines("value-beyond", beyond)
of_lines("landlord-entry", lambda lines: put(lines[-1], went_to="garden"), of="landlord")
forged("line-key-twice", with_file(
    ENTRIES, lambda _, members: members[ENTRIES].replace(b'{"body"', b'{"seq":1,"body"', 1)))
forged("line-cut", with_file(ENTRIES, lambda _, members: members[ENTRIES][:-40]))
forged("line-ends", with_file(ENTRIES, lambda _, members: members[ENTRIES].replace(b"\n", b"\r\n")))


@form("pack.two-numbers")
def two_numbers(bench: Bench) -> Given:
    return Given(bench.material.pack(), noted=("3:" + "0" * 64, bench.material.number))


def of_another(name: str, logbook: str) -> None:
    """A form in which gwlog itself packs another logbook."""
    @form(f"pack.{name}")
    def tampered(bench: Bench) -> Given:
        return Given(bench.material.pack(logbook=logbook), number=bench.material.number)


of_another("tail-cut", "older")
of_another("older-state", "older")
of_another("rewritten", "made_up")
of_another("another-home", "made_up")


@form("pack.added-by-rule")
def added_by_rule(bench: Bench) -> Given:
    from gwlog.documents.pack import packed
    from gwlog.household import look

    return Given(bench.write(packed(look(written_after(bench), NOW), reader="everything").content),
                 number=bench.material.number)
