"""Takes from a process what Windows does not have: POSIX signals, fork, users, fcntl, resource, folders one can open.

Put on PYTHONPATH. What chooses its code by the platform when it is loaded (the standard library, click) is
loaded before that, so that what is left to see is gwlog's own.
"""

import asyncio  # noqa: F401
import ctypes
import errno
import io
import os
import platform  # noqa: F401
import shutil
import signal
import socket  # noqa: F401
import subprocess  # noqa: F401
import sys
import tempfile  # noqa: F401
import uuid  # noqa: F401
import webbrowser  # noqa: F401

POSIX_ONLY = ("fcntl", "pwd", "grp", "resource", "termios", "tty", "pty", "readline", "curses")
CALLS = ("fork", "getuid", "geteuid", "getgid", "killpg", "setsid", "mkfifo", "fchmod", "fchown", "nice", "uname",
         "sched_getaffinity", "getpgid", "posix_fadvise", "openpty", "forkpty", "O_NONBLOCK", "O_NOFOLLOW",
         "O_DIRECTORY", "O_CLOEXEC", "WEXITSTATUS", "WIFSIGNALED", "getloadavg", "statvfs", "sync")
SIGNALS = ("SIGKILL", "SIGHUP", "SIGUSR1", "SIGUSR2", "SIGCHLD", "SIGSTOP", "SIGTSTP", "SIGWINCH", "SIGALRM", "SIGPIPE")

try:
    import click._termui_impl  # noqa: F401
    import platformdirs
    import sqlalchemy  # noqa: F401
except ImportError:   # in another environment than that of the tests
    pass
else:
    platformdirs.user_data_dir = lambda *_, **__: os.environ["LOCALAPPDATA"]
    platformdirs.user_config_dir = lambda *_, **__: os.environ["LOCALAPPDATA"]

for _name in POSIX_ONLY:
    sys.modules[_name] = None   # type: ignore[assignment]
for _name in CALLS:
    if hasattr(os, _name):
        delattr(os, _name)
for _name in SIGNALS:
    if hasattr(signal, _name):
        delattr(signal, _name)
signal.SIGBREAK = signal.SIGUSR1 if hasattr(signal, "SIGUSR1") else signal.Signals(10)   # type: ignore[attr-defined]

_open = os.open


def _open_no_folder(path, flags, *args, **more):   # type: ignore[no-untyped-def]
    if isinstance(path, (str, bytes, os.PathLike)) and os.path.isdir(path):   # noqa: PTH112
        raise PermissionError(errno.EACCES, "Permission denied", os.fspath(path))
    return _open(path, flags, *args, **more)


class _Kernel:
    """The little of kernel32 that tells whether a process runs."""

    @staticmethod
    def OpenProcess(_rights: int, _inherit: bool, pid: int) -> int:
        return pid if os.path.exists(f"/proc/{pid}") else 0   # noqa: PTH110

    @staticmethod
    def WaitForSingleObject(_handle: int, _milliseconds: int) -> int:
        return 0x102

    @staticmethod
    def CloseHandle(_handle: int) -> None:
        pass


io._WindowsConsoleIO = type("_WindowsConsoleIO", (), {})   # type: ignore[attr-defined]
ctypes.windll = type("windll", (), {"kernel32": _Kernel})   # type: ignore[attr-defined]
shutil._use_fd_functions = False   # type: ignore[attr-defined]
os.open = _open_no_folder   # type: ignore[assignment]
sys.platform = "win32"
