"""The form that corrects an entry: the parts its kind has, each empty to leave it as it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields

from gwlog import clock, text
from gwlog.actions import Action, Hint
from gwlog.app import corrections, entries
from gwlog.app.forms.entries import corrected
from gwlog.app.forms.model import Field, FormSpec, Option, Values, word
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import EXTRACTS, OBSERVATIONS, OTHER_WATERS, VALVE, Fact, OutletMove
from gwlog.views.log import sentence

LABELS = {
    "extract": "Extract", "ec": "Conductivity", "sar": "SAR", "esp": "ESP", "boron": "Boron", "ph": "pH",
    "to": "To", "volume": "Water", "load_name": "Load", "product": "Products", "contents": "Contents",
    "outlet": "Outlet", "basin": "Basin", "depth": "Depth", "rain": "Rain", "since": "Since",
    "kind": "What", "task": "Task", "way": "Came by",
}
SEVERAL = ("product", "contents")
EMPTIED = "-"
"""Typed alone as the note, it removes the note."""

_COLUMN = {"to": ("went_to", "position"), "volume": ("volume_ml",), "load_name": ("usual_load",),
           "product": ("products",),
           "depth": ("depth_mm",), "rain": ("rain_um",), "since": ("rain_from",), "kind": ("observed",),
           "ec": ("ec_us_cm",), "sar": ("sar_milli",), "esp": ("esp_milli",),
           "boron": ("boron_ug_l",), "ph": ("ph_milli",)}


_THOUSANDTHS = {"ec": " dS/m", "sar": "", "esp": " %", "boron": " mg/L", "ph": ""}
"""Parts kept in thousandths, and the unit behind them."""


def correction_of(home: Household, number: int) -> FormSpec:
    """The form that corrects one entry. Raises BadInput where it cannot be corrected."""
    entry = entries.find_entry(home, number)
    parts = corrections.PARTS.get(type(entry))
    if parts is None:
        raise BadInput(f"Entry {number} is a {entry.KIND.replace('_', ' ')}; that cannot be corrected.",
                       hint=Hint("What happened can be withdrawn: ", Action("withdraw", number=number, note="WHY"),
                                 "; a description is changed in the setup: ", Action("setup")))
    if isinstance(entry, OutletMove):
        parts = tuple(part for part in parts if part != "to")
    when = clock.echo(entry.happened_at, home.zone)
    note = f"now: {text.one_line(entry.note)[:40]}; {EMPTIED} alone removes it" if entry.note else "unchanged"
    return FormSpec(
        f"correct {number}", f"Correct {number}: {sentence(home, entry)}",
        # not “by”: who writes now is not who did it then
        (*(_field(home, entry, part) for part in parts), Field("at", "When", hint=f"now: {when}"),
         Field("who", "Who", options=lambda then, _: [
             Option("", f"now: {entry.recorded_by or 'nobody named'}"),
             *(Option(name, name) for name, person in then.state.people.items() if person.active)]),
         Field("note", "Note", hint=note)),
        lambda then, values: _correct(then, number, parts, values), wrote=corrected)


def _field(home: Household, entry: Fact, part: str) -> Field:
    now = _now(home, entry, part)
    if part in SEVERAL:
        return Field(part, LABELS[part], hint=f"now: {now or 'none'}; several with commas, or: none")
    if _known(home, part) is None:
        return Field(part, LABELS[part], hint=f"now: {now}")
    return Field(part, LABELS[part], options=lambda then, _: [
        Option("", f"now: {now or 'none'}"),
        *(Option(known, known) for known in _known(then, part) or () if known != now)])


def _known(home: Household, part: str) -> Sequence[str] | None:
    """The words among which a part is chosen; None where it is typed."""
    state = home.state
    return {
        "to": lambda: VALVE, "load_name": lambda: entries.usual_load_names(home),
        "outlet": lambda: list(state.active_outlets()), "basin": lambda: list(state.active_basins()),
        "kind": lambda: OBSERVATIONS, "way": lambda: OTHER_WATERS, "extract": lambda: EXTRACTS,
        "task": lambda: [item.name for item in home.upkeep],
    }.get(part, lambda: None)()


def _now(home: Household, entry: Fact, part: str) -> str:
    """What the entry says now, in the household's units."""
    known = {field.name for field in fields(entry)}
    for name in _COLUMN.get(part, (part,)):
        if name in known:
            value = getattr(entry, name)
            if value is None:
                return "that day alone" if part == "since" else ""
            if part == "since":
                return f"{clock.echo_day(value, home.system)}; or: day, for that day alone"
            if part == "volume":
                return home.reader.volume(value / 1000)
            if part in _THOUSANDTHS:
                return f"{value / 1000:g}{_THOUSANDTHS[part]}"
            if part == "rain":
                return home.reader.rain(value / 1000)
            if part == "depth":
                return home.reader.length(value)
            return ", ".join(value) if isinstance(value, tuple) else str(value)
    return ""


def _correct(home: Household, number: int, parts: Sequence[str], values: Values) -> Sequence[Fact]:
    changed: dict[str, object] = {}
    for part in parts:
        typed = word(values, part)
        if typed:
            changed[part] = tuple(one.strip() for one in typed.split(",")) if part in SEVERAL else typed
    note = word(values, "note")
    if not changed and not any(word(values, key) for key in ("at", "who", "note")):
        raise BadInput(f"That is what entry {number} says already.", hint="Change what was wrong.")
    return [corrections.correct(home, number, at=word(values, "at") or None,
                                by=word(values, "who") or None, note="" if note == EMPTIED else note or None,
                                **changed)]
