"""What the logbook shows for each condition of the code profile in a period, and what it shows against it.

A logbook holds what people wrote: where it can show nothing for a condition, that is said.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal

from gwlog.clock import local_day
from gwlog.decisions.attested_words import attested_words
from gwlog.decisions.ground import soaked_by_rain
from gwlog.decisions.load_rules import SODIUM_TARGET_MG, sodium_mg
from gwlog.decisions.outlet_assignment import TOUCHES_FOOD
from gwlog.decisions.period import Past
from gwlog.decisions.query import profile_of, reader_of
from gwlog.decisions.told import told_figure
from gwlog.journal.facts import Attestation
from gwlog.reference.codes.system import QUESTIONS, answers_of, judged
from gwlog.reference.source import assumed
from gwlog.reference.upkeep import NEW_SYSTEM
from gwlog.text import capital, listed, plural
from gwlog.units import LITRES_PER_GALLON, MM_PER_FOOT, Reader
from gwlog.values import dataclass, replace
from gwlog.water.salts import known_sodium_mg

if TYPE_CHECKING:
    from gwlog.reference.codes import Condition
    from gwlog.state import State

Finding = Literal["met", "met with exceptions", "exceptions only", "not in the log", "open question"]
SOILED = ("diapers", "soiled", "illness")
HAZARDOUS = ("solvent", "oil", "pesticide")


@dataclass(frozen=True, slots=True)
class Evidence:
    """One condition and what the logbook says of it: sentences for it, and sentences against it."""

    condition: Condition
    shows: tuple[str, ...]
    against: tuple[str, ...]
    remark: str | None = None

    @property
    def finding(self) -> Finding:
        """In a word."""
        if self.against:
            return "met with exceptions" if self.shows else "exceptions only"
        if self.shows:
            return "met"
        return "open question" if self.condition.kind == "open question" else "not in the log"


@dataclass(slots=True)
class _Said:
    shows: list[str]
    against: list[str]
    remark: str | None = None


def evidence(past: Past) -> tuple[Evidence, ...]:
    """Go through the profile's conditions, one by one, in the code's order.

    On what else codes speak of, this one is silent: see Profile.silent.
    """
    found = []
    answers = system_answers(past.state)
    for condition in profile_of(past.state).conditions:
        said = _Said([], [])
        if condition.asks:
            _system(past, said, condition, answers)
        elif condition.evidence == "none" and condition.id in ATTESTED_OF:
            _of_papers(past, said, condition)
        elif condition.kind == "open question" and condition.evidence == "none":
            said.remark = "The text leaves it open, as far as it was read."
        else:
            _LOOKING[condition.evidence](past, said)
        found.append(Evidence(condition, tuple(said.shows), tuple(said.against), said.remark))
    return tuple(found)


def _none(past: Past, said: _Said) -> None:
    visits = [one for one in past.state.attestations
              if one.attested == "visit" and past.within(local_day(one.happened_at, past.state.zone))]
    said.remark = "A logbook cannot show it; somebody has to look or know."
    if visits:
        said.remark += f" {_of_paper(past, visits[-1])}: ask what was seen."


def system_answers(state: State) -> dict[str, str]:
    """What the household answered of the system itself, by question."""
    return answers_of(state.site.system_answers) if state.site is not None else {}


def answer_words(key: str, answer: str, read: Reader) -> str:
    """An answer about the system as it is told: “5 ft” for a depth, else as it was given."""
    if QUESTIONS[key].unit != "mm":
        return answer
    return f"{int(answer) / MM_PER_FOOT:.3g} ft" if read.system == "us" else f"{int(answer) / 1000:.3g} m"


def _system(past: Past, said: _Said, condition: Condition, answers: Mapping[str, str]) -> None:
    """By the household's own answers: they were given once, and nobody has checked them."""
    unsaid = []
    for key, accepted in condition.asks:
        said.shows += _looked_at(past, key)
        paper = _attested(past, key)
        said.shows += paper
        verdict = judged(condition, key, accepted, answers)
        if paper and (verdict == "not asked" or answers[key] == "asked for"):
            continue
        if verdict == "not asked":
            unsaid.append(QUESTIONS[key].words)
            continue
        words = f"By the setup: {QUESTIONS[key].words} {answer_words(key, answers[key], reader_of(past.state))}."
        if verdict == "kept" and condition.not_read:
            said.remark = f"{words} The code's own text was not read: ask for it."
            continue
        (said.shows if verdict == "kept" else said.against).append(words)
    if unsaid:
        said.remark = f"The setup does not say: {' '.join(unsaid)}"
    if any(key == "potable_joint" for key, _ in condition.asks):
        _checked_long_ago(past, said)


