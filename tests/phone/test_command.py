"""`gwlog phone`: serve refuses in words, add shows a code and a phrase, list and remove."""

from __future__ import annotations

import plistlib
import re
import shlex
import socket
import ssl
import subprocess
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from time import sleep

import pytest

from gwlog.errors import LogbookNewer
from gwlog.journal import store
from gwlog.notify import watcher
from gwlog.notify.settings_file import Settings, Tell
from gwlog.phone import address, kept_place, pairing, server
from gwlog.phone.address import Place, ip_address
from gwlog.phone.kept_place import Kept
from gwlog.phone.keys import Keys
from tests.conftest import Runner
from tests.notify.conftest import Bell

Beside = Callable[[Callable[[], None]], AbstractContextManager[object]]


@pytest.fixture
def added(home: Runner, settings_folder: Path, tmp_path: Path) -> Runner:
    """The small household, whose pages were served once."""
    address.note(str(store.logbook_id(tmp_path / "logbook.db")), "http://192.168.1.20:8765/")
    return home


def test_a_phone_is_added_listed_and_removed(added: Runner, tmp_path: Path) -> None:
    assert "No phone is added" in added("phone", "list").out
    said = added("phone", "add", "ines")
    phrase = re.search(r"^  ([a-z]+(?: [a-z]+){5})$", said.out, re.MULTILINE)
    assert said.code == 0 and phrase is not None and "Ines's phone" in said.out and "11:10 am" in said.out
    keys = Keys(str(store.logbook_id(tmp_path / "logbook.db")))
    from tests.conftest import NOW

    keys.pair(phrase[1], NOW)
    listed = added("phone", "list")
    assert "http://192.168.1.20:8765/" in listed.out and re.search(r"1\s+Ines", listed.out)
    assert added("phone", "list", "--json").json["phones"][0]["person"] == "Ines"
    assert added("phone", "remove", "1").out == "Removed phone 1, Ines's.\n"
    refused = added("phone", "remove", "1")
    assert refused.code == 2 and "There is no phone 1" in refused.err


def test_the_code_brings_the_phone_to_its_phrase(added: Runner, tmp_path: Path,
                                                 monkeypatch: pytest.MonkeyPatch) -> None:
    """The half blocks in the terminal are the code of the link, with a light margin around it."""
    import segno

    links: list[str] = []
    drawn = pairing.qr_lines
    monkeypatch.setattr(pairing, "qr_lines", lambda link: links.append(link) or drawn(link))
    said = added("phone", "add", "Ines")
    phrase = re.search(r"^  ([a-z]+(?: [a-z]+){5})$", said.out, re.MULTILINE)
    assert phrase and links == [f"http://192.168.1.20:8765/pair?phrase={phrase[1].replace(' ', '-')}"]
    matrix = [[not dark for dark in row] for row in segno.make(links[0], error="m", micro=False).matrix]
    lines = [line for line in said.out.splitlines() if line.startswith(("██", "▀▀"))]
    rows = [[sign in either for sign in line] for line in lines for either in ("█▀", "█▄")]
    size = len(matrix)
    assert [row[2:2 + size] for row in rows[2:2 + size]] == matrix
    assert all(rows[0]) and all(rows[1]) and all(all(row[:2]) and all(row[-2:]) for row in rows[:size + 4])


def test_somebody_unknown_has_no_phone(added: Runner) -> None:
    said = added("phone", "add", "Nobody")
    assert said.code == 2 and "Nobody" in said.err


def test_before_anything_was_served_there_is_no_address(home: Runner, settings_folder: Path) -> None:
    said = home("phone", "add", "Ines")
    assert said.code == 2 and "gwlog phone serve --address ADDRESS" in said.err
    assert "Not served yet" in home("phone", "list").out and not settings_folder.exists()


@pytest.mark.parametrize(("words", "said"), [
    ([], "Name this machine's address"), (["--address", "0.0.0.0"], "every address"),
    (["--address", "8.8.8.8"], "VPN"), (["--address", "127.0.0.1", "--name", "a b"], "not a name of a machine"),
    (["--address", "127.0.0.1", "--key", "x"], "--key goes with --cert"),
    (["--address", "127.0.0.1", "--cert", "nowhere.pem"], "nowhere.pem"),
    (["--address", "127.0.0.1", "--port", "99999"], "99999"),
    (["--address", "192.168.255.254", "--port", "0"], "Nothing can be served at 192.168.255.254"),
])
def test_serve_refuses_in_words(home: Runner, settings_folder: Path, words: list[str], said: str) -> None:
    answer = home("phone", "serve", *words)
    assert answer.code == 2 and said in answer.err and "Traceback" not in answer.err and not settings_folder.exists()


