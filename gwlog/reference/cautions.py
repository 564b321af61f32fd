"""The usual cautions of laundry graywater, in one short sentence each, with where they come from.

They are shown, never enforced: the local code and licensed practice come first.
"""

from __future__ import annotations

from gwlog.reference.source import PRACTICE, Sure
from gwlog.values import dataclass

WAC = "Washington Administrative Code 246-274"
COLORADO = "Colorado 5 CCR 1002-86, 86.14"
VICTORIA = "Victoria, household greywater advice"
CPC_WASHER = "California Plumbing Code, graywater chapter, clothes-washer system"
VALLEY_WATER = "Valley Water, laundry-to-landscape guidance"


@dataclass(frozen=True, slots=True, eq=False)
class Caution:
    """One caution: a stable id, the sentence as its value, and its source."""

    id: str
    value: str
    source: str
    edition: str
    sure: Sure


CAUTIONS: tuple[Caution, ...] = (
    Caution("local code first",
            "Check your local code: what gwlog says is a help to memory, not a legal opinion.",
            "working assumption: codes differ by place and edition", "", "assumption"),
    Caution("contact",
            "Keep people, above all children, and pets away from the water and the wet soil. Wear gloves; wash your "
            "hands afterward.",
            f"Arizona graywater brochure; {VICTORIA}", "", "copy"),
    Caution("cross-connection",
            "Never join the graywater pipe to a drinking-water pipe, not even through a valve.",
            CPC_WASHER, "", "copy"),
    Caution("food crops",
            "Not for root crops, nor for food whose edible part touches the soil.",
            CPC_WASHER, "", "copy"),
    Caution("illness",
            "While somebody in the household is ill, the wash goes to the sewer.",
            f"{COLORADO}; SA Health greywater advice", "", "read"),
    Caution("wet ground",
            "After heavy rain, or when the ground is soaked or frozen, the wash goes to the sewer.",
            f"Western Australia Code of Practice 2010; {WAC}", "", "memory"),
    Caution("odour",
            "If the ground smells or plants look sick, send the wash to the sewer until you know why.",
            VICTORIA, "", "copy"),
    Caution("no storage",
            "Do not keep graywater: within a day it turns foul.",
            f"New Mexico 20.7.3.810 NMAC; {COLORADO}: 24 hours at most", "", "copy"),
    Caution("no spray",
            "Let the water out under the mulch; never spray it.",
            CPC_WASHER, "", "copy"),
    Caution("softener brine",
            "The brine of a water softener never goes to the garden.",
            f"{WAC}-011", "2011", "read"),
    Caution("bleach and borax",
            "Leave chlorine bleach and borax out of garden loads.",
            "New Mexico graywater brochure", "", "read"),
    Caution("detergent",
            "Choose a low-sudsing liquid that is labeled safe for graywater and septic systems.",
            PRACTICE, "", "common practice"),
    Caution("open end",
            "The far end of the line stays open: no valve, nozzle or plug there.",
            VALLEY_WATER, "", "read"),
    Caution("air vent",
            "The line needs an air vent; without it the line can siphon and the machine can be damaged.",
            f"{VALLEY_WATER}; {PRACTICE}", "", "read"),
    Caution("low pressure",
            "The machine's own pump is the only one: do not make it push uphill or far.",
            PRACTICE, "", "common practice"),
    Caution("labels",
            "Label exposed pipe as nonpotable every 5 ft.",
            VALLEY_WATER, "", "read"),
    Caution("bore",
            "Use a pipe no narrower than the washer's hose, usually 1 in, and a full-port valve.",
            VALLEY_WATER, "", "read"),
    Caution("solvent cement",
            "Primer and solvent cement give off toxic, flammable fumes: ventilate, no flames or sparks, wear gloves.",
            PRACTICE, "", "common practice"),
    Caution("trunk",
            "Keep the mulch 6 in clear of the trunk.",
            "Iowa State University Extension, mulch depth", "", "read"),
)
"""The cautions, the one about the local code first."""

CAUTION_BY_ID: dict[str, Caution] = {caution.id: caution for caution in CAUTIONS}

ALWAYS: tuple[str, ...] = (
    "local code first", "contact", "cross-connection", "food crops", "illness", "wet ground",
)
"""Ids of the cautions that every profile shows first."""
