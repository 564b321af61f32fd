"""Computations that take a moment run in a thread beside the keys, one at a time; only the latest result is shown."""

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
_Request = tuple[Callable[[], object], Callable[[object], None]]


class LatestResult(_Shown):
    """Mixed into a screen or a widget that shows what is computed."""

    _request: _Request | None = None
    _computing = False
    _requests = 0

    def discard(self) -> None:
        """The result of what is being computed is not to be shown any more."""
        self._request = None
        self._requests += 1

    def compute(self, work: Callable[[], T], then: Callable[[T], None]) -> None:
        """Do `work` in a thread and hand its result to `then`, unless something newer is requested by then.

        `work` must not raise.
        """
        self._request = (work, then)  # type: ignore[assignment]
        self._requests += 1
        if not self._computing:
            self._computing = True
            self.run_worker(self._compute(), group="compute")

    async def _compute(self) -> None:
        try:
            while self._request is not None and self.is_mounted:
                (work, then), self._request, number = self._request, None, self._requests
                result = await asyncio.to_thread(work)
                if number == self._requests and self.is_mounted:
                    then(result)
        finally:
            self._computing = False
