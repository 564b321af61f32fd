"""`export`, `import`, `backup`, `restore`, `pack`, `handover`: the logbook's content out and in, put away, handed on.

Nothing that is there already is written over without being asked; what comes in is verified first.
"""

from __future__ import annotations

from pathlib import Path

import click

from gwlog import clock
from gwlog.cli.common import append, household, logbook_option, path_of, print_json, say
from gwlog.errors import FINE, NOT_VERIFIED, BadInput
from gwlog.text import plural

DAY_ORDERS = ("ymd", "dmy", "mdy")


def _kinds(all_notes: bool, kinds: tuple[str, ...]) -> frozenset[str]:
    """The kinds of entry whose notes are withheld."""
    from gwlog.journal.facts import KINDS
    from gwlog.text import pick

    if all_notes:
        return frozenset(KINDS)
    names = {kind.replace("_", " "): kind for kind in KINDS}
    return frozenset(names[pick("kind of entry", word.replace("_", " "), list(names))] for word in kinds)


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
    from gwlog.journal import exchange, seal, store
    from gwlog.journal.files import write_whole
    from gwlog.journal.spreadsheet import csv_files

    path, withhold = path_of(ctx), _kinds(without_notes, without_notes_of)
    store.ready(path)
    if as_csv:
        folder = Path(place).expanduser()
        made = csv_files(path, withhold=withhold)
        for name in made:
            _refuse_taken(folder / name, replace)
        for name, content in made.items():
            write_whole(folder / name, content, replace=replace)
        say(f"{folder}: {plural(len(made), 'file')}, one per kind of entry.")
    elif place == "-":
        click.echo(exchange.export(path, withhold=withhold).decode(), nl=False)
    else:
        content = exchange.export(path, withhold=withhold)
        write_whole(Path(place).expanduser(), content, replace=replace)
        entries = content.count(b"\n")
        say(f"{place}: {plural(entries, 'entry', 'entries')}.")
    found = seal.verify(path)
    if not found.holds:
        click.echo("The seal does not hold; the export has what is there. See: gwlog verify", err=True)
    return FINE if found.holds else NOT_VERIFIED


def _refuse_taken(where: Path, replace: bool) -> None:
    from gwlog.journal.files import refuse_taken

    refuse_taken(where, replace=replace)


@click.command("import")
@click.argument("file", metavar="FILE")
@click.option("--columns", metavar="MAP", help="A spreadsheet of past loads as CSV: date=Day,load=What,to=Where,...")
@click.option("--name", "names", multiple=True, metavar="THEIRS=OURS", help="What a word of the file is called here.")
@click.option("--days", type=click.Choice(DAY_ORDERS), default="ymd", help="How its days are written (5/3/2026: mdy).")
@click.option("--leave-out", is_flag=True, help="Leave out rows that cannot be used instead of refusing the file.")
@click.option("--dry-run", is_flag=True, help="Only say what would be written.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def import_file(ctx: click.Context, file: str, columns: str | None, names: tuple[str, ...], days: str, leave_out: bool,
                dry_run: bool, as_json: bool) -> None:
    """Fill an empty or new logbook from an export, a record pack or a handover; or log past loads from a spreadsheet.

    With --columns the file is CSV; a column holds date, time, load, to, volume (volume_gal, volume_l), products,
    contents, by or note. All rows are written or none; what the logbook holds already is left alone.
    """
    from gwlog.journal.exchange import LARGEST
    from gwlog.journal.files import read_whole

    content = read_whole(Path(file).expanduser(), LARGEST, "no logbook is")
    if columns is None:
        if names or leave_out or days != "ymd":
            raise BadInput("--name, --days and --leave-out go with --columns.")
        _import_export(ctx, file, content, dry_run, as_json)
        return
    from gwlog.importers import load_columns, loads
    from gwlog.views import import_summary

    home = household(ctx)
    found = loads.read_loads(content, load_columns.columns_of(columns), home, names=_renamed(names),
                                  day_order=days, leave_out=leave_out)
    if found.facts and not dry_run:
        append(home, found.facts)
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
            raise BadInput(f"“{pair[:40]}” does not say what a word is called here; write it like Tücher=towels.")
        made[theirs.strip()] = ours.strip()
    return made


def _import_export(ctx: click.Context, file: str, content: bytes, dry_run: bool, as_json: bool) -> None:
    from gwlog.app.start_from_file import entries_in
    from gwlog.journal import exchange, reader

    if content.startswith(b"PK"):
        content = entries_in(Path(file).expanduser())
    path = path_of(ctx)
    count = len(exchange.read_export(content)) if dry_run else exchange.import_into(path, content)
    head = None if dry_run else "{}:{:.16}".format(*reader.seal_head(path)[:2])
    if as_json:
        print_json({"entries": count, "head": head, "dry_run": dry_run})
        return
    say(f"{plural(count, 'entry', 'entries')} {'would come' if dry_run else 'came'} in, each link verified."
        + (f" Head {head}." if head else ""))


