"""`gwlog begin` by questions, in a real terminal (pty): wrong answers are asked again, the logbook is made."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from gwlog.journal import reader
from gwlog.journal.facts import Basin, Outlet, Site, UsualLoad
from tests.conftest import Runner

ANSWERS = [
    "nowhereville", "portland", "9", "2", "z", "Mars/Olympus", "America/Los_Angeles", "h", "Tern Cottage", "2",
    "o", "us-ca-washer", "a", "one-family", "perhaps", "yes", "yes", "", "", "no", "no", "no", "no", "",
    "c", "land", "19", "3", "maybe", "yes", "",
    "-3", "5 x 5 ft", "fig", "Fig", "", "sandy loam", "80ft2", "off the ground",
    "0x3", "12 square feet", "rose", "", "3in", "sandy clay", "", "none", "",
    "Hose", "rose", "front-load", "18gal", "", "25:00", "towels, diapers", "garden", "yes",
]


def test_the_questions_make_a_logbook(tmp_path: Path) -> None:
    leader, follower = pty.openpty()
    env = {**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db"), "PYTHONUNBUFFERED": "1",
           "TZ": "America/Los_Angeles"}
    process = subprocess.Popen([sys.executable, "-m", "gwlog", "begin"], stdin=follower, stdout=subprocess.PIPE,
                               stderr=subprocess.STDOUT, env=env, text=True)
    os.close(follower)
    os.write(leader, ("\n".join(ANSWERS) + "\n").encode())
    out, _ = process.communicate(timeout=60)
    os.close(leader)
    assert process.returncode == 0, out
    for refused in ("nowhereville", "9", "Mars/Olympus", "perhaps", "19", "-3", "0x3", "25:00"):
        assert f"“{refused}”" in out, refused
    facts = reader.read(tmp_path / "logbook.db")
    site = next(fact for fact in facts if isinstance(fact, Site))
    assert (site.name, site.eto_zone, site.code) == ("Tern Cottage", 3, "us-ca-washer")
    assert site.system_answers == (
        "new: yes", "dwelling: one-family", "only_washer: yes", "pipes_uncut: yes", "structure_changed: no",
        "potable_joint: no", "added_pump: no", "tank: no")
    assert site.code_edition == "2026-11"
    assert site.rain == "as logged" and site.monthly_rain_um is not None
    assert site.note is not None and "units guessed from Portland, Maine" in site.note and "zone" not in site.note
    assert f"{site.latitude_udeg / 1e6:.1f}" == "43.7"
    basins = {fact.name: fact for fact in facts if isinstance(fact, Basin)}
    assert (basins["Fig"].area_cm2, basins["Fig"].mulch_mm, basins["Fig"].canopy_cm2) == (23226, 102, 74322)
    assert basins["Rose"].canopy_cm2 == basins["Rose"].area_cm2
    assert [fact.basin for fact in facts if isinstance(fact, Outlet)] == ["Rose"]
    assert [fact.name for fact in facts if isinstance(fact, UsualLoad)] == ["towels", "diapers"]
    assert [fact.contents for fact in facts if isinstance(fact, UsualLoad)] == [(), ("diapers",)]


def test_leaving_half_way_makes_nothing(tmp_path: Path) -> None:
    leader, follower = pty.openpty()
    env = {**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db")}
    process = subprocess.Popen([sys.executable, "-m", "gwlog", "begin"], stdin=follower, stdout=subprocess.PIPE,
                               stderr=subprocess.STDOUT, env=env, text=True)
    os.close(follower)
    os.write(leader, b"davis\n\n3x4\n\x04")
    out, _ = process.communicate(timeout=60)
    os.close(leader)
    assert process.returncode == 130, out
    assert "Traceback" not in out
    assert not (tmp_path / "logbook.db").exists()


def test_a_household_in_few_words(gwlog: Runner, tmp_path: Path) -> None:
    answer = gwlog("begin", "--place", "Davis, CA", "--basin", "fig 4x6 ft", "--basin", "rose: 2 m across",
                   "--load", "towels", "--load", "baby diapers")
    assert answer.code == 0 and "assumed, since nobody said it: site: units, time zone" in answer.err + answer.out
    facts = reader.read(tmp_path / "logbook.db")
    assert [(fact.name, fact.contents) for fact in facts if isinstance(fact, UsualLoad)] == [
        ("towels", ()), ("baby diapers", ("diapers",))]
    assert [round(fact.area_cm2 / 1e4, 2) for fact in facts if isinstance(fact, Basin)] == [2.23, 3.14]
    (site,) = [fact for fact in facts if isinstance(fact, Site)]
    assert site.valve == "unknown" and site.note is not None and "Davis, California" in site.note
    assert gwlog("where", "baby diapers").code == 3


@pytest.mark.parametrize(("words", "told"), [
    (("--place", "portland", "--basin", "fig 4x6"), "could be Portland, "),
    (("--place", "davis", "--basin", "fig"), "must say what grows in the basin and how large it is"),
    (("--basin", "fig 3x4"), "go with a place"), (("--place", "davis", "--load", "towels"), "go with a place"),
    (("--place", "Nowhereville", "--basin", "fig 3x4"), "No town of 15,000 people"),
    (("--place", "SW1A 1AA", "--basin", "fig 3x4"), "no US ZIP code"),
    (("--place", "38.5", "--basin", "fig 3x4"), "No climate and time zone"),
    (("--place", "davis", "--basin", "fig 0x4"), "“0x4” is 0"),
    (("--place", "davis", "--basin", "fig 3x4", "--load", "25:00"), "“25:00” is no load's name"),
    (("site.toml", "--place", "davis"), "A site file already says everything"),
])
def test_few_words_that_cannot_be_used_make_nothing(gwlog: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                                   words: tuple[str, ...], told: str) -> None:
    monkeypatch.setenv("TZ", "UTC")
    answer = gwlog("begin", *words)
    assert answer.code == 2 and told in answer.err and "Traceback" not in answer.err
    assert not (tmp_path / "logbook.db").exists()
