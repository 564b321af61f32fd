"""The kinds of entry a logbook holds, as frozen dataclasses in whole small units.

A fact has exactly the columns of its table (a test compares the two). Times are UTC-aware.
Quantities are integers with the unit in the name: ml, mm, cm2, um (0.001 mm), mg, milli (1/1000), udeg (1e-6 degree).
`id` is the entry's number in the whole logbook, the one people see; 0 before it is appended.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import ClassVar

from gwlog.values import dataclass, field, fields, replace

NOT_YET = datetime(1, 1, 1, tzinfo=UTC)

VALVE = ("garden", "sewer")
UNITS = ("us", "metric")
AIMS = ("plants", "garden")
WASHER_KINDS = ("top-load-agitator", "top-load-efficient", "front-load")
EDIBLE = ("none", "off the ground", "touches soil", "root crop")
PRODUCT_KINDS = ("detergent", "bleach", "softener", "booster", "disinfectant", "other")
FORMS = ("liquid", "powder")
CONTENTS = ("diapers", "soiled", "illness", "solvent", "oil", "pesticide", "dye", "drum-cleaning")
OBSERVATIONS = (
    "ponding", "runoff", "odour", "leak", "stressed plant", "blocked outlet", "animals digging",
    "soaked ground", "frozen ground", "illness", "other",
)
MULCH_ACTIONS = ("added", "measured")
RAIN_AS_LOGGED, RAIN_NORMALS = RAIN_DAYS = ("as logged", "normals where not logged")
GROUND_COVERS = ("mulch", "growing")
OTHER_WATERS = ("can", "drip", "hose", "flush")
EXTRACTS = ("saturation", "1:5")
ATTESTED = (
    "permit or notice", "cross-connection check", "manual handed over", "visit", "seal number given",
    "seal number witnessed", "handed on",
)
OF_SEAL_NUMBERS = (GIVEN, WITNESSED) = ("seal number given", "seal number witnessed")
HANDED_ON = "handed on"
MEANS = ("by hand", "by mail", "by e-mail", "read out", "statement", "SSH signature", "time stamp")


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Fact:
    """What every entry carries: when it happened, when it was written, by whom, a note, what it corrects."""

    KIND: ClassVar[str] = ""
    ADDED_LATER: ClassVar[tuple[str, ...]] = ()
    """Columns that entries of earlier layouts lack: sealed only where they hold something."""

    id: int = 0
    happened_at: datetime
    recorded_at: datetime = NOT_YET
    zone: str
    recorded_by: str | None = None
    note: str | None = None
    corrects_id: int | None = None

    # Of any two kinds: entries equal by all they hold, and are told apart quickly by their number.
    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and _values(self) == _values(other)

    def __hash__(self) -> int:
        return hash((self.KIND, self.id, self.happened_at))

    def __repr__(self) -> str:
        values = ", ".join(f"{part.name}={getattr(self, part.name)!r}" for part in fields(self))
        return f"{type(self).__name__}({values})"


def _values(fact: Fact) -> tuple[object, ...]:
    return tuple(getattr(fact, part.name) for part in fields(fact))


# --- what the household owns: a description in force from happened_at; active=False retires it -------------


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Site(Fact):
    """The dwelling: `zone` of the entry is its time zone; the valve's position at the very start, if anybody said.

    `rain`: what a day without logged rain had, None as “normals where not logged”. `water_price_milli`: the price of
    drinking water in thousandths of the `currency` per m3. `code_edition`: the edition in which the code profile is
    kept, None for the oldest. `system_answers`: what was answered of the system itself, as “question: answer”.
    `local_rules`: the rules of the place, each a line of JSON. `tap_water`: the lines of a water report, each as it
    was written (“calcium_meq_l=2.4”). `as_built`: where the parts are, distances in mm, whom to call, permit or
    notice, each a line (“places.valve=behind the machine”).
    """

    KIND: ClassVar[str] = "site"
    ADDED_LATER: ClassVar[tuple[str, ...]] = (
        "rain", "water_price_milli", "currency", "monthly_tmean_mdegc", "code_edition", "system_answers", "local_rules",
        "tap_water", "as_built")

    name: str
    latitude_udeg: int
    units: str
    occupants: int
    code: str
    aim: str = "plants"
    valve: str = "garden"
    eto_zone: int | None = None
    monthly_eto_um: tuple[int, ...] | None = None
    monthly_rain_um: tuple[int, ...] | None = None
    softened_water: bool = False
    rain: str | None = None
    water_price_milli: int | None = None
    currency: str | None = None
    monthly_tmean_mdegc: tuple[int, ...] | None = None
    code_edition: str | None = None
    system_answers: tuple[str, ...] | None = None
    local_rules: tuple[str, ...] | None = None
    tap_water: tuple[str, ...] | None = None
    as_built: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Person(Fact):
    """Somebody who writes in the logbook."""

    KIND: ClassVar[str] = "person"

    name: str
    active: bool = True


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Washer(Fact):
    """A washing machine, the water of one run, and how long a run takes until it has drained."""

    KIND: ClassVar[str] = "washer"
    ADDED_LATER: ClassVar[tuple[str, ...]] = ("run_minutes",)

    name: str
    machine: str
    volume_ml: int
    active: bool = True
    run_minutes: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Basin(Fact):
    """A mulch basin with its soil and planting. `started`: local day on which its balance starts.

    `start_deficit_ml` None means the climate's steady state without graywater. `planted`: local day on which the
    plants were set, `planted_canopy_cm2` and `planted_root_mm` their size then; None: grown up. `ground_cover`: what
    covers the ground under a leafless plant, None as “mulch”.
    """

    KIND: ClassVar[str] = "basin"
    ADDED_LATER: ClassVar[tuple[str, ...]] = ("planted", "planted_canopy_cm2", "planted_root_mm", "ground_cover")

    name: str
    area_cm2: int
    mulch_mm: int
    soil: str
    texture: str
    plants: str
    canopy_cm2: int
    wetted_cm2: int | None = None
    plant_factor_milli: int
    root_depth_mm: int
    depletion_milli: int
    edible: str = "none"
    started: date
    start_deficit_ml: int | None = None
    at_x_mm: int | None = None
    at_y_mm: int | None = None
    active: bool = True
    planted: date | None = None
    planted_canopy_cm2: int | None = None
    planted_root_mm: int | None = None
    ground_cover: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Outlet(Fact):
    """An open hose end. `reaches` None means every basin; `basin`: where it lies when first described."""

    KIND: ClassVar[str] = "outlet"

    name: str
    reaches: tuple[str, ...] | None = None
    basin: str
    share_milli: int = 1000
    at_x_mm: int | None = None
    at_y_mm: int | None = None
    active: bool = True


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Product(Fact):
    """What is put in with a load. None means nobody has looked yet.

    `label`: its ingredients, line by line as they stand there (“sodium carbonate 10-30 %”); `dose_mg`: one dose.
    """

    KIND: ClassVar[str] = "product"
    ADDED_LATER: ClassVar[tuple[str, ...]] = ("label", "dose_mg")

    name: str
    product_kind: str
    form: str | None = None
    chlorine_bleach: bool | None = None
    borax: bool | None = None
    sodium_mg: int | None = None
    active: bool = True
    label: tuple[str, ...] | None = None
    dose_mg: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class UsualLoad(Fact):
    """A load the household does often, under a short name; `run_minutes` where it runs longer or shorter."""

    KIND: ClassVar[str] = "usual_load"
    ADDED_LATER: ClassVar[tuple[str, ...]] = ("run_minutes",)

    name: str
    washer: str
    products: tuple[str, ...] = ()
    contents: tuple[str, ...] = ()
    volume_ml: int | None = None
    active: bool = True
    run_minutes: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class PlannedLoad(Fact):
    """A usual load expected at `starts` (local wall time, ISO, no offset), repeated by an RFC 5545 rule.

    `name` tells plans apart (default: the load's name); `skips` are local days left out.
    """

    KIND: ClassVar[str] = "planned_load"

    name: str
    load: str
    starts: str
    every: str | None = None
    skips: tuple[str, ...] = ()
    active: bool = True


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class UpkeepTask(Fact):
    """Recurring maintenance, `every` like “12 months” or “6 weeks”; `months` limits it to a season."""

    KIND: ClassVar[str] = "upkeep_task"

    name: str
    every: str
    months: tuple[int, ...] | None = None
    source: str | None = None
    active: bool = True


# --- what happened ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class WashLoad(Fact):
    """One run of the machine and where its water went. `usual_load` None: a load without a usual name."""

    KIND: ClassVar[str] = "wash_load"

    usual_load: str | None = None
    washer: str
    volume_ml: int
    products: tuple[str, ...] = ()
    contents: tuple[str, ...] = ()
    went_to: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class OutletMove(Fact):
    """An outlet was put at another basin."""

    KIND: ClassVar[str] = "outlet_move"

    outlet: str
    basin: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class ValveSwitch(Fact):
    """The valve was turned to garden or sewer."""

    KIND: ClassVar[str] = "valve_switch"

    position: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Mulch(Fact):
    """Mulch topped up by a depth (added), or the cover over the discharge point measured."""

    KIND: ClassVar[str] = "mulch"

    basin: str
    action: str
    depth_mm: int


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class WeatherDay(Fact):
    """Weather of one local day: the day's whole rain and its temperatures. Later entries for a day win.

    `rain_from`: the rain is a gauge's total of the local days `rain_from` to `day`, both included. `forecast_made_at`:
    the day is a forecast, made then (UTC, ISO 8601 with Z).
    """

    KIND: ClassVar[str] = "weather_day"
    ADDED_LATER: ClassVar[tuple[str, ...]] = ("rain_from", "forecast_made_at")

    day: date
    rain_um: int | None = None
    tmin_mdegc: int | None = None
    tmax_mdegc: int | None = None
    origin: str = "typed"
    rain_from: date | None = None
    forecast_made_at: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class OtherWater(Fact):
    """Water that did not come from the washing machine: by can, drip line, drinking-water hose, or as a flush."""

    KIND: ClassVar[str] = "other_water"

    basin: str
    volume_ml: int
    way: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class SoilReading(Fact):
    """A soil test or a meter's reading: conductivity of an `extract`, SAR or ESP, boron and pH, whatever was measured.

    The extract says how the soil was wetted: to saturation, or one part of soil in five of water.
    """

    KIND: ClassVar[str] = "soil_reading"

    basin: str
    extract: str = "saturation"
    ec_us_cm: int | None = None
    sar_milli: int | None = None
    esp_milli: int | None = None
    boron_ug_l: int | None = None
    ph_milli: int | None = None

    @property
    def not_of_paste(self) -> tuple[str, ...]:
        """What of it depends on the water in the soil and is of another extract than a saturated paste."""
        if self.extract == "saturation":
            return ()
        return tuple(name for name, value in (("SAR", self.sar_milli), ("boron", self.boron_ug_l)) if value is not None)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Observation(Fact):
    """What somebody saw, at a basin or about the household."""

    KIND: ClassVar[str] = "observation"

    observed: str
    basin: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Resolution(Fact):
    """The end of an observation, or the follow-up of a load that was run against a must."""

    KIND: ClassVar[str] = "resolution"

    resolves_id: int


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class UpkeepDone(Fact):
    """A task of upkeep was done."""

    KIND: ClassVar[str] = "upkeep_done"

    task: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class ReminderAnswer(Fact):
    """Somebody has seen a reminder, or wants to be asked again `until` (UTC, ISO 8601 with Z) and not before."""

    KIND: ClassVar[str] = "reminder_answer"

    key: str
    answer: str
    until: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Attestation(Fact):
    """What happened on paper or between people: a permit, a check, a manual handed over, a visit, a seal number given
    to somebody or witnessed, the logbook handed on.

    `party`: by whom or to whom. `means`: how it came or went. `number`: the seal number it speaks of, “412:9f3a…”.
    `file_name`, `file_sha256`: the file that shows it; a witness's answer lies in the table `attached` too.
    """

    KIND: ClassVar[str] = "attestation"

    attested: str
    party: str | None = None
    means: str | None = None
    number: str | None = None
    file_name: str | None = None
    file_sha256: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False, eq=False)
class Withdrawal(Fact):
    """Strikes out an entry with a reason (the note)."""

    KIND: ClassVar[str] = "withdrawal"

    withdraws_id: int


DESCRIPTIONS: tuple[type[Fact], ...] = (
    Site, Person, Washer, Basin, Outlet, Product, UsualLoad, PlannedLoad, UpkeepTask,
)
HAPPENINGS: tuple[type[Fact], ...] = (
    WashLoad, OutletMove, ValveSwitch, Mulch, WeatherDay, Observation, Resolution, UpkeepDone, ReminderAnswer,
    OtherWater, SoilReading, Attestation,
)
_ALL: tuple[type[Fact], ...] = (*DESCRIPTIONS, *HAPPENINGS, Withdrawal)
KINDS: dict[str, type[Fact]] = {kind.KIND: kind for kind in _ALL}


@dataclass(frozen=True, slots=True)
class Standing:
    """The entries that count, in the order in which they happened, and what became of the others.

    `facts`: corrected entries appear once, under the number of the first wording and with the last wording;
    withdrawn ones not at all. References to a correcting entry point at the first wording.
    `replaced_by`: entry id -> id of the entry that corrects it.
    `withdrawn`: entry id -> id of its withdrawal. `root`: correcting entry id -> id of the first wording.
    """

    facts: tuple[Fact, ...]
    replaced_by: dict[int, int] = field(default_factory=dict)
    withdrawn: dict[int, int] = field(default_factory=dict)
    root: dict[int, int] = field(default_factory=dict)


def standing_entries(entries: list[Fact]) -> Standing:
    """Resolve corrections and withdrawals. `entries`: every entry of the logbook in order of its number."""
    replaced_by: dict[int, int] = {}
    withdrawn: dict[int, int] = {}
    root: dict[int, int] = {}
    last: dict[int, Fact] = {}
    for entry in entries:
        if isinstance(entry, Withdrawal):
            first = root.get(entry.withdraws_id, entry.withdraws_id)
            withdrawn[entry.withdraws_id] = entry.id
            if first in last:
                withdrawn[first] = entry.id
                del last[first]
        elif entry.corrects_id is not None:
            first = root.get(entry.corrects_id, entry.corrects_id)
            root[entry.id] = first
            replaced_by[entry.corrects_id] = entry.id
            if first in last:
                last[first] = replace(entry, id=first)
        else:
            last[entry.id] = entry
    for number, entry in last.items():
        if isinstance(entry, Resolution) and entry.resolves_id in root:
            last[number] = replace(entry, resolves_id=root[entry.resolves_id])
    ordered = sorted(last.values(), key=lambda entry: (entry.happened_at, entry.id))
    return Standing(tuple(ordered), replaced_by, withdrawn, root)
