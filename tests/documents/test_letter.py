"""The letter: two pages on Letter and A4, its figures those of the decisions, and what comes in which order."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pypdf
import pytest

from gwlog import clock
from gwlog.app import exports
from gwlog.decisions import eras
from gwlog.decisions.sewer_loads import sewer_loads
from gwlog.documents import papers
from gwlog.documents.letter.gather import letter
from gwlog.documents.letter.model import Earlier, Letter, Seen, Wrong, share
from gwlog.documents.letter.page_two import charts
from gwlog.documents.letter.pages import document
from gwlog.documents.render.markdown import markdown
from gwlog.documents.render.pdf import pdf
from gwlog.errors import BadInput
from gwlog.household import look
from gwlog.journal.disclosure import READERS
from tests.conftest import NOW, SITE, Runner
from tests.documents.conftest import Looker

DONE = "Gave it four cans of clean water and raked fresh mulch over all of it, up to the rim of the basin."


def pages(made: bytes) -> int:
    return len(pypdf.PdfReader(io.BytesIO(made)).pages)


def crowded(made: Letter) -> Letter:
    """The same letter with forty exceptions, half of them open, long names, and everything else that can be said."""
    wrong = tuple(
        Wrong(10_000 + number, made.last - timedelta(days=number), 60.0, ("Pomegranate by the long wall", "Fig"),
              () if made.by_week else ("Fig by the wall got 16 gal at once; its mulch holds 14 gal.",) * 2,
              made.last if number % 2 else None, DONE) for number in range(40))
    return replace(
        made, site="An address with many words, upper unit, on the left", wrong=wrong, due=400, loads=500, over=5,
        problems=3, seen=(Seen("stressed plant at Pomegranate by the long wall", made.last, None),) * 5,
        earlier=(Earlier(made.first, made.last, 100, 90, 5, 2),) * 2,
        mended={"late": 500, "corrected": 50, "withdrawn": 30})


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("reader", ["landlord", "inspector"])
def test_two_pages_however_much_there_is_to_tell(lived: Runner, looked: Looker, paper: str, reader: str) -> None:
    made = letter(looked(), reader)
    assert pages(pdf(document(made), paper)) == 2
    assert pages(pdf(document(crowded(made)), paper)) == 2


def test_its_figures_are_those_of_the_decisions(lived: Runner, looked: Looker) -> None:
    home = looked()
    for reader in READERS:
        made = letter(home, reader)
        duties = [one for one in sewer_loads(home.state, home.exceptions) if made.first <= one.load.day <= made.last]
        assert (made.due, made.went) == (len(duties), sum(one.diverted for one in duties))
        assert {one.id for one in made.wrong} == {one.load.fact.id for one in duties if not one.diverted}
        runs = [run for run in home.state.loads if made.first <= run.day <= made.last]
        assert made.loads == len(runs)
        assert round(made.litres, 3) == round(sum(week.litres for week in made.weeks), 3)
    assert letter(home, "everything").loads > made.due


def test_the_first_page_goes_from_what_it_is_to_the_signatures(lived: Runner, looked: Looker) -> None:
    made = letter(looked())
    words = markdown(document(made))
    order = ["# Laundry water: a letter for the landlord", "The water of the washing machine at Tern Cottage",
             f"{made.went} of {made.due} loads that had to go to the sewer did: {share(made.went, made.due)}.",
             "## Loads that had to go to the sewer and did not", "watered with clean water",
             "## The rules, and what shows that they were kept", "| not always |", "Not shown by a log",
             "## Upkeep", "not witnessed", "for the household", "in pictures", "Pomegranate: ",
             "## How to check this record", "seal number", "python3 -I check\\_seal.py --noted"]
    found = [words.find(one) for one in order[:12]]
    assert found == sorted(found) and -1 not in found, found
    assert all(one in words for one in order)


def test_the_landlord_is_told_whole_weeks(lived: Runner, looked: Looker) -> None:
    made = letter(looked(), "landlord", date(2026, 7, 8), date(2026, 7, 9))
    assert (made.first.weekday(), made.last.weekday()) == (0, 6)
    assert all((week.last - week.first).days == 6 for week in made.weeks)
    # the present week is not over on NOW, a Tuesday
    assert letter(looked(), "landlord").last == date(2026, 7, 12)
    assert letter(looked(), "inspector").last == date(2026, 7, 14)


def test_before_a_week_is_over_the_letter_is_one_page_that_says_so(home: Runner, tmp_path: Path) -> None:
    begun = datetime(2026, 5, 1, 19, 0, tzinfo=NOW.tzinfo)   # Friday, the day from which the household is described
    made = papers.letter(look(tmp_path / "logbook.db", begun))
    assert "none has passed" in markdown(made)
    assert pages(pdf(made)) == 1


def test_without_any_load_it_says_so_on_two_pages(home: Runner, looked: Looker) -> None:
    made = papers.letter(looked())
    assert "No wash load was logged in this time." in markdown(made)
    assert pages(pdf(made, "a4")) == 2


def test_a_logbook_without_a_household_is_refused(gwlog: Runner, frozen: Callable[[datetime], None],
                                                  tmp_path: Path) -> None:
    from gwlog.journal import store

    store.create(tmp_path / "logbook.db")
    answer = gwlog("report", str(tmp_path / "l.pdf"))
    assert answer.code != 0 and "describes no household yet" in answer.err
    assert not (tmp_path / "l.pdf").exists()


@pytest.mark.parametrize(("went", "due", "told"), [
    (174, 177, "98 %"), (999, 1000, "99 %"), (5, 5, "100 %"), (0, 3, "0 %"), (1, 300, "under 1 %"),
])
def test_a_share_is_never_rounded_up(went: int, due: int, told: str) -> None:
    assert share(went, due) == told


def test_the_gravest_six_of_many_basins_are_drawn(lived: Runner, looked: Looker) -> None:
    made = letter(looked())
    week = made.weeks[-1]
    one = week.basins["Pomegranate"]
    many = {f"B{number:02}": replace(one, litres=50.0 + number, loads=1, allowance_l=100.0,
                                     days_over=2 if number == 3 else 0) for number in range(30)}
    drawn = replace(made, weeks=(replace(week, basins=many),))
    assert [chart.title for chart in charts(drawn)][:3] == ["B03", "B29", "B28"]
    words = markdown(document(drawn))
    assert "24 more basins got water" in words
    assert pages(pdf(document(drawn))) == 2


def test_one_basin_in_metric_units(gwlog: Runner, frozen: Callable[[datetime], None], tmp_path: Path) -> None:
    site = SITE.replace('units = "us"', 'units = "metric"')
    fig, carrots = site.index('[[basin]]\nname = "Fig"'), site.index("[[outlet]]")
    (tmp_path / "one.toml").write_text(site[:fig] + site[carrots:].replace(', "Fig"', ""), encoding="utf-8")
    frozen(NOW - timedelta(days=20))
    assert gwlog("begin", str(tmp_path / "one.toml")).code == 0
    assert gwlog("load", "towels").code == 0
    frozen(NOW)
    home = look(tmp_path / "logbook.db", NOW)
    for paper in ("letter", "a4"):
        assert pages(pdf(papers.letter(home), paper)) == 2
    assert "68 L" in markdown(papers.letter(home))


def test_the_years_of_a_household_before_stand_apart(lived: Runner, looked: Looker,
                                                     monkeypatch: pytest.MonkeyPatch) -> None:
    home = looked()
    whole = letter(home, "inspector")
    handed_on = clock.day_start(date(2026, 7, 9), home.zone)   # after the exception, before the last loads
    monkeypatch.setattr(eras, "beginnings", lambda state: (handed_on,))
    for reader in READERS:
        made = letter(home, reader)
        assert made.first >= date(2026, 7, 9) and not made.wrong
        (before,) = made.earlier
        assert (before.due, before.wrong) == (whole.due - made.due, len(whole.wrong))
        assert before.followed == sum(one.followed is not None for one in whole.wrong)
        words = markdown(document(made))
        assert "The household before" in words and "Ines" not in words.split("The household before")[1][:200]
    told = markdown(papers.annex(home, "inspector", full=True))
    assert "## The household before" in told and "household 1" in told
    assert "No load is known to have gone to the garden that should have gone to the sewer." in told


def test_letter_and_annex_are_written_together_or_not_at_all(lived: Runner, looked: Looker, tmp_path: Path) -> None:
    out, annex = tmp_path / "l.html", tmp_path / "a.html"
    assert lived("report", str(out), "--annex", str(annex), "--for", "inspector").code == 0
    assert "letter for the inspector" in out.read_text() and "what is remarkable" in annex.read_text()
    full = tmp_path / "full.html"
    exports.annex(looked(), full, reader="inspector", full=True)
    assert len(full.read_bytes()) > len(annex.read_bytes())
    annex.write_text("mine")
    answer = lived("report", str(tmp_path / "l2.html"), "--annex", str(annex))
    assert answer.code == 2 and annex.read_text() == "mine" and not (tmp_path / "l2.html").exists()


@pytest.mark.parametrize("words", [
    ("--for", "the neighbors"), ("--full",), ("--annex", "l.pdf"), ("--annex", "a.doc"), ("--annex", "no/such/a.pdf"),
])
def test_what_cannot_be_is_refused_and_nothing_written(lived: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                                       words: tuple[str, ...]) -> None:
    monkeypatch.chdir(tmp_path)
    before = {path.name for path in tmp_path.iterdir() if not path.name.startswith("logbook")}
    assert lived("report", "l.pdf", *words).code == 2
    assert {path.name for path in tmp_path.iterdir() if not path.name.startswith("logbook")} == before


def test_a_reader_that_does_not_exist_is_refused(lived: Runner, looked: Looker) -> None:
    with pytest.raises(BadInput, match="is not a reader"):
        papers.letter(looked(), "everybody")


def test_tables_for_the_landlord_have_a_row_a_week(lived: Runner, looked: Looker, tmp_path: Path) -> None:
    exports.report(looked(), tmp_path / "t.csv")
    rows = list(csv.reader(io.StringIO((tmp_path / "t.csv").read_text(encoding="utf-8-sig"))))
    weeks = [row for row in rows if row[0] == "weeks"]
    made = letter(looked())
    assert [row[1] for row in weeks[1:]] == [week.first.isoformat() for week in made.weeks]
    water = [float(row[3]) + float(row[4]) for row in weeks[1:]]
    assert water == pytest.approx([week.litres for week in made.weeks], abs=0.002)
