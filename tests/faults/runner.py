"""Runs command lines in forks of one loaded process, each with a fault at a chosen call or without one."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
KILLED = -9


@dataclass(frozen=True)
class Run:
    """What a command line came to: exit code (−9: killed), its words, and how many calls on the disk it made."""

    code: int
    out: str
    err: str
    calls: int
    last: str
    seconds: float
    peak_mb: float


class Runner:
    """`run(...)` as often as wanted, between `with` and its end."""

    def __init__(self, library: Path | None) -> None:
        environment = {key: value for key, value in os.environ.items() if not key.startswith("GWLOG")}
        environment["PYTHONPATH"] = str(ROOT)
        if library is not None:
            environment["LD_PRELOAD"] = str(library)
        self._process = subprocess.Popen([sys.executable, "-m", "tests.faults.server"], cwd=ROOT, env=environment,
                                         stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def run(self, folder: Path, *args: str, now: str, at: int = 0, what: str | None = None, lasting: bool = False,
            env: dict[str, str] | None = None, memory_mb: int = 0) -> Run:
        """Run `gwlog args` in `folder`, which also holds home, settings and temporary files.

        `at`, `what`: the call that fails, and how: “kill”, “ENOSPC”, “EIO”; `lasting`: all later ones too.
        """
        request: dict[str, Any] = {
            "args": args, "folder": str(folder), "now": now, "at": at, "what": what, "lasting": lasting,
            "memory_mb": memory_mb, "env": {**surroundings(folder), **(env or {})}}
        assert self._process.stdin is not None and self._process.stdout is not None
        self._process.stdin.write(json.dumps(request) + "\n")
        self._process.stdin.flush()
        answer = json.loads(self._process.stdout.readline())
        return Run(answer["code"], answer["out"], answer["err"], answer["calls"] or 0, answer["last"],
                   answer["seconds"], answer["peak_mb"])

    def __enter__(self) -> Runner:
        return self

    def __exit__(self, *_: type[BaseException] | BaseException | TracebackType | None) -> None:
        assert self._process.stdin is not None and self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait()
        self._process.stdout.close()


def surroundings(folder: Path) -> dict[str, str]:
    """The environment of a command whose every file lies in `folder`."""
    return {"GWLOG_LOGBOOK": str(folder / "house.db"), "HOME": str(folder / "home"), "TMPDIR": str(folder / "tmp"),
            "XDG_CONFIG_HOME": str(folder / "home/config"), "XDG_DATA_HOME": str(folder / "home/data"),
            "COLUMNS": "100", "TERM": "dumb"}
