"""`watch`: tell people of reminders at their moments, by the channels that the settings name."""

from __future__ import annotations

import click

from gwlog import text
from gwlog.cli.common import document, logbook_option, note, path_of, say
from gwlog.errors import FAILED, FINE, BadInput


@click.command()
@click.option("--once", "only_once", is_flag=True, help="Check once, then end: for cron and timers.")
@click.option("--test", "tested", metavar="CHANNEL", help="Send a test message by one channel.")
@click.option("--print-unit", "unit", metavar="KIND",
              help="Print what starts it with the machine: systemd, launchd, cron, task-scheduler.")
@click.option("--example", is_flag=True, help="Print commented examples of settings.toml and channels.toml.")
@logbook_option
@click.pass_context
def watch(ctx: click.Context, only_once: bool, tested: str | None, unit: str | None, example: bool) -> int:
    """Send reminders when they are due, until stopped."""
    if sum((only_once, tested is not None, unit is not None, example)) > 1:
        raise BadInput("--once, --test, --print-unit and --example do not go together; choose one.")
    if example:
        from gwlog.notify.overview import examples

        for path, content in examples():
            document(f"# ---- {path}\n\n{content}\n")
        return FINE
    if unit is not None:
        from gwlog.notify import service_files

        kind = text.pick("unit", unit, service_files.KINDS)
        document(service_files.unit_file(kind, path_of(ctx)))
        return FINE
    if tested is not None:
        return _test(tested)
    from gwlog.notify import watcher

    path = path_of(ctx)
    return watcher.once(path, _aside) if only_once else watcher.Watcher(path, _aside).run()


def _test(name: str) -> int:
    from gwlog.notify.channels import NotSent, read_channels
    from gwlog.notify.overview import TEST

    channels = read_channels()
    found = text.pick("channel", name, list(channels))
    try:
        channels[found].send(TEST)
    except NotSent as trouble:
        _aside(str(trouble))
        return FAILED
    if found != "stdout":
        say(f"Sent a test message by {found}.")
    return FINE


def _aside(words: str) -> None:
    note(words)
