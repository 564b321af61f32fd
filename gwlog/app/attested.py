"""What happened on paper, as people log it: a permit, a check of the drinking water, a manual handed over, a visit.

Nothing is written here, as in `app.entries`.
"""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

from gwlog import files, text
from gwlog.actions import Action, Hint
from gwlog.app import entries
from gwlog.decisions.entry_limits import check_time
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import Attestation

LONGEST_PARTY = 120
LARGEST_FILE = 50_000_000   # of a permit or a photograph only the digest is kept
TO, BY = "to", "by"

LOGGED: dict[str, tuple[str, ...]] = {
    "permit or notice": (BY, TO), "cross-connection check": (BY,), "manual handed over": (TO,), "visit": (BY,),
}
"""What can be attested by hand -> whether somebody did it, or it went to somebody."""


def attest(home: Household, what: str, author: entries.Author, *, by: str | None = None, to: str | None = None,
           file: str | Path | None = None) -> Attestation:
    """What happened on paper: by whom or to whom, and the digest of the file that shows it.

    It may lie before the logbook begins. Raises BadInput where it is not said by or to whom, or the file cannot be
    read.
    """
    if what.casefold().startswith("seal"):
        raise BadInput("Who was given a seal number, or witnessed it, is logged with the number.",
                       hint=Hint("For that use: ", Action("witness")))
    kind = text.pick("paper or visit", what, list(LOGGED))
    named = None if file is None else _digested(Path(file).expanduser())
    draft = Attestation(**entries.common(home, author), attested=kind, party=_party(kind, by, to),
                        file_name=None if named is None else named[0],
                        file_sha256=None if named is None else named[1])
    entries.refuse_double(home, draft, author)
    return draft


def author_of(home: Household, at: str | None, by: str | None, note: str | None) -> entries.Author:
    """Who writes it down and when it happened, which may be long before the logbook begins."""
    from gwlog import clock

    who = entries.read_author(home, by=by, note=note)
    if at is None:
        return who
    when = clock.moment(at, home.now, home.zone).replace(microsecond=0)
    check_time(when, home.now, home.zone, None)
    return entries.Author(when, who.by, who.note)


def party_name(words: str) -> str:
    """Somebody outside of the logbook, by name. Raises BadInput where it is empty or too long."""
    name = text.one_line(words).strip()
    if not name:
        raise BadInput("Nobody is named; say who, like “Ruth Abara, landlord”.")
    if len(name) > LONGEST_PARTY:
        raise BadInput(f"“{name[:40]}…” is too long; use up to {LONGEST_PARTY} letters.")
    return name


def _party(kind: str, by: str | None, to: str | None) -> str:
    if by is not None and to is not None:
        raise BadInput("Say by whom or to whom, not both.")
    said = TO if to is not None else BY if by is not None else None
    accepted = LOGGED[kind]
    if said is None:
        asked = "who has it now" if accepted == (TO,) else "who did it" if accepted == (BY,) else \
            "who gave it, or whom was told"
        raise BadInput(f"A “{kind}” needs a name: {asked}.",
                       hint=Hint("Like: ", Action("attest", what=kind, **{accepted[0]: "WHO"})))
    if said not in accepted:
        right = "somebody gets it" if accepted == (TO,) else "somebody does it"
        raise BadInput(f"Of a “{kind}”, {right}: use “{accepted[0]}”, not “{said}”.",
                       hint=Hint("Like: ", Action("attest", what=kind, **{accepted[0]: "WHO"})))
    return party_name(str(to if said == TO else by))


def _digested(path: Path) -> tuple[str, str]:
    """The name and the SHA-256 digest of a file, which stays where it is."""
    content = files.read_whole(path, LARGEST_FILE, "a smaller copy is accepted")
    return text.one_line(path.name)[-LONGEST_PARTY:], sha256(content).hexdigest()
