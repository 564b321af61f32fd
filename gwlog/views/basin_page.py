"""One basin in detail: its facts in words, a label and what is known under it.

Its water, day by day, is drawn up in outlook.py.
"""

from __future__ import annotations

from gwlog import clock
from gwlog.household import Household
from gwlog.views.board import gauge
from gwlog.views.today import STANDING_SHAPE


def facts(home: Household, name: str, bar: int = 30) -> list[tuple[str, str]]:
    """What is known of a basin: label and words."""
    basin, read = home.garden.basins[name], home.reader
    standing = f"{STANDING_SHAPE[basin.standing]} {basin.standing}"
    if basin.standing == "resting":
        standing += f" until {clock.echo_day(basin.rest_until)}" if basin.rest_until else ""
        standing += f": {basin.rest_reason}" if basin.rest_reason else ""
    lying = [outlet for outlet in home.state.active_outlets() if home.state.outlet_at[outlet].basin == name]
    told = [
        ("standing", standing),
        ("root zone", f"{gauge(basin.deficit_l, basin.raw_l, basin.taw_l, bar)}  "
                      f"{read.volume(basin.deficit_l)} missing of {read.volume(basin.taw_l)}"),
        ("", f"plants feel it once more than {read.volume(basin.raw_l)} is missing"),
        ("can take", f"{read.volume(max(0.0, basin.room_l))} now; needs {read.volume(basin.need_l_per_week)} a week"),
        ("limits", f"soaks in {read.volume(basin.allowance_left_l)} more today of "
                   f"{read.volume(basin.allowance_l_per_day)}; mulch "
                   f"holds {read.volume(basin.surge_room_l)} at once; roots {read.volume(basin.root_room_l)}"),
        ("came", f"{read.volume(basin.used_today_l)} today; sank past the roots in 30 days: "
                 f"{read.volume(basin.percolated_30d_l)}"),
        ("cover", read.length(basin.cover_mm) + (
            f", mulch due {clock.echo_day(basin.cover_due)} {basin.cover_due.year}" if basin.cover_due else "")),
        ("plants", f"{basin.fact.plants}; edible part: {basin.fact.edible}"),
        ("ground", f"{read.area(basin.fact.area_cm2 / 10_000)} of {basin.fact.soil}, roots to "
                   f"{read.length(basin.fact.root_depth_mm)}"),
        ("outlets", ", ".join(f"◆ {outlet}" for outlet in lying) or "none lies here"),
    ]
    if basin.ponding_open:
        told.insert(1, ("seen", "ponding, not settled yet"))
    if basin.too_small:
        told.append(("mind", f"too small for one usual load of {read.volume(home.garden.usual_load_l)}"))
    return told
