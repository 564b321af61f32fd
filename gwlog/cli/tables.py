"""`basins`, `upkeep` and `entries`: the tables behind the screens."""

from __future__ import annotations

from collections.abc import Sequence

import click

from gwlog import clock
from gwlog.cli.common import household, moment_of, path_of, print_json, reading, say, say_folded, screen_width, table
from gwlog.household import Household, list_set_up
from gwlog.journal.facts import KINDS, Fact
from gwlog.text import pick, wrap
from gwlog.views import basins as basin_table
from gwlog.views import log as log_view


@click.command()
@reading
@click.pass_context
def basins(ctx: click.Context, as_json: bool, at: str | None) -> None:
    """Each basin: where it stands, what it can take, its mulch and when to top it up."""
    home = household(ctx, at)
    if as_json:
        print_json(basin_table.as_json(home))
        return
    table(basin_table.HEAD, basin_table.rows(home), right=(2, 5, 6))
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
        (i.name, i.every, clock.short_date(i.last_done, home.system) if i.last_done else "never",
         clock.short_date(i.due, home.system), "now" if i.state == "due" else i.state, i.source or "this household")
        for i in home.upkeep])


@click.command()
@click.option("--last", type=click.IntRange(1), metavar="N", help="Only the N entries logged last.")
@click.option("--kind", metavar="KIND", help="Only one kind of entry, like “wash load”.")
@click.option("--since", metavar="WHEN", help="Only entries from then on.")
@click.option("--entry", type=int, metavar="ID", help="Every version of one entry.")
@click.option("--all", "everything", is_flag=True, help="Include corrected and withdrawn entries.")
@click.option("--odd", is_flag=True, help="Only entries that contradict each other, and how to fix them.")
@reading
@click.pass_context
def entries(ctx: click.Context, last: int | None, kind: str | None, since: str | None, entry: int | None,
            everything: bool, odd: bool, as_json: bool, at: str | None) -> None:
    """The entries of the logbook, oldest first."""
    if odd:
        _odd(household(ctx, at), as_json=as_json)
        return
    moment = moment_of(ctx, at)
    with list_set_up(path_of(ctx), moment) as lists:
        told_in = log_view.SiteLocale(lists.site)
        if entry is not None:
            wordings = lists.wordings(entry)
        else:
            kinds = None if kind is None else [_kind(kind)]
            start = None if since is None else clock.moment(since, moment, told_in.zone)
            listed = lists.newest(kinds=kinds, since=start, every=everything) if last is None else \
                lists.written_last(last, kinds=kinds, since=start, every=everything)
            rows = log_view.rows(lists, listed[::-1], every=everything)
    if entry is not None:
        if not wordings:
            from gwlog.app.entries import find_entry

            wordings = [find_entry(household(ctx), entry)]
        _wordings(told_in, wordings, as_json=as_json)
    elif as_json:
        print_json({"entries": [{**log_view.fact_json(row.fact), "exception": row.exception, "late": row.late,
                                 "clock": row.clock or None, "fate": row.fate} for row in rows]})
    else:
        table(("id", "when", "entry", "by", "", "note"), [
            (str(row.id),
             clock.echo_near(row.happened_at, told_in.zone, moment), row.sentence, row.by, _marks(row), row.note[:60])
            for row in rows], right=(0,))


def _odd(home: Household, *, as_json: bool) -> None:
    if as_json:
        print_json({"problems": [{"entry": p.entry_id, "text": p.text, "way_out": str(p.way_out)}
                                 for p in home.problems]})
        return
    for problem in home.problems:
        say_folded(problem.text)
        say_folded(f"  → {problem.way_out}")
    if not home.problems:
        say("No contradictions in the log.")


def _kind(typed: str) -> str:
    wanted = pick("kind of entry", typed.replace("_", " "), [log_view.kind_words(kind) for kind in KINDS])
    return next(kind for kind in KINDS if log_view.kind_words(kind) == wanted)


def _wordings(told_in: log_view.Locale, wordings: Sequence[Fact], *, as_json: bool) -> None:
    if as_json:
        print_json({"entries": [log_view.fact_json(fact) for fact in wordings]})
        return
    for fact in wordings:
        say_folded(f"{fact.id}  logged {clock.echo(fact.recorded_at, told_in.zone)}, happened "
                   f"{clock.echo(fact.happened_at, told_in.zone)}: {log_view.sentence(told_in, fact)}"
                   + (f", by {fact.recorded_by}" if fact.recorded_by else "")
                   + (f"  “{fact.note}”" if fact.note else ""))


def _marks(row: log_view.LogRow) -> str:
    words = [word for word, holds in (("EXCEPTION", row.exception), ("late", row.late)) if holds]
    return ", ".join([*words, *filter(None, (row.clock, row.fate))])
