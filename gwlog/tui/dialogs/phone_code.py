"""A code for a phone's camera over the whole screen, with what it is for beside or above it."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from gwlog.tui.dialogs.base import HELP_KEYS, PageDialog
from gwlog.tui.widgets.cells import stacked

FRAME = 2
"""Rows that are no part of the code: the title and the keys."""

LIGHT_ON_DARK = "#ffffff on #000000"
"""The code's light parts are drawn, so that its colors are right in every theme."""


class PhoneCodeDialog(PageDialog[None]):
    """Shows a code and words; the arrows scroll where there are more rows than the screen has."""

    DEFAULT_CSS: ClassVar[str] = """
    PhoneCodeDialog #words { height: 1fr; }
    PhoneCodeDialog #words:focus { background: $background; }
    PhoneCodeDialog #both, PhoneCodeDialog #code, PhoneCodeDialog #told { height: auto; }
    PhoneCodeDialog #told { margin-bottom: 1; }
    PhoneCodeDialog #code { width: auto; }
    PhoneCodeDialog.-beside #both { layout: horizontal; }
    PhoneCodeDialog.-beside #told { width: 1fr; padding-right: 2; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-below"), (76, "-beside")]  # noqa: RUF012 - declared by textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,escape", "leave", "back"),
        Binding("pageup", "page(-1)", "up", show=False, priority=True),
        Binding("pagedown", "page(1)", "down", show=False, priority=True),
        *HELP_KEYS,
    ]
    AUTO_FOCUS = "#words"
    PAGED: ClassVar[tuple[str, int]] = ("#words", 0)
    FOOTER = "up, down scroll · esc back · F1 keys"

    def __init__(self, heading: str, link: str, lines: list[Content]) -> None:
        super().__init__()
        self.heading = heading
        self.link = link
        self.lines = lines

    def parts(self) -> ComposeResult:
        from gwlog.phone.pairing import qr_lines

        with VerticalScroll(id="words"), Container(id="both"):
            yield Static(stacked(self.lines), id="told", markup=False)
            if self.link:
                drawn = qr_lines(self.link)
                if len(drawn) > self.app.size.height - FRAME:
                    drawn = qr_lines(self.link, small=True)
                yield Static(Content.styled("\n".join(drawn), LIGHT_ON_DARK), id="code", markup=False)
