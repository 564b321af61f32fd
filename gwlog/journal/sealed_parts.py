"""In which part each column of each kind of entry is sealed: the one table. A column that it lacks cannot be sealed.

What a part holds is in disclosure.py, how it is hashed in chain.py.
"""

from __future__ import annotations

from functools import cache

from gwlog.journal.disclosure import PARTS, PRIVATE, WHAT, WHEN, WHO
from gwlog.journal.facts import KINDS, Attestation, Fact, Person
from gwlog.values import fields, replace

OPEN = None
"""The column stands in the body itself, for every reader."""

_EVERY_KIND: dict[str | None, str] = {
    WHEN: "happened_at recorded_at zone",
    WHO: "recorded_by",
    OPEN: "corrects_id",
}

# Of what happens nothing stands open, its kind neither: where weather is logged day by day, whoever counts the days'
# entries between two loads knows how far apart they are. What is described seldom changes, and stands open.
# A day's rain and temperatures can be looked up, so that they would tell the day: they are sealed together with it. How
# many live in a dwelling, whom they call, and everything about a product, is the household's own affair as its loads
# are. An answer's digest stands open, so that everybody can hold the answer to it.
_OF_KIND: dict[str, dict[str | None, str]] = {
    "site": {
        PRIVATE: "occupants as_built",
        OPEN: "name latitude_udeg units code aim valve eto_zone monthly_eto_um monthly_rain_um softened_water rain "
              "water_price_milli currency monthly_tmean_mdegc code_edition system_answers local_rules tap_water",
    },
    "person": {WHO: "name", OPEN: "active"},
    "washer": {OPEN: "name machine volume_ml active run_minutes"},
    "basin": {
        WHEN: "started planted",
        OPEN: "name area_cm2 mulch_mm soil texture plants canopy_cm2 wetted_cm2 plant_factor_milli root_depth_mm "
              "depletion_milli edible start_deficit_ml at_x_mm at_y_mm active planted_canopy_cm2 planted_root_mm "
              "ground_cover",
    },
    "outlet": {OPEN: "name reaches basin share_milli at_x_mm at_y_mm active"},
    "product": {
        PRIVATE: "name product_kind form chlorine_bleach borax sodium_mg label dose_mg",
        OPEN: "active",
    },
    "usual_load": {PRIVATE: "name products contents", OPEN: "washer volume_ml active run_minutes"},
    "planned_load": {WHEN: "starts every skips", PRIVATE: "name load", OPEN: "active"},
    "upkeep_task": {OPEN: "name every months source active"},
    "wash_load": {PRIVATE: "usual_load products contents", WHAT: "washer volume_ml went_to"},
    "outlet_move": {WHAT: "outlet basin"},
    "valve_switch": {WHAT: "position"},
    "mulch": {WHAT: "basin action depth_mm"},
    "weather_day": {WHAT: "", WHEN: "day rain_um tmin_mdegc tmax_mdegc origin rain_from forecast_made_at"},
    "other_water": {WHAT: "basin volume_ml way"},
    "soil_reading": {WHAT: "basin extract ec_us_cm sar_milli esp_milli boron_ug_l ph_milli"},
    "observation": {PRIVATE: "observed", WHAT: "basin"},
    "resolution": {WHAT: "resolves_id"},
    "upkeep_done": {WHAT: "task"},
    "reminder_answer": {WHAT: "", WHEN: "until", PRIVATE: "key answer"},
    # Seldom, of days that who reads it knows anyhow; a witness's answer in a pack is compared with the digest in it.
    "attestation": {WHO: "party", PRIVATE: "file_name", OPEN: "attested means number file_sha256"},
    "withdrawal": {WHAT: "withdraws_id"},
}


@cache
def parts_of_columns(kind: str) -> dict[str, str | None]:
    """Column -> the part in which it is sealed, or OPEN, of a kind of entry; number and note left out."""
    found = {name: part for group in (_EVERY_KIND, _OF_KIND[kind]) for part, names in group.items()
             for name in names.split()}
    if hides(kind):
        found["corrects_id"] = WHAT
    return found


def hides(kind: str) -> bool:
    """Whether the kind itself is sealed in the part WHAT. Such entries have every part, also one in which nothing is,
    so that all kinds of them look alike to whom they are closed."""
    return WHAT in _OF_KIND[kind]


@cache
def columns_of_parts(kind: str) -> dict[str, tuple[str, ...]]:
    """Each part that a kind of entry has, with its columns."""
    found = parts_of_columns(kind)
    return {part: tuple(name for name in found if found[name] == part) for part in PARTS
            if hides(kind) or part in found.values()}


def undecided(kind: str) -> set[str]:
    """The columns of a kind of which nobody has decided in which part they are sealed, or that are not there."""
    return ({part.name for part in fields(KINDS[kind])} - {"id", "note"}) ^ set(parts_of_columns(kind))


def stand_in(number: int) -> str:
    """The name of a person in a logbook from which people's names were left out; by it the descriptions are kept
    apart."""
    return f"resident {number}"


def without_who(fact: Fact) -> Fact:
    """The entry as a logbook holds it from which people's names were left out."""
    if isinstance(fact, Person):
        return replace(fact, recorded_by=None, name=stand_in(fact.id))
    if isinstance(fact, Attestation):
        return replace(fact, recorded_by=None, party=None)
    return replace(fact, recorded_by=None)
