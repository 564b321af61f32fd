"""The garden seen from above, in terminal cells: a box per basin at its place, where places are given.

x is to the right and y is up. Basins without a place follow in the order of the setup.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gwlog.household import Household

BOX_WIDTH, BOX_HEIGHT = 22, 4


@dataclass(frozen=True, slots=True)
class Box:
    """A basin's box: its upper left corner, in cells."""

    name: str
    x: int
    y: int

    def holds(self, x: int, y: int) -> bool:
        """Whether a cell lies in the box."""
        return self.x <= x < self.x + BOX_WIDTH and self.y <= y < self.y + BOX_HEIGHT

    def meets(self, x: int, y: int) -> bool:
        """Whether a box at (x, y) would touch this one."""
        return abs(self.x - x) < BOX_WIDTH + 1 and abs(self.y - y) < BOX_HEIGHT


@dataclass(frozen=True, slots=True)
class Drawing:
    """The boxes, the rows they take, whether all stand at places that were given; `marks`: outlets at theirs."""

    boxes: tuple[Box, ...]
    height: int
    placed: bool
    marks: tuple[tuple[str, int, int], ...] = ()


def draw(home: Household, width: int, height: int) -> Drawing:
    """Arrange the basins in `width` columns and, where they fit, `height` rows; no two boxes overlap."""
    basins = home.state.active_basins()
    given = {name: (b.at_x_mm, b.at_y_mm) for name, b in basins.items()
             if b.at_x_mm is not None and b.at_y_mm is not None}
    ends = {name: (o.at_x_mm, o.at_y_mm) for name, o in home.state.active_outlets().items()
            if o.at_x_mm is not None and o.at_y_mm is not None}
    boxes: list[Box] = []
    points: dict[str, tuple[int, int]] = {}
    if given:
        places = [*((f"basin {n}", at) for n, at in given.items()), *((f"outlet {n}", at) for n, at in ends.items())]
        spots = _scaled(dict(places), max(0, width - BOX_WIDTH), max(0, height - BOX_HEIGHT))
        wanted = {name: spots[f"basin {name}"] for name in given}
        points = {name: spots[f"outlet {name}"] for name in ends}
        for name, (x, y) in sorted(wanted.items(), key=lambda one: (one[1][1], one[1][0])):
            boxes.append(Box(name, *_nearest_free(boxes, x, y, width)))
    for name in basins:
        if name not in given:
            boxes.append(Box(name, *next(_free(boxes, width))))
    used = max((box.y + BOX_HEIGHT for box in boxes), default=1)
    free = tuple((name, x, y) for name, (x, y) in points.items()
                 if y < used and not any(box.y <= y < box.y + BOX_HEIGHT and box.x - 20 < x < box.x + BOX_WIDTH + 1
                                         for box in boxes))
    return Drawing(tuple(boxes), used, len(given) == len(basins) and bool(basins), free)


def _scaled(given: dict[str, tuple[int | None, int | None]], across: int, down: int) -> dict[str, tuple[int, int]]:
    xs, ys = [x or 0 for x, _ in given.values()], [y or 0 for _, y in given.values()]
    left, top = min(xs), max(ys)
    wide, deep = (max(xs) - left) or 1, (top - min(ys)) or 1
    return {name: (round(((x or 0) - left) * across / wide), round((top - (y or 0)) * down / deep))
            for name, (x, y) in given.items()}


def _nearest_free(boxes: list[Box], x: int, y: int, width: int) -> tuple[int, int]:
    if not any(box.meets(x, y) for box in boxes):
        return x, y
    lowest = max(box.y for box in boxes) + BOX_HEIGHT
    spots = [(column, row) for row in range(lowest + 1) for column in range(max(1, width - BOX_WIDTH + 1))]
    spots.sort(key=lambda spot: (abs(spot[0] - x) + 3 * abs(spot[1] - y), spot[1], spot[0]))
    return next((column, row) for column, row in spots if not any(box.meets(column, row) for box in boxes))


def _free(boxes: list[Box], width: int) -> Iterator[tuple[int, int]]:
    row = 0
    while True:
        for column in range(0, max(1, width - BOX_WIDTH + 1), BOX_WIDTH + 1):
            if not any(box.meets(column, row) for box in boxes):
                yield column, row
        row += 1


def neighbour(drawing: Drawing, name: str, dx: int, dy: int) -> str:
    """The basin next to `name` in a direction; the same where there is none."""
    here = next((box for box in drawing.boxes if box.name == name), None)
    if here is None:
        return drawing.boxes[0].name if drawing.boxes else name
    ahead = [(along + 2 * aside, box.name) for box in drawing.boxes if box.name != name
             for along, aside in [(((box.x - here.x) * dx, abs(box.y - here.y) * 4) if dx else
                                   ((box.y - here.y) * dy * 4, abs(box.x - here.x)))] if along > 0]
    return min(ahead)[1] if ahead else name
