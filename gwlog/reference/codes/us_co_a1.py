"""Colorado: category A1, a washing machine to an outdoor mulch basin."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_YEAR = "in force 14 January 2024; read to 10 September 2024"
_86 = Text("Colorado 5 CCR 1002-86, 86.10 and 86.14(A) to (B)(3), category A1", _YEAR, "read")
_LAW = Text("Colorado Revised Statutes 25-8-205.4 (HB 24-1362)", "from 1 January 2026", "read")
_DENVER = Text("Denver's page on washing machines to landscapes", "", "copy")
_M = Text("Colorado 5 CCR 1002-86, category A1", _YEAR, "memory")

PROFILE = Profile(
    id="us-co-a1", place="Colorado", as_of="2026-11",
    document="Colorado 5 CCR 1002-86, category A1, and C.R.S. 25-8-205.4",
    edition=f"{_YEAR}; statute from 1 January 2026", sure="read",
    unread="86.11 and 86.12, and 86.14 past its (B)(3), were not read; a state figure of gallons a day was not seen.",
    permission="local permission", zones=("America/Denver",), latitudes=(37.0, 41.0), setbacks_ft=STRICTEST_FT,
    conditions=(
        _LAW("permit", "Lawful in new construction since 1 January 2026 unless prohibited there; an existing building "
             "needs a local yes.", asks=(("permit", ("held", "not needed")),)),
        _86("dwelling", "At a single-family dwelling.", asks=(("dwelling", ("one-family",)),)),
        _86("washer alone", "Laundry machines alone are connected.", asks=(("only_washer", ("yes",)),)),
        _DENVER("volume", "In Denver at most 250 gallons a day; the state's own figure was not seen: ask.",
                kind="open question"),
        _86("diapers", "No wash of reusable diapers.", "diapers"),
        _86("excreta", "Excreta are kept out as far as can be.", "diapers"),
        _86("hazardous", "Hazardous chemicals are kept out as far as can be.", "hazardous"),
        _86("illness", "To the sewer while somebody in the household is ill.", "illness"),
        _86("food", "Food crops are allowed.", "food",
            mind="Denver: no root crops, sprouts or leafy greens."),
        _86("field", "The water goes to an outdoor mulch basin.", "basins"),
        _DENVER("spray", "The water is never sprayed."),
        _86("lot", "It stays within the confines of the facility.", "ponding"),
        _86("contact", "People and pets touch the water as little as can be.", "cover"),
        _DENVER("wet ground", "In Denver not when it rains, nor on saturated, frozen or dormant ground.",
                "wet ground"),
        _M("storage", "No water is kept longer than 24 hours.", value=24.0, unit="h"),
        _86("label", "No label is asked for in category A1.", kind="choice"),
        _86("distances", "86.12 has distances of its own, which were not read: ask for them.",
            asks=(("distances_kept", ("yes",)),)),
        _86("floodway", "The rule defines the base flood; what it bars there was not read: ask.",
            kind="open question"),
        _86("manual", "The manual stays, and is handed to the new owner or tenant.", "manual"),
    ),
    cautions=also("no spray", "no storage"),
)
