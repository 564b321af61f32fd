"""The operation and maintenance manual of a household's system, made from its setup, with what the code asks for.

It stays with the building, so it names nobody of the household and uses plain words.
"""

from __future__ import annotations

from pathlib import Path

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.decisions.told import first_word
from gwlog.documents.manual import built, care, code, use, words
from gwlog.documents.manual.about import About
from gwlog.documents.render.blocks import Block, Document, Para
from gwlog.documents.render.forms import rendered
from gwlog.errors import GwlogError
from gwlog.files import made_for
from gwlog.household import Household
from gwlog.journal import reader
from gwlog.reference.source import CHECK_LOCAL

MARK = made_for("manual")
CHAPTERS = (
    use.emergency, use.wash_day, use.loads, use.how_much, use.products, care.upkeep, care.out_of_use, care.call,
    built.what_it_is, built.places, built.parts, built.distances, use.quality, code.conditions, code.cautions,
    care.handed_on,
)
"""In the order in which they are used: what is wanted at once first, what is looked up last."""


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
    about = About.of(home)
    seq, digits, _ = reader.last_seal(home.path)
    version = f"{about.day.isoformat()}.{seq}"
    blocks: list[Block] = [Para(words.STAYS, strong=True)]
    if (first := first_word(about.site)) is not None:
        blocks.append(Para(first, strong=True))
    for chapter in CHAPTERS:
        blocks += chapter(about)
    blocks += code.version(about, version, f"{seq}:{digits[:16]}")
    return Document(
        f"Operation and maintenance manual · {about.site.name}",
        f"Laundry water to the garden · {clock.long_date(about.day, home.system)}",
        f"Version {version} · {CHECK_LOCAL}", tuple(blocks), home.zone, home.system, home.now, mark=MARK)
