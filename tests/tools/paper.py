"""The first page of a PDF that gwlog wrote as a picture in SVG: its words, lines and filled areas where they stand."""

from __future__ import annotations

from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape

from pypdf import PdfReader


def first_page(pdf: bytes, title: str) -> str:
    """The page as SVG text, black on white, in points; `title` for who cannot see it."""
    page = PdfReader(BytesIO(pdf)).pages[0]
    wide, high = float(page.mediabox.width), float(page.mediabox.height)
    drawn: list[str] = []
    fill, path, pen, ink = ["#000000"], list[str](), ["#000000"], ["#000000"]
    thick = [0.5]

    def place(x: float, y: float, cm: Any) -> tuple[float, float]:
        return cm[0] * x + cm[2] * y + cm[4], high - (cm[1] * x + cm[3] * y + cm[5])

    def operate(operator: bytes, operands: Any, cm: Any, _tm: Any) -> None:
        numbers = [float(one) for one in operands if isinstance(one, (int, float)) or hasattr(one, "as_numeric")]
        if operator in (b"g", b"rg", b"G", b"RG", b"sc", b"scn", b"SC", b"SCN"):
            tones = numbers * 3 if len(numbers) == 1 else numbers
            (fill if operator.islower() else pen)[0] = "#" + "".join(f"{round(255 * tone):02x}" for tone in tones)
        elif operator == b"w":
            thick[0] = max(0.3, numbers[0] * abs(cm[0]))
        elif operator in (b"Tj", b"TJ"):
            ink[0] = fill[0]     # the words are told later than they are drawn
        elif operator in (b"m", b"l"):
            path.append(("M" if operator == b"m" else "L") + "{:.1f} {:.1f}".format(*place(*numbers[:2], cm)))
        elif operator == b"c":
            path.append("C" + " ".join("{:.1f} {:.1f}".format(*place(*numbers[at: at + 2], cm)) for at in (0, 2, 4)))
        elif operator == b"re":
            (x, y), (right, low) = place(*numbers[:2], cm), place(numbers[0] + numbers[2], numbers[1] + numbers[3], cm)
            path.append(f"M{x:.1f} {y:.1f}H{right:.1f}V{low:.1f}H{x:.1f}Z")
        elif operator in (b"f", b"f*", b"B", b"S", b"s", b"n"):
            if path and operator != b"n":
                inner = fill[0] if operator in (b"f", b"f*", b"B") else "none"
                edge = f' stroke="{pen[0]}" stroke-width="{thick[0]:.2g}"' if operator in (b"S", b"s", b"B") else ""
                drawn.append(f'<path d="{"".join(path)}" fill="{inner}"{edge}/>')
            path.clear()

    def write(words: str, cm: Any, tm: Any, font: Any, size: float) -> None:
        if not words.strip():
            return
        x, y = place(tm[4], tm[5], cm)
        size *= abs((cm[0] * cm[3] - cm[1] * cm[2]) * (tm[0] * tm[3] - tm[1] * tm[2])) ** 0.5
        bold = ' font-weight="bold"' if font and "bold" in str(font.get("/BaseFont", "")).casefold() else ""
        drawn.append(f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:.4g}" fill="{ink[0]}"{bold}>'
                     f"{escape(words.strip())}</text>")

    page.extract_text(visitor_operand_before=operate, visitor_text=write)
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:g} {high:g}" font-family="Helvetica, Arial, '
            f'sans-serif"><title>{escape(title)}</title><path d="M0 0H{wide:g}V{high:g}H0Z" fill="#ffffff"/>'
            + "\n".join(drawn) + "</svg>\n")
