"""What each reader is shown: a logbook full of telling words, and papers that must hold none of them."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pypdf
import pytest

from gwlog.documents import papers
from gwlog.documents.disclosed import learns
from gwlog.documents.record.private_words import folded
from gwlog.documents.render.forms import rendered
from gwlog.household import Household, look
from tests.conftest import NOW, SITE, Answer, Runner, Shelf

HARMLESS = "Raked fresh mulch over the wet spot; leaves look well"

TELLING = (
    "Oriane", "Bastien", "Quill", "Tove", "norovirus", "diaper", "illness", "soiled", "vomit", "toddler", "hospital",
    "night shift", "Lisbon", "away until", "chlorine", "bleach", "scrubs", "eczema", "grandmother", "bedwetting",
    "resident 1", "resident 2", "midnight feed", "somebody who is ill", "cloths", "wipe the vent",
)
"""Names, illness, habits, products, loads and tasks that stand somewhere in the logbook."""

LOGBOOK = SITE.replace('name = "Tern Cottage"', 'name = "Quill house"').replace(
    'name = "Fig"', 'name = "Oriane\'s fig"').replace('"Fig"]', '"Oriane\'s fig"]').replace(
    'name = "Ines"', 'name = "Oriane Quill"') + """
[[person]]
name = "Bastien"

[[usual_load]]
name = "Bastien's scrubs"
products = ["plain liquid"]
contents = ["illness"]

[[usual_load]]
name = "toddler cloths"
products = ["plain liquid"]
contents = ["soiled"]

[[upkeep]]
name = "wipe the vent before the midnight feed"
every = "1 week"

