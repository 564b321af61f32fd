"""The engine's answer to a load, in words; the same for `where`, `load`, today and the screens."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.actions import Action, Hint, Words
from gwlog.errors import AnswerChanged
from gwlog.household import Household
from gwlog.journal.facts import Fact, OutletMove, ValveSwitch, WashLoad
from gwlog.text import listed, wrap
from gwlog.values import NamedTuple

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer, OtherWay
    from gwlog.decisions.load_rules import LoadQuery, Reason

TURN_BACK = "Turn the valve back to garden"
STRENGTH_WORDS = {"must": "must", "should": "better"}
NOTHING_FIRST = "Nothing to do first."


def headline(answer: Answer) -> str:
    """The answer in a few words: “GARDEN: Pomegranate” or “SEWER (must)”."""
    if answer.verdict == "sewer":
        return f"SEWER ({STRENGTH_WORDS[answer.strength]})" if answer.strength else "SEWER"
    return f"GARDEN: {' and '.join(basins(answer))}"


def basins(answer: Answer | OtherWay) -> list[str]:
    """The basins that a load goes to, each once."""
    return list(dict.fromkeys(one.basin for one in answer.deliveries))


def same_advice(one: Answer, other: Answer) -> bool:
    """Whether two answers to a load ask for the same: the same side, the same outlets moved to the same basins."""
    return one.verdict == other.verdict and set(one.moves) == set(other.moves) and basins(one) == basins(other)


class Agreed(NamedTuple):
    """An answer that somebody saw, and what they agree to by logging the load on it (see gist)."""

    answer: Answer
    gist: tuple[object, ...]


def agreed_to(home: Household, query: LoadQuery) -> Agreed:
    """What somebody who sees the answer now agrees to."""
    answer = home.answer(query)
    return Agreed(answer, gist(home, answer))


def refuse_changed(seen: Agreed, home: Household, query: LoadQuery) -> None:
    """Raise AnswerChanged where a load's answer, the valve or an outlet is not as somebody saw it."""
    new = home.answer(query)
    if seen.gist != gist(home, new):
        raise AnswerChanged(changed_words(seen.answer, new))


def gist(home: Household, answer: Answer) -> tuple[object, ...]:
    """What somebody agrees to who logs a load on an answer, as advised or as it stands."""
    places = {name: place.basin for name, place in home.state.outlet_at.items()}
    return (answer.verdict, answer.strength, set(answer.moves), basins(answer), answer.turn_valve, home.state.valve,
            places)


def changed_words(old: Answer, new: Answer) -> str:
    """That an answer is another one than was shown, and why."""
    steps = [" ".join(before(one)) or NOTHING_FIRST for one in (old, new)]
    if headline(old) != headline(new):
        return f"Nothing was logged: it was {headline(old)}, and is {headline(new)} by now. {new.why} {steps[1]}"
    return f"Nothing was logged: what to do first has changed. It was: {steps[0]} Now: {steps[1]}"


def before(answer: Answer) -> list[str]:
    """What to do before the machine starts, in order."""
    steps = [f"Move {one.outlet} from {one.origin} to {one.basin}." for one in answer.moves]
    if answer.turn_valve:
        steps.append(f"Turn the valve to {answer.turn_valve}.")
    return steps


def after(home: Household, answer: Answer) -> list[str]:
    """What to do when the machine has drained; no turn back while the garden takes no load at all."""
    from gwlog.decisions import load_rules

    steps = list(dict.fromkeys(reason.aftercare for reason in answer.reasons if reason.aftercare))
    if answer.turn_back_at is not None:
        return [f"{TURN_BACK} at {_time(home, answer)}, when the machine has drained.",
                *(step for step in steps if step != load_rules.TURN_BACK and "valve" not in step)]
    waiting = [step for step in steps if step != load_rules.TURN_BACK and "valve" in step]
    if not waiting:
        steps = [step for step in steps if step != load_rules.TURN_BACK]
        return [f"{TURN_BACK} before the next load that goes there.", *steps] if answer.turn_back else steps
    # one is enough: when that is over, the next load gets a new answer
    first = next((step for step in waiting if step.startswith("Leave")), waiting[0])
    return [step for step in steps if step == first or step not in (load_rules.TURN_BACK, *waiting)]


def _time(home: Household, answer: Answer) -> str:
    assert answer.turn_back_at is not None
    return clock.echo_hour(clock.local(answer.turn_back_at, home.zone), home.system)


def other_way(answer: Answer) -> str | None:
    """What could be done instead, and what it would cost; None where there is nothing else, or why says it already."""
    other = answer.other_way
    if other is None:
        return None
    if other.verdict == "sewer":
        way = "the sewer"
    elif other.moves:
        way = f"{listed(basins(other))}, with {listed([f'{one.outlet} moved to {one.basin}' for one in other.moves])}"
    elif any(other.costs in reason.text for reason in answer.reasons):
        return None
    else:
        way = f"{listed(basins(other))}, where the outlets are"
    return f"{way}: {other.costs}"


def lines(home: Household, answer: Answer, width: int = 80) -> list[str]:
    """The answer in lines, folded to `width` columns: what to do, why, what else could be done, what to mind."""
    page = [f"{answer.load}, {home.reader.volume(answer.volume_l)}  →  {headline(answer)}"]
    for lead, sentences in parts(home, answer):
        page += [line for one in sentences for line in (
            wrap(f"{lead}: {one}", width, indent="  ", hang=" " * (len(lead) + 4)) if lead else [f"  {one}"])]
    return page


