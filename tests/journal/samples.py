"""One fact of every kind, and facts of every kind made up within what their columns accept."""

from __future__ import annotations

from dataclasses import fields
from datetime import UTC, date, datetime
from typing import Any, Literal, get_args, get_origin

from annotated_types import Ge, Le, MaxLen
from hypothesis import strategies as st

from gwlog.journal.facts import (
    KINDS,
    Attestation,
    Basin,
    Fact,
    Mulch,
    Observation,
    OtherWater,
    Outlet,
    OutletMove,
    Person,
    PlannedLoad,
    Product,
    ReminderAnswer,
    Resolution,
    Site,
    SoilReading,
    UpkeepDone,
    UpkeepTask,
    UsualLoad,
    ValveSwitch,
    Washer,
    WashLoad,
    WeatherDay,
    Withdrawal,
)
from gwlog.journal.tables import TABLES

NOW = datetime(2026, 7, 14, 18, 0, tzinfo=UTC)
THEN = datetime(2026, 7, 14, 9, 30, 12, 345678, tzinfo=UTC)


def common(**more: Any) -> dict[str, Any]:
    return {"happened_at": THEN, "zone": "America/Los_Angeles", **more}


def load(**more: Any) -> WashLoad:
    return WashLoad(**{"washer": "front loader", "volume_ml": 68_137, "went_to": "garden", **common(), **more})


# In an order in which every reference finds its entry: the observation is entry 16, the load entry 10.
ONE_OF_EACH: tuple[Fact, ...] = (
    Site(**common(), name="Tern Cottage", latitude_udeg=36_900_000, units="us", occupants=3, code="us-ca-washer",
         eto_zone=3, monthly_eto_um=tuple(range(12)), monthly_rain_um=None, softened_water=True),
    Person(**common(), name="Inês"),
    Washer(**common(), name="front loader", machine="front-load", volume_ml=68_137),
    Basin(**common(), name="Pomegranate", area_cm2=18_581, mulch_mm=102, soil="sandy loam", texture="sandy loam",
          plants="pomegranate", canopy_cm2=55_742, wetted_cm2=None, plant_factor_milli=500, root_depth_mm=762,
          depletion_milli=500, started=date(2026, 3, 1), start_deficit_ml=0, at_x_mm=-300, at_y_mm=None),
    Outlet(**common(), name="Hose", reaches=("Pomegranate",), basin="Pomegranate"),
    Product(**common(), name="plain liquid", product_kind="detergent", form=None, chlorine_bleach=False,
            borax=None, sodium_mg=3_000),
    UsualLoad(**common(), name="towels", washer="front loader", products=("plain liquid",), contents=("dye",)),
    PlannedLoad(**common(), name="towels", load="towels", starts="2026-03-07T09:00", every="FREQ=WEEKLY;BYDAY=SA",
                skips=("2026-03-14",), active=False),
    UpkeepTask(**common(), name="throw the valve both ways", every="12 months", months=(4, 5)),
    load(usual_load="towels", products=("plain liquid",), contents=("dye", "soiled")),
    OutletMove(**common(), outlet="Hose", basin="Pomegranate"),
    ValveSwitch(**common(), position="sewer"),
    Mulch(**common(), basin="Pomegranate", action="measured", depth_mm=0),
    WeatherDay(**common(), day=date(2026, 7, 13), rain_um=0, tmin_mdegc=-1_500, tmax_mdegc=None),
    UpkeepDone(**common(), task="throw the valve both ways"),
    Observation(**common(note="a [/] b"), observed="ponding", basin="Pomegranate"),
    Resolution(**common(note="dug in"), resolves_id=16),
    Withdrawal(**common(note="never ran"), withdraws_id=10),
    ReminderAnswer(**common(), key="mulch due|Fig|2026-07-13", answer="snoozed", until="2026-07-20T07:00:00Z"),
    OtherWater(**common(), basin="Pomegranate", volume_ml=19_000, way="can"),
    SoilReading(**common(), basin="Pomegranate", ec_us_cm=1_850, sar_milli=4_200),
    Attestation(**common(), attested="cross-connection check", party="Ola Reyes", means="by e-mail",
                file_name="letter.txt", file_sha256="0f" * 32),
)

