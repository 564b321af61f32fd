"""Montana: subsurface irrigation by a local permit."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_YEAR = "through 20 September 2024"
_ARM = Text("Montana Administrative Rules 17.36.319 and 17.36.919", _YEAR, "read")
_MCA = Text("Montana Code Annotated 75-5-325 to -327", "", "read")

PROFILE = Profile(
    id="us-mt", place="Montana", as_of="2026-11",
    document="Montana Administrative Rules 17.36.319 and 17.36.919; MCA 75-5-325 to -327", edition=_YEAR, sure="read",
    unread="The rule's list of distances breaks off in the text that was read; circular DEQ-4 was not read.",
    permission="permit first", zones=("America/Denver",), latitudes=(44.3, 49.0), setbacks_ft=STRICTEST_FT,
    conditions=(
        _ARM("permit", "A permit of the local authority comes first.", asks=(("permit", ("held",)),)),
        _MCA("laundry", "Water of the washing machine may be used."),
        _MCA("diapers", "Wash water of diapers and of infectious things is excluded.", "diapers"),
        _MCA("softener", "Nothing of a water softener.", "softener"),
        _ARM("food", "Of food plants, only fruit and nut trees.", "food"),
        _ARM("surface", "The water comes out below the surface.", asks=(("release", ("below ground", "under cover")),)),
        _ARM("distances", "A list of distances that was not read to its end: ask for it.",
             asks=(("distances_kept", ("yes",)),)),
        _ARM("groundwater", "4 ft of natural soil above groundwater or another limiting layer.", value=4.0, unit="ft",
             asks=(("groundwater", ()),)),
        _ARM("floodway", "Not in a flood plain.", asks=(("floodway", ("no",)),)),
        _ARM("device", "Built as circular DEQ-4 says.", asks=(("certified_parts", ("yes",)),)),
    ),
    cautions=also("no spray", "softener brine"),
)
