"""The SQLModel tables by which the writer writes: one per kind of entry, the seal and its parts, salts, deliveries.

Importing this is slow (SQLModel); only the writer does. Columns equal the fields of the facts (a test holds it).
"""

from __future__ import annotations

from datetime import date, datetime
from typing import get_args

from pydantic import ConfigDict
from sqlalchemy import CheckConstraint, ForeignKeyConstraint, Index, Text
from sqlmodel import Field, SQLModel

from gwlog.journal.columns import (
    AREA_CM2,
    ATTACHED_BYTES,
    DAY_UM,
    DEPTH_MM,
    DOSE_MG,
    LOAD_ML,
    OTHER_ML,
    PLACE_MM,
    PRICE_MILLI,
    RUN_MINUTES,
    SALT_US_CM,
    Aim,
    Answer,
    Attested,
    Content,
    Delivered,
    Digest,
    Edible,
    Extract,
    Form,
    GroundCover,
    Line,
    LocalDay,
    LongLine,
    Machine,
    Means,
    Month,
    MulchAction,
    Name,
    Observed,
    OtherWaterWay,
    ProductKind,
    RainDays,
    RuleLine,
    SealNumber,
    Twelve,
    TwelveMeans,
    Units,
    UtcTime,
    Valve,
    ValveAtStart,
    WallTime,
    choice,
    column_checks,
    many,
    whole,
    word,
)
from gwlog.journal.facts import HAPPENINGS, KINDS


class SealRow(SQLModel, table=True):
    """The hash chain: one row per entry, written before it in the same transaction."""

    __tablename__ = "seal"

    seq: int = Field(primary_key=True)
    entry_kind: str
    entry_id: int = Field(unique=True)
    body: str
    prev: str = Field(unique=True)
    hash: str = Field(unique=True)


class NoteSalt(SQLModel, table=True):
    """The salt of a note's digest; emptied together with the note when words are withheld."""

    __tablename__ = "note_salt"

    seq: int = Field(primary_key=True, foreign_key="seal.seq")
    salt: str | None


class PartsRow(SQLModel, table=True):
    """What an entry seals in parts, as one JSON object: part -> its text and the salt of its digest."""

    __tablename__ = "seal_part"

    seq: int = Field(primary_key=True, foreign_key="seal.seq")
    parts: str


class Meta(SQLModel, table=True):
    """Metadata of the logbook: its random id."""

    __tablename__ = "meta"

    key: str = Field(primary_key=True)
    value: str


class DeliveryRow(SQLModel, table=True):
    """The state of a notification to a person by a channel: no entry and not sealed."""

    __tablename__ = "delivery"

    key: str = Field(primary_key=True)
    reminder: str
    person: str
    channel: str
    state: Delivered = Field(sa_type=Text)
    token: str = Field(index=True)
    since: str
    tries: int
    next_try: str | None
    trouble: str | None


class AttachedRow(SQLModel, table=True):
    """A witness's answer as it came, by its digest; an attestation seals the digest."""

    __tablename__ = "attached"

    sha256: str = Field(primary_key=True)
    content: bytes


class Entry(SQLModel):
    """What every entry carries. `id` is the entry's number and its place in the seal."""

    model_config = ConfigDict(strict=True, extra="forbid")  # type: ignore[assignment]

    id: int = Field(primary_key=True, foreign_key="seal.seq")
    happened_at: datetime
    recorded_at: datetime
    zone: str = word(longest=64)
    recorded_by: str | None = word(default=None)
    note: str | None = word(longest=4000, default=None)
    corrects_id: int | None = Field(default=None, unique=True)


class SiteRow(Entry, table=True):
    __tablename__ = "site"

    name: str = word()
    latitude_udeg: int = whole(-90_000_000, 90_000_000)
    units: Units = choice()
    occupants: int = whole(1, 100)
    code: str = word()
    aim: Aim = choice()
    valve: ValveAtStart = choice()
    eto_zone: int | None = whole(1, 18, None)
    monthly_eto_um: Twelve | None = many(None)
    monthly_rain_um: Twelve | None = many(None)
    softened_water: bool
    rain: RainDays | None = choice(None)
    water_price_milli: int | None = whole(0, PRICE_MILLI, None)
    currency: str | None = word(default=None)
    monthly_tmean_mdegc: TwelveMeans | None = many(None)
    code_edition: str | None = word(default=None)
    system_answers: tuple[Name, ...] | None = many(None)
    local_rules: tuple[RuleLine, ...] | None = many(None)
    tap_water: tuple[Line, ...] | None = many(None)
    as_built: tuple[LongLine, ...] | None = many(None)


class PersonRow(Entry, table=True):
    __tablename__ = "person"

    name: str = word()
    active: bool


class WasherRow(Entry, table=True):
    __tablename__ = "washer"

    name: str = word()
    machine: Machine = choice()
    volume_ml: int = whole(1, LOAD_ML)
    active: bool
    run_minutes: int | None = whole(1, RUN_MINUTES, None)


