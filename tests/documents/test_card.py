"""The card: read from two metres, true until a day that it says, in one voice with `where`; written on by hand."""

from __future__ import annotations

import io
from datetime import date, timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader

from gwlog import clock
from gwlog.decisions.answer import Answer, Walk
from gwlog.decisions.answers_stand import Stand, stand
from gwlog.documents.card.card import SIZES, card
from gwlog.documents.card.content import CAUTIONS, DOUBT, PIPE_LABEL, SEWER_WORDS, content, schedule
from gwlog.views import answers
from tests.conftest import SITE, Runner
from tests.documents.conftest import Looker
from tests.documents.test_pdf import words_of

FAR = 24.0
"""The least size [pt] of what is read from two metres."""


def begun(gwlog: Runner, folder: Path, text: str) -> None:
    (folder / "site.toml").write_text(text, encoding="utf-8")
    answer = gwlog("begin", str(folder / "site.toml"))
    assert answer.code == 0, answer.err


def pieces(content: bytes, page: int = 0) -> list[tuple[float, str]]:
    """What stands on a page, in pieces: the size of the letters [pt], as the page's own coordinates have it."""
    found: list[tuple[float, str]] = []

    def see(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            found.append((size * abs(tm[3]) * abs(cm[3]), " ".join(text.split())))

    PdfReader(io.BytesIO(content)).pages[page].extract_text(visitor_text=see)
    return found


def usual(number: int, name: str = "load number {n}") -> str:
    return "".join(f'\n[[usual_load]]\nname = "{name.format(n=n)}"\nproducts = ["plain liquid"]\n'
                   for n in range(number))


def test_first_page_and_last_page(lived: Runner, looked: Looker) -> None:
    made = card(looked())
    reader = PdfReader(io.BytesIO(made))
    first, last = (" ".join(page.extract_text().split()) for page in reader.pages)
    for passage in ("True until", "▶ GARDEN", "▼ SEWER", "towels", "whites", "▼ MUST go to the sewer", "▶ Fig", DOUBT,
                    *CAUTIONS, "check your local code"):
        assert passage in first
    for passage in ("The outlets until Mon, Jul 27", "Write here by hand", "day, time", PIPE_LABEL):
        assert passage in last and passage not in first
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert b"pdfuaid" in made      # PDF/UA-1 (ISO 14289-1), as the typesetter has checked it


def test_five_short_cautions_say_what_keeps_people_safe() -> None:
    assert len(CAUTIONS) == 5 and all(len(one) <= 72 for one in CAUTIONS)
    said = " ".join(CAUTIONS)
    for words in ("Keep people and pets off", "Gloves", "Wash your hands", "Nobody drinks it", "Never join it",
                  "ill, ground soaked or frozen, water standing: all to SEWER"):
        assert words in said
    last = CAUTIONS[-1]
    assert last.index("pause the machine") < last.index("valve to SEWER") < last.index("let it finish")
    assert DOUBT == "When in doubt: SEWER"


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("number", [0, 12])
def test_what_is_read_from_two_metres_is_at_least_24_points(gwlog: Runner, frozen: object, looked: Looker,
                                                            tmp_path: Path, paper: str, number: int) -> None:
    begun(gwlog, tmp_path, SITE + usual(number))
    home = looked()
    made = card(home, paper=paper)
    assert min(SIZES) >= FAR
    far = [words for page in range(len(PdfReader(io.BytesIO(made)).pages)) for size, words in pieces(made, page)
           if size >= FAR]
    for one in content(home).lines:
        assert one.load in far and f"{one.sign} {one.says}" in far
    for place in content(home).outlets:
        assert place.outlet in far and place.basin in far
    assert content(home).until in far and DOUBT in far
    sizes = [size for size, _ in pieces(made)]
    assert min(sizes) >= 9.0 - 0.01
    day = next(size for size, words in pieces(made) if words == content(home).until)
    assert day == max(sizes)


def test_each_line_is_what_where_says(lived: Runner, looked: Looker) -> None:
    home = looked()
    lines = {one.load: one for one in content(home).lines}
    assert set(lines) == {name for name, load in home.state.usual_loads.items() if load.active}
    for name, line in lines.items():
        told = lived("where", name, "--json").json
        if told["verdict"] == "garden":
            assert line.way == "garden" and line.sign == "▶"
            assert line.says == " and ".join(dict.fromkeys(one["basin"] for one in told["deliveries"]))
            places = {one.outlet: one.first for one in content(home).outlets}
            for one in told["moves"]:       # told with the load, or once beside the outlet
                assert f"move {one['outlet']} to {one['to']}" in line.first or \
                    f"move it to {one['to']}" in places[one["outlet"]]
        else:
            assert line.way == {"must": "must", "should": "better", None: "sewer"}[told["strength"]]
            assert line.says == SEWER_WORDS[line.way]
    assert answers.headline(home.answer(home.query("whites"))) == "SEWER (must)"


def test_must_and_better_are_told_apart_by_words_and_sign(gwlog: Runner, frozen: object, looked: Looker,
                                                          tmp_path: Path) -> None:
    begun(gwlog, tmp_path, SITE + '\n[[product]]\nname = "softener"\nkind = "softener"\nform = "liquid"\n'
          'chlorine_bleach = false\nborax = false\n\n[[usual_load]]\nname = "blankets"\nproducts = ["softener"]\n')
    lines = {one.load: (one.sign, one.says) for one in content(looked()).lines}
    assert lines["diapers"] == ("▼", "MUST go to the sewer")
    assert lines["blankets"] == ("▽", "better to the sewer")
    assert lines["towels"][0] == "▶"


def test_the_day_until_which_it_is_true_is_the_plans(lived: Runner, looked: Looker) -> None:
    home = looked()
    told = {name: home.answer(home.query(name)) for name in home.state.usual_loads}
    today = clock.local_day(home.now, home.zone)
    found = stand(told, home.advice.loads, today, home.zone)
    assert content(home).until == clock.echo_day(found.until, home.system)
    assert today <= found.until <= today + timedelta(days=13)
    for one in home.advice.loads:       # every load up to then goes where its line says
        day = clock.local_day(one.at, home.zone)
        if day < found.until or (day == found.until and found.load is None):
            assert answers.same_advice(told[one.load], one)


def test_answers_stand_until_another_one_or_a_move(looked: Looker, lived: Runner) -> None:
    home = looked()
    stays = home.answer(home.query("towels"))._replace(moves=())
    assert stays.verdict == "garden"
    carried = stays._replace(moves=(Walk("Hose", "Fig", "Pomegranate"),))
    sewer = stays._replace(verdict="sewer", deliveries=())
    today = date(2026, 7, 14)

    def until(now: Answer | None, *coming: tuple[int, Answer]) -> Stand:
        told = {"towels": now} if now is not None else {}
        return stand(told, [one._replace(at=home.now + timedelta(days=days)) for days, one in coming], today, "UTC")

    assert until(stays, (0, stays), (2, stays)) == until(None, (1, stays)) == Stand(today + timedelta(days=13))
    assert until(stays, (0, stays), (4, sewer)) == Stand(today + timedelta(days=3))
    assert until(stays, (0, sewer)) == Stand(today, "towels")
    assert until(stays, (4, carried)) == Stand(today + timedelta(days=3))
    assert until(carried, (3, carried)) == Stand(today + timedelta(days=3), "towels", through=True)
    assert until(None, (3, carried)) == Stand(today + timedelta(days=3), "towels", through=True)


def test_the_schedule_is_the_plans(lived: Runner, looked: Looker) -> None:
    home = looked()
    plan = home.plan
    rows, note = schedule(home)
    assert [what for _, what in rows] == [f"{turn.outlet} at {turn.basin}" for turn in plan.turns]
    assert note == plan.note
    said = words_of(card(home))
    for when, what in rows:
        assert when in said and what in said


def test_without_a_plan_the_outlets_present_places_are_shown(home: Runner, looked: Looker) -> None:
    rows, _ = schedule(looked())
    assert any("Hose at Pomegranate" in what for _, what in rows)
    assert "Hose at Pomegranate" in words_of(card(looked()))


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_large_household_goes_on_at_the_same_size(gwlog: Runner, frozen: object, looked: Looker, tmp_path: Path,
                                                    paper: str) -> None:
    outlets = "".join(f'\n[[outlet]]\nname = "hose with a very long name, number {n}"\nat = "Fig"\n' for n in range(20))
    begun(gwlog, tmp_path, SITE + usual(40, "a load with a long name, number {n}, of the household") + outlets)
    made = card(looked(), paper=paper)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(made)).pages]
    assert "There is more on the next page." in pages[0] and DOUBT in pages[0] and DOUBT not in pages[1]
    assert f"1 of {len(pages)}" in pages[0] and f"{len(pages)} of {len(pages)}" in pages[-1]
    said = " ".join(pages)
    assert all(f"number {n}, of the household" in said for n in range(40))
    assert pages[-1].count("▶☐") >= 4 and PIPE_LABEL in pages[-1]


