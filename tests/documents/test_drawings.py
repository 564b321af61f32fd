"""The drawings of the system and of the basins: letters that can be read, words whole, a large garden in parts."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from gwlog.documents.drawings.pen import lines_of
from gwlog.documents.drawings.plan import plan_view, sheet_to_sketch_on
from gwlog.documents.drawings.system import schematics
from gwlog.documents.render.blocks import Picture
from gwlog.documents.render.faces import widths
from gwlog.household import Household
from gwlog.state import State
from tests.conftest import Runner
from tests.documents.conftest import Looker

SVG = "{http://www.w3.org/2000/svg}"
LONG = "Bougainvillea & rosemary along the southern garden wall, low"


@pytest.fixture
def state(home: Runner, looked: Looker) -> State:
    return looked().state


def larger(home: Household, count: int, name: str = "Bed {} by the wall") -> State:
    """The household with so many basins more."""
    first = next(iter(home.state.active_basins().values()))
    last = len(home.entries)
    more = [replace(first, id=last + n, name=name.format(n)) for n in range(1, count + 1)]
    return Household(home.path, home.now, [*home.entries, *more]).state


def within(picture: Picture) -> list[str]:
    """The words of a drawing, each of which lies within it and has at least 9.5 units."""
    root = ElementTree.fromstring(picture.svg)
    wide, high = map(float, root.attrib["viewBox"].split()[2:])
    assert wide == 510
    assert float(root.attrib["font-size"]) * picture.width_share >= 9.3
    words = []
    for one in root.iter(f"{SVG}text"):
        said = one.text or ""
        size = 9.5 * widths(bold=one.attrib.get("font-weight") == "bold").of(said)
        x = float(one.attrib["x"]) - {"start": 0, "middle": size / 2, "end": size}[one.attrib["text-anchor"]]
        assert x >= -0.5 and x + size <= wide + 0.5, said
        assert 0 < float(one.attrib["y"]) <= high, said
        words.append(said)
    return words


def test_the_system_is_drawn_once_with_every_part(state: State) -> None:
    (picture,) = schematics(state)
    words = within(picture)
    for part in ("VALVE", "AIR VENT", "LINE", "SEWER", "front loader", "18 gal a run", "Hose", "Pomegranate", "Fig"):
        assert part in words
    assert "Hose at Pomegranate" in picture.words


def test_a_large_garden_is_drawn_in_parts_that_fit_a_page(home: Runner, looked: Looker) -> None:
    pictures = list(schematics(larger(looked(), 60)))
    assert len(pictures) > 1
    drawn = [word for picture in pictures for word in within(picture)]
    assert all(any(f"Bed {n} by" in one for one in drawn) for n in range(1, 61))
    for picture in pictures:
        assert float(re.findall(r'viewBox="0 0 510 ([\d.]+)"', picture.svg)[0]) <= 600
    assert pictures[-1].caption.endswith(f"Drawing {len(pictures)} of {len(pictures)}.")


def test_long_names_are_folded_between_words(home: Runner, looked: Looker) -> None:
    (picture,) = schematics(larger(looked(), 2, LONG[:57] + " {}"))
    words = " ".join(within(picture))
    for word in LONG[:57].split():
        assert word in words
    assert all(one in LONG.split() for line in lines_of(LONG, 120) for one in line.split())


def test_the_plan_has_a_scale_in_the_households_unit_and_is_none_without_places(state: State) -> None:
    assert plan_view(state) is None
    for n, (name, basin) in enumerate(list(state.basins.items())):
        state.basins[name] = replace(basin, at_x_mm=n * 4000, at_y_mm=n * 900)
    picture = plan_view(state)
    assert picture is not None
    assert "10 ft" in within(picture)
    assert within(sheet_to_sketch_on()) == []
