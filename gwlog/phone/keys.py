"""Which phones may come in, and as whom: phrases that are good once, and the keys that phones hold.

Of each phone there is one small file beside the settings, of each phrase another, so that two processes never write
the same one; only SHA-256 digests of the secrets stand in them. A phrase is used up by removing its file, which the
system lets only one do.
"""

from __future__ import annotations

import hmac
import json
import secrets
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal, get_args

from gwlog import clock, files, text
from gwlog.actions import Action, Hint
from gwlog.errors import BadInput, GwlogError
from gwlog.journal.seal_number import words
from gwlog.phone import address
from gwlog.values import dataclass

GOOD_FOR = timedelta(minutes=10)
SLACK = timedelta(minutes=1)
"""What a clock may be set back by while a phrase waits; further back, and nobody knows how old it is."""

PHRASE_WORDS = 6
KEY_BYTES = 32
LARGEST = 10_000
MOST_PHONES = 50
Opens = Literal["pages", "calendar"]
_PHONE, _OFFER = "phone-", "phrase-"


@dataclass(frozen=True, slots=True)
class Phone:
    """A phone that may come in as `person`. `digest`: of its key; `opens`: the pages, or nothing but the calendar."""

    number: int
    person: str
    added: datetime
    digest: str
    opens: Opens = "pages"


@dataclass(frozen=True, slots=True)
class Offer:
    """A phrase by which one phone may become `person`'s until then (UTC)."""

    phrase: str
    person: str
    until: datetime


