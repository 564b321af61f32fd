"""Checks a gwlog record pack with Python's standard library alone (3.8 or later); read it before you trust it.

python3 -I check_seal.py [PACK.zip, or its unpacked folder] [--noted 412:9f3a6c0b12d4e877]    exit code 0 or 4
"""

from __future__ import annotations

import hashlib
import json
import re
import sys
import zipfile
from pathlib import Path
from typing import Any, NamedTuple

# The rule: hash(n) = SHA-256 of "gwlog-seal-1", hash(n-1) and the entry's body, joined by line feeds, in UTF-8.
# hash(0) is 64 zeros. A note is in the body only as SHA-256 of "gwlog-note-1", its salt and its words. So are, of newer
# entries, the parts "what", "when", "who", "private": as SHA-256 of "gwlog-part-1", a salt and the text. Of older
# entries, whose bodies show everything, a copy may hold the hashes alone.
START = "0" * 64
LARGEST = 100000000    # bytes unpacked; counted while reading, since what an archive says of itself may be false
FORM = "gwlog-pack-2"
# The form of a pack -> its file of seal numbers, and what its manifest calls its own: the first form had other names.
FORMS = {FORM: ("noted.txt", "seal_number"), "gwlog-pack-1": ("anchors.txt", "head")}
DAMAGED = (ValueError, KeyError, TypeError, AttributeError, RecursionError)
NOT_CHECKED = (
    "whether what the entries say is true, or whether everything that happened was written down",
    "whether the end was cut off, an older state was packed, or everything from some entry on was rewritten: that "
    "shows only if you compare with a seal number noted earlier (--noted), at or after the place",
    "an entry added at the end by somebody who knows the rule, and the clock of the machine that wrote",
    "the words of notes and parts that were left out, and whether the report says what the entries say",
    "the logbook file itself, its rows and its triggers (gwlog verify LOGBOOK does that)",
)


class Level(NamedTuple):
    """One thing that was checked, whether it holds, and what was found."""

    name: str
    holds: bool
    detail: str


class Result(NamedTuple):
    """What was found in a pack; `first_broken` names the first entry that does not hold."""

    levels: list[Level]
    entries: int
    seal_number: str
    first_broken: str | None

    @property
    def holds(self) -> bool:
        """Whether every level holds."""
        return all(level.holds for level in self.levels)


def sha256(data: bytes) -> str:
    """The SHA-256 digest as 64 hex digits."""
    return hashlib.sha256(data).hexdigest()


