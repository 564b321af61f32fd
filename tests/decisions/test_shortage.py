"""What is said of basins that the plan leaves short: from when, how much other water, and when nothing is."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanLoad, PlanOutlet, Step, Weights
from gwlog.decisions.plan_search import search
from gwlog.decisions.shortage import AHEAD_DAYS, other_water, shortages
from gwlog.decisions.shortage_words import short_hint
from gwlog.units import Reader
from gwlog.water.basin import BasinSpec, day_numbers, day_step
from tests.decisions import exact

FIRST = date(2026, 7, 1)
SPEC = BasinSpec("fig", 2.0, 2.4, 2.4, 100.0, 400 / 2.4, 200 / 2.4, 5 / 6, 100.0)
"""TAW 400 L, RAW 200 L; 12 L a day at an ETo of 6 mm, of which the plants take 5 mm, so that p is the table's."""


def days(loads_on=(), eto=6.0, rain=0.0, number=AHEAD_DAYS):
    return tuple(PlanDay(FIRST + timedelta(n), eto, rain, (PlanLoad("wash", 60.0),) if n in loads_on else ())
                 for n in range(number))


def hose(*names):
    return PlanOutlet("hose", names, names[0])


def told(deficit, made, to_garden=True):
    steps = [Step(n, load, ("fig",) if to_garden else None) for n, day in enumerate(made) for load in day.loads]
    return shortages([PlanBasin(SPEC, deficit)], [hose("fig")], made, steps)


def test_a_dry_basin_without_a_load_is_short_from_today_with_what_keeps_it_unstressed():
    (short,) = told(240.0, days())
    # by hand: 40 L to come back to the RAW; Ks on the first day (400 - 240) / 200 = 0.8; then 12 L a day
    assert (short.basin, short.first) == ("fig", FIRST)
    assert short.other_water_l == pytest.approx(40.0 + 0.8 * 12 + 13 * 12)


def test_it_is_short_from_the_day_that_passes_the_raw():
    (short,) = told(150.0, days())
    assert short.first == FIRST + timedelta(4)   # 150 + 5 x 12 > 200
    assert short.other_water_l == pytest.approx(150 + 14 * 12 - 200)


def test_what_a_load_of_the_plan_cures_is_not_told():
    assert told(195.0, days(loads_on=(3, 8, 12))) == ()
    assert told(195.0, days(loads_on=(3, 8, 12)), to_garden=False) != ()


def test_a_few_days_at_the_end_of_the_plan_are_left_to_the_next_plan():
    assert told(200.0 - 12 * 9, days()) == ()


def test_a_young_plants_basin_says_why_it_asks_for_so_much():
    young = PlanBasin(replace(SPEC, share=0.1), 30.0)
    (short,) = shortages([young], [hose("fig")], days(), [])
    assert short.share == 0.1
    assert "spread over the whole basin: its young roots have reached 10% of it." in str(short_hint(short, Reader()))
    (grown,) = told(240.0, days())
    assert "roots" not in str(short_hint(grown, Reader()))


def test_near_wilting_is_told_even_if_a_load_comes_within_the_week():
    (short,) = told(385.0, days(loads_on=(2, 3, 4, 5, 6, 7)))
    assert short.first == FIRST


def test_rain_cures_as_a_load_does():
    assert told(240.0, days(rain=12.0)) == ()


@given(st.integers(0, 5_000), st.integers(1, 3))
@settings(max_examples=60, deadline=None)
def test_with_its_other_water_no_need_is_left_unmet(seed, dry):
    basins, outlet, made = exact.instance(seed, days=14, most=6)
    made = [replace(day, eto_mm=day.eto_mm * dry) for day in made]
    steps = search(basins, [outlet], made, Weights(), width=20).steps
    for short in shortages(basins, [outlet], made, steps):
        basin = next(one for one in basins if one.name == short.basin)
        deficit, outer = basin.deficit_l, basin.outer_l
        poured, rest = [0.0] * 14, short.other_water_l
        for step in steps:
            if step.arrangement == (short.basin,):
                poured[step.day] += step.load.litres
        first = (short.first - exact.FIRST).days
        raws = [day_numbers(basin.spec, 0.0, day.eto_mm, day.rain_mm).raw_l for day in made]
        felt = [*raws[1:], raws[-1]]
        for number, day in enumerate(made):
            alone = day_step(basin.spec, deficit, day.eto_mm, day.rain_mm, poured[number], outer)
            bring = max(0.0, alone.deficit_l - felt[number]) if number >= first else 0.0
            end = day_step(basin.spec, deficit, day.eto_mm, day.rain_mm, poured[number] + bring, outer)
            while bring and end.deficit_l > felt[number] + 1e-6:   # what the TAW cut off
                bring += end.deficit_l - felt[number]
                end = day_step(basin.spec, deficit, day.eto_mm, day.rain_mm, poured[number] + bring, outer)
            if number > first:
                assert end.demand_l - end.used_l == pytest.approx(0.0, abs=1e-6)
            rest -= bring
            deficit, outer = end.deficit_l, end.outer_l
        assert rest == pytest.approx(0.0, abs=1e-4)


@given(st.integers(0, 5_000), st.floats(0.0, 60.0))
@settings(max_examples=60, deadline=None)
def test_more_water_never_raises_the_unmet_need(seed, more):
    # the same deliveries and one more: the account's unmet need and the other water that is asked for do not grow
    basins, _, made = exact.instance(seed, basins=1, days=14, most=6)
    basin = basins[0]
    poured = [sum(load.litres for load in day.loads) for day in made]
    for extra in range(0, 14, 3):
        given_more = [litres + (more if n == extra else 0.0) for n, litres in enumerate(poured)]
        assert unmet(basin, made, given_more) <= unmet(basin, made, poured) + 1e-6
        assert other_water(basin, made, given_more, 0) <= other_water(basin, made, poured, 0) + 1e-6


def unmet(basin, made, poured):
    deficit, total = basin.deficit_l, 0.0
    for day, litres in zip(made, poured, strict=True):
        end = day_step(basin.spec, deficit, day.eto_mm, day.rain_mm, litres)
        total += end.demand_l - end.used_l
        deficit = end.deficit_l
    return total


@given(st.integers(0, 2_000))
@settings(max_examples=15, deadline=None)
def test_a_basin_that_begins_wetter_never_makes_the_best_plan_dearer_in_need(seed):
    # of an exact small garden, with need alone at a price: every plan there is, counted out
    basins, outlet, made = exact.instance(seed, basins=2, days=6, most=5, wet=0.0)
    need = Weights(0.0, 2.0, 0.0, 0.0, 0.0)
    wetter = [replace(basin, deficit_l=basin.deficit_l * 0.8) for basin in basins]
    assert exact.exhaustive(wetter, outlet, made, need, rest=False) <= \
        exact.exhaustive(basins, outlet, made, need, rest=False) + 1e-6


def test_the_sentence_names_basin_day_water_and_the_entry_to_make():
    (short,) = told(240.0, days())
    words = str(short_hint(short, Reader("us")))
    assert words.startswith("fig lacks water from Wed, Jul 1 on")
    assert "54 gal of other water in the next two weeks" in words
    assert "gwlog water fig 54gal" in words
    assert "206 L" in str(short_hint(short, Reader("metric")))
