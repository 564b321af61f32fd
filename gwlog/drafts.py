"""Files and folders that exist only while something is being written, named with the process that writes them.

A command that was killed leaves its drafts behind; the next command that comes by removes them, and only those: a draft
of a living process is never touched.
"""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path

MODE = 0o600
_DAY_SECONDS = 86_400
_ENDING = ".draft"
_KEPT_OF_NAME = 40   # of the name it is for; in four-byte letters it still leaves room for the rest
_OWNED = r"\.(?:gwlog-)?(\d+)-(\d+)-([0-9a-f]{6})-([0-9a-f]{6})\.[0-9a-f]{8}\.draft"
_UNOWNED = r"\..*\.[0-9a-f]{8}\.draft(-wal|-shm|-journal)?"
_UNOWNED_FOLDER = r"gwlog-[a-z0-9_]{8}"
_COPIES = r"(logbook|closed)\.db.*"


def owner() -> str:
    """This process, as drafts bear it: its number, its start, this run of the machine, and the machine.

    The start is in clock ticks since the machine was switched on, 0 where the system does not tell; the last two are
    short digests.
    """
    pid = os.getpid()
    return "-".join((str(pid), str(_start_of(pid) or 0), *_here()))


@cache
def _here() -> tuple[str, str]:
    import platform

    boot = _read("/proc/sys/kernel/random/boot_id")
    try:
        numbering = str(Path("/proc/self/ns/pid").readlink())   # processes of a container are numbered by themselves
    except OSError:
        numbering = ""
    return _digest(boot), _digest(platform.node() + numbering)


def _digest(words: str) -> str:
    import hashlib

    return hashlib.sha256(words.encode()).hexdigest()[:6]


def _read(path: str) -> str:
    try:
        return Path(path).read_text("ascii", "replace")
    except OSError:
        return ""


def _start_of(pid: int) -> int | None:
    """When a process began; None where the system does not say."""
    # The name of the program stands in brackets and may hold anything.
    rest = _read(f"/proc/{pid}/stat").rpartition(")")[2].split()
    return int(rest[19]) if len(rest) > 19 and rest[19].isdigit() else None


def _runs(pid: int) -> bool:
    if sys.platform == "win32":
        import ctypes

        kernel = ctypes.windll.kernel32
        handle = kernel.OpenProcess(0x00100000, False, pid)   # the right to wait for its end
        if not handle:
            return False
        waiting = 0x102
        runs = kernel.WaitForSingleObject(handle, 0) == waiting
        kernel.CloseHandle(handle)
        return bool(runs)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def gone(pid: int, start: int, boot: str, machine: str) -> bool | None:
    """Whether the process of an owner() has ended; None where it cannot be known from here: on another machine."""
    boot_now, here = _here()
    if machine != here:
        return None
    if boot != boot_now or not _runs(pid):
        return True
    began = _start_of(pid)
    return start != 0 and began is not None and began != start


def name_beside(where: Path) -> Path:
    """A name for a draft of `where`, in the same folder, that no other process takes."""
    return where.with_name(f".{where.name[:_KEPT_OF_NAME]}.{owner()}.{os.urandom(4).hex()}{_ENDING}")


@contextmanager
def beside(where: Path) -> Iterator[Path]:
    """An empty file of mode 0600 in the folder of `where`; removed at the end if it is still there.

    What stopped commands left in that folder is removed first. Raises OSError or ValueError when it cannot be made.
    """
    sweep(where.parent)
    draft = name_beside(where)
    handle = os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL, MODE)
    try:
        if hasattr(os, "fchmod"):
            os.fchmod(handle, MODE)   # whatever the mask of the process takes away
    finally:
        os.close(handle)
    try:
        yield draft
    finally:
        remove(draft)


@contextmanager
def folder() -> Iterator[Path]:
    """An empty folder of mode 0700 among the system's temporary files, removed at the end with all that is in it.

    What stopped commands left there is removed first.
    """
    import shutil

    temporary = temporary_folder()
    sweep(temporary)
    made = temporary / f".gwlog-{owner()}.{os.urandom(4).hex()}{_ENDING}"
    made.mkdir(mode=0o700)
    made.chmod(0o700)
    try:
        yield made
    finally:
        shutil.rmtree(made, ignore_errors=True)


def holds(path: Path) -> bool:
    """Whether a file lies in a folder of drafts, and goes with it."""
    return path.parent.name.startswith(".gwlog-") and path.parent.name.endswith(_ENDING)


def temporary_folder() -> Path:
    """Where the system keeps temporary files."""
    import tempfile

    return Path(tempfile.gettempdir())


def remove(draft: Path) -> None:
    """Remove a draft and what SQLite keeps beside it, as far as it is there; what stays, a later command removes."""
    for leftover in (draft, *(Path(f"{draft}{ending}") for ending in ("-wal", "-shm", "-journal"))):
        with suppress(OSError):
            leftover.unlink()


def leftovers(where: Path) -> list[Path]:
    """What stopped commands left in a folder: drafts whose process has ended, or that nobody has touched for a day
    where the process cannot be known."""
    found = []
    with suppress(OSError), os.scandir(where) as names:
        for one in names:
            if ".draft" not in one.name and not one.name.startswith("gwlog-"):
                continue
            with suppress(OSError):
                if _left(one):
                    found.append(Path(one.path))
    return sorted(found)


def _left(one: os.DirEntry[str]) -> bool:
    import re

    found = one.stat(follow_symlinks=False)
    if stat.S_ISLNK(found.st_mode) or (hasattr(os, "getuid") and found.st_uid != os.getuid()):
        return False
    match = re.search(_OWNED, one.name)
    if match is not None and one.name.startswith("."):
        ended = gone(int(match[1]), int(match[2]), match[3], match[4])
        return _untouched(one.path, found.st_mtime) if ended is None else ended
    if stat.S_ISDIR(found.st_mode):
        ours = re.fullmatch(_UNOWNED_FOLDER, one.name) and all(
            re.fullmatch(_COPIES, inside.name) for inside in Path(one.path).iterdir())
        return bool(ours) and _untouched(one.path, found.st_mtime)
    return bool(re.fullmatch(_UNOWNED, one.name)) and _untouched(one.path, found.st_mtime)


def _untouched(path: str, changed: float) -> bool:
    """Whether something has not been changed for a day, by the clock of the disk it is on."""
    probe = Path(path).parent / f".{owner()}.{os.urandom(4).hex()}{_ENDING}"
    try:
        os.close(os.open(probe, os.O_WRONLY | os.O_CREAT | os.O_EXCL, MODE))
        return probe.stat().st_mtime - changed > _DAY_SECONDS
    finally:
        probe.unlink(missing_ok=True)


def sweep_around(logbook: Path, backups: Path) -> list[Path]:
    """Sweep every folder in which commands draft a logbook: its own, that of its backups, and the temporary one."""
    places = dict.fromkeys((logbook.absolute().parent, backups, temporary_folder()))
    return [one for place in places for one in sweep(place)]


def sweep(where: Path) -> list[Path]:
    """Remove what stopped commands left in a folder, and return it; what may not be removed stays, without a word."""
    removed = []
    for one in leftovers(where):
        with suppress(OSError):
            if one.is_dir():
                import shutil

                shutil.rmtree(one)
            else:
                one.unlink()
            removed.append(one)
    return removed
