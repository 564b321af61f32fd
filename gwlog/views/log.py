"""The log as a list: each entry in a sentence, with what became of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Protocol

from gwlog import clock, text
from gwlog.decisions.attested_words import attested_words
from gwlog.decisions.reminder_model import FORMER_KINDS
from gwlog.journal.facts import (
    Attestation,
    Fact,
    Mulch,
    Observation,
    OtherWater,
    OutletMove,
    ReminderAnswer,
    Resolution,
    Site,
    SoilReading,
    UpkeepDone,
    ValveSwitch,
    WashLoad,
    WeatherDay,
    Withdrawal,
)
from gwlog.state import forecast_made_at
from gwlog.units import Reader, System, show
from gwlog.values import dataclass, fields

if TYPE_CHECKING:
    from gwlog.journal.listing import Listed, Lists

STORED_ANSWERS = {"snoozed": "later"}
"""How logbooks store the answer to a reminder -> what it is called."""

MOST_TAKEN_BACK = 4

DONE_BY_PEOPLE = (WashLoad, OutletMove, ValveSwitch, Mulch, OtherWater, SoilReading, Observation,
                  Resolution, UpkeepDone)
"""Kinds of entry for which it matters that they were written more than a day late."""


class Locale(Protocol):
    """The zone and the units in which entries are told; a household has them."""

    @property
    def zone(self) -> clock.Locale: ...
    @property
    def system(self) -> System: ...
    @property
    def reader(self) -> Reader: ...


@dataclass(frozen=True, slots=True)
class SiteLocale:
    """The zone and the units by the household's description alone; UTC and US units without one."""

    site: Site | None

    @property
    def zone(self) -> clock.Locale:
        return clock.locale(self.site.zone, self.site.units) if self.site else clock.locale("UTC", "us")

    @property
    def system(self) -> System:
        return "metric" if self.site is not None and self.site.units == "metric" else "us"

    @property
    def reader(self) -> Reader:
        return Reader(self.system)


@dataclass(frozen=True, slots=True)
class LogRow:
    """One entry in the list. `fate`: “”, “corrected by 14”, “withdrawn by 15”, “corrects 12”. `clock`: “”, or the
    mark of an entry that was written under a wrong clock.
    """

    fact: Fact
    id: int
    happened_at: datetime
    kind: str
    sentence: str
    by: str
    note: str
    fate: str
    exception: bool
    late: bool
    clock: str


def sentence(home: Locale, fact: Fact) -> str:
    """What an entry says, in the household's units."""
    read = home.reader
    if isinstance(fact, WashLoad):
        extra = f" ({text.listed(fact.contents)})" if fact.contents else ""
        return f"{fact.usual_load or 'load'}{extra}, {read.volume(fact.volume_ml / 1000)} to {fact.went_to}"
    if isinstance(fact, ValveSwitch):
        return f"valve to {fact.position}"
    if isinstance(fact, OutletMove):
        return f"{fact.outlet} to {fact.basin}"
    if isinstance(fact, Mulch):
        return f"{read.length(fact.depth_mm)} of mulch {fact.action} at {fact.basin}"
    if isinstance(fact, OtherWater):
        return f"{read.volume(fact.volume_ml / 1000)} of other water to {fact.basin} ({fact.way})"
    if isinstance(fact, SoilReading):
        return f"soil of {fact.basin}: {soil_words(fact)}"
    if isinstance(fact, WeatherDay):
        return _weather(home, fact)
    if isinstance(fact, Observation):
        return text.seen_word(fact.observed) + (f" at {fact.basin}" if fact.basin else "")
    if isinstance(fact, Resolution):
        return f"{fact.resolves_id} resolved"
    if isinstance(fact, UpkeepDone):
        return f"done: {fact.task}"
    if isinstance(fact, Attestation):
        return attested_words(fact)
    if isinstance(fact, ReminderAnswer):
        return _answer(home, fact)
    if isinstance(fact, Withdrawal):
        return f"{fact.withdraws_id} withdrawn"
    name = getattr(fact, "name", "")
    word = "described" if getattr(fact, "active", True) else "retired"
    # with its kind: a usual load, a planned load and a basin may bear the same name
    return f"{kind_words(fact.KIND)} {name} {word}"


