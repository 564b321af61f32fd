"""The manual's chapters on inspection and upkeep, taking the system out of use, whom to call, and handing it on."""

from __future__ import annotations

from collections.abc import Iterator

from gwlog.decisions.upkeep import tasks_of
from gwlog.documents.manual import words
from gwlog.documents.manual.about import About, cited
from gwlog.documents.render.blocks import Blanks, Block, Cell, Column, Heading, PageBreak, Para, Points, Sourced, table
from gwlog.reference.as_built import CONTACTS, PERMIT
from gwlog.reference.source import marked
from gwlog.reference.upkeep import KEEP_RECORDS_YEARS, NEW_SYSTEM, NO_JOINT, with_how

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def upkeep(about: About) -> Iterator[Block]:
    """The tasks with their intervals, the mulch, and the yearly look for joints with drinking water."""
    why = {one.name.casefold(): one.why for one in about.profile.upkeep}
    why |= {one.name.casefold(): one.why for one in NEW_SYSTEM}
    yield Heading(1, "Inspection and maintenance")
    rows: list[tuple[Cell, ...]] = []
    for task in sorted(tasks_of(about.state), key=lambda one: one.name):
        if task.every.casefold() == "never":
            continue
        season = ", ".join(MONTHS[month - 1] for month in task.months) if task.months else "all year"
        every: Cell = Sourced(task.every, marked(task.source)) if task.source else f"{task.every} (the household)"
        rows.append((with_how(task.name), every, task.since if task.once else season,
                     why.get(task.name.casefold(), "")))
    yield table("upkeep", (Column("what", 1.8), Column("every", 0.9), Column("when", 1.0), Column("why", 2.6)), rows,
                "No task is described.")
    mulch, chips, records = words.cover(about.read.length(about.profile.cover_mm.value))
    yield Points((mulch, chips, cited(records, KEEP_RECORDS_YEARS)))
    yield Heading(2, "Once a year: nothing joins the drinking water")
    first, *others = words.NO_JOINT
    yield Points((cited(first, NO_JOINT), *others), numbered=True)
    yield Blanks(words.NO_JOINT_SEEN)


def out_of_use(_about: About) -> Iterator[Block]:
    """How to shut the system down, for weeks and for good."""
    yield Heading(1, "How to shut it down")
    yield Para("At once: turn to the first page, “In an emergency”.")
    yield Heading(2, "For weeks: winter, travel, repairs")
    yield Points(words.FOR_WEEKS, numbered=True)
    yield Heading(2, "For good")
    yield Points(words.FOR_GOOD, numbered=True)


def call(about: About) -> Iterator[Block]:
    """Whom to call, and the permit or notice; a line for the pencil where nothing is stated."""
    said = about.built(CONTACTS)
    yield Heading(1, "Who to call")
    rows = []
    for key, label in words.WHOM:
        if key in said:
            when = f"; finished {about.said(said['installed'])}" if key == "installer" and "installed" in said else ""
            rows.append((label, f"{about.said(said[key])}{when}"))
    if rows:
        yield table("contacts", (Column("", 1.4), Column("", 3.0)), rows)
    yield Blanks(tuple(label for key, label in words.WHOM if key not in said))
    yield Heading(2, "Permit or notice")
    permit = about.built(PERMIT)
    if permit:
        yield table("permit or notice", (Column("", 1.4), Column("", 3.0)), [
            (key, about.said(value)) for key, value in permit.items()])
    if missing := tuple(label for key, label in words.PERMIT if key not in permit):
        yield Blanks(missing)


def handed_on(_about: About) -> Iterator[Block]:
    """To whom the manual went, on the page that is written on."""
    yield PageBreak()
    yield Heading(1, "Handed on")
    yield Para("A new owner or tenant is told about the system and gets this manual.")
    yield Blanks(words.HANDED_ON)