def parts(home: Household, answer: Answer) -> list[tuple[str, list[str]]]:
    """The sentences of an answer under the words that lead them, without those that have none; “”: the shares."""
    steps = before(answer)
    if answer.verdict == "garden" and not steps:
        steps = ["nothing to do."]
    why = dict.fromkeys(reason.text + (f" ({STRENGTH_WORDS[reason.strength]})" if reason.strength else "")
                        for reason in answer.reasons)
    other = other_way(answer)
    shares = [f"{one.outlet} at {one.basin}: {home.reader.volume(one.litres)}" for one in answer.deliveries]
    found = [("before", steps), ("after", after(home, answer)), ("why", list(why)),
             ("or", [f"{other}."] if other else []), ("", shares if len(shares) > 1 else []),
             ("careful", [warning.text for warning in answer.warnings])]
    return [(lead, sentences) for lead, sentences in found if sentences]


def logged_lines(home: Household, answer: Answer, written: Sequence[Fact]) -> list[Words]:
    """What was logged for a load, and what follows from it.

    `answer`: the one for it, with the outlets where its water went; `written`: its entries, the load the last.
    """
    page: list[Words] = []
    for fact in written:
        if isinstance(fact, ValveSwitch):
            page.append(f"Logged {fact.id}: valve to {fact.position}.")
        elif isinstance(fact, OutletMove):
            page.append(f"Logged {fact.id}: {fact.outlet} to {fact.basin}.")
        elif isinstance(fact, WashLoad):
            page.append(f"Logged {fact.id}: {fact.usual_load or 'load'}, "
                        f"{home.reader.volume(fact.volume_ml / 1000)} to {_where_to(home, written, fact)}.")
    run = written[-1]
    assert isinstance(run, WashLoad)
    if run.went_to == "sewer":
        return [*page, *_after_sewer(home, answer, run)]
    if answer.strength == "must":
        page += _after_wrong(home, answer, written, run)
    elif answer.strength == "should":
        page += [f"  Next time, better to the sewer: {text}"
                 for text in dict.fromkeys(reason.text for reason in answer.reasons)]
    elif answer.moves:
        page += [f"  Before the next one: {step}" for step in before(answer)]
    page += [f"  careful: {warning.text}" for warning in _about_food(home, written)]
    return page


def _after_wrong(home: Household, answer: Answer, written: Sequence[Fact], run: WashLoad) -> Iterator[Words]:
    """After a load that should have gone to the sewer: the valve while it runs, who keeps off, how it is covered."""
    from gwlog.decisions.follow_up import COVER_WET_MULCH, VALVE_FIRST, keep_off_words
    from gwlog.decisions.valve_reminders import drained_at

    for reason in answer.reasons:
        if reason.strength == "must":
            yield f"  This load should have gone to the sewer: {reason.text}"
    if drained_at(home.state, run) > home.now:
        yield f"  now: {VALVE_FIRST}"
    yield f"  now: {keep_off_words(_places(home, written))} {COVER_WET_MULCH}"
    steps = [one.aftercare for one in answer.reasons if one.aftercare and "valve" not in one.aftercare]
    yield from (f"  now: {step}" for step in dict.fromkeys(steps))
    yield Hint("  Kept as an exception. If the valve was really on sewer: ",
               Action("correct", number=run.id, to="sewer"), ". Followed up: ", Action("resolve", number=run.id))


def _after_sewer(home: Household, answer: Answer, run: WashLoad) -> Iterator[Words]:
    """After a load to the sewer: when the valve is turned back, never before the machine has drained."""
    from gwlog.decisions.valve_reminders import drained_at

    if not home.state.active_outlets():
        return
    steps = after(home, answer) if answer.verdict == "sewer" else []
    if not steps or steps[0].startswith(TURN_BACK):
        drained = drained_at(home.state, run)
        if drained > home.now:
            time = clock.echo_hour(clock.local(drained, home.zone), home.system)
            yield Hint(f"  after: {TURN_BACK} at {time}, when the machine has drained, and log it: ",
                       Action("valve", to="garden"))
        elif answer.turn_back_at is not None or not steps:
            yield Hint(f"  after: {TURN_BACK}, if nobody has, and log it: ", Action("valve", to="garden"))
        steps = steps[1:]
    for step in steps:
        yield f"  after: {step}"


def _about_food(home: Household, written: Sequence[Fact]) -> Iterator[Reason]:
    """Warnings of the basins to which the water went and whose food touches the soil."""
    from gwlog.decisions.cautions import basin_warnings
    from gwlog.decisions.outlet_assignment import FOOD

    where = [(basin, 0.0) for basin in _places(home, written)]
    aim = home.state.site.aim if home.state.site is not None else "plants"
    return (one for one in basin_warnings(home.state, home.garden, where, home.reader, aim=aim)
            if one.rule == FOOD)


def _places(home: Household, written: Sequence[Fact]) -> list[str]:
    """The basins at which the outlets were when the load ran."""
    at = written[-1].happened_at
    state = (home if at >= home.now else home.at(at)).state     # a load of an earlier day ran where they were then
    places = {name: place.basin for name, place in state.outlet_at.items() if name in state.active_outlets()}
    places.update({fact.outlet: fact.basin for fact in written if isinstance(fact, OutletMove)})
    return list(dict.fromkeys(places.values()))


def _where_to(home: Household, written: Sequence[Fact], run: WashLoad) -> str:
    return "the sewer" if run.went_to == "sewer" else " and ".join(_places(home, written)) or "the garden"
