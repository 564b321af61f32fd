"""What can be ordered of the worker process, each order with what it needs; and how an order travels.

An order is one JSON object whose `work` says which of these it is; whatever does not fit is refused before any work.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from gwlog.journal.disclosure import LANDLORD
from gwlog.libraries import load

if TYPE_CHECKING:
    from pydantic import TypeAdapter


@dataclass(frozen=True, kw_only=True)
class _Order:
    """What every order has: the logbook (a path) and the moment at which it is looked at (aware)."""

    logbook: Path
    now: datetime


@dataclass(frozen=True, kw_only=True)
class Verify(_Order):
    """Verify the logbook, or `file`; `noted`: seal numbers noted earlier, or files that hold some."""

    file: Path | None = None
    noted: tuple[str, ...] = ()
    work: Literal["verify"] = "verify"


@dataclass(frozen=True, kw_only=True)
class Check(_Order):
    """Check the logbook and what lies around it; `repair`: what can be made anew is, after a copy."""

    repair: bool = False
    work: Literal["check"] = "check"


@dataclass(frozen=True, kw_only=True)
class _Written(_Order):
    """An order for a file or a folder: where it goes, and whether what is there may be replaced."""

    out: Path
    replace: bool = False


@dataclass(frozen=True, kw_only=True)
class Report(_Written):
    """The letter of a period (local days, both included; None: everything) for a reader, or its `annex`."""

    start: date | None = None
    end: date | None = None
    reader: str = LANDLORD
    annex: bool = False
    full: bool = False
    withhold: tuple[str, ...] = ()
    roles: bool = False
    paper: str | None = None
    font: Path | None = None
    work: Literal["report"] = "report"


@dataclass(frozen=True, kw_only=True)
class Manual(_Written):
    """The operation and maintenance manual."""

    paper: str | None = None
    font: Path | None = None
    work: Literal["manual"] = "manual"


@dataclass(frozen=True, kw_only=True)
class Card(_Written):
    """The page for the wall by the machine."""

    paper: str | None = None
    font: Path | None = None
    work: Literal["card"] = "card"


@dataclass(frozen=True, kw_only=True)
class Calendar(_Written):
    """The coming 60 days."""

    work: Literal["calendar"] = "calendar"


@dataclass(frozen=True, kw_only=True)
class Pack(_Written):
    """The record pack for a reader."""

    reader: str = LANDLORD
    withhold: tuple[str, ...] = ()
    noted: tuple[str, ...] = ()
    work: Literal["pack"] = "pack"


@dataclass(frozen=True, kw_only=True)
class Received(_Written):
    """The records of many homes in `folder`, told in one table."""

    folder: Path
    work: Literal["received"] = "received"


@dataclass(frozen=True, kw_only=True)
class Handover(_Written):
    """Everything for the next household."""

    work: Literal["handover"] = "handover"


@dataclass(frozen=True, kw_only=True)
class Export(_Written):
    """Every entry as JSON lines."""

    withhold: tuple[str, ...] = ()
    work: Literal["export"] = "export"


@dataclass(frozen=True, kw_only=True)
class Spreadsheets(_Written):
    """Every entry as CSV, one file per kind, into the folder `out`."""

    withhold: tuple[str, ...] = ()
    work: Literal["spreadsheets"] = "spreadsheets"


@dataclass(frozen=True, kw_only=True)
class SiteFile(_Written):
    """The setup as a site file."""

    work: Literal["site file"] = "site file"


@dataclass(frozen=True, kw_only=True)
class Backup(_Written):
    """A backup into the folder `out`; `keep`: how many are kept there (None: as many as usual)."""

    keep: int | None = None
    work: Literal["backup"] = "backup"


@dataclass(frozen=True, kw_only=True)
class Rehearse(_Order):
    """A season rehearsed over `days`, from today or from `first`, a day gone by, with the weather of a file or the
    usual one.
    """

    days: int
    weather: Path | None = None
    first: date | None = None
    work: Literal["rehearse"] = "rehearse"


@dataclass(frozen=True, kw_only=True)
class _Read(_Order):
    """An order that brings a file in; `dry`: only say what it would bring."""

    file: Path
    dry: bool = True


@dataclass(frozen=True, kw_only=True)
class Weather(_Read):
    """Days of weather. `units`, `format`, `station`: what the file does not say, as a person answered."""

    units: str | None = None
    format: str | None = None
    station: str | None = None
    leave_out: bool = False
    work: Literal["weather"] = "weather"


@dataclass(frozen=True, kw_only=True)
class Loads(_Read):
    """Past loads of a spreadsheet. `columns`: what each holds (None: only name the columns); `names`: its words."""

    columns: dict[str, str] | None = None
    names: dict[str, str] = field(default_factory=dict)
    day_order: str = "ymd"
    leave_out: bool = False
    work: Literal["loads"] = "loads"


@dataclass(frozen=True, kw_only=True)
class Restore(_Read):
    """A backup put back."""

    work: Literal["restore"] = "restore"


@dataclass(frozen=True, kw_only=True)
class Begin(_Read):
    """A logbook begun from a file."""

    work: Literal["begin"] = "begin"


Order = (Verify | Check | Report | Manual | Card | Calendar | Pack | Received | Handover | Export | Spreadsheets
         | SiteFile | Backup | Rehearse | Weather | Loads | Restore | Begin)


@cache
def _adapter() -> TypeAdapter[Order]:
    load("pydantic")
    from pydantic import Field, TypeAdapter

    return TypeAdapter(Annotated[Order, Field(discriminator="work")])


def as_json(order: Order) -> bytes:
    """The order as it travels to the worker."""
    return _adapter().dump_json(order)


def of_json(content: bytes) -> Order:
    """The order that as_json() wrote. Raises pydantic.ValidationError (a ValueError) for anything else."""
    return _adapter().validate_json(content)
