"""Days, times and units as the household writes them, in everything that commands say and papers hold.

The order and the clock: Unicode CLDR 44, en-US “Wed, Jun 10, 2026, 3:48 PM” (here am and pm in small letters, after the
household's wish), en-GB “Wed, 10 Jun 2026, 15:48”; which go with units is the household's choice of units.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.conftest import Runner

COMMANDS = ("today", "reminders --all", "entries", "entries --entry 1", "entries --odd", "basins", "upkeep", "plan",
            "capacity", "where towels", "where whites", "salts", "check", "reference soils", "--help", "rain --help")
OF_DAY_FIRST = re.compile(r"\b\d{1,2} (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]*\b")
OF_24_HOURS = re.compile(r"\b([01]?\d|2[0-3]):[0-5]\d\b(?! ?[ap]m|:\d|\S*“)")
BARE = (re.compile(r"\d+ ft2"), re.compile(r"\d+ [FC]\b"), re.compile(r"\d+ m2"))
TYPED_EXAMPLES = re.compile(r"“[^”]*”|--\S+ \S+|gwlog .*|\d{4}-\d\d-\d\dT[\d:]+")
"""What people may type in any household is shown as it may be typed."""


def fill(home: Runner) -> None:
    home("load", "diapers", "--to", "garden", "--at", "last night")
    home("load", "towels", "--at", "yesterday 9am")
    home("rain", "0.5in", "--at", "yesterday")
    home("observe", "ponding", "Fig", "--at", "an hour ago")
    home("plan-load", "towels", "--on", "tomorrow 18:30", "--every", "weekly")
    home("mulch", "Fig", "--added", "2in")
    home("correct", "14", "--at", "2 days ago")


def said(home: Runner, tmp_path: Path) -> dict[str, str]:
    fill(home)
    found = {words: (answer := home(*words.split())).out + answer.err for words in COMMANDS}
    for paper in ("record.md", "record.html"):
        letter = f"letter of {paper}"
        assert home("report", str(tmp_path / letter), "--for", "everything", "--annex", str(tmp_path / paper),
                    "--full").code == 0
        for name in (letter, paper):
            found[name] = (tmp_path / name).read_text(encoding="utf-8")
    for words, text in found.items():
        assert text, words
    return found


def test_a_us_household_reads_twelve_hours_months_first_and_its_own_units(home: Runner, tmp_path: Path) -> None:
    texts = said(home, tmp_path)
    for words, text in texts.items():
        plain = TYPED_EXAMPLES.sub("", text)
        assert not (hit := OF_24_HOURS.search(plain)), (words, plain[max(0, hit.start() - 60):hit.end() + 20])
        assert not (hit := OF_DAY_FIRST.search(plain)), (words, plain[max(0, hit.start() - 60):hit.end() + 20])
        for unit in BARE:
            assert not (hit := unit.search(plain)), (words, plain[max(0, hit.start() - 60):hit.end() + 20])
    assert "gallons a week" in texts["record.html"] and "liters" not in texts["record.html"]
    assert " am" in texts["entries"] + texts["today"] or " pm" in texts["entries"]


def test_a_metric_household_reads_24_hours_and_days_first(home: Runner, tmp_path: Path) -> None:
    site = tmp_path / "metric.toml"
    site.write_text(home("setup", "show").out.replace('units = "us"', 'units = "metric"'), encoding="utf-8")
    assert home("setup", "apply", str(site)).code == 0
    texts = said(home, tmp_path)
    for words, text in texts.items():
        plain = TYPED_EXAMPLES.sub("", text)
        assert not re.search(r"\d [ap]m\b|\b(Mon|Tue|Wed|Thu|Fri|Sat|Sun), [A-Z]", plain), (words, plain)
    assert OF_24_HOURS.search(texts["entries"]) and OF_DAY_FIRST.search(texts["entries"])
    assert "liters a week" in texts["record.html"] and "gallons a week" not in texts["record.html"]


@pytest.mark.parametrize(("line", "says"), [
    (("load", "towels", "--at", "7/13 9am"), "Understood as Mon, Jul 13, 2026, 9:00 am."),
    (("load", "towels", "--at", "last night"), "Understood as Mon, Jul 13, 2026, 9:00 pm."),
])
def test_what_was_typed_is_said_back(home: Runner, line: tuple[str, ...], says: str) -> None:
    assert says in home(*line).err


def test_a_moment_nobody_can_read_is_one_sentence_and_logs_nothing(home: Runner) -> None:
    before = home("entries").out
    refused = home("load", "towels", "--at", "whenever")
    assert refused.code == 2
    assert refused.err.strip() == ("Cannot read the time “whenever”. Write it like “yesterday 6:30 pm”, “tue 7pm”, "
                                   "“2 hours ago”, “dec 3” or 2026-05-03.")
    assert home("entries").out == before
