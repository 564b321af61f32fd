"""Hostile words in every field that can be typed in: nothing runs, nothing breaks, nothing reaches the terminal raw."""

from __future__ import annotations

import unicodedata
from pathlib import Path

from textual import events

from gwlog.journal.facts import Basin, Outlet, Site, UsualLoad
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.widgets.entry_line import EntryLine
from tests.tui.conftest import BASE, Clock, basin, household, press, seen, settle

NASTY = [
    "a [/] b [@click=app.exit]leave[/] [bold red]x $primary {x} %s \\",
    "\x1b]0;title\x07\x1b[2J\x1b[31mred tab\tand\nline\x00",
    "\u202eright to left שלום عليكم " + "👩‍👩‍👧‍👦 🌵" * 20 + "\ud800", "z" * 10_000,
]
RAW = {"\x1b", "\x07", "\x00", "\u202e", "\ud800"}


def clean(page: str) -> bool:
    """Whether a drawn page holds no sign that a terminal would act on."""
    return not RAW & set(page) and all(unicodedata.category(sign) != "Cc" for sign in page.replace("\n", ""))


async def test_every_field_of_every_form_takes_nasty_words(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for form in ("c", "r", "le"):  # between them they hold every field that is typed in
            await press(screens, pilot, *form)
            fields = list(screens.screen.query(EntryLine))
            assert fields
            for words in NASTY:
                for field in fields:
                    field.value = ""
                    field.post_message(events.Paste(words))
                await pilot.pause()
                assert clean(seen(screens)), (form, words)
            await press(screens, pilot, "enter", "escape")
            assert not screens.screen.is_modal
    assert len(read(screens.path)) == len(household())


async def test_a_note_with_nasty_words_is_logged_clean_and_shown_as_written(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for words in NASTY[:2]:
            await press(screens, pilot, "o")
            screens.screen.query_one("#f-note", EntryLine).value = words
            await settle(screens, pilot)
            await press(screens, pilot, "enter")
            screens.now.move(minutes=1)  # type: ignore[attr-defined]
        await press(screens, pilot, "4")
        for back in range(2):
            await press(screens, pilot, *["down"] * (1 if back else 0), "enter")
            page = seen(screens)
            assert clean(page) and "“" in page
            await press(screens, pilot, "escape")
    assert [fact.note for fact in read(screens.path)[-2:]] == [NASTY[0], "]0;title[2J[31mred tab and line"]


async def test_search_and_typed_lines_take_nasty_words(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "4")
        for key, field in (("slash", "#words-in"), ("t", "#line")):
            await press(screens, pilot, key)
            for words in NASTY:
                screens.screen.query_one(field, EntryLine).value = words
                await settle(screens, pilot)
                assert clean(seen(screens))
            await press(screens, pilot, "escape")


async def test_names_of_the_setup_are_never_read_as_markup(tmp_path: Path, blank: Path, clock: Clock) -> None:
    path = tmp_path / "nasty.db"
    path.write_bytes(blank.read_bytes())
    name = "[@click=app.exit]Fig[/] 👩‍👩‍👧‍👦"
    facts = [fact for fact in household() if not isinstance(fact, (Basin, Outlet, Site, UsualLoad))]
    site = next(fact for fact in household() if isinstance(fact, Site))
    append(path, [*facts, site, basin(name, 20), basin("مرحبا", 12), Outlet(**BASE, name="[red]Hose", basin=name),
                  UsualLoad(**BASE, name="[/]towels", washer="front loader")], now=clock())
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for keys in ("1", "2", "3", "4", "5", "l", "m", "o"):
            await press(screens, pilot, keys)
            page = seen(screens)
            assert clean(page)
            if keys in ("1", "m"):
                assert "[@click=app.exit]Fig[/]" in page
            await press(screens, pilot, "escape")
        assert screens.is_running
