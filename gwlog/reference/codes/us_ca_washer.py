"""California: the clothes-washer system that needs no permit while its conditions are kept."""

from __future__ import annotations

from gwlog.reference.codes.distances import CALIFORNIA_FT, CPC
from gwlog.reference.codes.profile import Profile, Text, also
from gwlog.reference.source import Sourced

_DOCUMENT = f"{CPC}, clothes-washer system"
_EDITION = "clause 1502.1.1 in 2016, 1503.1.1 in 2019 and 2022; chapter 16A in 2009"
_CITY = Text(f"{_DOCUMENT}, as restated by a city and two counties", _EDITION, "copy")
_2009 = Text(f"{CPC}, 16A (G) to (I)", "2009", "copy")
_UTILITY = Text("a utility's page and a city's handout, which bars a tank", "", "copy")
_FLOW = Text(f"{CPC}, 1503.8.1 (1502 in 2016)", "2019, 2022", "read")
_M = Text(_DOCUMENT, _EDITION, "memory")

PROFILE = Profile(
    id="us-ca-washer", place="California", as_of="2026-11", document=_DOCUMENT, edition=_EDITION, sure="copy",
    unread="The code itself and its tables were not read, only what cities, counties and utilities restate of them.",
    permission="none needed", zones=("America/Los_Angeles",), latitudes=(32.5, 42.0),
    setbacks_ft=CALIFORNIA_FT, laundry_gpcd=Sourced(15.0, _FLOW.source, _FLOW.edition, "read"),
    conditions=(
        _CITY("permit", "No permit is needed while every condition here is kept."),
        _CITY("dwelling", "For one- and two-family dwellings.", asks=(("dwelling", ("one-family", "two-family")),)),
        _CITY("washer alone", "The clothes washer alone is connected.", asks=(("only_washer", ("yes",)),)),
        _CITY("pipes uncut", "The existing plumbing is not cut.", asks=(("pipes_uncut", ("yes",)),)),
        _CITY("notice", "The agency is told beforehand, where it asks for notice.", asks=(("notice", ("yes",)),),
              number="1"),
        _CITY("valve", "A labelled valve within easy reach turns the water to the sewer or the garden.", "valve",
              number="2"),
        _CITY("label", "The valve's two ways are labelled.", asks=(("valve_labelled", ("yes",)),), number="2"),
        _CITY("untouched", "No joint with drinking water, nothing structural or electrical changed.",
              asks=(("potable_joint", ("no",)), ("structure_changed", ("no",))), number="3"),
        _CITY("pump", "No pump but the washer's own, which does not count.", asks=(("added_pump", ("no",)),),
              number="3"),
        _CITY("lot", "The water stays on the lot it comes from.", "ponding", number="4"),
        _CITY("field", "The water goes to an irrigation or disposal field; a mulch basin is one.", "basins",
              number="5"),
        _CITY("ponding", "No water stands on the surface or runs off.", "ponding", number="6"),
        _CITY("cover", "It comes out under at least 2 in of mulch, rock or soil, or a solid shield.", "cover",
              value=2.0, unit="in", number="7"),
        _CITY("contact", "People and pets touch the water as little as can be.", "cover", number="8"),
        _CITY("diapers", "The wash of diapers and of similarly soiled or infectious things goes to the sewer.",
              "diapers", number="9"),
        _CITY("hazardous", "Nothing from cleaning parts, oily rags or photographic work, nor other hazardous "
              "chemicals.", "hazardous", number="10"),
        _CITY("other rules", "No other law, code or ordinance is set aside.", number="11"),
        _CITY("manual", "A manual of operation and maintenance stays with the building, for current and future "
              "occupants.", "manual", mind="That a new owner or tenant is told so is from memory.", number="12"),
        _CITY("food", "Not for root crops, nor for food whose edible part touches the soil.", "food"),
        _2009("spray", "The water is never sprayed."),
        _2009("storm sewer", "It reaches no storm sewer and no surface water.", "ponding"),
        _M("trap", "Where the house's drain is joined, the joint is behind a trap.", number="13"),
        _UTILITY("storage", "No water is kept.", value=0.0, unit="h", asks=(("tank", ("no",)),)),
        _CITY("distances", "Buildings 2 ft, property line 1.5 ft, wells and open water 100 ft, water main 10 ft.",
              asks=(("distances_kept", ("yes",)),)),
        _M("groundwater", "Groundwater lies 3 ft below, or 5 ft: from memory, and not settled.", kind="open question"),
        _FLOW("flow", "Sized for 15 gallons of laundry water a day for each occupant.", kind="design flow",
              value=15.0, unit="gal/day per occupant"),
    ),
    cautions=also("no spray", "no storage", "labels", "air vent"),
)
