"""The pen's view of the logbook: one SQLModel table per kind of entry, with what each column accepts.

Importing this is slow (SQLModel); only the writer does. Columns equal the fields of the facts (a test holds it).
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any, Literal, get_args, get_origin

from annotated_types import Ge, Le, MaxLen, MinLen
from pydantic import ConfigDict
from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Date,
    DateTime,
    Dialect,
    ForeignKeyConstraint,
    Text,
    TypeDecorator,
)
from sqlmodel import Field, SQLModel

from gwlog.journal.seal import canonical_list

Valve = Literal["garden", "sewer"]
Units = Literal["us", "metric"]
Aim = Literal["plants", "garden"]
Machine = Literal["top-load-agitator", "top-load-efficient", "front-load"]
Edible = Literal["none", "off the ground", "touches soil", "root crop"]
ProductKind = Literal["detergent", "bleach", "softener", "booster", "disinfectant", "other"]
Form = Literal["liquid", "powder"]
Content = Literal["diapers", "soiled", "illness", "solvent", "oil", "pesticide", "dye", "drum-cleaning"]
Observed = Literal[
    "ponding", "runoff", "odour", "leak", "stressed plant", "blocked outlet", "animals digging",
    "soaked ground", "frozen ground", "illness", "other",
]
MulchAction = Literal["added", "measured"]

# Limits that keep slips of the finger out; far beyond any household.
LOAD_ML = 2_000_000            # 528 gal in one run of a washing machine
AREA_CM2 = 100_000_000         # 1 ha
DEPTH_MM = 2_000               # of mulch
MONTH_UM = 5_000_000           # 5 m of rain in a month
DAY_UM = 2_000_000             # 2 m of rain in a day
PLACE_MM = 10_000_000          # 10 km from the plan's corner


class JsonList(TypeDecorator[tuple[Any, ...]]):
    """A tuple of words or whole numbers, stored as a JSON list."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: tuple[Any, ...] | None, dialect: Dialect) -> str | None:
        return None if value is None else canonical_list(value)


def _word(*, longest: int = 60, default: Any = ...) -> Any:
    return Field(default, min_length=1, max_length=longest)


def _choice(default: Any = ...) -> Any:
    return Field(default, sa_type=Text)


def _whole(low: int, high: int, default: Any = ...) -> Any:
    return Field(default, ge=low, le=high)


def _list(default: Any = ...) -> Any:
    return Field(default, sa_type=JsonList)


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


class Meta(SQLModel, table=True):
    """What the logbook says about itself: its random id."""

    __tablename__ = "meta"

    key: str = Field(primary_key=True)
    value: str


class Entry(SQLModel):
    """What every entry carries. `id` is the entry's number and its place in the seal."""

    model_config = ConfigDict(strict=True, extra="forbid")  # type: ignore[assignment]

    id: int = Field(primary_key=True, foreign_key="seal.seq")
    happened_at: datetime
    recorded_at: datetime
    zone: str = _word(longest=64)
    recorded_by: str | None = _word(default=None)
    note: str | None = _word(longest=4000, default=None)
    corrects_id: int | None = Field(default=None, unique=True)


Name = Annotated[str, MinLen(1), MaxLen(60)]
Month = Annotated[int, Ge(1), Le(12)]
MonthDepth = Annotated[int, Ge(0), Le(MONTH_UM)]
Twelve = Annotated[tuple[MonthDepth, ...], MinLen(12), MaxLen(12)]


class SiteRow(Entry, table=True):
    __tablename__ = "site"

    name: str = _word()
    latitude_udeg: int = _whole(-90_000_000, 90_000_000)
    units: Units = _choice()
    occupants: int = _whole(1, 100)
    code: str = _word()
    aim: Aim = _choice()
    valve: Valve = _choice()
    eto_zone: int | None = _whole(1, 18, None)
    monthly_eto_um: Twelve | None = _list(None)
    monthly_rain_um: Twelve | None = _list(None)
    softened_water: bool


class PersonRow(Entry, table=True):
    __tablename__ = "person"

    name: str = _word()
    active: bool


