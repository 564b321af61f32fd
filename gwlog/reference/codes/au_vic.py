"""Victoria: not banned, with advice of the state that councils restate."""

from __future__ import annotations

from gwlog.reference.codes.au_common import SOUTHERN_UPKEEP
from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_COUNCIL = Text("Whitehorse and Frankston councils, pages on greywater", "", "copy")
_ADVICE = Text("Victoria, household greywater advice", "", "copy")

PROFILE = Profile(
    id="au-vic", place="Victoria", as_of="2026-11",
    document="Victoria, EPA Publication 812 and Code of Practice 891.4, as councils restate them",
    edition="2001 and July 2016; superseded by later guidance (from memory)", sure="copy",
    unread="The publications were not read, nor the guidance that has come since.",
    permission="none needed", zones=("Australia/Melbourne",), latitudes=(-39.2, -34.0), setbacks_ft=STRICTEST_FT,
    conditions=(
        _COUNCIL("permit", "No permit is asked for unless water is kept or treated."),
        _COUNCIL("laundry", "Water of the washing machine may be used."),
        _COUNCIL("diapers", "Never the wash of nappies.", "diapers"),
        _COUNCIL("food", "Not for vegetables.", "food"),
        _COUNCIL("surface", "Better below the surface.", kind="choice",
                 asks=(("release", ("below ground", "under cover")),)),
        _COUNCIL("spray", "The water is never sprayed."),
        _COUNCIL("storage", "What is kept longer than 24 hours needs a permit.", value=24.0, unit="h"),
        _ADVICE("odour", "It is stopped when the ground smells or plants sicken.", "ponding"),
    ),
    upkeep=SOUTHERN_UPKEEP,
    cautions=also("no spray", "no storage", "odour"),
)
