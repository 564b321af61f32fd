"""An attestation in words: what it was, by whom or to whom, how, and the file that shows it."""

from __future__ import annotations

from gwlog.journal.facts import HANDED_ON, Attestation

SOMEBODY = "somebody not named here"
_WAYS = {"statement": "with a statement", "SSH signature": "with an SSH signature", "time stamp": "with a time stamp"}
_WHOM = {"cross-connection check": " by ", "manual handed over": " to ", "visit": " by ", "permit or notice": ", "}
HEX_SHOWN = 16
"""So many hex digits of a seal number people compare."""


def short_number(number: str) -> str:
    """A seal number with as many digits of its hash as people compare: “412:9f3a6c0b12d4e877”."""
    count, _, hashed = number.partition(":")
    return f"{count}:{hashed[:HEX_SHOWN]}"


def attested_words(one: Attestation) -> str:
    """“cross-connection check by Ola Reyes (letter.pdf)”, “seal number 412:9f3a… given to Ruth Abara, by e-mail”."""
    party = one.party or SOMEBODY
    if one.number is not None:
        ended = f"witnessed by {party}" if one.attested.endswith("witnessed") else f"given to {party}"
        means = f", {_WAYS.get(one.means, one.means)}" if one.means else ""
        return f"seal number {short_number(one.number)} {ended}{means}"
    if one.attested == HANDED_ON:
        return f"logbook handed on to {party}"
    file = f" ({one.file_name})" if one.file_name else ""
    return f"{one.attested}{_WHOM[one.attested]}{party}{file}"
