"""What the forms of tampering share: the table of those that can be done, and what a form gives to be verified."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.promise.material import Material


@dataclass(frozen=True)
class Given:
    """A file to be verified: seal numbers noted with it, the true one that shows what it is, and what is said of it."""

    file: Path
    noted: tuple[str, ...] = ()
    number: str | None = None
    says: str = ""


@dataclass(frozen=True)
class Bench:
    """Where a form works: the material, an empty folder, and a way to change what gwlog knows."""

    material: Material
    folder: Path
    patch: pytest.MonkeyPatch

    def write(self, content: bytes, name: str = "given.zip") -> Path:
        """A file in the folder."""
        file = self.folder / name
        file.write_bytes(content)
        return file


Tampering = Callable[[Bench], Given]
TAMPERINGS: dict[str, Tampering] = {}


def form(name: str) -> Callable[[Tampering], Tampering]:
    """Enter a tampering under its form's id."""
    def entered(tampering: Tampering) -> Tampering:
        assert name not in TAMPERINGS, name
        TAMPERINGS[name] = tampering
        return tampering

    return entered
