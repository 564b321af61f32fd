"""Washington: tier 1, light graywater in the growing season by gravity."""

from __future__ import annotations

from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import GENERIC_SEASON, Profile, Text, also
from gwlog.reference.source import Sourced
from gwlog.reference.upkeep import DEFAULT_UPKEEP, TOP_UP_SEASON

_YEAR = "WSR 11-02-011, in force 31 July 2011; read through 1 November 2024"
_005 = Text("Washington Administrative Code 246-274-005", "amended 9 April 2022", "read")
_011 = Text("Washington Administrative Code 246-274-011(1)", _YEAR, "read")
_100 = Text("Washington Administrative Code 246-274-100(1)", _YEAR, "read")
_410 = Text("Washington Administrative Code 246-274-410, the design of tiers 2 and 3", _YEAR, "read")
_445 = Text("Washington Administrative Code 246-274-445", _YEAR, "read")
_405 = Text("Washington Administrative Code 246-274-405", _YEAR, "read")
_M = Text("Washington Administrative Code 246-274", _YEAR, "memory")

PROFILE = Profile(
    id="us-wa-1", place="Washington", as_of="2026-11",
    document="Washington Administrative Code 246-274-011 and -100, tier 1", edition=_YEAR, sure="read",
    unread="-011 was read up to its (1)(n) and -100 up to its (1)(m); the distances of table I were not.",
    permission="none needed", zones=("America/Los_Angeles",), latitudes=(45.5, 49.0), setbacks_ft=STRICTEST_FT,
    laundry_gpcd=Sourced(11.0, f"{_410.source}: traditional machine", _YEAR, "read"),
    laundry_gpcd_efficient=Sourced(8.0, f"{_410.source}: water-conserving machine", _YEAR, "read"),
    season_months=GENERIC_SEASON,
    conditions=(
        _100("permit", "The local health officer's code decides whether a notice or a permit is asked for."),
        _100("dwelling", "At a single-family dwelling.", asks=(("dwelling", ("one-family",)),)),
        _005("laundry", "Light graywater, of which laundry water is."),
        _100("volume", "The garden gets at most 60 gallons a day.", "volume", kind="limit a day", value=60.0,
             unit="gal/day"),
        _410("flow", "Tiers 2 and 3 are sized for 11 gallons a day for each occupant, 8 with an efficient machine.",
             kind="design flow", value=11.0, unit="gal/day per occupant"),
        _100("valve", "A valve stands ready to send the water to the sewer.", "valve"),
        _445("failure", "It goes to the sewer at once when the system fails.", "valve"),
        _011("diapers", "The wash of diapers and of infectious things goes to the sewer.", "diapers"),
        _011("hazardous", "No hazardous chemicals, such as paint and solvent.", "hazardous"),
        _011("softener", "No brine of a water softener.", "softener"),
        _011("food", "Food plants only where the edible part does not touch the water.", "food"),
        _100("cover", "4 in of cover, topped up through the growing season.", "cover", value=4.0, unit="in"),
        _011("surface", "The water stays below the ground: none may come up.", "ponding"),
        _100("spray", "Below the surface only, so it is never sprayed."),
        _011("ponding", "No water stands on the surface or runs off.", "ponding"),
        _011("lot", "It stays on the lot, or a lot near it where that is lawful.", "ponding"),
        _011("contact", "Nobody touches the water.", "cover"),
        _011("season", "Only in the growing season: -011(1)(i).", "season",
             mind="The months are a working assumption."),
        _011("plant use", "Never more than the plants use: -011(1)(m).", "plant use"),
        _M("wet ground", "To the sewer when the ground is wet.", "wet ground",
           mind="It does not stand in the part that could be read."),
        _011("storage", "No water is kept; longer than 24 hours makes it tier 3.", value=0.0, unit="h",
             asks=(("tank", ("no",)),)),
        _100("gravity", "By gravity alone: pumps may not convey the water.",
             asks=(("added_pump", ("no",)), ("runs", ("downhill",)))),
        _100("own pump", "Whether the washing machine's own pump counts as one is not said in what was read: ask the "
             "local health officer.", kind="open question"),
        _405("distances", "Table I has distances of its own, which were not read: ask for them.",
             asks=(("distances_kept", ("yes",)),)),
        _011("floodway", "Not in a sensitive area.", asks=(("floodway", ("no",)),)),
    ),
    upkeep=(*DEFAULT_UPKEEP, TOP_UP_SEASON),
    cautions=also("no spray", "no storage", "softener brine"),
)
