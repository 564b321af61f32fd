"""Where the valve and the outlets stand, and since when: as lines, and as rows for the screens."""

from __future__ import annotations

from datetime import datetime

from gwlog import clock
from gwlog.household import Household

VALVE_SHAPE = {"garden": "▶", "sewer": "▼"}


def since(home: Household, moment: datetime) -> str:
    """How long something has stood, in whole local days: “since today”, “since yesterday”, “for 5 days”."""
    days = (clock.local_day(home.now, home.zone) - clock.local_day(moment, home.zone)).days
    if days <= 0:
        return "since today"
    return "since yesterday" if days == 1 else f"for {days} days"


def valve_line(home: Household) -> str:
    """The valve in one line."""
    state = home.state
    if state.valve is None or state.valve_since is None:
        return "Valve: the log does not say where it stands."
    return f"Valve {VALVE_SHAPE[state.valve]} {state.valve.upper()} {since(home, state.valve_since)}"


def outlet_lines(home: Household) -> list[str]:
    """Each outlet in use, and where it lies."""
    return [f"{name} at {place.basin} {since(home, place.since)}"
            for name in home.state.active_outlets() for place in [home.state.outlet_at[name]]]


def place_rows(home: Household) -> list[tuple[str, str, str]]:
    """Valve and outlets in use: what it is, where it stands, since when."""
    state = home.state
    rows = [("Valve", "not logged yet", "")]
    if state.valve is not None and state.valve_since is not None:
        rows = [("Valve", f"{VALVE_SHAPE[state.valve]} {state.valve.upper()}", since(home, state.valve_since))]
    for name in state.active_outlets():
        place = state.outlet_at[name]
        rows.append((name, f"◆ {place.basin}", since(home, place.since)))
    return rows


def as_it_stands(home: Household) -> str:
    """Where a load would go if nothing were turned or moved."""
    if (home.state.valve or "garden") == "sewer":
        return "the valve stands on sewer"
    places = [f"{name} at {home.state.outlet_at[name].basin}" for name in home.state.active_outlets()]
    return f"the valve stands on garden, {', '.join(places) or 'no outlet'}"
