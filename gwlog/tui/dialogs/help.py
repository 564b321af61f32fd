"""The help: every key that does something where you are, read from the bindings themselves.

So it cannot leave one out.
"""

from __future__ import annotations

from typing import Any, ClassVar

from rich.cells import cell_len
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Input, Static

from gwlog.tui.dialogs.base import QUIT, Dialog
from gwlog.tui.widgets.cells import fit, plain, stacked

UNSAID = ("ctrl+c", "ctrl+pageup", "ctrl+pagedown", "shift+up", "shift+down")
"""Keys that textual gives to every screen, and that nobody here needs."""

Group = tuple[str, list[tuple[str, str]]]


def keys_of(app: App[Any], screen: Screen[Any]) -> list[Group]:
    """The keys of a screen in groups: here, everywhere, and in the field that has the focus."""
    groups: dict[str, dict[str, list[str]]] = {}
    here: list[tuple[str, str]] = list(getattr(screen, "MORE_KEYS", ()))
    for active in screen.active_bindings.values():
        node, binding = active.node, active.binding
        if isinstance(node, App):
            title = "Everywhere"
        elif isinstance(node, Screen):
            title = "Here"
        else:
            title = "In this part"
        if not isinstance(node, Input) and (binding.key in UNSAID or binding.key.startswith("super+")):
            continue
        words = binding.description or binding.action.replace("_", " ")
        if isinstance(node, Input) and binding.key == "enter" and (own := _own_enter(screen)):
            # a field hands its enter on to the screen, which says better what it does
            title, words = "Here", own
        signs = groups.setdefault(title, {}).setdefault(words, [])
        sign = app.get_key_display(binding)
        if sign not in signs:
            signs.append(sign)
    found: list[Group] = []
    for title in ("Here", "Everywhere", "In this part"):
        lines = [(" ".join(signs), words) for words, signs in groups.get(title, {}).items()]
        if title == "Here":
            lines = here + lines
        if lines:
            found.append((title, lines))
    return found


def _own_enter(screen: Screen[Any]) -> str:
    found = [b for b in type(screen).BINDINGS if isinstance(b, Binding) and b.key == "enter"]
    return found[0].description if found else ""


class HelpDialog(Dialog[None]):
    """Shows the keys; any of escape, enter and ? closes it."""

    DEFAULT_CSS: ClassVar[str] = "HelpDialog #frame { width: 72; }"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter,question_mark,f1,q", "dismiss", "close"), QUIT]
    heading = "Keys"

    def __init__(self, groups: list[Group]) -> None:
        super().__init__()
        self.groups = groups

    def compose(self) -> ComposeResult:
        widest = min(22, max((cell_len(sign) for _, lines in self.groups for sign, _ in lines), default=8))
        lines: list[Content] = []
        for title, keys in self.groups:
            lines.append(plain(("\n" if lines else "") + title, "bold"))
            lines += [Content.assemble((fit(sign, max(widest, cell_len(sign))), "bold"), "  ", plain(words))
                      for sign, words in keys]
        lines.append(plain(
            "\nA click does what a key does. ctrl+p lists everything by name.\n"
            "Shapes: ▶ garden  ▼ sewer  ◆ an outlet is here  ○ wants water  ◔ can take more\n"
            "        ● has had enough  ◌ resting.  Bars: █ water there  ░ missing\n"
            "        ┃ plants go short when the full part █ ends left of this mark.", ""))
        with VerticalScroll(id="frame"):
            yield Static(self.heading, classes="title", markup=False)
            yield Static(stacked(lines), markup=False)