def _looked_at(past: Past, key: str) -> list[str]:
    """That somebody looked, where a task of a new system answers the question."""
    days = [(one.name, past.done(one.name)) for one in NEW_SYSTEM if one.answers == key]
    return [f"Done {past.on(*found)}: {name}." for name, found in days if found]


ATTESTED_BY = {"permit": "permit or notice", "notice": "permit or notice", "potable_joint": "cross-connection check"}
"""A question about the system itself -> the attestation that answers it."""

ATTESTED_OF = {"permit": "permit", "notice": "notice", "untouched": "potable_joint"}
"""A condition that asks no question, as in first editions -> the question of which an attestation tells something."""

CROSS_CONNECTION = assumed(
    timedelta(days=366), "common practice: somebody looks once a year whether anything joins the drinking water")
"""So old a check that nothing joins the drinking water may be. A permit does not age by itself."""


def _papers(past: Past, kind: str) -> list[Attestation]:
    """What was attested of a kind up to the period's end, the oldest first."""
    return [one for one in past.state.attestations
            if one.attested == kind and local_day(one.happened_at, past.state.zone) <= past.last]


def _of_paper(past: Past, one: Attestation) -> str:
    """An attestation as evidence tells it: “Cross-connection check by Ola Reyes, plumber, on Mon, Mar 2, 2026”."""
    words = attested_words(one if past.parties else replace(one, party=None, file_name=None))
    return f"{capital(words)}, {past.on(local_day(one.happened_at, past.state.zone))}"


def _old(past: Past, one: Attestation) -> bool:
    return past.last - local_day(one.happened_at, past.state.zone) > CROSS_CONNECTION.value


def _attested(past: Past, key: str) -> list[str]:
    """What was attested of a question, where it is not too old for what it shows."""
    found = _papers(past, ATTESTED_BY[key]) if key in ATTESTED_BY else []
    if not found or (key == "potable_joint" and _old(past, found[-1])):
        return []
    return [f"{_of_paper(past, found[-1])}."]


def _of_papers(past: Past, said: _Said, condition: Condition) -> None:
    key = ATTESTED_OF[condition.id]
    said.shows += _attested(past, key)
    if not said.shows:
        _none(past, said)
    if key == "potable_joint":
        _checked_long_ago(past, said)


def _checked_long_ago(past: Past, said: _Said) -> None:
    found = _papers(past, ATTESTED_BY["potable_joint"])
    if found and _old(past, found[-1]):
        said.remark = " ".join(filter(None, (
            said.remark, f"{_of_paper(past, found[-1])}: more than a year before; have it checked again.")))


def _valve(past: Past, said: _Said) -> None:
    turns = sum(past.within(local_day(at, past.state.zone)) for at, _, _ in past.state.valve_log)
    due = [one for one in past.sewer if past.within(one.load.day)]
    went = sum(one.diverted for one in due)
    if turns:
        said.shows.append(f"The valve was turned, or logged, {plural(turns, 'time')}.")
    _diverted(said, went, len(due), "that should have gone to the sewer")
    thrown = past.done("throw the valve")
    if thrown:
        said.shows.append(f"Thrown both ways as a test {past.on(*thrown[-3:])}.")
    _missed(past, said, "throw the valve")


def _diverted(said: _Said, went: int, count: int, which: str) -> None:
    if went:
        said.shows.append(f"{went} of {plural(count, 'load')} {which} went to the sewer.")
    if went < count:
        said.against.append(f"{count - went} of {plural(count, 'load')} {which} went to the garden.")


def _basins(past: Past, said: _Said) -> None:
    loads = list(past.garden_loads())
    litres = sum(run.litres for run in loads)
    names = {delivery.basin for run in loads for delivery in run.deliveries}
    if loads:
        said.shows.append(f"{plural(len(loads), 'load')}, {reader_of(past.state).volume(litres)}, went to "
                          f"{plural(len(names), 'mulch basin')}: {listed(sorted(names))}.")
    over = [one for one in past.sewer if past.within(one.load.day) and not one.diverted
            and any(reason.rule == "absorption allowance" for reason in one.reasons)]
    if over:
        said.against.append(f"{plural(len(over), 'load')} passed what the soil of a basin can absorb per day.")


def _ponding(past: Past, said: _Said) -> None:
    walks = past.done("look for ponding")
    if walks:
        said.shows.append(f"{plural(len(walks), 'walk')} to look for it, the last {past.on(walks[-1])}.")
    for what in ("ponding", "runoff"):
        seen = [one for one in past.state.observations.values()
                if one.observed == what and past.within(local_day(one.happened_at, past.state.zone))]
        ended = sum(one.id in past.state.resolved for one in seen)
        if seen:
            said.against.append(f"{what.capitalize()} was seen {plural(len(seen), 'time')}, {ended} resolved.")
    _missed(past, said, "look for ponding")


