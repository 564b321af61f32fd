"""Runs a command of the user's whose output is wanted: no shell, its own process group, limits on time and output.

At a limit everything that it started is ended; a cut output is never returned.
"""

from __future__ import annotations

import os
import selectors
import signal
import subprocess
import tempfile
import threading
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gwlog import text
from gwlog.errors import GwlogError

MOST_OUTPUT = 1 << 20
MOST_ERRORS = 8 << 10
GRACE_S = 5.0
"""How long a command may take to end once it was asked to."""
AFTERWARDS_S = 2.0
"""How long its output may stay open once the command has ended: a process that it left behind must not keep us."""
TRY_LATER = 75
"""EX_TEMPFAIL of sysexits.h: the command asks to be tried later."""
_LOOK_S = 0.1


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command that ended by itself gave: its output, exit code and seconds."""

    output: bytes
    code: int
    seconds: float
    last_words: str


class CommandFailed(GwlogError):
    """Nothing can be taken of a command's run. `later`: it asked to be tried later."""

    def __init__(self, message: str, *, later: bool = False) -> None:
        super().__init__(message)
        self.later = later


def run(words: Sequence[str], environment: Mapping[str, str], *, limit_s: float,
        stopped: threading.Event | None = None) -> Ran:
    """Run a command to its end and return what it printed.

    Raises CommandFailed where it cannot be started, passes a limit, is stopped, or ends with another exit code than 0.
    """
    if os.name == "nt":   # its pipes cannot be waited for, and there is no group to end
        raise CommandFailed("A weather command runs on Linux and macOS. On Windows save the weather as a file and take "
                            "it in with: gwlog weather import FILE")
    with tempfile.TemporaryDirectory(prefix="gwlog-weather-") as folder:
        try:
            process = subprocess.Popen(
                list(words), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=folder,
                env=dict(environment), start_new_session=True, umask=0o077)
        except (OSError, ValueError) as error:
            reason = (getattr(error, "strerror", None) or "it cannot be used").lower()
            raise CommandFailed(f"The weather command {words[0]} cannot be started: {reason}.") from None
        began = time.monotonic()
        try:
            output, errors, cut = _drained(process, began + limit_s, stopped or threading.Event())
        finally:
            _end(process)
        seconds = time.monotonic() - began
    last = _last_line(errors)
    said = f" Its last words: {last}" if last else ""
    if cut:
        raise CommandFailed(f"The weather command {cut.format(limit=limit_s)}; nothing was taken.{said}")
    if process.returncode:
        how = f"was ended by signal {-process.returncode}" if process.returncode < 0 else \
            f"ended with exit code {process.returncode}"
        raise CommandFailed(f"The weather command {how}; nothing was taken.{said}",
                            later=process.returncode == TRY_LATER)
    return Ran(output, process.returncode, seconds, last)


def _drained(process: subprocess.Popen[bytes], until: float, stopped: threading.Event) -> tuple[bytes, bytes, str]:
    """Both outputs, drained side by side, and why the run was cut short (“” where it was not)."""
    assert process.stdout is not None and process.stderr is not None
    kept: dict[int, bytearray] = {process.stdout.fileno(): bytearray(), process.stderr.fileno(): bytearray()}
    out, err = kept
    over_since: float | None = None
    with selectors.DefaultSelector() as open_ones:
        for pipe in kept:
            os.set_blocking(pipe, False)
            open_ones.register(pipe, selectors.EVENT_READ)
        while True:
            ended = process.poll() is not None
            for key, _ in open_ones.select(_LOOK_S) if open_ones.get_map() else ():
                part = os.read(key.fd, 65536)
                kept[key.fd] += part
                if not part:
                    open_ones.unregister(key.fd)
            del kept[err][:-MOST_ERRORS]
            now = time.monotonic()
            if len(kept[out]) > MOST_OUTPUT:
                return b"", bytes(kept[err]), f"printed more than {MOST_OUTPUT >> 20} MB and was stopped"
            if ended and not open_ones.get_map():
                return bytes(kept[out]), bytes(kept[err]), ""
            if ended:
                over_since = over_since or now
                if now - over_since > AFTERWARDS_S:
                    return b"", bytes(kept[err]), "ended, but something that it started keeps its output open"
            elif not open_ones.get_map():
                time.sleep(_LOOK_S)   # it closed its outputs and goes on
            if now > until and not ended:
                return b"", bytes(kept[err]), "did not end within {limit:g} s and was stopped"
            if stopped.is_set():
                return b"", bytes(kept[err]), "was stopped"


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the whole process group: asked first, then forced; and wait for the command itself."""
    for number in (signal.SIGTERM, signal.SIGKILL):
        try:
            os.killpg(process.pid, number)
        except (ProcessLookupError, PermissionError):
            break
        try:
            process.wait(GRACE_S)
        except subprocess.TimeoutExpired:
            continue
        if number == signal.SIGTERM and not _group_lives(process.pid):
            break
    process.wait()
    for pipe in (process.stdout, process.stderr):
        if pipe is not None:
            pipe.close()


def _group_lives(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except (ProcessLookupError, PermissionError):
        return False
    return True


def _last_line(errors: bytes) -> str:
    lines = [line for line in errors.decode("utf-8", "replace").splitlines() if line.strip()]
    return text.one_line(lines[-1])[:200] if lines else ""
