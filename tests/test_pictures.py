"""The pictures in README.md are true to the demo household, small, and hold nothing from elsewhere."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import pytest
from rich.segment import Segment
from rich.style import Style

from demo_seed import story
from gwlog.household import Household
from gwlog.views import answers
from gwlog.views.basins import basin_views
from gwlog.views.load_list import load_rows
from gwlog.views.valve_and_outlets import place_rows
from tests.tools.pictures import PAPERS, PICTURES, SEED, TODAY, moment
from tests.tools.svg import picture

ROOT = Path(__file__).parents[1]
AGAIN = "draw them again: python -m tests.tools.pictures"


def lines(svg: str) -> list[str]:
    """The picture's words, a line for each row of the screen."""
    rows: dict[str, list[str]] = {}
    for part in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        rows.setdefault(part.attrib["y"], []).append(part.text or "")
    return [" ".join(parts) for parts in rows.values()]


@pytest.fixture(scope="module")
def demo() -> Household:
    """The household that the pictures show, at their moment. The file of this story is looked at in test_demo.py."""
    facts = [fact for batch in story(TODAY, seed=SEED) for fact in batch.facts]
    return Household(Path("unwritten.db"), moment(), facts)


def drawn(name: str) -> str:
    """One picture's SVG."""
    return (ROOT / ".pictures" / f"{name}.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", [*PICTURES, *PAPERS])
def test_a_picture_is_in_the_readme_small_and_by_itself(name: str) -> None:
    svg = drawn(name)
    assert f"(.pictures/{name}.svg)" in (ROOT / "README.md").read_text(encoding="utf-8")
    assert len(svg.encode()) < 150_000
    assert set(re.findall(r"https?://[^\"' )]+", svg)) == {"http://www.w3.org/2000/svg"}
    assert "python -m tests.tools.pictures" in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_pictures_show_the_demos_household_and_basins() -> None:
    site = tomllib.loads(files("gwlog.demo").joinpath("household.toml").read_text(encoding="utf-8"))
    today, garden = "\n".join(lines(drawn("today"))), "\n".join(lines(drawn("basin")))
    assert site["site"]["name"] in today and site["site"]["name"] in "\n".join(lines(drawn("plan")))
    for basin in site["basin"]:
        assert basin["name"] in today and basin["name"] in garden
    for outlet in site["outlet"]:
        assert f"◆ {outlet['name']}" in garden


def test_the_pictures_say_what_the_demo_says_that_day(demo: Household) -> None:
    today = lines(drawn("today"))
    for row in basin_views(demo):
        assert any(row.name in line and f"{row.shape} {row.short_standing}" in line and row.missing in line
                   for line in today), AGAIN
    for what, where, since in place_rows(demo):
        assert any(all(part in line for part in (what, where, since)) for line in today), AGAIN
    boxes = lines(drawn("load"))
    for load in load_rows(demo, list(demo.state.usual_loads)):
        assert any(load.name in line and load.volume in line and load.answer in line for line in boxes), AGAIN
    plan = "\n".join(lines(drawn("plan")))
    for move in demo.plan.moves:
        assert f"move {move.outlet} from {move.origin}" in plan, AGAIN


def test_the_readme_prints_what_the_demo_answers(demo: Household) -> None:
    answer = answers.lines(demo, demo.answer(demo.query("towels")), width=80)
    assert "$ gwlog where towels\n" + "\n".join(answer) + "\n```" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_papers_are_those_of_the_demo() -> None:
    site = tomllib.loads(files("gwlog.demo").joinpath("household.toml").read_text(encoding="utf-8"))
    card, record = ("\n".join(lines(drawn(name))) for name in PAPERS)
    assert site["site"]["name"] in record, AGAIN
    assert all(outlet["name"] in card for outlet in site["outlet"]) and "GARDEN" in card and "SEWER" in card, AGAIN


def test_a_picture_keeps_words_signs_and_looks() -> None:
    ink, ground = "#eeeeee", "#111111"
    svg = picture([[Segment("a <b> & c", Style(bold=True)), Segment("   "), Segment("ß", Style(bgcolor="#ff0000")),
                    Segment("x", Style(reverse=True)), Segment("y", Style(dim=True))]], 15, "t & t", ground, ink)
    assert lines(svg) == ["a <b> & c ß x y"]
    assert 'fill="#ff0000"' in svg and f'fill="{ink}"' in svg and f"fill:{ground}" in svg
    assert "fill:#8b8b8b" in svg  # 0.55 of 238 and 0.45 of 17
    assert ElementTree.fromstring(svg)[0].text == "t & t"
