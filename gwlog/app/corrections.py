"""A correction: the same entry said right, as a new entry that points at the last wording."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from gwlog import clock, text, units
from gwlog.actions import Action, Argument, Hint, Part
from gwlog.app import entries, water_and_soil
from gwlog.app.rain import gauge_from
from gwlog.decisions.entry_limits import MAX_LOAD_L, MAX_RAIN_MM, check_time, weather_day
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import (
    CONTENTS,
    NOT_YET,
    OBSERVATIONS,
    VALVE,
    Fact,
    Mulch,
    Observation,
    OtherWater,
    OutletMove,
    SoilReading,
    UpkeepDone,
    ValveSwitch,
    WashLoad,
    WeatherDay,
)
from gwlog.state import forecast_made_at
from gwlog.values import replace

if TYPE_CHECKING:
    from gwlog.journal.listing import Lists

THAT_DAY = "day"
"""Said as the first day of a gauge's total: it was the rain of that day alone."""

# which parts of each kind can be said anew
PARTS: dict[type[Fact], tuple[str, ...]] = {
    WashLoad: ("to", "volume", "load_name", "product", "contents"),
    OutletMove: ("outlet", "basin", "to"),
    ValveSwitch: ("to",),
    Mulch: ("basin", "depth"),
    OtherWater: ("basin", "volume", "way"),
    SoilReading: ("basin", "extract", "ec", "sar", "esp", "boron", "ph"),
    WeatherDay: ("rain", "since"),
    Observation: ("kind", "basin"),
    UpkeepDone: ("task",),
}


def correct(home: Household, number: int, *, at: str | None = None, by: str | None = None,
            note: str | None = None, **changed: Any) -> Fact:
    """The corrected wording of an entry, ready to append.

    Raises BadInput when the entry cannot be corrected, nothing differs, or a part does not belong to its kind.
    """
    entry = entries.find_entry(home, number)
    parts = PARTS.get(type(entry))
    if parts is None:
        way = (Hint("A description is changed with: ", entries.SETUP) if hasattr(entry, "active")
               or entry.KIND == "site" else
               Hint("Withdraw it instead: ", Action("withdraw", number=number, note="WHY")))
        raise BadInput(f"Entry {number}, {entry.KIND.replace('_', ' ')}, cannot be corrected.", hint=way)
    if isinstance(entry, WashLoad):
        _refuse_place(home, entry, number, changed)
    strange = [part for part in changed if part not in parts]
    if strange:
        option = strange[0].removesuffix("_name").replace("_", "-")
        raise BadInput(f"Entry {number}, {entry.KIND.replace('_', ' ')}, has no --{option}.",
                       hint=Hint("What can be corrected: ", *_options(parts)))
    when = entry.happened_at if at is None else clock.moment(at, home.now, home.zone).replace(microsecond=0)
    moved: Fact = entry
    # a weather day's moment is its day; a forecast that is corrected once its day is over says what it was like
    if isinstance(entry, WeatherDay) and (at is not None or entry.day < clock.local_day(home.now, home.zone)):
        day = weather_day(entry.day if at is None else entries.day_of(home, at), home.now, home.zone)
        moved = replace(entry, day=day.day, forecast_made_at=None)
        when = entry.happened_at if at is None and forecast_made_at(entry) is None else day.happened_at
    check_time(when, home.now, home.zone, home.begins)
    who = entries.read_author(home, by=by, note=note)
    draft = replace(moved, id=0, recorded_at=NOT_YET, happened_at=when, recorded_by=who.by or entry.recorded_by,
                    note=who.note if note is not None else entry.note,
                    corrects_id=entries.home_last(home, entry.id))
    # a gauge's total may meet one that was read later
    then = home.at(when) if when < home.now and not isinstance(entry, WeatherDay) else home
    draft = _changed(then, draft, changed)
    if replace(draft, id=entry.id, corrects_id=entry.corrects_id, recorded_at=entry.recorded_at) == entry:
        raise BadInput(f"Nothing changed yet: entry {number} already says that.",
                       hint=Hint("Name what was different: ", *_options(parts)))
    return draft


