"""The watcher at work: rounds on a tick, on a new day and at the next due moment, until it is told to stop.

Nothing is kept between runs but what was told: what is due follows from the logbook, whoever writes it.
"""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from gwlog import clock
from gwlog.checkpoints import keep as checkpoints
from gwlog.errors import FAILED, FINE, BadInput, GwlogError, LogbookNewer
from gwlog.household import Household, look_set_up
from gwlog.journal import reader, store
from gwlog.journal.changes import Writes
from gwlog.libraries import scheduler
from gwlog.notify.channels import Channel, Command, read_channels
from gwlog.notify.rounds import Round, tell
from gwlog.notify.settings_file import Settings, read_settings, settings_path

TICK_S = 1.5
LOOK_AT_LEAST = timedelta(minutes=5)
WEATHER_EVERY_S = 60
"""How often it is looked whether the weather command's run of the day is due."""
WAIT_S = 1.0
"""After so long the wait looks up: not every system wakes a wait when a signal comes."""

SIGNALS = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGINT", "SIGBREAK") if hasattr(signal, name))
"""By what the watcher is told to stop; SIGBREAK is that of a Windows console."""

GRACE_S = 0.8
"""How long a message on its way may take when the watcher is told to stop."""

Say = Callable[[str], None]


def once(path: Path, say: Say) -> int:
    """One round, for cron and timers. Raises what the settings, the channels or the logbook deserve."""
    channels = read_channels()
    settings = read_settings(channels)
    fetched = True
    if settings.weather is not None:
        from gwlog.notify import weather_command

        fetched = weather_command.daily(path, settings.weather, settings_path(), clock.now(),
                                        look_set_up(path, clock.now()).zone, say)
    done = tell(look_set_up(path, clock.now()), settings, channels)
    for trouble in done.troubles:
        say(trouble)
    return FAILED if done.troubles or not fetched else FINE


