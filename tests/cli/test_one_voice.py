"""The commands, the calendar, the card and the screens' first lines tell the engine's answer and nothing else."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog import clock
from gwlog.documents.calendar_events import events
from gwlog.household import Household
from gwlog.views import answers, next_load, today
from tests.conftest import Runner
from tests.decisions import three_homes as homes

KEYS = {"load", "at", "verdict", "strength", "moves", "deliveries", "turn_valve", "turn_back_at", "reasons", "warnings",
        "other_way"}
SAME = ("verdict", "moves", "deliveries")


def test_where_today_and_plan_give_the_same_object(home: Runner) -> None:
    assert home("plan-load", "towels", "--on", "today 15:00").code == 0
    asked = home("where", "towels", "--json").json
    first = home("today", "--json").json["next"][0]
    planned = home("plan", "--json").json["loads"][0]
    for one in (asked, first, planned):
        assert one.keys() >= KEYS and one["load"] == "towels"
        assert [one[key] for key in SAME] == [asked[key] for key in SAME]
        assert all(move.keys() >= {"outlet", "from", "to"} for move in one["moves"])
        assert all(part.keys() == {"outlet", "basin", "volume_l"} for part in one["deliveries"])
        assert one["other_way"] is None or one["other_way"].keys() == {"verdict", "moves", "deliveries", "costs"}
    assert first == planned and datetime.fromisoformat(first["at"]).tzinfo is not None


def test_what_is_only_supposed_has_no_loads_of_its_own(home: Runner) -> None:
    assert home("plan-load", "towels", "--on", "today 15:00").code == 0
    assert home("plan", "--json", "--what-if", "no outlet moves before sunday").json["loads"] is None


def test_a_load_to_the_sewer_says_when_the_valve_may_go_back(home: Runner) -> None:
    answer = home("where", "whites", "--json").json
    assert answer["verdict"] == "sewer" and answer["turn_back_at"] is not None
    began = datetime.fromisoformat(answer["at"])
    assert datetime.fromisoformat(answer["turn_back_at"]) == began + timedelta(minutes=60)
    assert home("load", "whites", "--as-advised").code == 0
    page = home("today").out
    assert "The machine drains whites until 12:00" in page and "gwlog valve garden" in page
    assert not [one for one in home("reminders", "--json").json["reminders"] if one["kind"] == "valve to garden"]


def test_as_advised_logs_the_moves_the_valve_and_the_load(home: Runner) -> None:
    refused = home("load", "towels", "--as-advised", "--to", "garden")
    assert refused.code == 2 and "leave out --to" in refused.err
    answer = home("where", "towels", "--json").json
    said = home("load", "towels", "--as-advised").out
    for move in answer["moves"]:
        assert f"{move['outlet']} to {move['to']}" in said
    assert ("to the sewer" in said) == (answer["verdict"] == "sewer")
    assert all(part["basin"] in said for part in answer["deliveries"])


@pytest.mark.parametrize("step", range(0, 360, 45))
def test_the_calendar_puts_the_next_load_where_the_advice_does(step: int) -> None:
    made = homes.demo()
    home: Household = made.at(next(iter(homes.moments(made, homes.DEMO_DAY - timedelta(days=360 - step), 1))))
    first = next_load.next_loads(home)[0]
    load = first.expected
    assert load is not None
    if load.planned:
        wall = clock.local(load.when, home.zone).replace(tzinfo=None).isoformat(timespec="minutes")
        (event,) = [one for one in events(home) if one.key == f"load|{load.name}|{wall}"]
        where = first.why if first.verdict == "sewer" else " and ".join(answers.basins(first))
        assert event.description.endswith(f"to {first.verdict}: {where}")
    page = " ".join(today.lines(home))
    assert next_load.title(home, first) in page and answers.headline(first) in page


def test_every_household_gets_its_first_lines(gwlog: Runner, tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(gwlog("begin", "--example").out, encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    assert "Turn the valve to" in gwlog("today").out      # the log does not say where it stands
    assert gwlog("plan-load", "towels", "--drop").code == 0
    page = gwlog("today").out
    assert "No load is expected. If you wash now:" in page and "diapers  ▼ SEWER (must)" in page
    refused = gwlog("load", "towels")
    assert refused.code == 2 and "Nobody has logged where the valve is turned" in refused.err
