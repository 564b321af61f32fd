"""The manual's sentences that are the same for every household: plain words for whoever lives there next.

Practice of the trade where no source is named; figures come from gwlog.reference.
"""

from __future__ import annotations

from gwlog.reference.chemistry import SODIUM_TARGET_G
from gwlog.reference.upkeep import FLUSH_LINE, with_how
from gwlog.water.basin import LEACHING_SHARE
from gwlog.water.rest import REST_AFTER_FILLING, REST_AFTER_PONDING

STAYS = "Keep this manual with the building. Whoever moves in next needs it, and has a right to it."

WHAT = (
    "Water drained from the washing machine (graywater) can go to the garden instead of the sewer.",
    "The machine's own pump pushes it through a valve and one pipe to open hose ends (outlets). Each outlet is under "
    "mulch in a shallow basin dug around plants. The mulch holds the surge while the soil soaks it up, and the plants "
    "use it.",
    "There is no tank, no filter, no added pump and no controller. People turn the valve and move the outlets from "
    "basin to basin, so that none gets more than it can take.",
    "The water is not for drinking, and its pipe is never joined to a drinking-water pipe.",
)

VALVE = (
    "It has two positions. GARDEN (▶): the water runs to the outlets. SEWER (▼): it runs down the house's drain, as in "
    "a house without this system.",
    "Turn it before the machine is started, all the way to its stop. Turning it while the machine pumps strains "
    "machine and pipe.",
    "When in doubt: SEWER. That is never wrong.",
)

WAYS = {"garden": "▶ garden", "sewer": "▼ SEWER", "better sewer": "▼ better sewer"}

PRODUCTS = (
    "Look for: low-sudsing, liquid rather than powder, labeled safe for graywater and septic systems.",
    "Keep out of garden loads: chlorine bleach, borax, fabric softener, disinfectants.",
    f"Less than {SODIUM_TARGET_G.value:g} g of sodium a wash. Powders carry far more than liquids.",
    "Where something is “not known” above, read the label before the next garden load.",
)

QUALITY = (
    "Only the washing machine is connected; no kitchen, no toilet, no bath.",
    "What would harm soil, plants or people goes to the sewer: see “Which loads go where”.",
    "The water is never kept: it runs out within the load, and pipes slope so that they drain.",
    "It comes out under mulch and is never sprayed; people and pets stay off it.",
    "Salt is washed down by rain, or by a flush with drinking water in rainless weeks.",
)

AT_ONCE = (
    "If the machine is pumping, pause it.",
    "Turn the valve to SEWER, then let the machine finish. From now on the house works as one without this system.",
    "Keep people and pets away from standing water. Wearing gloves, rake mulch over it; wash your hands afterward.",
)
FOR_WEEKS = (
    "Turn the valve to SEWER.",
    "Lift the outlets so that the line runs empty; where it freezes, leave no water in low places.",
    "Hang a note on the valve: why, since when, who did it.",
    "Before starting again: throw the valve both ways, check that the air vent and the outlet ends are open, "
    "measure the mulch, and watch the first load to its end.",
)
FOR_GOOD = (
    "Turn the valve to SEWER and take off its handle, or have a plumber take the valve out.",
    "Rinse the line with drinking water from a bucket, never through a joint; take up the pipe and its labels.",
    "Fill the basins with soil. Wear gloves; wash your hands.",
    "Tell the owner, and the agency where it was given notice.",
)

TROUBLE: tuple[tuple[str, str], ...] = (
    ("Water stands in a basin or runs off",
     "Valve to SEWER. Move the outlet to another basin. Let it rest; loosen the soil or widen the basin. If it comes "
     "back, the basin is too small for what it gets."),
    ("Smell", "Valve to SEWER. Renew the mulch where it is slimy; look for water that cannot soak in."),
    ("A leak at valve, clamp or pipe",
     "Stop the machine and do not touch it with wet hands or from a wet floor; switch it off at the breaker if water "
     "reached plug or cord. Valve to SEWER. Tighten or replace the clamp, run a rinse, look again."),
    ("The machine drains slowly, or stops with a fault",
     "Valve to SEWER. Look for a kink, a plugged outlet end, lint in a low place; "
     f"{with_how(FLUSH_LINE.name)}."),
    ("Water runs back into the machine, or the machine fills and drains at once",
     "Valve to SEWER. The air vent is blocked or missing: without it the line siphons."),
    ("Nothing comes out of an outlet", "Clear its end of roots, lint and mulch; look for a kink on the way."),
    ("Plants yellow or wilt",
     "Move the outlet elsewhere for some weeks; water deeply with drinking water; check the detergent."),
    ("Animals dig at the basin",
     "Put the mulch back at once; lay a board or stones over the outlet until they lose interest."),
    ("Frost, soaked ground, heavy rain", "Valve to SEWER until the ground has thawed or dried."),
    ("Somebody is ill", "Valve to SEWER for all loads until they are well."),
)

