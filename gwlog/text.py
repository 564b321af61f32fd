"""Words from people: cleaned before they are stored, printed or drawn; and small helpers for sentences."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

from gwlog.errors import BadInput, UnknownName

NOTE_LIMIT = 4_000
NAME_LIMIT = 60

TOGETHER = re.compile(r"(?<=\d) (?=(?:am|pm|gal|in|ft²|L|mm|m²|°F|°C|min|lb|kg|g)\b)"
                      r"|(?<=\b[A-Z][a-z]{2}) (?=\d{1,2}\b)")
"""A space at which no line is parted: between a figure and its unit, a month and its day."""

# Bidirectional controls reorder what a reader sees (Unicode TR9); none is needed in a log entry.
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean(words: str) -> str:
    """Return `words` without control characters (but newline and tab), bidi controls and lone surrogates."""
    if words.isascii() and words.isprintable():   # as most words are
        return words
    kept = []
    for sign in words.replace("\r\n", "\n").replace("\r", "\n"):
        if sign in "\n\t":
            kept.append(sign)
        elif sign in _BIDI or unicodedata.category(sign) in ("Cc", "Cs"):
            continue
        else:
            kept.append(sign)
    return unicodedata.normalize("NFC", "".join(kept))


def one_line(words: str) -> str:
    """Return `words` cleaned and folded to a single line, for tables and titles."""
    return " ".join(clean(words).split())


def clean_note(words: str | None) -> str | None:
    """Return a note ready to store, or None when nothing is left of it.

    Raises BadInput when it is longer than NOTE_LIMIT characters.
    """
    if words is None:
        return None
    kept = clean(words).strip()
    if len(kept) > NOTE_LIMIT:
        raise BadInput(
            f"The note has {len(kept):,} characters; up to {NOTE_LIMIT:,} are accepted.",
            hint="Nothing was logged. Shorten the note and try again.",
        )
    return kept or None


def clean_name(words: str, what: str = "name") -> str:
    """Return a name ready to store. Raises BadInput when none of it can be seen or it is too long."""
    kept = one_line(words)
    if not any(unicodedata.category(sign)[0] in "LNPS" for sign in kept):
        raise BadInput(f"The {what} is empty; give it at least one letter.")
    if len(kept) > NAME_LIMIT:
        raise BadInput(f"The {what} “{kept[:20]}…” has {len(kept)} characters; "
                       f"up to {NAME_LIMIT} are accepted.")
    return kept


def pick(what: str, name: str, known: Iterable[str]) -> str:
    """Return the member of `known` that `name` means: exact, case-blind, or a unique beginning.

    Raises UnknownName with the nearest name, or BadInput when the beginning fits several.
    """
    names = list(known)
    wanted = one_line(name)
    if wanted in names:
        return wanted
    folded = wanted.casefold()
    same = [k for k in names if k.casefold() == folded]
    if len(same) == 1:
        return same[0]
    begins = [k for k in names if folded and k.casefold().startswith(folded)]
    if len(begins) == 1:
        return begins[0]
    if len(begins) > 1:
        raise BadInput(f"“{wanted[:NAME_LIMIT]}” could be {listed(begins, 'or')}.",
                       hint=f"Type more of the {what}'s name.")
    raise UnknownName(what, wanted[:NAME_LIMIT], names)


def listed(words: Sequence[str], last: str = "and") -> str:
    """Join words as a sentence does: “a, b and c”."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def capital(words: str) -> str:
    """The words with a capital at the beginning; the rest as it is."""
    return f"{words[:1].upper()}{words[1:]}"


def seen_word(observed: str) -> str:
    """What was seen as texts say it; the stored word is another one where older logbooks have it."""
    return "odor" if observed == "odour" else observed


def plural(count: int, one: str, many: str | None = None) -> str:
    """Return “1 load”, “2 loads”."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def wrap(words: str, width: int, *, indent: str = "", hang: str = "") -> list[str]:
    """Fold a sentence to `width` columns: the first line behind `indent`, the others behind `hang`."""
    import textwrap

    made = textwrap.wrap(TOGETHER.sub("\N{NO-BREAK SPACE}", words), max(30, width), initial_indent=indent,
                         subsequent_indent=hang)
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in made] or [indent]