class WasherRow(Entry, table=True):
    __tablename__ = "washer"

    name: str = _word()
    machine: Machine = _choice()
    volume_ml: int = _whole(1, LOAD_ML)
    active: bool


class BasinRow(Entry, table=True):
    __tablename__ = "basin"

    name: str = _word()
    area_cm2: int = _whole(1, AREA_CM2)
    mulch_mm: int = _whole(0, DEPTH_MM)
    soil: str = _word()
    texture: str = _word()
    plants: str = _word(longest=200)
    canopy_cm2: int = _whole(0, AREA_CM2)
    wetted_cm2: int | None = _whole(1, AREA_CM2, None)
    plant_factor_milli: int = _whole(0, 2_000)
    root_depth_mm: int = _whole(1, 10_000)
    depletion_milli: int = _whole(1, 999)
    edible: Edible = _choice()
    started: date
    start_deficit_ml: int | None = _whole(0, 1_000_000_000, None)
    at_x_mm: int | None = _whole(-PLACE_MM, PLACE_MM, None)
    at_y_mm: int | None = _whole(-PLACE_MM, PLACE_MM, None)
    active: bool


class OutletRow(Entry, table=True):
    __tablename__ = "outlet"

    name: str = _word()
    reaches: tuple[Name, ...] | None = _list(None)
    basin: str = _word()
    share_milli: int = _whole(1, 1_000_000)
    at_x_mm: int | None = _whole(-PLACE_MM, PLACE_MM, None)
    at_y_mm: int | None = _whole(-PLACE_MM, PLACE_MM, None)
    active: bool


class ProductRow(Entry, table=True):
    __tablename__ = "product"

    name: str = _word()
    product_kind: ProductKind = _choice()
    form: Form | None = _choice(None)
    chlorine_bleach: bool | None = None
    borax: bool | None = None
    sodium_mg: int | None = _whole(0, 1_000_000, None)
    active: bool


class UsualLoadRow(Entry, table=True):
    __tablename__ = "usual_load"

    name: str = _word()
    washer: str = _word()
    products: tuple[Name, ...] = _list()
    contents: tuple[Content, ...] = _list()
    volume_ml: int | None = _whole(1, LOAD_ML, None)
    active: bool


class PlannedLoadRow(Entry, table=True):
    __tablename__ = "planned_load"

    name: str = _word()
    load: str = _word()
    starts: str = _word(longest=32)
    every: str | None = _word(longest=500, default=None)
    skips: tuple[Name, ...] = _list()
    active: bool


class UpkeepTaskRow(Entry, table=True):
    __tablename__ = "upkeep_task"

    name: str = _word(longest=120)
    every: str = _word(longest=32)
    months: tuple[Month, ...] | None = _list(None)
    source: str | None = _word(longest=300, default=None)
    active: bool


class WashLoadRow(Entry, table=True):
    __tablename__ = "wash_load"

    usual_load: str | None = _word(default=None)
    washer: str = _word()
    volume_ml: int = _whole(1, LOAD_ML)
    products: tuple[Name, ...] = _list()
    contents: tuple[Content, ...] = _list()
    went_to: Valve = _choice()


class OutletMoveRow(Entry, table=True):
    __tablename__ = "outlet_move"

    outlet: str = _word()
    basin: str = _word()


class ValveSwitchRow(Entry, table=True):
    __tablename__ = "valve_switch"

    position: Valve = _choice()


class MulchRow(Entry, table=True):
    __tablename__ = "mulch"

    basin: str = _word()
    action: MulchAction = _choice()
    depth_mm: int = _whole(0, DEPTH_MM)


class WeatherDayRow(Entry, table=True):
    __tablename__ = "weather_day"

    day: date
    rain_um: int | None = _whole(0, DAY_UM, None)
    tmin_mdegc: int | None = _whole(-90_000, 60_000, None)
    tmax_mdegc: int | None = _whole(-90_000, 60_000, None)
    origin: str = _word()


class ObservationRow(Entry, table=True):
    __tablename__ = "observation"

    observed: Observed = _choice()
    basin: str | None = _word(default=None)


class ResolutionRow(Entry, table=True):
    __tablename__ = "resolution"

    resolves_id: int = Field(foreign_key="seal.seq")