class Keys:
    """The phones of one logbook."""

    def __init__(self, logbook: str) -> None:
        self.folder = address.folder(logbook)

    def offer(self, person: str, now: datetime) -> Offer:
        """A new phrase for a phone of that person. Raises GwlogError where it cannot be kept."""
        phrase = " ".join(secrets.choice(words()) for _ in range(PHRASE_WORDS))
        made = Offer(phrase, person, now + GOOD_FOR)
        self._sweep(now)
        digest = digest_of(phrase)
        self._write(f"{_OFFER}{digest[:16]}.json", {"person": person, "digest": digest, "until": clock.iso(made.until)})
        return made

    def whose(self, phrase: str, now: datetime) -> str:
        """The person whose phone the phrase makes; it stays good. Raises BadInput where it is not, or no longer."""
        return str(self._offered(phrase, now)[1]["person"])

    def pair(self, phrase: str, now: datetime) -> tuple[str, Phone]:
        """Use a phrase up: the key for the phone, and what is kept of it. Raises BadInput as `whose` does."""
        where, offered = self._offered(phrase, now)
        self._refuse_many()
        try:
            where.unlink()
        except FileNotFoundError:
            raise _used_up() from None
        except OSError as fault:
            raise GwlogError(f"The phrase cannot be used up: {files.reason(fault)}.") from None
        return self._keep(str(offered["person"]), "pages", now)

    def calendar(self, person: str, now: datetime) -> tuple[str, Phone]:
        """A key that opens the calendar and nothing else, for a person; and what is kept of it."""
        self._refuse_many()
        return self._keep(person, "calendar", now)

    def _refuse_many(self) -> None:
        if len(self.phones()) >= MOST_PHONES:
            raise BadInput(f"{MOST_PHONES} phones are added already.",
                           hint=Hint("At the computer, remove one that is not used: ", Action("phone list")))

    def _keep(self, person: str, opens: Opens, now: datetime) -> tuple[str, Phone]:
        """Keep a new phone under a number that no file has; another process may take it first."""
        key = secrets.token_urlsafe(KEY_BYTES)
        number = 0
        while True:
            number = max([number, *self._numbers()]) + 1
            kept = Phone(number, person, now, digest_of(key), opens)
            try:
                self._write(f"{_PHONE}{number}.json", {"person": person, "opens": opens, "digest": kept.digest,
                                                       "added": clock.iso(now)})
            except BadInput:
                if not (self.folder / f"{_PHONE}{number}.json").exists():
                    raise
                continue
            return key, kept

    def _numbers(self) -> list[int]:
        """The numbers that are taken, by files that cannot be read too."""
        try:
            names = [one.stem.removeprefix(_PHONE) for one in self.folder.iterdir() if one.name.startswith(_PHONE)]
        except OSError:
            return []
        return [int(name) for name in names if name.isascii() and name.isdecimal() and len(name) < 9]

    def find(self, key: str, opens: Opens = "pages") -> Phone | None:
        """The phone whose key opens that. It is hashed first: how long it takes tells nothing of what is kept."""
        wanted = digest_of(key)
        found = None
        for phone in self.phones():
            if hmac.compare_digest(phone.digest, wanted) and phone.opens == opens:
                found = phone
        return found

    def phones(self) -> list[Phone]:
        """The phones that may come in, by number; a file that cannot be read lets nobody in."""
        found = []
        for where, kept in self._files(_PHONE):
            try:
                if kept["opens"] in get_args(Opens):
                    found.append(Phone(int(where.stem.removeprefix(_PHONE)), str(kept["person"]),
                                       datetime.fromisoformat(kept["added"]), str(kept["digest"]), kept["opens"]))
            except (ValueError, KeyError, TypeError):
                continue
        return sorted(found, key=lambda one: one.number)

    def remove(self, number: int) -> Phone:
        """Let a phone in no more. Raises BadInput where none has that number."""
        known = self.phones()
        found = next((one for one in known if one.number == number), None)
        if found is None:
            have = text.listed([str(one.number) for one in known]) if known else "no phone"
            raise BadInput(f"There is no phone {number}; there is {have}.", hint=Hint("See them with: ",
                                                                                  Action("phone list")))
        with suppress(FileNotFoundError):
            (self.folder / f"{_PHONE}{number}.json").unlink()
        return found

    def _offered(self, phrase: str, now: datetime) -> tuple[Path, dict[str, Any]]:
        wanted = digest_of(" ".join(phrase.casefold().replace("-", " ").split()))
        found = None
        for where, kept in self._files(_OFFER):
            if hmac.compare_digest(str(kept.get("digest")), wanted):
                found = (where, kept)
        if found is None:
            raise _used_up()
        if not _waits(found[1], now):
            raise BadInput("That phrase was good for ten minutes, which are over.", hint=_ANOTHER)
        return found

    def _sweep(self, now: datetime) -> None:
        """Remove the phrases whose time is over."""
        for where, kept in self._files(_OFFER):
            with suppress(OSError, ValueError, KeyError, TypeError):
                if not _waits(kept, now):
                    where.unlink(missing_ok=True)

    def _files(self, beginning: str) -> Iterator[tuple[Path, dict[str, Any]]]:
        try:
            found = sorted(self.folder.iterdir())
        except OSError:
            return
        for where in found:
            if where.name.startswith(beginning) and where.suffix == ".json":
                with suppress(OSError, ValueError, GwlogError):
                    kept = json.loads(files.read_whole(where, LARGEST, "a phone's key"))
                    if isinstance(kept, dict):
                        yield where, kept

    def _write(self, name: str, kept: dict[str, str]) -> None:
        files.make_folder(self.folder)
        files.write_whole(self.folder / name, json.dumps(kept).encode())


_ANOTHER = Hint("At the computer, ask for another one: ", Action("phone add", name="NAME"))


def _waits(offered: dict[str, Any], now: datetime) -> bool:
    """Whether a phrase is still good. One that would be for longer than it was made for is of another clock."""
    return timedelta(0) < datetime.fromisoformat(offered["until"]) - now <= GOOD_FOR + SLACK


def _used_up() -> BadInput:
    return BadInput("There is no such phrase. Each is good once, and for ten minutes.", hint=_ANOTHER)


def removed_line(gone: Phone) -> str:
    """What was removed."""
    return f"Removed phone {gone.number}, {gone.person}'s{' calendar' if gone.opens == 'calendar' else ''}."


def digest_of(secret: str) -> str:
    """The SHA-256 digest of a phrase or a key, in hexadecimal digits."""
    return sha256(secret.encode("utf-8", "replace")).hexdigest()
