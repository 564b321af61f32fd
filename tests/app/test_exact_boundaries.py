"""What people may say, at the limit itself: moments, quantities, doubles, days ahead, and a seal noted earlier."""

from __future__ import annotations

from pathlib import Path

import pytest

from gwlog.errors import BadInput
from gwlog.journal import reader, seal
from tests.conftest import Runner


def entries(tmp_path: Path) -> int:
    return len(reader.read(tmp_path / "logbook.db"))


ACCEPTED = [
    ("load", "towels", "--at", "2026-07-14 11:05"),                    # it is 11:00: clocks differ by five minutes
    ("load", "towels", "--at", "2026-05-01 00:00"),                    # the first moment of the logbook
    ("load", "towels", "--volume", "2000 L", "--to", "sewer"),
    ("mulch", "Fig", "--added", "1000 mm"), ("mulch", "Fig", "--measured", "0"), ("mulch", "Fig", "--added", "1 mm"),
    ("rain", "1900 mm"), ("rain", "0"), ("rain", "1in", "--at", "2026-07-30"),
    ("plan-load", "towels", "--on", "today 00:00"),
]
REFUSED = [
    (("load", "towels", "--at", "2026-07-14 11:06"), "future"),
    (("load", "towels", "--at", "2026-04-30 23:59"), "before this logbook begins"),
    (("load", "towels", "--volume", "2000.1 L", "--to", "sewer"), "out of range"),
    (("mulch", "Fig", "--added", "1000.1 mm"), "out of range"), (("mulch", "Fig", "--added", "0.4 mm"), "half"),
    (("rain", "1900.1 mm"), "out of range"), (("rain", "1in", "--at", "2026-07-31"), "16 days ahead"),
    (("plan-load", "towels", "--on", "yesterday 23:59"), "is past"),
]


@pytest.mark.parametrize("words", ACCEPTED, ids=" ".join)
def test_what_just_reaches_a_limit_is_logged(home: Runner, tmp_path: Path, words: tuple[str, ...]) -> None:
    before = entries(tmp_path)
    answer = home(*words)
    assert answer.code == 0, answer.err
    assert entries(tmp_path) > before


@pytest.mark.parametrize(("words", "named"), REFUSED, ids=[" ".join(words) for words, _ in REFUSED])
def test_what_just_passes_a_limit_is_refused(home: Runner, tmp_path: Path, words: tuple[str, ...], named: str) -> None:
    before = entries(tmp_path)
    answer = home(*words)
    assert (answer.code, answer.out) == (2, "")
    assert named in answer.err
    assert entries(tmp_path) == before


def test_the_same_entry_twice_is_one_whoever_says_it_and_another_minute_or_volume_is_another(
        home: Runner, tmp_path: Path) -> None:
    said = ("load", "towels", "--at", "2026-07-13 09:00")
    assert home(*said).code == 0
    once = entries(tmp_path)
    for words in ((), ("--by", "Ines"), ("--note", "typed again")):
        refused = home(*said, *words)
        assert refused.code == 2 and "The same entry is already in the log" in refused.err
    assert entries(tmp_path) == once
    for words in (("load", "towels", "--at", "2026-07-13 09:01"), (*said, "--volume", "17gal"), (*said, "-c", "dye")):
        assert home(*words).code == 0
    assert entries(tmp_path) == once + 3


def test_an_observation_is_resolved_from_its_own_minute_on(home: Runner) -> None:
    number = home("observe", "ponding", "Fig", "--at", "2026-07-13 09:00").out.split()[1].rstrip(":")
    before = home("resolve", number, "--at", "2026-07-13 08:59")
    assert before.code == 2 and "cannot be resolved before that" in before.err
    assert home("resolve", number, "--at", "2026-07-13 09:00").code == 0


def test_the_numbers_of_entries_end_where_the_log_ends(home: Runner, tmp_path: Path) -> None:
    home("load", "towels")
    last = entries(tmp_path)
    beyond = home("withdraw", str(last + 1), "--note", "typed twice")
    assert beyond.code == 2 and f"the numbers go from 1 to {last}" in beyond.err
    assert "There is no entry 0" in home("withdraw", "0", "--note", "typed twice").err
    assert home("withdraw", str(last), "--note", "typed twice").code == 0


def test_a_head_noted_earlier_is_held_against_its_own_number_and_sixteen_digits(home: Runner, tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    number, head, _ = reader.last_seal(path)
    assert number == entries(tmp_path)
    assert seal.verify(path, noted=[f"{number}:{head[:16]}"]).holds
    assert seal.verify(path, noted=[f"{number}:{head}"]).holds
    assert seal.verify(path, noted=[f"0{number}:{head[:16].upper()}"]).holds
    assert not seal.verify(path, noted=[f"{number - 1}:{head[:16]}"]).holds, "another entry's number"
    beyond = seal.verify(path, noted=[f"{number + 1}:{head[:16]}"])
    assert not beyond.holds and "the end was cut" in beyond.levels[-1].detail
    wrong = "0" if head[15] != "0" else "1"
    rewritten = seal.verify(path, noted=[f"{number}:{head[:15]}{wrong}"])
    assert not rewritten.holds and "rewritten" in rewritten.levels[-1].detail
    nothing = seal.verify(path, noted=["0:" + "0" * 16])
    assert nothing.holds and "an empty logbook" in nothing.levels[-1].detail
    assert not seal.verify(path, noted=["0:" + "0" * 15 + "1"]).holds
    for form in (f"{number}:{head[:15]}", f"{number}:{head}0", f"{number}{head[:16]}", f"-1:{head[:16]}"):
        with pytest.raises(BadInput, match="is not a seal number"):
            seal.verify(path, noted=[form])
    home("load", "towels")
    assert seal.verify(path, noted=[f"{number}:{head[:16]}"]).holds, "what was added since"
