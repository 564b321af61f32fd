"""What follows from a place: units and dates, time zone, code profile and climate, each a guess with its reason.

Nothing of it is in force before a person has seen it; each can be changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from gwlog.reference.codes import GENERIC, NOT_OFFERED, PROFILES
from gwlog.reference.places.normals import normals
from gwlog.setup.place import Place
from gwlog.units import MM_PER_INCH, Reader, System
from gwlog.water.climate_guess import WITHIN_SHARE, eto_from_means, year_from_four
from gwlog.water.monthly import DAYS, monthly_eto_mm

PROFILE_OF: dict[tuple[str, str], str] = {
    ("US", "CA"): "us-ca-washer", ("US", "AZ"): "us-az-1", ("US", "NM"): "us-nm", ("US", "TX"): "us-tx",
    ("US", "WA"): "us-wa-1", ("US", "OR"): "us-or-1", ("US", "CO"): "us-co-a1", ("US", "UT"): "us-ut",
    ("US", "NV"): "us-nv", ("US", "MT"): "us-mt", ("US", "HI"): "us-hi",
    ("AU", "WA"): "au-wa", ("AU", "NSW"): "au-nsw", ("AU", "VIC"): "au-vic",
}
"""Country and state -> the code profile of that state; everywhere else the generic one."""

_NOT_THERE = {("US", "FL"): "us-fl", ("GB", ""): "uk"}
_EU = frozenset(("AT", "BE", "BG", "HR", "CY", "CZ", "DK", "EE", "FI", "FR", "DE", "GR", "HU", "IE", "IT", "LV", "LT",
                 "LU", "MT", "NL", "PL", "PT", "RO", "SK", "SI", "ES", "SE"))
US_UNITS = frozenset(("US", "PR", "GU", "VI", "AS", "MP"))

About = Literal["units", "timezone", "code", "climate"]


@dataclass(frozen=True, slots=True)
class Guess:
    """One guess: what it is about, what was guessed in words, and why."""

    about: About
    words: str
    reason: str


def site_of(place: Place) -> dict[str, Any]:
    """The keys of a site file that follow from a place; the climate only where its means are held."""
    system: System = "us" if place.country in US_UNITS else "metric"
    made: dict[str, Any] = {
        "name": place.name, "units": system, "latitude": round(place.latitude, 2), "code": profile_of(place),
        "climate": climate_of(place, system),
    }
    if place.zone:
        made["timezone"] = place.zone
    return made


def profile_of(place: Place) -> str:
    """The code profile of a place's state, else the generic one."""
    return PROFILE_OF.get((place.country, place.state), GENERIC)


def climate_of(place: Place, system: System) -> dict[str, Any]:
    """The climate's table of a site file, from the square degree of the place; empty where none is held."""
    found = None if place.longitude is None else normals(place.latitude, place.longitude)
    if found is None:
        return {}
    return climate_table(eto_from_means(found.tmean_c, found.rain_mm, place.latitude), found.rain_mm, found.tmean_c,
                         system)


def climate_table(eto_mm: Sequence[float], rain_mm: Sequence[float] | None, tmean_c: Sequence[float] | None,
                  system: System) -> dict[str, Any]:
    """Monthly figures [mm, degC] as a site file's climate has them, in the household's units."""
    unit, per_mm, digits = ("in", 1 / MM_PER_INCH, 2) if system == "us" else ("mm", 1.0, 0)

    def written(months: Sequence[float]) -> list[float | int]:
        return [round(one * per_mm, digits) if digits else round(one) for one in months]

    made: dict[str, Any] = {f"monthly_eto_{unit}": written(eto_mm)}
    if rain_mm is not None:
        made[f"monthly_rain_{unit}"] = written(rain_mm)
    if tmean_c is not None:
        made["monthly_tmean_f" if system == "us" else "monthly_tmean_c"] = [
            round(one * 1.8 + 32) if system == "us" else one for one in tmean_c]
    return made


def by_four_temperatures(four_c: tuple[float, float, float, float], latitude: float,
                         system: System) -> dict[str, Any]:
    """The climate's table from the lows and highs of the coldest and the hottest month [degC]; rain is not in it.

    `four_c`: low and high of the coldest month, low and high of the hottest.
    """
    lows, highs = year_from_four(*four_c, latitude)
    means = [round((low + high) / 2, 1) for low, high in zip(lows, highs, strict=True)]
    return climate_table(monthly_eto_mm(lows, highs, latitude), None, means, system)


def guesses(place: Place, site: dict[str, Any]) -> list[Guess]:
    """What was guessed from a place, in the order in which it is shown; `site`: as site_of gives it."""
    system: System = "us" if site["units"] == "us" else "metric"
    found = [Guess("units", units_words(system), "as is usual in " + ("the United States" if system == "us" else
                                                                      "most countries"))]
    if "timezone" in site:
        found.append(Guess("timezone", site["timezone"],
                           "this machine's" if place.kind == "latitude" else f"the time zone of {place.label}"))
    found.append(Guess("code", f"{PROFILES[site['code']].place} ({site['code']})", code_reason(place)))
    if site["climate"]:
        found.append(Guess("climate", climate_words(site["climate"], system), climate_reason()))
    return found


def units_words(system: str) -> str:
    """Units and how dates are written, in words."""
    return "gallons, feet, inches" if system == "us" else "litres, metres, millimetres"


def code_reason(place: Place) -> str:
    """Why a code profile is guessed for a place."""
    missing = _NOT_THERE.get((place.country, place.state)) or _NOT_THERE.get((place.country, ""))
    if missing is None and place.country in _EU:
        missing = "eu"
    if missing is not None:
        return NOT_OFFERED[missing]
    if (place.country, place.state) in PROFILE_OF:
        return "the state's; check your local code"
    return "no code of this place is known here; check your local code"


def climate_words(climate: dict[str, Any], system: System) -> str:
    """A climate's year and its driest air: “about 55 in of reference ET a year, Jul 0.28 in a day, rain 25 in”."""
    read = Reader(system)
    eto, rain = in_mm(climate, "monthly_eto"), in_mm(climate, "monthly_rain")
    if not eto:
        return ""
    most = max(range(12), key=lambda month: eto[month] / DAYS[month])
    month = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")[most]
    wet = f", rain {whole(sum(rain), system)}" if rain else ", rain not known"
    return (f"about {whole(sum(eto), system)} of reference ET a year, {month} {read.rain(eto[most] / DAYS[most])} "
            f"a day{wet}")


def climate_reason() -> str:
    """Where a climate's guess comes from, and how far it is off."""
    return (f"the means of its square degree, 2000-2025. A guess, give or take {round(WITHIN_SHARE * 100)} %: too high "
            "on a foggy coast, too low on a high dry plain")


def in_mm(climate: dict[str, Any], key: str) -> list[float]:
    """Twelve figures of a site file's climate [mm]; none where there are none."""
    if f"{key}_in" in climate:
        return [float(one) * MM_PER_INCH for one in climate[f"{key}_in"]]
    return [float(one) for one in climate.get(f"{key}_mm", ())]


def whole(mm: float, system: System) -> str:
    """A depth without more digits than a guess has."""
    return f"{mm / MM_PER_INCH:.0f} in" if system == "us" else f"{round(mm, -1):,.0f} mm"
