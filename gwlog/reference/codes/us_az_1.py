"""Arizona: the type 1 general permit, which asks for no notice."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_NOW = "through Register vol. 30 no. 50, 13 December 2024"
_711 = Text("Arizona R18-9-711, a copy, and the state's brochure C 07-01", "2001, renumbered D701 since", "copy")
_A704 = Text("Arizona Administrative Code R18-9-A704(A)", _NOW, "read")
_ARS = Text("Arizona Revised Statutes 49-204", "", "copy")

PROFILE = Profile(
    id="us-az-1", place="Arizona", as_of="2026-11", document="Arizona Administrative Code R18-9-D701, type 1",
    edition=f"its neighbours read {_NOW}; R18-9-711 before", sure="copy",
    unread="D701 in its present wording was not read, nor the older text from its clause on sewage disposal on.",
    permission="none needed", zones=("America/Phoenix",), latitudes=(31.3, 37.0), setbacks_ft=STRICTEST_FT,
    conditions=(
        _A704("permit", "No permit and no notice is asked for while every condition is kept."),
        _ARS("cities", "A city may not limit it further."),
        _711("dwelling", "At a private residence.",
             asks=(("dwelling", ("one-family", "two-family", "larger")),)),
        _711("laundry", "Water of the washing machine may be used."),
        _711("volume", "The garden gets less than 400 gallons a day.", "volume", kind="limit a day", value=400.0,
             unit="gal/day", below=True),
        _711("overflow", "It goes to the sewer when the line is blocked, plugged or backs up.", "valve"),
        _711("diapers", "The wash of diapers and of similarly soiled or infectious things goes to the sewer.",
             "diapers", mind="The state's brochure lets it be used when it is disinfected; the stricter way is kept "
             "here."),
        _711("hazardous", "Nothing from cleaning car parts, oily rags or photographic work.", "hazardous"),
        _711("food", "Of food plants, only citrus and nut trees get it on the surface.", "food",
             mind="It holds for surface application only."),
        _711("method", "On the surface by flood or drip irrigation only.", "basins"),
        _711("spray", "The water is never sprayed."),
        _711("ponding", "Standing water on the surface is kept to the least.", "ponding"),
        _711("lot", "The water stays on the property.", "ponding"),
        _711("contact", "People keep off the water and the soil that it wets.", "cover"),
        _711("covered tank", "A tank, where there is one, is covered."),
        _711("label", "A pipe under pressure is marked as not for drinking.", asks=(("pipe_marked", ("yes",)),)),
        _711("groundwater", "Groundwater lies 5 ft or more below the point of irrigation.", value=5.0, unit="ft",
             asks=(("groundwater", ()),)),
        _711("floodway", "The system lies outside a floodway.", asks=(("floodway", ("no",)),)),
    ),
    cautions=also("no spray"),
)
