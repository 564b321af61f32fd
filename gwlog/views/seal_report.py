"""What verifying the seal found, in lines: each level and the head; and what no seal can show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.journal.seal import Verification

PROMISE = (
    "The seal shows edits, deletions in the middle and reordering after the fact. Entries cut off at the end, an older "
    "copy put back, or everything rewritten from some entry on, show only against a head that was noted earlier, at or "
    "after that place. A note that was taken out shows as withheld. It never proves that an entry is true or complete."
)


def lines(found: Verification) -> list[str]:
    """Every level with its answer, the first broken entry, and the head to note."""
    said = [f"{'holds ' if level.holds else 'BROKEN'}  {level.name}" + (f": {level.detail}" if level.detail else "")
            for level in found.levels]
    if found.first_broken:
        said.append(f"First broken: {found.first_broken}")
    if found.entries:
        said.append(f"{plural(found.entries, 'entry', 'entries')}; head {found.head_seq}:{found.head_hash[:16]}")
    return said
