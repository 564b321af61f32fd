"""What a column of the logbook accepts: types, choices and limits, defined once for writer and file.

SQLModel validates by them when writing; the CHECK constraints of the file are generated from them.
"""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Annotated, Any, Literal, get_args, get_origin

from annotated_types import Ge, Le, MaxLen, MinLen
from pydantic import AfterValidator
from sqlalchemy import Boolean, Date, Dialect, Text, TypeDecorator
from sqlmodel import Field, SQLModel

from gwlog.journal.chain import canonical_list

Valve = Literal["garden", "sewer"]
ValveAtStart = Literal["garden", "sewer", "unknown"]
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
RainDays = Literal["as logged", "normals where not logged"]
GroundCover = Literal["mulch", "growing"]
OtherWaterWay = Literal["can", "drip", "hose", "flush"]
Extract = Literal["saturation", "1:5"]
Attested = Literal[
    "permit or notice", "cross-connection check", "manual handed over", "visit", "seal number given",
    "seal number witnessed", "handed on",
]
Means = Literal["by hand", "by mail", "by e-mail", "read out", "statement", "SSH signature", "time stamp"]
Answer = Literal["seen", "snoozed"]
Delivered = Literal["claimed", "handed", "told", "failed"]

# Limits against typing errors, far beyond any household.
RUN_MINUTES = 600              # ten hours, longer than any programme of a washing machine
LOAD_ML = 2_000_000            # 528 gal in one run of a washing machine
AREA_CM2 = 100_000_000         # 1 ha
DEPTH_MM = 2_000               # of mulch
MONTH_UM = 5_000_000           # 5 m of rain in a month
DAY_UM = 2_000_000             # 2 m of rain in a day
OTHER_ML = 100_000_000         # 100 m3 in one go from a can or a hose
DOSE_MG = 2_000_000            # 2 kg of a product in one wash
SALT_US_CM = 200_000           # four times sea water
ATTACHED_BYTES = 100_000       # a signature or a time stamp with its certificates takes some thousand
PRICE_MILLI = 1_000_000_000    # a million of any currency for a m3
PLACE_MM = 10_000_000          # 10 km from the plan's corner


class JsonList(TypeDecorator[tuple[Any, ...]]):
    """A tuple of words or whole numbers, stored as a JSON list."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: tuple[Any, ...] | None, dialect: Dialect) -> str | None:
        return None if value is None else canonical_list(value)


def word(*, longest: int = 60, default: Any = ...) -> Any:
    """A word or a line of text, of 1 to `longest` characters."""
    return Field(default, min_length=1, max_length=longest)


def choice(default: Any = ...) -> Any:
    """One word of a Literal."""
    return Field(default, sa_type=Text)


def whole(low: int, high: int, default: Any = ...) -> Any:
    """A whole number from `low` to `high`."""
    return Field(default, ge=low, le=high)


def many(default: Any = ...) -> Any:
    """A tuple, stored as a JSON list."""
    return Field(default, sa_type=JsonList)


def _wall_time(text: str) -> str:
    try:
        local = datetime.fromisoformat(text).tzinfo is None
    except ValueError:
        local = False
    if not local:
        raise ValueError("use a local wall time like 2026-05-03T18:30")
    return text


def _utc_time(text: str) -> str:
    if re.fullmatch(r"[12]\d{3}-[01]\d-[0-3]\dT[0-2]\d:[0-5]\d:[0-5]\dZ", text) is None:
        raise ValueError("use a UTC time like 2026-05-03T18:30:00Z")
    return text


def _local_day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise ValueError("use a day like 2026-05-03") from None


def _seal_number(text: str) -> str:
    if re.fullmatch(r"[1-9]\d{0,14}:[0-9a-f]{16,64}", text) is None:
        raise ValueError("use a seal number like 412:9f3a6c0b12d4e877")
    return text


def _digest(text: str) -> str:
    if re.fullmatch(r"[0-9a-f]{64}", text) is None:
        raise ValueError("use a SHA-256 digest of 64 hex digits")
    return text


SealNumber = Annotated[str, AfterValidator(_seal_number)]
Digest = Annotated[str, AfterValidator(_digest)]
UtcTime = Annotated[str, AfterValidator(_utc_time)]
WallTime = Annotated[str, AfterValidator(_wall_time)]
LocalDay = Annotated[str, AfterValidator(_local_day)]
Name = Annotated[str, MinLen(1), MaxLen(60)]
RuleLine = Annotated[str, MinLen(1), MaxLen(1_000)]
Line = Annotated[str, MinLen(1), MaxLen(80)]
LongLine = Annotated[str, MinLen(1), MaxLen(300)]
Month = Annotated[int, Ge(1), Le(12)]
MonthDepth = Annotated[int, Ge(0), Le(MONTH_UM)]
MonthMean = Annotated[int, Ge(-60_000), Le(60_000)]
TwelveMeans = Annotated[tuple[MonthMean, ...], MinLen(12), MaxLen(12)]
Twelve = Annotated[tuple[MonthDepth, ...], MinLen(12), MaxLen(12)]

_DIGIT = "[0-9]"
_DAY = f"{_DIGIT * 4}-[01]{_DIGIT}-[0-3]{_DIGIT}"
_MOMENT = f"[12]{_DIGIT * 3}-[01]{_DIGIT}-[0-3]{_DIGIT} [0-2]{_DIGIT}:[0-5]{_DIGIT}:[0-5]{_DIGIT}.{_DIGIT * 6}"


def column_checks(row: type[SQLModel]) -> dict[str, str]:
    """Constraint name -> SQL, one for each column that its type alone leaves open."""
    checks = {"corrects_id": "corrects_id < id"}
    for name, field in row.model_fields.items():
        column = row.__table__.c[name]  # type: ignore[attr-defined]
        limits = {type(rule): rule for rule in field.metadata}
        choice = next((kind for kind in (field.annotation, *get_args(field.annotation))
                       if get_origin(kind) is Literal), None)
        if isinstance(column.type, JsonList):
            checks[name] = f"{name} GLOB '[[]*]' AND length({name}) <= 20000"
        elif field.annotation is datetime:
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
