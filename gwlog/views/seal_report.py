"""What verifying the seal found, in lines: each level and the seal number; and what no seal can show."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.journal.seal import Verification

PROMISE = (
    "The seal shows edits, deletions in the middle and reordering. A cut-off end, an old copy or a full rewrite shows "
    "only if you compare with a seal number you noted earlier. A note that was left out shows as left out. It "
    "never proves that an entry is true or complete."
)


def lines(found: Verification, unchecked: Sequence[str] = ()) -> list[str]:
    """Every level with its answer, the first broken entry, the seal number to note, and what that does not prove.

    `unchecked`: what was left to others to check; empty for a logbook, whose seal promises what PROMISE says.
    """
    made = [f"{'ok    ' if level.holds else 'BROKEN'}  {level.name}" + (f": {level.detail}" if level.detail else "")
            for level in found.levels]
    if found.holds:
        made.insert(0, "The seal holds.")
    if found.first_broken:
        made.append(f"First broken: {found.first_broken}")
    if found.entries:
        made.append(f"{plural(found.entries, 'entry', 'entries')}; seal number "
                    f"{found.last_number}:{found.last_hash[:16]}")
    return [*made, *([f"not checked: {each}" for each in unchecked] or [PROMISE])]
