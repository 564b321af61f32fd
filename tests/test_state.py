"""The fold: a prefix and then the rest equals all at once; a correction equals having logged it right."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.history import History
from gwlog.journal.facts import (
    Basin,
    Fact,
    Mulch,
    Observation,
    Outlet,
    OutletMove,
    Resolution,
    Site,
    ValveSwitch,
    Washer,
    WashLoad,
    WeatherDay,
    Withdrawal,
    standing_entries,
)
from gwlog.state import State, fold
from gwlog.water.garden import garden

ZONE = "America/Los_Angeles"
START = datetime(2026, 3, 1, 8, tzinfo=UTC)


def setup() -> list[Fact]:
    """A site with two basins and two outlets, ids 1 to 6."""
    common = {"happened_at": START, "zone": ZONE, "recorded_at": START}
    basin = Basin(**common, id=3, name="Fig", area_cm2=20_000, mulch_mm=100, soil="sandy loam", texture="sandy loam",
                  plants="fig", canopy_cm2=60_000, plant_factor_milli=500, root_depth_mm=800, depletion_milli=500,
                  started=date(2026, 3, 1))
    return [
        Site(**common, id=1, name="Tern Cottage", latitude_udeg=36_900_000, units="us", occupants=2,
             code="us-ca-washer", eto_zone=3),
        Washer(**common, id=2, name="washer", machine="front-load", volume_ml=68_000),
        basin,
        replace(basin, id=4, name="Rose", area_cm2=9_000, canopy_cm2=12_000),
        Outlet(**common, id=5, name="Hose", basin="Fig"),
        Outlet(**common, id=6, name="Short hose", basin="Rose", reaches=("Rose",), share_milli=500),
    ]


def happenings() -> st.SearchStrategy[list[Fact]]:
    """Entries of every kind at arbitrary minutes of ninety days, numbered from 7 in the order they were written."""
    when = st.integers(0, 90 * 24 * 60).map(lambda minutes: START + timedelta(minutes=minutes))

    def common(kind: type[Fact], **fields: st.SearchStrategy[object]) -> st.SearchStrategy[Fact]:
        return st.builds(lambda happened_at, **rest: kind(happened_at=happened_at, recorded_at=happened_at, zone=ZONE,
                                                          **rest), when, **fields)

    places = st.sampled_from(["Fig", "Rose"])
    kinds = st.one_of(
        common(WashLoad, washer=st.just("washer"), volume_ml=st.integers(1_000, 150_000),
               went_to=st.sampled_from(["garden", "sewer"])),
        common(OutletMove, outlet=st.just("Hose"), basin=places),
        common(ValveSwitch, position=st.sampled_from(["garden", "sewer"])),
        common(Mulch, basin=places, action=st.sampled_from(["added", "measured"]), depth_mm=st.integers(1, 150)),
        common(WeatherDay, day=st.dates(date(2026, 3, 1), date(2026, 5, 30)), rain_um=st.integers(0, 60_000)),
        common(Observation, observed=st.sampled_from(["ponding", "odour"]), basin=places),
    )
    return st.lists(kinds, max_size=40).map(
        lambda made: [replace(fact, id=number) for number, fact in enumerate(made, start=7)])


def same(one: State, other: State) -> bool:
    return all(getattr(one, name) == getattr(other, name) for name in State.__slots__)


@settings(max_examples=60)
@given(happenings(), st.integers(0, 46))
def test_folding_a_prefix_and_then_the_rest_equals_folding_all(made: list[Fact], cut: int) -> None:
    facts = standing_entries([*setup(), *made]).facts
    prefix = fold(facts[:cut])
    kept = fold(facts[:cut])
    assert same(fold(facts[cut:], prefix), fold(facts))
    assert same(prefix, kept), "the start is left as it was"


@settings(max_examples=60)
@given(happenings(), st.data())
def test_a_correction_is_equivalent_to_having_logged_it_right(made: list[Fact], data: st.DataObject) -> None:
    loads = [fact for fact in made if isinstance(fact, WashLoad)]
    if not loads:
        return
    wrong = data.draw(st.sampled_from(loads))
    right = replace(wrong, volume_ml=data.draw(st.integers(1_000, 150_000)),
                    happened_at=wrong.happened_at + timedelta(minutes=data.draw(st.integers(-5_000, 5_000))))
    right = replace(right, happened_at=max(START, right.happened_at))
    correction = replace(right, id=7 + len(made), corrects_id=wrong.id)
    corrected = fold(standing_entries([*setup(), *made, correction]).facts)
    logged_right = fold(standing_entries([*setup(), *[right if fact is wrong else fact for fact in made]]).facts)
    for state in (corrected, logged_right):
        state.loads = History(replace(load, fact=replace(load.fact, corrects_id=None)) for load in state.loads)
    assert same(corrected, logged_right)
    now = START + timedelta(days=91)
    one, other = garden(corrected, now), garden(logged_right, now)
    assert {name: basin.ledger.days for name, basin in one.basins.items()} == \
        {name: basin.ledger.days for name, basin in other.basins.items()}


@settings(max_examples=40)
@given(happenings(), st.data())
def test_a_withdrawn_entry_is_as_if_it_had_never_been(made: list[Fact], data: st.DataObject) -> None:
    if not made:
        return
    struck = data.draw(st.sampled_from(made))
    end = START + timedelta(days=95)
    withdrawal = Withdrawal(id=7 + len(made), happened_at=end, recorded_at=end, zone=ZONE, withdraws_id=struck.id)
    assert same(fold(standing_entries([*setup(), *made, withdrawal]).facts),
                fold(standing_entries([*setup(), *[fact for fact in made if fact is not struck]]).facts))


@settings(max_examples=40)
@given(happenings())
def test_garden_water_is_divided_by_the_shares_and_none_is_lost(made: list[Fact]) -> None:
    state = fold(standing_entries([*setup(), *made]).facts)
    for load in state.loads:
        poured = sum(delivery.litres for delivery in load.deliveries)
        assert abs(poured - (load.litres if load.to_garden else 0.0)) < 1e-9
        assert len(load.deliveries) == (2 if load.to_garden else 0)


def test_nothing_is_known_before_the_first_entry() -> None:
    state = fold(standing_entries(setup()).facts, until=START - timedelta(seconds=1))
    assert (state.site, state.valve, state.active_basins(), state.zone) == (None, None, {}, "UTC")


def test_a_resolution_of_a_corrected_observation_finds_it() -> None:
    at = START + timedelta(days=1)
    common = {"happened_at": at, "recorded_at": at, "zone": ZONE}
    seen = Observation(**common, id=7, observed="odour", basin="Fig")
    entries = [*setup(), seen, replace(seen, id=8, observed="ponding", corrects_id=7),
               Resolution(**common, id=9, resolves_id=8)]
    state = fold(standing_entries(entries).facts)
    assert state.observations[7].observed == "ponding"
    assert state.open_observations() == []


def test_what_does_not_fit_together_is_told_with_a_way_out() -> None:
    at = START + timedelta(days=1)
    common = {"happened_at": at, "recorded_at": at, "zone": ZONE}
    state = fold(standing_entries([
        *setup(), WashLoad(**common, id=7, washer="washer", volume_ml=60_000, went_to="sewer"),
        OutletMove(**common, id=8, outlet="Short hose", basin="Fig"),
        OutletMove(**common, id=9, outlet="Long hose", basin="Fig"),
    ]).facts)
    assert [problem.entry_id for problem in state.problems] == [7, 8, 9]
    assert all(problem.way_out for problem in state.problems)
