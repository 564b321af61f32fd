"""Files from which a logbook can start: an export, a record pack, a handover, a backup, or a site file.

The kind is found from the content; entries are returned in the form of an export, to be verified link by link.
"""

from __future__ import annotations

from pathlib import Path

from gwlog import drafts, files
from gwlog.errors import BadInput
from gwlog.journal import check_seal, exchange, export_file, pack, store

ACCEPTED = "an export (.jsonl), a record pack or handover (.zip), a backup (.db) or a site file (.toml)"


def kind_of(file: Path) -> str:
    """What a file is: “export”, “pack”, “handover”, “backup” or “site file”. Raises BadInput when it is none."""
    if files.is_database(file):
        return "backup"
    start = _beginning(file)
    if start.startswith(b"PK"):
        try:
            with check_seal.opened(file) as inside:
                return "handover" if "logbook.db" in inside.sizes else "pack"
        except (ValueError, OSError) as fault:
            raise BadInput(f"{file} is a damaged zip file, or one that gwlog did not write: {fault}.") from None
    if file.suffix.casefold() == ".toml":
        return "site file"
    if start.lstrip().startswith(b"{"):
        return "export"
    raise BadInput(f"{file} is not a file that a logbook begins from; use {ACCEPTED}.")


def entries_in(file: Path) -> bytes:
    """The entries in an export, a record pack or a handover, as an export has them. Raises as reading them does."""
    kind = kind_of(file)
    if kind == "pack":
        return pack.entries_of(file)
    if kind == "handover":
        return _handed_on(file)
    return export_file.entries_alone(files.read_whole(file, exchange.LARGEST, "no logbook is"))


def _handed_on(file: Path) -> bytes:
    """The entries of the logbook in a handover."""
    with drafts.folder() as folder:
        copy = folder / "logbook.db"
        try:
            with check_seal.opened(file) as inside, copy.open("xb") as unpacked:
                unpacked.writelines(inside.pieces("logbook.db"))
        except (ValueError, OSError) as fault:
            raise BadInput(f"The logbook in {file} cannot be read: {fault}.") from None
        store.ready(copy)
        return exchange.export(copy)


def _beginning(file: Path) -> bytes:
    with files.opened(file) as content:
        return content.read(64)
