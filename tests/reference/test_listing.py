"""Every published figure can be listed, carries a source, and says how sure we are; and the tables load fast."""

from __future__ import annotations

import json
import re
import subprocess
import sys

import pytest

from gwlog.errors import UnknownName
from gwlog.reference.listing import TABLES, table
from gwlog.reference.source import SURE, Sourced, assumed, citation

KEYS = ["name", "what", "value", "unit", "source", "edition", "sure"]


@pytest.mark.parametrize("name", TABLES)
def test_every_figure_has_a_source_and_says_how_sure(name):
    rows = table(name)
    assert rows
    for row in rows:
        assert list(row)[: len(KEYS)] == KEYS
        assert row["name"] and row["what"] and row["value"] not in (None, "", [])
        assert isinstance(row["source"], str) and row["source"].strip()
        assert row["sure"] in SURE
        assert isinstance(row["edition"], str)


@pytest.mark.parametrize("name", TABLES)
def test_a_table_has_the_same_keys_in_every_row_and_survives_json(name):
    rows = table(name)
    assert len({tuple(row) for row in rows}) == 1
    assert json.loads(json.dumps(rows, allow_nan=False)) == rows


@pytest.mark.parametrize("name", TABLES)
def test_no_figure_is_listed_twice(name):
    seen = [(row["name"], row["what"]) for row in table(name)]
    assert len(seen) == len(set(seen))


@pytest.mark.parametrize("name", TABLES)
def test_an_assumption_says_that_it_is_one(name):
    for row in table(name):
        says = str(row["source"]).startswith("working assumption")
        assert says is (row["sure"] == "assumption"), row


@pytest.mark.parametrize("name", TABLES)
def test_common_practice_is_never_given_as_a_document(name):
    for row in table(name):
        if row["sure"] == "common practice":
            assert str(row["source"]).startswith("common practice")


def test_a_read_figure_of_an_fao_paper_names_its_edition():
    for name in TABLES:
        for row in table(name):
            if re.match(r"FAO Irrigation and Drainage Paper (56|29)", str(row["source"])):
                assert row["edition"] in ("1998", "1985", "1976"), row


def test_a_limit_to_stay_below_is_told_so():
    """Arizona less than 400 gal/day; Washington at most 60."""
    limits = {row["name"]: (row["what"], row["value"]) for row in table("codes")
              if str(row["what"]).startswith("daily limit")}
    assert limits["us-az-1"] == ("daily limit, to stay below", 400)
    assert limits["us-wa-1"] == ("daily limit", 60)
    assert "us-ut" not in limits and "us-tx" not in limits


def test_a_flow_that_a_system_is_sized_for_is_told_so():
    """Utah R317-401-5 table 1: 120 gal/day with two bedrooms, 40 for each further one. Texas 30 TAC 210.83: 400."""
    told = {(row["name"], row["what"]): row["value"] for row in table("codes")}
    assert told["us-ut", "flow it is sized for"] == 120
    assert told["us-ut", "added by each bedroom past the second"] == 40
    assert told["us-tx", "average of the days, to stay below"] == 400


def test_an_unknown_table_is_refused_with_the_nearest_one():
    with pytest.raises(UnknownName) as refused:
        table("soil")
    assert refused.value.hint is not None and "soils" in refused.value.hint


def test_citations_read_as_one_line():
    assert citation(Sourced(5.0, "a code", "2024", "read")) == "a code, 2024 (read)"
    assert citation(assumed(1, "because")) == "working assumption: because (assumption)"


def test_the_tables_import_nothing_heavy():
    code = (
        "import sys, gwlog.reference.soils, gwlog.reference.plants, gwlog.reference.climate, gwlog.reference.codes\n"
        "print(*sorted(name.partition('.')[0] for name in sys.modules))"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    heavy = {"sqlmodel", "sqlalchemy", "pydantic", "rich", "textual", "dateutil", "sqlite3", "click", "json"}
    assert not heavy & set(shown.stdout.split())


def test_the_package_itself_loads_no_table():
    code = "import sys, gwlog.reference\nprint(*(n for n in sys.modules if n.startswith('gwlog.reference.')))"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == ""
