"""Typefaces: which signs each one has and how wide they are; which fonts serve a document.

The shipped face sets almost everything. A sign that it lacks is looked for in the reader's own font, then in those of
this machine, so that bytes are the same everywhere as long as the shipped face is enough.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from gwlog import drafts, files
from gwlog.errors import BadInput

FONTS = Path(__file__).with_name("fonts")
REGULAR, BOLD = FONTS / "DejaVuSansCondensed.ttf", FONTS / "DejaVuSansCondensed-Bold.ttf"
FAMILY = "DejaVu Sans"
LARGEST_FONT = 60_000_000
UNKNOWN_SIGN = "\N{REPLACEMENT CHARACTER}"
_NEVER_DRAWN = (0x20, 0xA0, 0xAD, 0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF, *range(0xFE00, 0xFE10))
"""Spaces, joiners and variation selectors, which need no glyph (Unicode 15, default ignorable code points)."""

_WIDE = 1.0
"""The width that is reckoned for a sign of another font [em]; few are wider."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """The fonts of a document: files, their families in the order of asking, and the signs that none of them has."""

    files: tuple[Path, ...]
    families: tuple[str, ...]
    missing: str

    def shown(self, words: str) -> str:
        """Words with every sign that no font has shown as �, so that nothing vanishes unseen."""
        if not self.missing or words.isascii():
            return words
        return "".join(UNKNOWN_SIGN if sign in self.missing else sign for sign in words)


def chosen(words: Iterable[str], own: Path | None = None) -> Chosen:
    """The fonts that serve these words; `own`: a font file of the reader's. Raises BadInput where that is none."""
    signs = frozenset(sign for one in words if not one.isascii() for sign in one)
    return _chosen(frozenset(sign for sign in signs if ord(sign) not in _signs(REGULAR)), own)


@lru_cache(maxsize=16)
def _chosen(lacking: frozenset[str], own: Path | None) -> Chosen:
    found: list[tuple[Path, str]] = []
    if own is not None:
        refuse_no_font(own)
        here = frozenset(sign for sign in lacking if ord(sign) in _signs(own))
        if here:
            lacking -= here
            found += [(own, family) for family in _families(own)[:1]]
    if lacking:
        for path, number, family in _of_this_machine():
            here = frozenset(sign for sign in lacking if ord(sign) in _signs(path, number))
            if here:
                lacking -= here
                found.append((path, family))
            if not lacking:
                break
    return Chosen(tuple(dict.fromkeys(path for path, _ in found)),
                  (FAMILY, *dict.fromkeys(family for _, family in found)), "".join(sorted(lacking)))


def refuse_no_font(path: Path) -> None:
    """Raise BadInput for a file that is no font whose signs can be read."""
    from fontTools.ttLib import TTLibError

    if files.beginning(path, 4) not in (b"\0\1\0\0", b"OTTO", b"ttcf", b"true"):
        files.refuse_odd(path)
        raise BadInput(f"{path} is not a font; TrueType and OpenType files (.ttf, .otf, .ttc) are accepted.")
    if path.stat().st_size > LARGEST_FONT:
        raise BadInput(f"{path} is larger than {LARGEST_FONT // 1_000_000} MB; a font is not.")
    try:
        known = _signs(path)
    except (TTLibError, OSError, ValueError, KeyError, IndexError, AssertionError, EOFError):
        known = frozenset()
    if not known or not _families(path):
        raise BadInput(f"{path} is a font that cannot be read; try another file.")


@contextmanager
def _font(path: Path, number: int) -> Iterator[Any]:
    from fontTools.ttLib import TTFont

    with path.open("rb") as file:
        yield TTFont(file, lazy=True, fontNumber=number)


@lru_cache(maxsize=256)
def _signs(path: Path, number: int = 0) -> frozenset[int]:
    """The signs that a font has, as code points; also those that are never drawn."""
    with _font(path, number) as font:
        table: dict[int, str] = font["cmap"].getBestCmap() or {}
        return frozenset((*table, *_NEVER_DRAWN))


@contextmanager
def opened(more: Sequence[Path]) -> Iterator[Any]:
    """The shipped fonts and those of `more` files, as the typesetter takes them: folders, in which it looks itself."""
    import typst

    def known(*folders: Path) -> Any:
        return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[*map(str, folders)])

    if not more:
        yield known(FONTS)
        return
    with drafts.folder() as folder:
        for number, path in enumerate(more):
            there = folder / f"{number}{path.suffix}"
            try:
                there.symlink_to(path.absolute())
            except OSError:   # a system without links
                there.write_bytes(files.read_whole(path, LARGEST_FONT, "a font is not"))
        yield known(FONTS, folder)


def _families(path: Path) -> list[str]:
    with opened((path,)) as known:
        return [one.family for one in known.fonts() if one.path and Path(one.path).parent != FONTS]


@lru_cache(maxsize=1)
def _of_this_machine() -> tuple[tuple[Path, int, str], ...]:
    """The machine's upright fonts as (file, number in it, family): plain weights and shapes first."""
    import typst

    known = typst.Fonts(include_system_fonts=True, include_embedded_fonts=False).fonts()
    ranked = sorted((one.style != "normal", abs(one.weight - 400), "mono" in one.family.casefold(),
                     "serif" in one.family.casefold(), one.family, one.path or "", one.index) for one in known)
    seen: dict[str, tuple[Path, int, str]] = {}
    for *_, family, path, number in ranked:
        # The fonts of one collection have nearly the same signs.
        if path and path not in seen:
            seen[path] = (Path(path), number, family)
    return tuple(seen.values())


class Widths:
    """How wide words are in the shipped face [em]."""

    def __init__(self, path: Path) -> None:
        with _font(path, 0) as font:
            metrics, per_em, signs = font["hmtx"].metrics, font["head"].unitsPerEm, font["cmap"].getBestCmap()
            self._of: dict[str, float] = {chr(code): metrics[name][0] / per_em for code, name in signs.items()}
        self.of = lru_cache(maxsize=20_000)(self._sum)

    def _sum(self, words: str) -> float:
        known = self._of
        return sum((known.get(sign, _WIDE) for sign in words), 0.0)


def widths(*, bold: bool = False) -> Widths:
    """The widths of the shipped face."""
    return _widths(BOLD if bold else REGULAR)


@lru_cache(maxsize=2)
def _widths(path: Path) -> Widths:
    return Widths(path)
