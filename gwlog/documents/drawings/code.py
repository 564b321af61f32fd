"""A QR code as a drawing, for papers that are read by a camera."""

from __future__ import annotations

import io

import segno


def qr_code(line: str) -> str:
    """The code as SVG of its own size: dark squares on light, with the quiet margin that cameras need."""
    out = io.BytesIO()
    segno.make(line, error="m", micro=False).save(out, kind="svg", border=4, scale=4, xmldecl=False, light="#fff")
    return out.getvalue().decode()
