"""What a reader of papers learns and what not, in words, before anything is written."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.documents.record.privacy import Privacy, privacy
from gwlog.documents.record.span import Span, span
from gwlog.journal.disclosure import EVERYTHING, INSPECTOR, LANDLORD, NEXT_TENANT
from gwlog.journal.facts import WashLoad
from gwlog.text import listed, plural

if TYPE_CHECKING:
    from gwlog.household import Household

CALLED = {LANDLORD: "The landlord", INSPECTOR: "The inspector", NEXT_TENANT: "The next tenant",
          EVERYTHING: "Whoever gets this"}
"""How a reader is called at the beginning of a sentence."""


def learns(home: Household, reader: str = LANDLORD, start: date | None = None, end: date | None = None, *,
           without_notes: bool | Collection[str] = False, roles: bool = False) -> tuple[tuple[str, ...],
                                                                                       tuple[str, ...]]:
    """What the reader learns from letter and annex, and what not, each in sentences.

    The notes of which the landlord is shown the words are quoted whole. Raises BadInput as the papers do.
    """
    words = privacy(home.entries, reader=reader, without_notes=without_notes, roles=roles)
    days = span(home, start, end, reader)
    if reader == LANDLORD:
        return tuple(_landlord(home, days, words)), tuple(_not_the_landlord(home, words))
    return tuple(_others(home, days, words)), tuple(_not_the_others(home, words, roles=roles))


def lines(home: Household, reader: str = LANDLORD, start: date | None = None, end: date | None = None, *,
          without_notes: bool | Collection[str] = False, roles: bool = False) -> list[str]:
    """The same as a page of lines."""
    shown, hidden = learns(home, reader, start, end, without_notes=without_notes, roles=roles)
    return [f"{CALLED[reader]} will learn:", *(f"  + {one}" for one in shown), "and will not learn:",
            *(f"  - {one}" for one in hidden)]


def _when(home: Household, days: Span) -> str:
    if days.empty:
        return "no whole week is over yet, so the letter holds no figure"
    return f"{clock.short_date(days.first, home.system)} to {clock.short_date(days.last, home.system)}"


def _landlord(home: Household, days: Span, words: Privacy) -> Iterator[str]:
    from gwlog.documents.letter.gather import Gathering

    made = Gathering(home, days, words).letter()
    yield f"Where the water went, by whole weeks: {_when(home, days)}."
    yield f"How much each basin got in a week. {_basins(home, words)}"
    if made.wrong:
        yield (f"{plural(len(made.wrong), 'load')} that had to go to the sewer and did not: in which week, to which "
               "basin, and in which week somebody saw to it.")
    for said in words.shown_sentences:
        yield f"Word for word, as you wrote it about such a load: “{said}”"
    seen = list(dict.fromkeys(one.what for one in made.seen))
    if seen:
        yield f"What was seen in the garden, by week: {listed(seen[:6])}{' and more' if len(seen) > 6 else ''}."
    yield f"Which conditions of the code were kept, and what shows that; {_tasks(made.tasks)}"
    yield f"How many entries there are, and the seal number {made.seal.number or '(none yet)'}."


def _basins(home: Household, words: Privacy) -> str:
    names = list(home.state.basin_history)
    as_called = [name for name in names if words.words(name) == name]
    changed = [f"“{name}” as “{words.words(name)}”" for name in names if words.words(name) != name]
    said = f"Basins are named as you call them: {listed(as_called)}." if as_called else ""
    return said + (f" Named otherwise, since the name tells of somebody: {listed(changed)}."
                   if changed else "")


def _tasks(tasks: Collection[object]) -> str:
    return f"how {plural(len(tasks), 'task')} of upkeep went." if tasks else "no upkeep was due."


def _not_the_landlord(home: Household, words: Privacy) -> Iterator[str]:
    yield "No day and no hour: nothing is told of less than a week."
    yield "No name of a person, and not how many of you there are or who did what."
    yield ("Why a load had to go to the sewer: nothing of what was in it, of products, or of what you call your loads; "
           "all such loads are told as “had to go to the sewer”.")
    quoted = len(words.shown_sentences)
    count = sum(bool(one.note) for one in home.entries) - quoted
    yield f"No note{' but those quoted above' if quoted else ''}: {plural(max(0, count), 'note')} left out."
    yield "What was seen about people, your own words for tasks of upkeep, plans, and the weather that you logged."
    yield ("What the record pack holds beside the letter is listed when you make it; names of basins and outlets stand "
           "open in it as you call them.")


def _others(home: Household, days: Span, words: Privacy) -> Iterator[str]:
    yield f"Every load, where it went and how much water it was, {'with its hour' if words.names else 'by its day'}: " \
          f"{_when(home, days)}."
    yield "Why a load had to go to the sewer, in plain words: also diapers, illness and the products in it."
    yield "On which days nobody ran the machine."
    yield "What was seen, also about illness; what was logged late, corrected or withdrawn, with the first wording."
    yield f"Basins, outlets, plants and products as you call them: {listed(list(home.state.basins)) or 'none'}."
    if days.earlier:
        yield "Of the households before: their exceptions, told apart and without a name."
    if words.names:
        people = list(dict.fromkeys(one.recorded_by for one in home.entries if one.recorded_by))
        yield f"Who logged what: {listed(people) or 'nobody is named'}." if not words.roles else \
            "Who logged what, by role: “resident 1” and so on."
    if words.notes:
        count = sum(bool(one.note) and one.KIND not in words.kinds for one in home.entries)
        yield f"Your notes, word for word: {plural(count, 'note')}."


def _not_the_others(home: Household, words: Privacy, *, roles: bool) -> Iterator[str]:
    if not words.names:
        loads = len({one.usual_load for one in home.entries if isinstance(one, WashLoad)})
        yield f"Who did what: no name of a person, and none of the {plural(loads, 'name')} that you gave to loads."
        yield "Your own words for tasks of upkeep, and at which hour anything was."
    elif roles:
        yield "People's names, where the papers write them; the entries in a pack keep them."
    if not words.notes:
        yield f"No note: {plural(sum(bool(one.note) for one in home.entries), 'note')} left out."
    elif words.kinds:
        left = sum(bool(one.note) and one.KIND in words.kinds for one in home.entries)
        yield f"{plural(left, 'note')} that you leave out."
    if words.names and not roles and not words.kinds:
        yield "Nothing is left out."
