"""Where a figure of the trade comes from: its document, the edition, and how sure we are of it.

Every number in this folder is wrapped in one of these, so that a screen or a report can say so beside it. The
rows of the tables exist once each and are compared by identity, which also keeps the import cheap.
"""

from __future__ import annotations

import re
from typing import Generic, Literal, Protocol, TypeVar

from gwlog.values import dataclass

Sure = Literal["read", "copy", "memory", "household", "assumption", "common practice"]
SURE: tuple[Sure, ...] = ("read", "copy", "memory", "household", "assumption", "common practice")

ASSUMED = "working assumption"
"""The source named beside a figure that has none: chosen here, on the safe side where there is one."""

PRACTICE = "common practice of the trade"

CHECK_LOCAL = "check your local code"
"""What stands beside every figure of a code profile: codes differ by place and change by edition."""

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


@dataclass(frozen=True, slots=True)
class Sourced(Generic[T_co]):
    """A value with its source. `edition` is a year or a revision, empty where the source has none.

    `sure`: read in the document; read in a copy, or on an official page that restates it; from memory, agreeing with
    other sources or its own arithmetic; stated by the household with its citation; a working assumption without
    source; or common practice without source.
    """

    value: T_co
    source: str
    edition: str
    sure: Sure


class Cited(Protocol):
    """Anything that names its source: a Sourced value, a condition, a caution, a task of upkeep."""

    @property
    def source(self) -> str: ...

    @property
    def edition(self) -> str: ...

    @property
    def sure(self) -> Sure: ...


def citation(item: Cited) -> str:
    """Return the source as one line: “FAO Irrigation and Drainage Paper 56, table 19, 1998 (read)”."""
    return f"{item.source}{', ' if item.edition else ''}{item.edition} ({item.sure})"


_MARKS = {"read": "", "copy": "¹", "memory": "²", "assumption": "³", "common practice": "",
          "household": " (stated by the household)"}
_SURE = re.compile(r" \((" + "|".join(_MARKS) + r")\)")
MARKS_NOTE = ("Sources were checked in the document itself, except those marked ¹: checked in a copy or on an official "
              "page that restates it; ²: quoted, not re-checked; ³: our assumption.")
"""What the marks mean; stands once in a paper."""


def marked(words: str) -> str:
    """A text with citations as papers print it: how sure we are of each as a mark, told once by MARKS_NOTE."""
    return _SURE.sub(lambda found: _MARKS[found[1]], words)


def assumed(value: T, why: str = "") -> Sourced[T]:
    """Wrap a value that this project chose; `why` says on what ground."""
    return Sourced(value, f"{ASSUMED}: {why}" if why else ASSUMED, "", "assumption")
