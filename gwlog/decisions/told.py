"""What is said of the code before and beside a verdict, and diverts no load: permission, averages, design flows.

Said at setup, in the first answers of a household, and in its papers.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import TYPE_CHECKING

from gwlog.decisions.garden_rules import garden_litres_on
from gwlog.decisions.load_rules import Reason
from gwlog.decisions.query import profile_at, reader_of
from gwlog.history import newest_first
from gwlog.units import LITRES_PER_GALLON

if TYPE_CHECKING:
    from gwlog.journal.facts import Site
    from gwlog.reference.codes import Profile
    from gwlog.state import State

AVERAGE_DAYS = 30
"""Over how many days up to the load a figure that is an average is reckoned. Working assumption: a month."""

SETTLED = ("held", "not needed")
"""Answers about the permit after which nobody is told of it before a load."""

FIRST_WORD = {
    "permit first": "Permit first",
    "local permission": "Local permission first",
    "not known": "Not known to be lawful",
}


def first_word(site: Site | None, profile: Profile | None = None) -> str | None:
    """What has to be settled before the first load, in a sentence or two; None where no permit is needed, or it is
    settled by what the setup says.
    """
    profile = profile or profile_at(site)
    head = FIRST_WORD.get(profile.permission)
    if head is None:
        return None
    answer = settled_permit(site)
    if answer == "held" or (answer == "not needed" and profile.permission != "permit first"):
        return None
    asked = profile.condition("permit")
    more = asked.text if asked is not None else "Ask before the first load."
    said = {"asked for": " The setup says that it was asked for.", "none": " The setup says that there is none.",
            "not needed": " The setup says that none is needed; the code says otherwise."}.get(answer or "", "")
    return f"{head} ({profile.id}): {more}{said}"


def unsettled(state: State) -> str | None:
    """What has to be settled, as long as a household is told of it: until a load has gone to the garden, and later
    too where the setup says that there is no permit; None where it is not told.
    """
    if state.site is None:
        return None
    words = first_word(state.site)
    if words is not None and settled_permit(state.site) != "none" and any(
            run.to_garden for run in reversed(state.loads)):
        return None
    return words


def first_line(state: State) -> str | None:
    """The same in a line, for pages that have no room for what the code says; None where it is not told."""
    if unsettled(state) is None:
        return None
    profile = profile_at(state.site)
    said = {"asked for": "it was asked for.", "none": "no permit is held.",
            "not needed": "the setup says otherwise."}.get(settled_permit(state.site) or "", "not yet settled.")
    return f"{FIRST_WORD[profile.permission]} ({profile.id}): {said}"


def settled_permit(site: Site | None) -> str | None:
    """What the setup says of the permit; None where it says nothing."""
    return _answer(site, "permit")


def open_questions(profile: Profile) -> tuple[str, ...]:
    """What the code leaves open, to be asked of whoever decides there."""
    return tuple(one.text for one in profile.conditions if one.kind == "open question")


def notices(state: State, today: date) -> Iterator[Reason]:
    """What a household is told beside its answers: what comes first (see unsettled), and that the code's text is no
    longer in force.
    """
    profile = profile_at(state.site)
    asked = profile.condition("permit")
    source = f"{asked.source} ({asked.sure})" if asked is not None else profile.document
    words = unsettled(state)
    if words is not None:
        yield Reason("permission", None, words, source, "Settle it, and say so in the setup: permit.")
    expired = profile.expired(today)
    if expired is not None and state.site is not None:
        yield Reason("code expired", None, expired, profile.document, None)


def passed_figures(state: State, today: date, litres: float) -> Iterator[Reason]:
    """A figure of the code that limits no single day, and is passed with a load of so many litres to the garden."""
    profile, read = profile_at(state.site), reader_of(state)
    told = profile.told_volume
    if told is None or told.value is None or state.site is None:
        return
    source = f"{told.source} ({told.sure})"
    if told.kind == "average":
        first = today - timedelta(days=AVERAGE_DAYS - 1)
        total = litres
        for run in newest_first(state.loads, first):
            if run.day < first:
                break
            if run.to_garden:
                total += run.litres
        if total / AVERAGE_DAYS >= told.value * LITRES_PER_GALLON:
            yield Reason("average", None, f"With this load {read.volume(total / AVERAGE_DAYS)} a day went out on "
                         f"average in {AVERAGE_DAYS} days; {told_figure(state)}.", source, None)
        return
    total = litres + garden_litres_on(state, today)
    limit = profile.design_flow_gal(bedrooms_of(state.site) or 2) if told.kind == "design flow" else told.value
    if limit is not None and total > limit * LITRES_PER_GALLON + 1e-6:
        yield Reason(told.kind, None, f"With this load {read.volume(total)} would go out today; {told_figure(state)}.",
                     source, None)


def told_figure(state: State) -> str | None:
    """The code's figure of gallons a day that limits no single day, and what it is; a clause without a full stop."""
    site = state.site
    profile, read = profile_at(site), reader_of(state)
    told = profile.told_volume
    if told is None or told.value is None:
        return None
    if told.kind == "average":
        return f"the code allows {'less than ' if told.below else ''}{read.volume(told.value * LITRES_PER_GALLON)} a " \
               "day on average, and limits no single day"
    if told.kind == "design flow":
        bedrooms = bedrooms_of(site)
        flow = profile.design_flow_gal(bedrooms or 2) or 0.0
        whose = f"with {bedrooms} bedrooms" if bedrooms else "with two bedrooms (the setup does not say how many)"
        return f"the code has a system sized for {read.volume(flow * LITRES_PER_GALLON)} a day {whose}, and limits " \
               "no day"
    return f"{read.volume(told.value * LITRES_PER_GALLON)} is the strictest daily limit known; whether your code has " \
           "one is not known here"


def bedrooms_of(site: Site | None) -> int | None:
    """The dwelling's bedrooms, where the setup says how many."""
    answer = _answer(site, "bedrooms")
    return int(answer) if answer is not None else None


def _answer(site: Site | None, question: str) -> str | None:
    from gwlog.reference.codes.system import answers_of

    return answers_of(site.system_answers).get(question) if site is not None else None
