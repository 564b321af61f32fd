"""Western Australia as first held, and the profile for everywhere else: the strictest of the common rules.

The second is nobody's law: it is what to keep to until the local code has been read.
"""

from __future__ import annotations

from gwlog.reference.codes.first.common import (
    GROUNDWATER_BELOW_FT,
    STRICTEST_SETBACKS_FT,
    contact,
    diapers,
    hazardous,
    no_ponding,
    on_the_lot,
)
from gwlog.reference.codes.profile import GENERIC_COVER_IN, Condition, Profile, also
from gwlog.reference.upkeep import DEFAULT_UPKEEP, FLUSH_SOIL, FLUSH_SOIL_SOUTH

_AU = "Western Australia Code of Practice for the Reuse of Greywater"
WESTERN_AUSTRALIA = Profile(
    id="au-wa", place="Western Australia", document=_AU, edition="2010", sure="memory",
    setbacks_ft=STRICTEST_SETBACKS_FT,
    when_raining=True,
    conditions=(
        Condition("cover", "The water comes out below the surface.", "cover", _AU, "2010", "read"),
        Condition("wet ground", "To the sewer when it rains.", "wet ground", _AU, "2010", "read"),
        Condition("sodium", "Less than 20 g of sodium per wash.", "sodium", f"{_AU}, 4.5", "2010", "read"),
        Condition("ponding", "A monthly walk finds no ponding, boggy ground or runoff.", "ponding",
                  f"{_AU}, 4.5.2", "2010", "read"),
        Condition("storage", "No water is kept.", "none", _AU, "2010", "read"),
    ),
    upkeep=tuple(FLUSH_SOIL_SOUTH if task is FLUSH_SOIL else task for task in DEFAULT_UPKEEP),
    cautions=also("no storage", "odour"),
)

_STRICT = "working assumption: the strictest of the common rules"
GENERIC = Profile(
    id="generic", place="everywhere else", document=_STRICT, edition="", sure="assumption",
    setbacks_ft={**STRICTEST_SETBACKS_FT, "groundwater below": GROUNDWATER_BELOW_FT},
    when_raining=True,
    conditions=(
        Condition("valve", "A labelled valve within easy reach turns the water to the sewer or the garden.",
                  "valve", _STRICT, "", "assumption"),
        on_the_lot(_STRICT, "", "assumption"),
        no_ponding(_STRICT, "", "assumption"),
        Condition("cover", "The water comes out under 2 in or more of mulch, rock or soil.", "cover",
                  _STRICT, "", "assumption", value=GENERIC_COVER_IN, unit="in"),
        contact(_STRICT, "", "assumption"),
        diapers(_STRICT, "", "assumption"),
        hazardous(_STRICT, "", "assumption"),
        Condition("illness", "To the sewer while somebody in the household is ill.", "illness",
                  _STRICT, "", "assumption"),
        Condition("wet ground", "To the sewer when it rains or the ground is wet.", "wet ground",
                  _STRICT, "", "assumption"),
        Condition("food", "Not for root crops or food that touches the soil.", "food",
                  _STRICT, "", "assumption"),
        Condition("storage", "No water is kept longer than 24 hours.", "none", _STRICT, "", "assumption"),
        Condition("manual", "A manual stays with the building, and who comes next is told.", "manual",
                  _STRICT, "", "assumption"),
    ),
    cautions=also("no spray", "no storage", "softener brine", "odour"),
)
