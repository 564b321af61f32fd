"""What an entry that was just written changed, or that it changed nothing, in lines.

`home` is always the household as it was before the entry was written.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from gwlog import clock, text
from gwlog.actions import Action, Hint, Words, joined
from gwlog.household import Household
from gwlog.journal.facts import Fact, OtherWater, OutletMove, SoilReading, ValveSwitch, WashLoad, WeatherDay
from gwlog.state import believed_weather

ODD_AT_ONCE = 3
LEAST_L = 0.05
"""Less water than that is not told."""
ODD = Action("entries", odd="")


def already(home: Household, fact: Fact) -> str:
    """That things stood like this before, or what the entry takes the place of; “” where there is nothing to say."""
    if isinstance(fact, WeatherDay) and fact.rain_from is not None:
        return _gathered(home, fact.rain_from, fact)
    if isinstance(fact, WeatherDay):
        known = believed_weather(home.state, fact.day)
        if known is None or known.rain_mm is None or fact.rain_um is None:
            return ""
        return f"It replaces {home.reader.rain(known.rain_mm)} logged for that day before."
    if not isinstance(fact, (ValveSwitch, OutletMove)):
        return ""
    state = (home if fact.happened_at >= home.now else home.at(fact.happened_at)).state
    if isinstance(fact, ValveSwitch):
        return "It was there already." if state.valve == fact.position else ""
    lay = state.outlet_at.get(fact.outlet)
    return "It is there already." if lay is not None and lay.basin == fact.basin else ""


def _gathered(home: Household, first: date, fact: WeatherDay) -> str:
    """What the days of a gauge's total hold by themselves, and how much of it is left for the others."""
    from gwlog.water.weather import READING_MM

    count = (fact.day - first).days + 1
    weather = (home.state.weather.get(first + timedelta(days=number)) for number in range(count))
    own = [one.rain_mm for one in weather if one is not None and one.rain_mm is not None]
    total, held = (fact.rain_um or 0) / 1000, sum(own)
    if not own:
        return f"It is spread over {text.plural(count, 'day')}." if count > 1 else ""
    if held > total + READING_MM:
        return f"{len(own)} of these {text.plural(count, 'day')} hold {home.reader.rain(held)} already, more than " \
               "the total: they keep it, and the others had none."
    if len(own) == count:
        return f"Each of these {text.plural(count, 'day')} has its own rain and keeps it, " \
               f"{home.reader.rain(held)} in all."
    return f"{len(own)} of these {text.plural(count, 'day')} keep their own, {home.reader.rain(held)} in all; " \
           "the rest is spread over the others."


def reaches_back(home: Household, facts: Sequence[Fact]) -> bool:
    """Whether people logged something that happened after the earliest of `facts`."""
    first = min(fact.happened_at for fact in facts)
    return any(fact.happened_at > first and not isinstance(fact, WeatherDay) for fact in home.since(first))


def later_loads(home: Household, move: OutletMove) -> list[str]:
    """The later loads whose basin a move in the past changed, so that a missing move back is noticed."""
    back = min((moment for moment, outlet, _, _ in home.state.outlet_log
                if outlet == move.outlet and moment > move.happened_at), default=home.now)
    changed = [run for run in home.state.loads if move.happened_at < run.fact.happened_at <= back
               and any(one.outlet == move.outlet and one.basin != move.basin for one in run.deliveries)]
    if not changed:
        return []
    numbers = text.listed([str(run.fact.id) for run in changed[:5]]) if len(changed) <= 5 else \
        f"{changed[0].fact.id} to {changed[-1].fact.id}"
    return [f"So {text.plural(len(changed), 'later load')} ({numbers}) went to {move.basin}. "
            "If it was moved back before, log that too."]


def odd_now(home: Household, written: Sequence[Fact]) -> list[Words]:
    """Problems of the log that `written` brought up, each with a way out."""
    return _odd(home, _after(home, written))


