"""What was written to a file, in lines that commands and screens share."""

from __future__ import annotations

from collections.abc import Sequence

from gwlog.actions import Argument, Hint, Words
from gwlog.text import listed, plural

MOST_SIGNS = 8


def short_number(seal_number: str) -> str:
    """A seal number “412:9f3a…” (the entry's number, 64 hexadecimal digits) as people note it: 16 digits of it."""
    number, _, digits = seal_number.partition(":")
    return f"{number}:{digits[:16]}"


def unprintable(signs: str) -> list[Words]:
    """What to do about signs that no font could print; nothing where there are none."""
    if not signs:
        return []
    shown = listed([f"“{sign}”" for sign in signs[:MOST_SIGNS]] + ["others"] * (len(signs) > MOST_SIGNS))
    return [Hint(f"No font on this machine has {shown}; � stands for {'it' if len(signs) == 1 else 'them'}. Name a "
                 "font file that does: ", Argument("font"), ". HTML shows every sign: choose a name that ends in .html."
                 )]


def entries(count: int) -> str:
    """How many entries were written."""
    return f"{plural(count, 'entry', 'entries')}."


def tables(count: int) -> str:
    """How many spreadsheets were written."""
    return f"{plural(count, 'file')}, one per kind of entry."


def packed(count: int, withheld: int, seal_number: str) -> list[str]:
    """What a record pack holds, and what to do with its seal number."""
    left_out = f", {plural(withheld, 'note')} left out" if withheld else ""
    return [f"{plural(count, 'entry', 'entries')}{left_out}.",
            f"Seal number {short_number(seal_number)}: note it somewhere else; with it everybody can see later that "
            "nothing before it was rewritten."]


def handed_on(count: int, withheld: int, retired: int) -> str:
    """What a handover holds, and that the own logbook is as before."""
    return (f"{plural(count, 'entry', 'entries')}, {plural(withheld, 'note')} left out, "
            f"{plural(retired, 'person', 'people')} marked as moved out. Your own logbook is unchanged.")


def calendar(standing: int, new: int, changed: int, cancelled: int) -> str:
    """What a calendar holds and how it differs from the last one."""
    return f"{plural(standing, 'event')}; {new} new, {changed} changed, {cancelled} cancelled."


def backed_up(count: int, seal_number: str) -> str:
    """What a backup holds."""
    return f"{plural(count, 'entry', 'entries')}, seal number {short_number(seal_number)}."


NOTE_STAYS = ("The entry itself stays, and the seal still holds: it keeps only a fingerprint of the words. Backups, "
              "packs, exports and papers made before still hold them, until you delete those files.")


def note_erased(wordings: Sequence[int]) -> list[str]:
    """Which entries' notes were erased, and where the words may still stand."""
    named = f"The note of entry {wordings[0]} is" if len(wordings) == 1 else \
        (f"The notes of entries {listed([str(one) for one in wordings])}, versions of one entry or logged together "
         "with it, are")
    return [f"{named} erased for good.", NOTE_STAYS]


def came_in(count: int, *, dry: bool) -> str:
    """How many entries came in from an export, a pack or a handover."""
    return f"{plural(count, 'entry', 'entries')} {'would come' if dry else 'came'} in, each entry verified."
