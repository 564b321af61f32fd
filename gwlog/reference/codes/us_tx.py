"""Texas: graywater of a private residence, of which the rule describes a system with a tank."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_83 = Text("Texas 30 TAC 210.83(a) to (d)", "seen 2024", "read")
_82 = Text("Texas 30 TAC 210.82(a)", "seen 2024", "read")
_OLD = Text("Texas 30 TAC 210 subchapter F, the text of 2005 in a city ordinance of 2010", "2005", "copy")
_STATUTE = Text("Texas Health and Safety Code 341.039", "", "copy")

PROFILE = Profile(
    id="us-tx", place="Texas", as_of="2026-11", document="Texas 30 TAC 210.82 and 210.83",
    edition="rewritten by project 2015-028-210-OW, in force December 2016 (from memory); seen 2024", sure="read",
    unread="210.83 was read up to its (d)(2); its neighbour on sewage disposal, 30 TAC 285.80 and 285.81, was not.",
    permission="none needed", zones=("America/Chicago", "America/Denver"), latitudes=(25.8, 36.5),
    setbacks_ft=STRICTEST_FT,
    conditions=(
        _83("permit", "No authorization is needed; at 400 gallons a day or more only where the executive director "
            "asks for one."),
        _STATUTE("statute", "The statute behind it lets a private residence use graywater within the rules."),
        _83("dwelling", "At a private residence.", asks=(("dwelling", ("one-family", "two-family", "larger")),)),
        _83("laundry", "Water of the washing machine may be used."),
        _83("volume", "The garden gets less than 400 gallons a day on average.", "average", kind="average",
            value=400.0, unit="gal/day", below=True,
            mind="An average, not a day's limit; above it no authorization is needed either, unless it is asked for."),
        _83("tank", "The rule speaks of a system with the tank that (e) requires; a hose line without one is not that "
            "system: ask.", kind="open question"),
        _83("overflow", "A tank overflows to the sewer through an air gap or two backflow devices.", "valve"),
        _82("diapers", "Wash water of things soiled with excreta is no graywater: it goes to the sewer.", "diapers"),
        _82("hazardous", "Water of sinks in which hazardous things were washed or disposed of stays out.",
            "hazardous"),
        _83("food", "Gardening is among the uses allowed.", "food"),
        _OLD("method", "On or below the surface.", "basins"),
        _OLD("spray", "The water is never sprayed."),
        _OLD("ponding", "No ponds form.", "ponding"),
        _83("lot", "It is used at the residence.", "ponding"),
        _OLD("pavement", "None runs over the property line or onto pavement.", "ponding"),
        _OLD("label", "Pipes are marked as not for drinking, in purple.", asks=(("pipe_marked", ("yes",)),)),
    ),
    cautions=also("no spray", "labels"),
)
