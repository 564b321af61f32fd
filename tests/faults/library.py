"""The preload library of the faults, compiled by the system's own compiler when it is first wanted."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

SOURCE = Path(__file__).with_name("fault.c")


def compiled(into: Path) -> Path | str:
    """The library in the folder `into`, or in words why there is none here."""
    if not sys.platform.startswith("linux"):
        return "faults are preloaded on Linux only"
    compiler = next(filter(None, map(shutil.which, ("cc", "gcc", "clang"))), None)
    if compiler is None:
        return "there is no C compiler here"
    made = into / "fault.so"
    if not made.exists():
        draft = into / "fault-draft.so"
        done = subprocess.run([compiler, "-shared", "-fPIC", "-O1", "-o", str(draft), str(SOURCE), "-ldl"],
                              capture_output=True, text=True, check=False)
        if done.returncode != 0:
            return f"{compiler} could not compile {SOURCE.name}: {done.stderr.splitlines()[0] if done.stderr else ''}"
        draft.rename(made)
    return made
