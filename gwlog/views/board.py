"""What the screens show of a household in rows: basins with a gauge, things to do, loads with their verdict.

Plain words and signs only; the screens cut and colour them.
"""

from __future__ import annotations

from dataclasses import dataclass

from gwlog import clock
from gwlog.household import Household
from gwlog.views import verdicts
from gwlog.views.today import STANDING_SHAPE, VALVE_SHAPE, since

FULL, MISSING, RAW_MARK = "█", "░", "┃"


@dataclass(frozen=True, slots=True)
class BasinRow:
    """One basin in words. `tail`: room or rest; `outlets`: those that lie here. Litres for `gauge()`."""

    name: str
    shape: str
    standing: str
    tail: str
    room: str
    missing: str
    cover: str
    outlets: str
    deficit_l: float
    raw_l: float
    taw_l: float

    def gauge(self, width: int) -> str:
        """The root zone as a bar of `width` cells."""
        return gauge(self.deficit_l, self.raw_l, self.taw_l, width)


@dataclass(frozen=True, slots=True)
class LoadRow:
    """A usual load and where it should go now. `must_prepare`: something is to be moved or turned first."""

    name: str
    volume: str
    shape: str
    answer: str
    must_prepare: bool


def gauge(deficit: float, raw: float, taw: float, width: int) -> str:
    """A bar of `width` cells for the root zone: full cells are water that is there, light ones what is missing.

    The upright stroke stands where plants begin to feel it (the readily available water is used up): light
    cells reaching it from the right mean thirst.
    """
    if taw <= 0 or width < 3:
        return ""
    cells = width - 1
    left = round((1 - min(1.0, max(0.0, deficit / taw))) * cells)
    mark = round((1 - min(1.0, max(0.0, raw / taw))) * cells)
    bar = FULL * left + MISSING * (cells - left)
    return bar[:mark] + RAW_MARK + bar[mark:]


def basin_rows(home: Household) -> list[BasinRow]:
    """Every basin in use, in the order of the setup."""
    read = home.reader
    lying: dict[str, list[str]] = {}
    for outlet in home.state.active_outlets():
        lying.setdefault(home.state.outlet_at[outlet].basin, []).append(outlet)
    rows = []
    for name, basin in home.garden.basins.items():
        room = read.volume(max(0.0, basin.room_l))
        tail = f"room {room}"
        if basin.standing == "resting":
            tail = f"until {clock.echo_day(basin.rest_until)}" if basin.rest_until else basin.rest_reason or ""
        rows.append(BasinRow(
            name, STANDING_SHAPE[basin.standing], basin.standing, tail, room,
            f"{read.volume(basin.deficit_l).rsplit(' ', 1)[0]} of {read.volume(basin.taw_l)}",
            read.length(basin.cover_mm),
            ", ".join(lying.get(name, [])), basin.deficit_l, basin.raw_l, basin.taw_l))
    return rows


def place_rows(home: Household) -> list[tuple[str, str, str]]:
    """Valve and outlets: what it is, where it stands, since when."""
    state = home.state
    rows = []
    if state.valve is not None and state.valve_since is not None:
        rows.append(("Valve", f"{VALVE_SHAPE[state.valve]} {state.valve.upper()}", since(home, state.valve_since)))
    else:
        rows.append(("Valve", "nobody has said where it stands", ""))
    for name in state.active_outlets():
        place = state.outlet_at[name]
        rows.append((name, f"◆ {place.basin}", since(home, place.since)))
    return rows


def load_rows(home: Household, names: list[str]) -> list[LoadRow]:
    """Each usual load with the answer there is for it now."""
    rows = []
    for name in names:
        verdict = home.verdict(home.query(name))
        rows.append(LoadRow(name, home.reader.volume(verdict.volume_l), VALVE_SHAPE[verdict.verdict],
                            verdicts.headline(verdict), bool(verdicts.before(verdict))))
    return rows


def as_it_stands(home: Household) -> str:
    """Where a load would go if nothing were turned or moved."""
    if (home.state.valve or "garden") == "sewer":
        return "the valve stands on sewer"
    places = [f"{name} at {home.state.outlet_at[name].basin}" for name in home.state.active_outlets()]
    return f"the valve stands on garden, {', '.join(places) or 'no outlet'}"


def welcome(home: Household) -> list[str]:
    """What to say on the screens of a logbook that describes no household yet."""
    later = next((fact for fact in home.standing.facts if fact.KIND == "site"), None)
    if later is not None:
        return [f"This logbook begins on {clock.echo(later.happened_at, home.zone)}; until then there is nothing here."]
    return [
        "This logbook describes no household yet.",
        "",
        "Write a site file, starting from an example:",
        "  gwlog init --example > site.toml",
        "Change it to your washer, basins and outlets, then:",
        "  gwlog setup apply site.toml",
        "",
        "The screens show it within two seconds.",
    ]
