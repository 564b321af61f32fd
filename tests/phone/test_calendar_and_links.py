"""The calendar at an address with its own key, and the page that a message's link opens."""

from __future__ import annotations

import re
import shutil
from datetime import timedelta
from pathlib import Path

import pytest
from icalendar import Calendar

from gwlog.household import look
from gwlog.journal import reader, writer
from gwlog.journal.facts import Observation, Person, ReminderAnswer, Resolution
from gwlog.notify.rounds import tell
from gwlog.notify.settings_file import Settings, Tell
from gwlog.phone import address
from gwlog.phone.address import reminder_digest
from gwlog.values import replace
from tests.conftest import NOW
from tests.notify.conftest import Bell
from tests.phone.conftest import Pages

BASE = {"happened_at": NOW - timedelta(hours=1), "zone": "America/Los_Angeles"}


@pytest.fixture
def leaking(served: Pages) -> Pages:
    """The pages of a household whose hose leaks at a basin."""
    writer.append(served.path, [Observation(**BASE, observed="leak", basin="Fig")], now=NOW)   # type: ignore[arg-type]
    return served


def test_the_calendar_needs_its_own_key_and_no_cookie(leaking: Pages) -> None:
    served = leaking
    key, kept = served.keys.calendar("Ines", NOW)
    page = served.anybody().get(f"/calendar/{key}.ics")
    assert page.status == 200 and page.headers["content-type"] == "text/calendar; charset=utf-8"
    assert page.headers["cache-control"] == "private, no-cache" and "set-cookie" not in page.headers
    made = Calendar.from_ical(page.text)
    titles = [str(event["SUMMARY"]) for event in made.walk("VEVENT")]
    assert any("leak at Fig" in title for title in titles)
    again = served.anybody().get(f"/calendar/{key}.ics", If_None_Match=page.headers["etag"])
    assert again.status == 304 and again.text == "" and again.headers["etag"] == page.headers["etag"]
    assert served.anybody().get(f"/calendar/{key}.ics", If_None_Match='"x"').text == page.text
    assert served.anybody().ask("HEAD", f"/calendar/{key}.ics").status == 200
    assert served.anybody().get(f"/calendar/{key}.ics", Host="elsewhere.example").status == 421
    assert served.anybody().post(f"/calendar/{key}.ics", {}).status == 405
    served.keys.remove(kept.number)
    assert served.anybody().get(f"/calendar/{key}.ics").status == 404


def test_keys_of_phones_and_calendars_do_not_open_each_other(served: Pages) -> None:
    phone, (key, _) = served.phone(), served.keys.calendar("Ines", NOW)
    stranger = served.anybody()
    stranger.cookie = f"gwlog_phone={key}"
    assert stranger.get("/").status == 401 and stranger.post("/log/rain", {"amount": "1in"}).status == 401
    for wrong in (phone.cookie.partition("=")[2], "", "x", "A" * 43, "..%2f..", key + "x", key.swapcase()):
        page = phone.get(f"/calendar/{wrong}.ics")
        assert page.status == 404 and "BEGIN:VCALENDAR" not in page.text and key not in page.text


def test_an_event_keeps_its_identity_and_is_cancelled_when_it_is_settled(leaking: Pages) -> None:
    """RFC 5545, 3.8.4.7 and 3.8.7.4: the same UID, a higher SEQUENCE."""
    served = leaking
    key, _ = served.keys.calendar("Ines", NOW)

    def leak() -> object:
        found = Calendar.from_ical(served.anybody().get(f"/calendar/{key}.ics").text)
        return next(event for event in found.walk("VEVENT") if "leak" in str(event["SUMMARY"]))

    before = leak()
    seen = reader.read(served.path)[-1]
    writer.append(served.path, [Resolution(happened_at=NOW, zone=BASE["zone"], resolves_id=seen.id)], now=NOW)
    after = leak()
    assert (before["UID"], "CONFIRMED") == (after["UID"], str(before["STATUS"])) and str(after["STATUS"]) == "CANCELLED"
    assert int(after["SEQUENCE"]) > int(before["SEQUENCE"])


def test_who_left_the_household_gets_no_calendar(served: Pages) -> None:
    key, _ = served.keys.calendar("Ben", NOW)
    ben = next(fact for fact in reader.read(served.path) if isinstance(fact, Person) and fact.name == "Ben")
    writer.append(served.path, [replace(ben, active=False, happened_at=NOW, id=None, corrects_id=None)], now=NOW)
    assert served.anybody().get(f"/calendar/{key}.ics").status == 403


def message(served: Pages, person: str) -> str:
    """The text of the one message that a round of telling sends that person."""
    bell = Bell()
    tell(look(served.path, NOW), Settings(tell=(Tell(person, ("bell",)),)), {"bell": bell}, now=lambda: NOW)
    return bell.rung[0].body


