"""`gwlog phone`: serve refuses in words, add shows a code and a phrase, list and remove."""

from __future__ import annotations

import re
import socket
import ssl
import subprocess
from pathlib import Path

import pytest

from gwlog.journal import store
from gwlog.phone import address, pairing, server
from gwlog.phone.address import Place, ip_address
from gwlog.phone.keys import Keys
from tests.conftest import Runner


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
