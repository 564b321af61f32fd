"""What a code profile is made of: conditions, each with its kind, its source and how it was read, and what can show it.

Every figure stands in a condition or is Sourced; a profile restates a code in short words and never replaces it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Literal

from gwlog.clock import long_date
from gwlog.reference.cautions import ALWAYS, CAUTION_BY_ID, Caution
from gwlog.reference.codes.topics import TOPIC_OF, TOPICS
from gwlog.reference.source import Cited, Sourced, Sure, assumed
from gwlog.reference.upkeep import DEFAULT_UPKEEP, UpkeepDefault
from gwlog.units import LITRES_PER_GALLON, MM_PER_FOOT, MM_PER_INCH
from gwlog.values import dataclass, field

EVIDENCE: dict[str, str] = {
    "none": "nothing in a logbook can show it; somebody has to look or know",
    "system": "what the setup says of the system itself, as the household answered it",
    "valve": "turns of the valve, loads that needed the sewer, and the yearly throw of the valve",
    "basins": "the basins as described, and the loads delivered to them",
    "ponding": "monthly walks, and observations of ponding and runoff with how they ended",
    "cover": "measurements and top-ups of the mulch",
    "diapers": "loads with diapers, soiled or infectious laundry, and where they went",
    "hazardous": "loads with solvents, oil or pesticides, and where they went",
    "illness": "loads and observations of illness, and where the wash went meanwhile",
    "wet ground": "rain, soaked or frozen ground, and where the wash went meanwhile",
    "volume": "gallons sent to the garden per day, against the limit",
    "average": "gallons sent to the garden on the average day, against the figure",
    "plant use": "gallons that percolated below the roots, against what the plants used",
    "season": "loads sent to the garden outside the growing season",
    "food": "what is planted in the basins, and what of it is eaten",
    "sodium": "sodium of the products used, per load",
    "softener": "whether the household's water is softened",
    "manual": "the operation and maintenance manual, made from this logbook, and its handover",
    "record": "the yearly record, and when it was made",
}
"""What in a logbook can evidence a condition: keyword -> in words."""

NOT_READ = re.compile("(was|were) not read")
Kind = Literal["must", "limit a day", "average", "design flow", "choice", "open question"]
KINDS: dict[Kind, str] = {
    "must": "a duty or a ban",
    "limit a day": "a limit on what goes out on each day",
    "average": "a limit on the average of the days, not on one of them",
    "design flow": "what a system is sized for, not a limit on what goes out",
    "choice": "neither duty nor ban; what it brings is told",
    "open question": "the text leaves it open, as far as it was read: ask",
}

Permission = Literal["none needed", "permit first", "local permission", "not known"]
PERMISSIONS: dict[Permission, str] = {
    "none needed": "no permit while every condition is kept",
    "permit first": "a permit comes first",
    "local permission": "the place itself has to allow it",
    "not known": "not known to be lawful",
}

FIRST = "first"
"""The edition of the profiles as they were first held; logbooks that name no edition keep it."""


@dataclass(frozen=True, slots=True, eq=False)
class Condition:
    """One condition of a code, in our own short words.

    `evidence`: a keyword of EVIDENCE. `value`, `unit`: its figure, where it has one; `below`: to stay below it, not
    to reach it. `asks`: questions about the system itself with the answers that keep the condition. `mind`: what has
    to be known beside it. `number`: the one it has in its clause.
    """

    id: str
    text: str
    evidence: str
    source: str
    edition: str
    sure: Sure
    kind: Kind = "must"
    value: float | None = None
    unit: str = ""
    below: bool = False
    asks: tuple[tuple[str, tuple[str, ...]], ...] = ()
    mind: str = ""
    number: str = ""

    @property
    def topic(self) -> str:
        """Of which topic it speaks: a key of TOPICS; of no other than “other rules” where a household wrote it."""
        if self.id.startswith("local rule"):
            return "other rules"
        return TOPIC_OF.get(self.id, self.id)

    @property
    def per_occupant(self) -> bool:
        """Whether its figure is for each occupant."""
        return self.unit.endswith("per occupant")

    @property
    def sourced(self) -> Sourced[float]:
        """Its figure with its source."""
        assert self.value is not None
        return Sourced(self.value, self.source, self.edition, self.sure)

    @property
    def not_read(self) -> bool:
        """Whether its own text was not read, so that no answer can be said to keep it."""
        return self.sure != "household" and NOT_READ.search(self.text) is not None


@dataclass(frozen=True, slots=True)
class Text:
    """A text that conditions are taken from: called with a condition, it puts its source and letter beside it."""

    source: str
    edition: str
    sure: Sure

    def __call__(
        self, id: str, text: str, evidence: str = "none", *, kind: Kind = "must",  # noqa: A002
        value: float | None = None, unit: str = "", below: bool = False,
        asks: tuple[tuple[str, tuple[str, ...]], ...] = (), mind: str = "", number: str = "",
    ) -> Condition:
        return Condition(id, text, "system" if asks else evidence, self.source, self.edition, self.sure, kind, value,
                         unit, below, asks, mind, number)

    def feet(self, distance: float) -> Sourced[float]:
        """A distance [ft] with its source."""
        return Sourced(distance, self.source, self.edition, self.sure)


GENERIC_COVER_IN = 2.0
GENERIC_COVER = assumed(
    GENERIC_COVER_IN * MM_PER_INCH, "the code names mulch or burial but no depth; the 2 in common elsewhere")
GENERIC_LAUNDRY = assumed(15.0, "California's figure, the code states none")
GENERIC_SEASON = assumed((4, 5, 6, 7, 8, 9, 10), "April to October; the code says growing season")
_MM = {"in": MM_PER_INCH, "mm": 1.0, "ft": MM_PER_FOOT}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Profile:
    """One code, as it is held.

    `as_of`: the edition of this profile; `edition`: the code's own. `until`: the last day on which the text was in
    force, where it says one. `unread`: what of the text could not be read, so that it may hold more; empty where
    it was read whole. `permission`: what comes before the first load; the condition “permit” says it in words.
    `zones`, `latitudes`: where the place lies. `flow_per_bedroom`: what each bedroom past the second adds to the
    flow that a system is sized for [gal/day]. `setbacks_ft` [ft] from each thing to the basin; `season_months`:
    months of use; `when_raining`: to the sewer when it rains at all. `retired`: why it is no longer offered, and
    what is instead. `adapted`: what the household made stricter, in sentences.
    """

    id: str
    place: str
    document: str
    edition: str
    sure: Sure
    as_of: str = FIRST
    until: date | None = None
    unread: str = ""
    permission: Permission = "none needed"
    zones: tuple[str, ...] = ()
    latitudes: tuple[float, float] = (-90.0, 90.0)
    conditions: tuple[Condition, ...] = ()
    flow_per_bedroom: Sourced[float] | None = None
    laundry_gpcd: Sourced[float] = GENERIC_LAUNDRY
    laundry_gpcd_efficient: Sourced[float] | None = None
    setbacks_ft: Mapping[str, Sourced[float]] = field(default_factory=dict)
    season_months: Sourced[tuple[int, ...]] | None = None
    when_raining: bool = False
    upkeep: tuple[UpkeepDefault, ...] = DEFAULT_UPKEEP
    cautions: tuple[Caution, ...] = tuple(CAUTION_BY_ID[name] for name in ALWAYS)
    retired: str = ""
    adapted: tuple[str, ...] = ()

    def condition(self, name: str) -> Condition | None:
        """The condition of that id."""
        return next((one for one in self.conditions if one.id == name), None)

    def on(self, topic: str) -> tuple[Condition, ...]:
        """Every condition on a topic; none where the code is silent, as far as it was read."""
        return tuple(one for one in self.conditions if one.topic == topic)

    @property
    def silent(self) -> tuple[str, ...]:
        """The topics on which the code says nothing, as far as it was read."""
        told = {one.topic for one in self.conditions}
        return tuple(topic for topic in TOPICS if topic not in told)

    @property
    def called(self) -> str:
        """The profile as it is named to people: place, id, and that the household made it stricter."""
        return f"{self.place} ({self.id}{', adapted by the household' if self.adapted else ''})"

    @property
    def dated(self) -> str:
        """The code's edition, and until when it is in force."""
        words = self.edition or "no edition"
        return f"{words}; in force until {_day(self.id, self.until)}" if self.until else words

    def expired(self, today: date) -> str | None:
        """That the text is no longer in force, where it said until when."""
        if self.until is None or today <= self.until:
            return None
        return f"The text behind {self.called} was in force until {_day(self.id, self.until)}: ask what holds now."

    def asked_by(self, cited: Cited | None) -> str:
        """Who asks for a figure: the code, or a rule of the place that the household stated."""
        return "the local rule" if cited is not None and cited.sure == "household" else "the code"

    # --- figures ----------------------------------------------------------------------------------------------

    @property
    def limits(self) -> tuple[Condition, ...]:
        """The conditions that limit what goes out on each day: the code's, and one of the place beside it."""
        return tuple(one for one in self.conditions if one.kind == "limit a day" and one.value is not None)

    def limit(self, occupants: int) -> Condition | None:
        """The strictest of them for so many occupants; its `below`: to stay below it, else it may be reached."""
        return min(self.limits, key=lambda one: (_gallons(one, occupants), not one.below), default=None)

    @property
    def told_volume(self) -> Condition | None:
        """A figure of gallons a day that limits no single day, and is told where it is passed."""
        return next((one for one in self.conditions if one.id == "volume" and one.value is not None
                     and one.kind != "limit a day"), None)

    def daily_limit_gal(self, occupants: int) -> float | None:
        """The most that may go to the garden per day [gal], or None where the code sets no number."""
        limit = self.limit(occupants)
        return None if limit is None else _gallons(limit, occupants)

    def daily_limit_l(self, occupants: int) -> float | None:
        """The same [L/day]."""
        gallons = self.daily_limit_gal(occupants)
        return None if gallons is None else gallons * LITRES_PER_GALLON

    def design_flow_gal(self, bedrooms: int) -> float | None:
        """The flow that a system of a dwelling is sized for [gal/day], None where the code sizes by none."""
        told = self.told_volume
        if told is None or told.kind != "design flow" or told.value is None:
            return None
        each = self.flow_per_bedroom.value if self.flow_per_bedroom else 0.0
        return told.value + each * max(0, bedrooms - 2)

    @property
    def cover_mm(self) -> Sourced[float]:
        """The least cover over the discharge point [mm]; an assumption where the code names no depth."""
        asked = next((one for one in self.conditions if one.id == "cover" and one.value is not None), None)
        if asked is None or asked.value is None:
            return GENERIC_COVER
        return Sourced(asked.value * _MM[asked.unit], asked.source, asked.edition, asked.sure)

    @property
    def storage_h(self) -> Sourced[float] | None:
        """The longest storage [h], 0 for none at all, None where it is not stated."""
        asked = next((one for one in self.conditions if one.id == "storage" and one.value is not None), None)
        return asked.sourced if asked is not None else None

    def in_season(self, month: int) -> bool:
        """Whether graywater may go to the garden in that month (1 = January)."""
        return self.season_months is None or month in self.season_months.value


def _gallons(limit: Condition, occupants: int) -> float:
    return (limit.value or 0.0) * (occupants if limit.per_occupant else 1)


def _day(code: str, day: date) -> str:
    """A day as the country of the code writes it."""
    return long_date(day, "us" if code.startswith("us-") else "metric")


def also(*names: str) -> tuple[Caution, ...]:
    """The cautions every profile shows, then these, by id."""
    return tuple(CAUTION_BY_ID[name] for name in dict.fromkeys((*ALWAYS, *names)))
