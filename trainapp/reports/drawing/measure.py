"""How wide a text is, in the font that drawings and print use."""

from __future__ import annotations

from functools import cache, lru_cache

from trainapp.reports.drawing.display import Measure
from trainapp.reports.drawing.glyphs import bundled, covering, is_lacking, opened

ELLIPSIS = "…"
_EM = 1000


@cache
def _advance(character: str, bold: bool) -> float:
    """Advance of one character in em."""
    from matplotlib.ft2font import LoadFlags

    # A letter that no font has is drawn as a box, glyph 0; load_char would warn of it.
    path = (covering(character) if is_lacking(character) else None) or bundled(bold)
    font = opened(path)
    glyph = font.load_glyph(font.get_char_index(ord(character)), flags=LoadFlags.NO_HINTING)
    return float(glyph.linearHoriAdvance) / 65536.0 / _EM


@lru_cache(maxsize=8192)
def measure_dejavu(text: str, px: float, bold: bool = False) -> float:
    """Width of `text` in px, set in DejaVu Sans at `px`, without kerning."""
    return px * sum(_advance(character, bold) for character in text)


def shorten(text: str, width: float, size: float, bold: bool, measure: Measure) -> str:
    """The text, or as much of its start as fits in `width` with an ellipsis; empty where not even one letter fits."""
    if measure(text, size, bold) <= width:
        return text
    for end in range(len(text) - 1, 0, -1):
        candidate = text[:end].rstrip(" ,;") + ELLIPSIS
        if measure(candidate, size, bold) <= width:
            return candidate
    return ""


def clip_letters(text: str, most: int) -> str:
    """At most `most` letters, the last an ellipsis where letters were dropped."""
    return text if len(text) <= most else text[: most - 1].rstrip() + ELLIPSIS


def wrap(text: str, width: float, size: float, bold: bool, measure: Measure) -> list[str]:
    """Lines of whole words no wider than `width`; a single word that is too wide is shortened."""
    lines: list[str] = []
    for word in text.split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and measure(joined, size, bold) <= width:
            lines[-1] = joined
        else:
            lines.append(shorten(word, width, size, bold, measure))
    return lines
