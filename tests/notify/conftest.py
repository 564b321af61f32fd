"""What the tests of the watcher share: settings of their own, a channel that remembers, and rounds at any moment."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from gwlog.household import look
from gwlog.notify.channels import Channel, Message, NotSent
from gwlog.notify.rounds import Round, tell
from gwlog.notify.settings_file import Settings, Tell

BELL = (Tell("Ines", ("bell",)),)


class Bell:
    """A channel that remembers what it was given; `fails` says whether the next message does not arrive."""

    def __init__(self, fails: Callable[[], bool] = lambda: False) -> None:
        self.fails = fails
        self.rung: list[Message] = []

    def send(self, message: Message) -> None:
        if self.fails():
            raise NotSent("The channel “bell” could not be reached.")
        self.rung.append(message)

    @property
    def lines(self) -> list[str]:
        return [line for message in self.rung for line in message.lines]


@pytest.fixture(autouse=True)
def own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of settings.toml and channels.toml, empty; nobody's own settings count in tests."""
    folder = tmp_path / "settings"
    folder.mkdir()
    monkeypatch.setattr("gwlog.settings.config_folder", lambda: folder)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "xdg"))
    for name in [name for name in os.environ if name.startswith("GWLOG_CHANNEL_")]:
        monkeypatch.delenv(name)
    return folder


def a_round(path: Path, now: datetime, channels: dict[str, Channel], settings: Settings | None = None) -> Round:
    """One round at a moment."""
    return tell(look(path, now), settings or Settings(tell=BELL), channels, now=lambda: now)
