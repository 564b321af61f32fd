"""Read-only views in the household's units, for people who open the logbook with another program.

A corrected entry is shown once, under its first number; withdrawn ones only in `entries`. Times are UTC.
"""

from __future__ import annotations

from gwlog.journal.facts import KINDS
from gwlog.units import LITRES_PER_GALLON, M2_PER_FT2, MM_PER_INCH

_US = "(SELECT units FROM household) = 'us'"


def views() -> dict[str, str]:
    """View name -> its SQL, in the order in which they can be made."""
    return {name: f"CREATE VIEW {name} AS {sql}" for name, sql in _selects().items()}


def _unit(column: str, per_us: float, per_metric: float, us: str, metric: str, name: str, digits: int = 2) -> str:
    """A column of whole small units in the household's unit, and the unit beside it."""
    return (f"round(CASE WHEN {_US} THEN {column} / {per_us!r} ELSE {column} / {per_metric!r} END, {digits}) "
            f"AS {name}, CASE WHEN {_US} THEN '{us}' ELSE '{metric}' END AS {name}_unit")


def _volume(column: str, name: str = "volume") -> str:
    return _unit(column, LITRES_PER_GALLON * 1000, 1000.0, "gal", "L", name)


def _depth(column: str, name: str) -> str:
    return _unit(column, MM_PER_INCH, 1.0, "in", "mm", name)


def _area(column: str, name: str) -> str:
    return _unit(column, M2_PER_FT2 * 10_000, 10_000.0, "ft2", "m2", name)


def _rain(column: str, name: str) -> str:
    return _unit(column, MM_PER_INCH * 1000, 1000.0, "in", "mm", name)


def _temperature(column: str, name: str) -> str:
    return (f"round(CASE WHEN {_US} THEN {column} * 0.0018 + 32 ELSE {column} / 1000.0 END, 1) AS {name}, "
            f"CASE WHEN {_US} THEN 'F' ELSE 'C' END AS {name}_unit")


def _words(column: str) -> str:
    """A JSON list as plain words: a, b."""
    plain = f"replace(replace(replace({column}, '[\"', ''), '\"]', ''), '\",\"', ', ')"
    return f"CASE {column} WHEN '[]' THEN '' ELSE {plain} END AS {column}"


def _standing(table: str, columns: str) -> str:
    """The entries of a kind that stand, with what every entry carries around the kind's own columns."""
    return (f"SELECT s.number, t.happened_at AS happened_at_utc, t.zone, {columns}, t.recorded_by, t.note, "
            f"t.recorded_at AS recorded_at_utc FROM {table} t JOIN standing s ON s.id = t.id "
            "WHERE s.corrected_by IS NULL AND s.withdrawn_by IS NULL ORDER BY t.happened_at, s.number")


def _described(table: str, columns: str) -> str:
    """The descriptions of a kind that stand, each with the stretch of time in which it is in force."""
    return ("SELECT s.number, t.name, t.happened_at AS in_force_from_utc, lead(t.happened_at) OVER "
            "(PARTITION BY t.name ORDER BY t.happened_at, s.number) AS in_force_until_utc, "
            f"t.active AS in_use, {columns}, t.note FROM {table} t JOIN standing s ON s.id = t.id "
            "WHERE s.corrected_by IS NULL AND s.withdrawn_by IS NULL ORDER BY t.name, t.happened_at, s.number")


