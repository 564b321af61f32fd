"""What verifying the seal found, in lines: each level and the seal number; and what no seal can show."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from gwlog.journal.seal_number import spoken
from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.journal.seal import Verification

PROMISE = (
    "The seal shows edits, deletions in the middle and reordering. A cut-off end, an old copy or a full rewrite shows "
    "only if you compare with a seal number you noted earlier. A note, or a part of an entry, that was left out shows "
    "as left out. It never proves that an entry is true or complete, nor when it was written."
)

LEVELS = {
    "chain": "every entry follows from the one before", "entries as sealed": "every entry is as it was sealed",
    "nothing unsealed": "every entry is sealed", "write protection": "the write protection is in place",
    "noted": "the seal number noted earlier fits", "noted here": "every seal number that gwlog noted by itself fits",
    "numbers given": "every seal number in the entries fits",
    "answers": "no stored answer of a witness is at fault", "file": "the file can be read",
    "references": "every reference leads somewhere",
    "program": "the program in it is one of gwlog's", "papers": "the papers are what the entries say",
    "closing line": "the closing line agrees with the entries",
    "spelling": "every entry is spelled as gwlog seals it", "pack": "the pack in it holds",
    "files": "every file is as packed", "manifest": "the summary agrees with the entries",
    "values": "every value is one that its kind of entry accepts",
    "bodies": "every entry is sealed", "notes": "every note is as it was sealed",
    "parts": "every part is as it was sealed",
}
"""What it means that a level holds, by its name."""


def lines(found: Verification, unchecked: Sequence[str] = (), told: Sequence[str] = ()) -> list[str]:
    """Whether the seal holds, the number to note, then every level, the first broken entry, and what is not proven.

    `unchecked`: what was left to others to check; empty for a logbook, whose seal promises what PROMISE says. `told`:
    until where it is witnessed, and by what.
    """
    made = ["The seal holds." if all(level.holds for level in found.levels) else "The seal does NOT hold."]
    if found.entries:
        made.append(f"{plural(found.entries, 'entry', 'entries')}; seal number "
                    f"{found.last_number}:{found.last_hash[:16]}")
        made.append(f"in words: {spoken(found.last_number, found.last_hash)}")
    for level in found.levels:
        how_many = f" ({level.detail})" if any(sign.isdigit() for sign in level.detail) else ""
        made.append(f"ok      {LEVELS.get(level.name, level.name)}{how_many}" if level.holds else
                    f"BROKEN  {level.name}: {level.detail}")
    if found.first_broken:
        made.append(f"First broken: {found.first_broken}")
    return [*made, *told, *([f"not checked: {each}" for each in unchecked] or [PROMISE])]
