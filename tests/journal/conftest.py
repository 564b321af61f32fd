"""An empty logbook for each test, copied from the one that is made once."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest


@pytest.fixture
def logbook(blank: Path, tmp_path: Path) -> Path:
    path = tmp_path / "logbook.db"
    shutil.copyfile(blank, path)
    return path
