"""What the pages tell and log is what commands and screens tell and log; and what stands in the way of a logbook."""

from __future__ import annotations

import re
import shutil
import sqlite3
import threading
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.actions import Action, Hint
from gwlog.app.forms.entries import FORMS
from gwlog.decisions.caution_words import other_water_caution
from gwlog.household import look
from gwlog.journal import reader, store, writer
from gwlog.journal.facts import (
    NOT_YET,
    Fact,
    Observation,
    OutletMove,
    Person,
    ReminderAnswer,
    ValveSwitch,
    WashLoad,
    WeatherDay,
    Withdrawal,
)
from gwlog.phone import hints, list_pages
from gwlog.phone.hints import CALLED
from gwlog.values import replace
from gwlog.views import answers, load_list, next_load
from tests.conftest import NOW, Runner
from tests.phone.conftest import Pages, Web, serving_at


def last(served: Pages, count: int = 1) -> list[Fact]:
    return list(reader.read(served.path)[-count:])


def test_now_tells_what_the_commands_tell(served: Pages) -> None:
    phone, home = served.phone(), look(served.path, NOW)
    words = phone.get("/").words
    assert "Tern Cottage" in words and "▶ GARDEN" in words
    for row in load_list.load_rows(home, ["towels", "whites", "diapers"]):
        assert f"{row.name} {row.volume} {row.shape} {row.answer}" in words
    confirmation = phone.get("/load?name=whites").words
    for _, sentences in answers.parts(home, home.answer(home.query("whites"))):
        for sentence in sentences:
            assert sentence in confirmation


def test_a_load_is_logged_as_advised_by_the_phones_person_and_taken_back(served: Pages) -> None:
    phone = served.phone("Ben")
    asked = phone.get("/load?name=whites")
    assert "Turn the valve to sewer." in asked.words and "The steps are done: log all" in asked.words
    done = phone.post("/load?name=whites", {"form": asked.value("form"), "way": "advised"})
    valve, load = last(served, 2)
    assert isinstance(valve, ValveSwitch) and isinstance(load, WashLoad)
    assert (valve.position, load.went_to, valve.recorded_by, load.recorded_by) == ("sewer", "sewer", "Ben", "Ben")
    assert f"Logged {valve.id}: valve to sewer." in done.words
    assert "Turn the valve back to garden at 12:00 pm" in done.words
    assert "The machine drains whites until 12:00 pm." in phone.get("/").words
    assert 'href="/log/valve?to=garden"' in phone.get("/").text
    back = phone.post("/take-back/all", {"form": done.value("form"), "of": done.value("of")})
    assert f"Taken back {valve.id}" in back.words and f"Taken back {load.id}" in back.words
    struck = last(served, 2)
    assert [(type(one), one.recorded_by, one.note) for one in struck] == \
        [(Withdrawal, "Ben", "taken back on the phone it was logged on")] * 2
    again = phone.post("/take-back/all", {"form": done.value("form"), "of": done.value("of")})
    assert f"Taken back {load.id}" in again.words and last(served, 2) == struck


def test_only_the_load_is_logged_where_nothing_was_turned(served: Pages) -> None:
    phone = served.phone()
    before = served.count()
    done = phone.post("/load?name=diapers", {"form": phone.get("/load?name=diapers").value("form"), "way": "stands"})
    assert served.count() == before + 1 and "This load should have gone to the sewer" in done.words


def test_it_ran_differently(served: Pages) -> None:
    phone = served.phone()
    form = phone.get("/log/load?load=towels")
    assert re.search(r'<option value="towels" selected>', form.text)
    typed = {"load": "towels", "volume": "12gal", "contents": ["oil"], "to": "sewer", "at": "8:30", "note": "half full"}
    looked = phone.post("/log/load", {"form": form.value("form"), "step": "look", **typed})
    assert "Will log" in looked.words and "12 gal to sewer" in looked.words
    changed = phone.post("/log/load", {"form": looked.value("form"), "step": "change", **typed})
    assert 'value="12gal"' in changed.text and re.search(r'value="oil"\s*checked', changed.text)
    done = phone.post("/log/load", {"form": looked.value("form"), "step": "log", **typed})
    load = last(served)[0]
    assert isinstance(load, WashLoad) and load.went_to == "sewer" and load.contents == ("oil",), done.words
    assert load.recorded_by == "Ines" and load.note == "half full"
    assert phone.post("/log/load", {"form": form.value("form"), "step": "log", **typed}).status in (409, 422)


