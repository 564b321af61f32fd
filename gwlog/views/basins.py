"""The basins table: what each can take, for the command, its JSON and the screens."""

from __future__ import annotations

from typing import Any

from gwlog import clock
from gwlog.household import Household
from gwlog.views.today import rest_end


def as_json(home: Household) -> dict[str, Any]:
    """Basins with the keys that other programs rely on; litres, mm, m2."""
    return {"basins": [
        {
            "name": name, "standing": b.standing, "room_l": round(b.room_l, 3),
            "allowance_l_per_day": round(b.allowance_l_per_day, 3), "used_today_l": round(b.used_today_l, 3),
            "surge_room_l": round(b.surge_room_l, 3), "deficit_l": round(b.deficit_l, 3),
            "taw_l": round(b.taw_l, 3), "raw_l": round(b.raw_l, 3), "wetted_m2": round(b.wetted_m2, 4),
            "need_l_per_week": round(b.need_l_per_week, 3), "percolated_30d_l": round(b.percolated_30d_l, 3),
            "rest_until": b.rest_until.isoformat() if b.rest_until else None, "rest_reason": b.rest_reason,
            "cover_mm": round(b.cover_mm, 1), "cover_due": b.cover_due.isoformat() if b.cover_due else None,
            "too_small_for_usual_load": b.too_small,
        }
        for name, b in home.garden.basins.items()
    ]}


HEAD = ("basin", "standing", "room", "today", "per day", "deficit", "of", "need/week", "cover", "mulch due")


def rows(home: Household) -> list[tuple[str, ...]]:
    """The table in the household's units."""
    read = home.reader
    return [
        (name, b.standing + (f" {rest_end(home, name)}" if b.standing == "resting" else ""),
         read.volume(b.room_l), read.volume(b.used_today_l), read.volume(b.allowance_l_per_day),
         read.volume(b.deficit_l), read.volume(b.taw_l), read.volume(b.need_l_per_week), read.length(b.cover_mm),
         clock.echo_day(b.cover_due) + f" {b.cover_due.year}" if b.cover_due else "—")
        for name, b in home.garden.basins.items()
    ]


def remarks(home: Household) -> list[str]:
    """What stands out: basins too small for one load, with what would help."""
    read, load, part = home.reader, home.garden.usual_load_l, home.garden.usual_share_l
    gets = f"it would get {read.volume(part)} of a usual load of {read.volume(load)}" if part < load \
        else f"a usual load is {read.volume(load)}"
    return [
        f"{name} is too small for one usual load: {gets}, and its plants readily use {read.volume(b.raw_l)} of it. "
        "A larger basin, or the flow split over two outlets, would help."
        for name, b in home.garden.basins.items() if b.too_small
    ]
