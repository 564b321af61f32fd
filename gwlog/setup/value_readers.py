"""One reader for each kind of value in a site file: the clean value in whole small units, or a fault.

No value is converted silently: another type, out of range or not a number is a fault with what is accepted.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from gwlog.clock import FIRST_YEAR, LAST_YEAR, zone
from gwlog.decisions.entry_limits import MOST_SKIPS
from gwlog.errors import BadInput
from gwlog.setup.faults import Faults, nearest
from gwlog.setup.keys import NEVER, SUFFIXES, ZERO, Key
from gwlog.setup.line_numbers import Path
from gwlog.setup.rules import read_rule
from gwlog.text import clean_name, one_line

INTERVAL = re.compile(r"(\d{1,4}) ?(day|week|month|year)s?")
DAYS_OF = {"day": 1, "week": 7, "month": 30, "year": 365}
LONGEST_DAYS = 3660
TEXT_LIMIT = 200

Reader = Callable[[Any, Key, str, Path, Faults], Any]


def _text(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> str | None:
    if not isinstance(raw, str):
        faults.add(path, "not text", 'use text between quotes, such as "…"')
        return None
    words = one_line(raw)
    longest = int(key.high) or TEXT_LIMIT
    if not words or len(words) > longest:
        faults.add(path, "empty" if not words else f"{len(words)} characters long",
                   f"use 1 to {longest} characters")
        return None
    return words


def _name(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> str | None:
    if not isinstance(raw, str):
        faults.add(path, "not text", 'use a name between quotes, such as "Fig"')
        return None
    try:
        return clean_name(raw, spelling)
    except BadInput:
        faults.add(path, "not a name that can be used", "use 1 to 60 characters that can be seen")
        return None


def _choice(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> str | None:
    if isinstance(raw, str):
        wanted = one_line(raw).casefold()
        for choice in key.choices:
            if choice.casefold() == wanted:
                return choice
    faults.add(path, "not one of the choices", nearest(str(raw)[:60], key.choices))
    return None


def _code(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> str | None:
    """The id of a code profile; one that is not offered, or no longer, is refused with the reason."""
    from gwlog.reference.codes import refused

    wrong = refused(one_line(raw).casefold()) if isinstance(raw, str) else None
    if wrong is None:
        return _choice(raw, key, spelling, path, faults)
    faults.add(path, wrong.rstrip("."), f"use {', '.join(key.choices)}")
    return None


def _whole(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> int | None:
    if type(raw) is not int:
        faults.add(path, "not a whole number", f"use {_span(key.low, key.high)}")
        return None
    if not key.low <= raw <= key.high:
        faults.add(path, "out of range", f"use {_span(key.low, key.high)}")
        return None
    return raw


def _finite(raw: Any, low: float, high: float, path: Path, faults: Faults) -> float | None:
    """A number within low..high of the unit it is written in."""
    span = f"use {_span(low, high)}"
    if type(raw) not in (int, float):
        faults.add(path, "not a number", span)
        return None
    try:
        number = float(raw)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        faults.add(path, "not a number that can be used", span)
    elif not low <= number <= high:
        faults.add(path, "out of range", span)
    else:
        return number
    return None


def _number(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> float | None:
    return _finite(raw, key.low, key.high, path, faults)


def _quantity(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> int | None:
    factor = SUFFIXES[key.kind][key.unit_of(spelling)]
    number = _finite(raw, *_bounds(key, factor), path, faults)
    return None if number is None else round(number * factor)


def _bounds(key: Key, factor: float) -> tuple[float, float]:
    """A quantity's range in a unit: with half a small unit of grace, so that a bound can be read again."""
    return (key.low - 0.5) / factor if key.low else 0.0, (key.high + 0.5) / factor


