"""Typesetting: a template and its data become the pages of a PDF, tagged and byte for byte the same each time.

People's words go in as data, never as markup.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

import typst

from gwlog.documents.render.faces import opened
from gwlog.errors import BadInput
from gwlog.units import System

PAPERS = {"letter": "us-letter", "a4": "a4"}
_ACCESSIBLE: Literal["ua-1"] = "ua-1"
"""PDF/UA-1 (ISO 14289-1): every heading, table and picture is tagged, pictures have words."""


def paper_for(system: System, wanted: str | None = None) -> str:
    """The paper's format, “letter” or “a4”: the one wanted, else what the household's country uses. Raises BadInput."""
    if wanted is None:
        return "letter" if system == "us" else "a4"
    if wanted.casefold() not in PAPERS:
        raise BadInput(f"“{wanted[:20]}” is not a paper; letter or A4 is accepted.")
    return wanted.casefold()


def typeset(template: Path, data: Mapping[str, Any], *, fonts: Sequence[Path] = (),
            form: Literal["pdf", "png"] = "pdf") -> bytes:
    """The bytes of a template set with its data, which it reads by `json(bytes(sys.inputs.data))`.

    `fonts`: files of more fonts, as faces.chosen() finds them; `form`: “pdf”, or “png” for the picture of one page.
    """
    inputs = {"data": json.dumps(data, ensure_ascii=False)}
    with opened(fonts) as known:
        if form == "png":
            return bytes(typst.compile(template, font_paths=known, sys_inputs=inputs, format="png"))
        try:
            return bytes(typst.compile(template, font_paths=known, sys_inputs=inputs, format="pdf",
                                       pdf_standards=_ACCESSIBLE))
        except typst.TypstError:
            # A font that has a sign and cannot draw it where it stands is no reason to print nothing.
            return bytes(typst.compile(template, font_paths=known, sys_inputs=inputs, format="pdf"))
