"""The one door to the logbook: what people say is decided on the very state that its entries are written after.

Where others wrote meanwhile, the household is looked at again and everything is decided anew.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, Generic, Protocol, TypeVar

from gwlog import clock
from gwlog.actions import Words
from gwlog.decisions.clock_faults import clock_words
from gwlog.errors import BadInput, WrittenMeanwhile
from gwlog.household import Household, look
from gwlog.journal import reader, writer
from gwlog.journal.facts import Fact
from gwlog.values import dataclass

TRIES = 4
"""So often a decision is made while others may write; after that they wait until it is written."""


class Drafted(Protocol):
    """Something that was decided and holds its entries, ready to append."""

    @property
    def facts(self) -> Sequence[Fact]: ...


T = TypeVar("T", bound="Fact | Sequence[Fact] | Drafted")
Mind = Callable[[Words], object]
Kept = Callable[[Sequence[Fact]], None]


@dataclass(frozen=True, slots=True)
class Logged(Generic[T]):
    """What was logged. `home`: the household as it was right before, on which `draft` was decided; `written`: its
    entries as they were stored, none where nothing was to be written.
    """

    home: Household
    draft: T
    written: list[Fact]


def _present() -> datetime:
    return clock.now()


def log(home: Household, decide: Callable[[Household], T], *, now: Callable[[], datetime] = _present,
        mind: Mind = lambda _: None, kept: Kept = lambda _: None) -> Logged[T]:
    """Append what `decide` makes of the household, all or nothing; `home` is the first look at it.

    `decide` may be asked several times and must change nothing. `mind` is told of a clock that looks wrong before
    anything is written, and of a seal number that could not be noted after it; `kept` of the entries as soon as they
    are. Raises what `decide` and the writer raise; then nothing was written.
    """
    after = home.head
    told = False
    untold: list[str] = []
    for _ in range(TRIES):
        draft = decide(home)
        facts = facts_of(draft)
        if not told and facts:
            _mind_clock(home, now(), mind)
            told = True
        try:
            with _uninterrupted():
                written = writer.append(home.path, facts, now=now(), after=after, noted=_notes_used(home, facts),
                                        attached=attached_of(draft), trouble=untold.append)
                kept(written)
            _tell(untold, mind)
            return Logged(home, draft, written)
        except WrittenMeanwhile as moved:
            before, home = home, _again(home, now)
            # Of a damaged logbook the rows and the seal may count differently; then nobody wrote, and it is no reason
            # to refuse.
            after = home.head if home.head != before.head else moved.last
    return _log_while_others_wait(home, decide, now, mind, kept)


def _log_while_others_wait(home: Household, decide: Callable[[Household], T], now: Callable[[], datetime],
                           mind: Mind, kept: Kept) -> Logged[T]:
    made: list[tuple[Household, T]] = []
    untold: list[str] = []

    def facts() -> Sequence[Fact]:
        then = _again(home, now)
        made.append((then, decide(then)))
        return facts_of(made[0][1])

    with _uninterrupted():
        written = writer.append_decided(home.path, facts, now, lambda: attached_of(made[0][1]),
                                        trouble=untold.append)
        kept(written)
    _tell(untold, mind)
    return Logged(*made[0], written)


def _tell(untold: Sequence[str], mind: Mind) -> None:
    """Tell what went wrong after the entries were written: they are known as kept by then."""
    for words in untold:
        mind(words)


def facts_of(draft: Fact | Sequence[Fact] | Drafted) -> list[Fact]:
    """The entries of what was decided."""
    if isinstance(draft, Fact):
        return [draft]
    return list(draft) if isinstance(draft, Sequence) else list(draft.facts)


def attached_of(draft: object) -> Sequence[bytes]:
    """The answers of witnesses that go with what was decided."""
    found: Sequence[bytes] = getattr(draft, "attached", ())
    return found


def describe(path: Path, facts: Sequence[Fact], now: datetime, kept: Kept = lambda _: None,
             mind: Mind = lambda _: None) -> list[Fact]:
    """Describe a household: in a new logbook, which is made whole or not at all, or in one that holds no entry.

    `mind` is told of a seal number that could not be noted. Raises BadInput where it holds some by now, and what the
    writer raises.
    """
    untold: list[str] = []
    try:
        with _uninterrupted():
            written = writer.append(path, facts, now=now, after=0, trouble=untold.append) \
                if os.path.lexists(path) else writer.create(path, facts, now=now, trouble=untold.append)
            kept(written)
        _tell(untold, mind)
        return written
    except WrittenMeanwhile:
        raise BadInput(f"The logbook {path} holds entries already; nothing was written.") from None


def erase_note(path: Path, number: int, now: Callable[[], datetime] = _present,
               kept: Callable[[], None] = lambda: None) -> tuple[int, ...]:
    """Erase the words of an entry's note for good, in each of its wordings; returns their numbers.

    Raises BadInput where it has none, and what the writer raises.
    """
    from gwlog.app import corrections
    from gwlog.journal.listing import asking

    for _ in range(TRIES):
        with asking(path, now()) as lists:
            noted, after = corrections.noted_wordings(lists, number), lists.highest
        try:
            with _uninterrupted():
                writer.withhold_note(path, *noted, after=after)
                kept()
            return noted
        except WrittenMeanwhile as moved:
            refused = moved
    raise refused


def _again(home: Household, now: Callable[[], datetime]) -> Household:
    return look(home.path, now().replace(microsecond=0))


def _notes_used(home: Household, facts: Sequence[Fact]) -> list[int]:
    """The corrected entries whose notes go on in their corrections: erased meanwhile, they must not come back."""
    corrected = {fact.corrects_id for fact in facts if fact.corrects_id is not None and fact.note is not None}
    return [entry.id for entry in home.entries if entry.id in corrected and entry.note is not None] \
        if corrected else []


def _mind_clock(home: Household, present: datetime, mind: Mind) -> None:
    last = reader.last_seal(home.path)[2]
    if last is not None and (words := clock_words(last, present, home.zone)):
        mind(words)


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Ctrl-C waits until what is being written is written or refused: whoever stopped it is then told which."""
    if threading.current_thread() is not threading.main_thread() or \
            signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield
        return
    asked: list[Any] = []
    signal.signal(signal.SIGINT, lambda *_: asked.append(True))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    if asked:
        raise KeyboardInterrupt