class UpkeepDoneRow(Entry, table=True):
    __tablename__ = "upkeep_done"

    task: str = _word(longest=120)


class WithdrawalRow(Entry, table=True):
    __tablename__ = "withdrawal"

    withdraws_id: int = Field(foreign_key="seal.seq", unique=True)


TABLES: dict[str, type[Entry]] = {
    str(row.__tablename__): row for row in (
        SiteRow, PersonRow, WasherRow, BasinRow, OutletRow, ProductRow, UsualLoadRow, PlannedLoadRow,
        UpkeepTaskRow, WashLoadRow, OutletMoveRow, ValveSwitchRow, MulchRow, WeatherDayRow, ObservationRow,
        ResolutionRow, UpkeepDoneRow, WithdrawalRow,
    )
}

_DIGIT = "[0-9]"
_DAY = f"{_DIGIT * 4}-[01]{_DIGIT}-[0-3]{_DIGIT}"
_MOMENT = f"[12]{_DIGIT * 3}-[01]{_DIGIT}-[0-3]{_DIGIT} [0-2]{_DIGIT}:[0-5]{_DIGIT}:[0-5]{_DIGIT}.{_DIGIT * 6}"
_HEX64 = "length({0}) = 64 AND {0} NOT GLOB '*[^0-9a-f]*'"

# Rules between columns. No JSON functions: SQLite refuses them in a schema it is told not to trust.
_MORE: dict[str, dict[str, str]] = {
    "mulch": {"depth_of_action": "depth_mm > 0 OR action = 'measured'"},
    "weather_day": {
        "something_measured": "coalesce(rain_um, tmin_mdegc, tmax_mdegc) IS NOT NULL",
        "tmin_below_tmax": "tmin_mdegc <= tmax_mdegc",
    },
    "resolution": {"resolves_earlier": "resolves_id < id"},
    "withdrawal": {
        "withdraws_earlier": "withdraws_id < id",
        "withdrawal_stays": "corrects_id IS NULL",
    },
}


def _column_checks(row: type[Entry]) -> dict[str, str]:
    checks = {"corrects_id": "corrects_id < id"}
    for name, field in row.model_fields.items():
        column = row.__table__.c[name]  # type: ignore[attr-defined]
        limits = {type(rule): rule for rule in field.metadata}
        choice = next((kind for kind in (field.annotation, *get_args(field.annotation))
                       if get_origin(kind) is Literal), None)
        if isinstance(column.type, JsonList):
            checks[name] = f"{name} GLOB '[[]*]' AND length({name}) <= 20000"
        elif isinstance(column.type, DateTime):
            checks[name] = f"{name} GLOB '{_MOMENT}'"
        elif isinstance(column.type, Date):
            checks[name] = f"{name} GLOB '{_DAY}'"
        elif isinstance(column.type, Boolean):
            checks[name] = f"{name} IN (0, 1)"
        elif choice is not None:
            checks[name] = f"{name} IN ({', '.join(repr(word) for word in get_args(choice))})"
        elif Ge in limits and Le in limits:
            checks[name] = f"{name} BETWEEN {limits[Ge].ge} AND {limits[Le].le}"
        elif MaxLen in limits:
            checks[name] = f"length({name}) BETWEEN 1 AND {limits[MaxLen].max_length}"
    return checks


for _name, _row in TABLES.items():
    _table = _row.__table__  # type: ignore[attr-defined]
    _table.append_constraint(ForeignKeyConstraint(["corrects_id"], [f"{_name}.id"]))
    for _label, _rule in {**_column_checks(_row), **_MORE.get(_name, {})}.items():
        _table.append_constraint(CheckConstraint(_rule, name=_label))
for _label, _rule in {
    "entry_is_seq": "entry_id = seq",
    "entry_kind": "length(entry_kind) BETWEEN 1 AND 60",
    "body_form": "body GLOB '{*}'",
    "prev_form": _HEX64.format("prev"),
    "hash_form": _HEX64.format("hash"),
}.items():
    SealRow.__table__.append_constraint(CheckConstraint(_rule, name=_label))  # type: ignore[attr-defined]