PARTS = (
    ("valve", "Valve"), ("pipe", "Line"), ("vent", "Air vent"), ("clean_out", "Clean-out"),
    ("drain", "Sewer side of the valve"), ("shutoff", "Taps of the machine's water"), ("breaker", "Machine's breaker"),
)
"""The keys of [places] and the parts' names, from the machine on."""

WHOM = (
    ("owner", "Owner or manager of the building"), ("plumber", "Plumber, licensed"),
    ("agency", "Agency that looks after graywater"), ("water_utility", "Water utility"),
    ("installer", "Who built this system, and when"), ("maker", "Maker of the machine or of the valve"),
    ("", "Who looks after it now"),
)
"""The keys of [contacts] and who they are; nobody of the household is printed, so one line is always for the pencil."""

PERMIT = (("number", "Permit or notice, number"), ("office", "Office"), ("day", "Day"))
NO_JOINT = (
    "Follow the line from the machine to every open end. No tap, hose, irrigation line or filling pipe is joined to "
    "it, not even through a valve.",
    "See that every label can be read.",
    "Where something joins it: valve to SEWER, and call the plumber before anybody drinks.",
    "Write it down here, and in the logbook.",
)
NO_JOINT_SEEN = ("Day, who looked, what was found",) * 3
HANDED_ON = ("To (name, date, signature)", "To (name, date, signature)", "To (name, date, signature)")


def wash_day(usual: str) -> tuple[str, ...]:
    """What to do on a wash day; `usual`: the water of a usual load in words."""
    return (
        "Look up the load under “Which loads go where”. If it goes to the sewer, turn the valve to SEWER.",
        "If it goes to the garden, see where the outlets are. A basin that is wet from the last load, or resting, gets "
        "nothing: move the outlet to one that is dry below the mulch.",
        f"Turn the valve to GARDEN and start the machine. A usual load here is about {usual}.",
        "When the machine has drained, look whether water stands. It should be gone within minutes.",
        "After a sewer load, turn the valve back to GARDEN.",
        "Log the load, the valve and any move, on the card by the machine or in the logbook.",
    )


def how_much(least: str, deep: str) -> tuple[str, ...]:
    """What a basin may get; `least`: the code's cover, `deep`: how far down the soil is felt, in words."""
    return (
        "Two limits hold. What the soil can absorb in a day, and what the mulch holds while the machine drains: both "
        "are in the table of basins and are never passed.",
        "The plants use far less than the soil could absorb. Give a basin its next load when the soil is dry "
        f"{deep} below the mulch; about {LEACHING_SHARE * 100:.0f} % may sink below the roots, to carry salt down.",
        f"A basin that was filled rests {_hours(REST_AFTER_FILLING.total_seconds())}; one in which water stood rests "
        f"{_hours(REST_AFTER_PONDING.total_seconds())} and until the cause is put right (working assumptions).",
        f"The water comes out under at least {least} of mulch. Thinner: no water there until it is topped up.",
        "Not for root crops, nor for food whose edible part touches the soil.",
    )


def cover(least: str) -> tuple[str, ...]:
    """How the cover is kept."""
    return (
        f"Mulch: measure it over the outlet with a ruler. Top up well before it is down to {least}: half an inch (13 "
        "mm) above that is the time to do it.",
        "Coarse wood chips last longest. Keep them clear of trunks.",
        "Keep the record of what was done for five years or longer.",
    )


def _hours(seconds: float) -> str:
    return f"{seconds / 3600:.0f} hours"
