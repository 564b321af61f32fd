"""Fonts: the shipped face first, then the reader's own, then the machine's; what none has is said."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from gwlog.documents.render import faces
from gwlog.documents.render.blocks import Para
from gwlog.documents.render.forms import unprintable
from gwlog.documents.render.pdf import pdf
from gwlog.errors import BadInput
from tests.conftest import SITE, Runner
from tests.documents.test_pdf import simple, words_of

ODD = "\N{LINEAR B SYLLABLE B008 A}"


@pytest.fixture
def no_others(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine without fonts of its own."""
    monkeypatch.setattr(faces, "_of_this_machine", tuple)
    faces._chosen.cache_clear()


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A font that has one odd sign and draws it like an A."""
    with TTFont(faces.REGULAR) as font:
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap = {0x41: "A", 0x6F22: "A"}
        for record in font["name"].names:
            if record.nameID in (1, 3, 4, 6, 16):
                record.string = "Own-Face"
        path = tmp_path_factory.mktemp("fonts") / "own.ttf"
        font.save(path)
    return path


def test_what_the_shipped_face_has_needs_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(faces, "_of_this_machine", lambda: pytest.fail("the machine's fonts were looked through"))
    chosen = faces.chosen(["Fig ≥ ½ ▶ — “quoted” שלום Ünïcödé Ελληνικά Кириллица"])
    assert chosen == faces.Chosen((), (faces.FAMILY,), "")


def test_signs_that_no_font_has_are_shown_as_missing_and_none_is_lost_around_them(no_others: None) -> None:
    made = simple(Para("before 漢字 after ≥ ▶ ½"))
    assert "before �� after ≥ ▶ ½" in words_of(pdf(made))
    assert unprintable(made, ".pdf") == "字漢"
    assert unprintable(made, ".html") == ""


def test_a_font_of_ones_own_prints_what_the_shipped_face_lacks(no_others: None, own: Path) -> None:
    made = simple(Para("before 漢 after 字"))
    content = pdf(made, font=own)
    assert "before 漢 after �" in words_of(content)
    assert unprintable(made, ".pdf", own) == "字"
    assert re.search(rb"/BaseFont/\w+\+Own-?Face", content)


def test_a_font_of_the_machine_serves_where_the_shipped_one_does_not(own: Path,
                                                                      monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(faces, "_of_this_machine", lambda: ((own, 0, "Own-Face"),))
    faces._chosen.cache_clear()
    assert "漢 it is" in words_of(pdf(simple(Para("漢 it is"))))
    faces._chosen.cache_clear()


def test_signs_that_are_never_drawn_need_no_font(no_others: None) -> None:
    made = simple(Para("a heart \u2764\ufe0f, a joiner \u200d, a soft\u00adhyphen, no\u2060break"))
    assert unprintable(made, ".pdf") == ""
    assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf(made)


def test_a_machine_without_links_gets_a_copy_of_the_font(own: Path, no_others: None,
                                                         monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError("no links here")

    monkeypatch.setattr(Path, "symlink_to", refuse)
    assert "漢 it is" in words_of(pdf(simple(Para("漢 it is")), font=own))


def test_a_sign_that_a_font_has_and_cannot_draw_costs_the_proof_of_the_tags_alone(
        monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(faces.Chosen, "shown", lambda _, words: words)   # as if every sign had a glyph
    content = pdf(simple(Para("before \U00012000 after")))
    assert b"pdfuaid" not in content
    assert "after" in words_of(content)


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7", b"\0\1\0\0" + b"x" * 400, b"OTTO", b"ttcf\0\1\0\0" + b"\0" * 99])
def test_a_file_that_is_no_font_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "odd.ttf").write_bytes(content)
    with pytest.raises(BadInput, match="font"):
        faces.chosen([ODD], tmp_path / "odd.ttf")


def test_the_commands_take_a_font_and_say_what_none_prints(gwlog: Runner, frozen: object, own: Path, no_others: None,
                                                           tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(SITE.replace("Tern Cottage", "Tern 漢 Cottage"), encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    for command in ("report", "manual", "card"):
        answer = gwlog(command, str(tmp_path / f"{command}.pdf"))
        assert (answer.code, "No font on this machine has “漢”; � stands for it." in answer.err) == (0, True), command
        assert "--font" in answer.err and ".html" in answer.err
        answer = gwlog(command, str(tmp_path / f"{command}.pdf"), "--font", str(own))
        assert (answer.code, "No font" in answer.err) == (0, False)
        assert "Tern 漢 Cottage" in words_of((tmp_path / f"{command}.pdf").read_bytes())
    for words in (("report", "r.html", own), ("manual", "m.pdf", tmp_path / "card.pdf"),
                  ("card", "c.pdf", tmp_path / "none.ttf"), ("report", "x.pdf", tmp_path)):
        command, name, font = words
        assert gwlog(command, str(tmp_path / name), "--font", str(font)).code == 2, words
        assert not (tmp_path / name).exists()
