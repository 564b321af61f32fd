"""The report's chapters on water and cover: loads and litres per basin and week, charts, mulch measured and kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gwlog.documents.record.model import BasinWeek, Record, Week
from gwlog.documents.record.week_labels import week_labels
from gwlog.documents.render.blocks import Amount, Block, Cell, Chart, Column, Heading, Para, litres, table
from gwlog.text import listed, plural
from gwlog.units import Reader

MOST_PER_TABLE = 5
MOST_WEEK_BARS = 110
"""Beyond about two years the bars of a chart stand for months."""


def basins_by_week(record: Record) -> Iterator[Block]:
    """The basins, a chart of each, and the table of weeks."""
    read = Reader(record.system)
    yield Heading(1, "Water at each basin")
    yield table("basins", (
        Column("basin", 1.2), Column("plants", 1.2), Column("soil", 1.5), Column("area", 0.7, "area", True),
        Column("soil can absorb per day", 0.9, "volume", True), Column("loads", 0.6, right=True),
        Column("received", 0.9, "volume", True), Column("days over the limit", 0.6, right=True),
        Column("sank below the roots, rain included", 1.1, "volume", True)), list(_totals(record)),
        "No basin was in use at the end of this period.")
    yield Para("The allowance is what the code's soil table lets a basin absorb; plants use far less. What the plants "
               "used (rain included) and what sank below their roots come from a daily balance after FAO Irrigation "
               "and Drainage Paper 56, with climate normals where no weather was measured.")
    for words in record.short:
        yield Para(words)
    charts = [chart for name in record.basin_names if any((chart := _chart(record, name)).bars)]
    if charts and record.full:
        yield Heading(2, f"Graywater at each basin, by the {charts[0].per}")
        yield Para("Gray bars: graywater. Short black lines: what the plants used, rain included. Dashed, where it "
                   "fits: what the soil can absorb.", of_charts=True)
        yield from charts
    weeks = record.weeks if record.full else tuple(
        week for week in record.weeks if any(basin.days_over for basin in week.basins.values()))
    yield Heading(2, "Week by week" if record.full else "Weeks with a day above the limit")
    if not weeks and record.weeks:
        yield Para("No basin received more in a day than its soil can absorb; the full annex has every week.")
        return
    names = [name for name in record.basin_names
             if any(week.basins[name].loads for week in record.weeks if name in week.basins)]
    dry = [name for name in record.basin_names if name not in names]
    if dry:
        yield Para(f"No graywater went to {listed(dry)} in this period.")
    tables = max(1, -(-len(names) // MOST_PER_TABLE))
    each = max(1, -(-len(names) // tables))
    for first in range(0, max(1, len(names)), each):
        part = names[first:first + each]
        yield table("weeks" if first == 0 else f"weeks {first // each + 1}",
                    (*_week_columns(), *(column for name in part for column in _basin_columns(name))),
                    [(*_week_cells(week), *(cell for name in part for cell in _basin_cells(week.basins.get(name))))
                     for week in weeks], "No week.")
    if names:
        allowances = [f"{name} {read.volume(week.basins[name].allowance_l)}" for week in record.weeks[-1:]
                      for name in names if name in week.basins]
        days = (record.weeks[-1].last - record.weeks[-1].first).days + 1
        yield Para(f"Each basin: water, and loads of which it received a part. Limit over the last "
                   f"{plural(days, 'day')} shown: {'; '.join(allowances) or 'none'}. A * marks a week with a day above "
                   "the day's limit.")


def _week_columns() -> tuple[Column, ...]:
    return (Column("week from", 1.3), Column("loads", 0.6, right=True), Column("water", 0.8, "volume", True),
            Column("to sewer", 0.6, right=True), Column("water to sewer", 0.8, "volume", True))


def _week_cells(week: Week) -> tuple[Cell, ...]:
    return week.first, week.loads, litres(week.litres), week.sewer_loads, litres(week.sewer_l)


def _basin_columns(name: str) -> tuple[Column, ...]:
    return Column(name, 0.95, "volume", True), Column("*", 0.15), Column("loads", 0.5, right=True)


def _basin_cells(week: BasinWeek | None) -> tuple[Cell, ...]:
    if week is None or not week.loads:
        return None, "", None
    return litres(week.litres), "*" if week.days_over else "", week.loads


def _totals(record: Record) -> Iterator[tuple[Cell, ...]]:
    described = {basin.name: basin for basin in record.basins}
    for name in dict.fromkeys((*described, *record.basin_names)):
        weeks = [week.basins[name] for week in record.weeks if name in week.basins]
        lost = [week.percolated_l for week in weeks if week.percolated_l is not None]
        got: tuple[Cell, ...] = (
            sum(week.loads for week in weeks), litres(round(sum(week.litres for week in weeks), 3)),
            sum(week.days_over for week in weeks), litres(round(sum(lost), 3)) if lost else None)
        basin = described.get(name)
        if basin is None:
            yield (name, "no longer in use", None, None, None, *got)
        else:
            yield (name, basin.plants, basin.soil, Amount(basin.area_m2, "area"), litres(basin.allowance_l_per_day),
                   *got)


def _chart(record: Record, name: str) -> Chart:
    weeks = record.weeks
    if len(weeks) <= MOST_WEEK_BARS:
        groups: Sequence[Sequence[Week]] = [[week] for week in weeks]
        per = "week"
    else:
        months: dict[tuple[int, int], list[Week]] = {}
        for week in weeks:
            months.setdefault((week.first.year, week.first.month), []).append(week)
        groups, per = list(months.values()), "month"
    bars, used, allowance = [], [], []
    for group in groups:
        in_use = [week.basins[name] for week in group if name in week.basins]
        bars.append(sum(week.litres for week in in_use))
        known = [week.used_l for week in in_use if week.used_l is not None]
        used.append(sum(known) if known else None)
        allowance.append(sum(week.allowance_l for week in in_use))
    labels = week_labels([group[0].first for group in groups], per)
    return Chart(name, tuple(bars), tuple(used), tuple(allowance), labels, per)


def cover(record: Record) -> Iterator[Block]:
    """Mulch measured, topped up, and where it stands at the end of the period."""
    read = Reader(record.system)
    least = record.profile.cover_mm.value
    yield Heading(1, "Mulch over the outlets")
    yield Para(f"The code requires {read.length(least)} of mulch, rock or soil over the point where the water "
               "comes out.")
    rows: list[tuple[Cell, ...]] = []
    for basin in record.basins:
        measured = [one for one in record.cover if one.basin == basin.name and one.action == "measured"]
        lowest = min((one.depth_mm for one in measured), default=None)
        rows.append((basin.name, len(measured), None if lowest is None else Amount(lowest, "length"),
                     sum(one.basin == basin.name and one.action == "added" for one in record.cover),
                     Amount(basin.cover_mm, "length"), "yes" if basin.cover_mm >= least else "NO", basin.cover_due))
    yield table("mulch by basin", (
        Column("basin", 1.6), Column("measured", 0.8, right=True), Column("least measured", 1.0, "length", True),
        Column("topped up", 0.8, right=True), Column("mulch at the end", 1.0, "length", True), Column("kept", 0.5),
        Column("next top-up due", 1.3)), rows, "No basin was in use at the end of this period.")
    lines = record.cover if record.full else tuple(
        one for one in record.cover if one.note or (one.action == "measured" and one.depth_mm < least))
    yield Heading(2, "Every measurement and top-up" if record.full else "Too thin when measured, or with a note")
    yield table("cover", (Column("entry", 0.5, right=True), Column("when", 1.3), Column("basin", 1.3),
                          Column("what", 0.8), Column("depth", 0.6, "length", True), Column("by", 0.8),
                          Column("note", 2.2)),
                [(str(one.id), one.at, one.basin, one.action, Amount(one.depth_mm, "length"), one.by, one.note)
                 for one in lines], "The mulch was neither measured nor topped up in this period."
                if not record.cover else "None; the full annex lists them all.")
