"""Nevada: underground irrigation at a single-family dwelling, by permit."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_837 = Text("Nevada Administrative Code 444.837(1) to (2)(b), in a district attorney's letter", "", "copy")
_8301 = Text("Nevada Administrative Code 444.8301", "through 16 September 2024", "read")

PROFILE = Profile(
    id="us-nv", place="Nevada", as_of="2026-11", document="Nevada Administrative Code 444.837 and 444.8372",
    edition="444.8301 read through 16 September 2024", sure="copy",
    unread="444.837 was read in a copy that breaks off after (2)(b); 444.8372 was not read.",
    permission="permit first", zones=("America/Los_Angeles",), latitudes=(35.0, 42.0), setbacks_ft=STRICTEST_FT,
    conditions=(
        _837("permit", "The homeowner gets a permit before anything is built, changed or fitted.",
             asks=(("permit", ("held",)),)),
        _8301("statute", "Graywater may be let out apart from sewage under 444.837 and 444.8372."),
        _837("dwelling", "At a single-family dwelling only.", asks=(("dwelling", ("one-family",)),)),
        _837("laundry", "All water of the house but the kitchen sink's and the toilet's may be used."),
        _837("surface", "For underground irrigation.", asks=(("release", ("below ground", "under cover")),)),
        _837("percolation", "Not in soil that takes more than 120 minutes for an inch of water."),
    ),
    cautions=also("no spray"),
)
