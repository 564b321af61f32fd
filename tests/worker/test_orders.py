"""Orders of the worker: each reaches the other process whole, and nothing else is carried out."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from gwlog.worker import orders

NOW = datetime(2026, 6, 16, 17, tzinfo=UTC)
COMMON = {"logbook": Path("house.db"), "now": NOW}
OUT = {**COMMON, "out": Path("made here.pdf"), "replace": True}
FILE = {**COMMON, "file": Path("given.csv"), "dry": False}
EVERY = [
    orders.Verify(**COMMON), orders.Verify(**COMMON, file=Path("pack.zip"), noted=("412:9f3a",)),
    orders.Report(**OUT, start=date(2026, 1, 1), end=None, withhold=("observation",), roles=True, paper="a4"),
    orders.Manual(**OUT), orders.Card(**OUT, paper="letter"), orders.Calendar(**OUT),
    orders.Pack(**OUT, withhold=("wash_load",), noted=("1:ab", "2:cd")), orders.Received(**OUT, folder=Path("records")),
    orders.Handover(**OUT), orders.Export(**OUT),
    orders.Spreadsheets(**OUT), orders.SiteFile(**OUT), orders.Backup(**OUT, keep=3),
    orders.Rehearse(**COMMON, days=30),
    orders.Weather(**FILE, leave_out=True), orders.Loads(**FILE, columns={"date": "Day"}, names={"Tücher": "towels"}),
    orders.Restore(**FILE), orders.Begin(**FILE),
]


@pytest.mark.parametrize("order", EVERY, ids=lambda order: type(order).__name__)
def test_an_order_reaches_the_other_process_whole(order: orders.Order) -> None:
    assert orders.of_json(orders.as_json(order)) == order


def ordered(content: bytes) -> list[dict[str, object]]:
    """What the worker process says to an order."""
    done = subprocess.run([sys.executable, "-m", "gwlog.worker.process"], input=content, capture_output=True,
                          timeout=60)
    assert done.returncode == 0 and done.stderr == b"", done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_what_is_no_order_is_refused_and_nothing_is_done(tmp_path: Path) -> None:
    for content in (b"", b"[]", b'{"work": "fly"}', b'{"work": "card"}',
                    orders.as_json(replace(orders.Card(**OUT), paper="x")).replace(b'"card"', b'"pack of cards"')):
        (line,) = ordered(content)
        assert "That is no order" in str(line["refused"])
    (*_, line) = ordered(orders.as_json(orders.Verify(logbook=tmp_path / "none.db", now=NOW)))
    assert "There is no logbook at" in str(line["refused"]) and "begin" in json.dumps(line["hint"])
