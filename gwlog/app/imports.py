"""What is brought into a logbook: measured weather, past loads, the entries of an export, a backup put back.

Each can be asked first what it would do: reading changes nothing, and writing is all or nothing. All raise BadInput
with every fault of a file, naming rows and what is accepted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog.errors import GwlogError
from gwlog.files import read_whole

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.importers.load_columns import UnknownWord
    from gwlog.importers.loads import LoadsImport
    from gwlog.importers.weather import Answers, WeatherImport
    from gwlog.journal.backup import Restored


Mind = Callable[[str], object]
"""Is told in words what went wrong after everything was written."""


@dataclass(frozen=True, slots=True)
class EntriesImport:
    """Entries that came in, or would: how many; the seal number “412:9f3a…” afterwards, None before."""

    entries: int
    seal_number: str | None


def weather(home: Household, file: Path, answers: Answers | None = None) -> WeatherImport:
    """Read a weather file; `days` of the result are to be appended. `answers`: units, format, station, rows left out.

    Raises importers.weather_question.Question where the file leaves one of them open.
    """
    from gwlog.importers.weather import Answers, read_weather_path

    return read_weather_path(file, home, answers or Answers())


def load_file(file: Path) -> bytes:
    """A spreadsheet of past loads, as bytes. Raises BadInput when it is too large or cannot be read."""
    from gwlog.importers.loads import LARGEST

    return read_whole(file, LARGEST, "use a spreadsheet of past loads")


def loads(home: Household, content: bytes, columns: Mapping[str, str], *, names: Mapping[str, str] | None = None,
          day_order: str = "ymd", leave_out: bool = False) -> LoadsImport:
    """Read past loads; `facts` of the result are to be appended.

    `columns`: what each column holds, as importers.load_columns.checked() accepts; `names`: the file's word -> the
    household's; `day_order`: ymd, dmy or mdy.
    """
    from gwlog.importers.loads import read_loads

    return read_loads(content, columns, home, names=names or {}, day_order=day_order, leave_out=leave_out)


def unknown_words(home: Household, content: bytes, columns: Mapping[str, str], names: Mapping[str, str]
                  ) -> list[UnknownWord]:
    """The words of a spreadsheet that name nothing of the household, each with what it could mean."""
    from gwlog.importers.load_columns import strange_words

    return strange_words(content, columns, home, names)


def entries(file: Path, logbook: Path, now: datetime, *, dry: bool = False,
            mind: Mind = lambda _: None) -> EntriesImport:
    """Fill an empty or new logbook from an export, a record pack or a handover, each link verified."""
    from gwlog.importers.entries import entries_in
    from gwlog.journal import exchange, export_file, reader

    content = export_file.entries_alone(read_whole(file, exchange.LARGEST, "no logbook is"))
    if content.startswith(b"PK"):
        content = entries_in(file)
    if dry:
        return EntriesImport(len(exchange.read_export(content)), None)
    count = exchange.import_into(logbook, content)
    taken_as_it_is(logbook, now, mind)
    try:
        number, digits, _ = reader.last_seal(logbook)
    except GwlogError:   # they came in, whatever the disk does after that
        return EntriesImport(count, None)
    return EntriesImport(count, f"{number}:{digits}")


def restore(file: Path, logbook: Path, now: datetime, *, dry: bool = False,
            mind: Mind = lambda _: None) -> Restored:
    """Put the logbook in a backup back after verifying it; what is there now is kept beside it.

    What was noted of later entries no longer counts: they were given up on purpose.
    """
    from gwlog.journal import backup

    if dry:
        return backup.examine(file, logbook)
    done = backup.restore(file, logbook, now=now)
    taken_as_it_is(logbook, now, mind)
    return done


def taken_as_it_is(logbook: Path, now: datetime, mind: Mind = lambda _: None) -> None:
    """Note that the logbook is in its present state on purpose; `mind` is told where that cannot be noted."""
    from gwlog.journal import noted_lines

    try:
        words = noted_lines.accept(logbook, now)
    except GwlogError as fault:
        words = f"The seal number could not be noted: {fault}"
    if words is not None:
        mind(words)
