"""A household that has lived a little: good loads, a mistake, things seen, entries mended, and a nasty note."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog.app import exports
from gwlog.household import Household, look
from tests.conftest import NOW, SITE, Answer, Runner, Shelf

NASTY = "<script>alert('x')</script> & <b>\x1b[31mred\x07\u202egro</b> =1+1 | [a](http://x.example) ’ \U0001f600 漢"
NASTY_SHOWN = "<script>alert('x')</script> & <b>[31mredgro</b> =1+1 | [a](http://x.example) ’ \U0001f600 漢"
FORMULA = "=HYPERLINK(\"http://x.example\")"

Looker = Callable[[], Household]


@pytest.fixture
def lived(gwlog: Runner, frozen: Callable[[datetime], None], tmp_path: Path, shelf: Shelf) -> Runner:
    """Ten days of entries up to NOW."""

    def live(path: Path) -> None:
        site = shelf.folder / "lived.toml"
        site.write_text(SITE, encoding="utf-8")

        def there(*words: str) -> Answer:
            return gwlog("--logbook", str(path), *words)

        assert there("begin", str(site)).code == 0
        _live(there, frozen)

    shelf.copy("lived.db", live, tmp_path / "logbook.db")
    frozen(NOW)
    return gwlog


def _live(home: Runner, frozen: Callable[[datetime], None]) -> None:
    first = NOW - timedelta(days=10)

    def at(day: int, *words: str) -> None:
        frozen(first + timedelta(days=day))
        answer = home(*words)
        assert answer.code in (0, 3), (words, answer.err)

    at(0, "mulch", "Pomegranate", "--measured", "3in", "--by", "Ines")
    at(1, "load", "towels", "--by", "Ines")
    at(2, "load", "whites", "--to", "garden", "--by", "Ines", "--note", "Ines forgot the valve")
    at(3, "observe", "ponding", "Pomegranate", "--note", FORMULA)
    at(4, "valve", "sewer", "--note", NASTY)
    at(4, "load", "diapers", "--to", "sewer")
    at(5, "valve", "garden")
    at(6, "move", "Hose", "Fig")
    at(6, "done", "look for ponding and runoff", "--by", "Ines")
    at(7, "load", "towels", "--at", "4 days ago", "--to", "garden", "--note", "written down late")
    at(8, "mulch", "Fig", "--added", "1in")
    at(9, "load", "towels", "--volume", "200gal", "--to", "sewer")
    entries = home("entries", "--json").json["entries"]

    def number(kind: str, which: int = -1) -> str:
        return str([one["id"] for one in entries if one["kind"] == kind][which])

    at(10, "correct", number("wash_load"), "--volume", "20gal", "--note", "a nought too many")
    at(10, "withdraw", number("mulch"), "--note", "that was another basin")
    at(10, "resolve", number("observation"), "--note", "soaked in")
    at(10, "resolve", number("wash_load", 1), "--note", "watered with clean water")


@pytest.fixture
def looked(tmp_path: Path) -> Looker:
    """Look at tmp_path/logbook.db from NOW."""
    return lambda: look(tmp_path / "logbook.db", NOW)


@pytest.fixture
def printed(lived: Runner, looked: Looker, shelf: Shelf) -> bytes:
    """The lived logbook's report as PDF, printed once."""
    return shelf.file("lived.pdf", lambda path: exports.report(looked(), path)).read_bytes()


@pytest.fixture
def manual_printed(lived: Runner, looked: Looker, shelf: Shelf) -> bytes:
    """The lived logbook's manual, printed once."""
    return shelf.file("lived-manual.pdf", lambda path: exports.manual(looked(), path)).read_bytes()
