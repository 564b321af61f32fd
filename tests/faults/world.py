"""The small household that faults befall: its folder, and every command that writes, each on that folder anew."""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from tests.conftest import SITE
from tests.faults.runner import Run, Runner

NOW = "2026-07-14T18:00:00+00:00"
LATER = "2026-07-14T18:05:00+00:00"
HOUSE = "house.db"
MORE = SITE.replace("latitude = 36.9", "latitude = 36.8") + """
[[basin]]
name = "Quince"
area_ft2 = 16
mulch_in = 4
soil = "sandy loam"
plants = "quince"
canopy_ft2 = 40
edible = "off the ground"
"""
WEATHER = "date,rain,tmin,tmax\n2026-07-01,0,54,80\n2026-07-02,0.3,55,79\n2026-07-03,0,56,84\n"
LOADS = "Day,What,Where\n2026-06-02,towels,garden\n2026-06-05,whites,sewer\n2026-06-09,towels,garden\n"
STORY: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("2026-05-01T09:00:00+00:00", ("begin", "site.toml")),
    ("2026-05-20T18:00:00+00:00", ("load", "towels", "--note", "the first one")),
    ("2026-06-20T18:00:00+00:00", ("mulch", "Fig", "--measured", "4in")),
    ("2026-07-10T18:00:00+00:00", ("load", "towels")),
    ("2026-07-12T18:00:00+00:00", ("observe", "ponding", "Fig", "--note", "near the path")),
)


@dataclass(frozen=True)
class Command:
    """A command that writes: its words, the logbook it writes to, and the files it makes."""

    name: str
    args: tuple[str, ...]
    logbook: str = HOUSE
    files: tuple[str, ...] = ()


def commands(folder: Path) -> list[Command]:
    """Every command that writes, with the numbers that entries have in the world's folder."""
    number = {kind: entry for entry, kind in _entries(folder / HOUSE)}
    load, seen = str(number["wash_load"]), str(number["observation"])
    return [
        Command("load", ("load", "whites", "--to", "sewer")),
        Command("load as advised", ("load", "towels", "--as-advised")),
        Command("valve", ("valve", "sewer")),
        Command("move", ("move", "Hose", "Fig")),
        Command("mulch", ("mulch", "Pomegranate", "--measured", "3in")),
        Command("rain", ("rain", "0.4in")),
        Command("water", ("water", "Fig", "3gal", "--way", "can")),
        Command("soil", ("soil", "Fig", "--ec", "2.4 dS/m", "--extract", "saturation")),
        Command("label", ("label", "plain liquid", "--line", "sodium carbonate 10-30 %", "--dose", "60g")),
        Command("observe", ("observe", "leak", "--note", "under the bend")),
        Command("resolve", ("resolve", seen)),
        Command("done", ("done", "flush the line")),
        Command("correct", ("correct", load, "--volume", "15gal")),
        Command("withdraw", ("withdraw", load, "--note", "a slip")),
        Command("erase-note", ("erase-note", seen, "--yes")),
        Command("plan-load", ("plan-load", "towels", "--on", "2026-07-18T10:00")),
        Command("later", ("later", "1", "--until", "2026-07-20T10:00")),
        Command("seen", ("seen", "1")),
        Command("setup apply", ("setup", "apply", "more.toml")),
        Command("weather import", ("weather", "import", "weather.csv")),
        Command("import loads", ("import", "loads.csv", "--columns", "date=Day,load=What,to=Where")),
        Command("begin", ("--logbook", "new.db", "begin", "site.toml"), logbook="new.db"),
        Command("import", ("--logbook", "new.db", "import", "old.jsonl"), logbook="new.db"),
        Command("restore", ("restore", "old.db")),
        Command("backup", ("backup",)),
        Command("export", ("export", "out.jsonl"), files=("out.jsonl",)),
        Command("pack", ("pack", "out.zip"), files=("out.zip",)),
        Command("report", ("report", "out.pdf"), files=("out.pdf",)),
        Command("report again", ("report", "same.html"), files=("same.html",)),
        Command("card", ("card", "out.pdf"), files=("out.pdf",)),
        Command("manual", ("manual", "out.pdf"), files=("out.pdf",)),
        Command("handover", ("handover", "out.zip"), files=("out.zip",)),
        Command("calendar", ("calendar", "out.ics"), files=("out.ics",)),
        Command("calendar again", ("calendar", "same.ics"), files=("same.ics",)),
        Command("watch", ("watch", "--once")),
    ]


def build(folder: Path, runner: Runner) -> Path:
    """The world's folder: the household as it was lived for some weeks, and the files that commands read."""
    for inside in ("home/config", "home/data", "tmp", "backups"):
        (folder / inside).mkdir(parents=True)
    for name, words in (("site.toml", SITE), ("more.toml", MORE), ("weather.csv", WEATHER), ("loads.csv", LOADS)):
        (folder / name).write_text(words, encoding="utf-8")
    for now, args in STORY:
        _fine(runner.run(folder, *args, now=now), args)
        if args[0] == "mulch":
            _fine(runner.run(folder, "backup", "--to", ".", now=now), ("backup",))
    next(folder.glob("house-*.db")).rename(folder / "old.db")
    for args in (("export", "old.jsonl"), ("report", "same.html"), ("calendar", "same.ics")):
        _fine(runner.run(folder, *args, now=NOW), args)
    return folder


def _fine(run: Run, args: tuple[str, ...]) -> None:
    assert run.code == 0, (args, run.err)


def copy(world: Path, into: Path) -> Path:
    """A copy of the world, to be broken."""
    shutil.copytree(world, into)
    return into


def seal(logbook: Path) -> list[tuple[int, str]]:
    """The numbers and hashes of the entries that a logbook holds now; none where there is no logbook."""
    if not logbook.exists():
        return []
    with closing(sqlite3.connect(logbook)) as connection:
        return [(int(number), str(digest)) for number, digest in
                connection.execute("SELECT seq, hash FROM seal ORDER BY seq").fetchall()]


def _entries(logbook: Path) -> list[tuple[int, str]]:
    with closing(sqlite3.connect(logbook)) as connection:
        return [(int(number), str(kind)) for number, kind in
                connection.execute("SELECT seq, entry_kind FROM seal ORDER BY seq").fetchall()]


def notes(logbook: Path) -> int:
    """How many observations have a note that can be read."""
    with closing(sqlite3.connect(logbook)) as connection:
        return int(connection.execute("SELECT count(*) FROM observation WHERE note IS NOT NULL").fetchone()[0])


def whole(file: Path) -> bool:
    """Whether a file is complete, by its own form."""
    import zipfile

    content = file.read_bytes()
    if file.suffix == ".zip":
        with zipfile.ZipFile(file) as pack:
            return pack.testzip() is None
    if file.suffix == ".pdf":
        return content.rstrip().endswith(b"%%EOF")
    if file.suffix == ".ics":
        return content.rstrip().endswith(b"END:VCALENDAR")
    if file.suffix == ".html":
        return content.rstrip().endswith(b"</html>")
    if file.suffix == ".jsonl":
        return all(json.loads(line) for line in content.decode().splitlines())
    raise ValueError(file.suffix)
