"""The invented household's site file: its first wording, its edits, and the descriptions that follow from them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from importlib.resources import files

from gwlog.clock import day_start
from gwlog.demo.weekly_loads import FIRST_WEDNESDAY
from gwlog.journal.facts import Fact, Site, UsualLoad, Washer, standing_entries
from gwlog.setup.change import changes as changes_to
from gwlog.setup.read import read_site_file
from gwlog.state import fold

_DAY = re.compile(r"2025-01-\d\d")


@dataclass(frozen=True, slots=True)
class Described:
    """A site file as read: its descriptions, its site, its time zone."""

    facts: tuple[Fact, ...]
    site: Site
    zone: str


@dataclass(frozen=True, slots=True)
class Usual:
    """A usual load with its water filled in."""

    washer: str
    volume_ml: int
    products: tuple[str, ...]
    contents: tuple[str, ...]


def first_text(first: date) -> str:
    """The site file with its days shifted so that it begins on `first`, a Wednesday."""
    words = files("gwlog.demo").joinpath("household.toml").read_text(encoding="utf-8")
    shift = first - FIRST_WEDNESDAY
    return _DAY.sub(lambda found: (date.fromisoformat(found[0]) + shift).isoformat(), words)


def edited(text: str, old: str, new: str) -> str:
    """The text with one passage replaced, which must be there once."""
    if text.count(old) != 1:
        raise ValueError(f"“{old}” stands {text.count(old)} times in the site file")
    return text.replace(old, new)


def read(text: str) -> Described:
    """Read a wording of the site file. It states `since`, so no present moment is needed but as a bound."""
    since = date.fromisoformat(re.findall(r"since = (\S+)", text)[0])
    found = read_site_file(text, now=day_start(since + timedelta(days=1), "UTC"))
    site = next(fact for fact in found.facts if isinstance(fact, Site))
    return Described(tuple(found.facts), site, site.zone)


def changes(entries: Sequence[Fact], text: str, in_force: datetime) -> list[Fact]:
    """What the new wording changes, given every entry so far."""
    state = fold(standing_entries(list(entries)).facts, until=in_force)
    return changes_to(state, read_site_file(text, now=in_force), in_force=in_force)


def usual_loads(described: Described) -> dict[str, Usual]:
    """The usual loads by name."""
    water = {fact.name: fact.volume_ml for fact in described.facts if isinstance(fact, Washer)}
    return {
        fact.name: Usual(fact.washer, fact.volume_ml or water[fact.washer], fact.products, fact.contents)
        for fact in described.facts if isinstance(fact, UsualLoad)
    }
