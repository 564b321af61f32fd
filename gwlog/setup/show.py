"""Prints the setup in force as a site file; read back and compared, it brings no change.

Numbers are in the household's units with as few digits as bring the stored small unit back.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from datetime import date

from gwlog.actions import Action, Hint
from gwlog.clock import local_day, wall
from gwlog.errors import BadInput
from gwlog.journal.facts import CONTENTS, Basin, Outlet, PlannedLoad, Product, Site, UsualLoad
from gwlog.reference.as_built import TABLES, of_table, stated
from gwlog.reference.codes import OFFERED, held_by
from gwlog.reference.codes.local_rules import rules_of
from gwlog.reference.codes.system import QUESTIONS, YES_NO, answers_of
from gwlog.setup.keys import SUFFIXES, ZERO
from gwlog.setup.rules import never_comes
from gwlog.state import State

_UNITS = {
    "us": {"length": "in", "area": "ft2", "volume": "gal", "monthly": "in", "means": "f", "position": "ft",
           "price": "per_1000_gal", "dose": "g", "distance": "ft"},
    "metric": {"length": "mm", "area": "m2", "volume": "l", "monthly": "mm", "means": "c", "position": "m",
               "price": "per_m3", "dose": "g", "distance": "m"},
}
_HEAD = """\
# The present setup of this logbook. Change what differs, then:
#   gwlog setup apply THISFILE.toml --dry-run     shows what would change
#   gwlog setup apply THISFILE.toml               applies it, from now on; the past stays as it was
# since, valve and an outlet's at describe the start. What you remove from this file is retired.
"""


def show(state: State) -> str:
    """The setup in force as the text of a site file. Raises BadInput when no site was described yet."""
    if state.site is None:
        raise BadInput("This logbook has no setup yet.",
                       hint=Hint("Describe the place first: ", Action("begin", file="SITE.toml")))
    page = _Page(state.site.units)
    _site(page, state, state.site)
    _system(page, state.site)
    _as_built(page, state.site)
    _local_rules(page, state.site)
    for person in state.people.values():
        if person.active:
            page.heading("[[person]]")
            page.text("name", person.name)
    for washer in state.washers.values():
        if washer.active:
            page.heading("[[washer]]")
            page.text("name", washer.name)
            page.text("kind", washer.machine)
            page.quantity("volume", "volume", washer.volume_ml)
            page.whole_number("run_minutes", washer.run_minutes)
    for basin in state.active_basins().values():
        _basin(page, basin)
    for product in state.products.values():
        if product.active:
            _product(page, product)
    for load in state.usual_loads.values():
        if load.active:
            _usual_load(page, state, load)
    for outlet in state.active_outlets().values():
        _outlet(page, state, outlet)
    for plan in state.planned_loads.values():
        if plan.active:
            _planned_load(page, state, plan)
    for task in state.upkeep_tasks.values():
        if task.active:
            page.heading("[[upkeep]]")
            page.text("name", task.name)
            page.text("every", task.every)
            if task.months is not None:
                page.plain("months", f"[{', '.join(str(month) for month in task.months)}]")
            page.text("source", task.source)
    return page.whole()


class _Page:
    """The lines of a site file under way."""

    def __init__(self, units: str) -> None:
        self.units = _UNITS["metric" if units == "metric" else "us"]
        self.lines: list[str] = [_HEAD.rstrip("\n")]

    def whole(self) -> str:
        return "\n".join(self.lines) + "\n"

    def heading(self, heading: str) -> None:
        self.lines += ["", heading]

    def left_out(self, what: str) -> None:
        self.lines += ["", f"# Left out: {what.translate(_NO_BREAKS)}"]

    def plain(self, key: str, value: object) -> None:
        self.lines.append(f"{key} = {value}")

    def whole_number(self, key: str, value: int | None) -> None:
        if value is not None:
            self.plain(key, value)

    def text(self, key: str, words: str | None) -> None:
        if words is not None:
            self.plain(key, quoted(words))

    def texts(self, key: str, words: Iterable[str]) -> None:
        self.plain(key, f"[{', '.join(quoted(word) for word in words)}]")

    def flag(self, key: str, value: bool | None) -> None:
        if value is not None:
            self.plain(key, "true" if value else "false")

    def number(self, key: str, small: int | None, per_one: float) -> None:
        if small is not None:
            self.plain(key, exact(small, per_one))

    def quantity(self, key: str, kind: str, small: int | None) -> None:
        unit = self.units[kind]
        self.number(f"{key}_{unit}", small, SUFFIXES[kind][unit])

    def row(self, key: str, kind: str, smalls: Iterable[int]) -> None:
        unit = self.units[kind]
        self.plain(f"{key}_{unit}", f"[{', '.join(exact(small, SUFFIXES[kind][unit]) for small in smalls)}]")

    def means(self, key: str, smalls: Iterable[int]) -> None:
        scale = self.units["means"]
        self.plain(f"{key}_{scale}", f"[{', '.join(degrees(small, scale) for small in smalls)}]")

    def place(self, x: int | None, y: int | None) -> None:
        if x is not None and y is not None:
            self.row("at", "position", (x, y))


_NO_BREAKS = {10: " ", 13: " "}


def quoted(words: str) -> str:
    """Words as a basic string of TOML."""
    signs = []
    for sign in words:
        if sign in '"\\':
            signs.append("\\" + sign)
        elif unicodedata.category(sign) in ("Cc", "Cf", "Zl", "Zp"):
            signs.append(f"\\U{ord(sign):08x}")
        else:
            signs.append(sign)
    return f'"{"".join(signs)}"'


def exact(small: int, per_one: float) -> str:
    """The shortest number that, times `per_one` and rounded, is the stored whole `small`."""
    value = small / per_one
    for digits in range(12):
        written = f"{value:.{digits}f}"
        if round(float(written) * per_one) == small:
            break
    return written


def degrees(small: int, scale: str) -> str:
    """The shortest number of a temperature scale that brings the stored thousandth of a degC back."""
    factor, zero = SUFFIXES["means"][scale], ZERO[scale]
    for digits in range(12):
        written = f"{small / factor + zero:.{digits}f}"
        if round((float(written) - zero) * factor) == small:
            break
    return written


def first_day(state: State) -> date | None:
    """The local day from which the first setup is in force."""
    return local_day(state.sites[0].happened_at, state.sites[0].zone) if state.sites else None


def reach_in_use(state: State, outlet: Outlet) -> list[str]:
    """The basins in use that an outlet can be put at."""
    return [name for name in state.active_basins() if outlet.reaches is None or name in outlet.reaches]


def _site(page: _Page, state: State, site: Site) -> None:
    page.heading("[site]")
    page.text("name", site.name)
    page.text("timezone", site.zone)
    page.number("latitude", site.latitude_udeg, 1e6)
    page.text("units", site.units)
    page.plain("occupants", site.occupants)
    page.text("code", site.code)
    page.text("code_edition", held_by(site).as_of if site.code in OFFERED else site.code_edition)
    page.text("aim", site.aim)
    page.text("valve", None if site.valve == "unknown" else site.valve)
    page.plain("since", first_day(state))
    page.flag("softened_water", site.softened_water)
    page.text("rain", site.rain)
    page.quantity("water_price", "price", site.water_price_milli)
    page.text("currency", site.currency)
    page.heading("[site.climate]")
    if site.eto_zone is not None:
        page.plain("eto_zone", site.eto_zone)
    if site.monthly_eto_um is not None:
        page.row("monthly_eto", "monthly", site.monthly_eto_um)
    if site.monthly_rain_um is not None:
        page.row("monthly_rain", "monthly", site.monthly_rain_um)
    if site.monthly_tmean_mdegc is not None:
        page.means("monthly_tmean", site.monthly_tmean_mdegc)
    if site.tap_water:
        page.heading("[site.tap_water]")
        for line in site.tap_water:
            key, _, value = line.partition("=")
            page.plain(key, value if _is_number(value) else quoted(value))


def _is_number(value: str) -> bool:
    try:
        float(value)
    except ValueError:
        return False
    return True


def _system(page: _Page, site: Site) -> None:
    answers = answers_of(site.system_answers)
    if not answers:
        return
    page.heading("[system]")
    for key, answer in answers.items():
        question = QUESTIONS[key]
        if question.unit:
            page.quantity(key, "length", int(answer))
        elif not question.answers:
            page.plain(key, answer)
        elif question.answers == YES_NO:
            page.flag(key, answer == "yes")
        else:
            page.text(key, answer)


def _as_built(page: _Page, site: Site) -> None:
    found = stated(site.as_built)
    for table in TABLES:
        said = of_table(found, table)
        if said:
            page.heading(f"[{table}]")
        for key, value in said.items():
            if isinstance(value, int):
                page.quantity(key, "distance", value)
            elif isinstance(value, date):
                page.plain(key, value.isoformat())
            else:
                page.text(key, value)


def _local_rules(page: _Page, site: Site) -> None:
    for rule in rules_of(site.local_rules):
        page.heading("[[local_rule]]")
        page.text("name", rule.name)
        page.text("source", rule.source)
        page.quantity("limit", "volume", rule.limit_ml)
        page.quantity("cover", "length", rule.cover_mm)
        if rule.months is not None:
            page.plain("months", f"[{', '.join(str(month) for month in rule.months)}]")
        page.text("text", rule.text)


def _basin(page: _Page, basin: Basin) -> None:
    page.heading("[[basin]]")
    page.text("name", basin.name)
    page.quantity("area", "area", basin.area_cm2)
    page.quantity("mulch", "length", basin.mulch_mm)
    page.text("soil", basin.soil)
    page.text("texture", basin.texture)
    page.text("plants", basin.plants)
    if basin.canopy_cm2 != basin.area_cm2:     # else it follows the basin's area
        page.quantity("canopy", "area", basin.canopy_cm2)
    if basin.planted is not None:
        page.plain("planted", basin.planted)
        page.quantity("planted_canopy", "area", basin.planted_canopy_cm2)
        page.quantity("planted_root", "length", basin.planted_root_mm)
    page.text("ground_cover", basin.ground_cover)
    page.quantity("wetted", "area", basin.wetted_cm2)
    page.number("plant_factor", basin.plant_factor_milli, 1000)
    page.quantity("root_depth", "length", basin.root_depth_mm)
    page.number("depletion_fraction", basin.depletion_milli, 1000)
    page.text("edible", basin.edible)
    page.plain("started", basin.started)
    page.quantity("deficit", "volume", basin.start_deficit_ml)
    page.place(basin.at_x_mm, basin.at_y_mm)


def _product(page: _Page, product: Product) -> None:
    page.heading("[[product]]")
    page.text("name", product.name)
    page.text("kind", product.product_kind)
    page.text("form", product.form)
    page.flag("chlorine_bleach", product.chlorine_bleach)
    page.flag("borax", product.borax)
    page.number("sodium_g_per_load", product.sodium_mg, 1000)
    if product.label:
        page.texts("label", product.label)
    page.quantity("dose", "dose", product.dose_mg)


def _usual_load(page: _Page, state: State, load: UsualLoad) -> None:
    washer = state.washers.get(load.washer)
    if washer is None or not washer.active:
        page.left_out(f"the usual load “{load.name}”, its machine “{load.washer}” is not in use.")
        return
    page.heading("[[usual_load]]")
    page.text("name", load.name)
    page.text("washer", load.washer)
    page.texts("products", [name for name in load.products if name in state.products and state.products[name].active])
    page.texts("contents", sorted(load.contents, key=CONTENTS.index))
    page.quantity("volume", "volume", load.volume_ml)
    page.whole_number("run_minutes", load.run_minutes)


def _outlet(page: _Page, state: State, outlet: Outlet) -> None:
    within = reach_in_use(state, outlet)
    if not within:
        page.left_out(f"the outlet “{outlet.name}”, none of the basins that it reaches is in use.")
        return
    page.heading("[[outlet]]")
    page.text("name", outlet.name)
    if outlet.reaches is not None:
        page.texts("reaches", [name for name in outlet.reaches if name in within])
    place = state.outlet_at.get(outlet.name)
    candidates = (outlet.basin, place.basin if place else "", within[0])
    page.text("at", next(name for name in candidates if name in within))
    page.number("share", outlet.share_milli, 1000)
    page.place(outlet.at_x_mm, outlet.at_y_mm)


def _planned_load(page: _Page, state: State, plan: PlannedLoad) -> None:
    load = state.usual_loads.get(plan.load)
    washer = state.washers.get(load.washer) if load is not None and load.active else None
    if washer is None or not washer.active:
        page.left_out(f"the planned load “{plan.name}”, “{plan.load}” is not in use.")
        return
    if plan.every is not None and never_comes(plan.every, wall(plan.starts).replace(tzinfo=None),
                                              state.zone) is not None:
        page.left_out(f"the planned load “{plan.name}”, its rule {plan.every} cannot be followed.")
        return
    page.heading("[[planned_load]]")
    page.text("name", plan.name)
    page.text("load", plan.load)
    page.plain("starts", plan.starts if plan.starts.count(":") > 1 else f"{plan.starts}:00")
    page.text("every", plan.every)
    if plan.skips:
        page.plain("skips", f"[{', '.join(plan.skips)}]")
