"""The report's annex on salt: only where the tap water is known, the figures of the views, every form."""

from __future__ import annotations

from pathlib import Path

from gwlog.documents.record.chapters import document
from gwlog.documents.record.gather import record
from gwlog.documents.render.csv import csv as as_csv
from gwlog.documents.render.html import html
from gwlog.documents.render.markdown import markdown
from tests.cli.test_salts import REPORT
from tests.conftest import SITE, Runner
from tests.documents.conftest import Looker


def test_a_household_without_a_report_has_no_annex(lived: Runner, looked: Looker) -> None:
    assert lived is not None and record(looked()).salt is None
    assert "Annex" not in markdown(document(record(looked())))


def test_the_annex_tells_each_basin_and_each_soil_test(lived: Runner, looked: Looker, tmp_path: Path) -> None:
    (tmp_path / "more.toml").write_text(SITE + REPORT, encoding="utf-8")
    assert lived("setup", "apply", str(tmp_path / "more.toml")).code == 0
    assert lived("soil", "fig", "--ec", "2.4 dS/m").code == 0
    home = looked()
    made = record(home)
    assert made.salt is not None
    assert [one.basin for one in made.salt.basins] == list(home.garden.basins)
    basin = home.garden.basins["Fig"]
    assert basin.owed is not None
    last = next(one for one in made.salt.basins if one.basin == "Fig").rows[-1]
    assert last[1] == f"{basin.owed.soil.ece.middle:.2f}" == "2.40" and last[2] == "2.7"
    ((_, where, measured, reckoned),) = made.salt.readings
    assert where == "Fig" and measured.startswith("EC 2.4 dS/m") and reckoned.startswith("EC 0.5")
    text = markdown(document(made))
    assert "## Annex: salt in the soil" in text and "fig: 2.7 dS/m" in text
    for written in (as_csv(document(made)), html(document(made))):
        assert ("2.40" in written and "salt at Fig" in written) or "Fig" in written