def noted_wordings(lists: Lists, number: int) -> tuple[int, ...]:
    """The numbers of the entries that hold an entry's note: every wording of it that has one, since a correction
    carries the first one's note on, and what was logged together with it under the same note.

    `number`: any of its numbers, also of a withdrawn entry or of a withdrawal. Raises BadInput when there is no such
    entry or none of its wordings has a note.
    """
    if not lists.wordings(number):
        raise BadInput(f"There is no entry {number}.", hint=Hint("The entries and their numbers: ", entries.LOG))
    noted: set[int] = set()
    open_ = {number}
    while open_:
        one = open_.pop()
        first = lists.fates.first(one)
        mine = {entry.id for entry in lists.wordings(one)
                if entry.note is not None and lists.fates.first(entry.id) == first} - noted
        noted |= mine
        open_.update(*map(lists.same_note, mine))
        open_ -= noted
    if not noted:
        raise BadInput(f"Entry {number} has no note; nothing was changed.")
    return tuple(sorted(noted))


def _options(parts: Sequence[str]) -> Sequence[Part]:
    named = [Argument(part.removesuffix("_name")) for part in (*parts, "at", "by", "note")]
    return [each for one in named for each in (", ", one)][1:]


def _refuse_place(home: Household, entry: WashLoad, number: int, changed: dict[str, Any]) -> None:
    """A load holds no basin: where its water ended follows from where the outlets lay, so that is to be mended."""
    to = text.one_line(changed.get("to") or "").casefold()
    names_a_basin = to and any(name.casefold().startswith(to) for name in home.state.basins)
    if not names_a_basin and not changed.get("basin") and not changed.get("outlet"):
        return
    if to and any(valve.startswith(to) for valve in VALVE):
        return
    run = next((run for run in home.state.loads if run.fact.id == entry.id), None)
    lay = text.listed([f"“{one.outlet}” at “{one.basin}”" for one in run.deliveries]) if run else ""
    if not lay:
        raise BadInput(f"Load {number} went to the sewer, so it reached no basin.",
                       hint=Hint("If it went to the garden: ", Action("correct", number=number, to="garden")))
    moment = f"{clock.local(entry.happened_at - timedelta(minutes=1), home.zone):%Y-%m-%d %H:%M}"
    raise BadInput(f"Which basin load {number} reached follows from where the outlets were then: {lay}.",
                   hint=Hint("Log the missing move: ",
                             Action("move", outlet="OUTLET", basin="BASIN", at=moment), "; or correct a wrong one: ",
                             Action("correct", number="ID", to="BASIN"), " (its number: ",
                             Action("entries", kind="outlet move"), ")."))


def _changed(home: Household, draft: Fact, changed: dict[str, Any]) -> Fact:
    author = entries.Author(draft.happened_at, correcting=True)
    if isinstance(draft, WashLoad):
        return _load(home, draft, changed)
    if isinstance(draft, OutletMove):
        basin = changed.get("basin") or changed.get("to") or draft.basin
        made = entries.move(home, changed.get("outlet") or draft.outlet, basin, author)
        return replace(draft, outlet=made.outlet, basin=made.basin)
    if isinstance(draft, ValveSwitch):
        return replace(draft, position=text.pick("valve position", changed.get("to") or draft.position,
                                                 ["garden", "sewer"]))
    if isinstance(draft, Mulch):
        basin = changed.get("basin") or draft.basin
        depth = changed.get("depth") or f"{draft.depth_mm} mm"
        made_mulch = entries.mulch(home, basin, author, **{draft.action: depth})
        return replace(draft, basin=made_mulch.basin, depth_mm=made_mulch.depth_mm)
    if isinstance(draft, OtherWater):
        made_water = water_and_soil.other_water(home, changed.get("basin") or draft.basin, author,
                                                amount=changed.get("volume") or f"{draft.volume_ml} ml",
                                                way=changed.get("way") or draft.way)
        return replace(draft, basin=made_water.basin, volume_ml=made_water.volume_ml, way=made_water.way)
    if isinstance(draft, SoilReading):
        return _soil(home, draft, changed, author)
    if isinstance(draft, WeatherDay):
        return _weather(home, draft, changed)
    if isinstance(draft, Observation):
        kind = text.pick("observation", changed.get("kind") or draft.observed, OBSERVATIONS)
        return replace(draft, observed=kind, basin=entries.observe(
            home, kind, changed.get("basin") or draft.basin, author).basin)
    if isinstance(draft, UpkeepDone) and changed.get("task"):
        return replace(draft, task=entries.done(home, changed["task"], author).task)
    return draft


