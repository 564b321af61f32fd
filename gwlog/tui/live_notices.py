"""Reminders while the screens are open: a bell and a notice when one falls due, at most once for each.

The delivery bookkeeping is shared with every other open gwlog, so that two of them do not ring twice. What stands
when the screens are opened is on the list already and counts as shown.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.screen import ModalScreen

from gwlog import clock, text
from gwlog.errors import GwlogError
from gwlog.libraries import scheduler
from gwlog.tui import key_hints
from gwlog.tui.host import Host

if TYPE_CHECKING:
    from gwlog.decisions.notification_times import Times
    from gwlog.decisions.reminders import Reminder
    from gwlog.household import Household

CHANNEL = "screen"
MOST_LINES = 3
NOTICE_S = 8.0


class LiveNotices:
    """Asks after every look what is due now, and has the household looked at again when the next thing is.

    `announced`: the keys of the reminders that were due at some look; `running`: whether notices are wanted.
    """

    def __init__(self, app: App[Any], host: Host) -> None:
        self.running = False
        self.announced: set[str] = set()
        self._app = app
        self._host = host
        self._held: list[Reminder] = []
        self._scheduler: Any = None
        self._opened = False
        self._lock = asyncio.Lock()

    async def begin(self) -> None:
        """Load the scheduler in a thread, then let it wake the screens on every new day."""
        scheduler_type = await asyncio.to_thread(_scheduler_type)
        if not self._app.is_running:
            return
        self._scheduler = scheduler_type(
            timezone=clock.zone("UTC"), job_defaults={"coalesce": True, "misfire_grace_time": None, "max_instances": 1})
        home = self._host.home
        self._scheduler.add_job(self._wake, "cron", hour=0, minute=0, second=1, id="new day",
                                timezone=clock.zone(home.zone if home is not None else "UTC"))
        self._scheduler.start()
        self.running = True
        await self.check()

    def end(self) -> None:
        """Stop waking anybody."""
        self.running = False
        if self._scheduler is not None:
            self._scheduler.shutdown(wait=False)
            self._scheduler = None

    async def _wake(self) -> None:
        if self.running:
            await self._host.reload()

    async def check(self) -> None:
        """Ring for what has fallen due since the last look, and plan the next waking."""
        async with self._lock:
            home = self._host.home
            if home is None or home.state.site is None or not self.running:
                return
            due, moment = await asyncio.to_thread(_due, home)
            fresh = [one for one in due if one.key not in self.announced]
            if fresh:
                fresh = await asyncio.to_thread(claimed, self._host.path, fresh, self._host.now())
            self.announced |= {one.key for one in due}
            if self._opened and fresh and self.running:
                self._ring(fresh)
            self._opened = True
            self._plan(moment)

    def _ring(self, due: Sequence[Reminder]) -> None:
        self._app.bell()
        self._held += due
        self.release()

    def release(self) -> None:
        """Show what is held back; not over a dialog, whose question or keys a notice would hide."""
        if not self._held or isinstance(self._app.screen, ModalScreen):
            return
        due, self._held = self._held, []
        lines = [key_hints.words(text.one_line(one.text)) for one in due[:MOST_LINES]]
        if len(due) > MOST_LINES:
            lines.append(f"and {len(due) - MOST_LINES} more, on Today's list")
        self._app.notify("\n".join(lines), title="To do now", timeout=NOTICE_S, markup=False)

    def _plan(self, moment: datetime | None) -> None:
        if self._scheduler is None or moment is None:
            return
        # the screens may look from another moment than the present one
        self._scheduler.add_job(self._wake, "date", run_date=clock.now() + (moment - self._host.now()), id="due",
                                replace_existing=True)


def _scheduler_type() -> Any:
    return scheduler("asyncio").AsyncIOScheduler


def _due(home: Household) -> tuple[list[Reminder], datetime | None]:
    """The reminders that are due at this look, and the next moment at which one is."""
    from gwlog.decisions.notification_times import due_telling, next_moment

    times = _times()
    due = [one for one in home.reminders if due_telling(one, home.now, times, home.zone) is not None]
    return due, next_moment(home.reminders, home.now, times, home.zone)


def _times() -> Times:
    """At what times this household is notified; the usual times where its settings cannot be read."""
    from gwlog.decisions.notification_times import Times
    from gwlog.notify.channels import read_channels
    from gwlog.notify.settings_file import read_settings

    try:
        return read_settings(read_channels()).times
    except GwlogError:
        return Times()


def claimed(path: Path, due: Sequence[Reminder], now: datetime) -> list[Reminder]:
    """Those that no screen has shown yet; they count as shown from now on.

    Where the logbook takes no bookkeeping (busy, read-only) all of them are: a bell twice is better than none.
    """
    from gwlog.journal import delivery
    from gwlog.journal.delivery import Wanted

    keys = {f"{one.key}\t{CHANNEL}": one for one in due}
    try:
        token, mine = delivery.claim(path, [Wanted(key, one.key, "", CHANNEL) for key, one in keys.items()], now)
        mine = delivery.hand_over(path, token, now) if mine else ()
        if mine:
            delivery.settle(path, token, now)
    except GwlogError:
        return list(due)
    return [keys[key] for key in mine]