def _cover(past: Past, said: _Said) -> None:
    least, read = profile_of(past.state).cover_mm.value, reader_of(past.state)
    entries = [one for found in past.state.mulch.values() for one in found
               if past.within(local_day(one.happened_at, past.state.zone))]
    measured = [one for one in entries if one.action == "measured"]
    if measured:
        lowest = min(measured, key=lambda one: one.depth_mm)
        said.shows.append(f"Mulch measured {plural(len(measured), 'time')}; the least was "
                          f"{read.length(lowest.depth_mm)} at {lowest.basin} "
                          f"{past.on(local_day(lowest.happened_at, past.state.zone))}.")
        below = sum(one.depth_mm < least for one in measured)
        if below:
            said.against.append(f"{plural(below, 'measurement')} of the mulch found less than {read.length(least)}.")
    added = len(entries) - len(measured)
    if added:
        said.shows.append(f"Mulch topped up {plural(added, 'time')}.")
    thin = [name for name, basin in past.garden.basins.items() if basin.cover_mm < least]
    if thin:
        said.against.append(f"By calculation, the mulch at {listed(thin)} is below {read.length(least)} now.")
    elif not entries:
        said.remark = "Nobody has measured or topped up the mulch in this period."


def _holding(past: Past, said: _Said, contents: tuple[str, ...]) -> None:
    loads = list(past.loads())
    such = [run for run in loads if any(one in contents for one in run.fact.contents)]
    if not such:
        said.remark = f"None of the {plural(len(loads), 'load')} logged names {listed(contents, 'or')}; that shows " \
                      "no more than what was written."
        return
    _diverted(said, sum(not run.to_garden for run in such), len(such), f"with {listed(contents, 'or')}")


def _illness(past: Past, said: _Said) -> None:
    such = [one for one in past.sewer if past.within(one.load.day) and any(
        reason.rule.startswith("illness") for reason in one.reasons)]
    if not such:
        said.remark = "No illness was logged; that shows no more than what was written."
        return
    _diverted(said, sum(one.diverted for one in such), len(such), "run while illness was logged")


def _wet(past: Past, said: _Said) -> None:
    read, raining = reader_of(past.state), profile_of(past.state).when_raining
    days = [day for day, weather in past.state.weather.items()
            if weather.rain_mm is not None and past.within(day)]
    wet: dict[date, bool] = {}
    soaked = []
    for run in past.loads():
        if run.day not in wet:
            wet[run.day] = soaked_by_rain(past.state, run.day, read, when_raining=raining) is not None
        if wet[run.day]:
            soaked.append(run)
    totals = sum(past.within(gauge.last) for gauge in past.state.gauges)
    noted = [plural(len(days), "day")] * bool(days) + [plural(totals, "total of a gauge", "totals of a gauge")] * bool(
        totals)
    if noted:
        said.shows.append(f"Rain was logged for {listed(noted)}.")
    out = [run for run in soaked if run.to_garden]
    if soaked and not out:
        said.shows.append(f"All {plural(len(soaked), 'load')} on soaked ground went to the sewer.")
    if out:
        said.against.append(f"{len(out)} of {plural(len(soaked), 'load')} on days that count as soaked by the rain "
                            "logged for them went to the garden.")


def _volume(past: Past, said: _Said) -> None:
    profile, site, read = profile_of(past.state), past.state.site, reader_of(past.state)
    limit = profile.limit(site.occupants) if site is not None else None
    cap = profile.daily_limit_l(site.occupants) if site is not None else None
    by_day: dict[date, float] = {}
    for run in past.garden_loads():
        by_day[run.day] = by_day.get(run.day, 0.0) + run.litres
    if not by_day or limit is None or cap is None:
        return
    most = max(by_day, key=lambda day: by_day[day])
    over = sum(litres >= cap if limit.below else litres > cap + 1e-6 for litres in by_day.values())
    words = f"The most in a day was {read.volume(by_day[most])}, {past.on(most)}; " \
            f"{profile.asked_by(limit)}'s limit is {read.volume(cap)}."
    if over:
        said.against.append(f"{words} It was passed on {plural(over, 'day')}.")
    else:
        said.shows.append(words)


def _average(past: Past, said: _Said) -> None:
    """A figure of gallons a day that limits no single day: told, and held against the average where it is one."""
    profile, read = profile_of(past.state), reader_of(past.state)
    told = profile.told_volume
    loads = list(past.garden_loads())
    if told is None or told.value is None or not loads:
        return
    if told.kind == "average":
        days = (past.last - max(past.first, min(run.day for run in loads))).days + 1
        mean, cap = sum(run.litres for run in loads) / days, told.value * LITRES_PER_GALLON
        words = f"On the average day {read.volume(mean)} went out, over {plural(days, 'day')}; the code's figure is " \
                f"{'less than ' if told.below else ''}{read.volume(cap)} on average."
        (said.against if mean >= cap else said.shows).append(words)
        return
    by_day: dict[date, float] = {}
    for run in loads:
        by_day[run.day] = by_day.get(run.day, 0.0) + run.litres
    said.shows.append(f"The most in a day was {read.volume(max(by_day.values()))}; {told_figure(past.state)}.")