@pytest.mark.parametrize(("key", "typed", "kind"), [
    ("valve", {"to": "sewer"}, ValveSwitch), ("move", {"outlet": "Hose", "basin": "Fig"}, OutletMove),
    ("rain", {"amount": "0.4in", "day": "yesterday"}, WeatherDay),
    ("observe", {"kind": "leak", "basin": ""}, Observation),
    ("observe", {"kind": "ponding", "basin": "Fig", "note": "by the step"}, Observation),
])
def test_each_form_logs_its_entry(served: Pages, key: str, typed: dict[str, str], kind: type) -> None:
    phone = served.phone()
    done = phone.post(f"/log/{key}", {"form": phone.get(f"/log/{key}").value("form"), **typed})
    made = last(served)[0]
    assert isinstance(made, kind) and f"Logged {made.id}" in done.words and made.recorded_by == "Ines"


@pytest.mark.parametrize(("key", "typed", "words"), [
    ("rain", {"amount": "much"}, ["rain", "much"]),
    ("rain", {"amount": "900in"}, ["rain", "900in"]),
    ("move", {"outlet": "Hose", "basin": "Carrots"}, ["move", "Hose", "Carrots"]),
    ("observe", {"kind": "leak", "at": "in two days"}, ["observe", "leak", "--at", "in two days"]),
    ("mulch", {"basin": "Fig", "action": "added", "depth": "9 miles"}, ["mulch", "Fig", "--added", "9 miles"]),
    ("observe", {"kind": "leak", "note": "n" * 4_001}, ["observe", "leak", "--note", "n" * 4_001]),
])
def test_a_refusal_is_the_commands_and_what_was_typed_is_still_there(
        served: Pages, gwlog: Runner, key: str, typed: dict[str, str], words: list[str]) -> None:
    phone = served.phone()
    before = served.count()
    page = phone.post(f"/log/{key}", {"form": phone.get(f"/log/{key}").value("form"), **typed})
    said = gwlog(*words).err.splitlines()[0]
    assert page.status == 422 and said in page.words, said
    assert served.count() == before and all(value in page.text for value in typed.values())
    assert "gwlog " not in page.words.replace("gwlog setup", "")


def test_reminders_are_done_seen_and_put_off(served: Pages) -> None:
    phone = served.phone()
    phone.post("/log/observe", {"form": phone.get("/log/observe").value("form"), "kind": "ponding", "basin": "Fig"})
    page = phone.get("/to-do")
    one, two = look(served.path, NOW).reminders[:2]
    assert one.text in page.words and 'href="/log/resolve?number=' in page.text
    done = phone.post("/to-do/seen", {"form": page.value("form"), "reminder": one.key})
    seen = last(served)[0]
    assert isinstance(seen, ReminderAnswer) and seen.key == one.key
    assert f"Logged {seen.id}: seen: {one.text}" in done.words
    later = re.findall(r'href="(/to-do/later[^"]*)"', phone.get("/to-do").text)[0].replace("&amp;", "&")
    form = phone.get(later)
    assert 'value="tomorrow 8:00"' in form.text
    assert phone.post(later, {"form": form.value("form"), "until": "last week"}).status == 422
    phone.post(later, {"form": phone.get(later).value("form"), "until": "sat"})
    put_off = last(served)[0]
    assert isinstance(put_off, ReminderAnswer) and put_off.key == two.key and put_off.until is not None
    assert "Seen or put off" in phone.get("/to-do").words


def test_what_is_to_be_minded_is_told_before_it_is_logged(served: Pages) -> None:
    phone = served.phone()
    before = served.count()
    typed = {"basin": "Fig", "way": "hose", "amount": "5gal"}
    page = phone.post("/log/water", {"form": phone.get("/log/water").value("form"), **typed})
    assert other_water_caution("hose") in page.words and "Will log" in page.words and served.count() == before
    sent = {"form": page.value("form"), "step": "log", **typed}
    assert "Logged" in phone.post("/log/water", sent).words and served.count() == before + 1
    assert "Logged" in phone.post("/log/water", sent).words and served.count() == before + 1


