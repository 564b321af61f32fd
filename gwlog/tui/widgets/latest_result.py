"""What takes a moment is worked out beside the keys: one thing at a time, and the newest wish wins."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from textual.widget import Widget

    _Shown = Widget
else:
    _Shown = object

T = TypeVar("T")
_Wish = tuple[Callable[[], object], Callable[[object], None]]


class Thinking(_Shown):
    """Mixed into a screen or a widget."""

    _wish: _Wish | None = None
    _at_work = False
    _asked = 0

    def forget(self) -> None:
        """What is being worked out is not to be shown any more."""
        self._wish = None
        self._asked += 1

    def think(self, work: Callable[[], T], then: Callable[[T], None]) -> None:
        """Do `work` in a thread and hand its result to `then`, unless something newer is wished for by then.

        `work` must not raise.
        """
        self._wish = (work, then)  # type: ignore[assignment]
        self._asked += 1
        if not self._at_work:
            self._at_work = True
            self.run_worker(self._think(), group="think")

    async def _think(self) -> None:
        try:
            while self._wish is not None and self.is_mounted:
                (work, then), self._wish, asked = self._wish, None, self._asked
                found = await asyncio.to_thread(work)
                if asked == self._asked and self.is_mounted:
                    then(found)
        finally:
            self._at_work = False