@click.command()
@click.option("--to", "folder", metavar="FOLDER", help="Where to keep backups; default: “backups” beside the logbook.")
@click.option("--keep", default=10, show_default=True, metavar="N", help="How many to keep there.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def backup(ctx: click.Context, folder: str | None, keep: int, as_json: bool) -> int:
    """Put a verified copy of the logbook away, also while others write; the oldest beyond --keep are removed."""
    from gwlog.journal import backup as room

    made = room.backup(path_of(ctx), now=clock.now(), folder=None if folder is None else Path(folder).expanduser(),
                       keep=keep)
    found = made.verification
    if as_json:
        print_json({"file": str(made.file), "entries": found.entries, "holds": found.holds,
                    "head": f"{found.head_seq}:{found.head_hash[:16]}", "removed": [str(old) for old in made.removed]})
    else:
        say(f"{made.file}: {plural(found.entries, 'entry', 'entries')}, head {found.head_seq}:{found.head_hash[:16]}.")
        for old in made.removed:
            say(f"removed: {old}")
    if not found.holds:
        click.echo("The seal does not hold, so no older backup was removed. See: gwlog verify", err=True)
    return FINE if found.holds else NOT_VERIFIED


@click.command()
@click.argument("file", metavar="FILE")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def restore(ctx: click.Context, file: str, as_json: bool) -> None:
    """Put the logbook in a backup back, after verifying it; what is there now is kept beside it."""
    from gwlog.journal import backup as room
    from gwlog.views.import_summary import restored_lines

    path = path_of(ctx)
    done = room.restore(Path(file).expanduser(), path, now=clock.now())
    if as_json:
        print_json({"entries": done.entries, "kept": None if done.kept is None else str(done.kept),
                    "only_in_kept": done.only_in_kept})
        return
    for line in restored_lines(done, dry=False):
        say(line)


@click.command()
@click.argument("file", metavar="FILE.zip")
@click.option("--without-notes", is_flag=True, help="Leave out all notes; the seal still holds.")
@click.option("--without-notes-of", multiple=True, metavar="KIND", help="Leave out the notes of one kind of entry.")
@click.option("--anchor", "anchors", multiple=True, metavar="ANCHOR", help="A head noted earlier, to check and tell.")
@click.option("--replace", is_flag=True, help="Write over an older pack.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def pack(ctx: click.Context, file: str, without_notes: bool, without_notes_of: tuple[str, ...],
         anchors: tuple[str, ...], replace: bool, as_json: bool) -> None:
    """Pack all entries with their seal, the report, and a program that verifies them without gwlog."""
    from gwlog.documents.pack import packed
    from gwlog.journal.files import write_whole

    where = Path(file).expanduser()
    _refuse_taken(where, replace)
    home = household(ctx)
    made = packed(home, withhold=_kinds(without_notes, without_notes_of), anchors=anchors)
    write_whole(where, made.content, replace=replace)
    if as_json:
        print_json({"file": str(where), "entries": made.entries, "head": made.head, "notes_withheld": made.withheld})
        return
    say(f"{where}: {plural(made.entries, 'entry', 'entries')}"
        + (f", {plural(made.withheld, 'note')} withheld." if made.withheld else "."))
    say(f"Head {made.head.partition(':')[0]}:{made.head.partition(':')[2][:16]}: note it somewhere else; with it "
        "everybody can see later that nothing before it was rewritten.")
    say(f"To verify: gwlog verify {where}, or without gwlog the verify_pack.py in it.")


@click.command()
@click.argument("file", metavar="FILE.zip")
@click.option("--replace", is_flag=True, help="Write over an older handover.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def handover(ctx: click.Context, file: str, replace: bool, as_json: bool) -> None:
    """Everything for the next household: manual, card, report, pack, setup, and the logbook without your notes."""
    from gwlog.documents.handover import handover as hand_over

    where = Path(file).expanduser()
    done = hand_over(path_of(ctx), where, clock.now().replace(microsecond=0), replace=replace)
    if as_json:
        print_json({"file": str(where), "entries": done.entries, "notes_withheld": done.withheld,
                    "retired": list(done.retired), "head": done.head})
        return
    number, _, head = done.head.partition(":")
    say(f"{where}: {plural(done.entries, 'entry', 'entries')}, {plural(done.withheld, 'note')} withheld, "
        f"{plural(len(done.retired), 'person', 'people')} retired. Your own logbook is as it was.")
    say(f"Both households note the head: {number}:{head[:16]}. The README.txt in it tells how to go on.")
