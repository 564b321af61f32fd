"""The command table and the one place where errors become words on stderr and exit codes.

A command's module is imported when the command is used, so that the light ones start fast.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib import import_module

import click

from gwlog import __version__, stopping
from gwlog.actions import Words
from gwlog.cli import kept, output
from gwlog.errors import BAD_INPUT, FAILED, FINE, KEPT_UNSHOWN, GwlogError

# command -> "module:function", in the order in which help shows them
COMMANDS: dict[str, str] = {
    "where": "loads:where",
    "load": "loads:load",
    "today": "today:today",
    "reminders": "reminders:reminders",
    "seen": "reminders:seen",
    "later": "reminders:later",
    "watch": "watch:watch",
    "calendar": "calendar:calendar",
    "valve": "valve_and_outlets:valve",
    "move": "valve_and_outlets:move",
    "basins": "tables:basins",
    "plan": "plan:plan",
    "capacity": "plan:capacity",
    "rehearse": "plan:rehearse",
    "mulch": "garden:mulch",
    "rain": "garden:rain",
    "water": "garden:water",
    "soil": "garden:soil",
    "salts": "salts:salts",
    "label": "salts:label",
    "observe": "garden:observe",
    "resolve": "garden:resolve",
    "done": "garden:done",
    "attest": "proof:attest",
    "witness": "proof:witness",
    "upkeep": "tables:upkeep",
    "plan-load": "planned_loads:plan_load",
    "entries": "tables:entries",
    "correct": "corrections:correct",
    "withdraw": "corrections:withdraw",
    "erase-note": "corrections:erase_note",
    "weather": "weather:weather",
    "begin": "setup:begin",
    "setup": "setup:setup",
    "report": "documents:report",
    "manual": "documents:manual",
    "card": "documents:card",
    "verify": "housekeeping:verify",
    "check": "housekeeping:check",
    "noted": "noted:noted",
    "paths": "housekeeping:paths",
    "reference": "housekeeping:reference",
    "completion": "housekeeping:completion",
    "manpage": "housekeeping:manpage",
    "export": "exchange:export",
    "import": "exchange:import_file",
    "backup": "exchange:backup",
    "restore": "exchange:restore",
    "phone": "phone:phone",
    "pack": "exchange:pack",
    "handover": "exchange:handover",
    "received": "received:received",
}


class Table(click.Group):
    """A group whose commands are loaded when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        place = COMMANDS.get(cmd_name)
        if place is None:
            return None
        module, _, name = place.partition(":")
        command = getattr(import_module(f"gwlog.cli.{module}"), name)
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands by groups; no command is loaded for it."""
        from gwlog.cli import help_texts

        for group, names in help_texts.GROUPS.items():
            with formatter.section(group):
                formatter.write_dl([(name, help_texts.TEXTS[name][0]) for name in names])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0] if args else ""
        if name and not name.startswith("-") and name not in COMMANDS:
            from gwlog.cli import former_names
            from gwlog.errors import UnknownName

            raise UnknownName("command", name[:40], list(COMMANDS), renamed=former_names.COMMANDS.get(name))
        found = super().resolve_command(ctx, args)
        if found[1] is not None and {"-h", "--help"} & set(args):
            from gwlog.cli import help_texts

            found[1].epilog = "\b\nExamples:\n" + "\n".join(f"  {line}" for line in help_texts.TEXTS[name][1])
        return found


@click.group(
    cls=Table, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Without a command: the terminal screens. The washer line is not drinking water; local code comes first.",
)
@click.option("--logbook", metavar="PATH", help="The logbook to use (or GWLOG_LOGBOOK).")
@click.version_option(__version__, message="gwlog %(version)s")
@click.pass_context
def cli(ctx: click.Context, logbook: str | None) -> None:
    """Logbook and maintenance scheduler for a washing machine that waters mulch basins."""
    ctx.obj = logbook
    if ctx.invoked_subcommand is not None:
        stopping.let_clean_up()
        return
    from gwlog.cli.screens import open_screens

    open_screens(logbook)


def run(words: Sequence[str]) -> int:
    """Run one command line; returns the exit code. No traceback reaches a user."""
    output.prepare()
    kept.begin()
    if asked := os.environ.get("_GWLOG_COMPLETE"):
        from gwlog.cli.completion import know_every_shell

        know_every_shell(asked)
    try:
        answer = cli.main(args=list(words), prog_name="gwlog", standalone_mode=False)
        _keep_up()
        return answer if isinstance(answer, int) else FINE
    except BaseException as error:
        return told(error)


def told(error: BaseException) -> int:
    """Say what ended a command, and return the exit code for it; what is no error of ours goes on its way."""
    try:
        raise error
    except output.OutputFailed as failed:
        return _unshown(failed)
    except GwlogError as problem:
        if kept.said() is not None:
            return _kept(str(problem))
        tell(str(problem), problem.hint)
        return problem.exit_code
    except (click.exceptions.Abort, KeyboardInterrupt):
        _tell_surely(f"Stopped; {done}." if (done := kept.said()) else "Stopped; nothing more was written.")
        return stopping.STOPPED
    except click.exceptions.Exit as end:
        return end.exit_code
    except click.ClickException as problem:
        context = getattr(problem, "ctx", None)
        if isinstance(problem, click.NoSuchOption) and (unknown := _renamed_option(problem)) is not None:
            tell(str(unknown), unknown.hint)
            return BAD_INPUT
        hint = f"See: {context.command_path} --help" if context is not None else None
        tell(problem.format_message(), hint)
        return BAD_INPUT
    except SystemExit:
        # So click ends when the reader of a pipe went away. The class it then puts round stdout has had an underscore
        # before its name or not.
        if type(sys.stdout).__name__.endswith("PacifyFlushWrapper"):
            return _unshown(output.OutputFailed(BrokenPipeError()))
        raise
    except Exception as bug:
        if (silent := output.as_failure(bug)) is not None:
            return _unshown(silent)
        if os.environ.get("GWLOG_TRACEBACK"):
            raise
        if kept.said() is not None:
            return _kept(f"This is a bug in gwlog: {type(bug).__name__}: {bug}")
        tell(f"This is a bug in gwlog: {type(bug).__name__}: {bug}",
             "Nothing was half written. GWLOG_TRACEBACK=1 shows where it happened; please report it.")
        return FAILED


def _unshown(failed: output.OutputFailed) -> int:
    """The exit code where stdout failed. A pager that was left is no error of a command that only reads."""
    if kept.said() is not None:
        return _kept(failed.reason)
    if failed.reader_left:
        return FINE
    tell(str(failed))
    return failed.exit_code


def _kept(reason: str) -> int:
    """Say that something is kept although the command failed after it, now or by the next command."""
    _tell_surely(f"{kept.said()}; it could not be shown: {reason.rstrip('.')}.")
    return KEPT_UNSHOWN


def _tell_surely(words: str) -> None:
    if not output.note(words) and kept.said() is not None:
        kept.leave_note(words)


def _keep_up() -> None:
    """Rebuild what saves the next command its reading, now that this one has answered."""
    if (keep := sys.modules.get("gwlog.checkpoints.keep")) is not None:
        sys.stdout.flush()
        keep.keep_up()


def _renamed_option(problem: click.NoSuchOption) -> GwlogError | None:
    from gwlog.cli import former_names
    from gwlog.errors import UnknownName

    command = problem.ctx.info_name if problem.ctx is not None else None
    renamed = former_names.OPTIONS.get((command or "", problem.option_name))
    return None if renamed is None else UnknownName("option", problem.option_name, (), renamed=renamed)


def tell(message: str, hint: Words | None = None) -> None:
    """Say something to the person, on stderr."""
    output.note(message)
    if hint:
        output.note(f"→ {hint}")
