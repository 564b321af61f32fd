"""Who may read what of an entry: the parts in which its columns are sealed, and which of them each reader is shown.

A part is sealed as a salted digest, so that it can be left out and everything else still holds.
"""

from __future__ import annotations

from gwlog.values import dataclass

WHAT, WHEN, WHO, PRIVATE = PARTS = ("what", "when", "who", "private")
"""`what`: the kind of what happened and its figures, so that nobody counts days by the entries of one kind; `when`: the
moments and days; `who`: who wrote it, and people's names; `private`: contents, products, names of loads, what was seen.
What no part holds stands open in the seal."""


@dataclass(frozen=True, slots=True)
class Disclosure:
    """What a reader is shown: the parts that stay open, and whether the notes do."""

    reader: str
    parts: frozenset[str]
    notes: bool


LANDLORD, INSPECTOR, NEXT_TENANT, EVERYTHING = READERS = ("landlord", "inspector", "next-tenant", "everything")
DISCLOSURES = {
    one.reader: one for one in (
        Disclosure(LANDLORD, frozenset(), False),
        Disclosure(INSPECTOR, frozenset({WHAT, WHEN, PRIVATE}), False),
        Disclosure(NEXT_TENANT, frozenset({WHAT, WHEN, PRIVATE}), False),
        Disclosure(EVERYTHING, frozenset(PARTS), True),
    )
}
