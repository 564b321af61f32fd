"""The profile for everywhere else: the strictest of the rules that several of the codes held here share.

Nobody's law: it is what to keep to until the local code has been read.
"""

from __future__ import annotations

from gwlog.reference.codes.distances import GROUNDWATER_FT, STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_STRICT = Text("working assumption: the strictest of the common rules", "", "assumption")

PROFILE = Profile(
    id="generic", place="everywhere else", as_of="2026-11", document=_STRICT.source, edition="", sure="assumption",
    unread="No code stands behind it: yours may ask for more.",
    permission="not known", setbacks_ft={**STRICTEST_FT, "groundwater below": GROUNDWATER_FT}, when_raining=True,
    conditions=(
        _STRICT("permit", "Whether graywater is lawful at this place is not known here: ask before the first load.",
                asks=(("permit", ("held", "not needed")),)),
        _STRICT("dwelling", "At a single-family dwelling.", asks=(("dwelling", ("one-family",)),)),
        _STRICT("washer alone", "The clothes washer alone is connected.", asks=(("only_washer", ("yes",)),)),
        _STRICT("volume", "The strictest daily limit known is 60 gallons; others allow 250 to 400, half of them name "
                "none: ask.", "average", kind="open question", value=60.0, unit="gal/day"),
        _STRICT("valve", "A labelled valve within easy reach turns the water to the sewer or the garden.", "valve"),
        _STRICT("sewer", "The house stays connected to the sewer.", asks=(("sewer_connected", ("yes",)),)),
        _STRICT("diapers", "The wash of diapers and of similarly soiled or infectious things goes to the sewer.",
                "diapers"),
        _STRICT("hazardous", "No hazardous chemicals.", "hazardous"),
        _STRICT("softener", "No brine of a water softener.", "softener"),
        _STRICT("illness", "To the sewer while somebody in the household is ill.", "illness"),
        _STRICT("food", "Of food plants, only fruit and nut trees; never root crops, nor food that touches the soil.",
                "food"),
        _STRICT("surface", "The water comes out below the surface or under cover.",
                asks=(("release", ("below ground", "under cover")),)),
        _STRICT("cover", "Under 4 in or more of mulch, rock or soil.", "cover", value=4.0, unit="in"),
        _STRICT("spray", "The water is never sprayed."),
        _STRICT("ponding", "No water stands on the surface or runs off.", "ponding"),
        _STRICT("lot", "The water stays on the lot it comes from.", "ponding"),
        _STRICT("contact", "Nobody touches the water or the soil that it wets.", "cover"),
        _STRICT("wet ground", "To the sewer when it rains or the ground is wet.", "wet ground"),
        _STRICT("storage", "No water is kept.", value=0.0, unit="h", asks=(("tank", ("no",)),)),
        _STRICT("pump", "No pump but the washer's own; by gravity, where the code asks for it.",
                asks=(("added_pump", ("no",)),)),
        _STRICT("untouched", "No joint with drinking water.", asks=(("potable_joint", ("no",)),)),
        _STRICT("label", "Valve and pipe are labelled as not for drinking.",
                asks=(("valve_labelled", ("yes",)), ("pipe_marked", ("yes",)))),
        _STRICT("distances", "The farthest distances known are kept.", asks=(("distances_kept", ("yes",)),)),
        _STRICT("groundwater", "Groundwater lies 5 ft or more below the point of irrigation.", value=5.0, unit="ft",
                asks=(("groundwater", ()),)),
        _STRICT("floodway", "No basin lies in a floodway.", asks=(("floodway", ("no",)),)),
        _STRICT("device", "Parts are certified where the code asks for it.", kind="choice",
                asks=(("certified_parts", ("yes",)),)),
        _STRICT("manual", "A manual stays with the building, and who comes next is told.", "manual"),
    ),
    cautions=also("no spray", "no storage", "softener brine", "odour"),
)
