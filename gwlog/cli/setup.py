"""`begin` and `setup`: describe the household from a site file or by questions, show it, change it."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from gwlog import clock
from gwlog.actions import Action, Argument, Hint
from gwlog.app import entries
from gwlog.cli import completion, kept
from gwlog.cli.common import (
    document,
    echo_moment,
    household,
    log,
    logbook_option,
    note,
    path_of,
    print_json,
    reading,
    say,
    screen_width,
)
from gwlog.errors import BadInput
from gwlog.household import Household, look
from gwlog.journal.facts import DESCRIPTIONS, Fact
from gwlog.settings import typed_path
from gwlog.state import State
from gwlog.text import listed, plural, wrap

if TYPE_CHECKING:
    from gwlog.setup.read import SiteFile

AT_THE_START = ("local code first", "contact", "cross-connection", "food crops", "illness", "air vent",
                "solvent cement")
DESCRIBED = frozenset(kind.KIND for kind in DESCRIPTIONS)


@click.command()
@click.argument("site_file", metavar="[SITE.toml]", required=False)
@click.option("--example", is_flag=True, help="Print a site file to start from, and make nothing.")
@click.option("--place", metavar="WHERE", help="A town, a US ZIP code or a latitude: the rest is guessed from it.")
@click.option("--basin", "basins", metavar="WHAT", multiple=True,
              help="With --place: a basin like “fig 4x6 ft”; then nothing is asked. Several times for several.")
@click.option("--load", "loads", metavar="LOAD", multiple=True, help="With --basin: a usual load; default: towels.")
@logbook_option
@click.pass_context
def begin(ctx: click.Context, site_file: str | None, example: bool, place: str | None, basins: tuple[str, ...],
          loads: tuple[str, ...]) -> None:
    """Make a logbook, from a site file, by questions, or from a place and basins in few words."""
    if example:
        from gwlog.setup.example import starter

        document(starter(clock.now()))
        return
    from gwlog.setup.read import read_site_path

    path = path_of(ctx)
    if path.exists():
        raise BadInput(f"{path} exists already; nothing was changed.",
                       hint=Hint("Change the setup with: ", Action("setup apply", file="SITE.toml"),
                                 ", or choose another with ", Argument("logbook"), "."))
    if site_file is not None and (place or basins or loads):
        raise BadInput("A site file already says everything: give it alone, or --place and --basin without one.")
    if site_file is None:
        site, facts, taken = _described(place, basins, loads)
    else:
        site = read_site_path(typed_path(site_file), now=clock.now())
        facts, taken = list(site.facts), []
    from gwlog.app.door import describe

    describe(path, facts, clock.now(), kept=lambda _: kept.something(f"The logbook {path} is made"),
             mind=lambda words: note(str(words)))
    for line in taken:
        say(f"assumed, since nobody said it: {line}")
    for warning in site.warnings:
        say(f"check: {warning}")
    say(f"{path}: logbook made, {len(site.facts)} descriptions.")
    from gwlog.reference.cautions import CAUTIONS

    for caution in CAUTIONS:
        if caution.id in AT_THE_START:
            say(f"caution: {caution.value}")
    say("Next: gwlog today, or gwlog alone for the screens.")


def _described(place: str | None, basins: tuple[str, ...], loads: tuple[str, ...],
               ) -> tuple[SiteFile, list[Fact], list[str]]:
    """A household by few words, or else by questions: the site file, its entries with notes, what nobody said."""
    from gwlog.setup import unsaid
    from gwlog.setup.draft import text_of
    from gwlog.setup.first_draft import in_few_words
    from gwlog.setup.place import local_zone, places
    from gwlog.setup.read import read_site_file

    if (basins or loads) and not (place and basins):
        raise BadInput("--basin and --load go with a place: gwlog begin --place “Davis, CA” --basin “fig 4x6 ft”.")
    if place and basins:
        found = places(place, local_zone())
        if len(found) > 1:
            raise BadInput(f"“{place[:40]}” could be {listed([one.label for one in found], 'or')}.",
                           hint="Write the state or the country behind the town.")
        draft, taken = in_few_words(found[0], basins, loads)
    else:
        if not sys.stdin.isatty():
            raise BadInput("There is no terminal to ask questions on.",
                           hint="gwlog begin SITE.toml; a site file to start from: gwlog begin --example > SITE.toml; "
                                "or in few words: gwlog begin --place WHERE --basin WHAT")
        from gwlog.cli.questions import ask

        draft, taken = ask(place)
    site = read_site_file(text_of(draft), now=clock.now())
    return site, unsaid.with_notes(site.facts, taken), unsaid.lines(taken)


@click.group()
@logbook_option
def setup() -> None:
    """The household as a site file: show it, change it."""


@setup.command()
@reading
@click.pass_context
def show(ctx: click.Context, as_json: bool, at: str | None) -> None:
    """Print the setup in force as a site file; --json: as entries."""
    home = household(ctx, at)
    if as_json:
        from gwlog.views.log import fact_json

        print_json({"setup": [fact_json(fact) for fact in _in_use(home.state)]})
        return
    from gwlog.setup.show import show as site_file

    document(site_file(home.state))


def _in_use(state: State) -> list[Fact]:
    named = (state.people, state.washers, state.basins, state.outlets, state.products, state.usual_loads,
             state.planned_loads, state.upkeep_tasks)
    return [*([state.site] if state.site else []),
            *(fact for known in named for fact in known.values() if fact.active)]


@setup.command()
@click.argument("site_file", metavar="SITE.toml")
@click.option("--dry-run", is_flag=True, help="Only say what would change.")
@click.option("--from", "in_force", metavar="WHEN", help="In force from then; default: now.")
@click.option("--by", metavar="PERSON", help="Who says so.", shell_complete=completion.people)
@click.option("--note", metavar="TEXT", help="A note to each entry: why it changed.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def apply(ctx: click.Context, site_file: str, dry_run: bool, in_force: str | None, by: str | None, note: str | None,
          as_json: bool) -> None:
    """Apply what changed in the setup; earlier setups stay in the record."""
    from gwlog.app.setup_changes import Taken, compared, in_force_from
    from gwlog.setup.read import read_site_path

    site = read_site_path(typed_path(site_file), now=clock.now())
    path = path_of(ctx)
    kept.tell_untold(path)
    home = look(path, clock.now().replace(microsecond=0))
    moment = in_force_from(home, in_force)
    if in_force is not None:
        echo_moment(moment, path)

    def decide(then: Household) -> Taken:
        since = then.now if in_force is None else moment
        return compared(then, site, since, entries.read_author(then, by=by, note=note))

    found = decide(home) if dry_run else log(home, decide).draft
    if as_json:
        print_json({"changes": list(found.lines), "dry_run": dry_run, "in_force": clock.iso(found.in_force),
                    "warnings": list(found.warnings)})
        return
    for warning in found.warnings:
        say(f"check: {warning}")
    for line in found.lines:
        say(line)
    if not found.drafts:
        say("Nothing changed.")
    else:
        say(f"{plural(len(found.drafts), 'description')} " + ("would be applied." if dry_run else "applied."))


@setup.command()
@click.option("--take", is_flag=True, help="Use the newest edition of the profile, in force from now.")
@click.option("--by", metavar="PERSON", help="Who says so.", shell_complete=completion.people)
@click.option("--note", metavar="TEXT", help="A note to the entry: why it changed.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def code(ctx: click.Context, take: bool, by: str | None, note: str | None, as_json: bool) -> None:
    """The code profile in use, what was answered, and what a newer edition would change (--take uses it)."""
    from gwlog.app.setup_changes import newest_code
    from gwlog.setup.code_warnings import newer_edition
    from gwlog.views import code_profile

    home = household(ctx, None)
    today = clock.local_day(home.now, home.zone)
    if take:
        found = log(home, lambda then: newest_code(then, entries.read_author(then, by=by, note=note))).draft
        if as_json:
            print_json({"changes": list(found.lines), "warnings": list(found.warnings)})
        for line in () if as_json else (*(f"check: {warning}" for warning in found.warnings), *found.lines):
            say(line)
        return
    offer = newer_edition(home.state.site) if home.state.site is not None else []
    if as_json:
        print_json({"code": [list(one) for one in code_profile.said(home.state, today)],
                    "system": [list(one) for one in code_profile.gate(home.state.site, home.reader)],
                    "newer_edition": offer})
        return
    for line in code_profile.lines(home.state, today):
        for folded in wrap(line, screen_width(), hang="    ") or [""]:
            say(folded)
    for line in offer:
        for folded in wrap(line, screen_width(), hang="    "):
            say(folded)
    if offer:
        say(str(Hint("Use it: ", Action("setup code", take=""))))
