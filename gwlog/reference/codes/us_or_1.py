"""Oregon: tier 1, by a general permit that expires."""

from __future__ import annotations

from datetime import date

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_YEAR = "rules of 12 September 2011; permit 2401 of 1 June 2017"
_80 = Text("Oregon Administrative Rules 340-053-0080(1) to (6)", _YEAR, "read")
_90 = Text("Oregon Administrative Rules 340-053-0090(1)(a) to (d)", _YEAR, "read")
_110 = Text("Oregon Administrative Rules 340-053-0110(1)(a)", _YEAR, "read")
_PERMIT = Text("Oregon permit WPCF GEN 2401, its face page", "1 June 2017", "copy")
_COMMITTEE = Text("the rule's advisory committee", "2010", "copy")

PROFILE = Profile(
    id="us-or-1", place="Oregon", as_of="2026-11",
    document="Oregon Administrative Rules 340-053-0050 to 0110 and permit WPCF GEN 2401, tier 1", edition=_YEAR,
    sure="read", until=date(2027, 5, 1),
    unread="0080 was read up to (6), 0090 up to (1)(d); table 2 with its distances, and what a yearly report holds "
           "(0080(14)), were not.",
    permission="permit first", zones=("America/Los_Angeles",), latitudes=(42.0, 46.3), setbacks_ft=STRICTEST_FT,
    conditions=(
        _80("permit", "A permit comes first, with a fee: general permit 2401 for tier 1.",
            asks=(("permit", ("held",)),)),
        _PERMIT("until", "The general permit expires on 1 May 2027."),
        _80("dwelling", "At a single-family dwelling or a duplex.",
            asks=(("dwelling", ("one-family", "two-family")),)),
        _PERMIT("bedrooms", "With four bedrooms at most.", value=4.0, asks=(("bedrooms", ()),)),
        _80("laundry", "Water of the washing machine is type 1 and may be used."),
        _80("volume", "The garden gets at most 300 gallons a day.", "volume", kind="limit a day", value=300.0,
            unit="gal/day"),
        _90("overflow", "What the plants do not need, and what is unfit, goes to the sewer.", "valve"),
        _80("sewer", "The house stays connected to the sewer.", asks=(("sewer_connected", ("yes",)),)),
        _COMMITTEE("food", "No contact with the parts that are eaten.", "food"),
        _80("surface", "The water comes out below the surface only.",
            asks=(("release", ("below ground", "under cover")),)),
        _COMMITTEE("cover", "2 in of cover, as the committee had it.", "cover", value=2.0, unit="in"),
        _80("spray", "Below the surface only, so it is never sprayed."),
        _90("ponding", "None reaches surface water or a storm drain.", "ponding"),
        _90("contact", "All reasonable steps keep people and animals from touching it.", "cover"),
        _COMMITTEE("storage", "No water is kept longer than 24 hours, as the committee had it.", value=24.0, unit="h"),
        _80("distances", "Table 2 has distances of its own, which were not read: ask for them.",
            asks=(("distances_kept", ("yes",)),)),
        _110("record", "A yearly report in time waives or cuts the fee; what it holds stands in 0080(14).", "record",
             kind="choice"),
        _80("manual", "The next owner is told of the system.", "manual"),
    ),
    cautions=also("no spray", "no storage"),
)
