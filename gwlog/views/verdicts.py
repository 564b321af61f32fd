"""A verdict in words and as JSON; the same for `where`, `load` and the screens."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from gwlog.household import Household
from gwlog.journal.facts import Fact, OutletMove, ValveSwitch, WashLoad
from gwlog.text import wrap

if TYPE_CHECKING:
    from gwlog.decisions.routing import Reason, Verdict


def as_json(verdict: Verdict, load: str) -> dict[str, Any]:
    """The verdict with the keys that other programs rely on; litres."""
    return {
        "load": load,
        "verdict": verdict.verdict,
        "strength": verdict.strength,
        "basin": verdict.basin,
        "outlet": verdict.outlet,
        "move_first": verdict.move_first,
        "moves": [{"outlet": outlet, "basin": basin} for outlet, basin in verdict.moves],
        "deliveries": [{"outlet": outlet, "basin": basin, "volume_l": round(litres, 3)}
                       for outlet, basin, litres in verdict.deliveries],
        "turn_valve": verdict.turn_valve,
        "turn_back": verdict.turn_back,
        "volume_l": round(verdict.volume_l, 3),
        "percolates_l": round(verdict.percolates_l, 3),
        "reasons": [_reason_json(reason) for reason in verdict.reasons],
        "warnings": [_reason_json(reason) for reason in verdict.warnings],
    }


def _reason_json(reason: Reason) -> dict[str, Any]:
    return {"rule": reason.rule, "strength": reason.strength, "text": reason.text, "source": reason.source,
            "aftercare": reason.aftercare}


def headline(verdict: Verdict) -> str:
    """The answer in a few words: “GARDEN: Pomegranate” or “SEWER (must)”."""
    if verdict.verdict == "sewer":
        return f"SEWER ({verdict.strength})" if verdict.strength else "SEWER"
    places = list(dict.fromkeys(basin for _, basin, _ in verdict.deliveries)) or [verdict.basin or ""]
    return f"GARDEN: {' and '.join(places)}"


def before(verdict: Verdict) -> list[str]:
    """What to do before the machine starts, in order."""
    steps = [f"Move {outlet} to {basin}." for outlet, basin in verdict.moves]
    if verdict.turn_valve:
        steps.append(f"Turn the valve to {verdict.turn_valve}.")
    return steps


def after(verdict: Verdict) -> list[str]:
    """What to do when the machine has drained; no turn back while the garden takes no load at all."""
    from gwlog.decisions.load_rules import TURN_BACK

    steps = list(dict.fromkeys(reason.aftercare for reason in verdict.reasons if reason.aftercare))
    waiting = [step for step in steps if step != TURN_BACK and "valve" in step]
    if not waiting:
        return ["Turn the valve back to garden.", *(step for step in steps if step != TURN_BACK)] \
            if verdict.turn_back else steps
    # one is enough: when that is over, the next load gets a new verdict
    first = next((step for step in waiting if step.startswith("Leave")), waiting[0])
    return [step for step in steps if step == first or step not in (TURN_BACK, *waiting)]


def lines(home: Household, verdict: Verdict, load: str, width: int = 80) -> list[str]:
    """The verdict in lines, folded to `width` columns."""
    page = [f"{load}, {home.reader.volume(verdict.volume_l)}  →  {headline(verdict)}"]
    for reason in verdict.reasons:
        page += wrap(f"why: {reason.text}" + (f" [{reason.strength}]" if reason.strength else ""), width,
                     indent="  ", hang="       ")
    page += [f"  before: {step}" for step in before(verdict)]
    if verdict.verdict == "garden" and not before(verdict):
        page.append("  before: nothing to turn or move.")
    page += [f"  after: {step}" for step in after(verdict)]
    if len(verdict.deliveries) > 1:
        page += [f"  {outlet} at {basin}: {home.reader.volume(litres)}" for outlet, basin, litres in verdict.deliveries]
    for warning in verdict.warnings:
        page += wrap(f"mind: {warning.text}", width, indent="  ", hang="        ")
    return page


def logged_lines(home: Household, verdict: Verdict, written: Sequence[Fact]) -> list[str]:
    """What was logged for a load, and what follows from it.

    `verdict`: the answer for it, with the outlets where its water went; `written`: its entries, the load the last.
    """
    page = []
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
    if run.went_to == "garden" and verdict.strength == "must":
        page += [f"  It should not have gone there: {reason.text}" for reason in verdict.reasons
                 if reason.strength == "must"]
        page.append(f"  Kept as an exception. If the valve stood on sewer: gwlog correct {run.id} --to sewer")
        page += [f"  now: {step}" for step in dict.fromkeys(
            reason.aftercare for reason in verdict.reasons if reason.aftercare and "valve" not in reason.aftercare)]
    elif run.went_to == "garden" and verdict.strength == "should":
        page += [f"  Better to the sewer next time: {reason.text}" for reason in verdict.reasons]
    elif run.went_to == "garden" and verdict.moves:
        page += [f"  Better before the next one: {step}" for step in before(verdict)]
    if run.went_to == "garden":
        page += [f"  mind: {warning.text}" for warning in _about_food(home, written)]
    if run.went_to == "sewer" and home.state.active_outlets():
        steps = after(verdict) if verdict.verdict == "sewer" else []
        if not steps or steps[0] == "Turn the valve back to garden.":
            steps[:1] = ["Turn the valve back to garden when the machine has drained, and log it: gwlog valve garden"]
        page += [f"  after: {step}" for step in steps]
    return page


def _about_food(home: Household, written: Sequence[Fact]) -> Iterator[Reason]:
    """Warnings of the basins to which the water went and whose food touches the soil."""
    from gwlog.decisions.cautions import basin_warnings
    from gwlog.decisions.outlet_assignment import FOOD

    where = [(basin, 0.0) for basin in _places(home, written)]
    aim = home.state.site.aim if home.state.site is not None else "plants"
    return (one for one in basin_warnings(home.state, home.garden, where, home.reader, aim=aim)
            if one.rule == FOOD)


def _places(home: Household, written: Sequence[Fact]) -> list[str]:
    """The basins at which the outlets lay when the load ran."""
    places = {name: place.basin for name, place in home.state.outlet_at.items()
              if name in home.state.active_outlets()}
    places.update({fact.outlet: fact.basin for fact in written if isinstance(fact, OutletMove)})
    return list(dict.fromkeys(places.values()))


def _where_to(home: Household, written: Sequence[Fact], run: WashLoad) -> str:
    return "the sewer" if run.went_to == "sewer" else " and ".join(_places(home, written)) or "the garden"
