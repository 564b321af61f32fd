"""Names for the shell's completion: the household's loads, basins, outlets and so on, read from the logbook.

It must never fail or write: where the logbook cannot be read, nothing is offered.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

import click

from gwlog.journal.facts import (
    ATTESTED,
    CONTENTS,
    DESCRIPTIONS,
    HANDED_ON,
    OBSERVATIONS,
    OF_SEAL_NUMBERS,
    OTHER_WATERS,
    VALVE,
)

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from gwlog.state import State

VARIABLE = "_GWLOG_COMPLETE"
"""By what a shell asks: “bash_complete” and the like."""

Complete = Callable[[click.Context, click.Parameter, str], "list[CompletionItem]"]


def _described(ctx: click.Context) -> State:
    """The descriptions in force; nothing that happened, so that a long history does not delay a key."""
    from gwlog import settings
    from gwlog.journal.listing import asking
    from gwlog.state import State, fold

    chosen = ctx.obj or ctx.params.get("logbook") or ctx.find_root().params.get("logbook")
    try:
        with asking(settings.logbook_path(chosen)) as lists:
            described = lists.newest(kinds=[kind.KIND for kind in DESCRIPTIONS])
    except Exception:
        return State()  # a shell that completes has no place to show what is wrong
    return fold(one.fact for one in reversed(described))


def _offer(names: Iterable[str], typed: str) -> list[CompletionItem]:
    from click.shell_completion import CompletionItem

    return [CompletionItem(_for_shell(name)) for name in dict.fromkeys(names)
            if name.casefold().startswith(typed.casefold())]


def _for_shell(name: str) -> str:
    """bash and PowerShell put the words on the line as they are; the other shells quote what needs it."""
    asked = os.environ.get(VARIABLE, "")
    if asked.startswith("bash_"):
        return re.sub(r"([^\w./:@%+=,-])", r"\\\1", name)
    if asked.startswith("powershell_") and re.search(r"[^\w./:%+=-]", name):
        return "'" + name.replace("'", "''") + "'"
    return name


def know_every_shell(asked: str) -> None:
    """Let click know the shells that it does not know by itself. `asked`: what shell, or what a shell asks."""
    if asked.startswith("powershell"):
        from gwlog.cli import power_shell  # noqa: F401 - it makes itself known


def _from(names: Callable[[click.Context, State], Iterable[str]]) -> Complete:
    def complete(ctx: click.Context, _param: click.Parameter, typed: str) -> list[CompletionItem]:
        return _offer(names(ctx, _described(ctx)), typed)

    return complete


def _among(choices: Iterable[str]) -> Complete:
    kept = tuple(choices)

    def complete(_ctx: click.Context, _param: click.Parameter, typed: str) -> list[CompletionItem]:
        return _offer(kept, typed)

    return complete


def _reached(ctx: click.Context, state: State) -> list[str]:
    """The basins that the outlet typed before reaches; every basin where that is not clear."""
    typed = str(ctx.params.get("outlet") or "").casefold()
    able = [name for name in state.active_outlets() if typed and name.casefold().startswith(typed)]
    return state.reach(able[0]) if len(able) == 1 else list(state.active_basins())


def _outlets_first(_ctx: click.Context, state: State) -> list[str]:
    """`move` takes an outlet first, but with one outlet its name may be left out."""
    outlets = list(state.active_outlets())
    return [*outlets, *state.active_basins()] if len(outlets) == 1 else outlets


def _tasks(_ctx: click.Context, state: State) -> list[str]:
    from gwlog.clock import now
    from gwlog.decisions.upkeep import upkeep

    return [item.name for item in upkeep(state, now())]


loads = _from(lambda _ctx, state: (name for name, load in state.usual_loads.items() if load.active))
planned = _from(lambda ctx, state: (name for name, load in state.planned_loads.items() if load.active)
                if ctx.params.get("drop") or ctx.params.get("skip")
                else (name for name, load in state.usual_loads.items() if load.active))
basins = _from(lambda _ctx, state: state.active_basins())
reached = _from(_reached)
outlets = _from(_outlets_first)
places = _from(lambda _ctx, state: (*VALVE, *state.active_basins()))
products = _from(lambda _ctx, state: (name for name, product in state.products.items() if product.active))
people = _from(lambda _ctx, state: (name for name, person in state.people.items() if person.active))
tasks = _from(_tasks)
contents = _among(CONTENTS)
observations = _among(OBSERVATIONS)
ways = _among(OTHER_WATERS)
attested = _among(one for one in ATTESTED if one not in (*OF_SEAL_NUMBERS, HANDED_ON))
valve = _among(VALVE)
