"""Verifies a handover: its files by its manifest, the logbook in it, the pack in it, and its papers made again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from gwlog import __version__, drafts
from gwlog.documents import handover, pack
from gwlog.errors import GwlogError
from gwlog.household import look
from gwlog.journal import chain, check_seal, soundness, store
from gwlog.journal import pack as packs
from gwlog.journal.check_seal import MANIFEST
from gwlog.journal.level import Level
from gwlog.journal.seal import Verification
from gwlog.journal.seal_number import SealNumber
from gwlog.text import clean

KEYS = frozenset(("digest", "entries", "files", "form", "gwlog", "home", "made", "notes_withheld", "seal_number",
                  "site"))
OLDER = "the files beside the logbook: this handover is of an older gwlog and has no manifest"


def is_handover(path: Path) -> bool:
    """Whether a file is a handover that can be read as gwlog writes it."""
    try:
        with check_seal.opened(path) as files:
            return handover.LOGBOOK in files.sizes
    except (OSError, *check_seal.DAMAGED):
        return False


def verify(path: Path, noted: Sequence[SealNumber] = (), now: datetime | None = None
           ) -> tuple[Verification, tuple[str, ...]]:
    """Verify a handover at `now`; also what of it could not be checked. `noted`: seal numbers."""
    try:
        with check_seal.opened(path) as files, drafts.folder() as folder:
            return _Looked(files, folder, noted, now).told()
    except (GwlogError, OSError, *check_seal.DAMAGED) as fault:
        level = Level("files", False, f"cannot be read as a handover: {clean(str(fault))[:120]}")
        return Verification((level,), 0, 0, chain.START, None), ()


class _Looked:
    """What was found of a handover whose files are unpacked into a folder of drafts, one after the other."""

    def __init__(self, files: check_seal.Files, folder: Path, noted: Sequence[SealNumber],
                 now: datetime | None) -> None:
        self.files, self.folder, self.noted, self.now = files, folder, noted, now
        self.unchecked: list[str] = []

    def told(self) -> tuple[Verification, tuple[str, ...]]:
        logbook = self._unpacked(handover.LOGBOOK)
        if store.stale(logbook):
            store.upgrade(logbook)
        found = soundness.examine(logbook, noted=self.noted, now=self.now)
        number = f"{found.last_number}:{found.last_hash}"
        levels = [*self._listed(number, found.entries), *found.levels, self._pack(number)]
        if all(level.holds for level in levels):
            levels += self._again(logbook)
        return replace(found, levels=tuple(levels)), tuple(self.unchecked)

    def _unpacked(self, name: str) -> Path:
        if name not in self.files.sizes:
            raise ValueError(f"{name} is missing")
        where = self.folder / name
        with where.open("xb") as file:
            file.writelines(self.files.pieces(name))
        return where

    def _manifest(self) -> dict[str, Any] | None:
        return check_seal.strict_json(self.files.whole(MANIFEST).decode()) if MANIFEST in self.files.sizes else None

    def _listed(self, number: str, entries: int) -> Iterator[Level]:
        """The files as the manifest has them, and the manifest against the logbook."""
        manifest = self._manifest()
        strange = sorted(set(self.files.sizes) - handover.NAMES - {MANIFEST})
        missing = sorted(handover.NAMES - set(self.files.sizes))
        if manifest is None:
            self.unchecked.append(OLDER)
            yield Level("files", not strange, f"{strange[0]!a} does not belong to a handover" if strange else
                        "all there")
            return
        other = [name for name in sorted(set(self.files.sizes) - {MANIFEST})
                 if self.files.digest(name) != manifest["files"].get(name)]
        told = [f"{name!a} does not belong to a handover" for name in strange] + \
            [f"{name} is missing" for name in missing] + [f"{name!a} is not the file that was packed" for name in other]
        yield Level("files", not told, "; ".join(told[:3]) or f"as packed: {len(manifest['files'])}")
        without = {key: value for key, value in manifest.items() if key != "digest"}
        compared = {
            "what it tells of": set(manifest) == KEYS and set(manifest["files"]) == handover.NAMES,
            "form": manifest["form"] == handover.FORM,
            "its own digest": manifest["digest"] == check_seal.sha256(check_seal.canonical(without).encode()),
            "seal number": manifest["seal_number"] == number, "entries": manifest["entries"] == entries,
        }
        wrong = [name for name, holds in compared.items() if not holds]
        yield Level("manifest", not wrong, "differs from the logbook: " + ", ".join(wrong) if wrong else
                    "agrees with the logbook")

    def _pack(self, number: str) -> Level:
        """The pack in it: it holds, its papers too, and it is of the same entries."""
        if handover.PACK not in self.files.sizes:
            return Level("pack", False, "it is missing")
        where = self._unpacked(handover.PACK)
        found = packs.verify(where)
        levels = list(found.levels)
        if found.holds:
            again = pack.made_again(where)
            levels += [again.level] if again.level else []
            self.unchecked += [again.why_not] if again.why_not else []
        broken = next((f"{level.name}: {level.detail}" for level in levels if not level.holds), None)
        if broken is None and f"{found.last_number}:{found.last_hash}" != number:
            broken = "it is of other entries than the logbook"
        return Level("pack", broken is None, broken or f"of the same entries: {found.entries}")

    def _again(self, logbook: Path) -> Iterator[Level]:
        """The papers made again of the logbook, and compared byte by byte."""
        manifest = self._manifest()
        if manifest is None:
            return
        if manifest["gwlog"] != __version__:
            self.unchecked.append(f"whether the papers say what the entries say: gwlog {manifest['gwlog']} made them, "
                                  f"and gwlog {__version__} cannot make the very same")
            return
        home = look(logbook, datetime.fromisoformat(manifest["made"]))
        facts = check_seal.strict_json(handover.manifest(home, handover.handed_on(home), {}).decode())
        if any(facts[key] != manifest[key] for key in KEYS - {"files", "digest"}):
            yield Level("papers", False, f"{MANIFEST} is not what the entries say")
            return
        papers = handover.documents(home)
        del papers[handover.PACK]   # its files were compared one by one
        differs = next((name for name, make in papers.items() if self.files.whole(name) != make()), None)
        yield Level("papers", differs is None, f"made again from the entries: {len(papers)}" if differs is None else
                    f"{differs} is not what the entries say")
