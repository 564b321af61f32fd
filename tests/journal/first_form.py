"""Entries sealed as they were before there were parts: every column in the body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from gwlog.journal import chain, exchange
from gwlog.journal.facts import Fact
from gwlog.journal.writer import _cleaned


def first_form(facts: Sequence[Fact], now: datetime) -> bytes:
    """An export of these entries, as it was made then."""
    previous, lines = chain.START, []
    for number, fact in enumerate(facts, 1):
        clean = replace(_cleaned(fact, now), id=number)
        salt = None if clean.note is None else f"{number:032x}"
        body = chain.canonical(chain.body_of(clean, number, chain.digest_of_note(clean.note, salt)))
        previous = chain.link(previous, body)
        lines.append(exchange.Sealed(number, clean.KIND, body, previous, clean.note, salt).line + "\n")
    return "".join(lines).encode()


def written_first(path: Path, facts: Sequence[Fact], now: datetime) -> None:
    """A logbook of the present layout with entries of the first form; `path`: an empty one, or nothing."""
    exchange.import_into(path, first_form(facts, now))
