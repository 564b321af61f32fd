"""A load logged as it was advised: the moves and the turn of the valve that come before it, then the load.

For faces that show the advice first and log the whole of it with one answer.
"""

from __future__ import annotations

from typing import Any

from gwlog.faces import entries
from gwlog.faces.entries import with_facts
from gwlog.faces.present.household import Household
from gwlog.journal.facts import Fact


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


__all__ = ["load_as_advised", "with_facts"]