# Words that have broken programs: markup, escape codes, reordering, joined emoji, halves of a pair, long marks.
NASTY = (
    "a [/] b", "[@click=app.quit]x[/]", "\x1b]0;title\x07red \x1b[31m", "\u202eevas\u202c", "👩‍👩‍👧 🧺", "\ud83d alone",
    "line\r\nline\ttab", "e\u0301", "' ; DROP TABLE wash_load; --", "\x00\x01", "  ", "\ufeffmark", "%s %d {x}", "—“”",
)


def words(longest: int) -> st.SearchStrategy[str]:
    anything = st.text(st.characters(), max_size=longest)
    return st.one_of(st.sampled_from(NASTY), anything)


def names() -> st.SearchStrategy[str]:
    """A name that has something to see in it, whatever else."""
    return words(20).map(lambda text: ("x" + text)[:55])


def made_up(kind: str) -> st.SearchStrategy[Fact]:
    """Facts of a kind within the limits of its table's columns; references left out."""
    parts: dict[str, st.SearchStrategy[Any]] = {}
    for name, field in TABLES[kind].model_fields.items():
        parts[name] = _column(name, field.annotation, field.metadata)
    parts |= {
        "id": st.just(0), "recorded_at": st.just(NOW), "corrects_id": st.none(),
        "zone": st.sampled_from(["America/Los_Angeles", "UTC", "Australia/Lord_Howe"]),
        "note": st.none() | words(200), "recorded_by": st.none() | words(50),
    }
    if kind == "planned_load":
        parts["starts"] = st.datetimes().map(lambda wall: wall.isoformat(timespec="minutes"))
        parts["skips"] = st.lists(st.dates().map(date.isoformat), max_size=3).map(tuple)
    if kind == "site":
        parts["monthly_tmean_mdegc"] = st.none() | st.lists(
            st.integers(-60_000, 60_000), min_size=12, max_size=12).map(tuple)
    if kind == "weather_day":
        parts["tmin_mdegc"], parts["tmax_mdegc"] = st.integers(-90_000, 0), st.none() | st.integers(0, 60_000)
        parts["forecast_made_at"] = st.none() | st.just("2026-07-12T18:00:00Z")
    if kind == "reminder_answer":
        parts["until"] = st.just("2026-07-20T07:00:00Z")
        parts["answer"] = st.just("snoozed")
    if kind == "mulch":
        parts["depth_mm"] = st.integers(1, 2_000)
    if kind == "soil_reading":
        parts["ec_us_cm"] = st.integers(0, 200_000)
    if kind == "attestation":
        parts["attested"], parts["number"] = st.sampled_from(["visit", "handed on"]), st.none()
        parts["file_sha256"] = st.none() | st.just("0f" * 32)
    if kind in ("resolution", "withdrawal"):
        parts["resolves_id" if kind == "resolution" else "withdraws_id"] = st.just(1)
    fact = KINDS[kind]
    assert set(parts) == {part.name for part in fields(fact)}
    return st.builds(fact, **parts)


def _column(name: str, annotation: Any, metadata: list[Any]) -> st.SearchStrategy[Any]:
    options = get_args(annotation)
    if type(None) in options:
        rest = next(option for option in options if option is not type(None))
        return st.none() | _column(name, rest, metadata)
    origin = get_origin(annotation)
    if origin is Literal:
        return st.sampled_from(options)
    if origin is tuple:
        if "monthly" in name:
            return st.lists(st.integers(0, 5_000_000), min_size=12, max_size=12).map(tuple)
        item = st.integers(1, 12) if name == "months" else _item(options[0])
        return st.lists(item, max_size=4).map(tuple)
    if origin is not None:   # Annotated
        return _column(name, options[0], [*metadata, *options[1:]])
    limits = {type(rule): rule for rule in metadata}
    if annotation is bool:
        return st.booleans()
    if annotation is int:
        return st.integers(limits[Ge].ge, limits[Le].le) if Ge in limits else st.none()
    if annotation is date:
        return st.dates()
    if annotation is datetime:
        return st.datetimes(datetime(1970, 1, 2), datetime(2199, 12, 30), timezones=st.just(UTC))  # noqa: DTZ001
    assert (annotation is str and MaxLen in limits) or name == "starts", (name, annotation)
    return names()


def _item(annotation: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from(get_args(annotation)) if get_origin(annotation) is Literal else names()
