"""Hawaii: what a county's programme allows."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_HRS = Text("Hawaii Revised Statutes 342D-70", "as amended L 2013 c 233", "copy")
_GUIDE = Text("Hawaii Department of Health, Guidelines for the Reuse of Gray Water, contents and foreword",
              "22 June 2009", "copy")

PROFILE = Profile(
    id="us-hi", place="Hawaii", as_of="2026-11",
    document="Hawaii Revised Statutes 342D-70; HAR 11-62 and 3-183; guidelines of 22 June 2009",
    edition="as amended L 2013 c 233", sure="copy",
    unread="The guidelines' body and the plumbing code (HAR 3-183) were not read.",
    permission="local permission", zones=("Pacific/Honolulu",), latitudes=(18.0, 23.0), setbacks_ft=STRICTEST_FT,
    conditions=(
        _HRS("permit", "The county's programme decides: ask it before the first load.",
             asks=(("permit", ("held", "not needed")),)),
        _HRS("laundry", "Water of the washing machine may be used."),
        _GUIDE("food", "For lawns and gardens.", "food"),
        _GUIDE("cover", "Covered as the state's plumbing code has it, which was not read.", "cover"),
    ),
    cautions=also("no spray"),
)
