"""`verify`, `check`, `paths`, `reference`, `completion`: the logbook's seal and health, where files are, the tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from gwlog import clock, settings
from gwlog.cli.common import document, logbook_option, path_of, print_json, say, screen_width, table
from gwlog.errors import FINE, NOT_VERIFIED, BadInput
from gwlog.settings import typed_path
from gwlog.text import wrap
from gwlog.views.seal_report import lines

if TYPE_CHECKING:
    from gwlog.reference.listing import Row


@click.command()
@click.argument("file", metavar="[FILE]", required=False)
@click.option("--noted", metavar="NUMBER|FILE", multiple=True,
              help="A seal number noted earlier, in digits or words, or a file with some; any number of times.")
@click.option("--promise", is_flag=True, help="Print what verifying finds, form by form of tampering, and what not.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def verify(ctx: click.Context, file: str | None, noted: tuple[str, ...], promise: bool, as_json: bool) -> int:
    """Check the seal of the logbook, or of FILE: another logbook, a record pack, a handover or an export.

    Exit code 4 when it does not hold; the first broken entry is named.
    """
    from gwlog.app.verify import verify as verify_file

    if promise:
        return _promise(as_json)
    done = verify_file(path_of(ctx) if file is None else typed_path(file), noted, own=file is None, now=clock.now())
    result = done.found
    if as_json:
        print_json({
            "holds": done.holds, "entries": result.entries,
            "seal_number": f"{result.last_number}:{result.last_hash[:16]}" if result.entries else None,
            "levels": [{"name": lv.name, "holds": lv.holds, "detail": lv.detail} for lv in result.levels],
            "first_broken": result.first_broken, "odd": list(done.all_odd),
            "witnessed": None if done.graded is None else {
                "grade": done.graded.grade, "until_number": done.graded.until_number,
                "until_day": None if done.graded.until_day is None else done.graded.until_day.isoformat(),
                "by": done.graded.by, "later_entries": done.graded.later_entries,
            },
            "answers": list(done.told),
        })
    else:
        for line in (*lines(result, done.unchecked, done.told), *(f"check: {one}" for one in done.all_odd)):
            for folded in wrap(line, screen_width(), hang="  " if line.startswith("not checked") else ""):
                say(folded)
    return FINE if done.holds else NOT_VERIFIED


def _promise(as_json: bool) -> int:
    """Print the table of the promise; each outcome in front of what it is the outcome of."""
    from gwlog.journal.promise import FORMS, OUTCOMES
    from gwlog.journal.promise import lines as table

    if as_json:
        print_json({"outcomes": OUTCOMES, "forms": [
            {"id": one.id, "words": one.words, "outcome": one.outcome, "by_program": one.by_program}
            for one in FORMS]})
        return FINE
    width = 2 + max(len(before) for before, _ in table())
    for before, words in table():
        for folded in wrap(words, screen_width(), indent=before.ljust(width) if before else "",
                           hang=" " * width if before else ""):
            say(folded)
        if not before:
            say("")
    return FINE


@click.command()
@click.option("--repair", is_flag=True, help="Rebuild what can be rebuilt from verified entries, after a copy.")
@click.option("--backups", "folder", metavar="FOLDER", help="Where backups are; default: “backups” beside the logbook.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def check(ctx: click.Context, repair: bool, folder: str | None, as_json: bool) -> int:
    """Check the logbook: its file and seal, the clock, what stopped commands left, and whether a backup comes back.

    Exit code 4 when something is at fault. What stopped commands left behind is removed.
    """
    from gwlog.app.check import check as look
    from gwlog.views import check_report

    found = look(path_of(ctx), clock.now(), repair=repair, backups=None if folder is None else typed_path(folder))
    if as_json:
        print_json(check_report.as_data(found.parts, found.repaired))
    else:
        for line in check_report.lines(found.parts, found.repaired):
            say(str(line))
    return FINE if found.sound else NOT_VERIFIED


@click.command()
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def paths(ctx: click.Context, as_json: bool) -> None:
    """Where gwlog keeps its files on this machine."""
    path = path_of(ctx)
    places = {"logbook": str(path), "data": str(settings.data_folder()), "settings": str(settings.config_folder())}
    if as_json:
        print_json({**places, "logbook_exists": path.exists()})
        return
    for name, place in places.items():
        say(f"{name:<9} {place}" + ("" if name != "logbook" or path.exists() else "   (not made yet)"))
    say(f"Choose another logbook with --logbook PATH or {settings.LOGBOOK_VARIABLE}.")


@click.command()
@click.argument("name", metavar="[TABLE]", required=False)
@click.argument("profiles", metavar="[PROFILE]...", nargs=-1)
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
def reference(name: str | None, profiles: tuple[str, ...], as_json: bool) -> None:
    """The published figures behind gwlog, with source and confidence.

    With the table “codes”, name profiles to see them side by side, differences first.
    """
    from gwlog.reference.listing import TABLES
    from gwlog.reference.listing import table as rows_of
    from gwlog.text import pick

    if name is None:
        if as_json:
            print_json({"tables": list(TABLES)})
        for each in () if as_json else TABLES:
            say(each)
        return
    chosen = pick("table", name, list(TABLES))
    if profiles and chosen != "codes":
        raise BadInput(f"“{profiles[0]}” is one word too many; only the table “codes” takes profiles after it.")
    if chosen == "codes":
        _codes(profiles, rows_of(chosen), as_json)
        return
    rows = rows_of(chosen)
    if as_json:
        print_json({"table": chosen, "rows": rows})
        return
    head = list(dict.fromkeys(key for row in rows for key in row))
    table(head, [["" if row.get(key) is None else str(row[key]) for key in head] for row in rows])


def _codes(names: tuple[str, ...], rows: list[Row], as_json: bool) -> None:
    """The code profiles side by side."""
    from gwlog.views import code_comparison

    found = code_comparison.chosen(names)
    ids = {one.id for one in found}
    if as_json:
        print_json({"table": "codes", "rows": [row for row in rows if row["name"] in ids],
                    "side_by_side": code_comparison.as_json(found)})
        return
    for line in code_comparison.lines(found, screen_width()):
        say(line)


@click.command()
def manpage() -> None:
    """Print the manual page, made from the help of every command: gwlog manpage > gwlog.1"""
    from gwlog.cli.man_page import man_page

    document(man_page())


@click.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish", "powershell"]))
def completion(shell: str) -> None:
    """Print the completion script for a shell.

    Add `eval "$(gwlog completion bash)"` to the start-up file of bash or zsh, `gwlog completion fish | source` to
    that of fish, `gwlog completion powershell | Out-String | Invoke-Expression` to PowerShell's $PROFILE.
    """
    from click.shell_completion import get_completion_class

    from gwlog.cli.completion import VARIABLE, know_every_shell
    from gwlog.cli.main import cli

    know_every_shell(shell)
    found = get_completion_class(shell)
    assert found is not None
    say(found(cli, {}, "gwlog", VARIABLE).source())
