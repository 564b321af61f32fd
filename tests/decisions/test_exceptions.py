"""Loads that ran to the garden against a rule: found, told with their reasons, and followed up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from gwlog.decisions import exceptions as judging
from gwlog.decisions.exceptions import LoadException, exceptions
from tests.decisions.home import Home, at, day

NOW = at(day(10))


def found(home: Home) -> list[LoadException]:
    return list(exceptions(home.state(NOW), home.garden(NOW)))


def bleach(home: Home) -> int:
    home.product("Snow", product_kind="bleach", chlorine_bleach=True)
    return home.load(day(3), products=("Snow",))


def harmless_then(home: Home) -> int:
    """The product was described anew after the load: as described then counts."""
    number = bleach(home)
    home.product("Snow", day(4), chlorine_bleach=False)
    return number


def ponding(home: Home) -> int:
    home.see("ponding", day(2), "Fig")
    return home.load(day(3))


def resolved_later(home: Home) -> int:
    seen = home.see("runoff", day(2), "Fig")
    number = home.load(day(3))
    home.resolve(seen, day(4))
    return number


def leak_somewhere(home: Home) -> int:
    home.see("leak", day(2))
    return home.load(day(3))


def illness(home: Home) -> int:
    home.see("illness", day(2))
    return home.load(day(3))


def soaked(home: Home) -> int:
    home.see("soaked ground", day(2))
    return home.load(day(3))


def surge(home: Home) -> int:
    return home.load(day(3), litres=151.0)


def allowance(home: Home) -> int:
    home.load(day(3), 7.0, litres=120.0)
    home.load(day(3), 8.0, litres=120.0)
    return home.load(day(3), 9.0, litres=70.0)   # 310 of 305.6 L


def rain_known(home: Home) -> int:
    home.weather(day(2), rain_um=13_000)
    return home.load(day(3))


def frost_known(home: Home) -> int:
    home.weather(day(3), tmax_mdegc=0)   # typed in the first hour of that day
    return home.load(day(3))


def thin_cover(home: Home) -> int:
    home.mulch("Fig", day(2), "measured", 45)
    number = home.load(day(3), litres=50.0)
    home.mulch("Fig", day(4), "added", 60)
    home.load(day(5), litres=50.0)
    return number


def less_mulch(home: Home) -> int:
    home.mulch("Fig", day(2), "measured", 80)
    return home.load(day(3), litres=130.0)   # 3 m2 x 80 mm x 0.5


def small_then(home: Home) -> int:
    """Its surge room was 120 L when the load ran, and is 150 L since the day after."""
    home.basin("Fig", mulch_mm=80)
    number = home.load(day(3), litres=130.0)
    home.basin("Fig", day(4))
    return number


@pytest.mark.parametrize(
    ("run", "rule", "says"),
    [
        (lambda home: home.load(day(3), contents=("diapers",)), "soiled", "diapers"),
        (lambda home: home.load(day(3), contents=("oil",), name=None), "oil", "This load contains oil"),
        (bleach, "chlorine bleach", "“Snow”"),
        (harmless_then, "chlorine bleach", "“Snow”"),
        (ponding, "ponding", "Ponding at Fig"),
        (resolved_later, "runoff", "Runoff at Fig"),
        (leak_somewhere, "leak", "Leak was logged"),
        (illness, "illness in the household", "Illness"),
        (soaked, "soaked ground", "Soaked ground"),
        (rain_known, "soaked ground", "As it was logged then: 0.51 in of rain"),
        (frost_known, "frozen ground", "below freezing"),
        (thin_cover, "cover", "down to 1.8 in"),
        (less_mulch, "surge room", "its mulch holds 32 gal"),
        (surge, "surge room", "40 gal at once"),
        (small_then, "surge room", "32 gal"),
        (allowance, "absorption allowance", "82 gal that day"),
    ],
)
def test_a_load_run_against_a_must(run: Callable[[Home], int], rule: str, says: str) -> None:
    home = Home()
    number = run(home)
    (one,) = found(home)
    assert one.load.fact.id == number
    assert [reason.rule for reason in one.reasons] == [rule]
    assert says in one.reasons[0].text
    assert one.reasons[0].strength == "must"
    assert one.reasons[0].source
    assert not one.followed_up


def other_basin(home: Home) -> None:
    home.basin("Quince")
    home.see("ponding", day(2), "Quince")
    home.load(day(3))


def resolved_before(home: Home) -> None:
    seen = home.see("ponding", day(1), "Fig")
    home.resolve(seen, day(2))
    home.load(day(3))


def harmful_since(home: Home) -> None:
    home.product("Snow")
    home.load(day(3), products=("Snow",))
    home.product("Snow", day(4), chlorine_bleach=True)


def rain_in_the_evening(home: Home) -> None:
    home.load(day(3))
    home.weather(day(3), rain_um=30_000)
    home.facts[-1] = replace(home.facts[-1], happened_at=at(day(3), 20.0))


def next_day(home: Home) -> None:
    for number in (3, 4):
        home.load(day(number), 7.0, litres=120.0)
        home.load(day(number), 8.0, litres=120.0)


@pytest.mark.parametrize(
    "run",
    [
        lambda home: home.load(day(3)),
        lambda home: home.load(day(3), contents=("diapers",), to="sewer"),
        lambda home: home.load(day(3), contents=("dye",)),   # a should is advice
        other_basin, resolved_before, harmful_since, next_day, rain_in_the_evening,
    ],
)
def test_a_load_that_is_none(run: Callable[[Home], object]) -> None:
    home = Home()
    run(home)
    assert found(home) == []


def test_the_codes_season_and_daily_limit_hold_as_the_site_was_described_then() -> None:
    home = Home(code="us-wa-1", occupants=2)   # 60 gal = 227 L a day, April to October, 4 in of cover
    home.basin("Fig", area_cm2=60_000, mulch_mm=200)
    home.load(day(3), 8.0, litres=150.0)
    over = home.load(day(3), 9.0, litres=80.0)
    winter = home.load(date(2026, 11, 1), 9.0, litres=20.0)
    california = replace(home.facts[0], id=99, code="us-ca-washer", happened_at=at(date(2026, 11, 2), 0.0))
    home.facts.append(california)
    home.load(date(2026, 11, 3), 9.0, litres=20.0)
    later = at(date(2026, 11, 4))
    judged = exceptions(home.state(later), replace(home.garden(at(day(1))), now=later))
    assert [(one.load.fact.id, [reason.rule for reason in one.reasons]) for one in judged] == [
        (over, ["daily limit"]), (winter, ["season"])]
    assert "the code allows 60 gal" in judged[0].reasons[0].text
    assert "November is outside" in judged[1].reasons[0].text


def test_each_outlets_basin_is_judged_by_what_it_got() -> None:
    home = Home(("Fig", "Quince"), ("Hose", "Far pipe"))
    home.move("Far pipe", "Quince", day(1))
    home.load(day(3), litres=290.0)            # 145 L each
    assert found(home) == []
    home.move("Far pipe", "Fig", day(4))
    home.load(day(5), litres=290.0)
    assert [one.reasons[0].rule for one in found(home)] == ["surge room"]


def test_all_musts_are_listed_and_a_resolution_follows_it_up() -> None:
    home = Home()
    home.see("ponding", day(2), "Fig")
    number = home.load(day(3), litres=151.0, contents=("diapers",))
    (one,) = found(home)
    assert [reason.rule for reason in one.reasons] == ["soiled", "ponding", "surge room"]
    home.resolve(number, day(4))
    (one,) = found(home)
    assert one.followed_up


def test_ten_years_of_loads_are_judged_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What repeats itself over thousands of loads is worked out once: counted, whatever the machine does besides."""
    home = Home(("Fig", "Quince"), ("Hose", "Far pipe"))
    home.move("Far pipe", "Quince", day(1))
    for year in range(10):
        for basin in ("Fig", "Quince"):
            home.mulch(basin, day(365 * year), "measured", 100)
            home.mulch(basin, day(365 * year + 180), "measured", 90)
    for number in range(4000):
        home.load(day(number * 9 // 10), 8.0 + number % 3, products=("plain liquid",),
                  contents=("oil",) if number % 50 == 0 else ())
    later = at(day(3650))
    state = home.state(later)
    water = replace(home.garden(at(day(1))), now=later)   # ten years of balance are not what is looked at here
    worked: Counter[str] = Counter()

    def counted(name: str) -> None:
        does = getattr(judging, name)

        def counting(*words: Any, **more: Any) -> Any:
            worked[name] += 1
            return does(*words, **more)

        monkeypatch.setattr(judging, name, counting)

    for name in ("load_reasons", "reckoning", "known_depth", "profile_at"):
        counted(name)
    assert len(exceptions(state, water)) == 80
    # two kinds of load; forty entries of mulch and the two descriptions before them; one description of the house
    assert worked["load_reasons"] == 2
    assert 40 <= worked["reckoning"] == worked["known_depth"] <= 42
    assert worked["profile_at"] == 1


def test_the_present_moment_limits_what_is_judged() -> None:
    home = Home()
    number = home.load(day(3), contents=("diapers",))
    state = home.state(NOW)
    before = exceptions(state, home.garden(at(day(3), 9.0) - timedelta(minutes=1)))
    assert before == ()
    assert [one.load.fact.id for one in exceptions(state, home.garden(at(day(3), 9.0)))] == [number]
