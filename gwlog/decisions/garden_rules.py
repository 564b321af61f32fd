"""The tables of rules about the garden and the household: weather, illness, the code's limits, the basins.

A rule of the day holds for every load of that day; a rule about a basin diverts the load only where no arrangement
of the outlets takes it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import TYPE_CHECKING

from gwlog.decisions.ground import (
    FROST_SOURCE,
    WET_SOURCE,
    frozen,
    frozen_by_cold,
    seen_open,
    soaked,
    soaked_by_rain,
)
from gwlog.decisions.load_rules import (
    ILLNESS_SOURCE,
    PRACTICE,
    TURN_BACK,
    WASHER_CODE,
    LoadQuery,
    Reason,
    Rule,
)
from gwlog.decisions.outlet_assignment import FOOD, STOP_BY, STOP_SOURCE, Hindrance, Placing
from gwlog.history import newest_first
from gwlog.journal.facts import Site
from gwlog.units import Reader
from gwlog.values import dataclass, replace

if TYPE_CHECKING:
    from gwlog.reference.codes import Profile
    from gwlog.state import State
    from gwlog.water.garden import Garden

NEARLY_NOTHING_L = 0.5
"""Room that is not worth a number [L]."""

WHEN_DRY = "Turn the valve back to garden when the ground has dried."
WHEN_THAWED = "Turn the valve back to garden when the ground has thawed."
WHEN_OPEN = "Turn the valve back to garden when this is put right."
SMALLER = "Only a smaller load can go to the garden under this limit."
WHEN_ROOM = "Turn the valve back to garden when a basin can take a load again."



@dataclass(frozen=True, slots=True)
class DayCase:
    """What the rules of the day look at. `seen`: whether what was seen and is not resolved holds on that day; nobody
    knows how long it will last.
    """

    state: State
    day: date
    read: Reader
    profile: Profile
    seen: bool = True


@dataclass(frozen=True, slots=True)
class Case:
    """What the rules about basins look at. `today`: the local day of the load."""

    state: State
    garden: Garden
    query: LoadQuery
    read: Reader
    profile: Profile
    placing: Placing
    today: date


def _ill(case: DayCase) -> str | None:
    return "Somebody in the household is ill." if case.seen and seen_open(case.state, "illness") else None


def _soaked(case: DayCase) -> str | None:
    told = soaked if case.seen else soaked_by_rain
    return told(case.state, case.day, case.read, when_raining=case.profile.when_raining)


def _frozen(case: DayCase) -> str | None:
    told = frozen if case.seen else frozen_by_cold
    return told(case.state, case.day, case.read)


def _softened(case: DayCase) -> str | None:
    if case.state.site is None or not case.state.site.softened_water:
        return None
    return "The house's water is softened with salt, and its sodium harms the soil."


def out_of_season(profile: Profile, day: date) -> str | None:
    """Why a day lies outside the code's season of use; None where it does not."""
    if profile.in_season(day.month):
        return None
    if profile.season_months is not None and profile.season_months.sure == "household":
        return f"{day:%B} is outside the months to which a local rule limits graywater."
    return f"{day:%B} is outside the growing season, to which this code limits graywater."


def garden_litres_on(state: State, day: date) -> float:
    """What was sent to the garden on a local day so far [L]."""
    total = 0.0
    for run in newest_first(state.loads, day):
        if run.day < day:
            break
        if run.day == day and run.to_garden:
            total += run.litres
    return total


def _daily_limit(case: Case) -> str | None:
    profile, site = case.profile, case.state.site
    total = garden_litres_on(case.state, case.today) + case.query.volume_l
    allowed = passed_limit(profile, site, total, case.read)
    if not allowed:
        return None
    if _alone_passes(case):
        return f"This load alone is {case.read.volume(case.query.volume_l)}; {allowed} in a day, so it can never go " \
               "to the garden."
    return f"With this load {case.read.volume(total)} would go out today; {allowed}."


def _alone_passes(case: Case) -> bool:
    """Whether the load by itself passes the daily limit, so that no other day would do."""
    return passed_limit(case.profile, case.state.site, case.query.volume_l, case.read) is not None


def passed_limit(profile: Profile, site: Site | None, litres: float, read: Reader) -> str | None:
    """What the code allows in a day, where `litres` of one day pass it."""
    limit = profile.limit(site.occupants) if site is not None else None
    most = profile.daily_limit_l(site.occupants) if site is not None else None
    if limit is None or most is None or not (litres > most - 1e-6 if limit.below else litres > most + 1e-6):
        return None
    return f"{profile.asked_by(limit)} allows {'less than ' if limit.below else ''}{read.volume(most)}"


def _no_outlet(case: Case) -> str | None:
    return "No outlet is in use, so the water has nowhere to go." if case.placing.current is None else None


def _sentences(found: Iterable[Hindrance]) -> str | None:
    clauses = list(dict.fromkeys(one.clause for one in found))
    if not clauses:
        return None
    if len(clauses) > 2:
        clauses = [clauses[0], f"{len(clauses) - 1} more basins are no better"]
    words = "; ".join(clauses)
    return f"{words[:1].upper()}{words[1:]}."


def _shut(rule: str) -> Callable[[Case], str | None]:
    """A basin that the present arrangement waters is shut, and no other arrangement takes the load."""

    def applies(case: Case) -> str | None:
        placing = case.placing
        if placing.fits:
            return None
        # Basins elsewhere count only where they are part of why nothing at all is within the hard limits.
        found = placing.hindered if placing.best is not None else (*placing.hindered, *placing.elsewhere)
        return _sentences(one for one in found if one.rule == rule)

    return applies


