"""A load logged as it was advised: the moves and the turn of the valve that come before it, then the load.

For faces that show the advice first and log the whole of it with one answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from gwlog.faces import entries
from gwlog.faces.present.household import Household
from gwlog.journal.facts import Fact


def with_facts(home: Household, facts: Sequence[Fact]) -> Household:
    """The household as it would be with some entries more, which nobody has written."""
    last = max((entry.id for entry in home.entries), default=0)
    numbered = [replace(fact, id=last + count, recorded_at=home.now) for count, fact in enumerate(facts, 1)]
    return Household(home.path, home.now, [*home.entries, *numbered])


def load_as_advised(home: Household, name: str, writer: entries.Author, **said: Any) -> entries.LoadDraft:
    """The load, after the outlet moves and the turn of the valve that its verdict asks for.

    `said`: volume, products, contents as for `entries.load`. The draft's verdict is the one after the moves.
    """
    then = home.at(writer.happened_at) if writer.happened_at < home.now else home
    _, query = entries.read_query(then, name, said.get("volume"), said.get("products", ()), said.get("contents", ()))
    verdict = then.verdict(query)
    moves: list[Fact] = [entries.move(home, outlet, basin, writer) for outlet, basin in verdict.moves]
    moved = with_facts(home, moves) if moves else home
    draft = entries.load(moved, name, writer, to=verdict.verdict, **said)
    return entries.LoadDraft((*moves, *draft.facts), draft.verdict, draft.went_to)
