"""A seal number as gwlog notes it, and a logbook that is not what was noted: values alone."""

from __future__ import annotations

from datetime import datetime

from gwlog.values import NamedTuple

ACCEPTED = "accepted"
"""The word on a line from which on the lines before it ask for nothing any more."""


class Noted(NamedTuple):
    """A seal number as it was noted: when, how many entries, the last one's hash; `mark`: “” or ACCEPTED."""

    at: str
    number: int
    hash: str
    mark: str = ""

    @property
    def line(self) -> str:
        """The line of the file, with its line feed."""
        return f"{self.at} {self.number}:{self.hash}{' ' if self.mark else ''}{self.mark}\n"

    @property
    def moment(self) -> datetime:
        """When it was noted."""
        return datetime.fromisoformat(self.at)


class Difference(NamedTuple):
    """A logbook that is not what was noted of it. `noted`: the seal number that it should hold; `head`: its last entry.

    `found`: the hash that stands there instead; None where the logbook ends before.
    """

    noted: Noted
    head: int
    found: str | None
