"""The seal number given to a witness, and the witness's answer stored: what `gwlog witness` and the screens do.

Nothing is written here but by the one door; what does not verify is not remembered.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from gwlog import files, settings, text
from gwlog.actions import Action, Hint
from gwlog.app import entries
from gwlog.app import witness_answers as answers
from gwlog.app.attested import party_name
from gwlog.errors import BadInput, NotVerified
from gwlog.household import Household
from gwlog.journal import attached, reader
from gwlog.journal.facts import GIVEN, MEANS, WITNESSED, Attestation, Fact, UpkeepDone
from gwlog.journal.number_levels import hash_of
from gwlog.journal.seal_number import SealNumber, number_of, numbers_in
from gwlog.reference.upkeep import HAVE_WITNESSED
from gwlog.values import dataclass, replace
from gwlog.views.this_number import ThisNumber

MOST_TRIED = 24
"""So many of the numbers given last an answer is tried with, where nobody says which it speaks of."""

GIVEN_BY = tuple(one for one in MEANS if one not in attached.ENDINGS)
"""How a seal number goes to somebody."""


def this_number(home: Household) -> ThisNumber:
    """The seal number of the last entry. Raises BadInput where there is none."""
    count, hashed, _ = reader.last_seal(home.path)
    if not count:
        raise BadInput("The logbook holds no entry yet, so it has no seal number.")
    return ThisNumber(SealNumber(count, hashed), home.state.site.name if home.state.site else "this household")


@dataclass(frozen=True, slots=True)
class Answered:
    """A witness's answer, ready to append: the entries, the file, and what it was found to show."""

    facts: tuple[Fact, ...]
    attached: tuple[bytes, ...]
    judged: answers.Judged
    number: SealNumber


def given(home: Household, to: str, author: entries.Author, *, means: str | None = None) -> tuple[Fact, ...]:
    """“Seal number given to …”: of the number as it stands, and the monthly task as done."""
    way = None if means is None else text.pick("way", means, list(GIVEN_BY))
    fact = Attestation(**entries.common(home, author), attested=GIVEN, party=party_name(to), means=way,
                       number=str(this_number(home).number))
    entries.refuse_double(home, fact, author)
    return fact, *_task_done(home, author)


def stored(home: Household, file: Path, by: str, author: entries.Author, *, number: str | None = None,
           signers: Path | None = None, authority: Path | None = None) -> Answered:
    """A witness's answer, verified: a statement, an SSH signature, or a time stamp.

    `number`: the seal number that it speaks of, where it is not one that was given, or the present one. `signers`,
    `authority`: else those of the machine's settings. Raises NotVerified, BadInput; then nothing is to be written.
    """
    who = party_name(by)
    content = files.read_whole(file, attached.LARGEST, "an answer of a witness is not")
    attached.digest(content)
    means = answers.means_of(content)
    numbers, certificates = _candidates(home, number), b""
    try:
        if means == answers.SSH_SIGNATURE:
            known = signers or _there(settings.signers_file())
            if known is None:
                raise BadInput("No file of known signers is named, so nobody can tell whose key this is.",
                               hint=Hint("Put a line “NAME KEY” of the witness's public key into a file: ", Action(
                                   "witness", store=str(file), by=by, signers="FILE"),
                                   f"; or into {settings.signers_file()}."))
            files.refuse_odd(known)
            found, judged = answers.signature(content, numbers, known)
        elif means == answers.TIME_STAMP:
            trusted = authority or _there(settings.authorities_file())
            if trusted is None:
                raise BadInput("No certificate of the authority is named, so nobody can tell who made the time stamp.",
                               hint=Hint("Name it: ", Action("witness", store=str(file), by=by, authority="CERT.pem"),
                                         f"; or put it into {settings.authorities_file()}."))
            certificates = files.read_whole(trusted, attached.LARGEST, "certificates are not")
            found, judged = answers.time_stamp(content, numbers, certificates)
        else:
            found, judged = _statement(content, numbers, home), answers.Judged(means, who)
    except answers.NotHere as missing:
        raise BadInput(f"The answer cannot be verified here: {missing}. Nothing was stored.",
                       hint="Install it, or store the answer on another machine.") from None
    fact = Attestation(**entries.common(home, author), attested=WITNESSED, party=who, means=means,
                       number=str(found), file_name=text.one_line(file.name)[-120:],
                       file_sha256=attached.digest(content))
    entries.refuse_double(home, fact, author)
    return Answered((fact, *_task_done(home, author)), (content, certificates) if certificates else (content,), judged,
                    found)


