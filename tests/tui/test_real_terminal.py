"""The whole thing in a real terminal: start, log a load, move the hose, turn the valve, leave; then read the file."""

from __future__ import annotations

import os
import pty
import select
import signal
import struct
import sys
import termios
import time
from fcntl import ioctl
from pathlib import Path

from gwlog.journal.reader import read
from tests.tui.conftest import NOW, household

PATIENCE = 25.0
# the time runs, but from the morning on which the tests' household is looked at
PROGRAM = """
import sys, pathlib
from datetime import datetime
from gwlog import clock
from gwlog.tui.app import run
begun, morning = clock.now(), datetime.fromisoformat(sys.argv[2])
run(pathlib.Path(sys.argv[1]), lambda: morning + (clock.now() - begun))
"""


class Terminal:
    """A process on a pseudo-terminal of 80x24, and everything it has drawn so far."""

    def __init__(self, path: Path) -> None:
        self.drawn = ""
        self.process, self.line = pty.fork()
        if self.process == 0:
            os.environ.update(TERM="xterm-256color", COLUMNS="80", LINES="24")
            os.execv(sys.executable, [sys.executable, "-c", PROGRAM, str(path), NOW.isoformat()])
        ioctl(self.line, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))

    def wait_for(self, words: str) -> None:
        """Read until the words were drawn since the last key."""
        end = time.monotonic() + PATIENCE
        while words not in self.drawn:
            assert time.monotonic() < end, f"“{words}” was not drawn; seen: {self.drawn[-1500:]!r}"
            self._read(0.2)

    def _read(self, seconds: float) -> bool:
        if select.select([self.line], [], [], seconds)[0]:
            try:
                got = os.read(self.line, 65_536)
            except OSError:
                return False
            self.drawn += got.decode(errors="replace")
            return bool(got)
        return True

    def press(self, key: str) -> None:
        """Send a key."""
        self.drawn = ""
        os.write(self.line, key.encode())

    def end(self) -> int:
        """Wait for the process; returns its exit code."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            done, status = os.waitpid(self.process, os.WNOHANG)
            if done:
                return os.waitstatus_to_exitcode(status)
            self._read(0.1)
        os.kill(self.process, signal.SIGKILL)
        os.waitpid(self.process, 0)
        raise AssertionError("the screens did not end")


def test_a_morning_at_the_machine(logbook: Path) -> None:
    terminal = Terminal(logbook)
    terminal.wait_for("wants water")
    terminal.press("l")
    terminal.wait_for("Which load?")
    terminal.press("1")
    terminal.wait_for("Did you do the steps first?")
    terminal.press("s")
    terminal.wait_for("Logged 15")
    terminal.press("m")
    terminal.wait_for("Will log")
    terminal.press("\r")
    terminal.wait_for("Logged 16")
    terminal.press("v")
    terminal.wait_for("Will log")
    terminal.press("\r")
    terminal.wait_for("Logged 17")
    terminal.press("q")
    assert terminal.end() == 0
    load, move, valve = read(logbook)[len(household()):]
    assert (load.KIND, load.usual_load, load.went_to) == ("wash_load", "towels", "garden")  # type: ignore[attr-defined]
    assert (move.outlet, move.basin) == ("Hose", "Fig")  # type: ignore[attr-defined]
    assert valve.position == "sewer"  # type: ignore[attr-defined]
