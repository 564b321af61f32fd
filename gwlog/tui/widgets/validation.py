"""Validation while somebody types: once for many changes at a time, or once the keys pause."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.timer import Timer
    from textual.widget import Widget

    _Shown = Widget
else:
    _Shown = object


class Validation(_Shown):
    """Mixed into a dialog: calls `check` once after fields changed. `due`: it will be; `check` sets it back."""

    due = False

    @abstractmethod
    def check(self) -> None:
        """Say what is wrong with what is typed."""

    def on_input_changed(self) -> None:
        self.check_soon()

    def on_choice_changed(self) -> None:
        self.check_soon()

    def check_soon(self) -> None:
        """Check once for all fields that changed together."""
        if not self.due:
            self.due = True
            self.call_after_refresh(self.check)


class TypingPause(_Shown):
    """Mixed into a screen: does something a moment after the last key."""

    _pause: Timer | None = None

    def after_pause(self, seconds: float, work: Callable[[], object]) -> None:
        """Do `work` so many seconds after the last call."""
        self.end_pause()
        self._pause = self.set_timer(seconds, work)

    def end_pause(self) -> None:
        """Wait no longer."""
        if self._pause is not None:
            self._pause.stop()
