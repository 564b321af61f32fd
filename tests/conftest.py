"""What every test shares: a small household in a real logbook file, and the command line without a process."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

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
def home(frozen: Callable[[datetime], None], gwlog: Runner, tmp_path: Path) -> Runner:
    """The small household set up, at NOW."""
    (tmp_path / "site.toml").write_text(SITE, encoding="utf-8")
    answer = gwlog("init", str(tmp_path / "site.toml"))
    assert answer.code == 0, answer.err
    return gwlog