def _answer(home: Locale, fact: ReminderAnswer) -> str:
    kind, _, rest = fact.key.partition("|")
    what = f"reminder “{FORMER_KINDS.get(kind, kind)}: {rest.rpartition('|')[0]}”"
    if fact.until is None:
        return f"{what} seen"
    return f"{what} put off until {clock.echo(datetime.fromisoformat(fact.until), home.zone)}"


def soil_words(fact: SoilReading) -> str:
    """What a soil test or a meter said: “EC 2.4 dS/m, SAR 6.1 (saturation extract)”."""
    measured = (
        ("EC", fact.ec_us_cm, 1000, " dS/m"), ("SAR", fact.sar_milli, 1000, ""), ("ESP", fact.esp_milli, 1000, " %"),
        ("boron", fact.boron_ug_l, 1000, " mg/L"), ("pH", fact.ph_milli, 1000, ""),
    )
    said = [f"{word} {value / per:.4g}{unit}" for word, value, per, unit in measured if value is not None]
    return f"{', '.join(said)} ({fact.extract} extract)"


def _weather(home: Locale, fact: WeatherDay) -> str:
    parts = []
    if fact.rain_um is not None:
        since = f" since {clock.echo_day(fact.rain_from, home.system)}" if fact.rain_from is not None else ""
        parts.append(f"rain {home.reader.rain(fact.rain_um / 1000)}{since}")
    measured = [("lowest", fact.tmin_mdegc), ("highest", fact.tmax_mdegc)]
    degrees = [(word, show(thousandths / 1000, "temperature", home.system))
               for word, thousandths in measured if thousandths is not None]
    if len(degrees) == 2:
        parts.append(f"{degrees[0][1]} to {degrees[1][1]}")
    parts += [f"{word} {value}" for word, value in degrees if len(degrees) == 1]
    made_at = forecast_made_at(fact)
    forecast = "" if made_at is None else f" (forecast of {clock.echo(made_at, home.zone)})"
    return f"{clock.echo_day(fact.day, home.system)}: {', '.join(parts) or 'nothing measured'}{forecast}"


def rows(lists: Lists, listed: Sequence[Listed], *, every: bool = False) -> list[LogRow]:
    """The rows of entries that were listed, in their order; `every` as they were asked for."""
    from gwlog.views.log_marks import against_a_must

    told_in = SiteLocale(lists.site)
    wrong = against_a_must(lists, [one.fact for one in listed], every=every)
    clocks = lists.clock_marks(listed)
    made = []
    for one in listed:
        fact = one.fact
        # a correction made much later does not make late what was written in time
        late = (one.first_recorded - fact.happened_at).total_seconds() > 86_400 and isinstance(fact, DONE_BY_PEOPLE)
        made.append(LogRow(fact, fact.id, fact.happened_at, kind_words(fact.KIND), sentence(told_in, fact),
                           fact.recorded_by or "", text.one_line(fact.note or ""),
                           lists.fates.told(fact, stands=not every), fact.id in wrong, late,
                           clocks.get(one.written) or clocks.get(fact.id, "")))
    return made


def marked(row: LogRow) -> str:
    """What a row says. What became of it stands before its words: behind them a narrow screen would cut it off."""
    marks = [word for word, holds in (("‼ exception", row.exception), ("late", row.late)) if holds]
    marks += filter(None, (row.clock, row.fate))
    return " · ".join([*([", ".join(marks)] if marks else []), text.one_line(row.sentence)])


def taken_back(home: Locale, batch: Sequence[Fact]) -> list[str]:
    """What was withdrawn together, in lines."""
    lines = [f"Taken back {fact.id}: {sentence(home, fact)}." for fact in batch[:MOST_TAKEN_BACK]]
    if len(batch) > MOST_TAKEN_BACK:
        lines.append(f"and {len(batch) - MOST_TAKEN_BACK} more; all {len(batch)} are withdrawn.")
    return lines


def kind_words(kind: str) -> str:
    """A kind of entry as people read it."""
    return kind.replace("_", " ")


def fact_json(fact: Fact) -> dict[str, Any]:
    """An entry with every field, times in ISO 8601, quantities in the units of their names."""
    shown: dict[str, Any] = {"kind": fact.KIND}
    for part in fields(fact):
        value = getattr(fact, part.name)
        if isinstance(value, datetime):
            value = clock.iso(value)
        elif isinstance(value, date):
            value = value.isoformat()
        elif isinstance(value, tuple):
            value = list(value)
        elif part.name == "answer":
            value = STORED_ANSWERS.get(value, value)
        shown[part.name] = value
    return shown
