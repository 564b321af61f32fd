"""`gwlog begin` without a site file: the questions, one at a time, each with a default and its own check.

The answers become a site file, so that both ways of setting up go through the same reader.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, TypeVar

import click

from gwlog import clock, text, units
from gwlog.errors import BadInput
from gwlog.journal.facts import EDIBLE, RAIN_DAYS, WASHER_KINDS
from gwlog.units import System

if TYPE_CHECKING:
    from gwlog.reference.codes.system import Question

T = TypeVar("T")


def ask() -> str:
    """Ask for a household; returns the site file's text."""
    from gwlog.reference.climate import ETO_ZONES
    from gwlog.reference.codes import PROFILES

    click.echo("A few questions; Enter takes the answer in brackets. Ctrl-C leaves without making anything.\n")
    system: System = "metric" if _one_of("Units", ["us", "metric"], "us") == "metric" else "us"
    name = _checked("Name of the household", None, lambda typed: text.clean_name(typed))
    zone = _checked("Time zone", "America/Los_Angeles", lambda typed: str(clock.zone(typed.strip())))
    latitude = _checked("Latitude in degrees, north positive", None, _latitude)
    occupants = _checked("People in the household", "2", lambda typed: _whole(typed, 1, 50))
    click.echo("\nCode profiles: " + ", ".join(PROFILES) + "  (check your local code in any case)")
    code = _one_of("Code profile", list(PROFILES), "generic")
    gate = _system(code, system)
    climate = _climate(list(ETO_ZONES), system)
    rain = RAIN_DAYS[_one_of("Do you write down rain whenever it falls", ["yes", "no"], "no") == "no"]
    washer = _one_of("\nWashing machine", list(WASHER_KINDS), "front-load")
    volume = _volume("Water of one run (measured with a bucket), or Enter for the kind's usual figure", system)
    click.echo("\nBasins, one after the other; an empty name ends.")
    basins = _basins(system)
    outlet = _checked("\nName of the hose end", "Hose", lambda typed: text.clean_name(typed))
    at = _one_of("It lies now at", [b[0] for b in basins], basins[0][0])
    valve = _one_of("The valve stands now on", ["garden", "sewer"], "garden")
    loads = _checked("Usual loads, with commas between", "towels, clothes", _names)
    today = clock.local_day(clock.now(), zone)
    lines = [
        "[site]", f"name = {_q(name)}", f"timezone = {_q(zone)}", f"latitude = {latitude}", f"units = {_q(system)}",
        f"occupants = {occupants}", f"code = {_q(code)}", f"valve = {_q(valve)}", f"since = {today.isoformat()}",
        f"rain = {_q(rain)}",
        f"climate = {climate}", "", *(["[system]", *gate, ""] if gate else []),
        "[[washer]]", 'name = "washer"', f"kind = {_q(washer)}",
        *([f"volume_l = {volume:.3f}"] if volume else []),
    ]
    for basin, body in basins:
        lines += ["", "[[basin]]", f"name = {_q(basin)}", *body]
    lines += ["", "[[outlet]]", f"name = {_q(outlet)}", f"at = {_q(at)}"]
    for load in loads:
        lines += ["", "[[usual_load]]", f"name = {_q(load)}"]
    return "\n".join(lines) + "\n"


def _system(code: str, system: System) -> list[str]:
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
    lines = []
    for key in asked:
        one, unit = QUESTIONS[key], "ft" if system == "us" else "m"
        known = f" ({', '.join(one.answers)})" if one.answers else f" [{unit}]" if one.unit else ""
        answer = _checked(f"  {one.words}{known}", "", partial(_answer, one, unit))
        if answer:
            lines.append(f"{key}{f'_{unit}' if one.unit else ''} = {answer}")
    return lines


def _answer(one: Question, unit: str, typed: str) -> str:
    """An answer as a site file has it; nothing where the question was left unanswered."""
    typed = typed.strip()
    if not typed:
        return ""
    if one.unit:
        return _depth(typed, unit)
    if not one.answers:
        return str(_whole(typed, 1, 50))
    answer = text.pick("answer", typed, list(one.answers))
    return {"yes": "true", "no": "false"}.get(answer) or _q(answer)


def _depth(typed: str, unit: str) -> str:
    try:
        depth = float(typed.strip().removesuffix(unit))
    except ValueError:
        depth = -1.0
    if not 0 <= depth <= 300:
        raise BadInput(f"“{typed[:40]}” is not a depth in {unit} from 0 to 300.")
    return repr(depth)


