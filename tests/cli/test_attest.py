"""What happened on paper is logged by a command and by a form, with who it was and the digest of its file."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from gwlog.journal.facts import Attestation
from gwlog.journal.reader import read
from tests.conftest import Runner


def last(path: Path) -> Attestation:
    entry = read(path)[-1]
    assert isinstance(entry, Attestation)
    return entry


def test_a_permit_older_than_the_logbook_is_logged_with_its_file(home: Runner, tmp_path: Path) -> None:
    paper = tmp_path / "permit.pdf"
    paper.write_bytes(b"%PDF- a permit")
    answer = home("attest", "permit", "--by", "Tern County", "--at", "2026-03-02", "--file", str(paper),
                  "--logged-by", "ines", "--note", "no. 7")
    assert answer.code == 0 and "permit or notice, Tern County (permit.pdf)." in answer.out, answer.err
    entry = last(tmp_path / "logbook.db")
    assert (entry.attested, entry.party, entry.recorded_by, entry.note) == (
        "permit or notice", "Tern County", "Ines", "no. 7")
    assert entry.file_sha256 == hashlib.sha256(b"%PDF- a permit").hexdigest()
    assert entry.happened_at.date().isoformat() == "2026-03-02"
    assert home("verify").code == 0 and home("today").code == 0 and home("basins").code == 0
    assert "permit or notice, Tern County" in home("entries").out
    assert home("withdraw", str(entry.id), "--note", "wrong day").code == 0


@pytest.mark.parametrize(("words", "said"), [
    (("visit",), "needs a name: who did it"),
    (("visit", "--by", " "), "Nobody is named"),
    (("visit", "--to", "Ruth"), "somebody does it: use “by”, not “to”"),
    (("manual handed over", "--by", "Ruth"), "somebody gets it: use “to”, not “by”"),
    (("visit", "--by", "Ruth", "--to", "Ola"), "not both"),
    (("visit", "--by", "x" * 130), "use up to 120 letters"),
    (("rumor", "--by", "Ruth"), "rumor"),
    (("seal number given", "--to", "Ruth"), "is logged with the number"),
    (("visit", "--by", "Ruth", "--at", "in 3 days"), "in the future"),
    (("visit", "--by", "Ruth", "--file", "/nowhere/at/all.pdf"), "/nowhere/at/all.pdf"),
])
def test_what_cannot_be_logged_is_refused_in_words(home: Runner, tmp_path: Path, words: tuple[str, ...],
                                                   said: str) -> None:
    before = len(read(tmp_path / "logbook.db"))
    answer = home("attest", *words)
    assert answer.code == 2 and said in answer.err and len(read(tmp_path / "logbook.db")) == before
