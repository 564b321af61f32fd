"""New Mexico: what a private residence may do without a permit."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_810 = Text("New Mexico 20.7.3.810 NMAC, items A to O in a copy", "2009; part in force 1 September 2013", "copy")
_809 = Text("New Mexico 20.7.3.809 NMAC, for systems with a permit; 810 names no distance",
            "through Register vol. 35 no. 21, 5 November 2024", "read")
_CITY = Text("City of Deming, restating the state's rule", "", "copy")
_M = Text("New Mexico NMSA 1978 74-6-4", "", "memory")

PROFILE = Profile(
    id="us-nm", place="New Mexico", as_of="2026-11", document="New Mexico NMSA 1978 74-6-4 and 20.7.3.810 NMAC",
    edition="in force 1 September 2013, amended 15 September 2014", sure="copy",
    unread="810 was read in a copy that breaks off after its item O.",
    permission="none needed", zones=("America/Denver",), latitudes=(31.3, 37.0),
    setbacks_ft={
        **STRICTEST_FT, "building": _809.feet(2.0), "property line": _809.feet(2.0),
        "water-supply well": _CITY.feet(100.0), "public water-supply well": _CITY.feet(200.0),
        "groundwater below": _810.feet(5.0),
    },
    conditions=(
        _810("permit", "No permit is needed while every condition is kept."),
        _810("cities", "What a city or county asks for besides holds too."),
        _810("dwelling", "At a private residence.",
             asks=(("dwelling", ("one-family", "two-family", "larger")),)),
        _810("laundry", "Water of the washing machine and of laundry tubs may be used."),
        _810("volume", "The garden gets less than 250 gallons a day.", "volume", kind="limit a day", value=250.0,
             unit="gal/day", below=True),
        _810("overflow", "What overflows runs to the sewer.", "valve"),
        _810("diapers", "Wash water of diapers is no graywater: it goes to the sewer.", "diapers"),
        _810("hazardous", "No hazardous chemicals.", "hazardous"),
        _810("food", "Of food plants, only fruit and nut trees.", "food"),
        _810("cover", "The water goes to a mulched surface or below the ground.", "cover"),
        _810("spray", "The water is never sprayed."),
        _810("ponding", "No ponding; it does not run past the lines of the property.", "ponding"),
        _810("watercourse", "None of it reaches a watercourse.", "ponding"),
        _810("lot", "It is used on the site that it comes from.", "ponding"),
        _810("contact", "People and pets touch the water as little as can be.", "cover"),
        _810("absorption", "No more than the soil can take.", "basins"),
        _810("storage", "No water is kept longer than 24 hours.", value=24.0, unit="h"),
        _810("covered tank", "A tank, where there is one, is covered."),
        _810("label", "A pipe under pressure is marked as not for drinking.", asks=(("pipe_marked", ("yes",)),)),
        _809("distances", "2 ft from buildings and property lines; wells 100 ft, public wells 200 ft.",
             asks=(("distances_kept", ("yes",)),)),
        _810("groundwater", "Groundwater lies 5 ft or more below the point of irrigation.", value=5.0, unit="ft",
             asks=(("groundwater", ()),)),
        _M("floodway", "The system lies outside a floodway.", asks=(("floodway", ("no",)),)),
    ),
    cautions=also("no spray", "no storage", "bleach and borax"),
)