class BasinRow(Entry, table=True):
    __tablename__ = "basin"

    name: str = word()
    area_cm2: int = whole(1, AREA_CM2)
    mulch_mm: int = whole(0, DEPTH_MM)
    soil: str = word()
    texture: str = word()
    plants: str = word(longest=200)
    canopy_cm2: int = whole(0, AREA_CM2)
    wetted_cm2: int | None = whole(1, AREA_CM2, None)
    plant_factor_milli: int = whole(0, 2_000)
    root_depth_mm: int = whole(1, 10_000)
    depletion_milli: int = whole(1, 999)
    edible: Edible = choice()
    started: date
    start_deficit_ml: int | None = whole(0, 1_000_000_000, None)
    at_x_mm: int | None = whole(-PLACE_MM, PLACE_MM, None)
    at_y_mm: int | None = whole(-PLACE_MM, PLACE_MM, None)
    active: bool
    planted: date | None = None
    planted_canopy_cm2: int | None = whole(1, AREA_CM2, None)
    planted_root_mm: int | None = whole(1, 10_000, None)
    ground_cover: GroundCover | None = choice(None)


class OutletRow(Entry, table=True):
    __tablename__ = "outlet"

    name: str = word()
    reaches: tuple[Name, ...] | None = many(None)
    basin: str = word()
    share_milli: int = whole(1, 1_000_000)
    at_x_mm: int | None = whole(-PLACE_MM, PLACE_MM, None)
    at_y_mm: int | None = whole(-PLACE_MM, PLACE_MM, None)
    active: bool


class ProductRow(Entry, table=True):
    __tablename__ = "product"

    name: str = word()
    product_kind: ProductKind = choice()
    form: Form | None = choice(None)
    chlorine_bleach: bool | None = None
    borax: bool | None = None
    sodium_mg: int | None = whole(0, 1_000_000, None)
    active: bool
    label: tuple[Line, ...] | None = many(None)
    dose_mg: int | None = whole(1, DOSE_MG, None)


class UsualLoadRow(Entry, table=True):
    __tablename__ = "usual_load"

    name: str = word()
    washer: str = word()
    products: tuple[Name, ...] = many()
    contents: tuple[Content, ...] = many()
    volume_ml: int | None = whole(1, LOAD_ML, None)
    active: bool
    run_minutes: int | None = whole(1, RUN_MINUTES, None)


class PlannedLoadRow(Entry, table=True):
    __tablename__ = "planned_load"

    name: str = word()
    load: str = word()
    starts: WallTime = word(longest=32)
    every: str | None = word(longest=500, default=None)
    skips: tuple[LocalDay, ...] = many()
    active: bool


class UpkeepTaskRow(Entry, table=True):
    __tablename__ = "upkeep_task"

    name: str = word(longest=60)
    every: str = word(longest=32)
    months: tuple[Month, ...] | None = many(None)
    source: str | None = word(longest=300, default=None)
    active: bool


class WashLoadRow(Entry, table=True):
    __tablename__ = "wash_load"

    usual_load: str | None = word(default=None)
    washer: str = word()
    volume_ml: int = whole(1, LOAD_ML)
    products: tuple[Name, ...] = many()
    contents: tuple[Content, ...] = many()
    went_to: Valve = choice()


class OutletMoveRow(Entry, table=True):
    __tablename__ = "outlet_move"

    outlet: str = word()
    basin: str = word()


class ValveSwitchRow(Entry, table=True):
    __tablename__ = "valve_switch"

    position: Valve = choice()


class MulchRow(Entry, table=True):
    __tablename__ = "mulch"

    basin: str = word()
    action: MulchAction = choice()
    depth_mm: int = whole(0, DEPTH_MM)


class WeatherDayRow(Entry, table=True):
    __tablename__ = "weather_day"

    day: date
    rain_um: int | None = whole(0, DAY_UM, None)
    tmin_mdegc: int | None = whole(-90_000, 60_000, None)
    tmax_mdegc: int | None = whole(-90_000, 60_000, None)
    origin: str = word()
    rain_from: date | None = None
    forecast_made_at: UtcTime | None = word(longest=32, default=None)


class ObservationRow(Entry, table=True):
    __tablename__ = "observation"

    observed: Observed = choice()
    basin: str | None = word(default=None)


class ResolutionRow(Entry, table=True):
    __tablename__ = "resolution"

    resolves_id: int = Field(foreign_key="seal.seq")


class UpkeepDoneRow(Entry, table=True):
    __tablename__ = "upkeep_done"

    task: str = word(longest=60)


class ReminderAnswerRow(Entry, table=True):
    __tablename__ = "reminder_answer"

    key: str = word(longest=120)
    answer: Answer = choice()
    until: UtcTime | None = word(longest=32, default=None)


