"""What a household is told of its code at setup: what comes first, what its answers break, what was not answered.

Also that a profile fits another place, that a newer edition is held, and what the household made stricter itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from gwlog.decisions.query import profile_at
from gwlog.decisions.setbacks import setbacks
from gwlog.decisions.told import first_word
from gwlog.journal.facts import Site
from gwlog.reference.codes import Profile, newer, of_place
from gwlog.reference.codes.system import QUESTIONS, answers_of, judged
from gwlog.text import listed, plural
from gwlog.units import MM_PER_FOOT, System, distance


def code_warnings(site: Site, today: date) -> Iterator[str]:
    """Sentences about the code of a site as it is described, the most important first."""
    profile = profile_at(site)
    word = first_word(site)
    if word is not None:
        yield word
    expired = profile.expired(today)
    if expired is not None:
        yield expired
    yield from _place(site, profile)
    yield from _answers(site, profile)
    yield from _distances(site, profile)
    for sentence in profile.adapted:
        yield f"{profile.id} is made stricter by a rule of the place: {sentence}."


def _place(site: Site, profile: Profile) -> Iterator[str]:
    """That the place is another profile's, by its time zone and latitude."""
    latitude = site.latitude_udeg / 1e6
    there = [one for one in of_place(site.zone, latitude) if one.id != profile.id]
    inside = profile.zones and site.zone in profile.zones and \
        profile.latitudes[0] <= latitude <= profile.latitudes[1]
    if inside or (not there and not profile.zones):
        return
    where = f"{site.zone} at latitude {latitude:g}"
    if there:
        names = listed([f"{one.place} ({one.id})" for one in there], "or")
        yield f"By time zone and latitude ({where}) the place may be {names}, which has a profile of its own; " \
              f"{profile.id} was chosen."
    else:
        yield f"{profile.id} is for {profile.place}, which {where} is not in."


def _answers(site: Site, profile: Profile) -> Iterator[str]:
    """What was answered of the system against a condition, and which questions were not answered."""
    answers = answers_of(site.system_answers)
    unsaid: list[str] = []
    for condition in profile.conditions:
        for key, accepted in condition.asks:
            verdict = judged(condition, key, accepted, answers)
            if verdict == "broken" and key != "permit":
                yield f"{profile.id} asks: {condition.text} It was answered otherwise: {QUESTIONS[key].words} " \
                      f"{answers[key]}."
            elif verdict == "not asked" and key not in unsaid:
                unsaid.append(key)
    if unsaid:
        yield f"{profile.id} asks {plural(len(unsaid), 'thing')} of the system itself that nobody has answered: " \
              f"{listed(unsaid)}."


def _distances(site: Site, profile: Profile) -> Iterator[str]:
    """The measured distances that are nearer than the code has them."""
    system: System = "metric" if site.units == "metric" else "us"
    for one in setbacks(site, profile):
        if one.standing == "nearer" and one.asked is not None and one.built_mm is not None:
            yield f"As built, {one.name} is {distance(one.built_mm, system)} away; {profile.id} asks for " \
                  f"{distance(one.asked.value * MM_PER_FOOT, system)}."


def newer_edition(site: Site) -> list[str]:
    """That a newer edition of the profile is held, and in what it differs from the one that is kept; else nothing."""
    later = newer(site.code, site.code_edition)
    if later is None:
        return []
    kept = profile_at(site)
    return [f"There is a newer edition of {kept.called}: {later.as_of}; in use is the {_edition(kept.as_of)}. What "
            "differs:",
            *differences(kept, later),
            f"To use it, set code_edition = “{later.as_of}”; earlier setups stay in the record."]


def _edition(as_of: str) -> str:
    return "first one" if as_of == "first" else f"edition of {as_of}"


def differences(old: Profile, new: Profile) -> list[str]:
    """The conditions in which two profiles differ, a line each: what is new, what is gone, what reads otherwise."""
    before, after = ({one.id: one for one in profile.conditions} for profile in (old, new))
    lines = []
    if old.permission != new.permission:
        lines.append(f"before the first load: {old.permission} → {new.permission}")
    for name, condition in after.items():
        known = before.get(name)
        if known is None:
            lines.append(f"+ {name}: {condition.text}")
        elif (known.text, known.kind, known.value) != (condition.text, condition.kind, condition.value):
            kind = f" ({known.kind} → {condition.kind})" if known.kind != condition.kind else ""
            lines.append(f"~ {name}{kind}: {known.text} → {condition.text}")
    lines += [f"- {name}: {condition.text}" for name, condition in before.items() if name not in after]
    return lines