def _monthly(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> tuple[int, ...] | None:
    factor = SUFFIXES["monthly"][spelling.rpartition("_")[2]]
    if not isinstance(raw, list) or len(raw) != 12:
        faults.add(path, "not twelve numbers", "use one number for each month, January first")
        return None
    before = len(faults)
    months = [_finite(number, *_bounds(key, factor), path, faults) for number in raw]
    if len(faults) > before:
        return None
    read = tuple(round(number * factor) for number in months if number is not None)
    if key.name == "monthly_eto" and not any(read):
        faults.add(path, "nothing but zeros", "use the climate's monthly reference evapotranspiration")
        return None
    return read


def _means(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> tuple[int, ...] | None:
    scale = spelling.rpartition("_")[2]
    factor, zero = SUFFIXES["means"][scale], ZERO[scale]
    if not isinstance(raw, list) or len(raw) != 12:
        faults.add(path, "not twelve numbers", "use one number for each month, January first")
        return None
    before = len(faults)
    low, high = (bound / factor + zero for bound in (key.low, key.high))
    months = [_finite(number, low, high, path, faults) for number in raw]
    return None if len(faults) > before else tuple(
        round((number - zero) * factor) for number in months if number is not None)


def _position(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> tuple[int, int] | None:
    factor = SUFFIXES["position"][spelling.rpartition("_")[2]]
    if not isinstance(raw, list) or len(raw) != 2:
        faults.add(path, "not a place", "use two numbers [x, y]")
        return None
    x = _finite(raw[0], *_bounds(key, factor), path, faults)
    y = _finite(raw[1], *_bounds(key, factor), path, faults)
    return None if x is None or y is None else (round(x * factor), round(y * factor))


def _flag(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> bool | None:
    if not isinstance(raw, bool):
        faults.add(path, "neither true nor false", "use true or false, without quotes")
        return None
    return raw


def _day(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> date | None:
    if type(raw) is not date:
        faults.add(path, "not a day", "use a day like 2026-03-01, without quotes")
        return None
    return raw if _in_years(raw, path, faults) else None


def _days(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> tuple[str, ...] | None:
    if not isinstance(raw, list) or any(type(day) is not date for day in raw):
        faults.add(path, "not a list of days", "use days like [2026-03-07, 2026-03-14]")
        return None
    if not all(_in_years(day, path, faults) for day in raw):
        return None
    if len(set(raw)) > MOST_SKIPS:
        faults.add(path, f"{len(set(raw)):,} days", f"use up to {MOST_SKIPS:,}")
        return None
    return tuple(day.isoformat() for day in sorted(set(raw)))


def _wall(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> datetime | None:
    if not isinstance(raw, datetime) or raw.tzinfo is not None or raw.microsecond:
        faults.add(path, "not a local day and time",
                   "use one like 2026-03-07T09:00, without quotes and without offset")
        return None
    return raw if _in_years(raw, path, faults) else None


def _in_years(day: date, path: Path, faults: Faults) -> bool:
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return True
    faults.add(path, "out of range", f"use years from {FIRST_YEAR} to {LAST_YEAR}")
    return False


def _zone(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> str | None:
    if isinstance(raw, str):
        try:
            zone(raw)
            return raw
        except BadInput:
            pass
    from zoneinfo import available_timezones

    faults.add(path, "not a time zone",
               nearest(str(raw)[:60], sorted(available_timezones()), "use one like America/Los_Angeles"))
    return None


def _names(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> tuple[str, ...] | None:
    if not isinstance(raw, list):
        faults.add(path, "not a list", f'use names in square brackets: {spelling} = ["…"]')
        return None
    names = [_name(item, key, spelling, path, faults) for item in raw]
    return None if None in names else tuple(name for name in names if name is not None)


def _choices(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> tuple[str, ...] | None:
    if not isinstance(raw, list):
        faults.add(path, "not a list", f'use words in square brackets: ["{key.choices[0]}"]')
        return None
    found = [_choice(item, key, spelling, path, faults) for item in raw]
    if None in found:
        return None
    return tuple(choice for choice in key.choices if choice in found)


def _months(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> tuple[int, ...] | None:
    if not isinstance(raw, list) or not raw or any(type(m) is not int or not 1 <= m <= 12 for m in raw):
        faults.add(path, "not months", "use whole numbers from 1 to 12, such as [5, 6, 7]")
        return None
    return tuple(sorted(set(raw)))


def _interval(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> str | None:
    words = one_line(raw).casefold() if isinstance(raw, str) else ""
    if words == NEVER:
        return NEVER
    match = INTERVAL.fullmatch(words)
    if match is None or not 0 < int(match[1]) * DAYS_OF[match[2]] <= LONGEST_DAYS:
        faults.add(path, "not an interval that can be used",
                   "use one like “12 months”, “6 weeks” or “90 days”, up to ten years, or “never”")
        return None
    count = int(match[1])
    return f"{count} {match[2]}{'' if count == 1 else 's'}"


def _rule(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> str | None:
    rule, wrong = read_rule(raw)
    if wrong is not None:
        faults.add(path, *wrong)
    return rule


def _label(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> tuple[str, ...] | None:
    from gwlog.reference.labels import EXAMPLE, read_label

    if not isinstance(raw, list) or not raw or not all(isinstance(line, str) for line in raw):
        faults.add(path, "not a list of lines", f"use lines between quotes, such as {EXAMPLE}")
        return None
    lines = tuple(one_line(line) for line in raw)
    try:
        read_label(lines)
    except BadInput as fault:
        faults.add(path, "not a label that can be", str(fault))
        return None
    return lines


def _report(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> str | None:
    """A line of a water report as it was written, with its unit: “calcium_meq_l=2.4”."""
    from gwlog.water.report import ABSENT
    from gwlog.water.report import spelling as unit_of

    if isinstance(raw, str) and one_line(raw).casefold() == ABSENT:
        return f"{spelling}={ABSENT}"
    found = unit_of(spelling)
    number = None if found is None else _finite(raw, 0.0, key.high / found[1], path, faults)
    return None if number is None else f"{spelling}={raw}"


def _table(raw: Any, key: Key, spelling: str, path: Path, faults: Faults) -> dict[str, Any] | None:
    if not isinstance(raw, dict):
        faults.add(path, "not a table", "use one like { eto_zone = 3 }")
        return None
    return raw


def _span(low: float, high: float) -> str:
    return f"a number from {_plain(low)} to {_plain(high)}"


def _plain(number: float) -> str:
    return f"{float(f'{number:.3g}'):.10f}".rstrip("0").rstrip(".")


READERS: dict[str, Reader] = {
    "name": _name, "text": _text, "choice": _choice, "whole": _whole, "number": _number, "flag": _flag,
    "day": _day, "days": _days, "wall": _wall, "zone": _zone, "names": _names, "choices": _choices,
    "months": _months, "interval": _interval, "rule": _rule, "length": _quantity, "area": _quantity,
    "volume": _quantity, "price": _quantity, "monthly": _monthly, "means": _means,
    "position": _position, "table": _table, "code": _code,
    "dose": _quantity, "distance": _quantity, "label": _label, "report": _report,
}
