"""`export`, `import`, `backup`, `restore`, `pack`, `handover`: the logbook's content out and in, put away, handed on.

Nothing that is there already is written over without being asked; what comes in is verified first.
"""

from __future__ import annotations

from pathlib import Path

import click

from gwlog import clock
from gwlog.app import exports, imports
from gwlog.cli import kept
from gwlog.cli.common import document, household, log, logbook_option, note, path_of, print_json, say
from gwlog.cli.documents import kinds, reader_of
from gwlog.errors import FINE, NOT_VERIFIED, BadInput
from gwlog.household import Household
from gwlog.journal.disclosure import LANDLORD
from gwlog.settings import typed_path
from gwlog.views import outcomes

DAY_ORDERS = ("ymd", "dmy", "mdy")


@click.command()
@click.argument("place", metavar="FILE.jsonl|FOLDER")
@click.option("--csv", "as_csv", is_flag=True, help="One CSV file per kind of entry, into a folder.")
@click.option("--without-notes", is_flag=True, help="Leave out all notes; the seal still holds.")
@click.option("--without-notes-of", multiple=True, metavar="KIND", help="Leave out the notes of one kind of entry.")
@click.option("--replace", is_flag=True, help="Write over an older export.")
@logbook_option
@click.pass_context
def export(ctx: click.Context, place: str, as_csv: bool, without_notes: bool, without_notes_of: tuple[str, ...],
           replace: bool) -> int:
    """Write every entry to a file: JSON lines that import gives back with the same seal, or CSV for a spreadsheet.

    “-” prints the JSON lines.
    """
    path, withhold = path_of(ctx), kinds(without_notes, without_notes_of)
    where = typed_path(place)
    if as_csv:
        done = exports.export_tables(path, where, withhold=withhold, replace=replace)
        say(f"{where}: {outcomes.tables(done.files)}")
    elif place == "-":
        content, done = exports.export_lines(path, withhold=withhold)
        document(content)
    else:
        done = exports.export(path, where, withhold=withhold, replace=replace)
        say(f"{place}: {outcomes.entries(done.entries)}")
    if not done.holds:
        note("The seal does not hold; the export has what is there. See: gwlog verify")
    return FINE if done.holds else NOT_VERIFIED


@click.command("import")
@click.argument("file", metavar="FILE")
@click.option("--columns", metavar="MAP", help="A spreadsheet of past loads as CSV: date=Day,load=What,to=Where,...")
@click.option("--name", "names", multiple=True, metavar="THEIRS=OURS",
              help="Translate a word of the file: THEIRS=OURS.")
@click.option("--days", type=click.Choice(DAY_ORDERS), default="ymd", help="How its days are written (5/3/2026: mdy).")
@click.option("--leave-out", is_flag=True, help="Skip bad rows instead of refusing the file.")
@click.option("--dry-run", is_flag=True, help="Only say what would be written.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def import_file(ctx: click.Context, file: str, columns: str | None, names: tuple[str, ...], days: str, leave_out: bool,
                dry_run: bool, as_json: bool) -> None:
    """Fill an empty or new logbook from an export, a record pack or a handover; or log past loads from a spreadsheet.

    With --columns the file is CSV; a column holds date, time, load, to, volume (volume_gal, volume_l), products,
    contents, by or note. All rows are written or none; what is already in the logbook is skipped.
    """
    where = typed_path(file)
    if columns is None:
        if names or leave_out or days != "ymd":
            raise BadInput("--name, --days and --leave-out go with --columns.")
        _import_entries(ctx, where, dry_run, as_json)
        return
    from gwlog.importers.load_columns import columns_of
    from gwlog.importers.loads import LoadsImport
    from gwlog.views import import_summary

    home = household(ctx)
    content, columns_said, renamed = imports.load_file(where), columns_of(columns), _renamed(names)

    def decide(then: Household) -> LoadsImport:
        return imports.loads(then, content, columns_said, names=renamed, day_order=days, leave_out=leave_out)

    if dry_run:
        found = decide(home)
    else:
        done = log(home, decide)
        home, found = done.home, done.draft
    if as_json:
        print_json({"loads": found.loads, "implied": len(found.facts) - found.loads, "known": found.known,
                    "left_out": found.faults, "dry_run": dry_run})
        return
    for line in import_summary.loads_lines(home, found, dry=dry_run):
        say(line)


def _renamed(names: tuple[str, ...]) -> dict[str, str]:
    made = {}
    for pair in names:
        theirs, equals, ours = pair.partition("=")
        if not equals or not theirs.strip() or not ours.strip():
            raise BadInput(f"“{pair[:40]}” does not translate a word; write it like Tücher=towels.")
        made[theirs.strip()] = ours.strip()
    return made


