"""A small household in a real file, a clock that the tests move, and the screens as plain text.

NO_COLOR and TEXTUAL_* are cleared before textual is imported, so that every machine draws the same.
"""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

for name in [n for n in os.environ if n == "NO_COLOR" or n.startswith("TEXTUAL")]:
    del os.environ[name]
os.environ["TEXTUAL_ANIMATIONS"] = "none"

import pytest  # noqa: E402
from textual import _wait  # noqa: E402
from textual.css.model import RuleSet  # noqa: E402
from textual.css.stylesheet import Stylesheet  # noqa: E402
from textual.pilot import Pilot  # noqa: E402
from textual.screen import Screen  # noqa: E402
from textual.widgets import Input  # noqa: E402
from textual.worker import WorkerCancelled  # noqa: E402

from gwlog.app.forms.model import FormSpec, Value, opened  # noqa: E402
from gwlog.household import Household  # noqa: E402
from gwlog.journal import store  # noqa: E402
from gwlog.journal.facts import (  # noqa: E402
    Basin,
    Fact,
    Observation,
    Outlet,
    Person,
    Product,
    Site,
    UsualLoad,
    Washer,
    WashLoad,
    WeatherDay,
)
from gwlog.journal.writer import append  # noqa: E402
from gwlog.tui.app import GwlogApp  # noqa: E402

# The pilot waits until the process idles for a while after each key; a quarter of that while shows it as well.
_wait.SLEEP_GRANULARITY, _wait.SLEEP_IDLE = 0.005, 0.0005
DRAWN_S = 0.025
"""Longer than textual waits before it draws what has changed (1/60 s)."""


def _keep_for_later(screen: Screen[Any]) -> None:
    """Draw nothing yet: for each key a screen is drawn several times, but looked at only when it has settled."""
    screen._dirty_widgets.clear()
    screen._compositor._dirty_regions.clear()
    screen.app._update_mouse_over(screen)


Screen._compositor_refresh = _keep_for_later  # type: ignore[method-assign]

_parse_rules = Stylesheet._parse_rules
_RULES: dict[Any, list[RuleSet]] = {}


def _parse_rules_once(sheet: Stylesheet, *what: Any, **more: Any) -> list[RuleSet]:
    """Parse the same CSS under the same theme once for all the apps of a test run."""
    key = (what, tuple(more.items()), tuple(sheet._variables.items()))
    if key not in _RULES:
        _RULES[key] = _parse_rules(sheet, *what, **more)
    return _RULES[key]


Stylesheet._parse_rules = _parse_rules_once  # type: ignore[method-assign]

ZONE = "America/Los_Angeles"
BEGIN = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)
NOW = datetime(2026, 6, 16, 17, 0, tzinfo=UTC)  # Tuesday, 10:00 in Los Angeles
BASE = {"happened_at": BEGIN, "zone": ZONE}
@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The suite draws what is drawn at several sizes at 80x24; the other sizes are walked with what takes long."""
    for item in items:
        size = getattr(item, "callspec", None) and item.callspec.params.get("size")   # type: ignore[attr-defined]
        if size not in (None, (80, 24)) and item.path.is_relative_to(Path(__file__).parent):
            item.add_marker(pytest.mark.long)


SIZES = pytest.mark.parametrize("size", [(80, 24), (140, 50)], ids=["80x24", "140x50"])


def basin(name: str, area_ft2: float, **other: object) -> Basin:
    """A basin of sandy loam, with the canopy three times its area."""
    said: dict[str, object] = {
        "area_cm2": round(area_ft2 * 929.0304), "mulch_mm": 102, "soil": "sandy loam", "texture": "sandy loam",
        "plants": name.lower(), "canopy_cm2": round(area_ft2 * 3 * 929.0304), "plant_factor_milli": 500,
        "root_depth_mm": 760, "depletion_milli": 396, "edible": "off the ground", "started": date(2026, 3, 1),
    }
    return Basin(**BASE, name=name, **{**said, **other})  # type: ignore[arg-type]


def household() -> list[Fact]:
    """Two outlets among four basins, three usual loads, two people."""
    return [
        Site(**BASE, name="7 Quarry Lane, lower unit", latitude_udeg=36_900_000, units="us", occupants=3,
             code="us-ca-washer", eto_zone=3, monthly_rain_um=(90_000, 80_000, 60_000, 25_000, 10_000, 2_000, 0, 0,
                                                             5_000, 25_000, 50_000, 80_000)),
        Person(**BASE, name="Ines"),
        Person(**BASE, name="Tom"),
        Washer(**BASE, name="front loader", machine="front-load", volume_ml=68_137),
        basin("Pomegranate", 20, at_x_mm=0, at_y_mm=0),
        basin("Fig", 24, at_x_mm=6000, at_y_mm=0),
        basin("Plum", 12, at_x_mm=3000, at_y_mm=4000),
        basin("Lemon", 16, at_x_mm=9000, at_y_mm=4500, depletion_milli=296),
        Outlet(**BASE, name="Hose", basin="Pomegranate", share_milli=1000, at_x_mm=0, at_y_mm=0),
        Product(**BASE, name="plain liquid", product_kind="detergent", form="liquid", chlorine_bleach=False,
                borax=False, sodium_mg=3000),
        Product(**BASE, name="oxygen booster", product_kind="booster", form="powder", chlorine_bleach=False,
                borax=True, sodium_mg=25_000),
        UsualLoad(**BASE, name="towels", washer="front loader", products=("plain liquid",)),
        UsualLoad(**BASE, name="diapers", washer="front loader", products=("plain liquid",), contents=("diapers",)),
        UsualLoad(**BASE, name="whites", washer="front loader", products=("plain liquid", "oxygen booster")),
    ]


def season() -> list[Fact]:
    """Towels every third day, now and then rain, and ponding yesterday."""
    facts: list[Fact] = []
    for back in range(60, 0, -1):
        at = NOW - timedelta(days=back)
        if back % 3 == 0:
            facts.append(WashLoad(happened_at=at, zone=ZONE, usual_load="towels", washer="front loader",
                                  volume_ml=68_137, products=("plain liquid",), went_to="garden"))
        if back % 20 == 5:
            facts.append(WeatherDay(happened_at=at, zone=ZONE, day=at.date(), rain_um=12_000))
    return [*facts, Observation(happened_at=NOW - timedelta(days=1), zone=ZONE, observed="ponding", basin="Plum",
                                note="near the [bold]path[/]")]


class Clock:
    """The tests' time: stands still until it is moved; each asking may move it on by a second."""

    def __init__(self, start: datetime = NOW) -> None:
        self.at = start

    def __call__(self) -> datetime:
        return self.at

    def move(self, **by: float) -> None:
        """Let time pass."""
        self.at += timedelta(**by)