def _q(words: str) -> str:
    return json.dumps(words, ensure_ascii=False)


def _checked(question: str, default: str | None, read: Callable[[str], T]) -> T:
    while True:
        typed = str(click.prompt(question, default=default, type=str))
        try:
            return read(typed)
        except BadInput as fault:
            click.echo(f"  {fault}" + (f" {fault.hint}" if fault.hint else ""))


def _one_of(question: str, choices: Sequence[str], default: str) -> str:
    return _checked(f"{question} ({', '.join(choices)})", default, lambda typed: text.pick("answer", typed, choices))


def _latitude(typed: str) -> str:
    try:
        value = float(typed.replace(",", "."))
    except ValueError:
        raise BadInput(f"“{typed[:20]}” is not a number of degrees, like 36.9.") from None
    if not -66.0 <= value <= 66.0:
        raise BadInput(f"“{typed[:20]}” is out of range; -66 to 66 degrees is accepted.")
    return repr(value)


def _whole(typed: str, low: int, high: int) -> int:
    if typed.strip().isdecimal() and low <= int(typed) <= high:
        return int(typed)
    raise BadInput(f"“{typed[:20]}” is not a whole number from {low} to {high}.")


def _names(typed: str) -> list[str]:
    names = [text.clean_name(part, "load's name") for part in typed.split(",") if part.strip()]
    if not names:
        raise BadInput("At least one load is needed, like towels.")
    return list(dict.fromkeys(names))


def _volume(question: str, system: System) -> float | None:
    def read(typed: str) -> float | None:
        return units.quantity(typed, "volume", system, what="volume", high=2000.0) if typed.strip() else None

    return _checked(f"{question} [{units.unit_word('volume', system)}]", "", read)


def _climate(zones: Sequence[int], system: System) -> str:
    unit = "in" if system == "us" else "mm"

    def read(typed: str) -> str:
        parts = typed.replace(",", " ").split()
        if len(parts) == 1 and parts[0].isdecimal() and int(parts[0]) in zones:
            return f"{{ eto_zone = {int(parts[0])} }}"
        try:
            numbers = [float(part) for part in parts]
        except ValueError:
            numbers = []
        if len(numbers) == 12 and all(0 <= number < 1000 for number in numbers):
            return f"{{ monthly_eto_{unit} = [{', '.join(repr(n) for n in numbers)}] }}"
        raise BadInput(f"“{typed[:40]}” is neither a California ETo zone (1 to 18) nor twelve figures in {unit}.")

    return _checked(f"Climate: a California ETo zone 1-18, or reference ET of the 12 months in {unit}", "3", read)


def _basins(system: System) -> list[tuple[str, list[str]]]:
    from gwlog.reference.plants import find_plant
    from gwlog.reference.soils import SOILS

    found: list[tuple[str, list[str]]] = []
    while True:
        name = str(click.prompt("Basin's name" if not found else "Next basin's name", default="" if found else None))
        if not name.strip() and found:
            return found
        try:
            name = text.clean_name(name)
        except BadInput as fault:
            click.echo(f"  {fault}")
            continue
        if name.casefold() in [known.casefold() for known, _ in found]:
            click.echo(f"  “{name}” is described already.")
            continue
        area = _checked(f"  Area of the basin [{units.unit_word('area', system)}]", None, lambda typed: units.quantity(
            typed, "area", system, what="area", high=500.0))
        usual = "4in" if system == "us" else "100mm"
        mulch = _checked(f"  Depth of mulch [{units.unit_word('length', system)}]", usual,
                         lambda typed: units.quantity(typed, "length", system, what="depth of mulch", high=1000.0))
        soil = _one_of("  Soil", list(SOILS), "sandy loam")
        plants = _checked("  Plants", None, lambda typed: text.clean_name(typed, "plants"))
        if find_plant(plants) is None:
            click.echo("  Not in the table of plants: a woody plant of a dry climate is assumed (plant factor 0.5).")
        canopy = _checked(f"  Area of the plants' canopy [{units.unit_word('area', system)}]", f"{area:.4f} m2",
                          lambda typed: units.quantity(typed, "area", system, what="canopy", high=5000.0))
        edible = _one_of("  Food", list(EDIBLE), "none")
        found.append((name, [f"area_m2 = {area:.4f}", f"mulch_mm = {mulch:.0f}", f"soil = {_q(soil)}",
                             f"plants = {_q(plants)}", f"canopy_m2 = {canopy:.4f}", f"edible = {_q(edible)}"]))