def test_names_of_any_script_and_length_stand_on_it(gwlog: Runner, frozen: object, looked: Looker,
                                                    tmp_path: Path) -> None:
    begun(gwlog, tmp_path, SITE.replace("Tern Cottage", "アジサシ荘") + "".join(
        f'\n[[usual_load]]\nname = "{name}"\nproducts = ["plain liquid"]\n'
        for name in ("مناشف", "タオル", "x" * 60, "<script>alert(1)</script>", "#strong[y]")))
    home = looked()
    made = card(home)
    assert len(PdfReader(io.BytesIO(made)).pages) >= 2
    assert "#strong[y]" in words_of(made)
    page = card(home, ".html").decode()
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page and "<script>" not in page
    assert "مناشف" in page and "タオル" in page and "アジサシ荘" in page


def test_a_household_without_usual_loads_has_a_card(gwlog: Runner, frozen: object, looked: Looker,
                                                    tmp_path: Path) -> None:
    begun(gwlog, tmp_path, SITE[:SITE.index("[[usual_load]]")])
    assert "No usual load is described" in words_of(card(looked()))
    assert "No usual load is described" in card(looked(), ".html").decode()


def test_the_page_for_a_browser_says_the_same(lived: Runner, looked: Looker) -> None:
    home = looked()
    page, made = card(home, ".html").decode(), content(home)
    for one in made.lines:
        assert f"{one.sign} {one.says}" in page and f'<th scope="row">{one.load}</th>' in page
    for words in (made.until, DOUBT, PIPE_LABEL, *CAUTIONS, *(what for _, what in made.turns)):
        assert words in page
    assert "<main>" in page and "<header>" in page and "<footer>" in page and page.count('role="img"') == 2
    assert 'src="' not in page and "http" not in page.replace("http-equiv", "").replace("http://www.w3.org", "")


