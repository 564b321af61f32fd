"""`basins`, `upkeep` and `entries`: the tables behind the screens."""

from __future__ import annotations

import click

from gwlog import clock
from gwlog.cli.common import household, print_json, reading, say, screen_width, table
from gwlog.text import wrap
from gwlog.views import basins as basin_table
from gwlog.views import log as log_view


@click.command()
@reading
@click.pass_context
def basins(ctx: click.Context, as_json: bool, at: str | None) -> None:
    """Each basin: where it stands, what it can take, its cover and when mulch is due."""
    home = household(ctx, at)
    if as_json:
        print_json(basin_table.as_json(home))
        return
    table(basin_table.HEAD, basin_table.rows(home), right=(2, 3, 4, 5, 6, 7, 8))
    for remark in basin_table.remarks(home):
        for line in wrap(remark, screen_width()):
            say(line)


@click.command()
@reading
@click.pass_context
def upkeep(ctx: click.Context, as_json: bool, at: str | None) -> None:
    """Recurring maintenance: last done, due, and where the interval comes from."""
    home = household(ctx, at)
    if as_json:
        print_json({"upkeep": [
            {"name": i.name, "every": i.every, "last_done": i.last_done.isoformat() if i.last_done else None,
             "due": i.due.isoformat(), "state": i.state, "source": i.source} for i in home.upkeep]})
        return
    table(("task", "every", "last done", "due", "state", "interval from"), [
        (i.name, i.every, i.last_done.isoformat() if i.last_done else "never", i.due.isoformat(), i.state,
         i.source or "this household")
        for i in home.upkeep])


@click.command()
@click.option("--last", type=click.IntRange(1), metavar="N", help="Only the last N entries.")
@click.option("--kind", metavar="KIND", help="Only one kind of entry, like “wash load”.")
@click.option("--since", metavar="WHEN", help="Only entries from then on.")
@click.option("--entry", type=int, metavar="ID", help="Every wording of one entry.")
@click.option("--all", "everything", is_flag=True, help="Also entries that were corrected or withdrawn.")
@click.option("--odd", is_flag=True, help="Only what does not fit together, with a way out.")
@reading
@click.pass_context
def entries(ctx: click.Context, last: int | None, kind: str | None, since: str | None, entry: int | None,
            everything: bool, odd: bool, as_json: bool, at: str | None) -> None:
    """The entries of the logbook, oldest first."""
    home = household(ctx, at)
    if odd:
        if as_json:
            print_json({"problems": [{"entry": p.entry_id, "text": p.text, "way_out": str(p.way_out)}
                                     for p in home.problems]})
        for problem in () if as_json else home.problems:
            say(problem.text)
            say(f"  → {problem.way_out}")
        if not home.problems and not as_json:
            say("Everything in the log fits together.")
        return
    if entry is not None:
        from gwlog.app.entries import find_entry

        wordings = log_view.history(home, entry) or [find_entry(home, entry)]
        if as_json:
            print_json({"entries": [log_view.fact_json(fact) for fact in wordings]})
            return
        for fact in wordings:
            say(f"{fact.id}  recorded {clock.echo(fact.recorded_at, home.zone)}, happened "
                f"{clock.echo(fact.happened_at, home.zone)}: {log_view.sentence(home, fact)}"
                + (f", by {fact.recorded_by}" if fact.recorded_by else "") + (f"  “{fact.note}”" if fact.note else ""))
        return
    rows = log_view.log_rows(home, everything=everything)
    if kind is not None:
        from gwlog.journal.facts import KINDS
        from gwlog.text import pick

        wanted = pick("kind of entry", kind.replace("_", " "), [k.replace("_", " ") for k in KINDS])
        rows = [row for row in rows if row.kind == wanted]
    if since is not None:
        start = clock.moment(since, home.now, home.zone)
        rows = [row for row in rows if row.happened_at >= start]
    rows = rows[-last:] if last else rows
    if as_json:
        by_id = {fact.id: fact for fact in (home.entries if everything else home.standing.facts)}
        print_json({"entries": [{**log_view.fact_json(by_id[row.id]), "exception": row.exception,
                                 "late": row.late, "fate": row.fate} for row in rows]})
        return
    table(("id", "when", "entry", "by", "", "note"), [
        (str(row.id), clock.echo(row.happened_at, home.zone), row.sentence, row.by, _marks(row), row.note[:60])
        for row in rows], right=(0,))


def _marks(row: log_view.LogRow) -> str:
    words = [word for word, holds in (("EXCEPTION", row.exception), ("late", row.late)) if holds]
    return ", ".join([*words, *([row.fate] if row.fate else [])])
