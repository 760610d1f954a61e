"""Fonts for letters that the bundled font has not, made ready for every renderer: plain TrueType files of those letters alone."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from trainapp.reports.drawing import glyphs

#: How far an outline of another kind may be from the one that is drawn, as a share of the em.
_CLOSE = 0.001


@dataclass(frozen=True, slots=True)
class Fallback:
    """A font of some letters.

    Attributes:
        name: that no other font has. path: its file. letters: code points.
    """

    name: str
    path: Path
    letters: frozenset[int]


def fallbacks(texts: Iterable[str]) -> tuple[Fallback, ...]:
    """What some texts need beside the bundled font, mostly nothing. Letters that no font has are noted, to be told."""
    wanted = glyphs.lacking(texts)
    by_font: dict[Path, list[str]] = {}
    unshown = []
    for character in wanted:
        path = glyphs.covering(character)
        if path is None:
            unshown.append(character)
        else:
            by_font.setdefault(path, []).append(character)
    made = []
    for path, characters in by_font.items():
        found = _made(path, "".join(characters))
        if found is None:
            unshown += characters
        else:
            made.append(found)
    glyphs.note_unshown(unshown)
    return tuple(made)


def letters(fonts: Sequence[Fallback]) -> list[frozenset[int]]:
    """Letters of each, as :func:`trainapp.reports.drawing.glyphs.runs` asks for them."""
    return [font.letters for font in fonts]


@cache
def _folder() -> TemporaryDirectory[str]:
    """Where the files stand for as long as the program runs."""
    return TemporaryDirectory(prefix="trainapp-fonts-")


@cache
def _made(path: Path, characters: str) -> Fallback | None:
    """A TrueType file of some letters of a font, whatever kind of outline that has; None where it cannot be made."""
    from fontTools.ttLib import TTLibError

    name = "Fallback" + hashlib.sha256(f"{path.name} {characters}".encode()).hexdigest()[:12]
    target = Path(_folder().name) / f"{name}.ttf"
    try:
        _write(path, characters, name, target)
    except (TTLibError, OSError, KeyError, ValueError, AttributeError, RuntimeError):
        return None
    return Fallback(name, target, frozenset(map(ord, characters)))


def _write(path: Path, characters: str, name: str, target: Path) -> None:
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    # of a collection the first face, which is the one whose letters were asked for
    font: Any = TTFont(path, fontNumber=0, recalcTimestamp=False)
    options = Options(
        layout_features=[], name_IDs=[], hinting=False, notdef_outline=True, drop_tables=["BASE", "GSUB", "GPOS", "GDEF", "vhea", "vmtx"]
    )
    subset = Subsetter(options)
    subset.populate(unicodes=[ord(character) for character in characters])
    subset.subset(font)
    if "glyf" not in font:
        font = _with_quadratic_outlines(font)
    for number, text in ((1, name), (2, "Regular"), (4, name), (6, name)):
        font["name"].setName(text, number, 3, 1, 0x409)
        font["name"].setName(text, number, 1, 0, 0)
    font.save(target)


def _with_quadratic_outlines(font: Any) -> Any:
    """The same letters with outlines that every kind of file can hold."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.cu2quPen import Cu2QuPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    em, order, shapes = font["head"].unitsPerEm, font.getGlyphOrder(), font.getGlyphSet()
    drawn = {}
    for glyph in order:
        pen = TTGlyphPen(None)
        shapes[glyph].draw(Cu2QuPen(pen, em * _CLOSE, reverse_direction=True))
        drawn[glyph] = pen.glyph()
    built = FontBuilder(em, isTTF=True)
    built.setupGlyphOrder(order)
    built.setupCharacterMap(font.getBestCmap())
    built.setupGlyf(drawn)
    sides = {glyph: drawn[glyph].xMin if drawn[glyph].numberOfContours else 0 for glyph in order}
    built.setupHorizontalMetrics({glyph: (font["hmtx"][glyph][0], sides[glyph]) for glyph in order})
    built.setupHorizontalHeader(ascent=font["hhea"].ascent, descent=font["hhea"].descent)
    built.setupNameTable({"familyName": "", "styleName": "Regular"})
    built.setupOS2()
    built.setupPost()
    return built.font


__all__ = ["Fallback", "fallbacks", "letters"]
