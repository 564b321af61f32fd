"""What a person can do in gwlog, named once: an action and its arguments, without the words of any face.

A reminder, a problem or a refusal carries actions; the command line shows each as a command, the screens as a key.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

from gwlog.values import dataclass

POSITIONAL: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("begin", "calendar", "card", "handover", "manual", "pack", "report", "restore",
                     "setup apply", "verify"), ("file",)),
    **dict.fromkeys(("correct", "erase-note", "resolve", "withdraw"), ("number",)),
    **dict.fromkeys(("load", "plan-load", "where"), ("load",)), **dict.fromkeys(("later", "seen"), ("key",)),
    "done": ("task",), "move": ("outlet", "basin"), "mulch": ("basin",), "observe": ("kind", "basin"),
    "rain": ("amount",), "valve": ("to",), "water": ("basin", "amount"), "soil": ("basin",),
    "label": ("product",), "attest": ("what",), "phone add": ("name",), "phone remove": ("number",),
    "phone calendar": ("name",),
}
"""The arguments that a command takes by their place; every other one is an option of its own name."""

_PLACEHOLDER = re.compile(r"[A-Z]+(\.[a-z]+)?|\.\.\.")


@dataclass(frozen=True, slots=True, init=False)
class Action:
    """Something to do: a kind (the command's name) and what is known of its arguments, in order, as (name, value).

    A value of capitals ("BASIN", "FILE.zip") stands for what the person fills in; an empty one is a flag.
    """

    kind: str
    arguments: tuple[tuple[str, str], ...]

    def __init__(self, kind: str, /, **arguments: object) -> None:
        object.__setattr__(self, "kind", kind)
        object.__setattr__(self, "arguments", tuple((name.rstrip("_").replace("_", "-"), str(value))
                                                    for name, value in arguments.items()))

    def get(self, name: str) -> str | None:
        """The value of an argument; None where it is not known or is for the person to fill in."""
        value = dict(self.arguments).get(name)
        return None if value is None or _PLACEHOLDER.fullmatch(value) else value

    @property
    def command(self) -> str:
        """The action as a command line."""
        by_place = POSITIONAL.get(self.kind, ())
        given = dict(self.arguments)
        words = [_quoted(given[name]) for name in by_place if name in given]
        for name, value in self.arguments:
            if name not in by_place:
                words += [f"--{name}", *([_quoted(value)] if value else [])]
        return " ".join(("gwlog", self.kind, *words))

    def __str__(self) -> str:
        return self.command


def _quoted(value: str) -> str:
    """A value as one word of a command line: double quotes serve in every shell that people use."""
    if re.fullmatch(r"[\w@%+=:,./-]+", value, re.ASCII) or _PLACEHOLDER.fullmatch(value):
        return value
    return '"' + re.sub(r'(["\\$`])', r"\\\1", value) + '"'


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument by itself, as a sentence names it: an option on the command line, a field on a screen."""

    name: str
    value: str = ""

    @property
    def command(self) -> str:
        """The argument as an option."""
        return f"--{self.name}" + (f" {_quoted(self.value)}" if self.value else "")


Part = str | Action | Argument


class Hint:
    """A sentence that may name actions. As text it names commands; `render` names them as a face does."""

    __slots__ = ("parts",)

    def __init__(self, *parts: Part) -> None:
        self.parts = parts

    def __str__(self) -> str:
        return self.render(lambda part: part.command)

    def __repr__(self) -> str:
        return f"Hint{self.parts!r}"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Hint) and other.parts == self.parts

    def __hash__(self) -> int:
        return hash(self.parts)

    def render(self, show: Callable[[Action | Argument], str]) -> str:
        """The sentence with every action shown by `show`."""
        return "".join(part if isinstance(part, str) else show(part) for part in self.parts)


Words = str | Hint
"""A sentence for a person: plain, or with actions in it."""


def rendered(words: Words, show: Callable[[Action | Argument], str]) -> str:
    """A sentence with its actions shown by `show`."""
    return words.render(show) if isinstance(words, Hint) else words


def joined(parts: Iterable[Words], between: str = " ") -> Hint:
    """Sentences as one, their actions kept."""
    found: list[Part] = []
    for number, words in enumerate(parts):
        found += [between] * bool(number)
        found += words.parts if isinstance(words, Hint) else (words,)
    return Hint(*found)


def as_json(words: Words | None) -> list[Any] | str | None:
    """A sentence for another process, its actions kept (see of_json)."""
    if not isinstance(words, Hint):
        return words
    return [part if isinstance(part, str) else {"argument": [part.name, part.value]} if isinstance(part, Argument)
            else {"action": part.kind, "arguments": dict(part.arguments)} for part in words.parts]


def of_json(data: list[Any] | str | None) -> Words | None:
    """The sentence that as_json wrote down."""
    if not isinstance(data, list):
        return data
    return Hint(*(part if isinstance(part, str) else Argument(*part["argument"]) if "argument" in part
                  else Action(part["action"], **part["arguments"]) for part in data))
