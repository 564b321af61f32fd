"""The valve in both positions, drawn once for paper and screen: the water's way is filled, the other one barred.

It shows the water and no handle: on some valves the handle points to the side that is open, on others to the one that
is shut.
"""

from __future__ import annotations

from typing import Literal

WORDS = {
    "garden": "The valve on GARDEN: the water from the machine goes straight on; the way down is barred.",
    "sewer": "The valve on SEWER: the water from the machine goes down; the way straight on is barred.",
}
_PIPE = ('<path d="M2 20H160M2 50H160M65 50V118M95 50V118" fill="none" stroke="#000" stroke-width="2"/>'
         '<circle cx="80" cy="35" r="31" fill="#fff" stroke="#000" stroke-width="4"/>')
_BAR_DOWN = '<path d="M62 78H98M68 90L92 108M92 90L68 108" stroke="#000" stroke-width="5"/>'
_BAR_ON = '<path d="M122 17V53M132 26L152 44M152 26L132 44" stroke="#000" stroke-width="5"/>'
_ON = '<path d="M2 35H130" stroke="#000" stroke-width="16" fill="none"/><path d="M124 14L160 35L124 56Z" fill="#000"/>'
_DOWN = ('<path d="M2 35H80V90" stroke="#000" stroke-width="16" fill="none"/>'
         '<path d="M59 84L80 120L101 84Z" fill="#000"/>')


def drawn(position: Literal["garden", "sewer"]) -> str:
    """The drawing as SVG, 160 wide and 122 high."""
    way, bar = (_ON, _BAR_DOWN) if position == "garden" else (_DOWN, _BAR_ON)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 160 122">{_PIPE}{way}{bar}</svg>'
