"""Phones on a screen: on or off, a code that a camera reads, a calendar, and removing after a second press."""

from __future__ import annotations

import threading
from pathlib import Path
from time import sleep

import pytest

pytest.importorskip("starlette", reason="the extra “phone” is not installed")
pytest.importorskip("uvicorn", reason="the extra “phone” is not installed")

import segno

from gwlog.journal import store
from gwlog.phone import kept_place, server
from gwlog.phone.address import Place, ip_address
from gwlog.phone.kept_place import Kept
from gwlog.phone.keys import Keys
from gwlog.phone.pairing import qr_lines
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.phone_code import PhoneCodeDialog
from gwlog.tui.dialogs.phones import PhonesDialog
from gwlog.tui.widgets.plain_list import PlainList
from tests.tui.conftest import NOW, Clock, press, seen, settle, words

SMALL = pytest.mark.parametrize("size", [(60, 20), (80, 24)], ids=["60x20", "80x24"])


async def opened(app: GwlogApp, pilot: object) -> PhonesDialog:
    await settle(app, pilot)  # type: ignore[arg-type]
    app.dialogs.open("phones")
    await settle(app, pilot)  # type: ignore[arg-type]
    assert isinstance(app.screen, PhonesDialog)
    return app.screen


async def go_to(app: GwlogApp, pilot: object, option: str) -> None:
    rows = app.screen.query_one(PlainList)
    rows.highlighted = rows.get_option_index(option)
    await settle(app, pilot)  # type: ignore[arg-type]


def keys_of(path: Path) -> Keys:
    return Keys(str(store.logbook_id(path)))


def keep(path: Path, port: int = 8_765) -> None:
    kept_place.keep(str(store.logbook_id(path)), Kept(Place(ip_address("192.168.1.20"), port)))


async def test_before_anything_was_served_it_says_how(screens: GwlogApp, logbook: Path) -> None:
    async with screens.run_test(size=(60, 20)) as pilot:
        await opened(screens, pilot)
        told = words(screens)
        assert "Off, and never served" in told and "gwlog phone serve --address" in told and "No phone is added" in told
        assert "a phone of Ines" not in told
        await press(screens, pilot, "x")
        assert "Go to a phone first" in words(screens)
        await press(screens, pilot, "c")
        assert "phone serve --watch" in screens.clipboard and "house.db" in screens.clipboard
        await go_to(screens, pilot, "start")
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, PhoneCodeDialog) and "phone serve" in words(screens)
        await press(screens, pilot, "escape", "escape")
        assert not isinstance(screens.screen, PhonesDialog)


@SMALL
async def test_a_phone_is_added_by_a_code_and_removed(screens: GwlogApp, logbook: Path, size: tuple[int, int],
                                                      monkeypatch: pytest.MonkeyPatch) -> None:
    """ISO/IEC 18004, as segno draws it: what is on the screen is the code of the address with the phrase in it."""
    monkeypatch.setattr("gwlog.phone.overview.answers", lambda *_: False)
    keep(logbook)
    keys = keys_of(logbook)
    async with screens.run_test(size=size) as pilot:
        await opened(screens, pilot)
        assert "Off: nothing answers at http://192.168.1.20:8765/" in words(screens)
        await go_to(screens, pilot, "add Ines")
        await press(screens, pilot, "enter")
        dialog = screens.screen
        assert isinstance(dialog, PhoneCodeDialog) and "/pair?phrase=" in dialog.link
        shown = [seen(screens)]
        for _ in range(3):
            await press(screens, pilot, "pagedown")
            shown.append(seen(screens))
        code = qr_lines(dialog.link, small=size == (60, 20))
        assert any(all(line in screen for line in code) for screen in shown)     # all of it at once, for a camera
        matrix = segno.make(dialog.link, error="l", boost_error=False, micro=False).matrix
        assert size != (60, 20) or len(code) == (len(matrix) + 2 + 1) // 2
        phrase = dialog.link.partition("phrase=")[2].replace("-", " ")
        keys.pair(phrase, NOW)
        await press(screens, pilot, "escape")
        assert "1 Ines, the pages, since" in words(screens)
        await go_to(screens, pilot, "phone 1")
        await press(screens, pilot, "x")
        assert keys.phones() and "x again removes phone 1" in words(screens)
        await press(screens, pilot, "down", "up", "x")
        assert keys.phones()
        await press(screens, pilot, "x")
        assert not keys.phones() and "Removed phone 1, Ines's." in words(screens)


async def test_a_calendar_has_an_address_of_its_own(screens: GwlogApp, logbook: Path,
                                                    monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gwlog.phone.overview.answers", lambda *_: True)
    keep(logbook)
    async with screens.run_test(size=(80, 24)) as pilot:
        await opened(screens, pilot)
        assert "On, at http://192.168.1.20:8765/" in words(screens) and "same Wi-Fi" in words(screens)
        await go_to(screens, pilot, "calendar Tom")
        await press(screens, pilot, "enter")
        dialog = screens.screen
        assert isinstance(dialog, PhoneCodeDialog)
        key = dialog.link.partition("calendar/")[2].removesuffix(".ics")
        found = keys_of(logbook).find(key, "calendar")
        assert found is not None and found.person == "Tom" and "not shown again" in words(screens)
        await press(screens, pilot, "escape")
        assert "1 Tom, the calendar alone, since" in words(screens)
        await go_to(screens, pilot, "address")
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, PhoneCodeDialog) and screens.screen.link == "http://192.168.1.20:8765/"


async def test_it_asks_whether_the_pages_answer(screens: GwlogApp, logbook: Path) -> None:
    serving, listening, behind = server.served_at(logbook, Place(ip_address("127.0.0.1"), 0))
    kept_place.keep(behind.logbook, Kept(behind.place))
    thread = threading.Thread(target=serving.run, kwargs={"sockets": [listening]})
    async with screens.run_test(size=(80, 24)) as pilot:
        thread.start()
        while not serving.started:
            sleep(0.005)
        await opened(screens, pilot)
        assert f"On, at {behind.place.url}" in words(screens)
        serving.should_exit = True
        thread.join()
        listening.close()
        await press(screens, pilot, "g")
        assert f"Off: nothing answers at {behind.place.url}" in words(screens)


async def test_a_phrase_ends_after_ten_minutes_of_the_screens_clock(screens: GwlogApp, logbook: Path, clock: Clock,
                                                                 monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gwlog.phone.overview.answers", lambda *_: True)
    keep(logbook)
    async with screens.run_test(size=(80, 24)) as pilot:
        await opened(screens, pilot)
        clock.move(hours=3)
        await go_to(screens, pilot, "add Tom")
        await press(screens, pilot, "enter")
        assert "1:10" in words(screens)
