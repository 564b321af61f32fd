"""The state of each notification by person and channel: claimed, handed, told or failed. Not entries, not sealed.

Several watchers and the screens share the table: what one has claimed no other sends. Standard library alone.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Literal

from gwlog.errors import GwlogError
from gwlog.journal import reader
from gwlog.values import dataclass, fields

LEASE = timedelta(seconds=60)
"""How long a claim is valid that was not handed over; after that its maker is taken to have stopped."""

LONGEST_WAIT = timedelta(hours=1)
"""The longest pause between two tries of the same telling."""

FIRST_WAIT = timedelta(minutes=1)

State = Literal["claimed", "handed", "told", "failed"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A telling that somebody is to get: its own key, and the reminder, person and channel in it.

    `if_in_doubt`: tell it once more rather than not at all, where nobody knows whether it arrived.
    """

    key: str
    reminder: str
    person: str
    channel: str
    if_in_doubt: bool = False


@dataclass(frozen=True, slots=True)
class Delivery:
    """A telling as it stands. `since`: when it came to its state, `next_try`: when a failed one is tried again, UTC."""

    key: str
    reminder: str
    person: str
    channel: str
    state: State
    since: datetime
    tries: int
    next_try: datetime | None
    trouble: str | None

    def in_doubt(self, now: datetime) -> bool:
        """Whether it was handed over and nobody knows whether it arrived: whoever did it was stopped then."""
        return self.state == "handed" and abs(now - self.since) > LEASE


def claim(path: Path, wanted: Sequence[Wanted], now: datetime, *,
          first_decides: bool = False) -> tuple[str, tuple[str, ...]]:
    """Claim tellings for oneself; returns a token and the keys that are one's own now.

    `first_decides`: the others are claimed only together with the first (a digest and what is in it).

    Open to a claim: what nobody has claimed, what was claimed and not handed over for longer than LEASE, and
    what failed and is to be tried again. What was told never is; what was handed over without a known outcome only
    where it is wanted even in doubt.
    Moments in the future come from a clock that was set back, and do not keep anything waiting.
    """
    import secrets  # only who tells something needs it, not who reads what was told

    token, mine = secrets.token_hex(8), []
    early, late = _text(now - LEASE), _text(now + LEASE)
    with _writing(path) as connection:
        for one in wanted:
            taken = connection.execute(
                "INSERT INTO delivery VALUES (?, ?, ?, ?, 'claimed', ?, ?, 0, NULL, NULL) ON CONFLICT (key) DO UPDATE "
                "SET state = 'claimed', token = excluded.token, since = excluded.since "
                "WHERE (state = 'claimed' AND (since < ? OR since > ?)) "
                "OR (state = 'failed' AND (next_try <= ? OR next_try > ?)) "
                "OR (state = 'handed' AND ? AND (since < ? OR since > ?))",
                (one.key, one.reminder, one.person, one.channel, token, _text(now), early, late, _text(now),
                 _text(now + LONGEST_WAIT), one.if_in_doubt, early, late)).rowcount
            if taken:
                mine.append(one.key)
            elif first_decides and one is wanted[0]:
                break
    return token, tuple(mine)


def hand_over(path: Path, token: str, now: datetime) -> tuple[str, ...]:
    """Note that what the token claims is being handed to its channel now; returns the keys that still are its own."""
    with _writing(path) as connection:
        return tuple(key for (key,) in connection.execute(
            "UPDATE delivery SET state = 'handed', since = ?, tries = tries + 1 WHERE token = ? AND state = 'claimed' "
            "RETURNING key", (_text(now), token)).fetchall())


def settle(path: Path, token: str, now: datetime, trouble: str | None = None) -> None:
    """Note the outcome of what was handed over: told, or failed with a trouble in words and tried again later."""
    with _writing(path) as connection:
        if trouble is None:
            connection.execute("UPDATE delivery SET state = 'told', since = ?, next_try = NULL, trouble = NULL "
                               "WHERE token = ? AND state = 'handed'", (_text(now), token))
            return
        for key, tries in connection.execute(
                "SELECT key, tries FROM delivery WHERE token = ? AND state = 'handed'", (token,)).fetchall():
            connection.execute("UPDATE delivery SET state = 'failed', since = ?, next_try = ?, trouble = ? "
                               "WHERE key = ?", (_text(now), _text(now + wait_after(tries)), trouble, key))


def carry_over(replaced: Path, draft: Path) -> int:
    """Take the tellings of a logbook that is about to be replaced into the draft that will take its place.

    So what was told stays told, although the draft comes from an older copy. Where both know a telling, the one that
    was told counts, else the replaced logbook's. Nothing is taken from another household's logbook, nor from one that
    cannot be read. Returns how many were taken.
    """
    from gwlog.journal import store

    names = "key, reminder, person, channel, state, token, since, tries, next_try, trouble"
    try:
        if store.logbook_id(replaced) != store.logbook_id(draft):
            return 0
        with reader.reading(replaced) as connection:
            rows = connection.execute(f"SELECT {names} FROM delivery").fetchall()
    except (GwlogError, ValueError):
        return 0
    changed = ", ".join(f"{name} = excluded.{name}" for name in names.split(", ")[1:])
    taken = 0
    with closing(sqlite3.connect(draft, isolation_level=None)) as connection:
        connection.execute("BEGIN")
        for row in rows:
            with suppress(sqlite3.IntegrityError):   # a row that was damaged
                taken += connection.execute(
                    f"INSERT INTO delivery ({names}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (key) "
                    f"DO UPDATE SET {changed} WHERE state IS NOT 'told'", row).rowcount
        connection.execute("COMMIT")
    return taken


def wait_after(tries: int) -> timedelta:
    """The pause after so many failed tries: one minute, doubled each time, up to LONGEST_WAIT."""
    doubled: int = 2 ** min(max(0, tries - 1), 10)
    return min(LONGEST_WAIT, FIRST_WAIT * doubled)


def deliveries(path: Path, keys: Sequence[str] | None = None) -> dict[str, Delivery]:
    """Every telling by its key, or those of the given reminders."""
    names = ", ".join(part.name for part in fields(Delivery))
    which = "" if keys is None else f"WHERE reminder IN ({', '.join('?' * len(keys))})"
    with reader.reading(path) as connection:
        rows = connection.execute(f"SELECT {names} FROM delivery {which} ORDER BY since, key", keys or ()).fetchall()
    return {row[0]: _delivery(row) for row in rows}


def _delivery(row: tuple[object, ...]) -> Delivery:
    key, reminder, person, channel, state, since, tries, next_try, trouble = row
    return Delivery(str(key), str(reminder), str(person), str(channel), state, _moment(str(since)),  # type: ignore[arg-type]
                    int(str(tries)), None if next_try is None else _moment(str(next_try)),
                    None if trouble is None else str(trouble))


@contextmanager
def _writing(path: Path) -> Iterator[sqlite3.Connection]:
    """One write transaction. Raises LogbookBusy, GwlogError (read-only), NoLogbook or LogbookNewer."""
    from gwlog.journal import store

    store.ready(path)
    try:
        with closing(store._plain(path)) as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
            except BaseException:
                connection.execute("ROLLBACK")
                raise
            connection.execute("COMMIT")
    except sqlite3.Error as error:
        raise reader.error_for(path, error) from None


def _text(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M:%S.%f}"


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
