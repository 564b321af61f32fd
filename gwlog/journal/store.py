"""Creates, checks, upgrades and opens the logbook file. Importing this loads nothing heavy.

A new kind of entry, or a new column: (1) add the fact or field in facts.py, the table or column in tables.py, and in
sealed_parts.py the part in which it is sealed;
(2) add migrations/versions/rNNNN.py with the frozen SQL of that step (ADD COLUMN where it can be, never CASCADE),
its `down_revision` the one before; (3) add its number to REVISIONS below; (4) run tests/journal, which hold the
migrated file against tables.py. Guards and views are not part of a migration: they are made anew after each one.
Stored moments are UTC without an offset: `2026-05-03 18:30:00.000000`.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import uuid
from collections.abc import Callable
from contextlib import ExitStack, closing
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import drafts, files
from gwlog.actions import Action, Hint
from gwlog.errors import BadInput, GwlogError, LogbookNewer, NoLogbook, NotALogbook
from gwlog.journal import reader
from gwlog.libraries import UPGRADE, load
from gwlog.settings import typed_path

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

APPLICATION_ID = 0x67776C67  # "gwlg"
REVISIONS = ("0001", "0002", "0003", "0004", "0005", "0006", "0007", "0008", "0009", "0010", "0011", "0012")
HEAD = REVISIONS[-1]
MIGRATIONS = Path(__file__).with_name("migrations")


def create(path: Path | str, fill: Callable[[Connection], None] | None = None, *,
           identity: uuid.UUID | None = None, secret: str | None = None) -> None:
    """Make a logbook, readable by its owner alone: an empty one, or what `fill` writes into it.

    It is there whole or not at all. `identity`, `secret`: its id, and from what the salts of its parts are made, where
    it takes the place of another. Raises BadInput when something is there already, GwlogError when the disk refuses.
    """
    where = Path(path)
    _refuse_existing(where)
    with ExitStack() as stack:
        try:
            typed_path(str(where))
            where.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            # Made under another name and then renamed, so that no other program sees half a logbook.
            draft = stack.enter_context(drafts.beside(where))
        except (OSError, ValueError, BadInput) as error:
            raise BadInput(f"No logbook can be made at {where}: {_reason(error)}.",
                           hint="Choose another place: --logbook PATH") from None
        try:
            with closing(_plain(draft)) as connection:
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            _migrate(draft)
            with closing(_plain(draft)) as connection:
                connection.execute("INSERT INTO meta VALUES ('logbook_id', ?)", (str(identity or uuid.uuid4()),))
                if secret is not None:
                    from gwlog.journal.chain import SECRET

                    connection.execute("INSERT INTO meta VALUES (?, ?)", (SECRET, secret))
            if fill is not None:
                _fill(draft, fill)
            settle(draft, where)
            _place(draft, where)
        except sqlite3.Error as error:
            raise _of_draft(draft, where, error) from None
        except OSError as error:
            raise GwlogError(f"No logbook can be made at {where}: {_reason(error)}; nothing is left of it.",
                             hint="Free some space, check the disk, or choose another place: --logbook PATH") from None


def _fill(draft: Path, fill: Callable[[Connection], None]) -> None:
    from sqlalchemy.exc import DBAPIError

    made = engine(draft)
    try:
        with made.begin() as connection:
            fill(connection)
    except DBAPIError as error:
        if isinstance(error.orig, sqlite3.Error):
            raise error.orig from None
        raise
    finally:
        made.dispose()


def _refuse_existing(where: Path) -> None:
    if os.path.islink(where):  # noqa: PTH114 - Path.is_symlink() raises on a name that is too long
        raise BadInput(f"{where} is a link to {where.readlink()}; a new logbook is not made through a link.",
                       hint="Name the place itself: --logbook PATH")
    if os.path.lexists(where):
        raise BadInput(f"{where} is there already; a new logbook never takes the place of a file.",
                       hint="Use it as it is, or choose another place: --logbook PATH")


def settle(draft: Path, where: Path) -> None:
    """Bring all of a draft into the one file that gets the name `where`; where closing fails to, SQLite does not tell.

    Raises GwlogError when the disk refuses.
    """
    try:
        with closing(_plain(draft)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except sqlite3.Error as error:
        raise _of_draft(draft, where, error) from None


def _of_draft(draft: Path, where: Path, error: sqlite3.Error) -> GwlogError:
    """The error with the name that the draft was to get: its own is nobody's."""
    fault = reader.error_for(draft, error)
    return type(fault)(fault.message.replace(str(draft), str(where)), hint=fault.hint)