def _selects() -> dict[str, str]:
    every = " UNION ALL ".join(
        f"SELECT id, '{kind}' AS kind, happened_at, recorded_at, zone, recorded_by, note, corrects_id FROM {kind}"
        for kind in KINDS
    )
    return {
        "entry_line": every,
        "standing": (
            "WITH RECURSIVE wording(id, number) AS (SELECT id, id FROM entry_line WHERE corrects_id IS NULL "
            "UNION ALL SELECT e.id, w.number FROM wording w CROSS JOIN entry_line e ON e.corrects_id = w.id), "
            "struck(number, by) AS (SELECT w.number, min(x.id) FROM withdrawal x JOIN wording w "
            "ON w.id = x.withdraws_id GROUP BY w.number) "
            "SELECT w.id, w.number, c.id AS corrected_by, struck.by AS withdrawn_by FROM wording w "
            "LEFT JOIN (SELECT id, corrects_id FROM entry_line WHERE corrects_id IS NOT NULL) c "
            "ON c.corrects_id = w.id LEFT JOIN struck ON struck.number = w.number"
        ),
        "household": (
            "SELECT t.units, t.name, t.zone FROM site t JOIN standing s ON s.id = t.id WHERE s.corrected_by IS NULL "
            "AND s.withdrawn_by IS NULL ORDER BY t.happened_at DESC, s.number DESC LIMIT 1"
        ),
        "entries": (
            "SELECT e.id AS written_as, s.number, e.kind, e.happened_at AS happened_at_utc, "
            "e.recorded_at AS recorded_at_utc, e.zone, e.recorded_by, e.note, s.corrected_by, s.withdrawn_by, "
            "CASE WHEN s.withdrawn_by IS NOT NULL THEN 'withdrawn' WHEN s.corrected_by IS NOT NULL "
            "THEN 'corrected' ELSE 'stands' END AS standing "
            "FROM entry_line e JOIN standing s ON s.id = e.id ORDER BY e.id"
        ),
        "loads": _standing("wash_load", ", ".join((
            "t.usual_load AS load", "t.washer", _volume("t.volume_ml"), _words("products"), _words("contents"),
            "t.went_to",
        ))),
        "moves": _standing("outlet_move", "t.outlet, t.basin"),
        "valve": _standing("valve_switch", "t.position"),
        "mulch_cover": _standing("mulch", "t.basin, t.action, " + _depth("t.depth_mm", "depth")),
        "weather": _standing("weather_day", ", ".join((
            "t.rain_from AS rain_from_local_day", "t.day AS local_day",
            _rain("t.rain_um", "rain"), _temperature("t.tmin_mdegc", "lowest"),
            _temperature("t.tmax_mdegc", "highest"), "t.origin",
        ))),
        "other_waterings": _standing("other_water", "t.basin, t.way, " + _volume("t.volume_ml")),
        "soil_readings": _standing("soil_reading", (
            "t.basin, t.extract, t.ec_us_cm, t.sar_milli / 1000.0 AS sar, t.esp_milli / 1000.0 AS esp_percent, "
            "t.boron_ug_l, t.ph_milli / 1000.0 AS ph"
        )),
        "attestations": _standing(
            "attestation", "t.attested, t.party, t.means, t.number, t.file_name, t.file_sha256"),
        "observations": _standing("observation", (
            "t.observed, t.basin, (SELECT min(r.happened_at) FROM resolution r JOIN standing rs ON rs.id = r.id "
            "JOIN standing seen ON seen.id = r.resolves_id WHERE rs.corrected_by IS NULL "
            "AND rs.withdrawn_by IS NULL AND seen.number = s.number) AS resolved_at_utc"
        )),
        "upkeep": _standing("upkeep_done", "t.task"),
        "basins": _described("basin", ", ".join((
            _area("t.area_cm2", "area"), _depth("t.mulch_mm", "mulch"), "t.soil", "t.texture", "t.plants",
            _area("t.canopy_cm2", "canopy"), "t.plant_factor_milli / 1000.0 AS plant_factor",
            _depth("t.root_depth_mm", "root_depth"), "t.depletion_milli / 1000.0 AS depletion_fraction", "t.edible",
            "t.started",
        ))),
        "outlets": _described("outlet", "t.basin AS first_at, t.share_milli / 1000.0 AS share, " + _words("reaches")),
        "washers": _described("washer", "t.machine, " + _volume("t.volume_ml")),
        "laundry_products": _described(
            "product", "t.product_kind, t.form, t.chlorine_bleach, t.borax, t.sodium_mg / 1000.0 AS sodium_g",
        ),
    }