class OtherWaterRow(Entry, table=True):
    __tablename__ = "other_water"

    basin: str = word()
    volume_ml: int = whole(1, OTHER_ML)
    way: OtherWaterWay = choice()


class SoilReadingRow(Entry, table=True):
    __tablename__ = "soil_reading"

    basin: str = word()
    extract: Extract = choice()
    ec_us_cm: int | None = whole(0, SALT_US_CM, None)
    sar_milli: int | None = whole(0, 1_000_000, None)
    esp_milli: int | None = whole(0, 99_000, None)
    boron_ug_l: int | None = whole(0, 1_000_000, None)
    ph_milli: int | None = whole(0, 14_000, None)


class AttestationRow(Entry, table=True):
    __tablename__ = "attestation"

    attested: Attested = choice()
    party: str | None = word(longest=120, default=None)
    means: Means | None = choice(None)
    number: SealNumber | None = word(longest=80, default=None)
    file_name: str | None = word(longest=120, default=None)
    file_sha256: Digest | None = word(longest=64, default=None)


class WithdrawalRow(Entry, table=True):
    __tablename__ = "withdrawal"

    withdraws_id: int = Field(foreign_key="seal.seq", unique=True)


TABLES: dict[str, type[Entry]] = {
    str(row.__tablename__): row for row in (
        SiteRow, PersonRow, WasherRow, BasinRow, OutletRow, ProductRow, UsualLoadRow, PlannedLoadRow,
        UpkeepTaskRow, WashLoadRow, OutletMoveRow, ValveSwitchRow, MulchRow, WeatherDayRow, ObservationRow,
        ResolutionRow, UpkeepDoneRow, ReminderAnswerRow, OtherWaterRow, SoilReadingRow, AttestationRow, WithdrawalRow,
    )
}

_HEX64 = "length({0}) = 64 AND {0} NOT GLOB '*[^0-9a-f]*'"

# Rules between columns. No JSON functions: SQLite refuses them in a schema it is told not to trust.
_MORE: dict[str, dict[str, str]] = {
    "mulch": {"depth_of_action": "depth_mm > 0 OR action = 'measured'"},
    "weather_day": {
        "something_measured": "coalesce(rain_um, tmin_mdegc, tmax_mdegc) IS NOT NULL",
        "tmin_below_tmax": "tmin_mdegc <= tmax_mdegc",
    },
    "soil_reading": {
        "something_read": "coalesce(ec_us_cm, sar_milli, esp_milli, boron_ug_l, ph_milli) IS NOT NULL",
    },
    "attestation": {
        "number_form": "number GLOB '[1-9]*:*' AND number NOT GLOB '*[^0-9a-f:]*' AND length(number) >= 18",
        "number_of_seal": "(attested IN ('seal number given', 'seal number witnessed')) = (number IS NOT NULL)",
        "digest_form": _HEX64.format("file_sha256"),
    },
    "resolution": {"resolves_earlier": "resolves_id < id"},
    "reminder_answer": {"until_of_snooze": "(answer = 'snoozed') = (until IS NOT NULL)"},
    "withdrawal": {"withdraws_earlier": "withdraws_id < id", "withdrawal_stays": "corrects_id IS NULL"},
}

for _name, _row in TABLES.items():
    _table = _row.__table__  # type: ignore[attr-defined]
    _table.append_constraint(ForeignKeyConstraint(["corrects_id"], [f"{_name}.id"]))
    for _label, _rule in {**column_checks(_row), **_MORE.get(_name, {})}.items():
        _table.append_constraint(CheckConstraint(_rule, name=_label))
    if KINDS[_name] in HAPPENINGS:   # the kinds that grow year by year are listed by their moment
        Index(f"{_name}_happened_at", _table.c.happened_at)
for _label, _rule in {
    "entry_is_seq": "entry_id = seq",
    "entry_kind": "length(entry_kind) BETWEEN 1 AND 60",
    "body_form": "body GLOB '{*}'",
    "prev_form": _HEX64.format("prev"),
    "hash_form": _HEX64.format("hash"),
}.items():
    SealRow.__table__.append_constraint(CheckConstraint(_rule, name=_label))  # type: ignore[attr-defined]
PartsRow.__table__.append_constraint(  # type: ignore[attr-defined]
    CheckConstraint("parts GLOB '{*}'", name="parts_form"))
for _label, _rule in {
    "sha256_form": _HEX64.format("sha256"), "content_size": f"length(content) BETWEEN 1 AND {ATTACHED_BYTES}",
}.items():
    AttachedRow.__table__.append_constraint(CheckConstraint(_rule, name=_label))  # type: ignore[attr-defined]
DeliveryRow.__table__.append_constraint(CheckConstraint(  # type: ignore[attr-defined]
    f"state IN ({', '.join(repr(word) for word in get_args(Delivered))})", name="state"))