def _soil(home: Household, draft: SoilReading, changed: dict[str, Any], author: entries.Author) -> SoilReading:
    """A soil reading with what was different; what it said before stays for the rest."""
    said = {name: None if value is None else f"{value / 1000:g}{unit}" for name, value, unit in (
        ("ec", draft.ec_us_cm, " dS/m"), ("sar", draft.sar_milli, ""), ("esp", draft.esp_milli, ""),
        ("boron", draft.boron_ug_l, " mg/L"), ("ph", draft.ph_milli, ""))}
    said |= {name: changed[name] for name in said if changed.get(name)}
    if changed.get("sar"):
        said["esp"] = None
    elif changed.get("esp"):
        said["sar"] = None
    made = water_and_soil.soil_reading(home, changed.get("basin") or draft.basin, author,
                                       extract=changed.get("extract") or draft.extract, **said)
    return replace(draft, basin=made.basin, extract=made.extract, ec_us_cm=made.ec_us_cm, sar_milli=made.sar_milli,
                   esp_milli=made.esp_milli, boron_ug_l=made.boron_ug_l, ph_milli=made.ph_milli)


def _weather(home: Household, draft: WeatherDay, changed: dict[str, Any]) -> WeatherDay:
    if changed.get("rain"):
        depth_mm = units.quantity(changed["rain"], "rain", home.system, what="rain", high=MAX_RAIN_MM,
                                  low_included=True)
        draft = replace(draft, rain_um=round(depth_mm * 1000))
    since = changed.get("since") or (None if draft.rain_from is None else draft.rain_from.isoformat())
    if since is None:
        return draft
    if draft.rain_um is None:
        raise BadInput("This entry holds no rain, so there is no total to spread.")
    if since.casefold() == THAT_DAY:
        return replace(draft, rain_from=None)
    assert draft.corrects_id is not None
    root = home.standing.root.get(draft.corrects_id, draft.corrects_id)
    first = gauge_from(home, since, draft.day, correcting=root)
    return replace(draft, rain_from=first)


def _load(home: Household, draft: WashLoad, changed: dict[str, Any]) -> WashLoad:
    if "load_name" in changed:
        name, query = entries.read_query(home, changed["load_name"], None, (), ())
        draft = replace(draft, usual_load=name, washer=home.state.usual_loads[name].washer,
                        volume_ml=round(query.volume_l * 1000), products=tuple(p.name for p in query.products),
                        contents=tuple(query.contents))
    if "volume" in changed:
        litres = units.quantity(changed["volume"], "volume", home.system, what="volume", high=MAX_LOAD_L)
        draft = replace(draft, volume_ml=round(litres * 1000))
    if "to" in changed:
        draft = replace(draft, went_to=text.pick("place for the water", changed["to"], ["garden", "sewer"]))
    if "product" in changed:
        draft = replace(draft, products=_picked("product", changed["product"], list(home.state.products)))
    if "contents" in changed:
        draft = replace(draft, contents=_picked("kind of contents", changed["contents"], list(CONTENTS)))
    return draft


def _picked(what: str, words: Sequence[str], known: Sequence[str]) -> tuple[str, ...]:
    return () if list(words) == ["none"] else tuple(text.pick(what, word, known) for word in words)
