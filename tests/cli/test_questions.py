"""`gwlog begin` by questions, in a real terminal (pty): wrong answers are asked again, the logbook is made."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

from gwlog.journal import reader
from gwlog.journal.facts import Basin, Outlet, Site, UsualLoad

ANSWERS = [
    "us", "Tern Cottage", "Mars/Olympus", "America/Los_Angeles", "north", "36.9", "2", "us-ca-washer",
    "one-family", "perhaps", "yes", "yes", "", "", "no", "no", "no", "no", "", "19", "3",
    "maybe", "yes", "front-load", "18gal",
    "Fig", "-3", "25", "", "sandy loam", "fig", "80ft2", "off the ground",
    "Rose", "12", "3in", "sandy clay", "rose", "", "none", "",
    "Hose", "rose", "garden", "towels, work clothes",
]


def test_the_questions_make_a_logbook(tmp_path: Path) -> None:
    leader, follower = pty.openpty()
    env = {**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db"), "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen([sys.executable, "-m", "gwlog", "begin"], stdin=follower, stdout=subprocess.PIPE,
                               stderr=subprocess.STDOUT, env=env, text=True)
    os.close(follower)
    os.write(leader, ("\n".join(ANSWERS) + "\n").encode())
    out, _ = process.communicate(timeout=60)
    os.close(leader)
    assert process.returncode == 0, out
    for refused in ("Mars/Olympus", "north", "perhaps", "19", "-3"):
        assert f"“{refused}”" in out, refused
    facts = reader.read(tmp_path / "logbook.db")
    site = next(fact for fact in facts if isinstance(fact, Site))
    assert (site.name, site.eto_zone, site.code) == ("Tern Cottage", 3, "us-ca-washer")
    assert site.system_answers == (
        "dwelling: one-family", "only_washer: yes", "pipes_uncut: yes", "structure_changed: no", "potable_joint: no",
        "added_pump: no", "tank: no")
    assert site.code_edition == "2026-11"
    assert site.rain == "as logged"
    basins = {fact.name: fact for fact in facts if isinstance(fact, Basin)}
    assert (basins["Fig"].area_cm2, basins["Fig"].mulch_mm, basins["Fig"].canopy_cm2) == (23226, 102, 74322)
    assert basins["Rose"].canopy_cm2 == basins["Rose"].area_cm2
    assert [fact.basin for fact in facts if isinstance(fact, Outlet)] == ["Rose"]
    assert [fact.name for fact in facts if isinstance(fact, UsualLoad)] == ["towels", "work clothes"]


def test_leaving_half_way_makes_nothing(tmp_path: Path) -> None:
    leader, follower = pty.openpty()
    env = {**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db")}
    process = subprocess.Popen([sys.executable, "-m", "gwlog", "begin"], stdin=follower, stdout=subprocess.PIPE,
                               stderr=subprocess.STDOUT, env=env, text=True)
    os.close(follower)
    os.write(leader, b"us\nTern Cottage\n\x04")
    out, _ = process.communicate(timeout=60)
    os.close(leader)
    assert process.returncode == 130, out
    assert "Traceback" not in out
    assert not (tmp_path / "logbook.db").exists()
