"""What comes in that no phone of the household sends: it is refused, tells nothing and writes nothing."""

from __future__ import annotations

import hmac
import json
import re
import select
import socket
import stat
import threading
from contextlib import ExitStack, closing
from datetime import timedelta
from pathlib import Path
from time import monotonic

import pytest

from gwlog.errors import BadInput
from gwlog.phone import keys as keys_module
from gwlog.phone import tries
from gwlog.phone.keys import PHRASE_WORDS, Keys, digest_of
from tests.conftest import NOW
from tests.phone.conftest import LIMITS, Page, Pages, Web

OF_THE_HOUSEHOLD = ("Tern Cottage", "Pomegranate", "towels", "Ines")


def raw(port: int, content: bytes, *, source: str = "127.0.0.1") -> bytes:
    """What comes back to bytes as they are."""
    with socket.create_connection(("127.0.0.1", port), timeout=10, source_address=(source, 0)) as made:
        made.sendall(content)
        found = b""
        try:
            while piece := made.recv(65_536):
                found += piece
        except ConnectionResetError:
            pass
        return found


def tells_nothing(page: Page) -> bool:
    return not any(word in page.text for word in OF_THE_HOUSEHOLD)


@pytest.mark.parametrize("cookie", ["", "gwlog_phone=", "gwlog_phone=wrong", f"gwlog_phone={'A' * 43}",
                                    'gwlog_phone="', "other=1", "gwlog_phone=\xff"])
def test_without_the_key_of_a_phone_every_page_asks_for_a_phrase(served: Pages, cookie: str) -> None:
    served.phone()
    stranger = Web(served.web.port, cookie)
    for path in ("/", "/load?name=towels", "/to-do", "/log", "/log/rain", "/phone", "/logged?form=x",
                 "/take-back?entry=1"):
        page = stranger.get(path)
        assert page.status == 401 and "gwlog phone add" in page.words and tells_nothing(page)
    assert stranger.post("/load?name=towels", {"form": "x", "way": "advised"}).status == 401


def test_the_key_of_another_phone_opens_its_own_pages_only(served: Pages) -> None:
    ines, ben = served.phone(), served.phone("Ben")
    form = ines.get("/load?name=towels").value("form")
    before = served.count()
    stolen = ben.post("/load?name=towels", {"form": form, "way": "advised"})
    assert stolen.status == 409 and "Nothing was logged" in stolen.words and served.count() == before
    logged = ines.post("/load?name=towels", {"form": form, "way": "advised"})
    assert "Logged" in logged.words
    number = re.search(r"Logged (\d+)", logged.words)
    assert number is not None
    assert ben.get(f"/logged?form={form}").headers["location"] == "/log"      # and not Ines's outcome
    page = ben.get(f"/take-back?entry={number[1]}")
    assert page.status == 422 and "was logged by Ines, not by Ben" in page.words
    assert "Take back" not in ben.get("/log").text and "Take back" in ines.get("/log").text


@pytest.mark.parametrize(("headers", "status"), [
    ({"Origin": "http://elsewhere.example"}, 403), ({"Origin": "null"}, 403), ({"Origin": ""}, 403),
    ({"Origin": "https://127.0.0.1:1"}, 403), ({"Sec_Fetch_Site": "cross-site"}, 403),
    ({"Sec_Fetch_Site": "same-site"}, 403), ({"Content_Type": "text/plain"}, 415),
    ({"Content_Type": "multipart/form-data; boundary=x"}, 415), ({"Content_Type": "application/json"}, 415),
])
def test_a_form_that_another_site_sends_writes_nothing(served: Pages, headers: dict[str, str], status: int) -> None:
    phone = served.phone()
    before = served.count()
    form = phone.get("/load?name=towels").value("form")
    page = phone.post("/load?name=towels", {"form": form, "way": "advised"}, **headers)
    assert page.status == status and served.count() == before and tells_nothing(page)


@pytest.mark.parametrize("host", ["elsewhere.example", "elsewhere.example:{port}", "127.0.0.1", "127.0.0.1:1", "",
                                  "127.0.0.1.elsewhere.example:{port}", "127.0.0.1:{port}:1", "0.0.0.0:{port}",
                                  "localhost:{port}", "[::1]:{port}", "127.0.0.1:{port}@elsewhere.example"])
def test_only_the_named_address_is_answered(served: Pages, host: str) -> None:
    """DNS rebinding: a name that leads here is not enough."""
    phone = served.phone()
    page = phone.get("/", Host=host.format(port=phone.port) or " ")
    assert page.status in (400, 421) and tells_nothing(page)


