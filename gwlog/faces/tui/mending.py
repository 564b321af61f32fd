"""The form that corrects an entry: the parts its kind has, each empty to leave it as it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields

from gwlog import clock
from gwlog.errors import BadInput
from gwlog.faces import corrections, entries
from gwlog.faces.present.entries_list import sentence
from gwlog.faces.present.household import Household
from gwlog.faces.tui.form import Field, FormSpec, Values
from gwlog.faces.tui.forms import BY, NOTE
from gwlog.journal.facts import Fact, OutletMove

LABELS = {
    "to": "To", "volume": "Water", "load_name": "Load", "product": "Products", "contents": "Contents",
    "outlet": "Outlet", "basin": "Basin", "depth": "Depth", "rain": "Rain", "kind": "What", "task": "Task",
}
SEVERAL = ("product", "contents")
_COLUMN = {"to": ("went_to", "position"), "volume": ("volume_ml",), "load_name": ("usual_load",),
           "product": ("products",),
           "depth": ("depth_mm",), "rain": ("rain_um",), "kind": ("observed",)}


def correction_of(home: Household, number: int) -> FormSpec:
    """The form that corrects one entry. Raises BadInput where it cannot be corrected."""
    entry = entries.find_entry(home, number)
    parts = corrections.PARTS.get(type(entry))
    if parts is None:
        raise BadInput(f"Entry {number} is a {entry.KIND.replace('_', ' ')}; that cannot be corrected.",
                       hint="What happened can be struck out (w); a description is changed with: "
                            "gwlog setup apply SITE.toml")
    if isinstance(entry, OutletMove):
        parts = tuple(part for part in parts if part != "to")
    when = clock.echo(entry.happened_at, home.zone)
    return FormSpec(
        f"correct {number}", f"Correct {number}: {sentence(home, entry)}",
        (*(Field(part, LABELS[part], hint=f"as it is{_now(entry, part)}") for part in parts),
         Field("at", "When", hint=f"as it is: {when}"), BY, NOTE),
        lambda then, values: _correct(then, number, parts, values))


def _now(entry: Fact, part: str) -> str:
    known = {field.name for field in fields(entry)}
    for name in _COLUMN.get(part, (part,)):
        if name in known and part not in ("volume", "rain", "depth"):
            value = getattr(entry, name)
            words = ", ".join(value) if isinstance(value, tuple) else str(value or "")
            return f": {words}" if words else ""
    return ""


def _correct(home: Household, number: int, parts: Sequence[str], values: Values) -> Sequence[Fact]:
    changed: dict[str, object] = {}
    for part in parts:
        words = str(values.get(part, "")).strip()
        if words:
            changed[part] = tuple(word.strip() for word in words.split(",")) if part in SEVERAL else words
    try:
        return [corrections.correct(home, number, at=str(values.get("at", "")).strip() or None,
                                    by=str(values.get("by", "")) or None, note=str(values.get("note", "")) or None,
                                    **changed)]
    except BadInput as fault:
        # its hint names a command's options
        hint = "Fill in what was different." if fault.hint and "--" in fault.hint else fault.hint
        raise BadInput(str(fault), hint=hint) from None
