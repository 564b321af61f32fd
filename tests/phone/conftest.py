"""The pages served in a thread of the test, for whoever speaks HTTP by hand; and phones that know how."""

from __future__ import annotations

import html
import http.client
import re
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from time import sleep
from typing import Any
from urllib.parse import urlencode

import pytest

pytest.importorskip("starlette", reason="the extra “phone” is not installed")
pytest.importorskip("uvicorn", reason="the extra “phone” is not installed")
pytest.importorskip("jinja2", reason="the extra “phone” is not installed")

from gwlog.phone import server as serving
from gwlog.phone.address import Place, ip_address
from gwlog.phone.guard import Limits
from gwlog.phone.keys import Keys
from tests.conftest import NOW, SITE, Shelf

LIMITS = Limits(send_s=0.4, connections=40, connections_of_one=12)
SECOND_PERSON = SITE + '\n[[person]]\nname = "Ben"\n'


@dataclass
class Page:
    """What came back."""

    status: int
    headers: dict[str, str]
    text: str

    @property
    def words(self) -> str:
        """What a person reads of it."""
        shown = re.sub(r"(?s)<head>.*?</head>|<[^>]*>", " ", self.text)
        return " ".join(html.unescape(shown).split())

    def value(self, name: str) -> str:
        """The value of the first hidden field or button of that name."""
        found = re.search(rf'name="{name}" value="([^"]*)"', self.text)
        assert found is not None, self.words
        return html.unescape(found[1])


@dataclass
class Web:
    """Somebody who speaks HTTP with the pages. `cookie`: what they hold."""

    port: int
    cookie: str = ""
    headers: dict[str, str] = field(default_factory=dict)
    source: str = "127.0.0.1"
    patience_s: float = 10

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def ask(self, method: str, path: str, body: str | bytes | None = None, **headers: str) -> Page:
        """One request on a connection of its own."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=self.patience_s,
                                                source_address=(self.source, 0))
        try:
            sent = {"Connection": "close", **({"Cookie": self.cookie} if self.cookie else {}), **self.headers,
                    **{name.replace("_", "-"): value for name, value in headers.items() if value}}
            connection.request(method, path, body, sent)
            answer = connection.getresponse()
            found = {name.lower(): value for name, value in answer.getheaders()}
            return Page(answer.status, found, answer.read().decode())
        finally:
            connection.close()

    def get(self, path: str, **headers: str) -> Page:
        return self.ask("GET", path, None, **headers)

    def post(self, path: str, values: dict[str, Any], *, follow: bool = True, **headers: str) -> Page:
        """Send a form as a browser does, and go where the answer leads."""
        sent = {"Origin": self.origin, "Content_Type": "application/x-www-form-urlencoded", **headers}
        answer = self.ask("POST", path, urlencode(values, doseq=True), **sent)
        if cookie := answer.headers.get("set-cookie"):
            self.cookie = cookie.partition(";")[0]
        return self.get(answer.headers["location"]) if follow and answer.status == 303 else answer

    def pair(self, phrase: str) -> Page:
        return self.post("/pair", {"phrase": phrase})


@dataclass
class Pages:
    """The pages of a small household, and what is behind them."""

    path: Path
    web: Web
    keys: Keys
    server: serving.Server
    set_clock: Callable[[datetime], None]

    def anybody(self) -> Web:
        return Web(self.web.port)

    def phone(self, person: str = "Ines") -> Web:
        """A phone of that person."""
        made = self.anybody()
        assert made.pair(self.keys.offer(person, NOW).phrase).status == 200
        return made

    def count(self) -> int:
        """How many entries there are."""
        from gwlog.journal.listing import asking

        with asking(self.path) as lists:
            return lists.highest


@pytest.fixture(scope="session")
def two_people(shelf: Shelf) -> Path:
    """A logbook of the small household with a second person."""
    from gwlog.journal import writer
    from gwlog.setup.read import read_site_file

    def make(where: Path) -> None:
        writer.create(where, read_site_file(SECOND_PERSON, now=NOW).facts, now=NOW)

    return shelf.file("two-people.db", make)


@pytest.fixture
def settings_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for settings and phones of this test's own."""
    monkeypatch.setattr("gwlog.settings.config_folder", lambda: tmp_path / "config")
    return tmp_path / "config"


@contextmanager
def serving_at(path: Path) -> Iterator[tuple[serving.Server, serving.Served]]:
    """The pages of a logbook, served in a thread."""
    server, listening, behind = serving.served_at(path, Place(ip_address("127.0.0.1"), 0), LIMITS)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    while not server.started:
        sleep(0.005)
    try:
        yield server, behind
    finally:
        server.should_exit = server.force_exit = True
        thread.join()
        listening.close()


@pytest.fixture
def served(two_people: Path, settings_folder: Path, frozen: Callable[[datetime], None],
           tmp_path: Path) -> Iterator[Pages]:
    """The pages of the small household at NOW."""
    path = tmp_path / "logbook.db"
    shutil.copyfile(two_people, path)
    with serving_at(path) as (server, behind):
        yield Pages(path, Web(behind.place.port), behind.keys, server, frozen)
