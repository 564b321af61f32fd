"""Forms without a face: their fields, the values they open with, and what the values come to.

Nothing here draws; the terminal screens and the phone's pages show the same forms. A refusal that a form shows can be
had from `judge` alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from gwlog import clock
from gwlog.actions import Words
from gwlog.errors import AnswerChanged, GwlogError
from gwlog.household import Household
from gwlog.journal.facts import NOT_YET, Fact
from gwlog.views import answers
from gwlog.views.log import sentence

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer

Value = str | tuple[str, ...]
Values = Mapping[str, Value]


class Option(NamedTuple):
    """One thing to choose: the value that is handed on, and how it is written."""

    value: str
    label: str


def options_of(words: Sequence[str]) -> list[Option]:
    """Options that are written as they are handed on."""
    return [Option(word, word) for word in words]


def word(values: Values, key: str) -> str:
    """What one field holds, without space around it."""
    value = values.get(key, "")
    return value.strip() if isinstance(value, str) else ""


def words(values: Values, key: str) -> tuple[str, ...]:
    """What is marked in a field of which any number may be chosen."""
    value = values.get(key, ())
    return value if isinstance(value, tuple) else ()


@dataclass(frozen=True, slots=True)
class Field:
    """One field. `options` None: typed freely; they may depend on the values so far. `many`: any number of them.

    `endings`: it is a path, of a file with such an ending.
    """

    key: str
    label: str
    options: Callable[[Household, Values], Sequence[Option]] | None = None
    hint: str = ""
    many: bool = False
    start: Callable[[Household], str] | None = None
    endings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FormSpec:
    """A form: its fields, and how its values become entries. `advise`: lines to show below what would be logged.

    `wrote`: the lines to show after it was logged, else the entries' own sentences. `answer`: the one to a load, which
    somebody agrees to by logging it, and the household that it is given to.
    """

    key: str
    title: str
    fields: tuple[Field, ...]
    build: Callable[[Household, Values], Sequence[Fact]]
    advise: Callable[[Household, Values], Sequence[str]] | None = None
    wrote: Callable[[Household, Values, Sequence[Fact]], Sequence[Words]] | None = None
    answer: Callable[[Household, Values], tuple[Household, Answer]] | None = None


class OpenField(NamedTuple):
    """A field as a form opens with it: what it shows, what it would show untouched, and what it offers."""

    field: Field
    value: Value
    start: Value
    options: Sequence[Option] | None


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the values of a form come to: each entry in a sentence and advice to them, or why there would be none."""

    entries: tuple[str, ...] = ()
    advice: tuple[str, ...] = ()
    refusal: GwlogError | None = None


def chosen(options: Sequence[Option], value: Value, *, many: bool) -> Value:
    """What a choice among the options holds when it is given a value: the first one where that is not offered."""
    offered = [option.value for option in options]
    if many:
        return tuple(one for one in offered if one in value)
    return str(value) if value in offered else offered[0] if offered else ""


def opened(spec: FormSpec, home: Household, preset: Values | None = None, kept: Values | None = None
           ) -> list[OpenField]:
    """The fields of a form that is opened. `preset`: what is known already; `kept`: what was typed before."""
    found: list[OpenField] = []
    values: dict[str, Value] = {}
    for field in spec.fields:
        start: Value = (preset or {}).get(field.key, field.start(home) if field.start else "")
        value = (kept or {}).get(field.key, start)
        if field.many:
            start, value = start or (), value or ()
        options = None
        values[field.key] = value
        if field.options is not None:
            options = field.options(home, values)
            start = chosen(options, start, many=field.many)
            values[field.key] = chosen(options, value, many=field.many)
        found.append(OpenField(field, value, start, options))
    return found


def judge(spec: FormSpec, home: Household, values: Values) -> Judgement:
    """What logging the values would do at `home.now`; nothing is written."""
    entries: list[str] = []
    advice: Sequence[str] = ()
    refusal: GwlogError | None = None
    try:
        entries = [f"{sentence(home, fact)}  ({clock.echo(fact.happened_at, home.zone)})"
                   for fact in spec.build(home, values)]
    except GwlogError as fault:
        refusal = fault
    try:
        advice = spec.advise(home, values) if spec.advise else ()
    except GwlogError:
        pass  # what is wrong stands in the refusal
    return Judgement(tuple(entries), tuple(advice), refusal)


def agreed(spec: FormSpec, seen: Callable[[], object], head: int | None, home: Household, values: Values
           ) -> Sequence[Fact]:
    """The entries that the values come to now. Raises AnswerChanged where somebody saw others.

    `seen`: what they came to (see gist) when somebody looked; `head`: the last entry then, None to compare anyway.
    """
    facts = spec.build(home, values)
    if home.head != head and seen() != gist(spec, home, values):
        why = "it is not as you saw it any more" if head is None else "somebody else logged first"
        raise AnswerChanged(f"Nothing was logged: {why}. Now it would be as below.")
    return facts


def gist(spec: FormSpec, home: Household, values: Values) -> object:
    """What the values come to, whenever they are logged and whatever their numbers are."""
    try:
        facts = [replace(fact, happened_at=NOT_YET, corrects_id=None) for fact in spec.build(home, values)]
        return facts, answers.gist(*spec.answer(home, values)) if spec.answer else None
    except GwlogError as refusal:
        return str(refusal)


def logged(spec: FormSpec, home: Household, values: Values, written: Sequence[Fact]) -> Sequence[Words]:
    """The lines to show once the entries are written after the state of `home`."""
    if spec.wrote:
        return spec.wrote(home, values, written)
    return [f"Logged {fact.id}: {sentence(home, fact)}." for fact in written]
