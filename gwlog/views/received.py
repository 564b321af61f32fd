"""What records of many homes say, as rows of one table, and in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from gwlog.text import plural

if TYPE_CHECKING:
    from datetime import date

    from gwlog.journal.received import Home, Received
    from gwlog.journal.record_file import Summary

HEAD = ("home", "period", "last entry", "share kept", "open exceptions", "overdue upkeep", "witnessed until", "record")
CLAIMED = ("That the entries hold is verified here. The share kept, exceptions, upkeep and witnesses are as each "
           "household's own logbook reckoned them.")
NOT_TOLD = "not told"


def rows(found: Received) -> list[tuple[str, ...]]:
    """A row for each home under HEAD; days ISO 8601."""
    return [_row(home) for home in found.homes]


def _row(home: Home) -> tuple[str, ...]:
    record, said = home.record, home.record.summary
    period = " to ".join(day.isoformat() for day in record.period) if record.period else ""
    return (record.site or "without a name", period, _day(said.last_entry), share(said),
            _count(said.open_exceptions), _count(said.overdue_upkeep),
            NOT_TOLD if said.had_to_go is None and said.witnessed_until is None else
            _day(said.witnessed_until) if said.witnessed_until else "never", state(home))


def _day(day: date | None) -> str:
    return day.isoformat() if day is not None else NOT_TOLD


def _count(value: int | None) -> str:
    return NOT_TOLD if value is None else f"{value:,}"


def share(said: Summary) -> str:
    """How many of the loads that had to go to the sewer did, like “174 of 177, 98 %”; never rounded up."""
    if said.had_to_go is None or said.went is None:
        return NOT_TOLD
    if not said.had_to_go:
        return "none had to go"
    return f"{said.went:,} of {said.had_to_go:,}, {said.went * 100 // said.had_to_go} %"


def state(home: Home) -> str:
    """In a word or two how the record stands to the last one."""
    if home.faults:
        return "FAULT"
    if home.before is None:
        return "first one"
    return "same as before" if home.same_as else "continues"


def faults(found: Received) -> Iterator[str]:
    """Every fault in a sentence that begins with the home or the file."""
    for home in found.homes:
        for fault in home.faults:
            yield f"{home.record.site or 'without a name'} ({home.record.file.name}): {fault}"
        if home.record.summary.clock_behind:
            entries = plural(home.record.summary.clock_behind, "entry", "entries")
            yield f"{home.record.site} ({home.record.file.name}): {entries} written under a clock that was behind."
    for one in found.damaged:
        yield f"{one.file.name}: It cannot be read as a record: {one.why}."


def passed_over(found: Received) -> Iterator[str]:
    """The files that are no records, and the older records of homes."""
    for one in found.passed_over:
        yield f"{one.file.name}: passed over: {one.why}."
    older = sum(home.older for home in found.homes)
    if older:
        yield f"{plural(older, 'older record')} of the same homes lie beside the newest ones."


def headline(found: Received) -> str:
    """The whole in one sentence."""
    bad = sum(bool(home.faults) for home in found.homes) + len(found.damaged)
    if not found.homes and not found.damaged:
        return "No record was found."
    told = f"{plural(len(found.homes), 'home')}"
    if not bad:
        return f"{told}: every record holds and continues the last one."
    return f"{told}; {plural(bad, 'record')} {'is' if bad == 1 else 'are'} at fault, and nothing of " \
           f"{'it' if bad == 1 else 'them'} is remembered."


def as_json(found: Received) -> dict[str, Any]:
    """For other programs: days ISO 8601, None where a record does not tell."""
    return {
        "fine": found.fine,
        "homes": [{
            "home": one.record.home or None, "site": one.record.site, "file": str(one.record.file),
            "period": None if one.record.period is None else [day.isoformat() for day in one.record.period],
            "entries": one.record.number, "seal_number": f"{one.record.number}:{one.record.digest[:16]}",
            "last_entry": _iso(one.record.summary.last_entry),
            "had_to_go_to_sewer": one.record.summary.had_to_go, "went_to_sewer": one.record.summary.went,
            "exceptions_open": one.record.summary.open_exceptions,
            "upkeep_overdue": one.record.summary.overdue_upkeep,
            "witnessed_until": _iso(one.record.summary.witnessed_until),
            "clock_behind": one.record.summary.clock_behind, "state": state(one), "faults": list(one.faults),
            "older_records": one.older,
        } for one in found.homes],
        "damaged": [{"file": str(one.file), "why": one.why} for one in found.damaged],
        "passed_over": [{"file": str(one.file), "why": one.why} for one in found.passed_over],
    }


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
