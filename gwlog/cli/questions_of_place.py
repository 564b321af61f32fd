"""The first questions of `gwlog begin`: where the garden is, and what is guessed from it, to be taken or changed.

The climate and what the code asks of the system itself are among them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

import click

from gwlog import clock, text, units
from gwlog.cli.asking import checked, one_of, whole
from gwlog.errors import BadInput
from gwlog.journal.facts import RAIN_DAYS
from gwlog.setup.draft import Draft, Table
from gwlog.setup.first_draft import system_of
from gwlog.setup.place import EXAMPLES, Place, local_zone, places
from gwlog.units import System

if TYPE_CHECKING:
    from gwlog.reference.codes.system import Question

CHANGES = {"u": "units", "z": "time zone", "o": "code", "c": "climate", "h": "household", "a": "the code's questions"}


def ask_place(where: str | None) -> Place:
    """Where it is; towns of one name are offered by number."""
    def read(typed: str) -> tuple[Place, ...]:
        return places(typed, local_zone())

    found = read(where) if where is not None else checked(f"Where is the garden ({EXAMPLES})", None, read)
    if len(found) == 1:
        return found[0]
    for number, place in enumerate(found, 1):
        click.echo(f"  {number} {place.label}")
    return found[checked("Which of them", "1", lambda typed: whole(typed, 1, len(found))) - 1]


def ask_guesses(place: Place, draft: Draft) -> list[str]:
    """Show what is guessed from the place and change what a person says; returns what was said."""
    from gwlog.setup.guesses import guesses

    said: list[str] = []
    letters = {about: letter for letter, about in (("u", "units"), ("z", "timezone"), ("o", "code"), ("c", "climate"))}
    while True:
        click.echo(f"\nGuessed from {place.label}:")
        for one in guesses(place, draft["site"][0]):
            reason = "as you said" if one.about in said else one.reason
            click.echo(f"  {letters[one.about]}  {one.words}\n       {reason}")
        site = draft["site"][0]
        click.echo(f"  h  {site['name']}, {text.plural(site['occupants'], 'person', 'people')}\n"
                   f"       {'as you said' if 'occupants' in said else 'the number of people is a guess'}")
        changed = checked("Enter accepts all of it; u z o c h change one, a answers the code's questions", "",
                           lambda typed: text.pick("letter", typed, list(CHANGES)) if typed.strip() else "")
        if not changed:
            return said
        said.append(_change(changed, draft))


def _change(letter: str, draft: Draft) -> str:
    """Ask for one guess again; returns which key of the site was said."""
    from gwlog.reference.codes import PROFILES

    site, system = draft["site"][0], system_of(draft)
    if letter == "u":
        site["units"] = "us" if system == "metric" else "metric"
        return "units"
    if letter == "z":
        site["timezone"] = checked("Time zone", site.get("timezone"), lambda typed: str(clock.zone(typed.strip())))
        return "timezone"
    if letter == "o":
        click.echo("Code profiles: " + ", ".join(PROFILES) + "  (check your local code in any case)")
        site["code"] = one_of("Code profile", list(PROFILES), site["code"])
        draft["system"] = []
        return "code"
    if letter == "c":
        site["climate"] = _climate(site["climate"], float(site["latitude"]), system)
        rain = one_of("Do you write down rain whenever it falls", ["yes", "no"], "no")
        site["rain"] = RAIN_DAYS[rain == "no"]
        return "climate"
    if letter == "h":
        site["name"] = checked("Name of the household", site["name"], lambda typed: text.clean_name(typed))
        site["occupants"] = checked("People in the household", str(site["occupants"]),
                                     lambda typed: whole(typed, 1, 50))
        return "occupants"
    answers = _system(site["code"], system)
    draft["system"] = [answers] if answers else []
    return "system"


def ask_needed(draft: Draft, said: list[str]) -> None:
    """Ask for what no place told and the logbook cannot do without."""
    site = draft["site"][0]
    if not site.get("timezone"):
        said.append(_change("z", draft))
    if not site["climate"]:
        said.append(_change("c", draft))


def unsaid_of_site(place: Place, draft: Draft, said: Sequence[str]) -> list[str]:
    """What nobody said of the site, in words."""
    site = draft["site"][0]
    guessed = [words for key, words in (("units", "units"), ("timezone", "time zone"), ("code", "code profile"),
                                        ("climate", "climate")) if key not in said and site.get(key)]
    return [*([f"{', '.join(guessed)} guessed from {place.label}"] if guessed else []),
            *([f"{site['occupants']} people"] if "occupants" not in said else [])]


def _system(code: str, system: System) -> Table:
    """What the chosen code asks of the system itself; Enter leaves a question unanswered."""
    from gwlog.decisions.told import first_word
    from gwlog.reference.codes import PROFILES
    from gwlog.reference.codes.system import QUESTIONS

    profile = PROFILES[code]
    word = first_word(None, profile)
    for line in (word, f"May hold more than is held here: {profile.unread}" if profile.unread else None):
        if line is not None:
            click.echo(f"  {line}")
    asked = list(dict.fromkeys(key for condition in profile.conditions for key, _ in condition.asks))
    if asked:
        click.echo("\nWhat it asks of the system itself; Enter leaves a question unanswered.")
    answers: Table = {}
    for key in asked:
        one, unit = QUESTIONS[key], "ft" if system == "us" else "m"
        known = f" ({', '.join(one.answers)})" if one.answers else f" [{unit}]" if one.unit else ""
        answer = checked(f"  {one.words}{known}", "", partial(_answer, one, unit))
        if answer is not None:
            answers[f"{key}_{unit}" if one.unit else key] = answer
    return answers


def _answer(one: Question, unit: str, typed: str) -> str | bool | float | None:
    """An answer as a site file has it; None where the question was left unanswered."""
    typed = typed.strip()
    if not typed:
        return None
    if one.unit:
        return _depth(typed, unit)
    if not one.answers:
        return whole(typed, 1, 50)
    answer = text.pick("answer", typed, list(one.answers))
    return {"yes": True, "no": False}.get(answer, answer)


def _depth(typed: str, unit: str) -> float:
    try:
        depth = float(typed.strip().removesuffix(unit))
    except ValueError:
        depth = -1.0
    if not 0 <= depth <= 300:
        raise BadInput(f"“{typed[:40]}” is not a depth in {unit} from 0 to 300.")
    return depth


def _climate(before: Table, latitude: float, system: System) -> Table:
    """By the land in California, by four temperatures, or by twelve monthly figures; rain stays as it was."""
    from gwlog.reference.climate import ETO_ZONES

    kept = {key: value for key, value in before.items() if key.startswith("monthly_rain")}
    ways = ["land in California", "four temperatures", "monthly figures"]
    way = one_of("Climate by", ways, "four temperatures")
    if way == ways[0]:
        for zone in ETO_ZONES.values():
            click.echo(f"  {zone.number:>2}  {zone.name}")
        return {**kept, "eto_zone": checked("Which of these is your land", None,
                                             lambda typed: whole(typed, 1, len(ETO_ZONES)))}
    if way == ways[1]:
        return {**_four(latitude, system), **kept}
    unit = "in" if system == "us" else "mm"
    return {**kept, f"monthly_eto_{unit}": checked(f"Reference ET of the 12 months in {unit}, January first", None,
                                                    partial(_twelve, unit))}


def _four(latitude: float, system: System) -> Table:
    from gwlog.setup.guesses import by_four_temperatures

    while True:
        cold_low, cold_high, hot_low, hot_high = (
            checked(f"  Mean {which} of the {month} month [°{'F' if system == 'us' else 'C'}]", None,
                     lambda typed: units.quantity(typed, "temperature", system, what="temperature", low=-60.0,
                                                  high=60.0))
            for month in ("coldest", "hottest") for which in ("low", "high"))
        if cold_low <= cold_high and hot_low <= hot_high and cold_low + cold_high <= hot_low + hot_high:
            return by_four_temperatures((cold_low, cold_high, hot_low, hot_high), latitude, system)
        click.echo("  A low is above its high, or the coldest month is warmer than the hottest.")


def _twelve(unit: str, typed: str) -> list[float]:
    try:
        numbers = [float(part) for part in typed.replace(",", " ").split()]
    except ValueError:
        numbers = []
    if len(numbers) != 12 or not all(0 <= number < 1000 for number in numbers):
        raise BadInput(f"“{typed[:40]}” is not twelve figures in {unit}.")
    return numbers
