"""The errors that a person may see: each with a hint and an exit code, never a traceback."""

from __future__ import annotations

from collections.abc import Sequence

from gwlog.actions import Words

FINE = 0
FAILED = 1
BAD_INPUT = 2
DUE = 3
NOT_VERIFIED = 4
BUSY_OR_NEWER = 5
KEPT_UNSHOWN = 6


class GwlogError(Exception):
    """Something gwlog cannot do. `hint` says what would help; `exit_code` is the process's answer."""

    exit_code = FAILED

    def __init__(self, message: str, *, hint: Words | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return self.message


class BadInput(GwlogError):
    """A value that a person typed cannot be used: the message names it and what to use instead."""

    exit_code = BAD_INPUT


class SeveralFaults(BadInput):
    """Several faults of one input (a site file, a CSV file), told together."""

    def __init__(self, message: str, faults: Sequence[str], *, hint: Words | None = None) -> None:
        super().__init__(message, hint=hint)
        self.faults = tuple(faults)

    def __str__(self) -> str:
        return "\n".join((self.message, *(f"  {fault}" for fault in self.faults)))


class UnknownName(BadInput):
    """A name that is not in the logbook; the nearest one is offered, or its new name."""

    def __init__(self, what: str, name: str, known: Sequence[str], *, renamed: str | None = None) -> None:
        """`renamed`: what it is called now, where it was renamed."""
        from difflib import get_close_matches

        guessable = any(letter.isalpha() for letter in name)   # a figure is no misspelling of another one
        near = get_close_matches(name.casefold(), [k.casefold() for k in known], n=1, cutoff=0.5) if guessable else []
        offer = next((k for k in known if near and k.casefold() == near[0]), None)
        if renamed is not None:
            hint = f"It is called “{renamed}” now."
        elif offer is not None:
            hint = f"Did you mean “{offer}”?"
        elif known:
            hint = f"Choose from: {', '.join(known)}."
        else:
            hint = f"There is no {what} in this logbook yet."
        super().__init__(f"There is no {what} called “{name}”.", hint=hint)
        self.known = tuple(known)


class NoLogbook(GwlogError):
    """There is no logbook where one was looked for."""

    exit_code = BAD_INPUT


class NotALogbook(GwlogError):
    """The file exists but is not a gwlog logbook, or is damaged."""


class LogbookBusy(GwlogError):
    """Another process holds the write lock for longer than we wait."""

    exit_code = BUSY_OR_NEWER


class WrittenMeanwhile(LogbookBusy):
    """Others wrote between a decision and its writing, so it is to be made anew. `last`: the last entry by now."""

    def __init__(self, last: int) -> None:
        super().__init__("Others keep writing to the logbook; nothing was logged.",
                         hint="Try again in a moment.")
        self.last = last


class AnswerChanged(GwlogError):
    """What somebody agreed to is not what the logbook says any more: nothing is written, and they are told."""


class LogbookNewer(GwlogError):
    """The logbook was made by a newer gwlog."""

    exit_code = BUSY_OR_NEWER


class NotVerified(GwlogError):
    """The seal does not hold."""

    exit_code = NOT_VERIFIED