def _after(home: Household, written: Sequence[Fact]) -> Household:
    """The household with the entries that were written since."""
    return home.after(written)


def _odd(home: Household, after: Household) -> list[Words]:
    known = {(problem.entry_id, problem.text) for problem in home.state.problems}
    fresh = [problem for problem in after.state.problems if (problem.entry_id, problem.text) not in known]
    lines: list[Words] = []
    for problem in fresh[:ODD_AT_ONCE]:
        lines += [f"check: {problem.text}", joined(["  → ", problem.way_out], "")]
    if len(fresh) > ODD_AT_ONCE:
        lines.append(Hint(f"check: {len(fresh) - ODD_AT_ONCE} more; see them with: ", ODD))
    return lines


def missing_now(home: Household, written: Sequence[Fact]) -> list[Words]:
    """After other water: what its basin still lacks, what of it the roots cannot hold, and what to mind."""
    given = [fact for fact in written if isinstance(fact, OtherWater)]
    if not given:
        return []
    from gwlog.decisions.caution_words import other_water_caution
    from gwlog.reference.upkeep import FLUSH_SOIL

    lines: list[Words] = []
    after = _after(home, written).garden.basins
    flushed = any(fact.way == "flush" for fact in given)
    for name in dict.fromkeys(fact.basin for fact in given):
        if name not in after:
            continue
        lacks = after[name].deficit_l
        lines.append(f"{name}: {home.reader.volume(lacks) if lacks >= LEAST_L else 'nothing'} missing now.")
        before, litres = home.garden.basins[name], sum(fact.volume_ml for fact in given if fact.basin == name) / 1000
        beside = litres * (1.0 - before.spec.share)
        beyond = litres - beside - before.deficit_l
        today = all(clock.local_day(fact.happened_at, home.zone) == home.garden.today for fact in given)
        if today and beside >= LEAST_L:
            lines.append(f"About {home.reader.volume(beside)} of it soaks in beside the young roots.")
        if today and beyond >= LEAST_L:
            lines.append(f"About {home.reader.volume(beyond)} of it will sink below the roots"
                         + (", and carries salt down with it." if flushed else "."))
    if flushed and any(item.name == FLUSH_SOIL.name and item.state != "later" for item in home.upkeep):
        lines.append(Hint("When every basin is flushed: ", Action("done", task=FLUSH_SOIL.name)))
    cautions = dict.fromkeys(words for fact in given if (words := other_water_caution(fact.way)))
    return [*lines, *(f"caution: {words}" for words in cautions)]


def soil_against_reckoning(home: Household, written: Sequence[Fact]) -> list[str]:
    """After a soil reading: what it says against what was reckoned until then."""
    readings = [fact for fact in written if isinstance(fact, SoilReading)]
    if not readings:
        return []
    from gwlog.views.salts import reading_lines

    return [line for fact in readings for line in reading_lines(home, fact)]


def late(home: Household, written: Sequence[Fact]) -> list[Words]:
    """After entries that happened before: the basins that rest because of them, the loads that moves among them sent
    elsewhere, and what no longer fits.
    """
    after = _after(home, written)
    rests: list[Words] = list(_rest_now(home, after, written))
    if not reaches_back(home, written):
        return rests
    moved: list[Words] = [line for fact in written if isinstance(fact, OutletMove) for line in later_loads(home, fact)]
    return rests + moved + _odd(home, after)


def _rest_now(home: Household, after: Household, written: Sequence[Fact]) -> Iterator[str]:
    """Basins that rest now and did not before a load of earlier was logged."""
    if not any(isinstance(fact, WashLoad) and fact.went_to == "garden" and fact.happened_at < home.now
               for fact in written):
        return
    for name, basin in after.garden.basins.items():
        before = home.garden.basins.get(name)
        if basin.standing == "resting" and before is not None and before.standing != "resting":
            until = f" until {clock.echo_day(basin.rest_until, home.system)}" if basin.rest_until else ""
            yield f"With it {name} has had enough and rests{until}."
