"""The check values for plants through the year and for frozen ground, and that no check value is left unlooked at."""

from __future__ import annotations

import re
from itertools import accumulate, repeat
from pathlib import Path

import pytest

from gwlog.reference.seasons import LEAFLESS_KC
from gwlog.water.frost import FROZEN_ABOVE, THAWED_BELOW, next_index
from gwlog.water.growth import kc_of_day, kc_of_year
from gwlog.water.rootzone import depletion_fraction
from tests.reference.vectors import about, vector, vectors

DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

LEFT_OUT = {
    "sparse-tree": "a young crown's share follows a marked assumption of its own",
    "sparse-cover": "the same",
    "frost-depth": "frozen ground is told by an index, not by a depth",
    "kersten": "the same", "freezing-index": "the same",
    "leaching-requirement-frequent": "recalled, and less careful than the one for surface watering, which is used",
}
"""Topics whose formulas nothing here uses, and why."""


def test_a_season_of_fao_56_example_28() -> None:
    given, expected, within = vector("fao56-28")
    found = [kc_of_day(tuple(given["lengths"]), tuple(given["kc"]), day) for day in given["days"]]
    assert found == pytest.approx(expected["kc"], abs=within)


@pytest.mark.parametrize("name", [one for one in about("kc-months") if one != "olive-printed"])
def test_monthly_coefficients(name: str) -> None:
    given, expected, _ = vector(name)
    # the year here has a 29 February, which moves the months of the check values by a day
    year = list(kc_of_year(tuple(given["lengths"]), tuple(given["kc"]), given["start_day"], given["off"]))[:365]
    first, found = 0, []
    for days in DAYS:
        found.append(sum(year[first:first + days]) / days)
        first += days
    assert found == pytest.approx(expected["monthly"], abs=0.01)


def test_olives_as_printed_are_near_their_stages() -> None:
    _, printed, _ = vector("olive-printed")
    _, staged, _ = vector("months-olive-Spain-(footnote-24)-270")
    assert staged["monthly"] == pytest.approx(printed["monthly"], abs=0.1)


def test_the_depletion_fraction_of_a_day() -> None:
    given, expected, within = vector("p-adj")
    assert [depletion_fraction(one["p"], one["etc"]) for one in given] == pytest.approx(expected["p"], abs=within)


def test_after_leaf_fall() -> None:
    _, expected, _ = vector("winter")
    low, high = expected["after_leaf_drop_active_cover"]
    assert LEAFLESS_KC["mulch"].value == expected["after_leaf_drop_bare_or_mulched"]
    assert low < LEAFLESS_KC["growing"].value < high


def carried(mean_c: float, days: int, snow_cm: float = 0.0, start: float = 0.0) -> list[float]:
    return list(accumulate(repeat(mean_c, days), lambda index, mean: next_index(index, mean, snow_cm),
                           initial=start))[1:]


def test_the_frost_index_without_and_under_snow() -> None:
    given, expected, within = vector("cfgi-1")
    bare = carried(given["t_mean_c"], given["days"])
    assert next(n for n, one in enumerate(bare, 1) if one > THAWED_BELOW) == expected["day_over_55"]
    assert next(n for n, one in enumerate(bare, 1) if one > FROZEN_ABOVE) == expected["day_over_83"]
    assert bare[29] == pytest.approx(expected["f30"], abs=within)
    assert carried(given["t_mean_c"], 2000)[-1] == pytest.approx(expected["limit"], abs=within)
    given, expected, within = vector("cfgi-2")
    snowy = carried(given["t_mean_c"], given["days"], given["snow_cm"])
    assert snowy[59] == pytest.approx(expected["f60"], abs=within)
    assert next(n for n, one in enumerate(snowy, 1) if one > FROZEN_ABOVE) == expected["first_over_83"]


def test_thaw_and_the_mildest_frost_that_counts() -> None:
    _, expected, within = vector("cfgi-3")
    cold = carried(-5.0, 40)
    assert cold[-1] == pytest.approx(expected["f40"], abs=within)
    thaw = carried(4.0, 30, start=cold[-1])
    assert next(n for n, one in enumerate(thaw, 1) if one < THAWED_BELOW) == expected["below_55_on_thaw_day"]
    given, expected, within = vector("cfgi-4")
    for mean, limit, ever in zip(given["t_mean_c"], expected["limit"], expected["ever_over_83"], strict=True):
        held = carried(mean, 3000)
        assert held[-1] == pytest.approx(limit, abs=within) and (max(held) > FROZEN_ABOVE) is ever


def test_every_check_value_is_looked_at_or_left_out_for_a_reason() -> None:
    texts = [path.read_text(encoding="utf-8") for path in (Path(__file__).parents[1]).rglob("test_*.py")]
    said = set(re.findall(r'(?:vector|about)\(\s*"([^"]+)"', "\n".join(texts)))
    unseen = {name for name, one in vectors().items()
              if name not in said and one["topic"] not in said and one["topic"] not in LEFT_OUT
              and name not in ("borax", "perborate")}
    assert len(vectors()) == 96 and unseen == set()