def _candidates(home: Household, number: str | None) -> list[SealNumber]:
    """The numbers that an answer may speak of, whole: the one named, else those given, the latest first, and this."""
    if number is not None:
        return [whole(home.path, number_of(number))]
    told = [number_of(one.number) for one in reversed(home.state.attestations) if one.number is not None]
    return list(dict.fromkeys([this_number(home).number, *told]))[:MOST_TRIED]


def whole(path: Path, number: SealNumber) -> SealNumber:
    """A seal number with its whole hash. Raises NotVerified where the chain has another."""
    with reader.reading(path) as connection:
        hashed = hash_of(connection, number.entries)
    if hashed is None or not hashed.startswith(number.start):
        raise NotVerified(f"{number.short} is not a seal number of this logbook: entry {number.entries} "
                          f"{'is not there' if hashed is None else 'has another hash'}. Nothing was stored.")
    return SealNumber(number.entries, hashed)


def _statement(content: bytes, numbers: Sequence[SealNumber], home: Household) -> SealNumber:
    """The latest seal number that a statement in plain words names."""
    try:
        words = content.decode("utf-8")
    except UnicodeDecodeError:
        raise BadInput("The file is neither a text, nor an SSH signature, nor a time stamp. Nothing was "
                       "stored.") from None
    said = [whole(home.path, one.number) for one in numbers_in(words)]
    if not said:
        raise BadInput("The statement names no seal number, like 412:9f3a6c0b12d4e877 or the number and its seven "
                       "words. Nothing was stored.")
    return max(said)


def _task_done(home: Household, author: entries.Author) -> list[UpkeepDone]:
    task = home.state.upkeep_tasks.get(HAVE_WITNESSED.name)
    if task is None or not task.active:
        return []
    return [UpkeepDone(**{**entries.common(home, author), "note": None}, task=task.name)]


def _there(file: Path) -> Path | None:
    return file if file.is_file() else None


@dataclass(frozen=True, slots=True)
class Again:
    """One stored answer as it verifies now. `fault`: why it does not; `missing`: why nobody can tell here."""

    entry: Attestation
    judged: answers.Judged | None = None
    fault: str | None = None
    missing: str | None = None


def verified_again(path: Path, attestations: Sequence[Attestation], *, trust: bool = True) -> list[Again]:
    """Every stored signature and time stamp, verified anew with what this machine trusts, else with its own key."""
    made = []
    for one in attestations:
        if one.attested != WITNESSED or one.number is None or one.means not in (answers.SSH_SIGNATURE,
                                                                                answers.TIME_STAMP):
            continue
        with reader.reading(path) as connection:
            content, certificates = attached.content_of(connection, one), attached.certificates(connection)
        if content is not None:
            made.append(_again(one, content, trust, certificates))
    return made


def _again(one: Attestation, content: bytes, trust: bool, certificates: Sequence[bytes]) -> Again:
    numbers = [number_of(str(one.number))]
    try:
        if one.means == answers.SSH_SIGNATURE:
            if trust and (known := _there(settings.signers_file())) is not None:
                with suppress(NotVerified):
                    return Again(one, answers.signature(content, numbers, known)[1])
            return Again(one, answers.signature(content, numbers, None)[1])
        if trust and (known := _there(settings.authorities_file())) is not None:
            with suppress(NotVerified):
                return Again(one, answers.time_stamp(content, numbers, known.read_bytes())[1])
        for pem in certificates[:-1]:
            with suppress(NotVerified):
                return Again(one, replace(answers.time_stamp(content, numbers, pem)[1], trusted=False))
        if not certificates:
            return Again(one, missing=f"the certificate of the authority is not here; put it into "
                                      f"{settings.authorities_file()}")
        return Again(one, replace(answers.time_stamp(content, numbers, certificates[-1])[1], trusted=False))
    except answers.NotHere as missing:
        return Again(one, missing=str(missing))
    except (BadInput, NotVerified) as fault:
        return Again(one, fault=str(fault))


def noted_of(said: Sequence[str]) -> list[tuple[SealNumber, str | None]]:
    """The seal numbers of `--noted`: each a number, in digits or words, or a file that holds any number of them.

    With the day (ISO) written beside each, if one is. Raises BadInput for a file without any, and for another form.
    """
    found: list[tuple[SealNumber, str | None]] = []
    for one in said:
        with suppress(BadInput):
            found.append((number_of(one), None))
            continue
        path = None
        with suppress(BadInput, OSError):
            path = settings.typed_path(one) if settings.typed_path(one).is_file() else None
        if path is None:
            number_of(one)
        else:
            words = files.read_whole(path, 2_000_000, "a file of noted seal numbers is not").decode("utf-8", "replace")
            there = [(each.number, each.day) for each in numbers_in(words)]
            if not there:
                raise BadInput(f"{path} holds no seal number, like 412:9f3a6c0b12d4e877 or the number and its words.")
            found += there
    return found
