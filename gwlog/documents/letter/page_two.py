"""The second page: the last year in pictures, and how somebody without gwlog checks the record."""

from __future__ import annotations

from collections.abc import Iterator

from gwlog.documents.letter.model import Letter
from gwlog.documents.letter.panels import panels
from gwlog.documents.record.week_labels import week_labels
from gwlog.documents.render.blocks import Block, Chart, Heading, Para, Picture, Points
from gwlog.text import listed, plural
from gwlog.units import Reader

MOST_BASINS = 6
MOST_WEEKS = 53


def second_page(letter: Letter) -> Iterator[Block]:
    """The blocks of the second page."""
    yield from _pictures(letter)
    yield Heading(1, "How to check this record")
    yield from how_to_check(letter)


def charts(letter: Letter) -> list[Chart]:
    """Each basin's last 53 weeks, the gravest first: most days above what its soil can absorb, then the fullest."""
    weeks = letter.weeks[-MOST_WEEKS:]
    labels = week_labels([week.first for week in weeks], most=7)
    found = []
    for name in letter.basin_names:
        every = [week.basins.get(name) for week in weeks]
        if not any(one and one.litres for one in every):
            continue
        chart = Chart(name, tuple(one.litres if one else 0.0 for one in every), tuple(None for _ in every),
                      tuple(one.allowance_l if one else 0.0 for one in every), labels, "week")
        over = sum(one.days_over for one in every if one)
        fullest = max(one.litres / one.allowance_l if one.allowance_l else 9.0 for one in every if one and one.litres)
        found.append(((-over, -fullest), chart))
    return [chart for _, chart in sorted(found, key=lambda one: one[0])]


def _pictures(letter: Letter) -> Iterator[Block]:
    every = charts(letter)
    shown = every[:MOST_BASINS]
    weeks = letter.weeks[-MOST_WEEKS:]
    yield Heading(1, "The year in pictures" if len(letter.weeks) >= MOST_WEEKS else "The weeks in pictures")
    if not shown:
        yield Para("No water of the washing machine went to a basin in these weeks.")
        return
    what = f"The last {plural(len(weeks), 'week')}" if len(letter.weeks) > len(weeks) else \
        f"All {plural(len(weeks), 'week')}"
    yield Para(f"{what}. Each bar is the water that a basin got from the washing machine in a week; the dashed line is "
               "the limit: what the code lets its soil absorb in a week. Bars should stay below it.", of_charts=True)
    yield Picture(panels(letter.system, shown), " ".join(_spoken(letter, chart) for chart in shown))
    dry = [name for name in letter.basin_names if name not in {chart.title for chart in every}]
    left = len(every) - len(shown)
    said = []
    if left:
        said.append(f"{plural(left, 'more basin')} got water, none of them nearer to its limit than these.")
    if dry:
        some = f"{listed(dry[:4])}" if len(dry) <= 4 else f"{listed(dry[:3])} and {len(dry) - 3} others"
        said.append(f"No such water went to {some}.")
    if said:
        yield Para(" ".join(said))


def _spoken(letter: Letter, chart: Chart) -> str:
    """A basin's chart in a sentence."""
    read = Reader(letter.system)
    above = sum(got > most > 0 for got, most in zip(chart.bars, chart.allowance, strict=True))
    over = f"above that in {plural(above, 'week')}" if above else "never above that"
    return (f"{chart.title}: {read.volume(sum(chart.bars))} in {plural(len(chart.bars), 'week')}, at most "
            f"{read.volume(max(chart.bars))} a week; its soil can absorb {read.volume(max(chart.allowance))} a week, "
            f"{over}.")


def how_to_check(letter: Letter) -> Iterator[Block]:
    """What the seal shows and does not, and what to type."""
    number = letter.seal.number
    if number is None:
        yield Para("The logbook holds no entry yet; there is nothing to check.")
        return
    yield Para(f"The seal number of the record is {number}. Keep this letter, or note the number: it is the only way "
               "to see later that nothing before it was rewritten.", strong=True)
    yield Points((
        "What the seal shows: each entry is sealed together with the seal of the one before. An entry that was "
        "changed, removed or moved afterward breaks every seal from there on.",
        "What it shows only together with this number, kept by somebody else: that entries were not cut off at the "
        "end, and that the record was not rewritten as a whole.",
        "What no seal shows: that an entry is true, that everything was logged, or that a load ran when it says.",
    ))
    yield Para("To check it yourself, ask the household for the record pack, a file that ends in .zip. You need only a "
               "computer with Python 3.8 or later (python.org), not the household's program:")
    yield Points((
        "Unpack the file, and open a terminal in the folder that you get.",
        f"Type  python3 -I check_seal.py --noted {number}  (on Windows: py -I check_seal.py --noted {number}).",
        "“The pack holds.” is the answer you want; otherwise it names the first entry that does not hold. The "
        "program is short and can be read before it is run.",
    ), numbered=True)
    yield Para(f"With gwlog installed, the same is:  gwlog verify PACK.zip --noted {number}")