def _over_limit(rule: str) -> Callable[[Case], str | None]:
    """Every basin in reach passes a hard limit."""

    def applies(case: Case) -> str | None:
        placing = case.placing
        if placing.fits or placing.best is not None:
            return None
        return _sentences(one for one in (*placing.hindered, *placing.elsewhere) if one.rule == rule)

    return applies


def _resting(case: Case) -> str | None:
    placing = case.placing
    if placing.fits:
        return None
    return _sentences(one for one in (*placing.hindered, *placing.elsewhere) if one.rule == "resting")


def _food(case: Case) -> str | None:
    placing = case.placing
    return None if placing.fits else _sentences(one for one in placing.hindered if one.rule == FOOD)


def _no_root_zone_room(case: Case) -> str | None:
    placing, read, site = case.placing, case.read, case.state.site
    if placing.fits or placing.best is None or (site is not None and site.aim == "garden"):
        return None  # with the aim “garden” the root zone does not bind
    best = [(case.garden.basins[name], litres) for name, litres in placing.best]
    over = [(basin, litres) for basin, litres in best if not basin.rests_today and litres > basin.root_room_l]
    if not over:
        return _sentences(one for one in placing.hindered if one.rule == "root-zone room")
    if len(placing.hindered) + len(placing.elsewhere) == 1 or len(best) > 1:
        return _sentences(Hindrance("root-zone room", "root zone", basin.name,
                                    f"{basin.name}'s roots can use {read.volume(basin.root_room_l)}; "
                                    f"this load would bring {read.volume(litres)}") for basin, litres in over)
    basin = over[0][0]
    if basin.root_room_l < NEARLY_NOTHING_L:
        return f"No basin in reach can take {read.volume(case.query.volume_l)}: not even {basin.name}, " \
               "the driest, lacks water."
    return f"No basin in reach can take {read.volume(case.query.volume_l)}; " \
           f"{basin.name} can take the most, {read.volume(basin.root_room_l)}."


DAY_RULES: tuple[Rule[DayCase], ...] = (
    Rule("illness in the household", "must", ILLNESS_SOURCE, _ill,
         "Leave the valve on sewer until everybody is well and the illness is resolved.", "garden"),
    Rule("soaked ground", "must", WET_SOURCE, _soaked, WHEN_DRY, "garden"),
    Rule("frozen ground", "must", FROST_SOURCE, _frozen, WHEN_THAWED, "garden"),
    Rule("season", "must", "WAC 246-274-011(1)(i) (read); the months are a working assumption",
         lambda case: out_of_season(case.profile, case.day), "Turn the valve back to garden when the season begins.",
         "garden"),
    Rule("softened water", "should", "WAC 246-274-011 on softener brine (read); FAO-29 rev. 1, sodium (read)",
         _softened, "Use the garden side for loads washed with unsoftened water.", "garden"),
)

BASIN_RULES: tuple[Rule[Case], ...] = (
    Rule("ponding", "must", f"{WASHER_CODE} 6 (read in a copy)", _shut("ponding"), WHEN_OPEN, "garden"),
    Rule("runoff", "must", f"{WASHER_CODE} 6 (read in a copy)", _shut("runoff"), WHEN_OPEN, "garden"),
    Rule("leak", "must", f"{WASHER_CODE} 4 (read in a copy)", _shut("leak"), WHEN_OPEN, "garden"),
    Rule("cover", "must", f"{WASHER_CODE} 7 (read in a copy); your code's own figure where it has one", _shut("cover"),
         WHEN_OPEN, "garden"),
    Rule("basin out of use", "must", PRACTICE, _shut("basin out of use"), WHEN_OPEN, "garden"),
    Rule("out of reach", "must", PRACTICE, _shut("out of reach"), WHEN_OPEN, "garden"),
    Rule("no outlet", "must", PRACTICE, _no_outlet, WHEN_OPEN, "garden"),
    Rule("absorption allowance", "must", "CPC/UPC graywater chapter, design of six typical soils (from memory)",
         _over_limit("absorption allowance"), "Turn the valve back to garden tomorrow.", "garden"),
    Rule("surge room", "must", "area x mulch x drainable porosity 0.5 (working assumption)",
         _over_limit("surge room"), TURN_BACK),
    Rule("daily limit", "must", "the daily limit of the code profile; check your local code", _daily_limit,
         "Turn the valve back to garden tomorrow.", "garden"),
    *(Rule(name, "should", STOP_SOURCE, _shut(name), WHEN_OPEN, "garden") for name in STOP_BY),
    Rule(FOOD, "should", f"{WASHER_CODE}s, limits of use (read in a copy)", _food,
         "Move the outlet to another basin.", "garden"),
    Rule("small basin", "should", "FAO-56, readily available water (read)", _shut("small basin"),
         "Enlarge the basin, or split the flow over two outlets.", "garden"),
    Rule("root-zone room", "should", "FAO-56 root-zone balance, eq. 85-88 (read)", _no_root_zone_room,
         WHEN_ROOM, "garden"),
    Rule("resting", "should", "working assumption: a filled basin rests until half its ready water is used",
         _resting, WHEN_ROOM, "garden"),
)

GARDEN_RULES: tuple[Rule[DayCase] | Rule[Case], ...] = (*DAY_RULES, *BASIN_RULES)


def day_reasons(case: DayCase) -> list[Reason]:
    """Every rule of the day that applies, in the table's order."""
    return [reason for rule in DAY_RULES if (reason := rule.reason(case)) is not None]


def basin_reasons(case: Case) -> list[Reason]:
    """Every rule about basins that applies, in the table's order."""
    found = [reason for rule in BASIN_RULES if (reason := rule.reason(case)) is not None]
    return [replace(one, aftercare=SMALLER) if one.rule == "daily limit" and _alone_passes(case) else one
            for one in found]