def test_a_port_that_is_taken_is_said(home: Runner, settings_folder: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        answer = home("phone", "serve", "--address", "127.0.0.1", "--port", str(other.getsockname()[1]))
    assert answer.code == 2 and "does nothing else serve there?" in answer.err


def test_a_household_has_to_be_there(gwlog: Runner, settings_folder: Path) -> None:
    assert gwlog("phone", "serve", "--address", "127.0.0.1").code == 2
    assert gwlog("phone", "add", "Ines").code == 2 and gwlog("phone", "list").code == 2


def test_a_certificate_makes_it_tls(home: Runner, settings_folder: Path, tmp_path: Path) -> None:
    """Made by openssl, where it is; a wrong key is refused in words."""
    made, key, other = (tmp_path / name for name in ("cert.pem", "key.pem", "other.pem"))
    try:
        for where in (key, other):
            subprocess.run(["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1",
                            "-nodes", "-days", "2", "-subj", "/CN=washer.local", "-keyout", where, "-out", made],
                           check=True, capture_output=True)
    except FileNotFoundError:
        pytest.skip("there is no openssl here")
    wrong = home("phone", "serve", "--address", "127.0.0.1", "--cert", str(made), "--key", str(key))
    assert wrong.code == 2 and "are not a certificate and its key" in wrong.err
    place = Place(ip_address("127.0.0.1"), 0, secure=True)
    serving, listening, behind = server.served_at(tmp_path / "logbook.db", place, cert=made, key=other)
    with listening:
        serving.config.load()
        assert isinstance(serving.config.ssl, ssl.SSLContext) and behind.place.url.startswith("https://")


def test_an_address_of_the_calendar_is_told_once_and_removed(added: Runner, tmp_path: Path) -> None:
    said = added("phone", "calendar", "ines")
    link = re.search(r"^  http://192\.168\.1\.20:8765/calendar/([\w-]{43})\.ics$", said.out, re.MULTILINE)
    assert said.code == 0 and link is not None and "phone remove 1" in said.out and "Ines's phone" in said.out
    keys = Keys(str(store.logbook_id(tmp_path / "logbook.db")))
    assert link[1] not in "".join(one.read_text() for one in keys.folder.iterdir())
    assert keys.find(link[1]) is None and keys.find(link[1], "calendar") is not None
    listed = added("phone", "list")
    assert re.search(r"1\s+Ines\s+calendar", listed.out) and link[1] not in listed.out
    assert added("phone", "list", "--json").json["phones"][0]["opens"] == "calendar"
    assert added("phone", "remove", "1").out == "Removed phone 1, Ines's calendar.\n"
    assert keys.find(link[1], "calendar") is None and added("phone", "calendar", "Nobody").code == 2


@pytest.fixture
def kept(added: Runner, tmp_path: Path) -> str:
    """The same, served at an address with a name; the logbook's id."""
    logbook = str(store.logbook_id(tmp_path / "logbook.db"))
    kept_place.keep(logbook, Kept(Place(ip_address("192.168.1.20"), 8_080, ("washer.local",), True),
                                  tmp_path / "cert.pem", tmp_path / "key.pem"))
    return logbook


def test_what_is_not_said_is_as_it_was_served_last(kept: str, tmp_path: Path) -> None:
    nothing = {"every": False, "port": None, "names": (), "cert": None, "key": None}
    last = kept_place.changed(kept, None, **nothing)
    assert last == kept_place.kept(kept) and address.noted(kept) == "https://washer.local:8080/" == last.place.url
    other = kept_place.changed(kept, None, **{**nothing, "port": 9_000})
    assert (other.place.port, other.place.names, other.cert) == (9_000, ("washer.local",), tmp_path / "cert.pem")
    anew = kept_place.changed(kept, "192.168.1.21", **nothing)
    assert anew == Kept(Place(ip_address("192.168.1.21")))
    kept_place.keep(kept, Kept(Place(address.EVERY[0], 8_080, every=True)))
    assert kept_place.changed(kept, None, **nothing).place.every


@pytest.mark.parametrize("found", [
    '{"url": "http://192.168.1.20:8765/"}', '{"address": "8.8.8.8", "port": 80, "names": []}', "[]", "{", "",
    '{"address": "192.168.1.20", "port": "80", "names": []}', '{"address": "192.168.1.20", "port": 80, "names": ["/"]}',
    '{"address": "192.168.1.20", "port": 99999, "names": []}', '{"address": [], "port": 80, "names": []}'])
def test_a_note_that_says_nothing_sound_serves_nowhere(kept: str, found: str) -> None:
    where = address.folder(kept) / "address.json"
    where.unlink()
    where.write_text(found)
    assert kept_place.kept(kept) is None


def test_units_start_the_pages_as_they_were_served_last(added: Runner, kept: str, tmp_path: Path) -> None:
    """systemd.service(5), crontab(5); a property list is read back by the standard library."""
    path = str(tmp_path / "logbook.db")
    made = plistlib.loads(added("phone", "serve", "--watch", "--print-unit", "launchd").out.encode())
    assert made["ProgramArguments"][3:] == ["--logbook", path, "phone", "serve", "--watch"]
    assert made["Label"] == "gwlog.phone"
    systemd = added("phone", "serve", "--print-unit", "systemd").out
    assert "gwlog-phone.service" in systemd and "loginctl enable-linger" in systemd and "Restart=on-failure" in systemd
    assert shlex.split(next(line for line in systemd.splitlines() if line.startswith("ExecStart=")))[-2:] == [
        "phone", "serve"]
    assert re.search(r"^@reboot .* phone serve$", added("phone", "serve", "--print-unit", "cron").out, re.MULTILINE)
    task = added("phone", "serve", "--print-unit", "task-scheduler").out
    assert "-AtLogOn" in task and "-ExecutionTimeLimit 0" in task and "'gwlog phone'" in task and "--once" not in task
    elsewhere = added("phone", "serve", "--address", "10.0.0.7", "--name", "washer.local", "--print-unit", "cron").out
    assert elsewhere.endswith("phone serve --address 10.0.0.7 --port 8765 --name washer.local\n")
    assert kept_place.kept(kept) is not None and "10.0.0.7" not in (address.noted(kept) or "")
    assert added("phone", "serve", "--print-unit", "bell").code == 2


def test_a_unit_needs_an_address_once(home: Runner, settings_folder: Path) -> None:
    said = home("phone", "serve", "--print-unit", "systemd")
    assert said.code == 2 and "Name this machine's address" in said.err and not settings_folder.exists()


def test_one_process_serves_and_reminds_and_ends_where_the_watcher_cannot_go_on(
        added: Runner, kept: str, monkeypatch: pytest.MonkeyPatch) -> None:
    bell, ends = Bell(), []

    def serve(path: Path, how: Kept, say: Callable[[str], object], beside: Beside | None) -> None:
        assert how == kept_place.kept(kept) and beside is not None
        with beside(lambda: ends.append(path)):
            say(how.place.url)
            while not bell.rung:
                sleep(0.01)
            assert not ends
            beside.__self__._trouble(LogbookNewer("Made by a newer gwlog."))  # type: ignore[attr-defined]

    monkeypatch.setattr(server, "serve", serve)
    monkeypatch.setattr(watcher, "read_channels", lambda: {"bell": bell})
    monkeypatch.setattr(watcher, "read_settings", lambda _: Settings(tell=(Tell("Ines", ("bell",)),)))
    for name in ("TICK_S", "WEATHER_EVERY_S"):   # the scheduler has its own clock, which counts what was missed
        monkeypatch.setattr(watcher, name, 1e7)
    said = added("phone", "serve", "--watch")
    assert said.code == LogbookNewer.exit_code and len(ends) == 1 and "Made by a newer gwlog." in said.err
    assert "Reminders are sent too." in said.err and "https://washer.local:8080/" in said.out


def test_settings_that_cannot_be_used_are_told_before_anything_is_served(added: Runner, kept: str,
                                                                        settings_folder: Path) -> None:
    (settings_folder / "settings.toml").write_text("evening = 5")
    kept_place.keep(kept, Kept(Place(ip_address("127.0.0.1"), 0).at_port(1)))
    said = added("phone", "serve", "--address", "127.0.0.1", "--port", "0", "--watch")
    assert said.code == 2 and "evening" in said.err and "pages are at" not in said.out
