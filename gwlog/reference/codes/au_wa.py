"""Western Australia: without approval by a certified device, else by the council's."""

from __future__ import annotations

from gwlog.reference.codes.au_common import SOUTHERN_UPKEEP
from gwlog.reference.codes.distances import STRICTEST_FT
from gwlog.reference.codes.profile import Profile, Text, also

_DOCUMENT = "Western Australia Code of Practice for the Reuse of Greywater"
_CONTENTS = Text(f"{_DOCUMENT}, its list of contents", "2010, version 2 of 3 January 2013", "read")
_HEALTH = Text("Western Australia Department of Health, page on greywater", "", "read")
_COUNCIL = Text("City of Joondalup, page on reusing household greywater", "", "copy")
_M = Text(_DOCUMENT, "2010", "memory")

PROFILE = Profile(
    id="au-wa", place="Western Australia", as_of="2026-11", document=_DOCUMENT,
    edition="2010, version 2 of 3 January 2013", sure="memory",
    unread="Of the code only the contents were read again; its own distances (4.3, page 36) were not.",
    permission="local permission", zones=("Australia/Perth",), latitudes=(-36.0, -13.0), setbacks_ft=STRICTEST_FT,
    when_raining=True,
    conditions=(
        _HEALTH("permit", "A certified device needs no approval; anything else, such as a hose line, needs the "
                "council's.", asks=(("permit", ("held", "not needed")),)),
        _COUNCIL("local", "The installation of a system needs the local government's approval.", kind="open question",
                 mind="The two pages differ; ask the council."),
        _HEALTH("device", "The diverter is certified (WaterMark) and fitted by a licensed plumber.",
                asks=(("certified_parts", ("yes",)),)),
        _HEALTH("laundry", "Water of the washing machine may be used."),
        _HEALTH("surface", "The water comes out below the surface.",
                asks=(("release", ("below ground", "under cover")),)),
        _M("cover", "Under cover, at a depth that was not read.", "cover"),
        _M("diapers", "The wash of nappies and of similarly soiled things goes to the sewer.", "diapers"),
        _M("sodium", "Less than 20 g of sodium per wash: 4.5.", "sodium"),
        _M("wet ground", "To the sewer when it rains.", "wet ground"),
        _M("ponding", "A monthly walk finds no ponding, boggy ground or runoff: 4.5.2.", "ponding"),
        _M("lot", "The water stays on the lot it comes from.", "ponding"),
        _M("contact", "People and pets touch the water as little as can be.", "cover"),
        _M("storage", "No water is kept.", value=0.0, unit="h", asks=(("tank", ("no",)),)),
        _CONTENTS("distances", "Table 4.3 has distances of its own, which were not read: ask for them.",
                  asks=(("distances_kept", ("yes",)),)),
        _CONTENTS("soil", "The soil is assessed and the area worked out by it: 4.1 and 4.2.", "basins"),
    ),
    upkeep=SOUTHERN_UPKEEP,
    cautions=also("no storage", "odour"),
)