class Watcher:
    """Rounds until `stop()`. Its jobs only ask what is due now, so that a lost or doubled one does no harm."""

    def __init__(self, path: Path, say: Say) -> None:
        self.path = path
        self.say = say
        self.stopped = threading.Event()
        self.answer = FINE
        self._signalled = False
        self._ended: Callable[[], None] | None = None
        self._bell: socket.socket | None = None
        self._round = threading.Lock()
        self._writes = Writes(path)
        self._version: str | None = None
        self._home: Household | None = None
        self._last: datetime | None = None
        self._next: datetime | None = None
        self._reported: str | None = None
        self._zone = "UTC"
        self._channels: dict[str, Channel] = {}
        self._settings: Settings | None = None
        self._scheduler: Any = None

    def run(self) -> int:
        """Watch until a signal to end or stop(). Raises at once when there is nothing to begin with."""
        self._read_files()
        self._zone = look_set_up(self.path, clock.now()).zone
        with self._told_to_stop() as told:
            self._begin()
            self.say(f"Watching {self.path}; to stop: Ctrl-C.")
            self._wait(told)
            self._end()
        return self.answer

    @contextlib.contextmanager
    def beside(self, ended: Callable[[], None]) -> Iterator[None]:
        """Watch while something else goes on in this process, which is what a signal ends. Raises as `run` does.

        `ended` is called where the watcher cannot go on: the process is to end and be started anew.
        """
        self._read_files()
        self._zone = look_set_up(self.path, clock.now()).zone
        self._ended = ended
        self._begin()
        self.say("Reminders are sent too.")
        try:
            yield
        finally:
            self._end()

    def _wait(self, told: socket.socket) -> None:
        told.settimeout(WAIT_S)
        while not self._signalled and not self.stopped.is_set():
            try:
                told.recv(1)
            except TimeoutError:
                continue
            return

    def stop(self) -> None:
        """Have `run` return, or what is beside end; a round that has not begun is left out. For any thread."""
        self.stopped.set()
        if self._ended is not None:
            self._ended()
        if self._bell is not None:
            with contextlib.suppress(OSError):   # it rings already, or the watcher has ended
                self._bell.send(b"!")

    @contextlib.contextmanager
    def _told_to_stop(self) -> Iterator[socket.socket]:
        """A socket with a byte in it once a signal to end came, or `stop` was called.

        The interpreter writes it, whichever thread the system gave the signal to: a main thread that waits for a lock
        would not learn of a signal that another thread got, and a handler may not touch a lock.
        """
        told, self._bell = socket.socketpair()
        with told, self._bell:
            self._bell.setblocking(False)
            before = signal.set_wakeup_fd(self._bell.fileno(), warn_on_full_buffer=False)
            handlers = {number: signal.signal(number, self._signal_came) for number in SIGNALS}
            try:
                yield told
            finally:
                signal.set_wakeup_fd(before)
                for number, handler in handlers.items():
                    signal.signal(number, handler)

    def _signal_came(self, *_: object) -> None:
        self._signalled = True

    def _begin(self) -> None:
        background = scheduler("background")
        from apscheduler.events import EVENT_JOB_ERROR, EVENT_JOB_MISSED

        self._scheduler = background.BackgroundScheduler(
            timezone=clock.zone("UTC"),
            job_defaults={"coalesce": True, "misfire_grace_time": None, "max_instances": 1})
        self._scheduler.add_listener(self._job_failed, EVENT_JOB_ERROR | EVENT_JOB_MISSED)
        self._scheduler.add_job(self.tick, "interval", seconds=TICK_S, id="tick", next_run_time=clock.now())
        self._scheduler.add_job(self.round, "cron", hour=0, minute=0, second=1, id="new_day",
                                timezone=clock.zone(self._zone))
        self._scheduler.add_job(self.weather, "interval", seconds=WEATHER_EVERY_S, id="weather",
                                next_run_time=clock.now())
        self._scheduler.start()

    def _end(self) -> None:
        """Let a message on its way arrive, for a moment; then end whatever is left."""
        self.stopped.set()
        self._scheduler.shutdown(wait=False)
        if self._no_round_within(GRACE_S):
            return
        for channel in self._channels.values():
            if isinstance(channel, Command):
                channel.stop()
        if not self._no_round_within(GRACE_S):
            # A channel waits for the network: its thread would keep the process. The logbook's file is safe at any
            # moment, and what was handed over is noted as such.
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(self.answer)

    def _no_round_within(self, seconds: float) -> bool:
        """Whether the round under way ends in time. The lock is not kept: a round that waits for it must end too."""
        if not self._round.acquire(timeout=seconds):
            return False
        self._round.release()
        return True

    def _job_failed(self, event: Any) -> None:
        what = getattr(event, "exception", None)
        self._report_once(f"A check failed ({type(what).__name__}); trying again." if what
                        else "A check was late; the next one makes up for it.")

    def tick(self) -> None:
        """A round when the logbook has changed, when something is due, when the clock jumped, or after a while."""
        if self.stopped.is_set():
            return
        now = clock.now()
        due = self._next is not None and now >= self._next
        old = self._last is None or not timedelta(0) <= now - self._last <= LOOK_AT_LEAST
        written = self._writes.since_last(now) or self._version is None
        if not (due or old or written):
            return
        try:
            store.check(self.path)
            version = reader.data_version(self.path)
        except GwlogError as trouble:
            self._version = None
            self._trouble(trouble)
            return
        if version != self._version or due or old:
            self.round()

    def round(self) -> None:
        """One round now; troubles are told once and tried again with the next one."""
        with self._round:
            if self.stopped.is_set():
                return
            now = clock.now()
            try:
                store.check(self.path)
                version = reader.data_version(self.path)
                self._read_again()
                home = self._look(version, now)
                assert self._settings is not None
                done = tell(home, self._settings, self._channels, stopping=self.stopped.is_set)
            except GwlogError as trouble:
                self._version = None   # so that the next tick tries again
                self._trouble(trouble)
                return
            checkpoints.keep_up()
            self._version, self._last, self._next = version, now, done.next_at
            self._follow(done)

    def _look(self, version: str, now: datetime) -> Household:
        """The household now; the logbook is read again where it changed, else what was read is looked at anew."""
        known = self._home if version == self._version else None
        self._home = look_set_up(self.path, now) if known is None else known.at(now)
        return self._home

    def weather(self) -> None:
        """The weather command's run of the day, where it is due: beside the rounds, so that nobody is told late."""
        if self._settings is None or self._settings.weather is None or self.stopped.is_set():
            return
        from gwlog.notify import weather_command

        try:
            weather_command.daily(self.path, self._settings.weather, settings_path(), clock.now(), self._zone, self.say,
                                  self.stopped)
        except GwlogError as trouble:
            self._report_once(str(trouble))

    def _follow(self, done: Round) -> None:
        if done.troubles:
            self._report_once("\n".join(dict.fromkeys(done.troubles)))
        elif done.sent or self._reported is not None:
            self._reported = None
        if done.next_at is not None and self._scheduler is not None and not self.stopped.is_set():
            self._scheduler.add_job(self.round, "date", run_date=done.next_at, id="due", replace_existing=True)

    def _read_again(self) -> None:
        """Changed settings count at once; faulty ones are told, and the last good ones stay."""
        try:
            self._read_files()
        except BadInput as fault:
            self._report_once(f"{fault}\nThe settings stay as they were until that is fixed.")

    def _read_files(self) -> None:
        channels = read_channels()
        self._settings = read_settings(channels)
        self._channels = channels

    def _trouble(self, trouble: GwlogError) -> None:
        self._report_once(f"{trouble}\n→ {trouble.hint}" if trouble.hint else str(trouble))
        if isinstance(trouble, LogbookNewer):
            # It will not get older by itself.
            self.answer = trouble.exit_code
            self.stop()

    def _report_once(self, words: str) -> None:
        if words != self._reported:
            self._reported = words
            self.say(words)
