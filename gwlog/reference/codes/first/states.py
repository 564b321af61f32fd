"""The states of the US besides California as first held: Arizona, New Mexico, Texas, Washington, Oregon, Colorado,
Utah.

Where a code names no depth of cover, no discharge or no distances, the marked assumptions stand in.
"""

from __future__ import annotations

from gwlog.reference.codes.first.common import (
    STRICTEST_SETBACKS_FT,
    UTAH,
    UTAH_SETBACKS_FT,
    below,
    diapers,
    no_ponding,
)
from gwlog.reference.codes.profile import GENERIC_SEASON, Condition, Profile, also
from gwlog.reference.source import Sourced, Sure
from gwlog.reference.upkeep import DEFAULT_UPKEEP, TOP_UP_SEASON

NOT_NOTED = "edition not noted"

_AZ = "Arizona Administrative Code R18-9-D701, type 1"
ARIZONA = Profile(
    id="us-az-1", place="Arizona", document=_AZ, edition=NOT_NOTED, sure="memory",
    setbacks_ft=STRICTEST_SETBACKS_FT,
    conditions=(
        below(400, _AZ, NOT_NOTED, "memory"),
        Condition("method", "Flood or drip irrigation only.", "basins", _AZ, NOT_NOTED, "memory"),
        Condition("food", "Of food plants, only citrus and nut trees.", "food", _AZ, NOT_NOTED, "memory"),
        diapers(_AZ, NOT_NOTED, "memory"),
        Condition("tank", "A tank, where there is one, is covered.", "none", _AZ, NOT_NOTED, "memory"),
    ),
    cautions=also("no spray"),
)

_NM = "New Mexico NMSA 74-6-4 and 20.7.3.810 NMAC"
NEW_MEXICO = Profile(
    id="us-nm", place="New Mexico", document=_NM, edition=NOT_NOTED, sure="read",
    setbacks_ft={**STRICTEST_SETBACKS_FT, "groundwater below": Sourced(5.0, _NM, NOT_NOTED, "read")},
    conditions=(
        below(250, _NM, NOT_NOTED),
        Condition("cover", "The water comes out under mulch.", "cover", _NM, NOT_NOTED, "read"),
        Condition("storage", "No water is kept longer than 24 hours.", "none", _NM, NOT_NOTED, "read"),
        Condition("groundwater", "Groundwater lies 5 ft or more below the point of irrigation.", "none",
                  _NM, NOT_NOTED, "read"),
        Condition("food", "Of food plants, only fruit and nut trees.", "food", _NM, NOT_NOTED, "read"),
    ),
    cautions=also("no storage", "bleach and borax"),
)

_TX = "Texas 30 TAC 210.83"
TEXAS = Profile(
    id="us-tx", place="Texas", document=_TX, edition=NOT_NOTED, sure="read",
    setbacks_ft=STRICTEST_SETBACKS_FT,
    conditions=(
        below(400, _TX, NOT_NOTED),
        Condition("overflow", "Nothing overflows to the ground.", "ponding", _TX, NOT_NOTED, "read"),
        Condition("diapers", "No wash of things soiled with excreta.", "diapers", _TX, NOT_NOTED, "read"),
        Condition("tank", "A tank, where there is one, is built as the rule says.", "none",
                  _TX, NOT_NOTED, "read"),
    ),
)

_WA = "Washington Administrative Code 246-274-100, tier 1"
_WA_DESIGN = "Washington Administrative Code 246-274-410"
_WA_YEAR = "2011"
WASHINGTON = Profile(
    id="us-wa-1", place="Washington", document=_WA, edition=_WA_YEAR, sure="read",
    laundry_gpcd=Sourced(11.0, f"{_WA_DESIGN}, traditional machine", _WA_YEAR, "read"),
    laundry_gpcd_efficient=Sourced(8.0, f"{_WA_DESIGN}, water-conserving machine", _WA_YEAR, "read"),
    setbacks_ft=STRICTEST_SETBACKS_FT,
    season_months=GENERIC_SEASON,
    conditions=(
        below(60, _WA, _WA_YEAR, at_most=True),
        Condition("season", "Only in the growing season.", "season", _WA, _WA_YEAR, "read"),
        Condition("plant use", "Never more than the plants use.", "plant use", _WA, _WA_YEAR, "read"),
        Condition("cover", "4 in of cover, topped up through the growing season.", "cover",
                  _WA, _WA_YEAR, "read", value=4.0, unit="in"),
        Condition("wet ground", "To the sewer when the ground is wet.", "wet ground", _WA, _WA_YEAR, "read"),
        Condition("storage", "No water is kept.", "none", _WA, _WA_YEAR, "read"),
        Condition("softener", "No brine of a water softener.", "softener",
                  "Washington Administrative Code 246-274-011", _WA_YEAR, "read"),
    ),
    upkeep=(*DEFAULT_UPKEEP, TOP_UP_SEASON),
    cautions=also("no storage", "softener brine"),
)

_OR = "Oregon Administrative Rules 340-053-0080 and 0110, tier 1"
_OR_YEAR = "2011"
OREGON = Profile(
    id="us-or-1", place="Oregon", document=_OR, edition=_OR_YEAR, sure="read",
    setbacks_ft=STRICTEST_SETBACKS_FT,
    conditions=(
        below(300, _OR, _OR_YEAR, at_most=True),
        Condition("permit", "The system has its permit.", "none", _OR, _OR_YEAR, "read"),
        Condition("cover", "The water comes out below the surface.", "cover", _OR, _OR_YEAR, "read"),
        Condition("record", "A yearly report is made.", "record", _OR, _OR_YEAR, "read"),
        Condition("manual", "The next owner is told of the system.", "manual", _OR, _OR_YEAR, "read"),
    ),
)


def _colorado(name: str, text: str, evidence: str, sure: Sure = "read") -> Condition:
    return Condition(name, text, evidence, _CO, NOT_NOTED, sure)


_CO = "Colorado 5 CCR 1002-86, category A1"
COLORADO = Profile(
    id="us-co-a1", place="Colorado", document=_CO, edition=NOT_NOTED, sure="read",
    setbacks_ft=STRICTEST_SETBACKS_FT,
    conditions=(
        _colorado("local", "The local authority has adopted the rules; its own limits hold.", "none"),
        _colorado("field", "The water goes to a mulch basin.", "basins"),
        _colorado("diapers", "No wash of reusable diapers.", "diapers"),
        _colorado("illness", "To the sewer while somebody in the household is ill.", "illness"),
        _colorado("storage", "No water is kept longer than 24 hours.", "none"),
        _colorado("manual", "The manual is handed to the new owner or tenant.", "manual"),
    ),
    cautions=also("no storage"),
)

UTAH_PROFILE = Profile(
    id="us-ut", place="Utah", document=UTAH, edition="2024", sure="read",
    setbacks_ft=UTAH_SETBACKS_FT,
    conditions=(
        Condition("volume", "The garden gets at most 40 gallons a day for each occupant the rule expects.",
                  "volume", UTAH, "2024", "read", "limit a day", 40.0, "gal/day per occupant"),
        Condition("cover", "The water comes out below the surface.", "cover", UTAH, "2024", "read"),
        Condition("absorption", "Each soil gets no more than the rule's table lets it absorb.", "basins",
                  f"{UTAH}-6, table 4", "2024", "read"),
        no_ponding(UTAH, "2024", "memory"),
        Condition("tank", "The rule asks for a surge tank; a washer line to mulch basins has none.", "none",
                  UTAH, "2024", "read"),
    ),
)
