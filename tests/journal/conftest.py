"""An empty logbook for each test, copied from one that is made once (making one loads the migrations)."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from gwlog.journal import store


@pytest.fixture(scope="session")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("blank") / "blank.db"
    store.create(path)
    return path


@pytest.fixture
def logbook(blank: Path, tmp_path: Path) -> Path:
    path = tmp_path / "logbook.db"
    shutil.copyfile(blank, path)
    return path
