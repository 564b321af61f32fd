"""A product's label, line by line: “sodium carbonate 10-30 %”, “citric acid < 5 %”, “borax 15 g”, “perfume”.

Shares are of the dose's weight, grams are of one dose. A line without an amount may be as much as the others leave.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from gwlog.errors import BadInput
from gwlog.reference.ingredients import UNKNOWN, Content, Ingredient, find_ingredient
from gwlog.span import Span
from gwlog.values import NamedTuple

NUMBER = r"(\d+(?:[.,]\d+)?)"
_AMOUNT = re.compile(
    rf"(?P<bound><=?|≤|>=?|≥|under|less than|up to|over|more than|at least)?\s*{NUMBER}"
    rf"(?:\s*(?:-|–|to|\.\.)\s*{NUMBER})?\s*(?P<unit>%|percent|grams|gram|g)(?:\s+or\s+(?P<way>more|less))?",
    re.IGNORECASE,
)
_BUT_LESS = re.compile(rf"{NUMBER}\s*%\s+or more,?\s+but less than\s+{NUMBER}\s*%", re.IGNORECASE)
_UPWARD = (">", ">=", "≥", "over", "more than", "at least")
LONGEST_LINE = 80
MOST_LINES = 40
EXAMPLE = "“sodium carbonate 10-30 %”, “borax 15 g” or “perfume”"


class LabelLine(NamedTuple):
    """One line: the words on the label, what they mean (None: not known), and how much: [share] or [g per dose]."""

    words: str
    ingredient: Ingredient | None
    share: Span | None
    grams: Span | None


class Brought(NamedTuple):
    """What one dose brings [mmol, me, mg], and the lines of its label that are not known."""

    content: Content
    not_known: tuple[str, ...]


def read_line(text: str) -> LabelLine:
    """Read one line of a label. Raises BadInput for an amount that cannot be."""
    said = _BUT_LESS.sub(r"\1-\2 %", " ".join(text.split()))
    if not said or len(said) > LONGEST_LINE:
        raise BadInput(f"“{said[:40]}” is not a line of a label; use {EXAMPLE}.")
    found = list(_AMOUNT.finditer(said))
    if not found:
        if re.search(r"\d\s*$", said) or "%" in said:
            raise BadInput(f"“{said}” has an amount that cannot be read; use {EXAMPLE}.")
        return LabelLine(said, find_ingredient(said), None, None)
    match = found[-1]
    name = (said[:match.start()] + said[match.end():]).strip(" ,:;()")
    if not name or name.endswith("-"):
        raise BadInput(f"“{said}” does not say of what, or is negative; use {EXAMPLE}.")
    amount = _amount(match)
    if match["unit"].casefold() in ("%", "percent"):
        if amount.high > 100.0 or amount.low > amount.high:
            raise BadInput(f"“{said}”: a share lies between 0 and 100 %, the smaller number first.")
        return LabelLine(name, find_ingredient(name), amount.times(0.01), None)
    if amount.low > amount.high or amount.high > 5000.0:
        raise BadInput(f"“{said}”: the grams of a dose lie between 0 and 5000, the smaller number first.")
    return LabelLine(name, find_ingredient(name), None, amount)


def _amount(match: re.Match[str]) -> Span:
    first = float(match[2].replace(",", "."))
    second = float(match[3].replace(",", ".")) if match[3] else first
    bound, way = (match["bound"] or "").casefold(), (match["way"] or "").casefold()
    most = 100.0 if match["unit"].casefold() in ("%", "percent") else 2.0 * second
    if bound in _UPWARD or way == "more":
        return Span(first, most)
    return Span(0.0, second) if bound or way == "less" else Span(first, second)


def read_label(lines: Iterable[str]) -> tuple[LabelLine, ...]:
    """Read a whole label. Raises BadInput for a line that cannot be, or shares that pass 100 % together."""
    read = tuple(read_line(line) for line in lines)
    if len(read) > MOST_LINES:
        raise BadInput(f"A label of {len(read)} lines is too long; up to {MOST_LINES} are accepted.")
    least = sum(line.share.low for line in read if line.share is not None)
    if least > 1.005:
        raise BadInput(f"The shares add up to {100 * least:.0f} %; 100 % at most is accepted.")
    return read


def brought(label: Sequence[LabelLine], dose_g: Span) -> Brought:
    """Return what one dose of a labelled product brings, from the least to the most that the label allows."""
    left = max(0.0, 1.0 - sum(line.share.low for line in label if line.share is not None))
    content = Content()
    for line in label:
        grams = line.grams or dose_g.times(line.share if line.share is not None else Span(0.0, left))
        each = line.ingredient.content if line.ingredient is not None else UNKNOWN
        content = content.plus(each.times(grams))
    return Brought(content, tuple(line.words for line in label if line.ingredient is None))
