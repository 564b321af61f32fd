"""Checks a gwlog record pack with Python's standard library alone (3.8 or later); read it before you trust it.

python3 -I check_seal.py [PACK.zip, or its unpacked folder] [--noted 412:9f3a6c0b12d4e877]    exit code 0 or 4
"""

from __future__ import annotations

import hashlib
import json
import re
import sys
import zipfile
from datetime import datetime, timedelta, timezone
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

# The rule: hash(n) = SHA-256 of "gwlog-seal-1", hash(n-1) and the entry's body, joined by line feeds, in UTF-8.
# hash(0) is 64 zeros. A note is in the body only as SHA-256 of "gwlog-note-1", its salt and its words.
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
    "the words of notes that were left out, and whether the report says what the entries say",
    "the logbook file itself, its rows and its triggers (gwlog verify LOGBOOK does that)",
)


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


def strict_json(text: str) -> dict[str, Any]:
    """A JSON object in which no key occurs twice: two readers could take different ones."""

    def pairs(found: list[tuple[str, Any]]) -> dict[str, Any]:
        if len(dict(found)) != len(found):
            raise ValueError("a key occurs twice")
        return dict(found)

    value = json.loads(text, object_pairs_hook=pairs)
    if not isinstance(value, dict):
        raise ValueError("not an object")
    return value


def canonical(value: dict[str, Any]) -> str:
    """The one spelling that is hashed: keys in order, no spaces (RFC 8785 for what a pack holds)."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


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


# What entries hold: the columns that each has, then those of its kind. "60 signs": a text of 1 to 60 characters,
# "a|b": one of the words, "[x]": a list of x, "*12": of twelve, "?": or nothing.
COLUMNS = {
    "": "happened_at moment; recorded_at moment; zone 64 signs; recorded_by 60 signs?; corrects_id number?",
    "site":
        "name 60 signs; latitude_udeg -90000000..90000000; units us|metric; occupants 1..100; code 60 signs; aim "
        "plants|garden; valve garden|sewer|unknown; eto_zone 1..18?; monthly_eto_um [0..5000000]*12?; "
        "monthly_rain_um [0..5000000]*12?; softened_water yes/no; rain as logged|normals where not logged?; "
        "water_price_milli 0..1000000000?; currency 60 signs?; monthly_tmean_mdegc [-60000..60000]*12?; "
        "code_edition 60 signs?; system_answers [60 signs]?; local_rules [1000 signs]?; tap_water [80 signs]?",
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
    if not fields.get("kind") or fields["kind"] not in COLUMNS:
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
    """What the entries say together: how many of each kind, the first and last day, the hashes, the notes withheld.

    `judged`: their values and moments.
    """

    counts: dict[str, int]
    period: list[str]
    hashes: list[str]
    withheld: int
    judged: Judged


def check_entries(content: bytes) -> tuple[list[Level], Entries, str | None]:
    """The chain, the bodies and the notes; also what the entries say together, and the first break in words."""
    faults: dict[str, tuple[int, str]] = {}
    counts: dict[str, int] = {}
    period: list[str] = []
    hashes, withheld, kept, number, previous = [START], 0, 0, 0, START
    judged = Judged()
    for number, found in enumerate(re.finditer(rb"[^\n]*\n|[^\n]+", content), start=1):
        try:
            if not found[0].endswith(b"\n"):
                raise ValueError("the line is cut off")
            entry = strict_json(found[0].decode("utf-8"))
            body = entry["body"]
            computed = sha256(f"gwlog-seal-1\n{previous}\n{body}".encode())
            if "chain" not in faults and (entry["seq"] != number or entry["hash"] != computed):
                faults.setdefault("chain", (number, f"entry {number} does not follow from the one before it"))
            # Once broken, go on from the stated hash, so that later notes and bodies are still looked at.
            previous = entry["hash"]
            fields = strict_json(body)
            if not all(isinstance(word, str) for word in (previous, fields["kind"], fields["happened_at"])):
                raise TypeError("words expected")
            hashes.append(previous)
            counts[fields["kind"]] = counts.get(fields["kind"], 0) + 1
            period = [pick([*period, fields["happened_at"][:10]]) for pick in (min, max)]
            if fields["id"] != number or canonical(fields) != body:
                faults.setdefault("bodies", (number, f"entry {number} is not one sealed entry"))
            judged.look(number, fields)
            note, salt, digest = entry.get("note"), entry.get("salt"), fields["note_sha256"]
            if digest is not None and note is None and salt is None:
                withheld += 1
            elif digest is not None or note is not None or salt is not None:
                kept += 1
                if not isinstance(note, str) or digest != sha256(f"gwlog-note-1\n{salt}\n{note}".encode()):
                    faults.setdefault("notes", (number, f"entry {number} has another note than was sealed"))
            if set(entry) - {"seq", "body", "hash", "note", "salt"}:
                faults.setdefault("bodies", (number, f"entry {number} carries more than was sealed"))
        except DAMAGED as error:
            faults.setdefault("bodies", (number, f"entry {number} cannot be read: {type(error).__name__}"))
            break
    fine = {"chain": f"links: {number}", "bodies": f"entries: {number}",
            "notes": f"as sealed: {kept}, left out: {withheld}"}
    levels = [Level(name, name not in faults, faults[name][1] if name in faults else fine[name]) for name in fine]
    if judged.fault:
        faults["values"] = judged.fault
    return [*levels, judged.level()], Entries(counts, period, hashes, withheld, judged), \
        min(faults.values())[1] if faults else None


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


def examine(path: Path, noted: list[str], now: datetime | None = None) -> Result:
    """Check a pack. `noted`: seal numbers that you noted yourself; those in the pack are checked as well; `now`: what
    the clock says, to which moments of writing are held.
    """
    try:
        files = files_of(path)
        manifest = strict_json(files["manifest.json"].decode("utf-8"))
        levels = [check_files(files, manifest)]
        found, entries, broken = check_entries(files["entries.jsonl"])
        listed = [line.split()[1] for line in files[FORMS[manifest["form"]][0]].decode("utf-8").split("\n")
                  if line and not line.startswith("#")]
        levels += [check_manifest(manifest, entries), *found,
                   check_noted(listed + list(noted), entries.hashes)]
        return Result(levels, len(entries.hashes) - 1, f"{len(entries.hashes) - 1}:{entries.hashes[-1]}", broken,
                      entries.judged.odd(now))
    except Exception as error:  # whatever is wrong with a file from elsewhere, the answer is that it does not hold
        detail = f"cannot be read as a record pack ({type(error).__name__}: {str(error)[:80]!a})"
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
    lines += ["  - " + each for each in NOT_CHECKED]
    lines.append("The pack holds." if result.holds else "The pack does NOT hold.")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if result.holds else 4


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