def test_taking_back_needs_a_reason(served: Pages) -> None:
    phone = served.phone()
    done = phone.post("/log/valve", {"form": phone.get("/log/valve").value("form"), "to": "sewer"})
    number = re.findall(r"Logged (\d+)", done.words)[0]
    address = f"/take-back?entry={number}"
    assert f'href="{address}"' in phone.get("/log").text
    page = phone.post(address, {"form": phone.get(address).value("form"), "note": ""})
    assert page.status == 422 and f"Why is entry {number} withdrawn?" in page.words
    sent = {"form": page.value("form"), "note": "it was the wrong lever"}
    page = phone.post(address, sent)
    assert isinstance(last(served)[0], Withdrawal) and f"{number} withdrawn" in page.words
    count = served.count()
    assert phone.post(address, sent).words == page.words and served.count() == count
    assert phone.get("/take-back?entry=x").status == 422 and phone.get("/take-back?entry=9999").status == 422


def test_two_phones_that_log_the_same_load(served: Pages) -> None:
    """What the second one saw is not so any more: it is told, and nothing is logged twice."""
    ines, ben = served.phone(), served.phone("Ben")
    before = served.count()
    forms = [one.get("/load?name=whites").value("form") for one in (ines, ben)]
    pages = []
    taps = [threading.Thread(target=lambda web=web, form=form: pages.append(web.post(
        "/load?name=whites", {"form": form, "way": "advised"}))) for web, form in zip((ines, ben), forms, strict=True)]
    for tap in taps:
        tap.start()
    for tap in taps:
        tap.join()
    assert served.count() == before + 2                                  # a valve and a load
    assert sorted(page.status for page in pages) == [200, 409]
    refused = next(page for page in pages if page.status == 409)
    assert "Nothing was logged" in refused.words and "whites" in refused.words
    web = ines if pages[0] is refused else ben
    again = web.post("/load?name=whites", {"form": refused.value("form"), "way": "advised"})
    assert again.status in (409, 422) and served.count() == before + 2


def test_somebody_who_moved_out_comes_in_no_more(served: Pages) -> None:
    phone, other = served.phone("Ben"), served.phone()
    ben = next(fact for fact in reader.read(served.path) if isinstance(fact, Person) and fact.name == "Ben")
    writer.append(served.path, [replace(ben, id=0, recorded_at=NOT_YET, happened_at=NOW, active=False)], now=NOW)
    for path in ("/", "/log", "/load?name=towels"):
        page = phone.get(path)
        assert page.status == 403 and "not a person of this household any more" in page.words
    assert other.get("/").status == 200


