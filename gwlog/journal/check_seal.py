"""Checks a gwlog record pack with Python's standard library alone (3.8 or later); read it before you trust it.

python3 -I check_seal.py [PACK.zip, or its unpacked folder] [--noted 412:9f3a6c0b12d4e877]    exit code 0 or 4
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import struct
import sys
import zlib
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta, timezone
from functools import lru_cache
from pathlib import Path
from typing import Any, BinaryIO, NamedTuple

# The rule: hash(n) = SHA-256 of "gwlog-seal-1", hash(n-1) and the entry's body, joined by line feeds, in UTF-8.
# hash(0) is 64 zeros. A note is in the body only as SHA-256 of "gwlog-note-1", its salt and its words. So are, of newer
# entries, the parts "what", "when", "who", "private": as SHA-256 of "gwlog-part-1", a salt and the text. Of older
# entries, whose bodies show everything, a copy may hold the hashes alone.
START = "0" * 64
LARGEST = 100000000    # bytes unpacked, counted while reading, since what an archive says of itself may be false
LARGEST_PAPER = 20000000
LARGEST_OTHER = 1000000
LONGEST_LINE = 1000000
MOST_FILES = 400
PIECE = 65536
FORM = "gwlog-pack-3"
ENTRIES, MANIFEST, PROGRAM = "entries.jsonl", "manifest.json", "check_seal.py"
LETTER, ANNEX = "letter.html", "annex.html"
PAPERS = (LETTER, ANNEX, "report.html", "report.pdf", "annex.pdf", "manual.pdf", "card.pdf", "pack.zip")
WITNESS = "witness/([1-9][0-9]{0,8}[.](sig|tsr|txt)|[0-9a-f]{16}[.]pem)"    # answers by their entries' numbers
READERS = ("landlord", "inspector", "next-tenant", "everything")
DAMAGED = (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError)
NOT_CHECKED = (
    "whether what the entries say is true, or whether everything that happened was written down",
    "whether the end was cut off, an older state was packed, or everything from some entry on was rewritten: that "
    "shows only if you compare with a seal number noted earlier (--noted), at or after the place",
    "an entry added at the end by somebody who knows the rule, and the clock of the machine that wrote",
    "the words of notes and parts that were left out",
    "the logbook file itself, its rows and its triggers (gwlog verify LOGBOOK does that)",
)
CANNOT_MAKE = ("whether the letter and the annex say what the entries say: this program cannot make them; gwlog verify "
               "PACK makes them again from the entries and compares every byte")


class Form(NamedTuple):
    """What a form of pack holds: its file of seal numbers, its manifest's word for one, what is in it, what may be."""

    numbers: str
    seal_number: str
    needed: frozenset[str]
    allowed: frozenset[str]
    manifest: frozenset[str]


def _form(numbers: str, word: str, program: str, papers: tuple[str, ...], maybe: tuple[str, ...], more: str) -> Form:
    keys = f"counts digest files form gwlog made notes_withheld period {word} {more}".split()
    return Form(numbers, word, frozenset((ENTRIES, MANIFEST, "README.txt", numbers, program, *papers)),
                frozenset(maybe), frozenset(keys))


FORMS = {
    FORM: _form("noted.txt", "seal_number", PROGRAM, (LETTER,), (ANNEX,),
                "reader home site entries noted summary without_notes_of"),
    "gwlog-pack-2": _form("noted.txt", "seal_number", PROGRAM, (), ("report.html",), ""),
    "gwlog-pack-1": _form("anchors.txt", "head", "verify_pack.py", (), ("report.html",), ""),
}


class Level(NamedTuple):
    """One thing that was checked, whether it holds, and what was found."""

    name: str
    holds: bool
    detail: str