def _place(draft: Path, where: Path) -> None:
    try:
        os.link(draft, where)
    except FileExistsError:
        _refuse_existing(where)
        raise
    except OSError:
        # A file system without hard links: between these two lines another file could only just appear.
        _refuse_existing(where)
        draft.rename(where)
    # The name in its folder must reach the disk too, or a power cut could take the whole logbook back.
    try:
        folder = os.open(where.parent, os.O_RDONLY)
    except OSError:
        return   # systems on which a folder cannot be opened keep its names safe by themselves
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _plain(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(reader.uri(path, "mode=rw"), uri=True, isolation_level=None,
                                 timeout=reader.BUSY_MS / 1000)
    try:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
    except UnicodeDecodeError:
        # SQLite quotes the damaged words of the file, which Python cannot put into words.
        error = sqlite3.DatabaseError("the description of its tables is damaged")
        error.sqlite_errorcode = sqlite3.SQLITE_CORRUPT
        connection.close()
        raise error from None
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _reason(error: OSError | ValueError | BadInput) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower().rstrip(".")


def _revision(path: Path) -> str:
    """The file's schema revision. Raises NoLogbook, NotALogbook or LogbookNewer when it is not a usable logbook."""
    try:
        state = path.stat()
    except FileNotFoundError:
        if path.is_symlink():
            raise NoLogbook(f"{path} is a link to {path.readlink()}, where there is nothing.",
                            hint="Fix the link, or name the logbook itself: --logbook PATH") from None
        raise reader.missing(path) from None
    except (OSError, ValueError) as error:
        raise NoLogbook(f"The logbook {path} cannot be reached: {_reason(error)}.",
                        hint="Name it with --logbook PATH or GWLOG_LOGBOOK.") from None
    if stat.S_ISDIR(state.st_mode):
        raise NotALogbook(f"{path} is a folder, not a logbook.", hint="Name the file in it: --logbook PATH")
    if not stat.S_ISREG(state.st_mode):
        raise NotALogbook(f"{path} is not an ordinary file.", hint="Name a logbook: --logbook PATH")
    try:
        os.close(os.open(path, os.O_RDONLY))
    except FileNotFoundError:
        raise reader.missing(path) from None   # moved away since it was looked at
    except OSError as error:
        raise GwlogError(f"The logbook {path} cannot be read: {_reason(error)}.",
                         hint="Check who owns the file, and its permissions.") from None
    with reader.reading(path) as connection:
        if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
            raise NotALogbook(f"{path} is not a gwlog logbook.", hint=Hint("Make one elsewhere: ", Action("begin")))
        try:
            found = connection.execute("SELECT version_num FROM alembic_version").fetchall()
        except sqlite3.OperationalError:
            found = []
    if len(found) != 1:
        raise NotALogbook(f"The logbook {path} is damaged: it does not say how it was made.",
                          hint=Hint("Restore a backup: ", Action("restore", file="FILE")))
    revision = str(found[0][0])
    if revision not in REVISIONS:
        raise LogbookNewer(f"The logbook {path} was made by a newer gwlog (its layout is {revision}; "
                           f"this one knows up to {HEAD}).", hint="Update gwlog and try again.")
    return revision


def check(path: Path | str) -> None:
    """Check cheaply that there is a logbook this gwlog can use, older layouts included.

    Raises NoLogbook, NotALogbook, LogbookNewer, or GwlogError when it may not be read.
    """
    _revision(Path(path))


def stale(path: Path | str) -> bool:
    """Whether the logbook has an older layout. Raises as check() does."""
    return _revision(Path(path)) != HEAD


def ready(path: Path | str) -> None:
    """Check as check() does, and bring an older layout up to date (after a backup beside it).

    What stopped commands left beside the logbook is removed.
    """
    drafts.sweep(Path(path).absolute().parent)
    if stale(path):
        upgrade(path)


def logbook_id(path: Path | str) -> uuid.UUID:
    """The random id given to the logbook when it was made."""
    with reader.reading(path) as connection:
        row = connection.execute("SELECT value FROM meta WHERE key = 'logbook_id'").fetchone()
    if row is None:
        raise NotALogbook(f"The logbook {path} is damaged: its id is missing.",
                          hint=Hint("Restore a backup: ", Action("restore", file="FILE")))
    return uuid.UUID(row[0])


def upgrade(path: Path | str) -> Path | None:
    """Bring the logbook's layout up to date. Returns the backup made before, or None when nothing was due."""
    where = Path(path)
    before = _revision(where)
    if before == HEAD:
        return None
    try:
        kept = _back_up(where, before)
        _migrate(where)
    except sqlite3.Error as error:
        raise reader.error_for(where, error) from None
    return kept


def _back_up(where: Path, revision: str) -> Path:
    import secrets

    kept = where.with_name(f"{where.name}.layout-{revision}.{secrets.token_hex(3)}.backup")
    try:
        with drafts.beside(kept) as draft:
            with closing(sqlite3.connect(reader.uri(where, "mode=ro"), uri=True)) as source, \
                    closing(sqlite3.connect(draft)) as target:
                source.backup(target)
            files.put(draft, kept)
    except OSError as error:
        raise GwlogError(f"The logbook {where} has an older layout, and no backup can be made beside it: "
                         f"{_reason(error)}.", hint="Make its folder writable, then try again.") from None
    return kept


def _migrate(path: Path) -> None:
    """Run the migrations, then make guards and views anew: all in one transaction, or not at all."""
    load(*UPGRADE)
    from alembic import command
    from alembic.config import Config
    from sqlalchemy.exc import DBAPIError

    from gwlog.journal.guards import triggers
    from gwlog.journal.views import views

    config = Config()
    # Alembic's configuration reads % as the start of a reference.
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    made = engine(path, foreign_keys=False)
    try:
        with made.begin() as connection:
            for kind, name in connection.exec_driver_sql(
                "SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')"
            ).fetchall():
                connection.exec_driver_sql(f'DROP {kind} "{name}"')
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
            for sql in (*triggers().values(), *views().values()):
                connection.exec_driver_sql(sql)
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
            if broken:
                raise NotALogbook(f"The logbook {path} is damaged: {len(broken)} references lead nowhere; "
                                  "nothing was changed.", hint=Hint("See what is wrong: ", Action("verify")))
    except DBAPIError as error:
        if isinstance(error.orig, sqlite3.Error):
            raise error.orig from None
        raise
    finally:
        made.dispose()


def engine(path: Path, *, foreign_keys: bool = True) -> Engine:
    """The writer's engine: every transaction takes the write lock at its beginning, every commit reaches the disk."""
    load("sqlalchemy")
    from sqlalchemy import create_engine, event
    from sqlalchemy.pool import NullPool

    def connect() -> sqlite3.Connection:
        connection = _plain(path)
        for pragma in (
            f"foreign_keys = {'ON' if foreign_keys else 'OFF'}", "trusted_schema = OFF", "recursive_triggers = ON",
            "secure_delete = ON",
        ):
            connection.execute(f"PRAGMA {pragma}")
        return connection

    made = create_engine("sqlite://", creator=connect, poolclass=NullPool)

    @event.listens_for(made, "begin")
    def _begin(connection: object) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")  # type: ignore[attr-defined]

    return made