def test_the_command_writes_it_for_its_owner_only_as_its_name_says(lived: Runner, tmp_path: Path) -> None:
    for name, start in (("c.pdf", b"%PDF"), ("c.html", b"<!DOCTYPE html>")):
        assert lived("card", str(tmp_path / name)).code == 0
        assert (tmp_path / name).stat().st_mode & 0o777 == 0o600
        assert (tmp_path / name).read_bytes().startswith(start)
        assert lived("card", str(tmp_path / name)).code == 0       # its own is written over
    wrong = lived("card", str(tmp_path / "c.txt"))
    assert wrong.code == 2 and ".pdf or .html" in wrong.err
    assert "--paper is for PDF" in lived("card", str(tmp_path / "d.html"), "--paper", "a4").err


def test_the_same_household_gives_the_same_bytes(lived: Runner, looked: Looker) -> None:
    assert card(looked()) == card(looked())


def test_the_address_of_the_pages_for_phones_stands_on_it_without_a_key(
        lived: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    url = "http://192.168.1.20:8765/"
    monkeypatch.setattr("gwlog.phone.address.noted", lambda _: url)
    for name in ("card.pdf", "card.html"):
        assert lived("card", str(tmp_path / name)).code == 0
    first = PdfReader(tmp_path / "card.pdf").pages[0].extract_text()
    assert "With a phone" in first and url in first
    page = (tmp_path / "card.html").read_text("utf-8")
    assert f'<a href="{url}">' in page and f'aria-label="QR code of {url}"' in page
    monkeypatch.setattr("gwlog.phone.address.noted", lambda _: None)
    assert lived("card", str(tmp_path / "without.html"), "--replace").code == 0
    assert "With a phone" not in (tmp_path / "without.html").read_text("utf-8")
