"""What stands on a page of a PDF: each run of words with its size and place, as another program reads them."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any, NamedTuple

from pypdf import PageObject, PdfReader


class Run(NamedTuple):
    """Words in one type: their size [pt], how far above the page's lower edge [pt], and whether they are bold."""

    words: str
    size: float
    y: float
    bold: bool


def runs(page: PageObject) -> list[Run]:
    """The runs of a page in the order in which they are drawn."""
    found: list[Run] = []

    def seen(words: str, cm: Any, tm: Any, font: Any, size: float) -> None:
        if words.strip():
            scale = abs((cm[0] * cm[3] - cm[1] * cm[2]) * (tm[0] * tm[3] - tm[1] * tm[2])) ** 0.5
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            found.append(Run(words.strip(), size * scale, y, "Bold" in str((font or {}).get("/BaseFont", ""))))

    page.extract_text(visitor_text=seen)
    return found


def pages(content: bytes) -> Iterator[list[Run]]:
    """The runs of every page."""
    for page in PdfReader(io.BytesIO(content)).pages:
        yield runs(page)


def words_of(content: bytes) -> str:
    """All words of a PDF, with single spaces."""
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages)
