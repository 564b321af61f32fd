"""A seeded driver that presses random keys on the screens: every place, every box, and what people paste.

It leans to the keys that it has pressed least where it is, so that a short walk still goes everywhere. A walk is
replayed by its seed; what it pressed is told when the screens break.
"""

from __future__ import annotations

import random
import string
import traceback
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from rich.cells import cell_len
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input, TextArea

from gwlog.tui.app import GwlogApp
from tests.tui.conftest import Clock, settle

Size = tuple[int, int]
SIZES: tuple[Size, ...] = ((60, 20), (80, 24), (140, 50))

CHARACTERS = (*string.ascii_letters, *string.digits, "space", "full_stop", "comma", "colon", "minus", "percent_sign")
MOVING = ("tab", "shift+tab", "enter", "escape", "up", "down", "left", "right", "pageup", "pagedown", "home", "end",
          "backspace", "delete", "space", "ctrl+p", "f1", "f3")
PASTED = ("2 gal", "-1", "1e400", "yesterday 18:30", "towels", "[bold]no[/] [@click=app.quit]x[/]", "a\nb\n\nc",
          "\x1b]0;title\x07", "\ud800", "‮evil‬", "0" * 400, "é" * 90, "🚿 🧺", "Fig", "3in", "2026-06-31", "99999999")
LEAVES = {"q", "ctrl+q", "ctrl+c"}
"""Keys that leave; pressed too, but the screens stay open for the rest of the walk."""

SETTLE_EVERY = 12
TRAVEL_EVERY = 6
"""Of the keys outside of boxes, one in so many goes to the place where it was least."""

LONG_IN_A_BOX = 9
"""After so many keys in one box escape comes soon, so that a walk sees many boxes."""


class Broken(AssertionError):
    """The screens broke: how to see it again."""


def place(app: GwlogApp) -> str:
    """The name of the screen or box that is open; a form's is its heading."""
    name = type(app.screen).__name__
    return str(getattr(app.screen, "heading", "")) or name if name == "FormDialog" else name


class StayingApp(GwlogApp):
    """The screens, which only count how often somebody left."""

    left = 0

    def exit(self, *_: Any, **__: Any) -> None:
        self.left += 1


class Fingers:
    """Chooses what to press next, from a seed and from what is on the screen."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)
        self.pressed: list[str] = []
        self.used: Counter[tuple[str, str]] = Counter()
        self._inside = self._outside = 0

    def next(self, app: GwlogApp) -> str:
        """The next key; “paste:N” for the Nth of PASTED."""
        typing, share = isinstance(app.focused, (Input, TextArea)), self._random.random()
        self._inside = self._inside + 1 if app.screen.is_modal else 0
        self._outside += not app.screen.is_modal
        if self._inside > LONG_IN_A_BOX and self._random.random() < 0.3:
            key = "escape"
        elif not app.screen.is_modal and self._outside % TRAVEL_EVERY == 0:
            key = min("1234567", key=lambda number: sum(self.used[where, number] for where in self.places))
        elif share < (0.3 if typing else 0.6):
            key = self._least_used(app)
        elif share < (0.6 if typing else 0.7):
            key = self._random.choice(CHARACTERS)
        elif share < 0.95:
            key = self._random.choice(MOVING)
        else:
            key = f"paste:{self._random.randrange(len(PASTED))}"
        if key == "slash" and typing:   # nobody's files are written over by chance
            key = "s"
        self.used[place(app), key] += 1
        self.pressed.append(key)
        return key

    def _least_used(self, app: GwlogApp) -> str:
        where = place(app)
        keys = sorted(app.screen.active_bindings)
        least = min(self.used[where, key] for key in keys)
        return self._random.choice([key for key in keys if self.used[where, key] == least])

    @property
    def places(self) -> set[str]:
        """The names of the screens and boxes in which keys were pressed."""
        return {where for where, _ in self.used}


async def press(app: GwlogApp, pilot: Pilot[None], key: str) -> None:
    """Press one key, or paste."""
    if key.startswith("paste:"):
        app.post_message(events.Paste(PASTED[int(key.removeprefix("paste:"))]))
        await pilot.pause()
    else:
        await pilot.press(key)


def look(app: GwlogApp, size: Size) -> None:
    """Draw the screen; it must fill the terminal and not one column more."""
    rows = ["".join(segment.text for segment in strip) for strip in app.screen._compositor.render_strips()]
    assert len(rows) == size[1] and all(cell_len(row) <= size[0] for row in rows), "the screen is not drawn whole"


async def walk(path: Path, size: Size, seed: int, count: int, *, clock: Callable[[], Any] | None = None,
               keys: Sequence[str] = ()) -> Fingers:
    """Press `count` keys on the screens of the logbook at `path`; `keys`: press these, to see a walk again.

    Raises Broken when the screens raise, or are not drawn whole.
    """
    fingers = Fingers(seed)
    app = StayingApp(path, clock or Clock(), poll=False)
    try:
        async with app.run_test(size=size) as pilot:
            await settle(app, pilot)
            for number in range(len(keys) or count):
                key = keys[number] if keys else fingers.next(app)
                await press(app, pilot, key)
                if app._exception is not None:
                    break
                look(app, size)
                if number % SETTLE_EVERY == 0:
                    await settle(app, pilot)
                    look(app, size)
            if app._exception is None:
                await settle(app, pilot)
    except Exception as broken:
        last = traceback.format_exception(broken)[-12:]
        raise Broken(f"seed {seed}, {size[0]}x{size[1]}, {path.name}, after {len(fingers.pressed)} keys: "
                     f"{type(broken).__name__}: {broken}\n{''.join(last)}\nkeys = {fingers.pressed!r}") from None
    return fingers
