"""What boxes with fields share that judge while somebody types: many changes at once, one judgement."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.screen import ModalScreen

    _Box = ModalScreen[bool]
else:
    _Box = object


class Judging(_Box):
    """Calls `check` once after fields changed. `due`: it is asked for; `check` sets it back."""

    due = False

    @abstractmethod
    def check(self) -> None:
        """Say what is wrong with what is typed."""

    def on_input_changed(self) -> None:
        self.check_soon()

    def on_choice_changed(self) -> None:
        self.check_soon()

    def check_soon(self) -> None:
        """Judge once for all fields that changed together."""
        if not self.due:
            self.due = True
            self.call_after_refresh(self.check)
