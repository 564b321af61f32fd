"""`water`: other water than the machine's, as people type it; what they are told after it."""

from __future__ import annotations

import pytest

from tests.conftest import Runner

GALLON = 3.785411784


def missing(home: Runner, basin: str) -> float:
    return float(next(one["deficit_l"] for one in home("basins", "--json").json["basins"] if one["name"] == basin))


def test_an_amount_is_logged_and_what_is_missing_since_is_told(home: Runner) -> None:
    before = missing(home, "Fig")
    answer = home("water", "fig", "3gal", "--by", "ines", "--note", "evening")
    assert answer.code == 0, answer.err
    assert before - missing(home, "Fig") == pytest.approx(3 * GALLON, abs=0.01)
    logged, now, *more = answer.out.splitlines()
    assert logged.endswith("3 gal of other water to Fig (can).") and not more
    assert now == f"Fig: {missing(home, 'Fig') / GALLON:.0f} gal missing now."
    entry = home("entries", "--json", "--last", "1").json["entries"][0]
    assert (entry["kind"], entry["basin"], entry["volume_ml"], entry["way"], entry["recorded_by"], entry["note"]) == \
        ("other_water", "Fig", 11_356, "can", "Ines", "evening")


@pytest.mark.parametrize(("way", "told"), [
    ("can", None),
    ("hose", "Lay the drinking-water hose down at the basin by hand; it is never joined to the graywater"),
    ("flush", "never joined to the graywater pipe"), ("drip", "A drip line on drinking water is never joined"),
])
def test_a_hose_and_a_drip_line_are_never_joined_to_the_graywater_pipe(home: Runner, way: str,
                                                                       told: str | None) -> None:
    out = home("water", "fig", "--way", way, "--minutes", "20", "--flow", "2 gal/min").out
    assert "40 gal of other water" in out
    assert ("caution:" in out) is (told is not None)
    assert told is None or told in out


def test_what_the_roots_cannot_hold_is_told(home: Runner) -> None:
    assert "sink" not in home("water", "fig", "1gal").out
    lacks = missing(home, "Fig") / GALLON
    out = home("water", "fig", f"{lacks + 100:.3f} gal", "--way", "flush").out
    assert "About 100 gal of it will sink below the roots, and carries salt down with it." in out


def test_a_flush_that_is_due_is_noted_as_done_when_every_basin_had_it(home: Runner) -> None:
    done = 'gwlog done "flush the soil with drinking water"'
    assert f"When every basin is flushed: {done}" in home("water", "fig", "30gal", "--way", "flush").out
    assert done not in home("water", "fig", "30gal", "--way", "hose").out
    assert home("done", "flush the soil with drinking water").code == 0
    assert done not in home("water", "carrots", "30gal", "--way", "flush").out


def test_water_of_yesterday_says_when_and_is_found_in_the_log(home: Runner) -> None:
    answer = home("water", "carrots", "5 L", "--at", "yesterday 18:30")
    assert "Mon, Jul 13, 2026, 6:30 pm" in answer.err
    assert "1.3 gal of other water to Carrots (can)" in home("entries", "--kind", "other water").out


def test_a_correction_names_what_was_different(home: Runner) -> None:
    number = home("water", "fig", "3gal").out.split(":")[0].split()[1]
    out = home("correct", number, "--volume", "2gal", "--way", "drip").out
    assert f"corrects {number}: 2 gal of other water to Fig (drip)" in out
    assert home("withdraw", number, "--note", "it was the neighbour's").code == 0
    assert "withdrawn" in home("entries", "--all").out


def test_a_metric_household_reads_litres(home: Runner, tmp_path: object) -> None:
    site = home("setup", "show").out.replace('units = "us"', 'units = "metric"')
    from pathlib import Path

    path = Path(str(tmp_path)) / "metric.toml"
    path.write_text(site, encoding="utf-8")
    assert home("setup", "apply", str(path)).code == 0
    out = home("water", "fig", "12").out
    assert "12 L of other water to Fig (can)" in out
    assert f"Fig: {missing(home, 'Fig'):.0f} L missing now." in out
    assert "or 20 minutes at 6 L/min" in home("water", "fig").err