def test_a_busy_logbook_is_told_and_the_same_form_logs_once_it_is_free(
        served: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "BUSY_MS", 20)
    phone = served.phone()
    form = phone.get("/log/rain").value("form")
    before = served.count()
    with closing(sqlite3.connect(served.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        page = phone.post("/log/rain", {"form": form, "amount": "0.4in", "note": "overnight"})
        assert page.status == 503 and "busy" in page.words and "Note overnight" in page.words
        assert page.headers["retry-after"] == "5"
        assert phone.get("/").status == 200                              # who only reads waits for nobody
        other.execute("ROLLBACK")
    assert page.value("form") == form and served.count() == before
    assert "Logged" in phone.post("/log/rain", {"form": form, "amount": "0.4in"}).words


def test_a_logbook_that_is_away_newer_or_another_is_told(served: Pages) -> None:
    phone = served.phone()
    aside = served.path.with_name("aside.db")
    served.path.rename(aside)
    page = phone.get("/")
    assert page.status == 503 and 'http-equiv="refresh" content="5"' in page.text and "tries again" in page.words
    assert served.anybody().get("/").status == 401
    shutil.copyfile(aside, served.path)
    with closing(sqlite3.connect(served.path)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    assert "made by a newer gwlog" in phone.get("/").words
    shutil.copyfile(aside, served.path)
    with closing(sqlite3.connect(served.path)) as connection, connection:
        connection.execute("PRAGMA trusted_schema = ON")
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'meta'"
                                          ).fetchall():
            connection.execute(f'DROP TRIGGER "{name}"')
        connection.execute("UPDATE meta SET value = '12345678-1234-5678-1234-567812345678' WHERE key = 'logbook_id'")
    assert "Another logbook" in phone.get("/").words
    served.path.write_bytes(b"no logbook" * 100)
    assert phone.get("/").status == 503
    aside.replace(served.path)
    assert phone.get("/").status == 200


def test_a_backup_put_back_keeps_the_phones(served: Pages, gwlog: Runner, tmp_path: Path) -> None:
    phone = served.phone()
    assert gwlog("backup", "--to", str(tmp_path / "backups")).code == 0
    phone.post("/log/rain", {"form": phone.get("/log/rain").value("form"), "amount": "0.4in"})
    count, made = served.count(), next((tmp_path / "backups").iterdir())
    assert gwlog("restore", str(made)).code == 0
    assert served.count() == count - 1 and phone.get("/").status == 200
    assert "Logged" in phone.post("/log/rain", {"form": phone.get("/log/rain").value("form"), "amount": "0.4in"}).words


def test_a_bug_is_told_without_a_traceback(served: Pages, monkeypatch: pytest.MonkeyPatch,
                                          capfd: pytest.CaptureFixture[str]) -> None:
    phone = served.phone()
    monkeypatch.setattr(next_load, "draining", lambda _: 1 / 0)
    page = phone.get("/")
    assert page.status == 500 and "This is a bug in gwlog: ZeroDivisionError" in page.words
    assert "Traceback" not in page.text and "Traceback" not in capfd.readouterr().err


def test_the_log_has_pages(served: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(list_pages, "PAGE", 5)
    phone = served.phone()
    page = phone.get("/log")
    assert "13 Fri, May 1, 12:00 am outlet Hose described" in page.words and 'href="/log?page=1"' in page.text
    assert "site Tern Cottage described" in phone.get("/log?page=2").words
    for beyond in ("99", "-1", "x", "9" * 40):
        assert phone.get(f"/log?page={beyond}").status == 200


def test_each_form_that_an_action_opens_has_a_name() -> None:
    from gwlog.app.forms.of_action import FIELDS

    assert set(CALLED) == set(FIELDS) - {"load"} and set(FIELDS) <= set(FORMS)


@pytest.mark.parametrize(("action", "page"), [
    (Action("valve", to="garden"), '<a href="/log/valve?to=garden">Valve to garden</a>'),
    (Action("load", load="wool & silk", as_advised=""), '<a href="/load?name=wool+%26+silk">Load: wool &amp; silk</a>'),
    (Action("move", outlet="Hose", basin="BASIN"), '<a href="/log/move?outlet=Hose">Move</a>'),
    (Action("withdraw", number=4, note="x"), '<a href="/take-back?entry=4">Take back 4</a>'),
    (Action("entries", odd=""), '<a href="/log">Log</a>'),
    (Action("setup apply", file="SITE.toml"), "<code>gwlog setup apply SITE.toml</code> at the computer"),
])
def test_a_sentence_links_to_the_page_that_does_it(action: Action, page: str) -> None:
    assert hints.words(Hint("Do <it>: ", action)) == f"Do &lt;it&gt;: {page}"


def test_a_phone_that_waits_a_day_sends_an_old_form(served: Pages) -> None:
    phone = served.phone()
    form = phone.get("/load?name=towels").value("form")
    served.set_clock(NOW + timedelta(hours=13))
    page = phone.post("/load?name=towels", {"form": form, "way": "advised"})
    assert page.status == 409 and "open for too long" in page.words and "Log it as advised" in page.words


def test_a_new_start_of_the_server_knows_the_phones_and_no_old_form(served: Pages) -> None:
    phone = served.phone()
    form = phone.get("/log/rain").value("form")
    before = served.count()
    with serving_at(served.path) as (_, behind):
        again = Web(behind.place.port, phone.cookie)
        page = again.post("/log/rain", {"form": form, "amount": "0.4in"})
        assert page.status == 422 and 'value="0.4in"' in page.text and served.count() == before
        assert "Logged" in again.post("/log/rain", {"form": page.value("form"), "amount": "0.4in"}).words


def test_an_older_layout_is_brought_up_to_date(served: Pages) -> None:
    from tests.tui.test_old_layout import into_the_first_layout

    phone = served.phone()
    into_the_first_layout(served.path)
    page = phone.get("/")
    assert page.status == 200 and "Tern Cottage" in page.words and not store.stale(served.path)
    assert list(served.path.parent.glob("*.layout-*.backup"))
