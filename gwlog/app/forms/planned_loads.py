"""The forms for loads that the household expects: plan one, leave out a day of one, expect one no longer.

What they make goes through app.planned_loads, as the command's does.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.app import entries, planned_loads
from gwlog.app.forms.entries import BY, IN_SETUP, NOTE
from gwlog.app.forms.model import Field, FormSpec, Option, Values, options_of, word, words
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import Fact, PlannedLoad

ONCE, BY_RULE = Option("", "once"), Option("rule", "as typed below")
RULE = "like: mon, thu; or FREQ=WEEKLY;BYDAY=MO,TH"
NEXT, OFFERED = 3, 6
"""So many of the next dates are listed, and so many are offered to be left out."""


def _loads(home: Household, _values: Values) -> list[Option]:
    return options_of(entries.usual_load_names(home))


def _repeats(_home: Household, _values: Values) -> list[Option]:
    return [ONCE, *(Option(name, planned_loads.rule_words(rule)) for name, rule
                    in planned_loads.PLAIN_RULES.items()), BY_RULE]


def _expected(home: Household, values: Values) -> PlannedLoad:
    if not word(values, "load"):
        raise BadInput("No usual load is described.", hint=IN_SETUP)
    if not word(values, "on"):
        raise BadInput("When will it run?", hint="Like: sat 9am, tomorrow 18:00, 2026-07-04 9:00.")
    repeats, rule = word(values, "repeats"), word(values, "rule")
    if rule and repeats != BY_RULE.value:
        raise BadInput("You typed a rule, but another choice is marked above it.",
                       hint=f"Choose “{BY_RULE.label}”, or empty the rule.")
    if not rule and repeats == BY_RULE.value:
        raise BadInput("How often does it come?", hint=f"Type it after “Rule”, {RULE}.")
    return planned_loads.plan_load(home, word(values, "load"), word(values, "on"),
                                    rule if repeats == BY_RULE.value else repeats or None,
                                    by=word(values, "by") or None, note=word(values, "note") or None)


def _expect_words(home: Household, values: Values) -> list[str]:
    draft = _expected(home, values)
    expected = f"{draft.name}: {planned_loads.rule_words(draft.every)}"
    dates = planned_loads.coming(home, draft, NEXT)
    if not dates:
        return [f"{expected}. No day is known on which that comes; look at the rule again."]
    return [f"{expected}, {'next ' if draft.every else ''}{_moments(home, dates)}."]


def _moments(home: Household, walls: Sequence[datetime]) -> str:
    """Wall times as people say them; the year is added where it is not this one."""
    this_year = clock.local(home.now, home.zone).year
    return "; ".join((clock.echo_day if wall.year == this_year else clock.echo_date)(wall, home.system)
                     + f", {clock.echo_hour(wall, home.system)}" for wall in walls)


def _planned(home: Household, _values: Values) -> list[Option]:
    options = []
    for name, plan in planned_loads.planned(home).items():
        dates = planned_loads.coming(home, plan, 1)
        when = f"next {_moments(home, dates)}" if dates else "no day to come"
        options.append(Option(name, f"{name}: {when} ({planned_loads.rule_words(plan.every)})"))
    return options


def _days(home: Household, values: Values) -> list[Option]:
    plan = planned_loads.planned(home).get(word(values, "planned"))
    dates = planned_loads.coming(home, plan, OFFERED) if plan is not None else []
    return [Option(day.isoformat(), clock.echo_day(day, home.system))
            for day in dict.fromkeys(wall.date() for wall in dates)]


def _chosen(home: Household, values: Values) -> str:
    if not planned_loads.planned(home):
        raise BadInput("No load is planned, so there is nothing to change.",
                       hint=Hint("Add one: ", Action("plan-load", load="LOAD", on="WHEN")))
    return word(values, "planned")


def _skip(home: Household, values: Values) -> planned_loads.Change:
    name = _chosen(home, values)
    days = [*words(values, "days"), *(day.strip() for day in word(values, "other").split(",") if day.strip())]
    if not days:
        raise BadInput("Which day is skipped? Mark one with the space bar, or type it.")
    return planned_loads.change(home, name, skip=days, by=word(values, "by") or None,
                                 note=word(values, "note") or None)


def _skip_words(home: Household, values: Values) -> list[str]:
    change = _skip(home, values)
    dates = planned_loads.coming(home, change.draft, NEXT)
    return [f"{change.words} " + (f"Then next {_moments(home, dates)}." if dates else "No day is left after that.")]


def _drop(home: Household, values: Values) -> planned_loads.Change:
    return planned_loads.change(home, _chosen(home, values), drop=True, by=word(values, "by") or None,
                                 note=word(values, "note") or None)


def _logged(written: Sequence[Fact], line: str) -> list[str]:
    return [f"Logged {written[-1].id}: {line}"]


EXPECT = FormSpec(
    "expected load", "Add a planned load: when it will run, once or repeated", (
        Field("load", "Load", options=_loads),
        Field("on", "When", hint="like: sat 9am, tomorrow 18:00, 2026-07-04 9:00"),
        Field("repeats", "Comes", options=_repeats),
        Field("rule", "Rule", hint=f"only for “{BY_RULE.label}”, {RULE}"),
        BY, NOTE),
    lambda home, values: [_expected(home, values)], advise=_expect_words,
    wrote=lambda home, values, written: _logged(written, " ".join(_expect_words(home, values))))

SKIP = FormSpec(
    "day left out", "Skip a day of a planned load", (
        Field("planned", "Planned", options=_planned),
        Field("days", "Leave out", options=_days, many=True),
        Field("other", "Another day", hint="like: next sat, 2026-08-15; several with commas"),
        BY, NOTE),
    lambda home, values: [_skip(home, values).draft], advise=_skip_words,
    wrote=lambda home, values, written: _logged(written, _skip(home, values).words))

DROP = FormSpec(
    "load no longer expected", "Cancel a planned load", (
        Field("planned", "Planned", options=_planned), BY, NOTE),
    lambda home, values: [_drop(home, values).draft], advise=lambda home, values: [_drop(home, values).words],
    wrote=lambda home, values, written: _logged(written, _drop(home, values).words))
