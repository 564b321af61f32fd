"""Catching up by typing: one line, one thing that happened, like “mon 9 towels” or “tue 7pm whites sewer, Ines”.

A line is [moment] what [, person] [, note]. Nothing is written here; a line is read and said back first.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from gwlog import clock, text
from gwlog.app import entries, water_and_soil
from gwlog.app.entries import with_facts
from gwlog.app.rain import rain
from gwlog.errors import AnswerChanged, BadInput, GwlogError
from gwlog.household import Household
from gwlog.journal.facts import OBSERVATIONS, OTHER_WATERS, Fact, WeatherDay
from gwlog.views.log import sentence

LONGEST_LINE = 400
MOMENT_WORDS = 6
SHAPES = (
    "mon 9 towels", "tue 7pm whites sewer, Ines", "yesterday towels Fig 20gal", "sun valve garden",
    "wed 18:30 move Hose Fig", "fri rain 0.4in", "rain 0.5in since sunday", "water Fig 3gal",
    "sat mulch Fig added 2in", "thu saw ponding Fig, by the path", "done flush the line",
)


@dataclass(frozen=True, slots=True)
class Caught:
    """A line that was understood: its entries, ready to append, and what they say.

    `by`: who wrote where the line named nobody, and `at` the moment at which it was read.
    """

    line: str
    facts: tuple[Fact, ...]
    said: str
    by: str | None
    at: datetime


def read_line(home: Household, line: str, *, by: str | None = None) -> Caught:
    """Read one line. `by`: who writes when the line names nobody.

    Raises BadInput where the line cannot be read, naming the words and what is accepted.
    """
    cleaned = text.one_line(line)
    if not cleaned:
        raise BadInput("The line is empty.", hint=f"Type one like: {SHAPES[0]}")
    if len(cleaned) > LONGEST_LINE:
        raise BadInput(f"The line has {len(cleaned):,} characters; use up to {LONGEST_LINE}.")
    head, *rest = (part.strip() for part in cleaned.split(","))
    person, note = _person_and_note(home, [part for part in rest if part], by)
    words = head.split()
    fault: GwlogError | None = None
    for count in range(min(MOMENT_WORDS, len(words)), -1, -1):
        at = " ".join(words[:count]) or None
        if at is not None and not _is_moment(home, at):
            continue
        try:
            author = entries.read_author(home, at=at, by=person, note=note)
            made = _what(home, words[count:], author, at)
        except GwlogError as problem:
            fault = fault or problem
            continue
        if isinstance(made, entries.LoadDraft):
            return Caught(cleaned, tuple(made.facts), _sentence(home, made.facts) + _against(made), by, home.now)
        return Caught(cleaned, tuple(made), _sentence(home, made), by, home.now)
    assert fault is not None  # no moment at all was tried last, so either it was read or something was wrong
    raise fault


def read_lines(home: Household, lines: Iterable[str], *, by: str | None = None) -> list[Caught]:
    """Read lines in order, each as if those before it were in the log already. Raises as `read_line`."""
    found: list[Caught] = []
    for line in lines:
        found.append(read_line(with_facts(home, [fact for one in found for fact in one.facts]), line, by=by))
    return found


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines that were read together, and their entries."""

    caught: tuple[Caught, ...]

    @property
    def facts(self) -> list[Fact]:
        """What is to be appended."""
        return [fact for one in self.caught for fact in one.facts]


def read_again(home: Household, lines: Sequence[Caught]) -> Lines:
    """The same lines on another state of the logbook, each at the moment at which it was read first.

    Raises as `read_line`, and AnswerChanged where a line says something else by now.
    """
    found = Lines(())
    for line in lines:
        then = with_facts(home.at(min(line.at, home.now)), found.facts)
        found = Lines((*found.caught, read_line(then, line.line, by=line.by)))
    now = next((new for new, old in zip(found.caught, lines, strict=True) if new.said != old.said), None)
    if now is not None:
        raise AnswerChanged(f"Nothing was logged: somebody else logged first. “{now.line}” now says: {now.said}.")
    return found


def _is_moment(home: Household, words: str) -> bool:
    try:
        clock.moment(words, home.now, home.zone)
    except BadInput:
        return False
    return True


def _person_and_note(home: Household, parts: Sequence[str], by: str | None) -> tuple[str | None, str | None]:
    people = [name for name, person in home.state.people.items() if person.active]
    notes, found = [], by
    for part in parts:
        name = next((one for one in people if one.casefold() == part.casefold()), None)
        if name is not None:
            found = name
        else:
            notes.append(part)
    return found, ", ".join(notes) or None