[[local_rule]]
name = "the ill"
source = "Oriane, illness letter"
text = "No water of Oriane's illness to the garden."
"""


@pytest.fixture
def telling(gwlog: Runner, frozen: Callable[[datetime], None], tmp_path: Path, shelf: Shelf) -> Household:
    """Five weeks of a household that writes down more than others should read."""

    def live(path: Path) -> None:
        site = shelf.folder / "telling.toml"
        site.write_text(LOGBOOK, encoding="utf-8")

        def there(day: int, *words: str) -> Answer:
            frozen(NOW - timedelta(days=35 - day, hours=day % 7, minutes=13))
            answer = gwlog("--logbook", str(path), *words)
            assert answer.code in (0, 3), (words, answer.err)
            return answer

        there(0, "begin", str(site))
        there(1, "load", "towels", "--by", "Oriane Quill", "--note", "Tove had a bedwetting night")
        there(2, "observe", "illness", "--by", "Bastien", "--note", "norovirus, Tove vomits")
        there(3, "load", "Bastien's scrubs", "--to", "garden", "--by", "Bastien", "--note", "after the night shift")
        there(4, "load", "toddler cloths", "--to", "garden", "--by", "Oriane Quill")
        there(5, "load", "whites", "--to", "garden", "--by", "Bastien")
        there(6, "load", "diapers", "--to", "sewer", "--note", "grandmother's eczema cream in it")
        there(7, "observe", "ponding", "Oriane's fig", "--note", "from the toddler's pool")
        there(7, "observe", "other", "--note", "hospital called")
        there(8, "done", "wipe the vent before the midnight feed", "--note", "Oriane did it")
        there(9, "valve", "sewer", "--note", "Bastien away until Sunday, in Lisbon")
        there(10, "valve", "garden")
        there(12, "attest", "permit", "--by", "Bastien's uncle in Lisbon")
        there(13, "witness", "--to", "Tove's doctor", "--means", "read out")
        there(20, "move", "Hose", "Oriane's fig")
        there(21, "load", "towels")
        entries = there(22, "entries", "--json").json["entries"]
        loads = [str(one["id"]) for one in entries if one["kind"] == "wash_load" and one["exception"]]
        seen = [str(one["id"]) for one in entries if one["kind"] == "observation"]
        notes = ("Bastien rinsed it before his night shift", HARMLESS, "soaked by 7:30 on Tuesday, Tove kept out")
        for number, note in zip(loads, notes, strict=False):
            there(23, "resolve", number, "--note", note)
        there(24, "resolve", seen[0], "--note", "Tove is well again")
        there(25, "correct", loads[0], "--volume", "17gal", "--note", "Oriane misread it")
        there(26, "withdraw", seen[-1], "--note", "that was about the hospital")

    shelf.copy("telling.db", live, tmp_path / "logbook.db")
    frozen(NOW)
    return look(tmp_path / "logbook.db", NOW)


def in_every_form(home: Household, reader: str, *, full: bool = True) -> dict[str, str]:
    made = {"letter": papers.letter(home, reader), "annex": papers.annex(home, reader, full=full)}
    found = {f"{name}{form}": rendered(document, form).decode("utf-8-sig")
             for name, document in made.items() for form in (".html", ".md", ".csv")}
    printed = pypdf.PdfReader(io.BytesIO(rendered(made["letter"], ".pdf")))
    found["letter.pdf"] = " ".join(page.extract_text() for page in printed.pages) + str(printed.metadata)
    return found


def test_the_landlord_reads_none_of_what_is_private(telling: Household) -> None:
    for where, words in in_every_form(telling, "landlord").items():
        kept = folded(words)
        assert [one for one in TELLING if folded(one) in kept] == [], where
        # no clock time, but in the address of a namespace or a policy there is none either
        assert not re.search(r"\b\d{1,2}:\d{2}\b(?!:)|\d\s*[ap]m\b", words), where
        assert not re.search(r"\b(Mon|Tue|Wed|Thu|Fri|Sat|Sun)(day)?,? ", words), where


def test_every_day_that_the_landlord_reads_is_a_weeks_edge_or_the_day_it_was_made(telling: Household) -> None:
    allowed = {NOW.date()}
    for where, words in in_every_form(telling, "landlord").items():
        days = {datetime.strptime(found, "%b %d, %Y").date() for found in  # noqa: DTZ007 - a day, no moment
                re.findall(r"\b[A-Z][a-z]{2} \d{1,2}, \d{4}", words)}
        days |= {datetime.strptime(found, "%B %d, %Y").date() for found in  # noqa: DTZ007
                 re.findall(r"\b(?:May|June|July) \d{1,2}, \d{4}", words)}
        days |= {date.fromisoformat(found) for found in re.findall(r"\d{4}-\d{2}-\d{2}", words)}
        assert days, where
        assert {day for day in days if day.weekday() not in (0, 6)} <= allowed, where


def test_weekly_sums_are_all_that_the_landlords_tables_hold(telling: Household) -> None:
    rows = list(csv.reader(io.StringIO(rendered(papers.annex(telling, full=True), ".csv").decode("utf-8-sig"))))
    weeks = [date.fromisoformat(row[1]) for row in rows if row[0] == "weeks" and row[1][:2] == "20"]
    assert weeks == sorted(set(weeks)) and all(day.weekday() == 0 for day in weeks)
    assert {later - day for day, later in pairwise(weeks)} == {timedelta(days=7)}


def test_a_harmless_sentence_is_shown_and_the_preview_quotes_it(telling: Household) -> None:
    page = rendered(papers.letter(telling), ".md").decode()
    assert HARMLESS in page and "Followed up in the week of" in page
    shown, hidden = learns(telling)
    assert [one for one in shown if HARMLESS in one] and not [one for one in shown if "night shift" in one]
    assert any("No name" in one for one in hidden)
    without, _ = learns(telling, without_notes=True)
    assert not [one for one in without if HARMLESS in one]


@pytest.mark.parametrize("reader", ["inspector", "next-tenant"])
def test_inspector_and_next_tenant_read_days_and_reasons_and_no_name_or_note(telling: Household, reader: str) -> None:
    words = " ".join(in_every_form(telling, reader).values())
    assert "worn by somebody who is ill" in words and "chlorine bleach" in words
    for name in ("Bastien", "Quill ", "Tove", "scrubs", "hospital", "eczema", "resident", "misread", HARMLESS):
        assert name not in words.replace("Quill house", "").replace("Oriane's fig", "basin"), name
    assert not re.search(r"\b\d{1,2}:\d{2} [ap]m", words)


def test_their_papers_do_not_depend_on_names_and_notes(telling: Household) -> None:
    """So that they can be made again from a copy that holds neither."""
    from dataclasses import replace

    from gwlog.journal.facts import Attestation, Person

    bare = Household(telling.path, telling.now, [
        replace(one, recorded_by=None, note=None, **({"name": f"p{one.id}"} if isinstance(one, Person) else {}),
                **({"party": None} if isinstance(one, Attestation) else {}))
        for one in telling.entries])
    for reader in ("inspector", "next-tenant"):
        for made in (papers.letter, papers.annex):
            assert rendered(made(bare, reader), ".md").decode() == rendered(made(telling, reader), ".md").decode()


def test_a_note_withheld_is_withheld_wherever_it_stands(gwlog: Runner, home: Runner, tmp_path: Path) -> None:
    assert home("load", "towels", "--to", "sewer", "--note", "the long story").code in (0, 3)
    made = look(tmp_path / "logbook.db", NOW)
    beside = [one.KIND for one in made.entries if one.note == "the long story"]
    page = rendered(papers.annex(made, "everything", full=True, without_notes=("wash load",)), ".md").decode()
    assert "wash_load" in beside and "the long story" not in page


def test_a_preview_writes_nothing(telling: Household, gwlog: Runner, tmp_path: Path) -> None:
    answer = gwlog("--logbook", str(telling.path), "report", str(tmp_path / "l.pdf"), "--for", "next tenant",
                   "--preview")
    assert answer.code == 0 and answer.out.startswith("The next tenant will learn:")
    assert not (tmp_path / "l.pdf").exists()
