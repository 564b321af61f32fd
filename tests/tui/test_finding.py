"""Finding: a line of a list by its letters, a task by another word for it, and a filled field taken whole."""

from __future__ import annotations

import pytest

from gwlog.tui.app import GwlogApp
from gwlog.tui.keys import KEYS
from gwlog.tui.palette import ALSO_CALLED, commands
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.plain_list import PlainList
from tests.tui.conftest import press, settle


async def test_letters_after_a_stroke_go_to_the_line_that_holds_them(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "6")
        works = screens.screen.query_one("#works", PlainList)
        await press(screens, pilot, "slash", "h", "a", "n")
        assert works.highlighted is not None
        assert "Handover" in str(works.get_option_at_index(works.highlighted).prompt)
        await press(screens, pilot, "z")   # no line begins a word like this: it stays
        assert "Handover" in str(works.get_option_at_index(works.highlighted).prompt)
        await press(screens, pilot, "backspace", "backspace", "backspace", "c", "a", "l")
        assert "Calendar" in str(works.get_option_at_index(works.highlighted).prompt)
        await press(screens, pilot, "escape", "2")   # letters and figures are keys again
        assert screens.screen.name == "garden" or type(screens.screen).__name__ == "GardenScreen"


@pytest.mark.parametrize(("typed", "action"), [
    ("undo", "undo"), ("hose", "form('move')"), ("vacation", "open('plan')"),
])
async def test_the_list_of_everything_knows_other_words(screens: GwlogApp, typed: str, action: str) -> None:
    assert typed in ALSO_CALLED[action]
    assert set(ALSO_CALLED) <= {one.action for one in KEYS}   # type: ignore[union-attr]
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        offered = [one for one in commands(screens, described=True) if one.title.casefold().startswith(f"{typed}:")]
        assert offered and not any(one.discover for one in offered)


async def test_a_filled_field_is_taken_whole_when_it_is_entered(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "r")
        lines = [one for one in screens.screen.query(EntryLine) if one.display]
        lines[0].value = "12 mm"
        lines[1].focus()
        await settle(screens, pilot)
        lines[0].focus()
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        assert lines[0].value == "7"
