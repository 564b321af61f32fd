"""Files from which a logbook can start: an export, a record pack, a handover, a backup, or a site file.

The kind is found from the content; entries are returned in the form of an export, to be verified link by link.
"""

from __future__ import annotations

import zipfile
from pathlib import Path
from tempfile import TemporaryDirectory

from gwlog import files
from gwlog.errors import BadInput
from gwlog.journal import exchange, pack, store

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


def _beginning(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            return opened.read(64)
    except (OSError, ValueError) as fault:
        raise BadInput(f"{file} cannot be read: {files.reason(fault)}.") from None
