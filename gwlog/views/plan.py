"""The rotation plan as people read it: turns, sewer days, a grid of days down and basins across, capacity."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.actions import Hint
from gwlog.decisions.told import first_line
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.text import listed, plural, wrap
from gwlog.values import dataclass

if TYPE_CHECKING:
    from gwlog.decisions.capacity import Capacity
    from gwlog.decisions.plan_cost import Weights
    from gwlog.decisions.rotation import Plan

WORTH_TELLING_L = 1.0
MUCH_MORE = 5.0
"""Water left over is not spoken of where the garden lacks so many times as much."""

SEWER_SHAPE = "▼"
IS_SHAPE = "◆"
CAME_SHAPE = "→"
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class GridRow:
    """One day of the plan: a cell for each basin, and what goes to the sewer (“” for nothing)."""

    day: date
    cells: tuple[str, ...]
    sewer: str


@dataclass(frozen=True, slots=True)
class Grid:
    """Days down, basins across. Outlets are told apart by the letter before their name in `outlets`."""

    basins: tuple[str, ...]
    outlets: tuple[tuple[str, str], ...]
    rows: tuple[GridRow, ...]


def grid(home: Household, plan: Plan) -> Grid:
    """Lay the plan out: “◆A” an outlet is there, “→A” it came there that day, then the litres it brings."""
    basins = tuple(home.garden.basins)
    letters = {name: chr(ord("A") + number % 26) for number, name in enumerate(plan.outlets)}
    shares = home.state.shares()
    at = dict(zip(plan.outlets, plan.at, strict=True))
    steps = list(plan.steps)
    rows = []
    for number, day in enumerate(plan.days):
        came: set[str] = set()
        lay: dict[str, set[str]] = {}
        graywater_l: dict[str, float] = {}
        sewer: list[str] = []
        for outlet, basin in at.items():
            lay.setdefault(basin, set()).add(outlet)
        for step in [s for s in steps if s.day == number]:
            if step.arrangement is None:
                sewer.append(step.load.name)
                continue
            for outlet, basin in zip(plan.outlets, step.arrangement, strict=True):
                if at[outlet] != basin:
                    at[outlet] = basin
                    came.add(outlet)
                    lay.setdefault(basin, set()).add(outlet)
                graywater_l[basin] = graywater_l.get(basin, 0.0) + step.load.litres * shares.get(outlet, 0.0)
        cells = tuple(_cell(home, lay.get(basin, set()), at, basin, came, letters, graywater_l.get(basin))
                      for basin in basins)
        rows.append(GridRow(day.day, cells, _sewer_cell(sewer)))
    return Grid(basins, tuple((letter, name) for name, letter in letters.items()), tuple(rows))


def _cell(home: Household, lay: set[str], at: dict[str, str], basin: str, came: set[str], letters: dict[str, str],
          litres: float | None) -> str:
    words = "".join((CAME_SHAPE if outlet in came and at[outlet] == basin else IS_SHAPE) + letters[outlet]
                    for outlet in sorted(lay))
    return f"{words} {home.reader.volume(litres)}" if litres else words


def _sewer_cell(loads: Sequence[str]) -> str:
    return f"{SEWER_SHAPE} sewer: {listed(list(dict.fromkeys(loads)))}" if loads else ""


def lines(home: Household, plan: Plan, width: int = 80, show: Callable[[Hint], str] = str) -> list[str]:
    """The plan as turns, sewer loads and totals, in lines of `width` columns. `show`: a sentence with its action."""
    read = home.reader
    page: list[str] = []
    if (first := permission_line(home, plan)) is not None:
        page += wrap(first, width)
    for one in short_words(home, plan):
        page += wrap(show(one), width)
    for move in plan.moves:
        page.append(f"{clock.echo_day(move.day, home.system)}: move {move.outlet} from {move.origin} to {move.basin}"
                    + (f", before load {move.before + 1} of the day" if move.before else ""))
    page += ["No outlet has to be moved."] if not plan.moves and plan.steps else []
    page.append("")
    for turn in plan.turns:
        days = " to ".join(clock.echo_day(day, home.system) for day in (turn.first, turn.last))
        page.append(f"{turn.outlet} at {turn.basin}: {days}, "
                    f"{plural(turn.loads, 'load')}, {read.volume(turn.volume_l)}")
        page += wrap(turn.reason, width, indent="    ", hang="    ") if turn.reason else []
    if plan.sewer:
        page += ["", "To the sewer"]
        for load in plan.sewer:
            page += wrap(f"{SEWER_SHAPE} {clock.echo_day(load.day, home.system)}: {load.load}, "
                         f"{read.volume(load.volume_l)}: {load.reason}", width, indent="  ", hang="      ")
    totals = plan.totals
    page += ["", *wrap(f"In total: {read.volume(totals.percolated_l)} sink below the roots beyond the leaching share, "
                       f"plants go short by {read.volume(totals.unmet_l)}, {read.volume(totals.sewer_l)} to the sewer, "
                       f"{plural(totals.moves, 'move')}.", width)]
    if plan.note:
        page += wrap(plan.note, width)
    for sentence in leaching_lines(home):
        page += wrap(sentence, width)
    page += [f"Not logged: {missed.name}, planned for {clock.echo(missed.when, home.zone)}."
             for missed in plan.missed]
    page += [problem.text for problem in plan.problems]
    return page


def permission_line(home: Household, plan: Plan) -> str | None:
    """What has to be settled before a load goes to the garden, where the plan sends one there."""
    return first_line(home.state) if any(one.arrangement is not None for one in plan.steps) else None


def leaching_lines(home: Household) -> list[str]:
    """The leaching that is owed: what of it a load pays, the plan counts as nothing."""
    owing = [basin for basin in home.garden.basins.values() if basin.owed is not None and basin.owed.litres > 0.0]
    if not owing:
        return []
    from gwlog.decisions.leaching_words import outlook

    return [f"Leaching owed: {outlook(basin, home.garden.today, home.reader, home.garden.sky)}" for basin in owing]


def short_words(home: Household, plan: Plan) -> list[Hint]:
    """A sentence for each basin that the plan leaves short, with the entry that logs the other water."""
    from gwlog.decisions.shortage_words import short_hint

    return [short_hint(one, home.reader) for one in plan.short]


def grid_lines(home: Household, plan: Plan) -> tuple[list[str], list[list[str]]]:
    """Head and rows of the grid, for a table."""
    made = grid(home, plan)
    head = ["day", *made.basins, "sewer"]
    return head, [[clock.echo_day(row.day, home.system), *row.cells, row.sewer] for row in made.rows]


def legend(home: Household, plan: Plan) -> str:
    """What the signs of the grid mean."""
    made = grid(home, plan)
    names = listed([f"{letter} {name}" for letter, name in made.outlets])
    return (f"{names}.  {IS_SHAPE} outlet is here, {CAME_SHAPE} moved here that day, "
            f"{SEWER_SHAPE} valve to sewer for that load.")


def capacity_lines(home: Household, capacity: Capacity, width: int = 80) -> list[str]:
    """What the garden can use against what the household makes, in plain words."""
    read = home.reader
    page = [f"The household makes about {read.volume(capacity.makes_l_per_week)} a week. The garden can use, a week:"]
    for first in (0, 6):
        page.append("  " + "  ".join(f"{MONTHS[m.month - 1]} {read.volume(m.uses_l_per_week)}"
                                     for m in capacity.months[first:first + 6]))
    lacks, rest, worst = capacity.lacks_l, capacity.rest_l, capacity.thirstiest
    if worst.lacks_l_per_week >= WORTH_TELLING_L:
        page += wrap(f"Over a year the garden could use about {read.volume(lacks)} more than the household makes, most "
                     f"in {MONTHS[worst.month - 1]}: {read.volume(worst.lacks_l_per_week)} a week. Without other water "
                     "plants go short then.", width)
    if capacity.sewer_share > 0.005 and lacks < MUCH_MORE * rest:
        page += wrap(f"Over a year about {capacity.sewer_share:.0%} of the water, {read.volume(rest)}, has to go to "
                     "the sewer: the garden cannot use all of it when it comes.", width)
        if capacity.plantings:
            month = month_name[capacity.plantings[0].month]
            page += wrap(f"In {month}, more plants could use the rest, for example " + listed(
                [f"{read.area(p.area_m2)} of {p.planting}" for p in capacity.plantings], "or") + ".", width)
    elif capacity.sewer_share <= 0.005 and capacity.makes_l_per_week > 0:
        page.append("The garden can use all of it.")
    for small in capacity.too_small:
        helps = [f"splitting the flow over {small.outlets} open outlets"]
        if small.area_m2 is not None:
            helps.insert(0, f"a basin of {read.area(small.area_m2)}")
        page += wrap(f"{small.basin} is too small for one usual load: it gets {read.volume(small.load_l)}, its plants "
                     f"readily use {read.volume(small.raw_l)}. {listed(helps, 'or').capitalize()} would help.", width)
    return page


def as_json(plan: Plan, capacity: Capacity) -> dict[str, Any]:
    """The plan for programs, with its moves and the capacity."""
    return {
        **plan.as_json(),
        "moves": [{"date": m.day.isoformat(), "outlet": m.outlet, "from": m.origin, "to": m.basin,
                   "before_load": m.before} for m in plan.moves],
        "missed": [{"load": m.name, "when": clock.iso(m.when)} for m in plan.missed],
        "note": plan.note,
        "capacity": capacity.as_json(),
    }


def read_weights(home: Household, typed: str | None) -> Weights | None:
    """Weights like “move=15,sewer=1.5” on top of the usual ones for the household's aim."""
    if typed is None:
        return None
    from gwlog.decisions.plan_cost import Weights
    from gwlog.text import pick
    from gwlog.values import replace

    usual = Weights.for_aim(home.state.site.aim if home.state.site else "plants")
    former = {"percolated": "sinking", "unmet": "thirst"}
    parts = {"sinking": "percolated", "thirst": "unmet", "sewer": "sewer", "move": "move", "left": "left"}
    chosen: dict[str, float] = {}
    for part in typed.split(","):
        name, _, value = part.partition("=")
        key = parts[pick("weight", former.get(name.strip().casefold(), name.strip()), list(parts))]
        try:
            chosen[key] = float(value)
        except ValueError:
            raise BadInput(f"“{part.strip()[:40]}” is not a weight; write them like move=15,sewer=1.5.") from None
    return replace(usual, **chosen)
