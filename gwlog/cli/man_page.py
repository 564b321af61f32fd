"""The manual page, in the macros of man(7), made from the same text as the help of the commands."""

from __future__ import annotations

import inspect
import re

import click

from gwlog import __version__
from gwlog.cli import help_texts
from gwlog.cli.main import cli
from gwlog.errors import BAD_INPUT, BUSY_OR_NEWER, DUE, FAILED, FINE, KEPT_UNSHOWN, NOT_VERIFIED

EXIT_CODES = {
    FINE: "Done.", FAILED: "It could not be done.", BAD_INPUT: "What was typed is not accepted.",
    DUE: "The load goes to the sewer.", NOT_VERIFIED: "A seal does not hold, or a check found a fault.",
    BUSY_OR_NEWER: "The logbook is in use, or was written by a newer gwlog.",
    KEPT_UNSHOWN: "The entries are kept, but the answer could not be shown.",
}


def man_page() -> str:
    """The page as text for `man -l`."""
    about = _plain(inspect.cleandoc(cli.help or "").split("\n\n")[0])
    made = [f'.TH GWLOG 1 "" "gwlog {__version__}" "User commands"', ".SH NAME", f"gwlog \\- {about.rstrip('.')}",
            ".SH SYNOPSIS", ".B gwlog", "[\\-\\-logbook PATH] [COMMAND [ARGUMENTS]]", ".SH DESCRIPTION",
            _plain(cli.epilog or "")]
    context = click.Context(cli, info_name="gwlog")
    for group, names in help_texts.GROUPS.items():
        made.append(f".SH {group.upper()}")
        for name in names:
            command = cli.get_command(context, name)
            assert command is not None
            made += _command(command, click.Context(command, info_name=name, parent=context), f"gwlog {name}")
            made += [".PP", "Examples:", ".nf", *(_plain(f"  {line}") for line in help_texts.TEXTS[name][1]), ".fi"]
    made += [".SH EXIT STATUS"]
    for code, says in EXIT_CODES.items():
        made += [".TP", str(code), _plain(says)]
    made += [".SH ENVIRONMENT", ".TP", "GWLOG_LOGBOOK", "The logbook to use."]
    return "\n".join(made) + "\n"


def _command(command: click.Command, context: click.Context, called: str) -> list[str]:
    usage = " ".join(command.collect_usage_pieces(context))
    made = [f".SS {_plain(f'{called} {usage}')}"]
    for part in re.split(r"\n\s*\n", inspect.cleandoc(command.help or "")):
        made += [".PP", _plain(" ".join(part.replace("\b", "").split()))]
    for param in command.get_params(context):
        record = param.get_help_record(context)
        if record is not None and "--help" not in param.opts:
            made += [".TP", f".B {_plain(record[0])}", _plain(record[1]) or "\\&"]
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            assert below is not None
            made += _command(below, click.Context(below, info_name=name, parent=context), f"{called} {name}")
    return made


def _plain(words: str) -> str:
    """Words of a line as the macros take them: no sign of theirs is left to itself."""
    safe = words.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{safe}" if safe[:1] in (".", "'") else safe
