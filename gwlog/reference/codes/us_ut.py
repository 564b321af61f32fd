"""Utah: by permit, with a flow by bedrooms that a system is sized for."""

from __future__ import annotations

from gwlog.reference.codes.distances import UTAH, UTAH_FT, UTAH_TABLE
from gwlog.reference.codes.profile import Profile, Text, also

_YEAR = "through 15 March 2024, Bulletin 2024-06"
_1 = Text(f"{UTAH}-1 and -3", _YEAR, "read")
_3 = Text(f"{UTAH}-3.2(a)", _YEAR, "read")
_4 = Text(f"{UTAH}-4", _YEAR, "read")
_5 = Text(f"{UTAH}-5, tables 1 and 2", UTAH_TABLE, "read")
_6 = Text(f"{UTAH}-6, table 4", "2024", "read")
_DEED = Text(UTAH, UTAH_TABLE, "copy")

PROFILE = Profile(
    id="us-ut", place="Utah", as_of="2026-11", document=f"{UTAH}-1 to -6; Utah Code 15A-3-314",
    edition=f"{_YEAR}; its tables in the {UTAH_TABLE}", sure="read",
    unread="The tables were seen in the text of 2019 only.",
    permission="permit first", zones=("America/Denver",), latitudes=(37.0, 42.0),
    setbacks_ft=UTAH_FT, flow_per_bedroom=_5.feet(40.0),
    conditions=(
        _1("permit", "A permit comes first, always; the local health department may forbid it altogether.",
           asks=(("permit", ("held",)),)),
        _5("volume", "Sized for 120 gallons a day with two bedrooms, 160 with three, 40 more for each further one.",
           "average", kind="design flow", value=120.0, unit="gal/day",
           mind="What a system is sized for, not what a day may bring."),
        _4("sewer", "The house is connected to a sewer.", asks=(("sewer_connected", ("yes",)),)),
        _3("food", "No vegetable garden, unless no edible part touches the water.", "food"),
        _3("surface", "Not on the land surface.", asks=(("release", ("below ground", "under cover")),),
           mind="A secondary page has drip lines 6 in deep."),
        _3("spray", "The water is never sprayed."),
        _3("ponding", "No water stands on the surface or runs off: -3.2(a)(v).", "ponding"),
        _3("lot", "It stays on the lot, or within an easement.", "ponding"),
        _4("tank", "The rule asks for a surge tank; a washer line to mulch basins has none: ask.",
           kind="open question"),
        _4("untouched", "No joint with drinking water.", asks=(("potable_joint", ("no",)),)),
        _5("distances", "A table by things: buildings 2 ft, lines 5 ft, open water and ditches 100 ft, wells 100 ft; "
           "public sources by R309.", asks=(("distances_kept", ("yes",)),)),
        _5("groundwater", "A test hole shows no groundwater down to 2 ft below the zone of irrigation.", value=2.0,
           unit="ft", asks=(("groundwater", ()),)),
        _6("absorption", "Each soil gets no more than the rule's table lets it absorb.", "basins"),
        _DEED("manual", "The system is noted on the deed.", kind="must"),
    ),
    cautions=also("no spray"),
)