def pairs(found: list[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object in which no key occurs twice: two readers could take different ones."""
    made = dict(found)
    if len(made) != len(found):
        raise ValueError("a key occurs twice")
    return made


decode = json.JSONDecoder(object_pairs_hook=pairs).decode
# The one spelling that is hashed: keys in order, no spaces (RFC 8785 for what a pack holds).
canonical = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode


def strict_json(text: str) -> dict[str, Any]:
    """A JSON object, read strictly."""
    value = decode(text)
    if not isinstance(value, dict):
        raise ValueError("not an object")
    return value


def files_of(path: Path) -> dict[str, Any]:
    """File name -> content, of a zip or of the folder into which it was unpacked."""
    if path.is_dir():
        listed = strict_json((path / "manifest.json").read_text("utf-8"))["files"]
        names = [name for name in ("manifest.json", *listed) if Path(name).name == name and (path / name).is_file()]
        return read_all({name: (path / name).open for name in names})
    with zipfile.ZipFile(path) as pack:
        members = pack.infolist()
        if len({member.filename for member in members}) != len(members):
            raise ValueError("a file occurs twice")
        return read_all({member.filename: lambda _mode, one=member: pack.open(one) for member in members})


def read_all(files: dict[str, Any]) -> dict[str, Any]:
    """What the files hold, each given as its way to be opened; no more than LARGEST bytes together are read."""
    found, room = {}, LARGEST
    for name, opened in files.items():
        found[name] = bytearray()
        with opened("rb") as file:
            while piece := file.read(1000000):
                found[name] += piece
                room -= len(piece)
                if room < 0:
                    raise ValueError("it is larger than any record pack")
    return found


def check_files(files: dict[str, Any], manifest: dict[str, Any]) -> Level:
    """Every listed file is there with its digest, and no other one."""
    listed = manifest["files"]
    for name in sorted(set(listed) | set(files) - {"manifest.json"}):
        if name not in files:
            return Level("files", False, ascii(name) + " is missing")
        if name not in listed:
            return Level("files", False, ascii(name) + " is not listed in the manifest")
        if sha256(files[name]) != listed[name]:
            return Level("files", False, ascii(name) + " is not the file that was packed")
    return Level("files", True, f"as packed: {len(listed)}")


class Entries(NamedTuple):
    """What the entries say together, as far as it is shown: how many of each kind, the first and last day, the hashes,
    the notes withheld, of how many entries, from the first on, only the hash is there, and of how many only digests."""

    counts: dict[str, int]
    period: list[str]
    hashes: list[str]
    withheld: int
    hash_alone: int = 0
    digests_alone: int = 0


def check_parts(entry: dict[str, Any], fields: dict[str, Any]) -> tuple[dict[str, Any], int, int, bool]:
    """The columns of the parts that are shown, how many parts are shown and left out, and whether all are as sealed."""
    if ("parts_sha256" in fields) != ("parts" in entry):
        return {}, 0, 0, False
    digests, shown = fields.get("parts_sha256", {}), entry.get("parts", {})
    told: dict[str, Any] = {}
    good = set(shown) <= set(digests) and set(digests) <= {"what", "when", "who", "private"}
    if "what" in digests:   # of what happened nothing stands open, so that all such entries look alike
        good = good and set(fields) == {"id", "note_sha256", "parts_sha256"} and len(digests) == 4
    for name, part in shown.items():
        good = good and set(part) == {"salt", "text"} and \
            digests[name] == sha256(f"gwlog-part-1\n{part['salt']}\n{part['text']}".encode())
        columns = strict_json(part["text"])
        good = good and canonical(columns) == part["text"] and not set(columns) & {*fields, *told} and \
            ("kind" in columns) == (name == "what")
        told.update(columns)
    return told, len(shown), len(digests) - len(shown), good


def check_entries(content: bytes) -> tuple[list[Level], Entries, str | None]:
    """The chain, the bodies, notes and parts; also what the entries say together, and the first break in words."""
    faults: dict[str, tuple[int, str]] = {}
    counts: dict[str, int] = {}
    period: list[str] = []
    hashes, withheld, kept, number, previous = [START], 0, 0, 0, START
    alone, shown, closed, in_parts = 0, 0, 0, False
    for number, found in enumerate(re.finditer(rb"[^\n]*\n|[^\n]+", content), start=1):
        try:
            if not found[0].endswith(b"\n"):
                raise ValueError("the line is cut off")
            entry = strict_json(found[0].decode("utf-8"))
            if set(entry) == {"seq", "hash"} and alone == number - 1:
                if entry["seq"] != number or not re.fullmatch("[0-9a-f]{64}", entry["hash"]):
                    faults.setdefault("chain", (number, f"entry {number} does not follow from the one before it"))
                alone, previous = number, entry["hash"]
                hashes.append(previous)
                continue
            body = entry["body"]
            computed = sha256(f"gwlog-seal-1\n{previous}\n{body}".encode())
            if "chain" not in faults and (entry["seq"] != number or entry["hash"] != computed):
                faults.setdefault("chain", (number, f"entry {number} does not follow from the one before it"))
            # Once broken, go on from the stated hash, so that later notes and bodies are still looked at.
            previous = entry["hash"]
            fields = strict_json(body)
            told, open_parts, closed_parts, good = check_parts(entry, fields)
            shown, closed = shown + open_parts, closed + closed_parts
            if not good:
                faults.setdefault("parts", (number, f"entry {number} has another part than was sealed"))
            if in_parts and "parts_sha256" not in fields:
                faults.setdefault("chain", (number, f"entry {number} is of the older form, but comes after newer ones"))
            in_parts = "parts_sha256" in fields
            happened = fields.get("happened_at", told.get("happened_at", "")) if in_parts else fields["happened_at"]
            kind = told.get("kind", "") if "what" in fields.get("parts_sha256", {}) else fields["kind"]
            if not all(isinstance(word, str) for word in (previous, kind, happened)):
                raise TypeError("words expected")
            hashes.append(previous)
            counts[kind] = counts.get(kind, 0) + 1
            if happened:
                period = [pick([*period, happened[:10]]) for pick in (min, max)]
            if fields["id"] != number or canonical(fields) != body:
                faults.setdefault("bodies", (number, f"entry {number} is not one sealed entry"))
            note, salt, digest = entry.get("note"), entry.get("salt"), fields["note_sha256"]
            if digest is not None and note is None and salt is None:
                withheld += 1
            elif digest is not None or note is not None or salt is not None:
                kept += 1
                if not isinstance(note, str) or digest != sha256(f"gwlog-note-1\n{salt}\n{note}".encode()):
                    faults.setdefault("notes", (number, f"entry {number} has another note than was sealed"))
            if set(entry) - {"seq", "body", "hash", "note", "salt", "parts"}:
                faults.setdefault("bodies", (number, f"entry {number} carries more than was sealed"))
        except DAMAGED as error:
            faults.setdefault("bodies", (number, f"entry {number} cannot be read: {type(error).__name__}"))
            break
    unsaid = counts.pop("", 0)
    only = f"; of which only digests are here: {unsaid}" if unsaid else ""
    only += f"; of entries 1 to {alone}, written before parts could be left out, only the hashes" if alone else ""
    fine = {"chain": f"links: {number - alone}", "bodies": f"entries: {number - alone}{only}",
            "notes": f"as sealed: {kept}, left out: {withheld}", "parts": f"as sealed: {shown}, left out: {closed}"}
    levels = [Level(name, name not in faults, faults[name][1] if name in faults else fine[name]) for name in fine]
    return levels, Entries(counts, period, hashes, withheld, alone, unsaid), min(faults.values())[1] if faults else None


def check_manifest(manifest: dict[str, Any], entries: Entries) -> Level:
    """What the manifest says of the entries is what they are, and it was not changed by itself."""
    without = {key: value for key, value in manifest.items() if key != "digest"}
    compared = {
        "its own digest": (manifest["digest"], sha256(canonical(without).encode())),
        "seal number": (manifest[FORMS[manifest["form"]][1]], f"{len(entries.hashes) - 1}:{entries.hashes[-1]}"),
        "counts": (manifest["counts"], entries.counts),
        "notes withheld": (manifest["notes_withheld"], entries.withheld),
        "period": (manifest["period"], entries.period or None),
    }
    wrong = [name for name, (stated, found) in compared.items() if stated != found]
    return Level("manifest", not wrong, ("differs from the entries: " + ", ".join(wrong)) if wrong else
                 "agrees with the entries")


def check_noted(noted: list[str], hashes: list[str]) -> Level:
    """Every seal number that was noted, "number:hash" with 16 to 64 hex digits, is the one in the chain."""
    for known in noted:
        number, _, start = known.strip().lower().partition(":")
        if not re.fullmatch("[0-9]{1,15}", number) or not re.fullmatch("[0-9a-f]{16,64}", start):
            return Level("noted", False, ascii(known[:80]) + " is not a seal number like 412:9f3a6c0b12d4e877")
        if int(number) >= len(hashes):
            return Level("noted", False, f"entry {number} was there when the number was noted, and is gone")
        if not hashes[int(number)].startswith(start):
            return Level("noted", False, f"entry {number} had another hash when the number was noted")
    return Level("noted", True, f"numbers that fit: {len(noted)}")


def examine(path: Path, noted: list[str]) -> Result:
    """Check a pack. `noted`: seal numbers that you noted yourself; those in the pack are checked as well."""
    try:
        files = files_of(path)
        manifest = strict_json(files["manifest.json"].decode("utf-8"))
        levels = [check_files(files, manifest)]
        found, entries, broken = check_entries(files["entries.jsonl"])
        listed = [line.split()[1] for line in files[FORMS[manifest["form"]][0]].decode("utf-8").split("\n")
                  if line and not line.startswith("#")]
        levels += [check_manifest(manifest, entries), *found,
                   check_noted(listed + list(noted), entries.hashes)]
        return Result(levels, len(entries.hashes) - 1, f"{len(entries.hashes) - 1}:{entries.hashes[-1]}", broken)
    except Exception as error:  # whatever is wrong with a file from elsewhere, the answer is that it does not hold
        detail = f"cannot be read as a record pack ({type(error).__name__}: {str(error)[:80]!a})"
        return Result([Level("files", False, detail)], 0, "", None)


def main(words: list[str]) -> int:
    """Check the pack named on the command line, or the folder in which this file lies."""
    noted, paths, rest = [], [], list(words)
    while rest:
        word = rest.pop(0)
        if word == "--noted" and rest:
            noted.append(rest.pop(0))
        elif word.startswith("-"):
            sys.stderr.write(__doc__ or "")
            return 2
        else:
            paths.append(word)
    result = examine(Path(paths[0]) if paths else Path(__file__).resolve().parent, noted)
    lines = [f"{'holds ' if level.holds else 'BROKEN'}  {level.name}: {level.detail}"
             for level in result.levels]
    if result.first_broken:
        lines.append("First broken: " + result.first_broken)
    lines += [f"Entries: {result.entries}; seal number {result.seal_number}", "NOT checked:"]
    lines += ["  - " + each for each in NOT_CHECKED]
    lines.append("The pack holds." if result.holds else "The pack does NOT hold.")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if result.holds else 4


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