def _plant_use(past: Past, said: _Said) -> None:
    """What sank below the roots, against what may sink to carry salt down: by each basin's own leaching share."""
    read = reader_of(past.state)
    used = given = lost = may_sink = 0.0
    for basin in past.garden.basins.values():
        for one in basin.ledger.days:
            if past.within(one.day):
                used += one.used_l
                given += one.graywater_l
                lost += one.percolated_l if one.graywater_l else 0.0
                may_sink += basin.leaching_share * one.graywater_l
    if not given:
        return
    words = f"By the daily balance the plants used {read.volume(used)}, rain included; " \
            f"{read.volume(lost)} sank below the roots on days with graywater ({read.volume(given)}), where " \
            f"{read.volume(may_sink)} may, to carry salt down."
    (said.shows if lost <= may_sink else said.against).append(words)


def _season(past: Past, said: _Said) -> None:
    profile = profile_of(past.state)
    loads = list(past.garden_loads())
    out = sum(not profile.in_season(run.day.month) for run in loads)
    if out:
        said.against.append(f"{out} of {plural(len(loads), 'garden load')} ran outside the season.")
    elif loads:
        said.shows.append(f"All {plural(len(loads), 'garden load')} ran within the season.")


def _food(past: Past, said: _Said) -> None:
    if not past.state.active_basins():
        return
    touching = {name for name, basin in past.state.basins.items() if basin.edible in TOUCHES_FOOD}
    watered = sum(any(d.basin in touching for d in run.deliveries) for run in past.garden_loads())
    said.shows.append("As described: " + listed([
        f"{name} ({basin.plants}; edible: {basin.edible})"
        for name, basin in past.state.active_basins().items()]) + ".")
    said.remark = "Whether the code allows each of these plants is for its reader to judge."
    if watered:
        said.against.append(f"{plural(watered, 'load')} went to a basin with root crops or food that touches the soil.")


def _sodium(past: Past, said: _Said) -> None:
    loads = list(past.garden_loads())
    unknown = sum(not run.products or any(known_sodium_mg(one) is None for one in run.products) for run in loads)
    known = [sodium_mg(run.products) for run in loads if run.products]
    over = sum(mg >= SODIUM_TARGET_MG for mg in known)
    if over:
        said.against.append(f"{plural(over, 'garden load')} brought {SODIUM_TARGET_MG // 1000} g of sodium or more.")
    elif len(loads) > unknown:
        said.shows.append(f"The most sodium in a garden load was {max(known) / 1000:g} g, by the products logged.")
    if unknown:
        said.remark = f"For {plural(unknown, 'garden load')} the sodium is not known."


def _softener(past: Past, said: _Said) -> None:
    site = past.state.site
    if site is not None and site.softened_water:
        said.against.append("The setup says that the house's water is softened.")
    elif site is not None:
        said.remark = "The setup does not say that the house's water is softened; nobody may have been asked."


def _manual(past: Past, said: _Said) -> None:
    days, handed = past.done("manual"), _papers(past, "manual handed over")
    if days:
        said.shows.append(f"Logged as done {past.on(*days[-3:])}.")
    if handed:
        said.shows.append(f"{_of_paper(past, handed[-1])}.")
    if not days and not handed:
        said.remark = "The manual is made from this logbook; that it stays with the building and is handed on is " \
                      "not logged in it."


def _record(past: Past, said: _Said) -> None:
    days = past.done("yearly record")
    if days:
        said.shows.append(f"Made {past.on(*days)}.")
    _missed(past, said, "yearly record")


def _missed(past: Past, said: _Said, part: str) -> None:
    missed = [one for one in past.rounds if one.state == "missed" and part in one.task and past.within(one.due)]
    if missed:
        said.against.append(f"“{missed[0].task}” was missed {plural(len(missed), 'time')}.")


_LOOKING: dict[str, Callable[[Past, _Said], None]] = {
    "none": _none, "valve": _valve, "basins": _basins, "ponding": _ponding, "cover": _cover,
    "diapers": lambda past, said: _holding(past, said, SOILED),
    "hazardous": lambda past, said: _holding(past, said, HAZARDOUS),
    "illness": _illness, "wet ground": _wet, "volume": _volume, "average": _average, "plant use": _plant_use,
    "season": _season, "food": _food, "sodium": _sodium, "softener": _softener, "manual": _manual, "record": _record,
}
