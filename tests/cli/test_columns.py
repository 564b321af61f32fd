"""Tables stay within the terminal, and no word is cut."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from gwlog.cli.columns import cell_width, lines
from tests.conftest import Runner

ROWS = [["towels", "Fig by the wall and the long hedge behind the shed", "18 gal"],
        ["無花果の木", "柿 と 桃", "1,204 gal"]]


@pytest.mark.parametrize("width", [30, 40, 60, 80, 200])
def test_a_table_is_no_wider_than_asked_and_cuts_no_word(width: int) -> None:
    made = lines(("load", "where it went to", "water"), ROWS, width, right=(2,))
    assert max(map(cell_width, made)) <= width
    words = " ".join(made).split()
    for word in ("towels", "Fig", "hedge", "behind", "shed", "water"):
        assert any(word in one for one in words), made
    assert any("1,204 gal" in line for line in made)


def test_at_30_columns_each_row_is_told_line_by_line() -> None:
    made = lines(("load", "where", "water"), ROWS[:1], 30, right=(2,))
    assert made[0] == "towels" and made[1].startswith("  where: Fig by the wall") and made[-1] == "  water: 18 gal"


def test_names_in_any_script_keep_the_columns() -> None:
    made = lines(("name", "water"), [["無花果", "1 gal"], ["é\u0301t", "2 gal"], ["👩\u200d🌾", "3 gal"]], 80)
    ends = {cell_width(line.rsplit("  ", 1)[0]) if len(line.split("  ")) > 1 else 0 for line in made[2:]}
    assert len({cell_width(line) for line in made[2:]}) == 1 and ends


# rich is the outside source: it measures cells by the Unicode tables of wcwidth
@given(st.text(alphabet="aZ1 無花果アéüßж한국°²→◆", max_size=30))
def test_the_width_is_that_of_the_unicode_tables(words: str) -> None:
    assert cell_width(words) == cell_len(words)


CELL = st.lists(st.text(alphabet="abcdefgh", min_size=1, max_size=9), min_size=0, max_size=7).map(" ".join)


@given(st.lists(st.lists(CELL, min_size=4, max_size=4), max_size=5), st.integers(20, 120))
def test_no_table_is_wider_than_the_terminal_and_every_word_is_there(rows: list[list[str]], width: int) -> None:
    made = lines(("one", "two", "three", "four"), rows, width)
    assert all(cell_width(line) <= width for line in made)
    said = " ".join(made).split()
    assert all(word in said or f"{word}:" in said for row in rows for cell in row for word in cell.split())


@pytest.mark.parametrize("width", ["80", "30"])
@pytest.mark.parametrize("words", ["basins", "upkeep", "entries", "plan", "capacity", "salts", "reference plants",
                                   "reference climate", "reference upkeep", "reference laundry"])
def test_every_table_of_the_program_fits(home: Runner, monkeypatch: pytest.MonkeyPatch, words: str, width: str
                                         ) -> None:
    home("load", "towels", "--note", "a rather long note about what happened at the machine in the garage yesterday")
    monkeypatch.setenv("COLUMNS", width)
    out = home(*words.split()).out
    assert out and max(map(cell_len, out.splitlines())) <= int(width)
