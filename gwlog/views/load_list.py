"""The household's usual loads, each with where it should go now."""

from __future__ import annotations

from dataclasses import dataclass

from gwlog.household import Household
from gwlog.views import answers
from gwlog.views.valve_and_outlets import VALVE_SHAPE


@dataclass(frozen=True, slots=True)
class LoadRow:
    """A usual load and its answer in words. `must_prepare`: something is to be moved or turned first."""

    name: str
    volume: str
    shape: str
    answer: str
    must_prepare: bool


def load_rows(home: Household, names: list[str]) -> list[LoadRow]:
    """The loads of those names, in that order."""
    rows = []
    for name in names:
        answer = home.answer(home.query(name))
        rows.append(LoadRow(name, home.reader.volume(answer.volume_l), VALVE_SHAPE[answer.verdict],
                            answers.headline(answer), bool(answers.before(answer))))
    return rows
