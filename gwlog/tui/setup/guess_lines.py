"""What the guided setup guesses from a place, line by line with its reason and the key that changes it."""

from __future__ import annotations

from dataclasses import dataclass

from gwlog.decisions.told import first_word
from gwlog.reference.climate import ETO_ZONES
from gwlog.reference.codes import GENERIC, PROFILES
from gwlog.setup.first_draft import PEOPLE, system_of
from gwlog.setup.guesses import climate_words, guesses, units_words
from gwlog.text import plural
from gwlog.tui.setup.guided_draft import Guided
from gwlog.tui.setup.pages import PAGES, fields_for

SAID = "as you said"
FROM_TEMPERATURES = "as you said; from four temperatures a guess, give or take a fifth"


@dataclass(frozen=True, slots=True)
class GuessLine:
    """One line: the key that changes it, what it is about, what is taken, and why."""

    key: str
    label: str
    words: str
    reason: str


def guess_lines(guided: Guided) -> list[GuessLine]:
    """Every line, in the order in which it is shown."""
    site, system = guided.site, system_of(guided.draft)
    reasons = {one.about: one.reason for one in guesses(guided.place, site)} if guided.place and site else {}

    def why(about: str) -> str:
        return SAID if about in guided.said else reasons.get(about, "")  # type: ignore[call-overload]

    people = site.get("occupants", PEOPLE)
    zone = ETO_ZONES.get(site.get("climate", {}).get("eto_zone", 0))
    climate = zone.name if zone is not None else climate_words(site.get("climate", {}), system)
    code = str(site.get("code", GENERIC))
    profile = PROFILES.get(code) or PROFILES[GENERIC]
    word = first_word(None, profile)
    asked = len(fields_for(PAGES["system"], guided.draft))
    answered = len([key for key in (guided.draft["system"][0] if guided.draft["system"] else {}) if key != "new"])
    return [
        GuessLine("h", "Household", f"{site.get('name', '')}, {plural(int(people), 'person', 'people')}",
                  SAID if "occupants" in guided.said else "the number of people is a guess"),
        GuessLine("u", "Units", units_words(system), why("units")),
        GuessLine("z", "Time zone", str(site.get("timezone", "not known")), why("timezone")),
        GuessLine("o", "Code", f"{profile.place} ({code})",
                  ". ".join(part for part in (why("code").rstrip("."), word) if part)),
        GuessLine("c", "Climate", climate or "not known: four temperatures you may know are enough",
                  why("climate")),
        GuessLine("a", "Questions", f"the code's about the system: {answered} of {asked} answered", "they can wait"),
    ]


def missing(guided: Guided) -> str | None:
    """The page on which something stands that no place tells and the logbook cannot do without; None where all is."""
    site = guided.site
    if not site.get("timezone") or "latitude" not in site:
        return "site"
    climate = site.get("climate", {})
    return None if "eto_zone" in climate or any(key.startswith("monthly_eto") for key in climate) else "climate"
