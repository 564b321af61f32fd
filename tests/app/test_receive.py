"""Records of many homes taken in: each verified and compared with the last one; what is at fault is not remembered."""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog.app.receive import receive
from gwlog.journal.received import Received
from gwlog.journal.zipped import zipped
from gwlog.views import received as words
from gwlog.worker import exports, orders
from tests.conftest import NOW, SITE, Answer, Runner

Freeze = Callable[[datetime], None]


class Homes:
    """Several homes with logbooks of their own, whose records are laid into one folder."""

    def __init__(self, gwlog: Runner, frozen: Freeze, place: Path) -> None:
        self.gwlog, self.frozen, self.place = gwlog, frozen, place
        self.folder, self.memory = place / "records", place / "kept" / "received.json"
        self.folder.mkdir()
        self.passed = 0

    def later(self) -> None:
        self.passed += 1
        self.frozen(NOW + timedelta(hours=self.passed))

    def say(self, home: str, *said: str) -> Answer:
        self.later()
        answer = self.gwlog("--logbook", str(self.place / f"{home}.db"), *said)
        assert answer.code == 0, answer.err
        return answer

    def begin(self, home: str, site: str = "Tern Cottage") -> None:
        described = self.place / f"{home}.toml"
        described.write_text(SITE.replace("Tern Cottage", site), encoding="utf-8")
        self.say(home, "begin", str(described))

    def live(self, home: str) -> None:
        self.say(home, "rain", "0.1in")

    def record(self, home: str, name: str) -> Path:
        self.say(home, "pack", str(self.folder / name), "--replace")
        return self.folder / name

    def receive(self, *accept: Path) -> Received:
        self.later()
        return receive(self.folder, NOW + timedelta(hours=self.passed), self.memory, accept=accept)

    @property
    def remembered(self) -> dict[str, str]:
        """What is remembered: the name of each home and its seal number."""
        if not self.memory.exists():
            return {}
        return {one["site"]: one["number"] for one in json.loads(self.memory.read_text())["homes"].values()}


@pytest.fixture
def homes(gwlog: Runner, frozen: Freeze, tmp_path: Path) -> Homes:
    return Homes(gwlog, frozen, tmp_path)


def only_fault(found: Received) -> str:
    (fault,) = words.faults(found)
    return fault


def test_a_record_is_remembered_and_the_next_one_continues_it(homes: Homes) -> None:
    homes.begin("one")
    homes.record("one", "july.zip")
    found = homes.receive()
    (home,) = found.homes
    assert found.fine and home.before is None and home.record.fault is None
    assert homes.remembered == {"Tern Cottage": f"{home.record.number}:{home.record.digest}"}
    again = homes.receive()
    assert again.fine and again.homes[0].same_as == NOW.date().isoformat()
    homes.live("one")
    homes.record("one", "august.zip")
    (home,) = homes.receive().homes
    assert home.record.file.name == "august.zip" and home.older == 1 and not home.faults
    assert homes.remembered["Tern Cottage"].startswith(f"{home.record.number}:")
    assert words.state(home) == "continues"


def test_an_older_record_than_the_last_one_is_told_and_not_remembered(homes: Homes) -> None:
    homes.begin("one")
    older = homes.record("one", "older.zip")
    kept = homes.place / "older.zip"
    shutil.move(older, kept)
    homes.live("one")
    newer = homes.record("one", "newer.zip")
    homes.receive()
    before = homes.remembered
    newer.unlink()
    shutil.move(kept, older)
    assert "It is older than the one received on 2026-07-14" in only_fault(homes.receive())
    assert homes.remembered == before


def test_a_record_that_was_rewritten_does_not_continue_the_last_one(homes: Homes) -> None:
    homes.begin("one")
    shutil.copy(homes.place / "one.db", homes.place / "other.db")
    for _ in range(2):
        homes.live("one")
    first = homes.record("one", "first.zip")
    homes.receive()
    first.unlink()
    for _ in range(3):
        homes.live("other")
    homes.record("other", "second.zip")
    before = homes.remembered
    found = homes.receive()
    assert "It does not continue the one received on" in only_fault(found) and not found.fine
    assert homes.remembered == before


def test_two_records_of_one_home_that_part_ways_are_told(homes: Homes) -> None:
    homes.begin("one")
    shutil.copy(homes.place / "one.db", homes.place / "other.db")
    homes.live("one")
    homes.record("one", "left.zip")
    for _ in range(2):
        homes.live("other")
    homes.record("other", "right.zip")
    assert "It does not continue left.zip" in only_fault(homes.receive())
    assert homes.remembered == {}


def test_another_home_under_a_known_name_is_told_until_it_is_accepted(homes: Homes) -> None:
    homes.begin("one")
    first = homes.record("one", "one.zip")
    homes.receive()
    before = homes.remembered
    first.unlink()
    homes.begin("two")
    second = homes.record("two", "two.zip")
    assert "another home than the one that was called “Tern Cottage” before" in only_fault(homes.receive())
    assert homes.remembered == before
    assert homes.receive(second).fine and homes.receive().fine
    assert len(json.loads(homes.memory.read_text())["homes"]) == 2


def test_two_homes_with_one_name_are_told(homes: Homes) -> None:
    for home in ("one", "two"):
        homes.begin(home)
        homes.record(home, f"{home}.zip")
    told = list(words.faults(homes.receive()))
    assert [one.split(":")[0] for one in told] == ["Tern Cottage (one.zip)", "Tern Cottage (two.zip)"]
    assert all("Two homes are called “Tern Cottage”" in one for one in told) and homes.remembered == {}
    assert homes.receive(homes.folder / "one.zip", homes.folder / "two.zip").fine


