"""A logbook begun from a file that somebody has: an export, a record pack, a handover, a backup, or a site file.

What the file is, it says itself; everything in it is verified before anything is made.
"""

from __future__ import annotations

import zipfile
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from gwlog.errors import BadInput
from gwlog.journal import backup, exchange, files, pack, reader, store
from gwlog.text import plural
from gwlog.views.import_summary import restored_lines

ACCEPTED = "an export (.jsonl), a record pack or handover (.zip), a backup (.db) or a site file (.toml)"


def kind_of(file: Path) -> str:
    """What a file is: “export”, “pack”, “handover”, “backup” or “site file”. Raises BadInput when it is none."""
    if files.is_database(file):
        return "backup"
    start = _beginning(file)
    if start.startswith(b"PK"):
        try:
            with zipfile.ZipFile(file) as archive:
                return "handover" if "logbook.db" in archive.namelist() else "pack"
        except (zipfile.BadZipFile, OSError):
            raise BadInput(f"{file} is a damaged zip file.") from None
    if file.suffix.casefold() == ".toml":
        return "site file"
    if start.lstrip().startswith(b"{"):
        return "export"
    raise BadInput(f"{file} is not a file that a logbook begins from; {ACCEPTED} is accepted.")


def begin(file: Path, logbook: Path, now: datetime, *, dry: bool) -> list[str]:
    """Make the logbook (or fill an empty one) from the file, all or nothing; `dry`: only say what would be made.

    Raises what reading that kind of file raises; then nothing was made.
    """
    kind = kind_of(file)
    if logbook.exists() and reader.seal_head(logbook)[0]:
        raise BadInput(f"The logbook {logbook} holds entries already; nothing was changed.",
                       hint="A logbook begins from a file only where it is new or empty.")
    if kind == "site file":
        return _described(file, logbook, now, dry=dry)
    if kind == "backup":
        return restored_lines(backup.examine(file, logbook) if dry else backup.restore(file, logbook, now=now), dry=dry)
    content = entries_in(file)
    count = len(exchange.read_export(content)) if dry else exchange.import_into(logbook, content)
    told = [f"{plural(count, 'entry', 'entries')} {'would come' if dry else 'came'} in, each link verified."]
    if kind == "handover":
        told.append("Then describe your own household under Setup: people, products, usual loads.")
    return told


def entries_in(file: Path) -> bytes:
    """The entries in an export, a record pack or a handover, as an export has them. Raises as reading them does."""
    kind = kind_of(file)
    if kind == "pack":
        return pack.entries_of(file)
    return _handed_on(file) if kind == "handover" else files.read_whole(file, exchange.LARGEST, "no logbook is")


def _handed_on(file: Path) -> bytes:
    """The entries of the logbook in a handover."""
    with TemporaryDirectory(prefix="gwlog-") as folder:
        copy = Path(folder) / "logbook.db"
        try:
            with zipfile.ZipFile(file) as archive:
                inside = archive.getinfo("logbook.db")
                if inside.file_size > exchange.LARGEST:
                    raise BadInput(f"{file} holds more than {exchange.LARGEST // 1_000_000} MB; no logbook does.")
                copy.write_bytes(archive.read(inside))
        except (zipfile.BadZipFile, OSError, RuntimeError, NotImplementedError) as fault:
            raise BadInput(f"The logbook in {file} cannot be read: {fault}.") from None
        store.ready(copy)
        return exchange.export(copy)


def _described(file: Path, logbook: Path, now: datetime, *, dry: bool) -> list[str]:
    from gwlog.journal.writer import append
    from gwlog.setup.describe import describe
    from gwlog.setup.read import read_site_path
    from gwlog.state import fold

    site = read_site_path(file, now=now)
    told = [*describe(site.facts, fold([])), *(f"mind: {warning}" for warning in site.warnings)]
    if not dry:
        if not logbook.exists():
            store.create(logbook)
        append(logbook, site.facts, now=now)
    return [*told, f"{plural(len(site.facts), 'description')} {'would be ' if dry else ''}appended."]


def _beginning(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            return opened.read(64)
    except (OSError, ValueError) as fault:
        raise BadInput(f"{file} cannot be read: {files.reason(fault)}.") from None