def test_a_message_holds_the_link_to_what_it_tells_and_no_key(leaking: Pages) -> None:
    served = leaking
    address.note(served.keys.folder.name, served.web.origin + "/")
    ben = served.phone("Ben")
    reminders = look(served.path, NOW).reminders
    assert "http" not in message(served, "Ines")             # she has no phone that opens it
    told = message(served, "Ben")
    link = re.search(r"^Done, seen, later: (http\S+)$", told, re.MULTILINE)
    assert link is not None and ben.cookie.partition("=")[2] not in told
    one = reminders[0]
    assert link[1] == served.web.origin + ("/to-do" if len(reminders) > 1 else f"/reminder/{reminder_digest(one.key)}")
    stranger = served.anybody()
    page = stranger.get(link[1].removeprefix(served.web.origin))
    assert page.status == 401 and "leak" not in page.text


def test_a_reminder_has_a_page_to_settle_or_put_it_off(leaking: Pages) -> None:
    served = leaking
    phone, one = served.phone(), next(one for one in look(leaking.path, NOW).reminders if "leak" in one.text)
    path = f"/reminder/{reminder_digest(one.key)}"
    page = phone.get(path)
    assert page.status == 200 and one.text in page.words and "Resolve" in page.words and "Later" in page.words
    told = phone.post("/to-do/seen", {"form": page.value("form"), "reminder": one.key})
    assert told.status == 200 and isinstance(reader.read(served.path)[-1], ReminderAnswer)
    assert "Seen" in phone.get(path).words
    seen = next(fact for fact in reader.read(served.path) if isinstance(fact, Observation))
    writer.append(served.path, [Resolution(happened_at=NOW, zone=BASE["zone"], resolves_id=seen.id)], now=NOW)
    assert "settled" in phone.get(path).words and "settled" in phone.get("/reminder/x").words
    assert phone.get("/reminder/").status == 404


def test_what_another_program_opened_is_asked_for_once_more(served: Pages) -> None:
    """Browsers leave a key with SameSite=Strict at home when another site's page opens an address: RFC 6265bis."""
    stranger, phone = served.anybody(), served.phone()
    first = stranger.get("/reminder/abc")
    assert first.status == 401 and 'content="0; url=/reminder/abc?opened=1"' in first.text
    assert "http-equiv" not in stranger.get("/reminder/abc?opened=1").text
    wrong = served.anybody()
    wrong.cookie = "gwlog_phone=wrong"
    assert "http-equiv" not in wrong.get("/").text and phone.get("/?opened=1").status == 200


def test_cookies_of_other_pages_on_this_machine_do_no_harm(served: Pages) -> None:
    phone = served.phone()
    phone.cookie = f'odd={{"a": [1, 2]}}; =; ;{phone.cookie}; theme=dark/light'
    assert phone.get("/").status == 200


def test_a_phrase_is_not_good_for_longer_where_the_clock_is_set_back(served: Pages) -> None:
    offer = served.keys.offer("Ines", NOW)
    served.set_clock(NOW - timedelta(hours=2))
    assert served.anybody().pair(offer.phrase).status == 422
    served.set_clock(NOW)
    assert served.anybody().pair(offer.phrase).status == 200


def test_a_file_that_cannot_be_read_keeps_its_number(served: Pages) -> None:
    served.phone()
    (served.keys.folder / "phone-2.json").write_text("{")
    (served.keys.folder / "phone-7.json").write_text('{"person": "Ben", "added": "2026-07-14", "digest": "x"}')
    served.phone("Ben")
    assert [one.number for one in served.keys.phones()] == [1, 8]


def test_the_calendar_is_made_again_only_where_something_changed(served: Pages, two_people: Path,
                                                                 monkeypatch: pytest.MonkeyPatch) -> None:
    from gwlog.documents import calendar as documents

    key, _ = served.keys.calendar("Ines", NOW)
    made: list[object] = []
    updated = documents.updated
    monkeypatch.setattr(documents, "updated", lambda *a, **k: made.append(a) or updated(*a, **k))
    first = served.anybody().get(f"/calendar/{key}.ics").text
    assert served.anybody().get(f"/calendar/{key}.ics").text == first and len(made) == 1
    writer.append(served.path, [Observation(**BASE, observed="leak", basin="Fig")], now=NOW)   # type: ignore[arg-type]
    served.anybody().get(f"/calendar/{key}.ics")
    served.set_clock(NOW + timedelta(minutes=16))
    served.anybody().get(f"/calendar/{key}.ics")
    assert len(made) == 3
    shutil.copyfile(two_people, served.path)      # a backup put back
    assert served.anybody().get(f"/calendar/{key}.ics").status == 200 and len(made) == 4