@pytest.mark.parametrize("harm", ["cut off", "changed", "another manifest", "huge number"])
def test_nothing_is_remembered_of_a_damaged_record_and_the_others_are_gone_through(homes: Homes, harm: str) -> None:
    homes.begin("one", "Heron Yard 4")
    bad = homes.record("one", "bad.zip")
    homes.begin("two", "Heron Yard 5")
    homes.record("two", "good.zip")
    content = bad.read_bytes()
    if harm == "cut off":
        bad.write_bytes(content[:len(content) // 2])
    else:
        with zipfile.ZipFile(bad) as archive:
            members = {name: archive.read(name) for name in archive.namelist()}
        if harm == "changed":
            members["entries.jsonl"] = members["entries.jsonl"].replace(b"Pomegranate", b"Pomegranade")
        elif harm == "another manifest":
            members["manifest.json"] = b"[]"
        else:
            members["manifest.json"] = members["manifest.json"].replace(b'"seal_number": "', b'"seal_number": "9')
        bad.write_bytes(zipped(members))
    found = homes.receive()
    assert not found.fine and list(homes.remembered) == ["Heron Yard 5"]
    assert ("bad.zip: It cannot be read" if harm in ("cut off", "another manifest")
            else "(bad.zip): It does not hold") in only_fault(found)


def test_what_is_no_record_is_named_and_passed_over(homes: Homes) -> None:
    homes.begin("one")
    packed = homes.record("one", "one.zip")
    (homes.folder / "letter.txt").write_text("dear landlord")
    with zipfile.ZipFile(homes.folder / "pictures.zip", "w") as archive:
        archive.writestr("a.png", b"")
    (homes.folder / "link.zip").symlink_to(packed)
    (homes.folder / ".hidden.zip").write_bytes(b"PK")
    below = homes.folder / "more" / "unpacked"
    below.mkdir(parents=True)
    with zipfile.ZipFile(packed) as archive:
        archive.extractall(below)
    found = homes.receive()
    assert found.fine and found.homes[0].older == 2   # the unpacked one, and the same by its other name
    assert {one.file.name for one in found.passed_over} == {"letter.txt", "pictures.zip"}
    told = " ".join(words.passed_over(found))
    assert "letter.txt: passed over: it is no record pack." in told and "2 older records" in told


def test_the_command_tells_a_table_and_writes_a_page(homes: Homes) -> None:
    homes.begin("one")
    homes.live("one")
    homes.record("one", "one.zip")
    memory = ("--memory", str(homes.memory))
    page = homes.place / "overview.html"
    answer = homes.gwlog("received", str(homes.folder), str(page), *memory)
    assert answer.code == 0 and answer.out.startswith("1 home: every record holds")
    assert "Tern" in answer.out and "2026-07-13" in answer.out   # the week's Monday
    assert max(map(len, answer.out.splitlines())) <= 80
    written = page.read_text()
    assert "Tern Cottage" in written and "<table" in written and page.stat().st_mode & 0o777 == 0o600
    told = homes.gwlog("received", str(homes.folder), "--json", *memory).json
    assert told["homes"][0]["state"] == "same as before" and told["homes"][0]["site"] == "Tern Cottage"
    assert told["fine"] and told["damaged"] == []
    for name in ("overview.csv", "overview.pdf", "overview.md"):
        assert homes.gwlog("received", str(homes.folder), str(homes.place / name), *memory).code == 0
        assert (homes.place / name).stat().st_size > 200
    (homes.folder / "one.zip").write_bytes(b"PK\x03\x04 and no more")
    broken = homes.gwlog("received", str(homes.folder), *memory)
    assert broken.code == 4 and "one.zip: It cannot be read as a record" in broken.out


@pytest.mark.parametrize(("said", "told"), [
    (("nowhere",), "nowhere is no folder; name the one in which the records are."),
    (("FOLDER", "overview.doc"), "“overview.doc” does not say in which form"),
    (("FOLDER", "--accept", "nowhere.zip"), "nowhere.zip is no record in"),
    (("FOLDER", "--memory", "MEMORY"), "does not hold the seal numbers of records received before"),
])
def test_bad_input_is_told_and_nothing_is_remembered(homes: Homes, said: tuple[str, ...], told: str) -> None:
    memory = homes.place / "memory.json"
    memory.write_text('{"homes": {"x": 1}}')
    given = [{"FOLDER": str(homes.folder), "MEMORY": str(memory)}.get(word, word) for word in said]
    own = () if "--memory" in said else ("--memory", str(homes.memory))
    answer = homes.gwlog("received", *given, *own)
    assert answer.code == 2 and told in answer.err and not homes.memory.exists()
    assert memory.read_text() == '{"homes": {"x": 1}}'


def test_the_screens_work_does_the_same(homes: Homes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gwlog.settings.received_path", lambda: homes.memory)
    homes.begin("one")
    homes.record("one", "one.zip")
    page = homes.place / "overview.html"
    order = orders.Received(logbook=homes.place / "one.db", now=NOW, out=page, folder=homes.folder)
    done = exports.received(order, lambda *_: None)
    assert done["fine"] and done["lines"][:2] == [f"Wrote {page}.", "1 home: every record holds and continues the last "
                                                  "one."]
    assert page.exists() and list(homes.remembered) == ["Tern Cottage"]
