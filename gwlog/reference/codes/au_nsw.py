"""New South Wales: diversion at a sewered house, by a certified device that a plumber fits."""

from __future__ import annotations

from gwlog.reference.codes.au_common import SOUTHERN_UPKEEP
from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_75A = Text("New South Wales Local Government (General) Regulation, section 75A", "text of 2005", "read")
_GUIDE = Text("New South Wales Guidelines for Greywater Reuse in Sewered, Single Household Residential Premises",
              "May 2008", "copy")

PROFILE = Profile(
    id="au-nsw", place="New South Wales", as_of="2026-11",
    document="New South Wales Local Government (General) Regulation, section 75A, and guidelines of May 2008",
    edition="regulation of 2005, remade 2021 (from memory); guidelines of May 2008", sure="read",
    unread="Of the guidelines page 45 and a note on depth were read; the regulation of 2021 was not.",
    permission="none needed", zones=("Australia/Sydney",), latitudes=(-37.6, -28.1), setbacks_ft=STRICTEST_FT,
    conditions=(
        _75A("permit", "No approval of the council is asked for while section 75A and the guidelines are kept."),
        _75A("sewer", "At a sewered house without a sewage works of its own.",
             asks=(("sewer_connected", ("yes",)),)),
        _75A("laundry", "Water of the washing machine may be used."),
        _GUIDE("valve", "It is turned back to the sewer when it must not go out.", "valve"),
        _GUIDE("cover", "It comes out 100 mm deep.", "cover", value=100.0, unit="mm"),
        _75A("contact", "Nobody touches the water.", "cover"),
        _GUIDE("storage", "No water is kept.", value=0.0, unit="h", asks=(("tank", ("no",)),)),
        _GUIDE("device", "The diverter is licensed (WaterMark) and fitted by a plumber.",
               asks=(("certified_parts", ("yes",)),)),
    ),
    upkeep=SOUTHERN_UPKEEP,
    cautions=also("no storage", "odour"),
)
