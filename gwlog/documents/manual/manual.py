"""The operation and maintenance manual of a household's system, made from its setup, with what the code asks for.

It stays with the building, so it names no person and uses plain words.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from gwlog import __version__, clock
from gwlog.actions import Action, Hint
from gwlog.decisions.caution_words import caution_text, wet_ground
from gwlog.decisions.query import profile_of
from gwlog.decisions.told import first_word
from gwlog.decisions.upkeep import tasks_of
from gwlog.documents import usual_loads
from gwlog.documents.drawings.plan import plan_view, sheet_to_sketch_on
from gwlog.documents.drawings.system import schematics
from gwlog.documents.manual import words
from gwlog.documents.render.blocks import (
    Amount,
    Blanks,
    Block,
    Cell,
    Column,
    Document,
    Heading,
    Para,
    Points,
    litres,
    table,
)
from gwlog.documents.render.forms import rendered
from gwlog.errors import GwlogError
from gwlog.files import made_for
from gwlog.household import Household
from gwlog.journal import reader
from gwlog.reference.cautions import CAUTIONS
from gwlog.reference.source import CHECK_LOCAL, MARKS_NOTE, citation, marked
from gwlog.reference.upkeep import NEW_SYSTEM, with_how
from gwlog.units import MM_PER_FOOT
from gwlog.views import code_profile
from gwlog.water.growth import spec_of

MARK = made_for("manual")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def manual(home: Household, *, paper: str | None = None, form: str = ".pdf", font: Path | None = None) -> bytes:
    """The manual as a file. `form`: .pdf or .html; `paper` and `font` as forms.rendered() takes them.

    Raises as document() and rendered() do.
    """
    return rendered(document(home), form, paper, font)


def document(home: Household) -> Document:
    """The manual. Raises GwlogError when the logbook describes no household."""
    if home.state.site is None:
        raise GwlogError("The logbook describes no household that a manual can be made of.",
                         hint=Hint("Describe it with: ", Action("setup apply", file="SITE.toml")))
    return _Manual(home).document()


class _Manual:
    def __init__(self, home: Household) -> None:
        site = home.state.site
        assert site is not None
        self.home, self.state, self.site, self.read = home, home.state, site, home.reader
        seq, digits, _ = reader.last_seal(home.path)
        self.day = clock.local_day(home.now, home.zone)
        self.version = f"{self.day.isoformat()}.{seq}"
        self.seal = f"{seq}:{digits[:16]}"

    def document(self) -> Document:
        home = self.home
        return Document(
            f"Operation and maintenance manual · {self.site.name}",
            f"Laundry water to the garden · {clock.long_date(self.day, home.system)}",
            f"Version {self.version} · {CHECK_LOCAL}", tuple(self._blocks()), home.zone, home.system, home.now,
            mark=MARK)

    def _blocks(self) -> Iterator[Block]:
        yield Para(words.STAYS, strong=True)
        if (first := first_word(self.site)) is not None:
            yield Para(first, strong=True)
        for chapter in (self._what, self._parts, self._operate, self._loads, self._products, self._quality,
                        self._shut_down, self._upkeep, self._trouble, self._conditions, self._cautions, self._call,
                        self._version):
            yield from chapter()

    def _what(self) -> Iterator[Block]:
        yield Heading(1, "What this system is")
        yield Points(words.WHAT)
        yield Heading(1, "The parts and their places")
        yield from schematics(self.state)
        yield Heading(2, "The basins from above")
        if (plan := plan_view(self.state)) is not None:
            yield plan
        else:
            yield Para("The setup does not say where the basins are. Sketch house, street, valve, line and basins "
                       "here:")
            yield sheet_to_sketch_on()

    def _parts(self) -> Iterator[Block]:
        read, state = self.read, self.state
        yield Heading(2, "What is where")
        yield table("washers", (
            Column("washing machine", 1.5), Column("kind", 1.5), Column("water of a run", 1.0)), [
            (one.name, one.machine.replace("-", " "), read.volume(one.volume_ml / 1000))
            for one in state.washers.values() if one.active], "No washing machine is described.")
        yield table("outlets", (Column("outlet", 1.2), Column("is at now", 1.2), Column("share of a load", 0.8),
                                Column("can reach", 3.0)), [
            (name, state.outlet_at[name].basin, f"{state.shares()[name] * 100:.0f} %", ", ".join(state.reach(name)))
            for name in state.active_outlets()], "No outlet is described.")
        rows: list[tuple[Cell, ...]] = []
        for name, basin in state.active_basins().items():
            spec = spec_of(basin)
            rows.append((name, basin.plants, basin.soil, Amount(spec.area_m2, "area"), litres(spec.allowance_l),
                         litres(spec.surge_room_l), Amount(spec.mulch_mm, "length"), basin.edible))
        yield table("basins", (
            Column("basin", 1.2), Column("plants", 1.2), Column("soil", 1.4), Column("area", 0.6, "area", True),
            Column("soil limit per day", 0.9, "volume", True), Column("mulch holds at once", 0.9, "volume", True),
            Column("mulch at start", 0.7, "length", True), Column("edible parts", 0.9)), rows,
            "No basin is described.")

    def _operate(self) -> Iterator[Block]:
        least = self.read.length(profile_of(self.state).cover_mm.value)
        yield Heading(1, "How to operate it")
        yield Heading(2, "The valve")
        yield Points(words.VALVE)
        yield Heading(2, "Every wash day")
        yield Points(words.wash_day(self.read.volume(self.home.garden.usual_load_l)), numbered=True)
        yield Heading(2, "How much a basin may get")
        yield Points(words.how_much(least, "about 4 in" if self.home.system == "us" else "about 10 cm"))

    def _loads(self) -> Iterator[Block]:
        yield Heading(1, "Which loads go where")
        yield table("loads", (
            Column("usual load", 1.2), Column("water", 0.7, "volume", True), Column("holds", 1.8),
            Column("goes to", 1.0), Column("why", 2.6)), [
            (one.name, litres(one.litres), one.holds, words.WAYS[one.way], one.why)
            for one in usual_loads.usual_load_ways(self.state)], "No usual load is described.")
        yield Heading(2, "Always to the sewer")
        yield Points((*usual_loads.ALWAYS_SEWER, wet_ground(profile_of(self.state), self.read, self.state)))
        yield Heading(2, "Better to the sewer")
        yield Points(usual_loads.BETTER_SEWER)

    def _products(self) -> Iterator[Block]:
        def yes_no(value: bool | None) -> str:
            return "not known" if value is None else "yes" if value else "no"

        yield Heading(1, "Products")
        yield table("products", (
            Column("product", 1.6), Column("kind", 1.0), Column("form", 0.8), Column("chlorine bleach", 0.9),
            Column("borax", 0.8), Column("sodium a load", 1.0)), [
            (one.name, one.product_kind, one.form or "not known", yes_no(one.chlorine_bleach), yes_no(one.borax),
             "not known" if one.sodium_mg is None else f"{one.sodium_mg / 1000:g} g")
            for one in self.state.products.values() if one.active], "No product is described.")
        yield Points(words.PRODUCTS)

    def _quality(self) -> Iterator[Block]:
        yield Heading(1, "How the quality of the water is kept")
        yield Points(words.QUALITY)

    def _shut_down(self) -> Iterator[Block]:
        yield Heading(1, "How to shut it down")
        yield Heading(2, "At once")
        yield Points(words.AT_ONCE, numbered=True)
        yield Heading(2, "For weeks: winter, travel, repairs")
        yield Points(words.FOR_WEEKS, numbered=True)
        yield Heading(2, "For good")
        yield Points(words.FOR_GOOD, numbered=True)

    def _upkeep(self) -> Iterator[Block]:
        profile = profile_of(self.state)
        why = {one.name.casefold(): one.why for one in profile.upkeep}
        why |= {one.name.casefold(): one.why for one in NEW_SYSTEM}
        yield Heading(1, "Inspection and maintenance")
        rows: list[tuple[Cell, ...]] = []
        for task in sorted(tasks_of(self.state), key=lambda one: one.name):
            if task.every.casefold() == "never":
                continue
            season = ", ".join(MONTHS[month - 1] for month in task.months) if task.months else "all year"
            rows.append((with_how(task.name), task.every, task.since if task.once else season,
                         why.get(task.name.casefold(), ""), marked(task.source) if task.source else "the household"))
        yield table("upkeep", (Column("what", 1.6), Column("every", 0.8), Column("when", 1.0), Column("why", 2.4),
                               Column("after", 1.8)), rows, "No task is described.")
        yield Points(words.cover(self.read.length(profile.cover_mm.value)))

    def _trouble(self) -> Iterator[Block]:
        yield Heading(1, "When something is wrong")
        yield table("trouble", (Column("what is seen", 1.4), Column("what to do", 4.0)), words.TROUBLE)

    def _conditions(self) -> Iterator[Block]:
        profile = profile_of(self.state)
        yield Heading(1, "What the code asks")
        yield table("code", (Column("", 1.0), Column("", 4.4)), [
            (label, marked(said)) for label, said in code_profile.said(self.state, self.day)])
        yield Para("Its conditions, restated in short words:")
        yield Points(tuple(code_profile.text_of(condition) for condition in profile.conditions))
        if profile.silent:
            yield Para(f"Of this it says nothing, as far as it was read: "
                       f"{', '.join(code_profile.silent(profile))}.")
        limit, most = profile.limit(self.site.occupants), profile.daily_limit_l(self.site.occupants)
        if limit is not None and most is not None:
            yield Para(f"The garden may get {'less than' if limit.below else 'at most'} "
                       f"{self.read.volume(most)} a day, by {profile.asked_by(limit)}.")
        yield Heading(2, "The system itself")
        yield Para("Answered once, when it was set up or described again; nobody else has checked it.")
        yield table("gate", (Column("asked", 2.0), Column("answer", 0.9), Column("by the code", 2.6)),
                    list(code_profile.gate(self.site, self.read)), "Nothing is asked of it.")
        yield Heading(2, "Distances from a basin's edge")
        yield table("setbacks", (Column("from", 1.6), Column("at least", 0.8), Column("source", 3.0)), [
            (name, _distance(feet.value, self.home.system), marked(citation(feet)))
            for name, feet in profile.setbacks_ft.items()], "None is held here.")
        yield Para(MARKS_NOTE)

    def _cautions(self) -> Iterator[Block]:
        profile = profile_of(self.state)
        chosen = [*profile.cautions]
        chosen += [one for one in CAUTIONS if all(one.id != known.id for known in chosen)]
        yield Heading(1, "Cautions")
        yield Points(tuple(caution_text(one, profile, self.read, self.state) for one in chosen))

    def _call(self) -> Iterator[Block]:
        yield Heading(1, "Who to call")
        yield Blanks(words.WHOM)
        yield Heading(2, "Handed on")
        yield Para("A new owner or tenant is told about the system and gets this manual.")
        yield Blanks(words.HANDED_ON)

    def _version(self) -> Iterator[Block]:
        yield Heading(1, "Date and version")
        yield Para(f"Version {self.version}, made on {clock.long_date(self.day, self.home.system)} by gwlog "
                   f"{__version__} from the household's logbook, whose seal number then was {self.seal}. "
                   "Make it again when a basin, an outlet, a load or a product changes, and write by hand "
                   "what changed meanwhile:")
        yield Blanks(("", "", ""))


def _distance(feet: float, system: str) -> str:
    return f"{feet:g} ft" if system == "us" else f"{feet * MM_PER_FOOT / 1000:.1f} m"
