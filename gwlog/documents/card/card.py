"""The card for the wall by the machine, as PDF or HTML: one content, set for paper by a template of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from datetime import UTC
from pathlib import Path
from typing import Any

from gwlog.actions import Action, Hint
from gwlog.documents.card import content as words
from gwlog.documents.card import valve
from gwlog.documents.card.content import Card, content
from gwlog.documents.drawings.code import qr_code
from gwlog.documents.render import faces
from gwlog.documents.render.columns import folded
from gwlog.documents.render.typeset import PAPERS, paper_for, typeset
from gwlog.errors import GwlogError
from gwlog.files import made_for
from gwlog.household import Household

MARK = made_for("card")
TEMPLATE = Path(__file__).with_name("card.typ")
SIZES = (36.0, 32.0, 28.0, 25.0)
"""The sizes of what is read from two metres [pt], the largest that all lines have room for. A capital of the least
is 6.4 mm high, 11 minutes of arc at that distance; normal sight reads 5 (the letters of an eye chart, ISO 8596)."""

_PAPER_HIGH = {"letter": 792.0, "a4": 841.89}
_ELSE_HIGH = 475.0
"""What the first page needs beside its lines [pt]: margins, the day, the valve, titles and cautions."""

MARGIN = 32.0
_WIDTHS = {"letter": 612.0, "a4": 595.28}
_FEW_OUTLETS = 3
"""With more outlets than this, the loads come first."""

TITLE = "Card for the washing machine"
SUBTITLE = "True until"


def card(home: Household, form: str = ".pdf", *, paper: str | None = None, font: Path | None = None,
         phone: str = "") -> bytes:
    """The card as `form`, .pdf or .html. Raises GwlogError when the logbook describes no household.

    `phone`: the address of the pages for phones, put onto it as a code; it bears no key.
    """
    return drawn(home, described(home, phone), form, paper=paper, font=font)


def described(home: Household, phone: str = "") -> Card:
    """What stands on the card. Raises as `card` does."""
    if home.state.site is None:
        raise GwlogError("The logbook describes no household that a card can be made of.",
                         hint=Hint("Describe it with: ", Action("setup apply", file="SITE.toml")))
    return content(home, phone)


def drawn(home: Household, made: Card, form: str, *, paper: str | None = None, font: Path | None = None) -> bytes:
    """The card with that content as `form`, .pdf or .html."""
    if form == ".html":
        from gwlog.documents.card.html import html

        return html(made, MARK).encode()
    return _pdf(home, made, paper_for(home.system, paper), font)


def unprintable(made: Card, font: Path | None = None) -> str:
    """The signs of the card that no font prints, neither `font` nor one of this machine."""
    return faces.chosen(every_word(made), font).missing


def every_word(made: Card) -> Iterator[str]:
    """All words of a card that are printed, for the choice of fonts."""
    return _strings(asdict(made))


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _strings(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _strings(inner)


def _size(made: Card, room: float, high: float) -> tuple[float, float]:
    """The largest size [pt] in which every line stands whole on the first page, else the least; and the width of the
    names' column [pt].
    """
    bold = faces.widths(bold=True)
    names = max((bold.of(name) for name in (*(one.load for one in made.lines), *(one.outlet for one in made.outlets))),
                default=0.0)
    places = max((bold.of(said) for said in (*(f"{one.sign} {one.says}" for one in made.lines),
                                             *(one.basin for one in made.outlets))), default=0.0)
    steps = sum(bool(first) for first in (*(one.first for one in made.lines), *(one.first for one in made.outlets)))
    for size in SIZES:
        rows = (len(made.lines) + len(made.outlets)) * (0.73 * size + 10) + 18 * steps
        needed = rows + _ELSE_HIGH + (50 if made.first else 0)
        if size == SIZES[-1] or (size * (names + places) + 40 <= room and needed <= high):
            break
    return size, min(size * names + 14, room * 0.45)


def _pdf(home: Household, made: Card, paper: str, font: Path | None) -> bytes:
    fonts = faces.chosen(every_word(made), font)
    room = _WIDTHS[paper] - 2 * MARGIN
    size, left = _size(made, room, _PAPER_HIGH[paper])
    right = room - left

    def shown(words: str, wide: float = room, size: float = 11.0, *, bold: bool = False) -> str:
        return folded(fonts.shown(words), wide, size, bold=bold)

    def far(words: str, wide: float, *, bold: bool = False) -> str:
        return shown(words, wide - 12, size, bold=bold)

    at = home.now.astimezone(UTC)
    data: dict[str, Any] = {
        "title": shown(f"{TITLE}: {made.site}"), "mark": MARK, "lang": "en", "families": fonts.families,
        "made": [at.year, at.month, at.day, at.hour, at.minute, at.second], "paper": PAPERS[paper],
        "margin": MARGIN, "far": size, "few": _FEW_OUTLETS, "foot": shown(made.foot, size=9.0),
        "subtitle": SUBTITLE, "until": made.until, "more": shown(made.more, size=12.0), "first": shown(made.first),
        "panels": [{"svg": valve.drawn("garden"), "alt": valve.WORDS["garden"], "name": "▶ GARDEN",
                    "words": words.GARDEN_MEANS},
                   {"svg": valve.drawn("sewer"), "alt": valve.WORDS["sewer"], "name": "▼ SEWER",
                    "words": words.SEWER_MEANS}],
        "left": left, "outlets-titles": words.OUTLETS_TITLES,
        "outlets": [{"name": far(one.outlet, left), "basin": far(one.basin, right, bold=True),
                     "first": shown(one.first, right, 14.0)} for one in made.outlets],
        "loads-titles": words.LOADS_TITLES, "no-loads": words.NO_LOADS,
        "lines": [{"load": far(one.load, left, bold=True), "way": one.way, "sign": one.sign,
                   "says": far(one.says, right - size), "first": shown(one.first, right, 14.0)}
                  for one in made.lines],
        "goes-on": words.GOES_ON, "doubt": words.DOUBT, "cautions": words.CAUTIONS, "turns-title": made.turns_title,
        "turns": [(shown(days, room / 2), shown(what, room / 5, bold=True)) for days, what in made.turns],
        "remark": shown(made.remark), "by-hand": words.BY_HAND, "pencil": words.PENCIL, "labels": made.labels,
        "labels-note": made.labels_note, "phone": shown(made.phone, 118.0, 9.0), "with-a-phone": words.WITH_A_PHONE,
        "code": qr_code(made.phone) if made.phone else "",
    }
    return typeset(TEMPLATE, data, fonts=fonts.files)
