"""`gwlog begin` without a site file: the questions, one at a time, each with a default and its own check.

Where it is comes first, and what is guessed from it is shown and can be changed. The answers become a site file, so
that both ways of setting up go through the same reader.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, TypeVar

import click

from gwlog import clock, text, units
from gwlog.errors import BadInput
from gwlog.journal.facts import EDIBLE, RAIN_DAYS, VALVE, WASHER_KINDS
from gwlog.setup.areas import area_m2
from gwlog.setup.draft import Draft, Table, names
from gwlog.setup.first_draft import (
    USUAL_LOAD,
    USUAL_MULCH,
    USUAL_OUTLET,
    USUAL_SOIL,
    USUAL_WASHER,
    described,
    listed_names,
    named_by,
    of_place,
    system_of,
)
from gwlog.setup.place import EXAMPLES, Place, local_zone, places
from gwlog.setup.unsaid import Unsaid, of_basin, of_wash
from gwlog.units import M2_PER_FT2, MM_PER_INCH, System

if TYPE_CHECKING:
    from gwlog.reference.codes.system import Question

T = TypeVar("T")

CHANGES = {"u": "units", "z": "time zone", "o": "code", "c": "climate", "h": "household", "a": "the code's questions"}
NOT_SAID = "not said"


def ask(where: str | None = None) -> tuple[Draft, Unsaid]:
    """Ask for a household; returns the tables of its site file, and what nobody said. `where`: the place, if known."""
    click.echo("A few questions; Enter accepts the answer in brackets. Ctrl-C stops without making anything.\n")
    place = _place(where)
    draft = of_place(place)
    said = _guesses(place, draft)
    taken: dict[tuple[str, str], list[str]] = {("site", ""): _unsaid_of_site(place, draft, said)}
    _needed(draft, said)
    click.echo("\nBasins, one after the other; an empty area ends.")
    _basins(draft, taken)
    _outlet(draft)
    _wash(draft, taken)
    _valve(draft)
    return draft, taken


def _place(where: str | None) -> Place:
    """Where it is; towns of one name are offered by number."""
    def read(typed: str) -> tuple[Place, ...]:
        return places(typed, local_zone())

    found = read(where) if where is not None else _checked(f"Where is the garden ({EXAMPLES})", None, read)
    if len(found) == 1:
        return found[0]
    for number, place in enumerate(found, 1):
        click.echo(f"  {number} {place.label}")
    return found[_checked("Which of them", "1", lambda typed: _whole(typed, 1, len(found))) - 1]


def _guesses(place: Place, draft: Draft) -> list[str]:
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
        changed = _checked("Enter accepts all of it; u z o c h change one, a answers the code's questions", "",
                           lambda typed: text.pick("letter", typed, list(CHANGES)) if typed.strip() else "")
        if not changed:
            return said
        said.append(_change(changed, draft))


def _change(letter: str, draft: Draft) -> str:
    """Ask for one guess anew; returns which key of the site was said."""
    from gwlog.reference.codes import PROFILES

    site, system = draft["site"][0], system_of(draft)
    if letter == "u":
        site["units"] = "us" if system == "metric" else "metric"
        return "units"
    if letter == "z":
        site["timezone"] = _checked("Time zone", site.get("timezone"), lambda typed: str(clock.zone(typed.strip())))
        return "timezone"
    if letter == "o":
        click.echo("Code profiles: " + ", ".join(PROFILES) + "  (check your local code in any case)")
        site["code"] = _one_of("Code profile", list(PROFILES), site["code"])
        draft["system"] = []
        return "code"
    if letter == "c":
        site["climate"] = _climate(site["climate"], float(site["latitude"]), system)
        rain = _one_of("Do you write down rain whenever it falls", ["yes", "no"], "no")
        site["rain"] = RAIN_DAYS[rain == "no"]
        return "climate"
    if letter == "h":
        site["name"] = _checked("Name of the household", site["name"], lambda typed: text.clean_name(typed))
        site["occupants"] = _checked("People in the household", str(site["occupants"]),
                                     lambda typed: _whole(typed, 1, 50))
        return "occupants"
    answers = _system(site["code"], system)
    draft["system"] = [answers] if answers else []
    return "system"


def _needed(draft: Draft, said: list[str]) -> None:
    """Ask for what no place told and the logbook cannot do without."""
    site = draft["site"][0]
    if not site.get("timezone"):
        said.append(_change("z", draft))
    if not site["climate"]:
        said.append(_change("c", draft))


def _unsaid_of_site(place: Place, draft: Draft, said: Sequence[str]) -> list[str]:
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
        answer = _checked(f"  {one.words}{known}", "", partial(_answer, one, unit))
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
        return _whole(typed, 1, 50)
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


def _checked(question: str, default: str | None, read: Callable[[str], T]) -> T:
    while True:
        typed = str(click.prompt(question, default=default, type=str))
        try:
            return read(typed)
        except BadInput as fault:
            click.echo(f"  {fault}" + (f" {fault.hint}" if fault.hint else ""))


def _one_of(question: str, choices: Sequence[str], default: str) -> str:
    return _checked(f"{question} ({', '.join(choices)})", default, lambda typed: text.pick("answer", typed, choices))


def _whole(typed: str, low: int, high: int) -> int:
    if typed.strip().isdecimal() and low <= int(typed) <= high:
        return int(typed)
    raise BadInput(f"“{typed[:20]}” is not a whole number from {low} to {high}.")


def _climate(before: Table, latitude: float, system: System) -> Table:
    """By the land in California, by four temperatures, or by twelve monthly figures; rain stays as it was."""
    from gwlog.reference.climate import ETO_ZONES

    kept = {key: value for key, value in before.items() if key.startswith("monthly_rain")}
    ways = ["land in California", "four temperatures", "monthly figures"]
    way = _one_of("Climate by", ways, "four temperatures")
    if way == ways[0]:
        for zone in ETO_ZONES.values():
            click.echo(f"  {zone.number:>2}  {zone.name}")
        return {**kept, "eto_zone": _checked("Which of these is your land", None,
                                             lambda typed: _whole(typed, 1, len(ETO_ZONES)))}
    if way == ways[1]:
        return {**_four(latitude, system), **kept}
    unit = "in" if system == "us" else "mm"
    return {**kept, f"monthly_eto_{unit}": _checked(f"Reference ET of the 12 months in {unit}, January first", None,
                                                    partial(_twelve, unit))}


def _four(latitude: float, system: System) -> Table:
    from gwlog.setup.guesses import by_four_temperatures

    while True:
        cold_low, cold_high, hot_low, hot_high = (
            _checked(f"  Mean {which} of the {month} month [°{'F' if system == 'us' else 'C'}]", None,
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


def _basins(draft: Draft, taken: dict[tuple[str, str], list[str]]) -> None:
    from gwlog.reference.plants import find_plant
    from gwlog.reference.soils import SOILS

    system = system_of(draft)
    while True:
        first = not draft["basin"]

        def area(typed: str, first: bool = first) -> float | None:
            if not typed.strip() and not first:
                return None
            return area_m2(typed, system, low=0.05, high=1000.0)

        size = _checked("Area of the basin, like " + ("3x4 ft" if system == "us" else "2 m across") if first else
                        "Area of the next basin", None if first else "", area)
        if size is None:
            return
        plants = _checked("  Plants, or not known", None, lambda typed: text.clean_name(typed, "plants"))
        if find_plant(plants) is None:
            click.echo("  Not in the table of plants: a woody plant of a dry climate is assumed (plant factor 0.5).")
        name = _checked("  Its name", named_by(plants, names(draft, "basin")), partial(_new_name, draft))
        mulch = _checked(f"  Depth of mulch [{units.unit_word('length', system)}]", USUAL_MULCH[system],
                         lambda typed: units.quantity(typed, "length", system, what="depth of mulch", high=1000.0))
        soil = _one_of("  Soil", list(SOILS), USUAL_SOIL)
        canopy = _checked("  Area of the plants' canopy, or Enter: as large as the basin", "",
                          lambda typed: area_m2(typed, system, what="canopy", high=10_000.0) if typed.strip() else None)
        edible = _checked(f"  Food ({', '.join(EDIBLE)}), or Enter: as is usual for the plants", "",
                          lambda typed: text.pick("answer", typed, EDIBLE) if typed.strip() else None)
        table: Table = {"name": name, **_measured("area", size, system), "plants": plants, "soil": soil,
                        **({"mulch_in": round(mulch / MM_PER_INCH, 2)} if system == "us" else
                           {"mulch_mm": round(mulch)}),
                        **({} if canopy is None else _measured("canopy", canopy, system)),
                        **({} if edible is None else {"edible": edible})}
        draft["basin"].append(table)
        taken["basin", name] = of_basin(table, [])


def _measured(key: str, m2: float, system: System) -> Table:
    return {f"{key}_ft2": round(m2 / M2_PER_FT2, 3)} if system == "us" else {f"{key}_m2": round(m2, 4)}


def _new_name(draft: Draft, typed: str) -> str:
    name = text.clean_name(typed)
    if name.casefold() in [known.casefold() for known in names(draft, "basin")]:
        raise BadInput(f"“{name}” is described already.")
    return name


def _outlet(draft: Draft) -> None:
    name = _checked("\nName of the hose end", USUAL_OUTLET, lambda typed: text.clean_name(typed))
    known = names(draft, "basin")
    at = known[0] if len(known) == 1 else _one_of("It is now at", known, known[0])
    draft["outlet"] = [{"name": name, "at": at}]


def _wash(draft: Draft, taken: dict[tuple[str, str], list[str]]) -> None:
    system = system_of(draft)
    kind = _one_of("\nWashing machine", list(WASHER_KINDS), USUAL_WASHER)
    volume = _checked("Water of one run (measured with a bucket), or Enter for the kind's usual figure "
                      f"[{units.unit_word('volume', system)}]", "",
                      lambda typed: units.quantity(typed, "volume", system, what="volume", high=2000.0)
                      if typed.strip() else None)
    draft["washer"] = [{"name": "washer", "kind": kind, **({} if volume is None else {"volume_l": round(volume, 3)})}]
    detergents = _checked("What goes in (like: plain liquid), or Enter: not known yet", "",
                          lambda typed: listed_names(typed, "product"))
    draft["product"] = described(draft, "product", detergents)
    draft["usual_load"] = described(draft, "usual_load", _checked(
        "Usual loads, with commas between", USUAL_LOAD, _loads))
    for load in draft["usual_load"]:
        if load.get("contents"):
            click.echo(f"  “{load['name']}” is assumed to contain {load['contents'][0]}, by its name.")
    taken |= of_wash(draft["washer"][0], draft["usual_load"])


def _loads(typed: str) -> list[str]:
    found = listed_names(typed, "load")
    if not found:
        raise BadInput("At least one load is needed, like towels.")
    return found


def _valve(draft: Draft) -> None:
    """Where the valve points and whether the system is new: only what somebody says."""
    click.echo("\nStand at the valve.")
    points = _one_of("Which way does it point now", [*VALVE, NOT_SAID], NOT_SAID)
    if points != NOT_SAID:
        draft["site"][0]["valve"] = points
    new = _one_of("Is the system new, with no load run through it yet", ["yes", "no", NOT_SAID], NOT_SAID)
    if new != NOT_SAID:
        draft["system"] = [{"new": new == "yes", **(draft["system"][0] if draft["system"] else {})}]
