"""The pages in a real browser: the system's Chromium without a screen, scripts off, against the command in a process.

Skipped with a word where there is none.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = [pytest.mark.long, pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium on this system")]

from gwlog.journal import reader, store  # noqa: E402
from gwlog.journal.facts import ValveSwitch, WashLoad, Withdrawal  # noqa: E402
from gwlog.phone.keys import GOOD_FOR, Keys  # noqa: E402
from tests.conftest import NOW  # noqa: E402

ROOT = Path(__file__).parents[2]
SMALL, LARGE = {"width": 360, "height": 640}, {"width": 412, "height": 915}
MOST_STEPS = 12
"""From one thing that can be chosen to the next, until the one that is meant."""
LEAST_TARGET = 44
"""The smallest side of what is tapped, in CSS pixels: WCAG 2.2, success criterion 2.5.5 (target size, enhanced)."""


@dataclass
class Kitchen:
    """The pages, the browser, and the logbook behind them."""

    browser: Any
    url: str
    path: Path
    config: Path

    @property
    def keys(self) -> Keys:
        made = Keys(str(store.logbook_id(self.path)))
        made.folder = self.config / "gwlog" / "phones" / str(store.logbook_id(self.path))
        return made

    def page(self, *, size: dict[str, int] = SMALL, **options: Any) -> Any:
        """A browser of its own, as another phone has it; it tells when it asks for anything elsewhere."""
        context = self.browser.new_context(viewport=size, has_touch=True,
                                           **{"java_script_enabled": False, **options})
        context.set_default_timeout(10_000)
        made = context.new_page()
        made.elsewhere = []
        made.on("request", lambda one: one.url.startswith(self.url) or made.elsewhere.append(one.url))
        return made

    def phone(self, person: str = "Ines", **options: Any) -> Any:
        """A browser that was added as that person's phone."""
        made = self.page(**options)
        offer = self.keys.offer(person, NOW)
        made.goto(f"{self.url}pair?phrase={offer.phrase.replace(' ', '-')}")
        assert f"{person}’s phone" in made.inner_text("main")
        made.get_by_role("button", name="Add this phone").click()
        assert made.url == self.url
        return made

    def loads(self) -> int:
        return sum(isinstance(fact, WashLoad) for fact in reader.read(self.path))


@pytest.fixture(scope="module")
def kitchen(two_people: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kitchen]:
    """One server and one browser for all of these tests."""
    folder = tmp_path_factory.mktemp("kitchen")
    path = folder / "logbook.db"
    shutil.copyfile(two_people, path)
    with subprocess.Popen(
            [sys.executable, "-m", "tests.phone.serve_at", NOW.isoformat(), "--logbook", str(path), "phone", "serve",
             "--address", "127.0.0.1", "--port", "0"], cwd=ROOT, text=True, stdout=subprocess.PIPE,
            env={**os.environ, "XDG_CONFIG_HOME": str(folder / "config"), "HOME": str(folder)}) as process:
        try:
            assert process.stdout is not None
            said = process.stdout.readline()
            found = re.search(r"http://127\.0\.0\.1:\d+/", said)
            assert found is not None, said
            with playwright.sync_playwright() as driver:
                browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
                yield Kitchen(browser, found[0], path, folder / "config")
                browser.close()
            process.send_signal(signal.SIGTERM)
            assert process.wait(timeout=20) == 0
        finally:
            process.kill()


