"""The look of the screens: two schemes of colours, dark and light, and what every screen shares.

Colour only repeats what a shape or a word already says.
"""

from __future__ import annotations

from textual.theme import Theme

NIGHT = Theme(
    name="after dusk", dark=True, primary="#8fb573", secondary="#c9a66b", accent="#e3c567", foreground="#e6e2d6",
    background="#16191a", surface="#1d2122", panel="#262b2b",
    variables={"chosen": "#34403a"}, success="#9cc98a", warning="#e3b45c",
    error="#e58a73",
)
DAY = Theme(
    name="at noon", dark=False, primary="#3f6b2f", secondary="#7a5a22", accent="#8a5a00", foreground="#22261f",
    background="#f6f3ea", surface="#efebdf", panel="#e4dfcf",
    variables={"chosen": "#d5dcc2"}, success="#33691e", warning="#8a5200",
    error="#9c2f1d",
)

STANDING_TONES = {"wants water": "$accent", "can take more": "$success", "has had enough": "$text-muted",
                  "resting": "$secondary",
                  **dict.fromkeys(("not for graywater", "too small for one load", "out of reach"), "$text-muted")}
"""The colour of a basin's standing."""

DEFAULTS = {"chosen": str(NIGHT.variables["chosen"])}
"""What the style sheets name and textual does not: the background of what is chosen (its own word for it, “boost”, is
transparent as soon as a theme names its panels).
"""

SHARED_CSS = """
Screen { background: $background; color: $foreground; }
Static, HouseholdHeader, KeyFooter { link-style: none; link-color: $foreground; link-background: transparent;
    link-color-hover: $background; link-background-hover: $primary; link-style-hover: bold; }
.title { text-style: bold; color: $primary; height: 1; }
VerticalScroll, DataTable, OptionList, #message { scrollbar-size-vertical: 1; scrollbar-size-horizontal: 1;
    scrollbar-color: $primary-muted;
    scrollbar-background: $surface; scrollbar-corner-color: $surface; }
DataTable > .datatable--cursor, DataTable:focus > .datatable--cursor {
    background: $chosen; color: $foreground; text-style: bold; }
DataTable:nocolor:focus > .datatable--cursor, OptionList:nocolor:focus > .option-list--option-highlighted {
    background: $foreground 25%; color: $foreground; text-style: bold; }
.block { height: auto; }
.gap { margin-top: 1; }
.dim { color: $text-muted; }
SearchIcon { display: none; }
"""
