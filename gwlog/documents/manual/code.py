"""The manual's last chapters, to look things up in: the code, the answers about the system, cautions, the version."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from gwlog import __version__, clock
from gwlog.decisions.caution_words import caution_text
from gwlog.documents.manual.about import About, cited
from gwlog.documents.render.blocks import Blanks, Block, Cell, Column, Heading, Para, Points, Sourced, Words, table
from gwlog.reference.cautions import CAUTIONS
from gwlog.reference.codes import Condition
from gwlog.reference.source import MARKS_NOTE, citation, marked
from gwlog.views import code_profile


def conditions(about: About) -> Iterator[Block]:
    """What the code asks, and the answers about the system itself."""
    profile = about.profile
    yield Heading(1, "What the code asks")
    yield table("code", (Column("", 1.0), Column("", 4.4)), [
        (label, marked(said)) for label, said in code_profile.said(about.state, about.day)])
    # Most conditions are of one text: its source stands once, and a mark only where there is another one.
    main, _ = Counter(citation(condition) for condition in profile.conditions).most_common(1)[0]
    yield Para(Sourced("Its conditions, restated in short words; those without a mark of their own are from this "
                       "source:", marked(main)))
    yield Points(tuple(_condition(condition, main) for condition in profile.conditions))
    if profile.silent:
        yield Para(f"Of this it says nothing, as far as it was read: {', '.join(code_profile.silent(profile))}.")
    limit, most = profile.limit(about.site.occupants), profile.daily_limit_l(about.site.occupants)
    if limit is not None and most is not None:
        yield Para(cited(f"The garden may get {'less than' if limit.below else 'at most'} {about.read.volume(most)} a "
                         f"day, by {profile.asked_by(limit)}.", limit))
    yield Heading(2, "The system itself")
    yield Para("Answered once, when it was set up or described again; nobody else has checked it.")
    gate: list[tuple[Cell, ...]] = list(code_profile.gate(about.site, about.read))
    yield table("gate", (Column("asked", 2.0), Column("answer", 0.9), Column("by the code", 2.6)), gate,
                "Nothing is asked of it.")


def _condition(condition: Condition, main: str) -> Words:
    number = f"Condition {condition.number}: " if condition.number else ""
    said = f"{number}{code_profile.text_of(condition)}"
    return said if citation(condition) == main else cited(said, condition)


def cautions(about: About) -> Iterator[Block]:
    """Every caution, those of the code first, and how sure the sources are, once for the whole manual."""
    chosen = [*about.profile.cautions]
    chosen += [one for one in CAUTIONS if all(one.id != known.id for known in chosen)]
    yield Heading(1, "Cautions")
    yield Points(tuple(cited(caution_text(one, about.profile, about.read, about.state), one) for one in chosen))
    yield Heading(2, "How sure the sources are")
    yield Para(MARKS_NOTE)


def version(about: About, number: str, seal: str) -> Iterator[Block]:
    """Date and version, and lines for what changes until the next one."""
    yield Heading(1, "Date and version")
    yield Para(f"Version {number}, made on {clock.long_date(about.day, about.system)} by gwlog {__version__} from the "
               f"household's logbook, whose seal number then was {seal}. Make it again when a basin, an outlet, a load "
               "or a product changes, and write by hand what changed meanwhile:")
    yield Blanks(("", "", ""))