def test_a_forged_form_writes_nothing_and_the_page_is_there_to_be_sent_again(served: Pages) -> None:
    phone = served.phone()
    before = served.count()
    for form in ("", "x", "A" * 22):
        page = phone.post("/load?name=towels", {"form": form, "way": "advised"})
        assert page.status == 409 and "Nothing was logged" in page.words
    rain = phone.post("/log/rain", {"form": "x", "amount": "0.3in", "note": "in the night"})
    assert rain.status == 422 and 'value="0.3in"' in rain.text and "in the night" in rain.text
    other = phone.get("/log/valve").value("form")                       # of another page
    assert phone.post("/log/rain", {"form": other, "amount": "0.3in"}).status == 422
    assert served.count() == before


def test_a_form_sent_again_writes_nothing_and_tells_the_first_outcome(served: Pages) -> None:
    phone = served.phone()
    form = phone.get("/load?name=towels").value("form")
    first = phone.post("/load?name=towels", {"form": form, "way": "advised"})
    count = served.count()
    served.set_clock(NOW + timedelta(minutes=5))     # the log itself refuses the same load only within a minute
    again = phone.post("/load?name=towels", {"form": form, "way": "advised"})
    assert re.findall(r"Logged \d+", again.words) == re.findall(r"Logged \d+", first.words) and served.count() == count


def test_a_double_tap_logs_once(served: Pages) -> None:
    phone = served.phone()
    form = phone.get("/load?name=towels").value("form")
    before, told = served.count(), []
    taps = [threading.Thread(target=lambda: told.append(phone.post(
        "/load?name=towels", {"form": form, "way": "stands"}).words)) for _ in range(3)]
    for tap in taps:
        tap.start()
    for tap in taps:
        tap.join()
    assert served.count() == before + 1 and len({re.findall(r"Logged \d+", words)[0] for words in told}) == 1


def test_a_megabyte_is_refused(served: Pages) -> None:
    phone = served.phone()
    before = served.count()
    page = phone.post("/log/rain", {"form": "x", "note": "a" * 1_000_000})
    assert page.status == 413 and "64 kB" in page.words
    start = (f"POST /log/rain HTTP/1.1\r\nHost: 127.0.0.1:{phone.port}\r\nOrigin: {phone.origin}\r\nCookie: "
             f"{phone.cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\nConnection: close\r\n"
             "Transfer-Encoding: chunked\r\n\r\n").encode()
    chunk = b"4000\r\n" + b"a" * 0x4000 + b"\r\n"
    assert b" 413 " in raw(phone.port, start + chunk * 6 + b"0\r\n\r\n")
    many = phone.post("/log/rain", {f"field{number}": "" for number in range(200)})
    assert many.status == 400 and served.count() == before


def test_who_sends_slowly_is_let_go(served: Pages) -> None:
    phone = served.phone()
    began = monotonic()
    line = f"Host: 127.0.0.1:{phone.port}\r\n".encode()
    form = (f"POST /log/rain HTTP/1.1\r\nHost: 127.0.0.1:{phone.port}\r\nOrigin: {phone.origin}\r\nCookie: "
            f"{phone.cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 100\r\n\r\n"
            "form=").encode()
    with ExitStack() as stack:
        held = [stack.enter_context(socket.create_connection(("127.0.0.1", phone.port), timeout=10)) for _ in range(3)]
        for one, content in zip(held, (b"", b"GET / HTTP/1.1\r\n" + line, form), strict=True):
            one.sendall(content)
        assert phone.get("/phone").status == 200                        # the others wait for none of them
        answers = []
        for one in held:
            try:
                answers.append(one.recv(65_536))
            except ConnectionResetError:
                answers.append(b"")
    assert answers[:2] == [b"", b""] and (b" 408 " in answers[2] or answers[2] == b"")
    assert monotonic() - began < 8 * LIMITS.send_s


def test_two_hundred_connections_leave_room_for_a_phone(served: Pages) -> None:
    """From another address of this machine, which only some systems have."""
    phone = served.phone()
    with ExitStack() as stack:
        held = []
        for _ in range(200):
            try:
                one = socket.create_connection(("127.0.0.1", phone.port), timeout=10, source_address=("127.0.0.2", 0))
            except OSError:
                pytest.skip("this system has one loopback address only")
            held.append(stack.enter_context(closing(one)))
        assert phone.get("/").status == 200                             # it came after all of them
        assert len(select.select(held, [], [], 0)[0]) >= 200 - LIMITS.connections_of_one   # those were let go


