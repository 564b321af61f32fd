"""What every test shares: a small household in a real logbook file, and the command line without a process."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

try:
    import fcntl
except ImportError:   # no such locks on Windows; there the tests run in one process
    fcntl = None  # type: ignore[assignment]

# Without bytecode each worker, and each process that a test starts, would compile gwlog and the libraries anew.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

import pytest  # noqa: E402
from hypothesis import HealthCheck, settings  # noqa: E402

os.environ["GWLOG_CHECKPOINTS"] = os.environ["GWLOG_NOTED"] = ""   # a test that keeps either says where
for name in ("NO_COLOR", "GWLOG_LOGBOOK", "COLUMNS", *[key for key in os.environ if key.startswith("TEXTUAL")]):
    os.environ.pop(name, None)

settings.register_profile("gwlog", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("gwlog")

NOW = datetime(2026, 7, 14, 18, 0, tzinfo=UTC)   # Tuesday 11:00 in Los Angeles

SITE = """
[site]
name = "Tern Cottage"
timezone = "America/Los_Angeles"
latitude = 36.9
units = "us"
occupants = 3
code = "us-ca-washer"
valve = "garden"
since = 2026-05-01
climate = { eto_zone = 3 }

[[washer]]
name = "front loader"
kind = "front-load"
volume_gal = 18

[[basin]]
name = "Pomegranate"
area_ft2 = 20
mulch_in = 4
soil = "sandy loam"
plants = "pomegranate"
canopy_ft2 = 60
plant_factor = 0.5
root_depth_in = 30
depletion_fraction = 0.5
edible = "off the ground"

[[basin]]
name = "Fig"
area_ft2 = 25
mulch_in = 4
soil = "sandy clay"
plants = "fig"
canopy_ft2 = 80
root_depth_in = 36

[[basin]]
name = "Carrots"
area_ft2 = 10
mulch_in = 3
soil = "fine sand"
plants = "carrot"
edible = "root crop"

[[outlet]]
name = "Hose"
reaches = ["Pomegranate", "Fig"]
at = "Pomegranate"

[[product]]
name = "plain liquid"
kind = "detergent"
form = "liquid"
chlorine_bleach = false
borax = false
sodium_g_per_load = 3

[[product]]
name = "bleach"
kind = "bleach"
form = "liquid"
chlorine_bleach = true
borax = false
sodium_g_per_load = 5

[[usual_load]]
name = "towels"
products = ["plain liquid"]

[[usual_load]]
name = "whites"
products = ["plain liquid", "bleach"]

[[usual_load]]
name = "diapers"
products = ["plain liquid"]
contents = ["diapers"]

[[person]]
name = "Ines"
"""


@dataclass
class Answer:
    """What a command said: exit code, data and talk."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        return dict(json.loads(self.out))


Runner = Callable[..., Answer]


class Shelf:
    """Files that are costly to make, each made once in a run of the tests, whichever worker asks first."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.folder.mkdir(exist_ok=True)

    def file(self, name: str, make: Callable[[Path], object]) -> Path:
        """The file `name`, written by `make(path)` when it is asked for the first time. To be copied, not changed."""
        made = self.folder / name
        with (self.folder / f"{name}.lock").open("w") as lock:
            if fcntl is not None:
                fcntl.flock(lock, fcntl.LOCK_EX)
            if not made.exists():
                draft = self.folder / f"draft-{name}"
                make(draft)
                assert not Path(f"{draft}-wal").exists(), "somebody still has it open"
                draft.rename(made)
        return made

    def copy(self, name: str, make: Callable[[Path], object], where: Path) -> Path:
        """A copy of that file at `where`, readable by its owner alone as every logbook is."""
        shutil.copyfile(self.file(name, make), where)
        where.chmod(0o600)
        return where


@pytest.fixture(scope="session")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """The run's shelf of ready-made files, shared by the workers of pytest-xdist."""
    folder = tmp_path_factory.getbasetemp()
    return Shelf((folder.parent if "PYTEST_XDIST_WORKER" in os.environ else folder) / "shelf")


@pytest.fixture(scope="session")
def blank(shelf: Shelf) -> Path:
    """An empty logbook; making one runs the migrations."""
    from gwlog.journal import store

    return shelf.file("blank.db", store.create)


@pytest.fixture
def frozen(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[datetime], None]]:
    """Set what the clock says; NOW to begin with."""

    def put(moment: datetime) -> None:
        monkeypatch.setattr("gwlog.clock.now", lambda: moment)

    put(NOW)
    yield put


@pytest.fixture
def gwlog(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Runner:
    """Run a command line in this process against tmp_path/logbook.db: gwlog("where", "towels")."""
    monkeypatch.setenv("GWLOG_LOGBOOK", str(tmp_path / "logbook.db"))

    def run(*words: str) -> Answer:
        from gwlog.cli.main import run as main

        capsys.readouterr()
        code = main(words)
        said = capsys.readouterr()
        return Answer(code, said.out, said.err)

    return run


@pytest.fixture
def home(frozen: Callable[[datetime], None], gwlog: Runner, tmp_path: Path, shelf: Shelf) -> Runner:
    """The small household set up, at NOW."""
    (tmp_path / "site.toml").write_text(SITE, encoding="utf-8")

    def set_up(path: Path) -> None:
        answer = gwlog("--logbook", str(path), "begin", str(tmp_path / "site.toml"))
        assert answer.code == 0, answer.err

    shelf.copy("home.db", set_up, tmp_path / "logbook.db")
    return gwlog
