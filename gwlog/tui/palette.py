"""The list of everything by name (ctrl+p): each key of the app, and each task of Records."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from typing import Any

from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.command import CommandPalette

from gwlog.tui.screens.records_tasks import GROUPS

PLACEHOLDER = "a few letters of what you want to do"


ALSO_CALLED: dict[str, tuple[str, ...]] = {
    "undo": ("undo", "delete", "mistake"), "open('load')": ("wash", "laundry", "machine"),
    "form('valve')": ("sewer", "diverter", "turn"), "form('move')": ("hose", "outlet", "pipe"),
    "form('mulch')": ("wood chips", "bark"), "form('rain')": ("weather", "gauge", "forecast"),
    "form('water')": ("hose", "watering", "irrigation", "drip"), "form('soil')": ("salt", "ec"),
    "form('observe')": ("leak", "puddle", "ponding", "smell", "vacation", "illness", "blocked"),
    "form('resolve')": ("settle", "follow up", "over"), "form('done')": ("maintenance", "chore", "filter"),
    "open('quick entry')": ("catch up", "several", "vacation"), "open('plan')": ("vacation", "schedule", "calendar"),
    "open('rehearsal')": ("simulate", "what if", "season"), "open('log')": ("history", "search", "correct", "edit"),
    "open('setup')": ("settings", "plants", "people", "products", "detergent"), "next_person": ("user", "name"),
    "open('garden')": ("plants", "basins", "trees"), "open('upkeep')": ("maintenance", "chores"),
    "open('records')": ("print", "report", "landlord", "backup", "export"), "light_or_dark": ("theme", "colors"),
    "open('today')": ("reminders", "home"), "help": ("keys", "shortcuts"), "leave": ("exit", "close"),
}
"""The app's action -> other words by which people look for it; they are offered once a letter was typed."""


def by_name() -> CommandPalette:
    """The list, to be shown over a screen."""
    return CommandPalette(placeholder=PLACEHOLDER, id="--command-palette")


def commands(app: App[Any], *, described: bool) -> Iterator[SystemCommand]:
    """The commands, in the order of the keys. `described`: a logbook is there, so none is begun from a file."""
    for binding in app.BINDINGS:
        if isinstance(binding, Binding) and binding.action != "command_palette" and (
                binding.key != "f3" or not described):
            words = binding.description
            yield SystemCommand(words[0].upper() + words[1:], f"key {binding.key.split(',')[0]}",
                                _runner(app, binding.action))
            for word in ALSO_CALLED.get(binding.action, ()):
                yield SystemCommand(f"{word[0].upper()}{word[1:]}: {words}", f"key {binding.key.split(',')[0]}",
                                    _runner(app, binding.action), discover=False)
    for group, tasks in GROUPS:
        for task in tasks:
            yield SystemCommand(f"{group}: {task.title}", task.about, _runner(app, f"record({task.id!r})"))


def _runner(app: App[Any], action: str) -> Callable[[], Awaitable[None]]:
    async def run_it() -> None:
        await app.run_action(action)

    return run_it
