"""The international model codes: law only where a place has adopted them."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_DOCUMENT = "International Plumbing Code, chapters 13 and 14; International Residential Code P2910, P2911 and P3009"
_PAGE = Text("International Residential Code P2911.13, page 685", "2018", "copy")
_1301 = Text("International Plumbing Code 1301", "2012, as adopted in Virginia", "read")
_M = Text(_DOCUMENT, "2018", "memory")

PROFILE = Profile(
    id="icc", place="places with the international model codes", as_of="2026-11", document=_DOCUMENT,
    edition="2018; 1301 of 2012", sure="memory",
    unread="One page and one clause were read; all figures are from memory.",
    permission="permit first",
    setbacks_ft={
        **STRICTEST_FT, "building": _M.feet(2.0), "property line": _M.feet(5.0), "water-supply well": _M.feet(100.0),
        "stream or lake": _M.feet(50.0), "septic tank": _M.feet(5.0), "public water main": _M.feet(10.0),
    },
    conditions=(
        _M("permit", "A permit comes first; a model code is law only where it was adopted.",
           asks=(("permit", ("held",)),)),
        _1301("laundry", "The code speaks of nonpotable water, of which laundry water is."),
        _M("flow", "Sized for 15 gallons of laundry water a day for each occupant.", kind="design flow", value=15.0,
           unit="gal/day per occupant"),
        _M("surface", "Subsurface irrigation.", asks=(("release", ("below ground", "under cover")),)),
        _M("storage", "No water is kept longer than 24 hours.", value=24.0, unit="h"),
        _M("distances", "Buildings 2 ft, lines 5 ft, wells 100 ft, streams 50 ft, septic tank 5 ft, main 10 ft.",
           asks=(("distances_kept", ("yes",)),)),
        _PAGE("manual", "A manual of operation and maintenance goes with the system.", "manual"),
    ),
    cautions=also("no spray", "no storage"),
)
