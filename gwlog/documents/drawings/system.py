"""Draws the system from the setup: washer, valve, vent, line, outlets and basins.

A solid line is where an outlet lies at the drawing's date, a dashed one where it can be put.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gwlog.decisions.outlet_assignment import TOUCHES_FOOD
from gwlog.documents.drawings.pen import LEAD, WIDE, Pen, lines_of
from gwlog.documents.render.blocks import Picture
from gwlog.text import listed, plural
from gwlog.units import Reader

if TYPE_CHECKING:
    from gwlog.state import State

WASHER_WIDE, OUTLET_WIDE, BASIN_WIDE = 98.0, 88.0, 148.0
PIPE = 42.0
LEAST_HEIGHT, MOST_HEIGHT = 176.0, 540.0
GAP = 6.0
Lines = tuple[tuple[str, bool], ...]
EXPLAINED = ("Solid line: where an outlet is on the date of this manual. Dashed: where else it can reach. The far "
             "ends stay open: no valve, nozzle or plug there.")


@dataclass(frozen=True, slots=True)
class _Boxed:
    """A basin or an outlet with its lines of words and the height of its box."""

    name: str
    lines: Lines

    @property
    def high(self) -> float:
        return LEAD * len(self.lines) + 7


def schematics(state: State) -> Iterator[Picture]:
    """The drawing, in as many parts as it takes for the basins of a large garden."""
    groups: list[list[_Boxed]] = [[]]
    used = 0.0
    for one in _basins(state):
        if groups[-1] and used + one.high + GAP > MOST_HEIGHT:
            groups.append([])
            used = 0.0
        groups[-1].append(one)
        used += one.high + GAP
    for number, group in enumerate(groups, 1):
        svg, high = _drawn(state, group)
        part = f" Drawing {number} of {len(groups)}." if len(groups) > 1 else ""
        yield Picture(svg, _spoken(state, group) + part, min(1.0, MOST_HEIGHT * 1.1 / high), EXPLAINED + part)


def _read(state: State) -> Reader:
    return Reader("metric" if state.site is not None and state.site.units == "metric" else "us")


def _named(name: str, wide: float) -> Lines:
    return tuple((line, True) for line in lines_of(name, wide - 6, bold=True))


def _basins(state: State) -> Iterator[_Boxed]:
    read = _read(state)
    for basin in state.active_basins().values():
        remark = "no graywater: food in the soil" if basin.edible in TOUCHES_FOOD else \
            f"{basin.plants}, {read.area(basin.area_cm2 / 1e4)}"
        yield _Boxed(basin.name, (*_named(basin.name, BASIN_WIDE),
                                  *((line, False) for line in lines_of(remark, BASIN_WIDE - 6))))


def _spoken(state: State, basins: list[_Boxed]) -> str:
    washers = [one.name for one in state.washers.values() if one.active]
    lies = [f"{name} at {state.outlet_at[name].basin}" for name in state.active_outlets()]
    return (f"Drawing of the system: {listed(washers) or 'the washing machine'}, then the valve, which sends the water "
            f"down to the sewer or on past the air vent into the line; {plural(len(lies), 'outlet')}: "
            f"{listed(lies) or 'none'}. Basins: {listed([one.name for one in basins]) or 'none'}.")


def _drawn(state: State, basins: list[_Boxed]) -> tuple[str, float]:
    read, pen = _read(state), Pen()
    washers = [one for one in state.washers.values() if one.active]
    outlets = [_Boxed(name, _named(name, OUTLET_WIDE)) for name in state.active_outlets()]
    heads: list[Lines] = [(*_named(one.name, WASHER_WIDE), (f"{read.volume(one.volume_ml / 1000)} a run", False))
                          for one in washers]
    high = max(LEAST_HEIGHT, sum(one.high + GAP for one in basins), sum(one.high + GAP for one in outlets),
               20 + sum(LEAD * len(lines) + 20 for lines in heads))
    y = PIPE - (LEAD * len(heads[0]) + 10) / 2 if heads else 0.0
    for number, lines in enumerate(heads):
        tall = LEAD * len(lines) + 10
        pen.box(0.6, y, WASHER_WIDE, tall, lines)
        if number:
            pen.arrow(((WASHER_WIDE, y + tall / 2), (WASHER_WIDE + 12, y + tall / 2), (WASHER_WIDE + 12, PIPE)),
                      tip=False)
        y += tall + 10
    valve = WASHER_WIDE + 44
    pen.arrow(((WASHER_WIDE, PIPE), (valve - 11, PIPE)))
    pen.path(f"M{valve - 11} {PIPE}L{valve} {PIPE - 11}L{valve + 11} {PIPE}L{valve} {PIPE + 11}Z", thick=1.4)
    pen.words(valve, PIPE - 16, "VALVE", bold=True, anchor="middle")
    pen.words(valve + 12, PIPE - 5, "garden")
    pen.words(valve + 5, PIPE + 25, "sewer")
    pen.arrow(((valve, PIPE + 11), (valve, PIPE + 62)))
    pen.box(valve - 44, PIPE + 62, 88, 32, (("SEWER", True), ("the house's drain", False)))
    vent, trunk = valve + 58, valve + 84
    pen.arrow(((valve + 11, PIPE), (trunk, PIPE)), tip=False)
    pen.arrow(((vent, PIPE), (vent, PIPE - 20)), tip=False)
    pen.circle(vent, PIPE - 24, 4)
    pen.words(vent, PIPE - 31, "AIR VENT", bold=True, anchor="middle")
    pen.words(vent - 8, PIPE + 13, "LINE", bold=True)
    middle = _placed(pen, basins, WIDE - BASIN_WIDE - 1, BASIN_WIDE, high, rounded=6)
    out = _placed(pen, outlets, trunk + 16, OUTLET_WIDE, high)
    for name, at in out.items():
        pen.arrow(((trunk, PIPE), (trunk, at), (trunk + 16, at)))
        lies = state.outlet_at[name].basin
        for basin in dict.fromkeys((*state.reach(name), lies)):
            if basin in middle and (basin == lies or state.basins[basin].edible not in TOUCHES_FOOD):
                pen.arrow(((trunk + 16 + OUTLET_WIDE, at), (WIDE - BASIN_WIDE - 1, middle[basin])),
                          dashed=basin != lies)
    return pen.svg(high + 4), high + 4


def _placed(pen: Pen, boxes: list[_Boxed], x: float, wide: float, high: float, *,
            rounded: float = 0.0) -> dict[str, float]:
    """Draw boxes below each other over the whole height; the middle of each by its name."""
    spare = (high - sum(one.high for one in boxes)) / max(1, len(boxes))
    y, middle = 2 + spare / 2, {}
    for one in boxes:
        pen.box(x, y, wide, one.high, one.lines, rounded=rounded)
        middle[one.name] = y + one.high / 2
        y += one.high + spare
    return middle
