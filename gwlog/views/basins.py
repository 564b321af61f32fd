"""A basin as every interface shows it: table row, JSON, detail page, row with a gauge, one line; all from BasinView.

Words are in the household's units; JSON is in litres, mm and m2.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.text import plural
from gwlog.units import Reader
from gwlog.values import dataclass
from gwlog.views.salts import basin_json, soil_facts

if TYPE_CHECKING:
    from gwlog.decisions.basin_words import BasinWord
    from gwlog.decisions.shortage import Short
    from gwlog.water.garden import BasinNow

STANDING_SHAPE = {"wants water": "○", "can take more": "◔", "has had enough": "●", "resting": "◌",
                  "not for graywater": "✕", "too small for one load": "✕", "out of reach": "✕"}
OTHER_WATER = "dry: needs the watering can or drinking water"
HEAD = ("basin", "standing", "can take", "today", "missing", "need/week", "mulch", "mulch due")
FULL, MISSING, RAW_MARK = "█", "░", "┃"


@dataclass(frozen=True, slots=True)
class BasinView:
    """One basin in use: its figures, the names of the outlets that are there, units and day of the view."""

    basin: BasinNow
    word: BasinWord
    outlet_names: tuple[str, ...]
    usual_load_l: float
    today: date
    reader: Reader
    short: Short | None = None

    @property
    def name(self) -> str:
        return self.basin.name

    @property
    def standing(self) -> str:
        """Its word, which follows from what the advice does with it."""
        return self.word.word

    @property
    def short_standing(self) -> str:
        """The same in at most 17 columns."""
        return "too small" if self.word.word == "too small for one load" else self.word.word

    @property
    def shape(self) -> str:
        return STANDING_SHAPE[self.word.word]

    @property
    def resting(self) -> bool:
        return self.word.word == "resting"

    @property
    def never(self) -> bool:
        """Whether no load goes there as it is."""
        return self.word.never

    @property
    def turn(self) -> str:
        """When its turn is planned: “turn Sat 20 Jun”; empty where none is."""
        return "" if self.word.turn_planned is None else f"turn {self._day(self.word.turn_planned)}"

    @property
    def room(self) -> str:
        """What it can take now."""
        return self.reader.volume(max(0.0, self.basin.room_l))

    @property
    def missing(self) -> str:
        """What its root zone lacks of what it holds, the unit once: “12 of 40 gal”."""
        return f"{self.reader.volume(self.basin.deficit_l).rsplit(' ', 1)[0]} of {self.reader.volume(self.basin.taw_l)}"

    @property
    def cover(self) -> str:
        return self.reader.length(self.basin.cover_mm)

    @property
    def outlets(self) -> str:
        return ", ".join(self.outlet_names)

    @property
    def tail(self) -> str:
        """Its room; of a resting basin the end of the rest or, where that is not known, the reason."""
        if self.never:
            return "dry" if self.word.needs_other_water else "—"
        if not self.resting:
            return f"room {self.room}"
        if self.basin.standing != "resting":
            return "until tomorrow"
        return f"until {self._day(self.basin.rest_until)}" if self.basin.rest_until else \
            self.basin.rest_reason or ""

    @property
    def rest_short(self) -> str:
        """The end of the rest where there is little room: “resting Jun 24”; the reason where it is not known."""
        until = self.basin.rest_until if self.basin.standing == "resting" else None
        return f"resting {clock.short_day(until, self.reader.system) if until else self.tail.removeprefix('until ')}"

    @property
    def rest_end(self) -> str:
        """Until when it rests; the year where it is not this one."""
        if self.basin.ponding_open:
            return "until the ponding is over and resolved"
        if self.basin.standing != "resting":
            return "until the end of today"
        if self.basin.rest_until is None:
            return "with no end in sight in usual weather"
        if self.basin.rest_until.year != self.today.year:
            return f"until {_dated(self.basin.rest_until, self.reader.system)}"
        return f"until {self._day(self.basin.rest_until)}"

    def _due(self, day: date) -> str:
        told = clock.short_day if day.year == self.today.year else clock.short_date
        return told(day, self.reader.system)

    def _day(self, day: date) -> str:
        return clock.echo_day(day, self.reader.system)

    @property
    def line(self) -> str:
        """Standing, what it can take or its rest, and its turn; or that it is dry and no load will help. One line."""
        words = f"{self.shape} {self.standing}"
        if self.resting:
            return f"{words} {self.rest_end}"
        if self.never:
            why = f": {self.word.why}" if self.word.why else ""
            return words + why + (f"; {OTHER_WATER}" if self.word.needs_other_water else "")
        takes = f": {self.room}" if self.standing == "can take more" else f", can take {self.room}"
        return f"{words}{takes}" + (f", {self.turn}" if self.turn else "") + (
            f"; {self.other_water}" if self.short else "")

    @property
    def other_water(self) -> str:
        """What it needs of other water and from when; empty where the plan cures its thirst."""
        if self.short is None:
            return ""
        return (f"lacks water from {self._day(self.short.first)}: "
                f"{self.reader.volume(self.short.other_water_l)} of other water in two weeks")

    def gauge(self, width: int) -> str:
        """The root zone as a bar of `width` cells: full cells are water that is there, light ones what is missing.

        The upright stroke stands where plants begin to go short (the readily available water is used up): light
        cells reaching it from the right mean thirst.
        """
        if self.basin.taw_l <= 0 or width < 3:
            return ""
        cells = width - 1
        left = round((1 - min(1.0, max(0.0, self.basin.deficit_l / self.basin.taw_l))) * cells)
        mark = round((1 - min(1.0, max(0.0, self.basin.raw_l / self.basin.taw_l))) * cells)
        bar = FULL * left + MISSING * (cells - left)
        return bar[:mark] + RAW_MARK + bar[mark:]

    @property
    def cells(self) -> tuple[str, ...]:
        """Its row of the table; the columns are HEAD."""
        basin, volume = self.basin, self.reader.volume
        return (self.name, self.standing + (f" {self.rest_end}" if self.resting else ""),
                "—" if self.never else self.room,
                _of(volume(basin.used_today_l), volume(basin.allowance_l_per_day)),
                _of(volume(basin.deficit_l), volume(basin.taw_l)), volume(basin.need_l_per_week), self.cover,
                self._due(basin.cover_due) if basin.cover_due else "—")

    def facts(self, bar: int = 30) -> list[tuple[str, str]]:
        """What is known of it, label and words; `bar`: the cells of its gauge."""
        basin, fact, volume = self.basin, self.basin.fact, self.reader.volume
        standing = f"{self.shape} {self.standing}"
        takes = "no load as it is" if self.never else f"{self.room} now"
        if self.resting:
            standing += f" until {self._day(basin.rest_until)}" if basin.rest_until else ""
            standing += f": {basin.rest_reason}" if basin.rest_reason else ""
        elif self.word.why:
            standing += f": {self.word.why}"
        return [
            ("standing", standing),
            *([("seen", "ponding, not resolved yet")] if basin.ponding_open else []),
            ("root zone", f"{self.gauge(bar)}  {volume(basin.deficit_l)} missing of {volume(basin.taw_l)}"),
            ("", f"plants go short once more than {volume(basin.raw_l)} is missing"),
            ("can take", f"{takes}; needs {volume(basin.need_l_per_week)} a week"),
            ("limits", f"soil can absorb {volume(basin.allowance_left_l)} more today of "
                       f"{volume(basin.allowance_l_per_day)}; mulch holds {volume(basin.surge_room_l)} at once; "
                       f"roots can take {volume(basin.root_room_l)}"),
            *([("turn", self.turn.removeprefix("turn "))] if self.turn else []),
            *([("lacks", self.other_water.removeprefix("lacks "))] if self.short else []),
            *([("careful", OTHER_WATER)] if self.never and self.word.needs_other_water else []),
            ("came", f"{volume(basin.used_today_l)} today; sank below the roots in 30 days: "
                     f"{volume(basin.percolated_30d_l)}"),
            *soil_facts(basin, self.today),
            ("mulch", self.cover + (f", mulch due {_dated(basin.cover_due, self.reader.system)}"
                                    if basin.cover_due else "")),
            ("plants", f"{fact.plants}; edible part: {fact.edible}"),
            *self._young(),
            ("ground", f"{self.reader.area(fact.area_cm2 / 10_000)} of {fact.soil}, roots to "
                       f"{self.reader.length(basin.growth.root_depth_on(self.today))}"),
            ("outlets", ", ".join(f"◆ {outlet}" for outlet in self.outlet_names) or "none here"),
            *([("careful", f"too small for one usual load of {volume(self.usual_load_l)}")] if basin.too_small else []),
        ]

    def _young(self) -> list[tuple[str, str]]:
        """How old plants are that still grow, how far their roots reach, and what of a load reaches them."""
        basin, day, planted = self.basin, self.today, self.basin.fact.planted
        if planted is None or not basin.growth.young_on(day):
            return []
        across = self.reader.length(1000.0 * basin.growth.roots_across_on(day))
        rows = [("young", f"{planted_ago(planted, day)}: roots reach {across} across and "
                          f"{self.reader.length(basin.growth.root_depth_on(day))} down")]
        if basin.spec.share < 1.0:
            beside = self.reader.volume(basin.beside_30d_l)
            rows.append(("", f"of what comes about {_percent(basin.spec.share)} reaches them; beside them went "
                             f"{beside} in 30 days"))
        return rows

    @property
    def json(self) -> dict[str, Any]:
        """Its figures with the keys that other programs rely on; litres, mm, m2."""
        basin = self.basin
        return {
            "name": self.name, "standing": self.standing, "room_l": round(basin.room_l, 3),
            "allowance_l_per_day": round(basin.allowance_l_per_day, 3), "used_today_l": round(basin.used_today_l, 3),
            "surge_room_l": round(basin.surge_room_l, 3), "deficit_l": round(basin.deficit_l, 3),
            "taw_l": round(basin.taw_l, 3), "raw_l": round(basin.raw_l, 3), "wetted_m2": round(basin.wetted_m2, 4),
            "need_l_per_week": round(basin.need_l_per_week, 3), "percolated_30d_l": round(basin.percolated_30d_l, 3),
            "rest_until": basin.rest_until.isoformat() if basin.rest_until else None,
            "rest_reason": basin.rest_reason, "cover_mm": round(basin.cover_mm, 1),
            "cover_due": basin.cover_due.isoformat() if basin.cover_due else None,
            "too_small_for_usual_load": basin.too_small, "why": self.word.why, "dry": self.word.dry,
            "needs_other_water": self.word.needs_other_water,
            "turn_planned": self.word.turn_planned.isoformat() if self.word.turn_planned else None,
            "other_water_today_l": round(basin.other_today_l, 3), "plant_factor": round(basin.spec.plant_factor, 4),
            "canopy_m2": round(basin.spec.canopy_m2, 4),
            "planted": basin.fact.planted.isoformat() if basin.fact.planted else None,
            "age_days": (self.today - basin.fact.planted).days if basin.fact.planted else None,
            "roots_share": round(basin.spec.share, 4),
            "root_depth_mm": round(basin.growth.root_depth_on(self.today)),
            "beside_30d_l": round(basin.beside_30d_l, 3),
            "short": self.short.as_json() if self.short else None,
            **basin_json(basin),
        }


def basin_views(home: Household) -> list[BasinView]:
    """Every basin in use, in the order of the setup."""
    from gwlog.decisions.basin_words import basin_words

    lying: dict[str, list[str]] = {}
    for outlet in home.state.active_outlets():
        lying.setdefault(home.state.outlet_at[outlet].basin, []).append(outlet)
    garden = home.garden
    words = basin_words(home.state, garden, home.advice.loads)
    try:
        short = {one.basin: one for one in home.plan.short}
    except BadInput:
        short = {}
    return [BasinView(basin, words[name], tuple(lying.get(name, ())), garden.usual_load_l, garden.today, home.reader,
                      short.get(name))
            for name, basin in garden.basins.items()]


def facts(home: Household, name: str, bar: int = 30) -> list[tuple[str, str]]:
    """What is known of the basin `name`, label and words."""
    return next(view for view in basin_views(home) if view.name == name).facts(bar)


def as_json(home: Household) -> dict[str, Any]:
    """Every basin in use with the keys that other programs rely on."""
    return {"basins": [view.json for view in basin_views(home)]}


def rows(home: Household) -> list[tuple[str, ...]]:
    """The basins table; the columns are HEAD."""
    return [view.cells for view in basin_views(home)]


def remarks(home: Household) -> list[str]:
    """A sentence for each basin that is too small for one load, with what would help."""
    volume, load, part = home.reader.volume, home.garden.usual_load_l, home.garden.usual_share_l
    gets = f"it would get {volume(part)} of a usual load of {volume(load)}" if part < load \
        else f"a usual load is {volume(load)}"
    return [
        f"{name} is too small for one usual load: {gets}, and its plants readily use {volume(basin.spec.most_l)} of "
        "it. A larger basin, or the flow split over two outlets, would help."
        for name, basin in home.garden.basins.items() if basin.too_small
    ]


def planted_ago(planted: date, today: date) -> str:
    """How long ago plants were set: “planted 14 months ago”."""
    days = (today - planted).days
    if days < 14:
        return f"planted {plural(days, 'day')} ago" if days > 0 else "planted today"
    if days < 61:
        return f"planted {days // 7} weeks ago"
    return f"planted {int(days / 30.44)} months ago" if days < 731 else f"planted {days // 365} years ago"


def _of(part: str, whole: str) -> str:
    """“5.2 of 115 gal”: the unit once, where both have the same one."""
    figure, _, unit = part.rpartition(" ")
    return f"{figure if whole.endswith(f' {unit}') else part} of {whole}"


def _percent(share: float) -> str:
    return f"{max(1, round(100 * share))} %"


def _dated(day: date, system: str) -> str:
    return clock.echo_date(day, system)
