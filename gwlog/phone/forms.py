"""Each form that is shown bears a key that is good once: sent again, it writes nothing and tells the first outcome.

The keys live in memory: after a new start of the server every form is an old one, and says so.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from threading import Lock
from typing import Any

from gwlog.actions import Words
from gwlog.errors import GwlogError
from gwlog.journal.facts import Fact
from gwlog.values import dataclass

GOOD_FOR = timedelta(hours=12)
MOST_OF_A_PHONE = 200
"""So many forms of one phone are remembered; the oldest give way."""


class OldForm(GwlogError):
    """A form that was shown too long ago, to another phone, or by no page of this server."""

    def __init__(self) -> None:
        super().__init__("This page was open for too long, or gwlog was started again since. Nothing was logged now.",
                         hint="What was logged before is in the Log. If this is not in it, send it again.")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a form: the lines that tell it, and the entries that were written."""

    lines: tuple[Words, ...]
    written: tuple[Fact, ...] = ()


class Form:
    """A form that was shown. `shown`: what the person saw who sends it; `outcome`: once it was sent."""

    __slots__ = ("at", "outcome", "purpose", "sending", "shown")

    def __init__(self, purpose: str, at: datetime, shown: Any) -> None:
        self.purpose, self.at, self.shown = purpose, at, shown
        self.outcome: Outcome | None = None
        self.sending = Lock()


class Forms:
    """The forms that were shown to each phone."""

    def __init__(self) -> None:
        self._of: dict[str, OrderedDict[str, Form]] = {}
        self._lock = Lock()

    def show(self, phone: str, purpose: str, now: datetime, shown: Any = None) -> str:
        """The key for a form of that purpose. `phone`: the digest of its key, so that no other can send it."""
        key = secrets.token_urlsafe(16)
        with self._lock:
            shown_to = self._of.setdefault(phone, OrderedDict())
            shown_to[key] = Form(purpose, now, shown)
            while len(shown_to) > MOST_OF_A_PHONE:
                shown_to.popitem(last=False)
        return key

    def once(self, phone: str, purpose: str, key: str, now: datetime,
             act: Callable[[Any], tuple[Sequence[Words], Sequence[Fact]]]) -> Outcome:
        """What comes of a form, the first time it is sent and ever after. `act` gets what was shown; what it raises
        leaves the form to be sent again. The same one sent meanwhile waits.

        Raises OldForm for a key that is not, or no longer, of such a form of this phone.
        """
        form = self._find(phone, key)
        if form is None or form.purpose != purpose or not timedelta(0) <= now - form.at <= GOOD_FOR:
            raise OldForm
        with form.sending:
            if form.outcome is None:
                lines, written = act(form.shown)
                form.outcome, form.shown = Outcome(tuple(lines), tuple(written)), None
            return form.outcome

    def outcome(self, phone: str, key: str) -> Outcome | None:
        """What came of a form of this phone that was sent, None where it is not known."""
        form = self._find(phone, key)
        return None if form is None else form.outcome

    def forget(self, phone: str) -> None:
        """The phone is removed."""
        with self._lock:
            self._of.pop(phone, None)

    def _find(self, phone: str, key: str) -> Form | None:
        with self._lock:
            shown_to = self._of.get(phone)
            return None if shown_to is None else shown_to.get(key)
