"""Rain that is typed ahead: the answer to “this load, now” knows of it as the plan does."""

from __future__ import annotations

import pytest

from gwlog.journal.facts import Outlet
from tests.decisions.home import Home, at, day


def wet_tomorrow(rain_um: int | None, deficit_ml: int) -> Home:
    home = Home(())
    home.basin("Fig", start_deficit_ml=deficit_ml)
    home.add(Outlet, day(0), 0.0, name="Hose", basin="Fig")
    home.valve("garden", day(0))
    if rain_um is not None:
        home.weather(day(2), typed=day(1), rain_um=rain_um)
    return home


@pytest.mark.parametrize(("rain_um", "deficit_ml", "verdict"), [
    (None, 90_000, "garden"), (2_000, 90_000, "garden"), (45_000, 90_000, "sewer"), (45_000, 300_000, "garden"),
])
def test_where_knows_of_tomorrows_rain_as_the_plan_does(rain_um: int | None, deficit_ml: int, verdict: str) -> None:
    """45 mm on 3 m2 are 135 L: with 90 L missing every litre poured today would sink away tomorrow, with 300 L none."""
    home = wet_tomorrow(rain_um, deficit_ml)
    now = at(day(1), 10.0)
    answer = home.verdict(now)
    assert answer.verdict == verdict
    planned = home.advice(now, [(now, "towels")]).plan()
    assert bool(planned.sewer) is (verdict == "sewer")


def test_the_reason_names_what_would_sink_away() -> None:
    answer = wet_tomorrow(45_000, 90_000).verdict(at(day(1), 10.0))
    assert answer.strength is None or answer.strength == "should"
    assert any("rain" in reason.text or "sink" in reason.text for reason in answer.reasons), answer.reasons
