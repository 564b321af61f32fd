"""What is asked of the system itself, once and at setup: the gate that several codes put before the first load.

A condition names the questions that show it (Condition.asks); the answers are kept with the site.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from gwlog.reference.codes.profile import Condition
from gwlog.units import MM_PER_FOOT, MM_PER_INCH
from gwlog.values import dataclass

_MM = {"ft": MM_PER_FOOT, "in": MM_PER_INCH}
YES_NO = ("yes", "no")
MOST_DIGITS = 9
"""A longer number is no count and no depth [mm] of anything on a lot."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question: what is asked, and the answers; with none to choose from a number [`unit`] is wanted."""

    key: str
    words: str
    answers: tuple[str, ...] = YES_NO
    unit: Literal["", "mm"] = ""


NEW = "new"
"""The question that no code asks: by it a system gets the tasks of its first weeks."""

QUESTIONS: dict[str, Question] = {one.key: one for one in (
    Question(NEW, "Was the system new when it was described, with no load run through it before?"),
    Question("permit", "Is there a permit for it?", ("held", "asked for", "none", "not needed")),
    Question("notice", "Was the agency told beforehand?"),
    Question("dwelling", "What dwelling is it?", ("one-family", "two-family", "larger")),
    Question("bedrooms", "How many bedrooms has it?", ()),
    Question("only_washer", "Is the washing machine alone connected?"),
    Question("pipes_uncut", "Were the house's drain pipes left uncut?"),
    Question("structure_changed", "Was anything structural or electrical changed for it?"),
    Question("potable_joint", "Is there any joint with drinking water?"),
    Question("added_pump", "Is there a pump besides the washing machine's own?"),
    Question("runs", "How does the line run from the machine to the basins?", ("downhill", "level", "uphill")),
    Question("release", "Where does the water come out?", ("under cover", "below ground", "on the surface")),
    Question("tank", "Is there a tank or a drum in which water is kept?"),
    Question("valve_labelled", "Is the valve labelled and within easy reach?"),
    Question("sewer_connected", "Does the other side of the valve lead to the sewer?"),
    Question("pipe_marked", "Is the pipe marked as not for drinking?"),
    Question("distances_kept", "Were the distances measured, and are they kept?"),
    Question("groundwater", "How far below the basins is groundwater?", (), "mm"),
    Question("floodway", "Does a basin lie in a floodway or a flood plain?"),
    Question("certified_parts", "Are the valve and its parts certified, and fitted by a licensed plumber?"),
)}

Verdict = Literal["kept", "broken", "not asked"]


def answers_of(lines: tuple[str, ...] | None) -> dict[str, str]:
    """The household's answers by question, from the lines “key: answer” that are kept with the site.

    Words where a number is wanted are passed over; see damaged.
    """
    found = dict(line.split(": ", 1) for line in lines or () if ": " in line)
    return {key: answer for key, answer in found.items() if key in QUESTIONS and _taken(QUESTIONS[key], answer)}


def damaged(lines: tuple[str, ...] | None) -> tuple[str, ...]:
    """The lines that answer in words where a number is wanted."""
    split = [(line, *line.split(": ", 1)) for line in lines or () if ": " in line]
    return tuple(line for line, key, answer in split if key in QUESTIONS and not _taken(QUESTIONS[key], answer))


def _taken(question: Question, answer: str) -> bool:
    """Whether an answer can be judged: a whole number of a few digits where one is wanted, else any."""
    return bool(question.answers) or (answer.isascii() and answer.isdigit() and len(answer) <= MOST_DIGITS)


def line_of(key: str, answer: str) -> str:
    """An answer as it is kept."""
    return f"{key}: {answer}"


def judged(condition: Condition, key: str, accepted: tuple[str, ...], answers: Mapping[str, str]) -> Verdict:
    """Whether the answer to one of a condition's questions keeps it."""
    answer = answers.get(key)
    if answer is None:
        return "not asked"
    if accepted:
        return "kept" if answer in accepted else "broken"
    assert condition.value is not None
    if key == "groundwater":
        return "kept" if float(answer) >= condition.value * _MM[condition.unit] - 1.0 else "broken"
    return "kept" if float(answer) <= condition.value else "broken"