@pytest.mark.parametrize("path", [
    "/../../../etc/passwd", "/style.css/../../keys.py", "/%2e%2e/%2e%2e/etc/passwd", "/..%2f..%2fetc%2fpasswd",
    "//elsewhere.example/", "/log/", "/log/../phone", "/log/nothing", "/static/style.css", "/style.css%00.html",
    "/\\..\\keys.py", "/log/rain;x", "/pair/", "/templates/base.html", "/%ff%fe",
])
def test_paths_lead_nowhere_else(served: Pages, path: str) -> None:
    phone = served.phone()
    page = phone.get(path)
    assert page.status == 404 and "root:" not in page.text and page.headers["content-security-policy"]
    assert phone.get("/?x=" + "a" * 5_000).status == 414


def test_beginnings_that_no_browser_writes_are_refused(served: Pages) -> None:
    phone = served.phone()
    host = f"Host: 127.0.0.1:{phone.port}\r\n"
    before = served.count()
    post = f"POST /log/rain HTTP/1.1\r\n{host}Origin: {phone.origin}\r\nCookie: {phone.cookie}\r\n" \
           "Content-Type: application/x-www-form-urlencoded\r\nConnection: close\r\n"
    for content in (
        f"GET / HTTP/1.1\r\n{host}Host: elsewhere.example\r\n\r\n",                           # two hosts
        f"GET / HTTP/1.1\r\n{host}Cookie: {phone.cookie}\r\nCookie: gwlog_phone=x\r\nConnection: close\r\n\r\n",
        f"{post}Content-Length: 5\r\nContent-Length: 6\r\n\r\nform=x",                         # two lengths
        f"{post}Content-Length: -1\r\n\r\nform=x",
        f"{post}Content-Length: 6\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        f"{post}Transfer-Encoding: gzip\r\n\r\nx",
        "GET / HTTP/1.1\r\n\r\n", "GET http://elsewhere.example/ HTTP/1.1\r\nHost: elsewhere.example\r\n"
        "Connection: close\r\n\r\n",
        f"GET / HTTP/1.1\r\n{host}Na me: x\r\n\r\n", f"GET / HTTP/1.1\r\n{host}Connection: close\r\nX: a\rb\r\n\r\n",
        f"GET / HTTP/1.1\r\n{host}Connection: close\r\nX: {'a' * 40_000}\r\n\r\n", "\x00\x01\x02\r\n\r\n",
        "GET /\r\n\r\n",
        f"CONNECT elsewhere.example:443 HTTP/1.1\r\n{host}Connection: close\r\n\r\n",
        f"DELETE / HTTP/1.1\r\n{host}Connection: close\r\n\r\n",
    ):
        answer = raw(phone.port, content.encode("latin-1"))
        assert re.match(rb"HTTP/1\.1 4\d\d ", answer) or answer == b"", (content, answer[:100])
        assert not any(word.encode() in answer for word in OF_THE_HOUSEHOLD)
    page = phone.get("/pair?phrase=x%0d%0aSet-Cookie:%20a=b")
    assert "set-cookie" not in page.headers
    answer = phone.post("/logged?form=%0d%0aX:%20y", {})
    assert "x" not in answer.headers and served.count() == before
    assert phone.get("/").status == 200


NASTY = '<script>alert(1)</script>"\'><img src=x onerror=y>{{ 7*7 }}\x1b[31mred\x07\u202etxt.exe'


def test_signs_of_pages_and_terminals_stay_words(served: Pages) -> None:
    phone = served.phone()
    form = phone.get("/log/rain").value("form")
    page = phone.post("/log/rain", {"form": form, "amount": "0.2in", "note": NASTY})
    assert page.status == 200, page.words
    form = phone.get("/log/rain").value("form")
    for shown in (page, phone.get("/log"), phone.get("/log/rain?amount=%3Cscript%3E%22"),
                  phone.post("/log/rain", {"form": form, "amount": NASTY, "note": NASTY}),
                  phone.get("/load?name=%3Cscript%3E"), phone.get("/pair?phrase=%22%3E%3Cscript%3E%1b")):
        assert "<script" not in shown.text and "<img" not in shown.text and "49" not in shown.words
        assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\u202a-\u202e]", shown.words)
    assert "<script>alert(1)</script>" in phone.get("/log").words


