"""The fields of one page of the setup on the screen, and below them in words what is right or wrong with them.

Judged as it is typed, by the site file's own reader.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content

from gwlog import text
from gwlog.app.forms.model import Option, Value, Values
from gwlog.setup import unsaid
from gwlog.setup.draft import Draft, Table, judge, names
from gwlog.setup.first_draft import named_by, system_of
from gwlog.setup.keys import tables
from gwlog.tui.setup.fields import FieldFault, SetupField
from gwlog.tui.setup.pages import (
    FOUR,
    HOW,
    Page,
    code_options,
    fields_for,
    filled,
    four_hint,
    month_hint,
    shown,
)
from gwlog.tui.widgets.cells import plain, refusal
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow

_HOW = {"zone": "land in California", "figures": "monthly figures", "four": "four temperatures",
        "temperatures": "every month's temperatures"}
_ONLY = {"eto_zone": "zone", "monthly_eto": "figures", "tmin": "temperatures", "tmax": "temperatures",
         **{key: "four" for key, _ in FOUR}}


class SetupRows(Vertical):
    """The fields of one page over a draft: table `number` of the page's kind, or a new one after the last."""

    DEFAULT_CSS: ClassVar[str] = "SetupRows { height: auto; }"

    def __init__(self, page: Page, draft: Draft, number: int, start: Values, kept: Values | None = None, *,
                 more: bool = False, besides: Sequence[SetupField] = ()) -> None:
        super().__init__()
        self.page, self.draft, self.number = page, draft, number
        self.fields = (*fields_for(page, draft), *besides, *(page.more if more else ()))
        listing = draft[page.kind]
        self.table: Table = listing[number] if number < len(listing) else {}
        self.start: dict[str, Value] = {**shown(page, self.table, self.fields), **start}
        self.kept = kept or {}
        # held here, since keys may come while the rows are still being put on the screen
        self.holders: dict[str, EntryLine | Choice] = {}
        self.rows: dict[str, LabelledRow] = {}

    def compose(self) -> ComposeResult:
        if self.page.id == "climate":
            yield self._row("how", "Source", [Option(how, _HOW[how]) for how in HOW], "", many=False)
        for one in self.fields:
            options = code_options() if one.key.name == "code" else one.options(self.draft)
            yield self._row(one.id, one.label, options, one.hint, many=one.several)
            if one.id == "monthly_eto":
                for key, label in FOUR:
                    yield self._row(key, label, None, four_hint(system_of(self.draft)), many=False)
                for key, label in (("tmin", "Mean lowest"), ("tmax", "Mean highest")):
                    yield self._row(key, label, None, month_hint(system_of(self.draft)), many=False)

    def _row(self, key: str, label: str, options: list[Option] | None, hint: str, *, many: bool) -> LabelledRow:
        value = self.kept.get(key, self.start.get(key, () if many else ""))
        holder: EntryLine | Choice
        if options is None:
            holder = EntryLine(str(value), hint=hint, id=f"f-{key}")
        else:
            self.start[key] = Choice(options, self.start.get(key, () if many else ""), many=many).value
            holder = Choice(options, value, many=many, id=f"f-{key}")
        self.holders[key], self.rows[key] = holder, LabelledRow(label, holder, id=f"row-{key}")
        return self.rows[key]

    @property
    def values(self) -> dict[str, Value]:
        """What the fields hold now."""
        return {key: holder.value for key, holder in self.holders.items()}

    @property
    def touched(self) -> bool:
        """Whether anything differs from what the page opened with."""
        return any(value != self.start.get(key, "") for key, value in self.values.items())

    def only_what_matters(self) -> None:
        """Show the fields of the climate that belong to the way that was chosen."""
        if self.page.id == "climate":
            how = self.values.get("how")
            for key, row in self.rows.items():
                row.display = _ONLY.get(key, how) == how and not (
                    key == "monthly_tmean" and how in ("four", "temperatures"))

    def name_by(self, key: str) -> None:
        """Call the thing by another field where its name is empty."""
        name, other = self.holders.get("name"), str(self.values.get(key, "")).strip()
        if isinstance(name, EntryLine) and not name.value.strip() and other:
            name.value = named_by(other, names(self.draft, self.page.kind))

    def taken(self, table: Table) -> list[str]:
        """What the page offered and nobody changed, and what was left to be taken as usual, in words."""
        kept = [f"{one.label.casefold()} {self.start[one.id]}" for one in self.fields
                if one.id != "name" and self.start.get(one.id) and self.values.get(one.id) == self.start[one.id]]
        return unsaid.of_basin(table, kept) if self.page.kind == "basin" else kept

    @property
    def changed(self) -> list[str]:
        """The labels of the fields that differ from what the page opened with."""
        return [one.label.casefold() for one in self.fields if self.values.get(one.id) != self.start.get(one.id, "")]

    def said(self, table: Table) -> list[str]:
        """The keys of the table that the page speaks of, where they differ from what they were."""
        before = self.table
        return [key for key in table if key in ("occupants", "code") or table.get(key) != before.get(key)]

    def focus_fault(self, wrong: Sequence[FieldFault]) -> None:
        """Let keys go to the first field that is wrong."""
        holder = next((self.holders[one.field] for one in wrong if one.field in self.holders), None)
        if holder is not None:
            holder.focus()

    def made(self, now: datetime) -> tuple[Table, list[FieldFault], Draft]:
        """The table that the fields make, what is wrong with it, and the draft with it in place."""
        table, wrong = filled(self.page, self.table, self.fields, self.values, self.draft, now)
        draft = {kind: list(listing) for kind, listing in self.draft.items()}
        listing = draft[self.page.kind]
        listing[self.number:self.number + 1] = [table]
        if tables()[self.page.kind].several and self.page.kind != "planned_load":
            name = str(table.get("name", "")).casefold()
            others = [other.casefold() for at, other in enumerate(names(self.draft, self.page.kind))
                      if at != self.number]
            if name and name in others:
                wrong.append(FieldFault("name", f"There is one called “{text.one_line(str(table['name']))[:40]}” "
                                                "already."))
        if not wrong:
            mine = {one.key.name for one in self.fields} | {"climate", "tap_water", "at"}
            for fault in judge(draft, now).wrong:
                field, label = _field(self.fields, fault.key)
                here = (fault.kind, fault.number) == (self.page.kind, self.number)
                if here and (label or fault.key is None or fault.key in mine) and "is missing" not in fault.words:
                    wrong.append(FieldFault(field, f"{label or self.page.title}: {fault.words}."))
        return table, wrong, draft


def _field(fields: Sequence[SetupField], key: str | None) -> tuple[str, str]:
    """Id and label of the field that fills a key; empty where none does."""
    return next(((one.id, one.label) for one in fields if key in one.key.spellings), ("", ""))


def faults(wrong: Sequence[FieldFault], *, quiet: bool) -> list[Content]:
    """What is wrong, for the foot of a page: quietly while nothing was typed."""
    if quiet:
        return [plain(wrong[0].words, "dim")] if wrong else []
    return [refusal(each.words) for each in wrong[:4]]
