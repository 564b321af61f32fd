"""A process that has everything loaded and runs each command line it is sent in a fork of its own, with a fault.

One JSON request a line on stdin, one JSON answer a line on stdout.
`runner.Runner` starts it with the library preloaded.
"""

from __future__ import annotations

import ctypes
import errno
import json
import os
import resource
import signal
import sys
from datetime import datetime
from importlib import import_module
from pathlib import Path
from typing import Any

DO = {None: 0, "kill": -1, "ENOSPC": errno.ENOSPC, "EIO": errno.EIO}
LOADED = (
    "gwlog.journal.tables", "gwlog.journal.writer", "gwlog.journal.backup", "gwlog.journal.exchange",
    "gwlog.journal.pack", "gwlog.journal.seal", "gwlog.household", "gwlog.decisions.advice", "gwlog.views.answers",
    "gwlog.app.exports", "gwlog.app.imports", "gwlog.app.entries", "alembic.command", "platformdirs", "tomllib")


def load() -> None:
    """Load what commands would load, so that a fork begins at once."""
    from gwlog.cli.main import COMMANDS, cli

    for place in COMMANDS.values():
        import_module(f"gwlog.cli.{place.partition(':')[0]}")
    for name in LOADED:
        import_module(name)
    cli.main(["--version"], standalone_mode=False)


def child(request: dict[str, Any], out: int, err: int, told: int) -> None:
    """Run one command line; never returns."""
    os.dup2(out, 1)
    os.dup2(err, 2)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    os.environ.update(request["env"])
    os.chdir(request["folder"])
    if request.get("memory_mb"):
        most = request["memory_mb"] * 1_000_000
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
    if request.get("now"):
        from gwlog import clock

        moment = datetime.fromisoformat(request["now"])
        clock.now = lambda: moment
    sys.stdin, sys.stdout = open(0, encoding="utf-8"), open(1, "w", encoding="utf-8")  # noqa: SIM115
    sys.stderr = open(2, "w", encoding="utf-8")  # noqa: SIM115
    from gwlog.cli.main import run

    library = ctypes.CDLL(None) if os.environ.get("LD_PRELOAD") else None
    if library is not None:
        library.fault_last.restype = ctypes.c_char_p
        library.fault_arm(os.fsencode(request["folder"]), request.get("at") or 0, DO[request.get("what")],
                          int(bool(request.get("lasting"))))
    try:
        code = run(request["args"])
        sys.stdout.flush()
        sys.stderr.flush()
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 1
    except BaseException:
        import traceback

        os.write(2, traceback.format_exc().encode())
        code = 70
    if library is not None:
        os.write(told, json.dumps([library.fault_count(), library.fault_last().decode()]).encode())
    usage = resource.getrusage(resource.RUSAGE_SELF)
    os.write(told, b"\n" + str(usage.ru_maxrss).encode())
    os._exit(code)


def main() -> None:
    """Answer requests until stdin ends."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    load()
    for line in sys.stdin:
        request = json.loads(line)
        out, err = os.memfd_create("out"), os.memfd_create("err")
        heard, told = os.pipe()
        pid = os.fork()
        if pid == 0:
            child(request, out, err, told)
        os.close(told)
        _, status, usage = os.wait4(pid, 0)
        counted, _, _ = os.read(heard, 1000).decode().partition("\n")
        os.close(heard)
        code = -os.WTERMSIG(status) if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)
        calls, last = json.loads(counted) if counted else (None, "")
        print(json.dumps({"code": code, "out": _read(out), "err": _read(err), "calls": calls, "last": last,
                          "seconds": usage.ru_utime + usage.ru_stime, "peak_mb": usage.ru_maxrss / 1000}),
              file=answers, flush=True)


def _read(handle: int) -> str:
    os.lseek(handle, 0, os.SEEK_SET)
    with os.fdopen(handle, "rb") as file:
        return file.read().decode("utf-8", "replace")


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    main()