def _import_entries(ctx: click.Context, file: Path, dry_run: bool, as_json: bool) -> None:
    untold: list[str] = []
    done = imports.entries(file, path_of(ctx), clock.now(), dry=dry_run, mind=untold.append)
    if not dry_run:
        kept.something(outcomes.came_in(done.entries, dry=False).rstrip("."))
    for words in untold:
        note(words)
    number = None if done.seal_number is None else outcomes.short_number(done.seal_number)
    if as_json:
        print_json({"entries": done.entries, "seal_number": number, "dry_run": dry_run})
        return
    say(outcomes.came_in(done.entries, dry=dry_run) + (f" Seal number {number}." if number else ""))


@click.command()
@click.option("--to", "folder", metavar="FOLDER", help="Where to keep backups; default: “backups” beside the logbook.")
@click.option("--keep", default=10, show_default=True, metavar="N", help="How many to keep there.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def backup(ctx: click.Context, folder: str | None, keep: int, as_json: bool) -> int:
    """Make a verified copy of the logbook, also while others write; the oldest beyond --keep are removed."""
    from gwlog.journal.backup import backup as back_up

    made = back_up(path_of(ctx), now=clock.now(), folder=None if folder is None else typed_path(folder),
                       keep=keep)
    found = made.verification
    if as_json:
        print_json({"file": str(made.file), "entries": found.entries, "holds": found.holds,
                    "seal_number": f"{found.last_number}:{found.last_hash[:16]}",
                    "removed": [str(old) for old in made.removed]})
    else:
        say(f"{made.file}: {outcomes.backed_up(found.entries, f'{found.last_number}:{found.last_hash}')}")
        for old in made.removed:
            say(f"Removed the oldest: {old}")
    if not found.holds:
        note("The seal does not hold, so no older backup was removed. See: gwlog verify")
    return FINE if found.holds else NOT_VERIFIED


@click.command()
@click.argument("file", metavar="FILE")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def restore(ctx: click.Context, file: str, as_json: bool) -> None:
    """Restore the logbook from a backup, verified first; today's logbook is kept beside it."""
    from gwlog.views.import_summary import restored_lines

    untold: list[str] = []
    done = imports.restore(typed_path(file), path_of(ctx), clock.now(), mind=untold.append)
    kept.something(f"The logbook {path_of(ctx)} is restored")
    for words in untold:
        note(words)
    if as_json:
        print_json({"entries": done.entries, "kept": None if done.kept is None else str(done.kept),
                    "only_in_kept": done.only_in_kept})
        return
    for line in restored_lines(done, dry=False):
        say(line)


@click.command()
@click.argument("file", metavar="FILE.zip")
@click.option("--for", "reader", default=LANDLORD, show_default=True, metavar="READER",
              help="landlord, inspector, next-tenant or everything: what they need not know is left out.")
@click.option("--preview", is_flag=True, help="Say what this reader learns and what not; write nothing.")
@click.option("--without-notes", is_flag=True, help="Leave out all notes; the seal still holds.")
@click.option("--without-notes-of", multiple=True, metavar="KIND", help="Leave out the notes of one kind of entry.")
@click.option("--noted", "noted", multiple=True, metavar="NUMBER",
              help="A seal number noted earlier, to check.")
@click.option("--replace", is_flag=True, help="Write over an older pack.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def pack(ctx: click.Context, file: str, reader: str, preview: bool, without_notes: bool,
         without_notes_of: tuple[str, ...], noted: tuple[str, ...], replace: bool, as_json: bool) -> None:
    """Pack all entries with their seal, the papers, and a program that verifies them without gwlog.

    What is in it depends on who reads it: only “everything” has notes and names.
    """
    where, home, whom = typed_path(file), household(ctx), reader_of(reader)
    withhold = kinds(without_notes, without_notes_of)
    if preview:
        from gwlog.documents import disclosed

        for line in disclosed.lines(home, whom, None, None, without_notes=withhold, roles=False):
            say(line)
        return
    made = exports.pack(home, where, reader=whom, withhold=withhold, noted=noted, replace=replace)
    if as_json:
        print_json({"file": str(where), "for": whom, "entries": made.entries, "seal_number": made.seal_number,
                    "notes_withheld": made.withheld})
        return
    held, *more = outcomes.packed(made.entries, made.withheld, made.seal_number)
    for line in (f"{where}: {held}", *more,
                 f"To verify: gwlog verify {where}, or without gwlog the check_seal.py in it."):
        say(line)


@click.command()
@click.argument("file", metavar="FILE.zip")
@click.option("--replace", is_flag=True, help="Write over an older handover.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def handover(ctx: click.Context, file: str, replace: bool, as_json: bool) -> None:
    """Everything for the next household: manual, card, report, pack, setup, and the logbook without your notes."""
    where = typed_path(file)
    done = exports.handover(path_of(ctx), where, clock.now().replace(microsecond=0), replace=replace)
    if as_json:
        print_json({"file": str(where), "entries": done.entries, "notes_withheld": done.withheld,
                    "retired": list(done.retired), "seal_number": done.seal_number})
        return
    say(f"{where}: {outcomes.handed_on(done.entries, done.withheld, len(done.retired))}")
    say(f"Both households note the seal number {outcomes.short_number(done.seal_number)}. The README.txt in it "
        "tells how to go on.")
