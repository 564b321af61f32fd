"""Setup: everything that the household described, each opened as a form; changes gather here until appended.

What is taken out of use stays in the record.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static
from textual.widgets.option_list import Option

from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.setup.draft import Draft, Table, names
from gwlog.text import plural
from gwlog.tui.dialogs.setup_item import SETUP, AppendChangesDialog, SetupItemDialog, change_lines
from gwlog.tui.keys import EVERYWHERE
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.setup.edits import Thing, to_mind
from gwlog.tui.setup.pages import PAGES, Page
from gwlog.tui.widgets.cells import fit, plain, stacked
from gwlog.tui.widgets.plain_list import PlainList
from gwlog.views.code_profile import offered
from gwlog.water.report import report_words

ONCE = ("system", "places", "setbacks", "contacts", "permit_or_notice")
"""What there is one of, beside the household itself."""

GROUPS = (("washer", "Machines"), ("basin", "Basins"), ("outlet", "Outlets"), ("product", "Products"),
          ("usual_load", "Usual loads"), ("planned_load", "Planned loads"), ("person", "People"), ("upkeep", "Upkeep"),
          ("local_rule", "Rules of the place"))
_NEW = {"washer": "a machine", "basin": "a basin", "outlet": "an outlet", "product": "a product",
        "usual_load": "a usual load", "planned_load": "a planned load", "person": "a person", "upkeep": "a task",
        "local_rule": "a rule of the place"}


class SetupScreen(HouseholdScreen):
    """Setup."""

    DEFAULT_CSS: ClassVar[str] = """
    SetupScreen PlainList { width: 1fr; height: 1fr; }
    SetupScreen PlainList > .option-list--option-disabled { color: $primary; text-style: bold; }
    SetupScreen #beside { width: 1fr; height: 1fr; padding-left: 2; }
    SetupScreen #waiting { height: auto; }
    SetupScreen.-narrow #body { layout: vertical; }
    SetupScreen.-narrow #beside { width: 1fr; height: auto; max-height: 9; padding-left: 0;
                                 border-top: solid $primary; }
    """
    NAME = "setup"
    AUTO_FOCUS = "PlainList"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "retire", "retire this, from now on"),
        Binding("u", "undo", "undo the change to this one"),
        Binding("a", "append", "apply the changes"),
        Binding("i", "ingredients", "type in a product's label, line by line"),
    ]
    FOOTER_KEYS = (("enter", "change", "screen.open"), ("x", "retire", "screen.retire"),
             ("u", "undo change", "screen.undo"), ("a", "apply", "screen.append"),
             ("i", "label", "screen.ingredients"), *EVERYWHERE[-2:])

    def __init__(self) -> None:
        super().__init__()
        self.draft: Draft = {}
        self.rows: dict[str, tuple[Page, int, Thing | None]] = {}

    def body(self) -> Widget:
        return Horizontal(PlainList(id="things"),
                          VerticalScroll(Static(id="waiting", markup=False), id="beside", can_focus=False), id="body")

    def fill(self, home: Household) -> None:
        edits = self.host.edits
        self.draft, whose = edits.things(home)
        self.rows = {}
        made: list[Option] = []
        for page in (PAGES["site"], PAGES["climate"], PAGES["tap"], PAGES["code"]):
            made.append(self._option(page, 0, ("site", ""), page.title, self.draft["site"][0]))
        for kind in ONCE:
            table = self.draft[kind][0] if self.draft[kind] else {}
            made.append(self._option(PAGES[kind], 0, (kind, ""), PAGES[kind].title, table))
        for kind, title in GROUPS:
            made.append(Option(plain(title), disabled=True))
            for number, (thing, table) in enumerate(zip(whose[kind], self.draft[kind], strict=True)):
                made.append(self._option(PAGES[kind], number, thing, str(table.get("name", "")), table))
            made += [Option(Content.assemble("✎ ", fit(gone[1], 24), "  ", plain("retired; u undoes it")),
                            id=f"gone {gone[0]} {gone[1]}")
                     for gone, table in edits.made.items() if table is None and gone[0] == kind]
            made.append(self._option(PAGES[kind], len(whose[kind]), None, f"+ {_NEW[kind]} …", {}))
        self.query_one("#things", PlainList).renew(made)
        self._waiting(home)

    def _option(self, page: Page, number: int, thing: Thing | None, name: str, table: Table) -> Option:
        key = f"{page.id} {number}"
        self.rows[key] = (page, number, thing)
        edits = self.host.edits
        changed = thing is not None and thing in edits.made
        left = (page.id, *(thing or (page.kind, ""))) in edits.typed
        mark = "✎ " if changed else "… " if left else "  "
        home = self.host.home
        place = home.state.outlet_at.get(name) if home is not None and page.kind == "outlet" else None
        lies = {} if place is None or changed or thing is None else {"at": place.basin}
        return Option(Content.assemble(mark, fit(name, 24), "  ", plain(_gist(page, {**table, **lies}), "dim")), id=key)

    def _waiting(self, home: Household) -> None:
        edits = self.host.edits
        lines: list[Content] = []
        if edits.made:
            found = edits.change(home)
            lines = [plain("Not applied yet:", "bold"), *change_lines(found.lines, found.warnings, found.wrong)]
            lines.append(plain("Fix what is marked ✗, then press a to apply." if found.wrong else "Press a to apply.",
                               "bold"))
        elif edits.typed:
            lines = [plain("… a form was closed with words in it; they are there when you open it again.")]
        else:
            offer = offered(home.state.site)
            lines = [plain("Enter opens a form. Changes collect here and take effect when you press a. "
                           "Earlier setups stay in the record.", "dim"),
                     *([plain(f"The plumbing code: {offer} Enter on it shows what differs.")] if offer else []),
                     *change_lines((), to_mind(home), ())]
        self.query_one("#waiting", Static).update(stacked(lines))

    def _chosen(self) -> tuple[Page, int, Thing | None] | None:
        things = self.query_one("#things", PlainList)
        if things.highlighted is None:
            return None
        return self.rows.get(str(things.get_option_at_index(things.highlighted).id))

    def on_option_list_option_selected(self) -> None:
        self.action_open()

    def action_open(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            page, number, thing = chosen
            self.app.push_screen(SetupItemDialog(page, self.host.edits, self.draft, number, thing),
                                 lambda _: self.household_changed())

    def action_ingredients(self) -> None:
        chosen = self._chosen()
        if chosen is None or chosen[0].kind != "product" or chosen[2] is None:
            self.host.say(["First choose a product in the list, then press the key again."], logged=False)
            return
        from gwlog.tui.dialogs.label import LabelDialog

        thing = chosen[2]
        self.app.push_screen(LabelDialog(self.draft["product"][chosen[1]]), lambda table: self._labelled(thing, table))

    def _labelled(self, thing: Thing, table: Table | None) -> None:
        if table is not None:
            self.host.edits.put(thing, "product", table)
        self._changed()

    def action_retire(self) -> None:
        chosen = self._chosen()
        if chosen is None or chosen[2] is None or chosen[2][0] in ("site", *ONCE):
            self.host.say(["First choose in the list what to retire."], logged=False)
            return
        kind, name = chosen[0].kind, str(self.draft[chosen[0].kind][chosen[1]].get("name", ""))
        loads = [str(load["name"]) for load in self.draft["usual_load"] if load.get("washer") == name]
        if kind == "washer" and loads:
            from gwlog.tui.dialogs.retire_machine import RetireMachineDialog

            thing = chosen[2]
            others = [other for other in names(self.draft, "washer") if other != name]
            self.app.push_screen(RetireMachineDialog(name, loads, others),
                                 lambda instead: self._retire_machine(thing, loads, instead))
            return
        self._retire(chosen[2])

    def _retire(self, thing: Thing) -> None:
        self.host.edits.put(thing, thing[0], None)
        self._changed()
        self._go_to(f"gone {thing[0]} {thing[1]}")

    def _retire_machine(self, thing: Thing, loads: Sequence[str], instead: str | None) -> None:
        """Take a machine out of use, and its loads with it or to another machine; None: leave it."""
        if instead is None:
            return
        home = self.host.home
        if home is None:
            return
        draft, whose = self.host.edits.things(home)
        for load, table in zip(whose["usual_load"], draft["usual_load"], strict=True):
            if table.get("name") in loads:
                self.host.edits.put(load, "usual_load", {**table, "washer": instead} if instead else None)
        self._retire(thing)

    def action_undo(self) -> None:
        things = self.query_one("#things", PlainList)
        edits = self.host.edits
        chosen = self._chosen()
        thing = chosen[2] if chosen is not None else None
        if chosen is None and things.highlighted is not None:
            _, kind, name = str(things.get_option_at_index(things.highlighted).id).split(" ", 2)
            thing = (kind, name)
        if thing is None or thing not in edits.made:
            self.host.say(["No change to undo here."], logged=False)
            return
        del edits.made[thing]
        self._changed()
        self._go_to(next((key for key, (_, _, whose) in self.rows.items() if whose == thing), ""))

    def _go_to(self, key: str) -> None:
        things = self.query_one("#things", PlainList)
        found = next((number for number, option in enumerate(things.options) if option.id == key), None)
        if found is not None:
            things.highlighted = found

    def _changed(self) -> None:
        edits = self.host.edits
        if edits.made or edits.typed:
            self.host.drafts[SETUP] = {}
        else:
            self.host.drafts.pop(SETUP, None)
        self.household_changed()

    def action_append(self) -> None:
        edits = self.host.edits
        if not edits.made:
            self.host.say(["No changes to apply."], logged=False)
            return
        try:
            home = self.host.fresh()
        except GwlogError as trouble:
            self.host.say([str(trouble)], logged=False)
            return
        self.app.push_screen(AppendChangesDialog(edits, home, {"by": self.host.person or ""}),
                             lambda _: self.household_changed())


def _gist(page: Page, table: Table) -> str:
    """The few words of a table that tell it from others of its kind."""
    if page.id == "site":
        return str(table.get("name", ""))
    if page.id == "code":
        return str(table.get("code", ""))
    if page.id in ONCE:
        return plural(len(table), "answer") if page.id == "system" else _stated(page, table)
    if page.id == "climate":
        from gwlog.reference.climate import ETO_ZONES

        zone = ETO_ZONES.get(table.get("climate", {}).get("eto_zone", 0))
        return zone.name if zone is not None else "monthly figures"
    if page.id == "tap":
        said = table.get("tap_water", {})
        return ", ".join(report_words([f"{key}={value}" for key, value in said.items()])[:3]) if said else "not known"
    parts = []
    for key, value in table.items():
        base, _, unit = key.rpartition("_")
        if base in ("area", "volume", "mulch"):
            parts.append(f"{value} {unit}" + (" of mulch" if base == "mulch" else ""))
        elif key in ("plants", "kind", "at", "every", "starts"):
            parts.append(f"is at {value}" if key == "at" else str(value))
        elif key in ("products", "contents") and value:
            parts.append(", ".join(value))
        elif key == "reaches":
            parts.append(f"reaches {plural(len(value), 'basin')}")
    return " · ".join(parts)


def _stated(page: Page, table: Table) -> str:
    """The first things stated of how the system was built, or that nothing is."""
    if not table:
        return "not said"
    labels = {spelling: one.label.casefold() for one in (*page.fields, *page.more) for spelling in one.key.spellings}
    return ", ".join(f"{labels.get(key, key)} {value}" for key, value in list(table.items())[:3])
