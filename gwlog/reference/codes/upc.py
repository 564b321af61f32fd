"""The uniform model code: law only where a place has adopted it, and always by permit."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_1501 = Text("Uniform Plumbing Code, 1501.1 to 1501.5", "2018, as adopted in Washington", "read")
_M = Text("Uniform Plumbing Code, graywater chapter", "2012 and 2018", "memory")

PROFILE = Profile(
    id="upc", place="places with the Uniform Plumbing Code", as_of="2026-11",
    document="Uniform Plumbing Code, chapter 15 (16 in 2012)", edition="2018; 2012", sure="memory",
    unread="Only 1501 was read; the tables and what follows are from memory.",
    permission="permit first", setbacks_ft=STRICTEST_FT,
    conditions=(
        _1501("permit", "A permit comes first, always; a model code is law only where it was adopted.",
              asks=(("permit", ("held",)),)),
        _1501("dwelling", "One-family to multi-family dwellings.",
              asks=(("dwelling", ("one-family", "two-family", "larger")),)),
        _1501("designer", "Up to 250 gallons a day the drawings need no designer.", kind="choice"),
        _M("laundry", "Water of the washing machine may be used."),
        _M("valve", "A labelled valve within easy reach turns the water to the sewer.", "valve"),
        _M("diapers", "The wash of diapers and of similarly soiled or infectious things goes to the sewer.",
           "diapers"),
        _M("hazardous", "No hazardous chemicals.", "hazardous"),
        _M("food", "Not for root crops, nor for food whose edible part touches the soil.", "food"),
        _M("cover", "It comes out under at least 2 in of mulch, rock or soil, or a solid shield.", "cover", value=2.0,
           unit="in"),
        _M("spray", "The water is never sprayed."),
        _M("ponding", "No water stands on the surface or runs off.", "ponding"),
        _M("lot", "The water stays on the lot it comes from.", "ponding"),
        _M("contact", "People and pets touch the water as little as can be.", "cover"),
        _M("storage", "Water is not kept, but for a surge tank that the code describes.", kind="open question"),
        _M("label", "Labels are looked at every year.", asks=(("valve_labelled", ("yes",)),)),
        _M("distances", "Streams 50 ft, or 100 ft: from memory, and not settled.",
           asks=(("distances_kept", ("yes",)),)),
        _M("groundwater", "Groundwater lies 3 ft below, or 5 ft: from memory, and not settled.",
           kind="open question"),
        _1501("device", "Parts are listed for the purpose.", asks=(("certified_parts", ("yes",)),)),
        _M("manual", "A manual of operation and maintenance stays with the building.", "manual"),
    ),
    cautions=also("no spray", "no storage", "labels"),
)