def fits(page: Any) -> bool:
    """Whether nothing of a page stands beyond its edge."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))


def test_a_phone_is_added_and_a_phrase_that_is_over_is_not(kitchen: Kitchen) -> None:
    page = kitchen.page()
    assert page.goto(kitchen.url).status == 401
    late = kitchen.keys.offer("Ines", NOW - GOOD_FOR - timedelta(minutes=1))
    page.get_by_label("Phrase").fill(late.phrase)
    page.get_by_role("button").click()
    assert "ten minutes, which are over" in page.get_by_role("alert").inner_text()
    assert page.get_by_label("Phrase").input_value() == late.phrase
    page.get_by_label("Phrase").fill(kitchen.keys.offer("Ines", NOW).phrase)
    page.get_by_role("button").click()
    assert page.url == kitchen.url and "Tern Cottage" in page.inner_text("h1") and page.elsewhere == []
    [cookie] = page.context.cookies()
    assert cookie["httpOnly"] and cookie["sameSite"] == "Strict"


def test_two_taps_log_a_load_and_one_takes_it_back(kitchen: Kitchen) -> None:
    page, before = kitchen.phone(size=LARGE), kitchen.loads()
    page.get_by_role("link", name="whites").click()
    assert "Turn the valve to" in page.inner_text("main") or "SEWER" in page.inner_text("main")
    page.get_by_role("button", name=re.compile("log all|Log it as advised")).tap()
    assert "Logged" in page.get_by_role("status").inner_text() and kitchen.loads() == before + 1
    page.get_by_role("button", name="Take back").click()
    assert "Taken back" in page.get_by_role("status").inner_text() and fits(page)
    assert any(isinstance(fact, Withdrawal) for fact in reader.read(kitchen.path)[-2:]) and page.elsewhere == []


def test_the_way_back_and_a_double_tap_log_nothing_twice(kitchen: Kitchen) -> None:
    page, before = kitchen.phone(), kitchen.loads()
    page.get_by_role("link", name="towels").click()
    page.get_by_role("button", name=re.compile("log all|Log it as advised")).dblclick()
    page.get_by_role("status").wait_for()
    assert kitchen.loads() == before + 1
    page.reload()
    page.go_back()
    page.get_by_role("button", name=re.compile("log all|Log it as advised")).click()   # within the same minute
    assert "same entry is already in the log" in page.get_by_role("alert").inner_text()
    assert kitchen.loads() == before + 1


def test_two_phones_that_log_the_same_load_log_it_once(kitchen: Kitchen) -> None:
    ines, ben = kitchen.phone(), kitchen.phone("Ben")
    before = kitchen.loads()
    for page in (ines, ben):
        page.get_by_role("link", name="diapers").click()
    for page in (ines, ben):
        page.get_by_role("button", name=re.compile("log all|Log it as advised")).click()
    assert kitchen.loads() == before + 1
    assert "Logged" in ines.get_by_role("status").inner_text()
    assert ben.get_by_role("alert").inner_text() and "diapers" in ben.inner_text("h1")


def test_what_was_typed_is_still_there(kitchen: Kitchen) -> None:
    page = kitchen.phone()
    page.get_by_role("navigation").get_by_role("link", name="Rain").click()
    page.get_by_label("Rain", exact=True).fill("a lot")
    page.get_by_label("Note").fill("the gauge\nwas full")
    page.get_by_role("button", name="Log it").click()
    assert "“a lot”" in page.get_by_role("alert").inner_text()
    assert page.get_by_label("Rain", exact=True).input_value() == "a lot"
    assert page.get_by_label("Note").input_value() == "the gauge\nwas full"
    page.get_by_label("Rain", exact=True).fill("0.3")
    page.get_by_role("button", name="Log it").click()
    assert "rain 0.30 in" in page.get_by_role("status").inner_text()


def test_it_ran_differently(kitchen: Kitchen) -> None:
    page = kitchen.phone("Ben")
    page.get_by_role("link", name="towels").click()
    page.get_by_role("link", name="It ran differently").click()
    page.get_by_text("Also contained").click()
    page.get_by_label("oil", exact=True).check()
    page.get_by_label("Water went").select_option("sewer")
    page.get_by_label("When").fill("2 hours ago")
    page.get_by_role("button", name="Look first").click()
    assert "towels (oil)" in page.inner_text("main")
    page.get_by_role("button", name="Log it").click()
    load = [fact for fact in reader.read(kitchen.path) if isinstance(fact, WashLoad)][-1]
    assert load.contents == ("oil",) and load.went_to == "sewer" and load.recorded_by == "Ben"


def test_by_the_keyboard_alone(kitchen: Kitchen) -> None:
    page = kitchen.phone()
    page.locator("section", has_text="Valve and outlets").get_by_role("link", name=re.compile("^Valve")).focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/log/valve")
    to = page.get_by_label("Now on")
    for _ in range(MOST_STEPS):
        page.keyboard.press("Tab")
        if to.evaluate("one => one === document.activeElement"):
            break
    wanted = "garden" if to.input_value() == "sewer" else "sewer"
    page.keyboard.press(wanted[0])
    for _ in range(MOST_STEPS):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.tagName") == "BUTTON":
            break
    page.keyboard.press("Enter")
    page.get_by_role("status").wait_for()
    last = reader.read(kitchen.path)[-1]
    assert isinstance(last, ValveSwitch) and last.position == wanted


def test_what_a_screen_reader_is_told(kitchen: Kitchen) -> None:
    page = kitchen.phone()
    tree = page.locator("body").aria_snapshot()
    for part in ("- main:", '- heading "Tern Cottage" [level=1]', '- navigation "Pages":', "- link \"Log\"",
                 '- heading "If a load ran now" [level=2]'):
        assert part in tree, tree
    page.get_by_role("navigation").get_by_role("link", name="Seen").click()
    tree = page.locator("body").aria_snapshot()
    assert '- combobox "What"' in tree and '- textbox "When"' in tree and '- button "Log it"' in tree
    assert page.locator("html").get_attribute("lang") == "en"
    page.get_by_role("navigation").get_by_role("link", name="To do").click()
    for button in page.get_by_role("button", name=re.compile("^Seen: ")).all():
        assert len(button.get_attribute("aria-label")) > 10


TARGETS = "a, button, input:not([type=hidden]):not([type=checkbox]), select, summary, label.check"
TOO_SMALL = """([targets, least]) => {
  document.querySelectorAll("details").forEach(one => one.open = true);
  return [...document.querySelectorAll(targets)].filter(one => {
    const box = one.getBoundingClientRect();
    return Math.min(box.width, box.height) < least;
  }).map(one => one.outerHTML);
}"""
PAGES = ("", "load?name=whites", "to-do", "log/load", "log", "phone")


def test_every_page_can_be_read_tapped_and_checked(kitchen: Kitchen) -> None:
    """axe-core finds nothing serious, light or dark; nothing stands beyond the edge; what is tapped is large enough."""
    pytest.importorskip("axe_playwright_python", reason="axe is not installed")
    from axe_playwright_python.sync_playwright import Axe

    axe = Axe()
    page = kitchen.phone(java_script_enabled=True, bypass_csp=True)   # the checker is a script
    for path in PAGES:
        page.goto(kitchen.url + path)
        assert fits(page), path
        assert page.evaluate(TOO_SMALL, [TARGETS, LEAST_TARGET]) == [], path
        for scheme, rules in (("light", None), ("dark", {"runOnly": ["color-contrast"]})):
            page.emulate_media(color_scheme=scheme)
            ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
            assert (min(map(int, re.findall(r"\d+", ground))) > 200) == (scheme == "light")
            found = [(one["id"], one["impact"], [node["html"] for node in one["nodes"]])
                     for one in axe.run(page, options=rules).response["violations"]]
            assert not [one for one in found if one[1] in ("serious", "critical")], (path, scheme, found)
    assert page.elsewhere == []


def test_a_link_on_another_site_opens_the_page_on_a_phone_that_is_known(kitchen: Kitchen) -> None:
    """Its cookie stays at home at first (SameSite=Strict); the page asks once more from here, and no stranger loops."""
    for page, found in ((kitchen.phone(), "Nothing to do"), (kitchen.page(), "not known here yet")):
        page.route("http://mail.example/", lambda route: route.fulfill(
            content_type="text/html", body=f'<a href="{kitchen.url}reminder/abc">Done, seen, later</a>'))
        page.goto("http://mail.example/")
        page.get_by_role("link").click()
        page.wait_for_url("**/reminder/abc?opened=1")
        assert ("settled" if found == "Nothing to do" else found) in page.inner_text("main")
