"""What goes out to the person: data on stdout, talk on stderr, in whatever coding the console has.

Signs that the console cannot show are written plainly. What cannot be written at all is raised as OutputFailed.
"""

from __future__ import annotations

import codecs
import os
import sys
import unicodedata
from typing import TextIO

import click

from gwlog.errors import FAILED, GwlogError
from gwlog.text import clean

PLAIN_SIGNS = {
    "→": "->", "←": "<-", "↑": "^", "↓": "v", "↻": "@", "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "…": "...",
    "–": "-", "—": "-", "─": "-", "│": "|", "█": "#", "░": ".", "▒": ":", "▓": "#", "▸": ">", "▶": ">",
    "▲": "^", "▼": "v", "●": "*", "○": "o", "◆": "*", "◇": "o", "■": "#", "□": "-", "◐": "o", "◑": "o", "✓": "+",
    "✗": "x", "✕": "x", "◔": "%", "◌": ".", "┃": "|", "━": "-", "┊": ":", "═": "=", "☐": "[ ]", "μ": "u",
    "╭": "+", "╮": "+", "╰": "+", "╯": "+", "┏": "+", "┓": "+", "┗": "+", "┛": "+",
    "‼": "!!", "≥": ">=", "≤": "<=", "≠": "!=", "±": "+/-", "×": "x", "·": "-", "•": "-", "°": " deg ",
    "²": "2", "³": "3", "µ": "u", "½": "1/2", "¼": "1/4", "ß": "ss", "æ": "ae", "Æ": "AE", "ø": "o", "Ø": "O",
    "\u2212": "-", "\u2009": " ", "\u202f": " ", "\u00a0": " ",
}
PLAINLY = "gwlog-plain"


class OutputFailed(GwlogError):
    """What was to be shown could not be written to stdout or stderr."""

    exit_code = FAILED

    def __init__(self, fault: OSError | ValueError) -> None:
        reason = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        super().__init__(f"What gwlog has to say could not be shown: {reason}.")
        self.reason = reason
        self.reader_left = isinstance(fault, BrokenPipeError)


def plain(words: str, coding: str | None) -> str:
    """The words as a console of that coding can show them."""
    try:
        words.encode(coding or "utf-8")
    except (UnicodeError, LookupError):
        return "".join(sign if _has(sign, coding) else _plain_sign(sign, coding) for sign in words)
    return words


def _has(sign: str, coding: str | None) -> bool:
    try:
        sign.encode(coding or "utf-8")
    except (UnicodeError, LookupError):
        return False
    return True


def _plain_sign(sign: str, coding: str | None) -> str:
    known = PLAIN_SIGNS.get(sign)
    if known is None:
        known = "".join(part for part in unicodedata.normalize("NFKD", sign) if not unicodedata.combining(part))
    return known if known and all(_has(part, coding) for part in known) else "?"


def _plainly(fault: UnicodeError) -> tuple[str, int]:
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    return plain(fault.object[fault.start:fault.end], fault.encoding), fault.end


def prepare() -> None:
    """Let stdout and stderr show every word, however the console is coded; help too."""
    codecs.register_error(PLAINLY, _plainly)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=PLAINLY)
    click.Context.formatter_class = _PlainHelp


class _PlainHelp(click.HelpFormatter):
    """Help as the console can show it: click writes to an ASCII console in another coding."""

    def getvalue(self) -> str:
        return plain(super().getvalue(), getattr(sys.stdout, "encoding", None))


def put(words: str, *, end: str = "\n") -> None:
    """Write words to stdout at once. Raises OutputFailed."""
    if sys.stdout is None:  # closed by whoever started the program, who wants to hear nothing
        return
    try:
        sys.stdout.write(words + end)
        sys.stdout.flush()
    except (OSError, ValueError) as fault:
        drop(sys.stdout)
        raise OutputFailed(fault) from None


def as_failure(fault: Exception) -> OutputFailed | None:
    """The failure of an output that click wrote, its help or a question; None for any other fault."""
    trace = fault.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if not isinstance(fault, OSError) or trace is None or \
            not str(trace.tb_frame.f_globals.get("__name__")).startswith("click."):
        return None
    drop(sys.stdout)
    return OutputFailed(fault)


def drop(stream: TextIO) -> None:
    """Let what a failing stream still holds go nowhere, so that it does not fail once more at the end."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
    except (OSError, ValueError):
        pass


def say(line: str = "") -> None:
    """A line of data on stdout, free of control characters."""
    put(clean(line))


def note(line: str) -> bool:
    """A line of talk on stderr; False where it could not be written, which is no reason to stop."""
    if sys.stderr is None:
        return False
    try:
        sys.stderr.write(clean(line) + "\n")
        sys.stderr.flush()
    except (OSError, ValueError):
        drop(sys.stderr)
        return False
    return True


def document(content: str | bytes) -> None:
    """A file's content on stdout, byte by byte in UTF-8 where it goes to a file or another program."""
    content = content if isinstance(content, bytes) else content.encode()
    buffer = getattr(sys.stdout, "buffer", None)
    if buffer is None or sys.stdout.isatty():
        put(content.decode(), end="")
        return
    try:
        sys.stdout.flush()
        buffer.write(content)
        buffer.flush()
    except (OSError, ValueError) as fault:
        drop(sys.stdout)
        raise OutputFailed(fault) from None
