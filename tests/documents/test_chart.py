"""Charts: a scale that can be read, an allowance that is seen where it fits, and the same told in words."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.documents.render.blocks import Chart
from gwlog.documents.render.chart import SIZE, WIDE, drawn, spoken, ticks
from tests.documents.test_pdf import simple

SVG = "{http://www.w3.org/2000/svg}"
FIG = Chart("Fig", (37.85, 0.0, 75.7), (10.0, None, 20.0), (60.0, 60.0, 60.0), ("May 26", "", "Jun 26"), "week")


@given(st.floats(0.001, 1e9))
def test_a_scale_goes_from_nothing_beyond_the_highest_in_at_most_five_round_steps(top: float) -> None:
    scale = ticks(top)
    assert scale[0] == 0 and scale[-1] >= top * 0.999
    assert 2 <= len(scale) <= 6
    assert f"{scale[1]:.6e}"[0] in "125"
    assert scale[-2] < top


@pytest.mark.parametrize(("system", "figures"), [("us", ["0", "5", "10", "15", "20"]),
                                                 ("metric", ["0", "20", "40", "60", "80"])])
def test_the_figures_are_in_the_households_unit(system: str, figures: list[str]) -> None:
    words = [one.text for one in ElementTree.fromstring(drawn(simple(system=system), FIG)).iter(f"{SVG}text")]
    assert words == [*figures, "May 26", "Jun 26"]


def test_all_is_within_the_drawing_and_large_enough() -> None:
    root = ElementTree.fromstring(drawn(simple(), FIG))
    wide, high = map(float, root.attrib["viewBox"].split()[2:])
    assert wide == WIDE and float(root.attrib["font-size"]) == SIZE
    assert SIZE * (595.28 - 2 * 18 * 72 / 25.4) / WIDE >= 9.0   # on A4, the narrower paper
    for path in root.iter(f"{SVG}path"):
        assert all(0 <= float(x) <= wide + 0.1 and 0 <= float(y) <= high
                   for x, y in re.findall(r"M([\d.]+) ([\d.]+)", path.attrib["d"]))


def test_the_allowance_is_dashed_where_it_fits_and_told_where_it_does_not() -> None:
    assert FIG.allowance_fits
    far = Chart("Fig", (1.0,), (None,), (900.0,), ("",), "week")
    assert not far.allowance_fits
    assert far.top == 1.0


def test_the_words_say_what_the_bars_show() -> None:
    said = spoken(simple(), FIG)
    assert "3 weeks: 30 gal in all, up to 20 gal a week" in said
    assert "of or after Jun 26" in said and "Above what the soil can absorb: 1 week." in said
    assert "114 L in all" in spoken(simple(system="metric"), FIG)