def test_a_key_is_hashed_before_anything_is_compared(served: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    """How long a comparison takes tells nothing: every digest is compared, each in constant time."""
    phone, other = served.phone(), served.phone("Ben")
    key, compared, whether = phone.cookie.partition("=")[2], [], hmac.compare_digest

    def compare(one: str, two: str) -> bool:
        compared.append((one, two))
        return whether(one, two)

    monkeypatch.setattr(keys_module.hmac, "compare_digest", compare)
    found = served.keys.find(key)
    assert found is not None and found.person == "Ines" and other.cookie != phone.cookie
    assert len(compared) == 2 and all(
        digest_of(key) in pair and key not in pair for pair in compared)


def test_only_digests_are_kept_and_only_for_the_owner(served: Pages, settings_folder: Path) -> None:
    phone, waiting = served.phone(), served.keys.offer("Ben", NOW)
    key = phone.cookie.partition("=")[2]
    kept = [one for one in settings_folder.rglob("*") if one.is_file()]
    assert len(kept) == 2
    for one in kept:
        content = one.read_text()
        assert key not in content and waiting.phrase not in content and len(json.loads(content)["digest"]) == 64
        assert stat.S_IMODE(one.stat().st_mode) == 0o600 and stat.S_IMODE(one.parent.stat().st_mode) == 0o700


def test_what_every_page_bears(served: Pages) -> None:
    phone = served.phone()
    page = phone.get("/")
    cookie = page.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=strict" in cookie and "Path=/" in cookie and "Domain" not in cookie
    for one in (page, phone.get("/nothing"), served.anybody().get("/"), phone.get("/style.css")):
        rules = one.headers["content-security-policy"]
        assert "default-src 'none'" in rules and "script-src" not in rules and "frame-ancestors 'none'" in rules
        assert one.headers["x-content-type-options"] == "nosniff" and one.headers["referrer-policy"] == "same-origin"
        assert "server" not in one.headers
    assert page.headers["cache-control"] == "no-store"
    assert not re.search(r"<script|style=|javascript:|https?://", page.text)
    assert len(page.text) < 20_000


def test_a_phrase_is_good_once_for_ten_minutes_and_six_words_long(served: Pages) -> None:
    offer = served.keys.offer("Ines", NOW)
    assert len(offer.phrase.split()) == PHRASE_WORDS and len(set(keys_module.words())) >= 1_024
    shown = served.anybody().get("/pair?phrase=" + offer.phrase.replace(" ", "-"))
    assert "Ines’s phone" in shown.words                                   # looking uses nothing up
    phone = served.anybody()
    assert phone.pair(f"  {offer.phrase.upper().replace(' ', '-')} ").status == 200 and phone.get("/").status == 200
    again = served.anybody().pair(offer.phrase)
    assert again.status == 422 and "good once" in again.words and offer.phrase in again.text
    late = served.keys.offer("Ines", NOW)
    served.set_clock(NOW + timedelta(minutes=10))
    page = served.anybody().pair(late.phrase)
    assert page.status == 422 and "ten minutes" in page.words and "set-cookie" not in page.headers


def test_a_phrase_sent_by_two_makes_one_phone(settings_folder: Path) -> None:
    keys = Keys("twice")
    offer = keys.offer("Ines", NOW)
    made: list[str] = []

    def pair() -> None:
        try:
            made.append(keys.pair(offer.phrase, NOW)[0])
        except BadInput:
            pass

    threads = [threading.Thread(target=pair) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(made) == 1 and len(keys.phones()) == 1


def test_wrong_phrases_have_to_wait(served: Pages) -> None:
    stranger = served.anybody()
    offer = served.keys.offer("Ines", NOW)
    assert [stranger.pair("no such phrase").status for _ in range(tries.MOST + 1)] == [422] * tries.MOST + [429]
    assert stranger.pair(offer.phrase).status == 429
    served.set_clock(NOW + tries.WITHIN + timedelta(seconds=1))
    assert stranger.pair(served.keys.offer("Ines", NOW + tries.WITHIN).phrase).status == 200


def test_a_removed_phone_stays_out_at_once(served: Pages) -> None:
    phone, other = served.phone(), served.phone("Ben")
    served.keys.remove(1)
    assert phone.get("/").status == 401 and other.get("/").status == 200
    assert other.post("/phone", {"form": other.get("/phone").value("form")}).status == 401
    assert served.keys.phones() == [] and other.get("/").status == 401