def _what(home: Household, words: Sequence[str], author: entries.Author, at: str | None
          ) -> Sequence[Fact] | entries.LoadDraft:
    if not words:
        raise BadInput("The line says when, but not what.", hint=f"Type one like: {SHAPES[0]}")
    first, rest = words[0].casefold(), list(words[1:])
    if first == "valve" and rest:
        return [entries.valve(home, " ".join(rest), author)]
    if first == "rain" and rest:
        amount, gauge, since = _parted(rest, "since")
        return [rain(home, amount, author, day=entries.day_of(home, at), since=since if gauge else None)]
    if first == "move" and rest:
        outlet, left = _take("outlet", rest, list(home.state.active_outlets()))
        return [entries.move(home, outlet, " ".join(_without(left, "to", "at")), author)]
    if first == "mulch" and rest:
        basin, left = _take("basin", rest, list(home.state.active_basins()))
        measured = any(word.casefold() == "measured" for word in left)
        depth = " ".join(word for word in left if word.casefold() not in ("added", "measured"))
        return [entries.mulch(home, basin, author, measured=depth) if measured else
                entries.mulch(home, basin, author, added=depth)]
    if first == "water" and rest:
        return [_water(home, rest, author)]
    if first in ("saw", "seen") and rest:
        kind, left = _take("observation", rest, OBSERVATIONS)
        return [entries.observe(home, kind, " ".join(_without(left, "at")) or None, author)]
    if first == "done" and rest:
        return [entries.done(home, " ".join(rest), author)]
    if first in ("settled", "resolved") and len(rest) == 1 and rest[0].isdecimal():
        return [entries.resolve(home, int(rest[0]), author)]
    return _load(home, words, author)


def _water(home: Household, words: Sequence[str], author: entries.Author) -> Fact:
    """Other water: “Fig 3gal”, “Fig 3 gal hose”, “Fig 20 min at 2 gal/min drip”."""
    basin, left = _take("basin", words, list(home.state.active_basins()))
    ways = [word.casefold() for word in left if word.casefold() in OTHER_WATERS]
    left = [word for word in left if word.casefold() not in (*OTHER_WATERS, "by")]
    first, at, flow = " ".join(left).partition(" at ")
    return water_and_soil.other_water(home, basin, author, amount=None if at else first or None,
                                      minutes=first if at else None, flow=flow or None,
                                      way=ways[-1] if ways else "can")


def _load(home: Household, words: Sequence[str], author: entries.Author) -> entries.LoadDraft:
    try:
        name, left = _take("usual load", words, entries.usual_load_names(home))
    except BadInput:
        if not words[0][:1].isdigit():
            raise
        raise BadInput(f"“{words[0][:20]}” is not a time of day or a usual load; write a time like 18:30, 7pm or "
                       "9.") from None
    left = _without(left, "to")
    volume = left.pop() if left and left[-1][0].isdigit() else None
    if volume is None and len(left) > 1 and left[-2][0].isdigit():
        volume = " ".join(left[-2:])
        left = left[:-2]
    return entries.load(home, name, author, volume=volume, to=" ".join(left) or None)


def _against(draft: entries.LoadDraft) -> str:
    """What speaks against a load that ran to the garden all the same: the truth is taken, and said."""
    if draft.went_to != "garden" or draft.answer.strength != "must":
        return ""
    return f"; kept as an exception: {draft.answer.reasons[0].text}"


def _take(what: str, words: Sequence[str], known: Sequence[str]) -> tuple[str, list[str]]:
    """The name that the words begin with, the longest that fits, and the words after it."""
    fault: BadInput | None = None
    for count in range(len(words), 0, -1):
        try:
            return text.pick(what, " ".join(words[:count]), known), list(words[count:])
        except BadInput as problem:
            fault = problem
    raise fault or BadInput(f"Which {what}?")


def _parted(words: Sequence[str], at: str) -> tuple[str, bool, str]:
    """The words before and behind a word, and whether it is there."""
    for number, word in enumerate(words):
        if word.casefold() == at:
            return " ".join(words[:number]), True, " ".join(words[number + 1:])
    return " ".join(words), False, ""


def _without(words: Sequence[str], *little: str) -> list[str]:
    return list(words[1:]) if words and words[0].casefold() in little else list(words)


def _sentence(home: Household, facts: Sequence[Fact]) -> str:
    first = facts[-1]
    when = "" if isinstance(first, WeatherDay) else f"{clock.echo(first.happened_at, home.zone)}: "
    words = when + ", ".join(sentence(home, fact) for fact in facts)
    words += f"; by {first.recorded_by}" if first.recorded_by else ""
    return words + (f"; “{first.note}”" if first.note else "")
