"""Typesetting: a template and its data become the pages of a PDF, tagged and byte for byte the same each time.

People's words go in as data, never as markup.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

import typst

FONTS = Path(__file__).with_name("fonts")


def typeset(template: Path, data: Mapping[str, Any], *, fonts: Sequence[Path] = (), system_fonts: bool = False,
            form: Literal["pdf", "png"] = "pdf") -> bytes:
    """The bytes of a template set with its data, which it reads by `json(bytes(sys.inputs.data))`.

    `fonts`: folders of more fonts; `system_fonts`: whether those of this machine serve for signs that no other has;
    `form`: “pdf”, or “png” for the picture of a single page.
    """
    return typst.compile(
        template, font_paths=[FONTS, *fonts],
        ignore_system_fonts=not system_fonts, sys_inputs={"data": json.dumps(data, ensure_ascii=False)}, format=form)