@pytest.fixture(autouse=True)
def _own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Settings, and folders in which people look for files, that are this test's own."""
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(home / ".config"))


@pytest.fixture(scope="session")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty logbook, made once: making one runs the migrations."""
    path = tmp_path_factory.mktemp("blank") / "blank.db"
    store.create(path)
    return path


@pytest.fixture(scope="session")
def described(tmp_path_factory: pytest.TempPathFactory, blank: Path) -> Path:
    """The small household's logbook without any other entry."""
    path = tmp_path_factory.mktemp("described") / "described.db"
    path.write_bytes(blank.read_bytes())
    append(path, household(), now=BEGIN)
    return path


@pytest.fixture(scope="session")
def seasoned(tmp_path_factory: pytest.TempPathFactory, described: Path) -> Path:
    """The small household's logbook with two months of towels behind it."""
    path = tmp_path_factory.mktemp("seasoned") / "seasoned.db"
    path.write_bytes(described.read_bytes())
    append(path, season(), now=NOW)
    return path


@pytest.fixture
def empty(tmp_path: Path, blank: Path) -> Path:
    """A copy of the empty logbook."""
    path = tmp_path / "empty.db"
    path.write_bytes(blank.read_bytes())
    return path


@pytest.fixture
def logbook(tmp_path: Path, described: Path) -> Path:
    """A copy of the small household's logbook."""
    path = tmp_path / "house.db"
    path.write_bytes(described.read_bytes())
    return path


@pytest.fixture
def lived_in(tmp_path: Path, seasoned: Path) -> Path:
    """A copy of the logbook with two months of towels behind it."""
    path = tmp_path / "house.db"
    path.write_bytes(seasoned.read_bytes())
    return path


@pytest.fixture
def clock() -> Clock:
    """A clock that stands on a Tuesday morning in June."""
    return Clock()


@pytest.fixture
def screens(logbook: Path, clock: Clock) -> GwlogApp:
    """The screens on the small household, without polling."""
    return GwlogApp(logbook, clock, poll=False)


def seen(app: GwlogApp) -> str:
    """The whole screen as plain text."""
    rows = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in rows)


def words(app: GwlogApp) -> str:
    """The words of the whole screen on one line, without frames: where they are folded depends on what is in them."""
    return " ".join(seen(app).translate(dict.fromkeys(map(ord, "│─╭╮╰╯"), " ")).split())


async def settle(app: GwlogApp, pilot: Pilot[None]) -> None:
    """Wait until everything that was started has been shown."""
    await pilot.pause()
    while app.home is None and app.trouble is None:
        await pilot.pause(0.01)
    await pilot.pause()
    quiet = False
    while not quiet:
        while any(not worker.is_finished for worker in app.workers):
            with suppress(WorkerCancelled):   # a newer one took its place, and is waited for next
                await app.workers.wait_for_complete()
            await pilot.pause()
        await pilot.pause(DRAWN_S)
        # what was drawn may have asked for more, like a plot for the plan
        quiet = all(worker.is_finished for worker in app.workers)
    app.screen._compositor.render_strips()


async def press(app: GwlogApp, pilot: Pilot[None], *keys: str) -> None:
    """Press keys one after the other, each after the one before has been answered.

    Letters typed into a field follow each other as fast as they are taken in.
    """
    for number, key in enumerate(keys, start=1):
        await pilot.press(key)
        following = keys[number] if number < len(keys) else ""
        if not (len(key) == len(following) == 1 and isinstance(app.focused, Input)):
            await settle(app, pilot)


def filled_in(spec: FormSpec, home: Household, **typed: Value) -> dict[str, Value]:
    """The values of a form in which some fields were filled in and the others left as they open."""
    return {one.field.key: one.start for one in opened(spec, home, typed)}