class Result(NamedTuple):
    """What was found in a pack; `first_broken` names the first entry that does not hold.

    `odd`: what holds and is told, such as entries written under a wrong clock.
    """

    levels: list[Level]
    entries: int
    seal_number: str
    first_broken: str | None
    odd: list[str]

    @property
    def holds(self) -> bool:
        """Whether every level holds."""
        return all(level.holds for level in self.levels)


def sha256(data: bytes) -> str:
    """The SHA-256 digest as 64 hex digits."""
    return hashlib.sha256(data).hexdigest()


def whole(digits: str) -> int:
    """A whole number; none in a pack is so long that reading it takes time."""
    if len(digits) > 20:
        raise ValueError("a number is too long")
    return int(digits)


def pairs(found: list[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object in which no key occurs twice: two readers could take different ones."""
    made = dict(found)
    if len(made) != len(found):
        raise ValueError("a key occurs twice")
    return made


decode = json.JSONDecoder(object_pairs_hook=pairs, parse_int=whole).decode
# The one spelling that is hashed: keys in order, no spaces (RFC 8785 for what a pack holds).
canonical = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode


def strict_json(text: str) -> dict[str, Any]:
    """A JSON object, read strictly."""
    value = decode(text)
    if not isinstance(value, dict):
        raise ValueError("not an object")
    return value


def header(name: str, packed: int, size: int, crc: int, place: int | None) -> bytes:
    """A member's header as gwlog writes it: before its content, or, given the `place` of that one, in the directory.

    Nothing in it is free: no date, no comment, no extra field, no other way of packing, no encryption.
    """
    raw = name.encode("ascii")
    common = struct.pack("<HHHHH3L2H", 20, 0, 8, 0, 33, crc, packed, size, len(raw), 0)
    if place is None:
        return b"PK\3\4" + common + raw
    return b"PK\1\2\x14\3" + common + struct.pack("<HHHLL", 0, 0, 0, 0o100600 << 16, place) + raw


def closing(count: int, length: int, place: int) -> bytes:
    """The end of a zip: how many members, and where their directory is."""
    return b"PK\5\6" + struct.pack("<4H2LH", 0, 0, count, count, length, place, 0)


class Files:
    """A pack's files, or a handover's: the name of each with its size, and its content piece by piece."""

    def __init__(self, sizes: dict[str, int]) -> None:
        self.sizes = sizes
        for name, size in sizes.items():
            large = LARGEST if name in (ENTRIES, "logbook.db") else LARGEST_PAPER if name in PAPERS else LARGEST_OTHER
            if size > large:
                raise ValueError(ascii(name) + " is larger than any record pack has")
        if sum(sizes.values()) > LARGEST:
            raise ValueError("it is larger than any record pack")

    def pieces(self, name: str) -> Iterator[bytes]:
        """The content of a file, which must be as long as its size says."""
        raise NotImplementedError

    def whole(self, name: str) -> bytes:
        """The content of a file."""
        if name not in self.sizes:
            raise ValueError(name + " is missing")
        return b"".join(self.pieces(name))

    def digest(self, name: str) -> str:
        """The SHA-256 digest of a file."""
        found = hashlib.sha256()
        for piece in self.pieces(name):
            found.update(piece)
        return found.hexdigest()

    def lines(self, name: str) -> Iterator[bytes]:
        """The lines of a file, without their line feeds."""
        if name not in self.sizes:
            raise ValueError(name + " is missing")
        return lines_of(self.pieces(name))


def lines_of(pieces: Iterable[bytes]) -> Iterator[bytes]:
    """The lines of a file that is given in pieces; each ends with a line feed, and none is longer than any entry."""
    rest = b""
    for piece in pieces:
        *whole, rest = (rest + piece).split(b"\n")
        yield from whole
        if len(rest) > LONGEST_LINE:
            raise ValueError("a line is longer than any entry")
    if rest:
        raise ValueError("the last line is cut off")


class Folder(Files):
    """The folder into which a pack was unpacked: ordinary files alone, and the folder of the witnesses' answers."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        super().__init__(dict(self._sizes("")))

    def _sizes(self, inside: str) -> Iterator[tuple[str, int]]:
        with os.scandir(self.folder / inside) as found:
            for number, one in enumerate(found):
                name = inside + one.name
                if number >= MOST_FILES:
                    raise ValueError("there are more files than in any record pack")
                if one.is_dir(follow_symlinks=False) and name == "witness":
                    yield from self._sizes("witness/")
                elif one.is_file(follow_symlinks=False):
                    yield name, one.stat(follow_symlinks=False).st_size
                else:
                    raise ValueError(ascii(name) + " is no ordinary file")

    def pieces(self, name: str) -> Iterator[bytes]:
        left = self.sizes[name]
        with (self.folder / name).open("rb") as file:
            while piece := file.read(min(PIECE, left + 1)):
                left -= len(piece)
                if left < 0:
                    break
                yield piece
        if left:
            raise ValueError(ascii(name) + " changed while it was read")


class Zip(Files):
    """A zip file that is its members and nothing else: every byte of it belongs to one, in the order of their names."""

    def __init__(self, file: BinaryIO) -> None:
        self.file = file
        self.members: dict[str, tuple[int, int, int]] = {}   # where the content begins, its packed size, its CRC-32
        end = file.seek(0, 2)
        tail = self._at(max(0, end - 22), 22)
        if len(tail) < 22 or not tail.startswith(b"PK\5\6"):
            raise ValueError("it is no zip file, is cut off, or has something at its end")
        count, length, start = struct.unpack("<H2L", tail[10:20])
        if count > MOST_FILES or length > count * 200 or start + length + 22 != end or tail != closing(
                count, length, start):
            raise ValueError("its directory is not as gwlog writes it, or something stands before or after it")
        listed, place, last = self._at(start, length), 0, ""
        sizes = {}
        while listed:
            if len(listed) < 46:
                raise ValueError("its directory is cut off")
            crc, packed, size, long = struct.unpack("<3LH", listed[16:30])
            name = listed[46:46 + long].decode("ascii")
            entry, before = header(name, packed, size, crc, place), header(name, packed, size, crc, None)
            if not listed.startswith(entry) or self._at(place, len(before)) != before or name <= last:
                raise ValueError(ascii(name) + " is not packed as gwlog packs: was it packed again?")
            listed, last = listed[len(entry):], name
            self.members[name] = (place + len(before), packed, crc)
            sizes[name] = size
            place += len(before) + packed
        if place != start or len(sizes) != count:
            raise ValueError("something stands between its files")
        super().__init__(sizes)

    def _at(self, place: int, length: int) -> bytes:
        self.file.seek(place)
        return self.file.read(length)

    def pieces(self, name: str) -> Iterator[bytes]:
        place, packed, crc = self.members[name]
        inflate, left, found, checked = zlib.decompressobj(-15), packed, 0, 0
        try:
            while not inflate.eof:
                raw = inflate.unconsumed_tail or self._at(place + packed - left, min(PIECE, left))
                left -= 0 if inflate.unconsumed_tail else len(raw)
                piece = inflate.decompress(raw, PIECE)
                found, checked = found + len(piece), zlib.crc32(piece, checked)
                if found > self.sizes[name] or not (raw or piece or inflate.eof):
                    break
                yield piece
        except zlib.error:
            raise ValueError(ascii(name) + " is damaged") from None
        if not inflate.eof or inflate.unused_data or left or found != self.sizes[name] or checked != crc:
            raise ValueError(ascii(name) + " is damaged, or not as long as is said")


@contextmanager
def opened(path: Path) -> Iterator[Files]:
    """The files of a zip, or of the folder into which it was unpacked."""
    if path.is_dir():
        yield Folder(path)
        return
    with path.open("rb") as file:
        yield Zip(file)


def check_files(files: Files, manifest: dict[str, Any], form: Form) -> Level:
    """Every file that belongs to a pack is there, as the manifest has it, and no other one."""
    listed = manifest["files"]
    for name in sorted(set(listed) | set(files.sizes) | form.needed):
        if name not in form.needed | form.allowed and not (manifest["form"] == FORM and re.fullmatch(WITNESS, name)):
            return Level("files", False, ascii(name) + " does not belong to a record pack")
        if name == ANNEX and manifest["reader"] == "landlord":
            return Level("files", False, ascii(name) + " does not belong to a landlord's pack")
        if name not in files.sizes:
            return Level("files", False, ascii(name) + " is missing")
        if name == MANIFEST:
            continue
        if name not in listed:
            return Level("files", False, ascii(name) + " is not listed in the manifest")
        if files.digest(name) != listed[name]:
            return Level("files", False, ascii(name) + " is not the file that was packed")
    return Level("files", True, f"as packed: {len(listed)}")


# What entries hold: the columns that each has, then those of its kind. "60 signs": a text of 1 to 60 characters,
# "a|b": one of the words, "[x]": a list of x, "*12": of twelve, "?": or nothing.
COLUMNS = {
    "": "happened_at moment; recorded_at moment; zone 64 signs; recorded_by 60 signs?; corrects_id number?",
    "site":
        "name 60 signs; latitude_udeg -90000000..90000000; units us|metric; occupants 1..100; code 60 signs; aim "
        "plants|garden; valve garden|sewer|unknown; eto_zone 1..18?; monthly_eto_um [0..5000000]*12?; "
        "monthly_rain_um [0..5000000]*12?; softened_water yes/no; rain as logged|normals where not logged?; "
        "water_price_milli 0..1000000000?; currency 60 signs?; monthly_tmean_mdegc [-60000..60000]*12?; "
        "code_edition 60 signs?; system_answers [60 signs]?; local_rules [1000 signs]?; tap_water [80 signs]?; "
        "as_built [300 signs]?",
    "person": "name 60 signs; active yes/no",
    "washer":
        "name 60 signs; machine top-load-agitator|top-load-efficient|front-load; volume_ml 1..2000000; active "
        "yes/no; run_minutes 1..600?",
    "basin":
        "name 60 signs; area_cm2 1..100000000; mulch_mm 0..2000; soil 60 signs; texture 60 signs; plants 200 "
        "signs; canopy_cm2 0..100000000; wetted_cm2 1..100000000?; plant_factor_milli 0..2000; root_depth_mm "
        "1..10000; depletion_milli 1..999; edible none|off the ground|touches soil|root crop; started day; "
        "start_deficit_ml 0..1000000000?; at_x_mm -10000000..10000000?; at_y_mm -10000000..10000000?; active "
        "yes/no; planted day?; planted_canopy_cm2 1..100000000?; planted_root_mm 1..10000?; ground_cover "
        "mulch|growing?",
    "outlet":
        "name 60 signs; reaches [60 signs]?; basin 60 signs; share_milli 1..1000000; at_x_mm "
        "-10000000..10000000?; at_y_mm -10000000..10000000?; active yes/no",
    "product":
        "name 60 signs; product_kind detergent|bleach|softener|booster|disinfectant|other; form liquid|powder?; "
        "chlorine_bleach yes/no?; borax yes/no?; sodium_mg 0..1000000?; active yes/no; label [80 signs]?; dose_mg "
        "1..2000000?",
    "usual_load":
        "name 60 signs; washer 60 signs; products [60 signs]; contents "
        "[diapers|soiled|illness|solvent|oil|pesticide|dye|drum-cleaning]; volume_ml 1..2000000?; active yes/no; "
        "run_minutes 1..600?",
    "planned_load":
        "name 60 signs; load 60 signs; starts 32 signs; every 500 signs?; skips [10 signs]; active yes/no",
    "upkeep_task": "name 60 signs; every 32 signs; months [1..12]?; source 300 signs?; active yes/no",
    "wash_load":
        "usual_load 60 signs?; washer 60 signs; volume_ml 1..2000000; products [60 signs]; contents "
        "[diapers|soiled|illness|solvent|oil|pesticide|dye|drum-cleaning]; went_to garden|sewer",
    "outlet_move": "outlet 60 signs; basin 60 signs",
    "valve_switch": "position garden|sewer",
    "mulch": "basin 60 signs; action added|measured; depth_mm 0..2000",
    "weather_day":
        "day day; rain_um 0..2000000?; tmin_mdegc -90000..60000?; tmax_mdegc -90000..60000?; origin 60 signs; "
        "rain_from day?; forecast_made_at 32 signs?",
    "observation":
        "observed ponding|runoff|odour|leak|stressed plant|blocked outlet|animals digging|soaked ground|frozen "
        "ground|illness|other; basin 60 signs?",
    "resolution": "resolves_id number",
    "upkeep_done": "task 60 signs",
    "reminder_answer": "key 120 signs; answer seen|snoozed; until 32 signs?",
    "other_water": "basin 60 signs; volume_ml 1..100000000; way can|drip|hose|flush",
    "soil_reading":
        "basin 60 signs; extract saturation|1:5; ec_us_cm 0..200000?; sar_milli 0..1000000?; esp_milli 0..99000?; "
        "boron_ug_l 0..1000000?; ph_milli 0..14000?",
    "attestation":
        "attested permit or notice|cross-connection check|manual handed over|visit|seal number given|seal number "
        "witnessed|handed on; party 120 signs?; means by hand|by mail|by e-mail|read out|statement|SSH "
        "signature|time stamp?; number 80 signs?; file_name 120 signs?; file_sha256 64 signs?",
    "withdrawal": "withdraws_id number",
}
SEALED_BESIDE = ("kind", "id", "note_sha256", "parts_sha256")    # in a body, but no column of the kind
CLOCKS_DIFFER = timedelta(minutes=5)    # so far a moment may lie ahead of the clock
FAR_AHEAD = timedelta(days=365)


@lru_cache(maxsize=16)
def moment(text: str) -> datetime | None:
    """A moment as it is sealed, in UTC; None where it is none, or is not shown."""
    if not re.fullmatch(r"[0-9]{4}-[0-9-]{5}T[0-9:]{8}([.][0-9]{6})?Z", text):
        return None
    try:
        return datetime.fromisoformat(text[:-1] + "+00:00")
    except ValueError:
        return None


def accepts(rule: str, value: Any) -> bool:
    """Whether a column of that rule holds such a value."""
    if rule.endswith("?"):
        return value is None or accepts(rule[:-1], value)
    if rule.startswith("["):
        inner, _, count = rule[1:].partition("]")
        return isinstance(value, list) and all(accepts(inner, one) for one in value) and \
            (not count or len(value) == int(count[1:]))
    if rule in ("moment", "day"):
        return isinstance(value, str) and moment(value if rule == "moment" else value + "T00:00:00Z") is not None
    if rule == "yes/no":
        return isinstance(value, bool)
    if rule.endswith(" signs"):
        return isinstance(value, str) and 1 <= len(value) <= int(rule[:-6])
    if rule == "number" or ".." in rule:
        low, _, high = rule.partition("..")
        return type(value) is int and (not high or int(low) <= value <= int(high))
    return value in rule.split("|")


def columns_of(kind: str) -> dict[str, str]:
    """Column -> rule of a kind of entry."""
    if kind not in RULES:
        RULES[kind] = {column.partition(" ")[0]: column.partition(" ")[2]
                       for part in ("", kind) for column in COLUMNS[part].split("; ")}
    return RULES[kind]


RULES: dict[str, dict[str, str]] = {}
SEEN: set[Any] = set()


def value_fault(fields: dict[str, Any]) -> str | None:
    """What no gwlog of this edition seals in an entry: another kind, another column, a value out of its bounds."""
    if "kind" not in fields:   # the part that holds it was left out, or check_parts() has found it
        return None
    if not fields["kind"] or fields["kind"] not in COLUMNS:
        return "is of a kind that this edition does not know: " + ascii(fields.get("kind"))[:40]
    known = columns_of(fields["kind"])
    for name, value in fields.items():
        if name in SEALED_BESIDE:
            continue
        rule = known.get(name, "")
        # The same words and figures come again and again; a list is known by its spelling, since 1 and True are equal.
        key = (rule, value.__class__, repr(value) if isinstance(value, (list, dict)) else value)
        if key in SEEN:
            continue
        if rule and accepts(rule, value):
            if rule != "moment" and len(SEEN) < 20000:
                SEEN.add(key)
        else:
            return "holds what no entry of its kind does: " + ascii(name)[:40] + " " + ascii(value)[:40]
    return None


class Judged:
    """Looks at every entry: values out of bounds, odd moments, and the clock under which it was written."""

    def __init__(self) -> None:
        self.fault: tuple[int, str] | None = None
        self.written: list[tuple[int, datetime]] = []
        self.too_early: list[int] = []

    def look(self, number: int, fields: dict[str, Any]) -> None:
        """Take one entry in, in order of their numbers."""
        fault = None if self.fault else value_fault(fields)
        if fault:
            self.fault = number, f"entry {number} {fault}"
        happened, written = (moment(str(fields.get(name))) for name in ("happened_at", "recorded_at"))
        if written is not None:
            self.written.append((number, written))
            if happened is not None and happened > written + CLOCKS_DIFFER:
                self.too_early.append(number)

    def level(self) -> Level:
        """Whether every value is one that gwlog writes."""
        return Level("values", self.fault is None, self.fault[1] if self.fault else "as every kind accepts them")

    def odd(self, now: datetime | None) -> list[str]:
        """What may be, and is told: entries written under a wrong clock, or later than it is `now`."""
        marks = clock_marks(self.written)
        found: dict[str, list[int]] = {}
        for number, mark in marks.items():
            found.setdefault(mark, []).append(number)
        for number, written in self.written:
            if now is not None and written > now + CLOCKS_DIFFER:
                found.setdefault("written later than now, by this machine's clock", []).append(number)
        if self.too_early:
            found["said to have happened after it was written"] = self.too_early
        return [f"{what}: {len(numbers)}, the first is entry {numbers[0]}" for what, numbers in found.items()]


def clock_marks(written: list[tuple[int, datetime]]) -> dict[int, str]:
    """Number -> mark: "clock behind" an earlier entry's, or "clock ahead" by a year while a later one is before it."""
    later: list[datetime | None] = []
    lowest: datetime | None = None
    for _, time in reversed(written):
        later.append(lowest)
        lowest = time if lowest is None else min(lowest, time)
    highest: datetime | None = None
    found = {}
    for place, (number, time) in enumerate(written):
        after = later[-1 - place]
        before = after if highest is None else highest
        if highest is not None and time < highest - CLOCKS_DIFFER:
            found[number] = "clock behind"
        elif after is not None and before is not None and after < time - CLOCKS_DIFFER and time > before + FAR_AHEAD:
            found[number] = "clock ahead"
        else:
            highest = time if highest is None else max(highest, time)
    return found


class Entries(NamedTuple):
    """What the entries say together, as far as it is shown, and the hashes of the first, the last and those whose
    numbers were asked for. `alone`: of how many, from the first on, only the hash is there; `digests_alone`: of how
    many only digests are; `dated`: of how many it is shown when they happened; `judged`: their values and moments;
    `answers`: entry -> digest of a witness's answer."""

    number: int
    counts: dict[str, int]
    period: list[str]
    withheld: int
    first: str
    last: str
    asked: dict[int, str]
    sites: list[str]
    alone: int
    dated: int
    judged: Judged
    answers: dict[str, str]
    digests_alone: int


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


def check_entries(lines: Iterable[bytes], asked: Collection[int] = ()) -> tuple[list[Level], Entries, str | None]:
    """The chain, the bodies, notes and parts; also what the entries say together, and the first break in words."""
    faults: dict[str, tuple[int, str]] = {}
    counts: dict[str, int] = {}
    period: list[str] = []
    known = {0: START}
    answers: dict[str, str] = {}
    sites: list[str] = []
    withheld, kept, number, previous, first = 0, 0, 0, START, START
    alone, dated, shown, closed, in_parts, judged = 0, 0, 0, 0, False, Judged()
    for number, line in enumerate(lines, start=1):
        try:
            entry = strict_json(line.decode("utf-8"))
            hashed = entry["hash"]
            first = hashed if number == 1 else first
            if number in asked:
                known[number] = hashed
            if set(entry) == {"seq", "hash"} and alone == number - 1:
                if (canonical(entry).encode(), entry["seq"]) != (line, number) or not re.fullmatch(
                        "[0-9a-f]{64}", hashed):
                    faults.setdefault("chain", (number, f"entry {number} does not follow from the one before it"))
                alone, previous = number, hashed
                continue
            if canonical(entry).encode() != line:
                faults.setdefault("bodies", (number, f"entry {number}'s line is not spelled as gwlog writes it"))
            body = entry["body"]
            computed = sha256(f"gwlog-seal-1\n{previous}\n{body}".encode())
            if "chain" not in faults and (entry["seq"] != number or hashed != computed):
                faults.setdefault("chain", (number, f"entry {number} does not follow from the one before it"))
            # Once broken, go on from the stated hash, so that later notes and bodies are still looked at.
            previous = hashed
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
            counts[kind] = counts.get(kind, 0) + 1
            if kind == "attestation" and len(answers) < MOST_FILES:
                answers[str(number)] = str(fields["file_sha256"])[:64]
            if kind == "site":
                sites = [*sites[-50:], str(fields["name"])[:200]]
            if happened:
                period = [pick([*period, happened[:10]]) for pick in (min, max)]
                dated += 1
            if fields["id"] != number or canonical(fields) != body or type(entry["seq"]) is not int:
                faults.setdefault("bodies", (number, f"entry {number} is not one sealed entry"))
            judged.look(number, {**fields, **told})
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
    if judged.fault:
        faults["values"] = judged.fault
    known[number] = previous
    entries = Entries(number, counts, period, withheld, first, previous, known, sites, alone, dated, judged, answers,
                      unsaid)
    return [*levels, judged.level()], entries, min(faults.values())[1] if faults else None


def check_manifest(manifest: dict[str, Any], entries: Entries) -> Level:
    """What the manifest says of the entries is what they are, and it was not changed by itself."""
    form = FORMS[manifest["form"]]
    without = {key: value for key, value in manifest.items() if key != "digest"}
    compared: dict[str, tuple[Any, Any]] = {
        "what it tells of": (set(manifest), form.manifest),
        "its own digest": (manifest["digest"], sha256(canonical(without).encode())),
        "seal number": (manifest[form.seal_number], f"{entries.number}:{entries.last}"),
        "counts": (manifest["counts"], entries.counts),
        "notes withheld": (manifest["notes_withheld"], entries.withheld),
        "period": (manifest["period"], entries.period or None),
    }
    if manifest.get("reader") == "landlord":   # who is not shown the days, and told only the weeks
        compared["period"] = (entries.dated, 0)
    if manifest["form"] == FORM:
        compared.update({
            "reader": (manifest["reader"] in READERS, True), "entries": (manifest["entries"], entries.number),
            "home": (manifest["home"], entries.first),
            "site": (not entries.sites or manifest["site"] in entries.sites, True),
            "the witnesses' answers": (all(entries.answers.get(name[8:].partition(".")[0]) == digest for name, digest
                                           in manifest["files"].items() if re.fullmatch("witness/.*[^m]", name)), True),
            "what is left out": (entries.alone > 0 and manifest["reader"] != "landlord", False),
        })
    wrong = [name for name, (stated, found) in compared.items() if stated != found]
    return Level("manifest", not wrong, ("differs from the entries: " + ", ".join(wrong)) if wrong else
                 "agrees with the entries")


def number_of(known: str) -> tuple[int, str] | None:
    """A seal number, "number:hash" with 15 to 64 hex digits, as its two; None where it is none."""
    match = re.fullmatch("([0-9]{1,15}):([0-9a-f]{15,64})", known.strip().lower())
    return (int(match[1]), match[2]) if match else None


def check_noted(noted: list[str], entries: Entries) -> Level:
    """Every seal number that was noted is the one in the chain."""
    for known in noted:
        found = number_of(known)
        if found is None:
            return Level("noted", False, ascii(known[:80]) + " is not a seal number like 412:9f3a6c0b12d4e877")
        number, start = found
        if number > entries.number:
            return Level("noted", False, f"entry {number} was there when the number was noted, and is gone")
        if not entries.asked.get(number, "").startswith(start):
            return Level("noted", False, f"entry {number} had another hash when the number was noted")
    return Level("noted", True, f"numbers that fit: {len(noted)}")


def numbers_in(content: bytes) -> list[str]:
    """The seal numbers in a pack's file of them: the second word of each line."""
    return [line.split()[1] for line in content.decode("utf-8").split("\n") if line and not line.startswith("#")]


def walked(lines: Iterable[bytes], noted: list[str]) -> tuple[list[Level], Entries, str | None]:
    """The entries checked, and with them the seal numbers that were noted: the levels, what they say, the break."""
    asked = {found[0] for found in map(number_of, noted) if found}
    levels, entries, broken = check_entries(lines, asked)
    return [*levels, check_noted(noted, entries)], entries, broken


def examine(path: Path, noted: list[str], now: datetime | None = None) -> Result:
    """Check a pack. `noted`: seal numbers that you noted yourself; those in the pack are checked as well; `now`: what
    the clock says, to which moments of writing are held.
    """
    try:
        with opened(path) as files:
            manifest = strict_json(files.whole(MANIFEST).decode("utf-8"))
            form = FORMS[manifest["form"]]
            in_it = check_files(files, manifest, form)
            found, entries, broken = walked(files.lines(ENTRIES), numbers_in(files.whole(form.numbers)) + list(noted))
            levels = [in_it, check_manifest(manifest, entries), *found]
            return Result(levels, entries.number, f"{entries.number}:{entries.last}", broken, entries.judged.odd(now))
    except Exception as error:  # whatever is wrong with a file from elsewhere, the answer is that it does not hold
        detail = f"cannot be read as a record pack ({type(error).__name__}: {str(error)[:120]!a})"
        return Result([Level("files", False, detail)], 0, "", None, [])


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
    now = datetime.now(timezone.utc)  # noqa: UP017 - datetime.UTC is newer than 3.8
    result = examine(Path(paths[0]) if paths else Path(__file__).resolve().parent, noted, now)
    lines = [f"{'holds ' if level.holds else 'BROKEN'}  {level.name}: {level.detail}"
             for level in result.levels]
    if result.first_broken:
        lines.append("First broken: " + result.first_broken)
    lines += ["odd     " + each for each in result.odd]
    lines += [f"Entries: {result.entries}; seal number {result.seal_number}", "NOT checked:"]
    lines += ["  - " + each for each in (*NOT_CHECKED, CANNOT_MAKE)]
    lines.append("The pack holds." if result.holds else "The pack does NOT hold.")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if result.holds else 4


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
