"""The log as a list: each entry in a sentence, with what became of it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any

from gwlog import clock, text
from gwlog.decisions.reminder_model import FORMER_KINDS
from gwlog.household import Household
from gwlog.journal.facts import (
    Fact,
    Mulch,
    Observation,
    OtherWater,
    OutletMove,
    ReminderAnswer,
    Resolution,
    SoilReading,
    UpkeepDone,
    ValveSwitch,
    WashLoad,
    WeatherDay,
    Withdrawal,
)
from gwlog.units import show

STORED_ANSWERS = {"snoozed": "later"}
"""How logbooks store the answer to a reminder -> what it is called."""

DONE_BY_PEOPLE = (WashLoad, OutletMove, ValveSwitch, Mulch, OtherWater, SoilReading, Observation,
                  Resolution, UpkeepDone)
"""Kinds of entry for which it matters that they were written more than a day late."""


@dataclass(frozen=True, slots=True)
class LogRow:
    """One entry in the list. `fate`: “”, “corrected by 14”, “withdrawn by 15”, “corrects 12”."""

    id: int
    happened_at: datetime
    kind: str
    sentence: str
    by: str
    note: str
    fate: str
    exception: bool
    late: bool


def sentence(home: Household, fact: Fact) -> str:
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
        return fact.observed + (f" at {fact.basin}" if fact.basin else "")
    if isinstance(fact, Resolution):
        return f"{fact.resolves_id} resolved"
    if isinstance(fact, UpkeepDone):
        return f"done: {fact.task}"
    if isinstance(fact, ReminderAnswer):
        return _answer(home, fact)
    if isinstance(fact, Withdrawal):
        return f"{fact.withdraws_id} withdrawn"
    name = getattr(fact, "name", "")
    word = "described" if getattr(fact, "active", True) else "retired"
    # with its kind: a usual load, a planned load and a basin may bear the same name
    return f"{fact.KIND.replace('_', ' ')} {name} {word}"


def _answer(home: Household, fact: ReminderAnswer) -> str:
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


def _weather(home: Household, fact: WeatherDay) -> str:
    parts = []
    if fact.rain_um is not None:
        since = f" since {clock.echo_day(fact.rain_from)}" if fact.rain_from is not None else ""
        parts.append(f"rain {home.reader.rain(fact.rain_um / 1000)}{since}")
    measured = [("lowest", fact.tmin_mdegc), ("highest", fact.tmax_mdegc)]
    degrees = [(word, show(thousandths / 1000, "temperature", home.system))
               for word, thousandths in measured if thousandths is not None]
    if len(degrees) == 2:
        parts.append(f"{degrees[0][1]} to {degrees[1][1]}")
    parts += [f"{word} {value}" for word, value in degrees if len(degrees) == 1]
    return f"{clock.echo_day(fact.day)}: {', '.join(parts) or 'nothing measured'}"


def log_rows(home: Household, *, everything: bool = False) -> list[LogRow]:
    """Entries up to the moment looked at, in the order they happened; `everything` shows replaced ones too."""
    standing = home.standing
    wrong = {exception.load.fact.id for exception in home.exceptions}
    chosen = [e for e in (home.entries if everything else standing.facts) if e.happened_at <= home.now]
    first_written = {entry.id: entry.recorded_at for entry in home.entries if entry.corrects_id is None}
    rows = []
    for fact in sorted(chosen, key=lambda e: (e.happened_at, e.id)):
        # a correction made much later does not make late what was written in time
        written = first_written.get(standing.root.get(fact.id, fact.id), fact.recorded_at)
        late = (written - fact.happened_at).total_seconds() > 86_400 and isinstance(fact, DONE_BY_PEOPLE)
        rows.append(LogRow(fact.id, fact.happened_at, fact.KIND.replace("_", " "), sentence(home, fact),
                           fact.recorded_by or "", text.one_line(fact.note or ""), _fate(home, fact),
                           fact.id in wrong, late))
    return rows


def _fate(home: Household, fact: Fact) -> str:
    standing = home.standing
    if fact.id in standing.withdrawn:
        return f"withdrawn by {standing.withdrawn[fact.id]}"
    if fact.id in standing.root:
        return f"corrects {fact.corrects_id}"
    if fact.id in standing.replaced_by:
        by = standing.replaced_by[fact.id]
        while fact.corrects_id is not None and by in standing.replaced_by:  # the last wording, under its first number
            by = standing.replaced_by[by]
        return f"corrected by {by}"
    return ""


def history(home: Household, number: int) -> list[Fact]:
    """Every wording of one entry, first to last, and its withdrawal."""
    first = home.standing.root.get(number, number)
    return [entry for entry in home.entries
            if entry.id == first or home.standing.root.get(entry.id) == first
            or (isinstance(entry, Withdrawal) and
                home.standing.root.get(entry.withdraws_id, entry.withdraws_id) == first)]


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
