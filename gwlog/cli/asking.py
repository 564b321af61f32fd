"""One question in a terminal, asked again until its answer can be used."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

import click

from gwlog import text
from gwlog.errors import BadInput

T = TypeVar("T")


def checked(question: str, default: str | None, read: Callable[[str], T]) -> T:
    """Ask until `read` takes the answer; what it refuses is told with the way on."""
    while True:
        typed = str(click.prompt(question, default=default, type=str))
        try:
            return read(typed)
        except BadInput as fault:
            click.echo(f"  {fault}" + (f" {fault.hint}" if fault.hint else ""))


def one_of(question: str, choices: Sequence[str], default: str) -> str:
    """Ask for one of a few words, or its beginning."""
    return checked(f"{question} ({', '.join(choices)})", default, lambda typed: text.pick("answer", typed, choices))


def whole(typed: str, low: int, high: int) -> int:
    """Read a whole number from `low` to `high`. Raises BadInput."""
    if typed.strip().isdecimal() and low <= int(typed) <= high:
        return int(typed)
    raise BadInput(f"“{typed[:20]}” is not a whole number from {low} to {high}.")
