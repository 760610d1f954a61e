"""Letters that the bundled font has not: which they are, which installed font has them, and what is said of those that none has.

Nothing is loaded, and no font of the system is looked at, until a text holds such a letter.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from trainapp.reports.drawing.display import Display, texts

if TYPE_CHECKING:
    from matplotlib.ft2font import FT2Font

#: Letters of plain files are looked for first in fonts whose names say that they are made for reading, and for many scripts.
_PREFERRED = ("notosans", "sourcehan", "droidsansfallback", "wqy", "sans")
#: What is drawn as nothing wherever it stands: marks that join and order letters, and spaces.
_SILENT = ("Cc", "Cf", "Zs", "Zl", "Zp", "Mn")

#: How many letters are named in one sentence.
_NAMED = 12
#: What OS/2 fsType says: no embedding, whole fonts alone, pictures of dots alone.
_RESTRICTED, _WHOLE, _DOTS = 0x0002, 0x0100, 0x0200

_unshown: set[str] = set()
_lock = Lock()


# The bundled font -----------------------------------------------------------------------------------------------------------------


@cache
def bundled(bold: bool) -> Path:
    """The file of the font that everything is set in; it comes with matplotlib."""
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")


@cache
def letters_of(path: Path) -> frozenset[int]:
    """Code points that a font has; of a file that holds no font that can be read, none."""
    from matplotlib.ft2font import FT2Font

    try:
        return frozenset(FT2Font(str(path)).get_charmap())
    except (OSError, RuntimeError, ValueError):
        return frozenset()


@cache
def is_lacking(character: str) -> bool:
    """Whether the bundled font has no picture of a letter that needs one."""
    return ord(character) not in letters_of(bundled(False)) and unicodedata.category(character) not in _SILENT


def lacking(found: Iterable[str]) -> list[str]:
    """Letters of some texts that the bundled font has not, each once, in the order of their code points."""
    return sorted({character for text in found if not text.isascii() for character in text if is_lacking(character)})


def words(displays: Iterable[Display]) -> Iterator[str]:
    """Every text of some drawings."""
    return (text.text for display in displays for text, _ in texts(display.items))


# Fonts of the system --------------------------------------------------------------------------------------------------------------


@cache
def installed() -> tuple[Path, ...]:
    """Files of the fonts that this machine has, those for reading first; the same on every run."""
    from matplotlib.font_manager import findSystemFonts

    def rank(path: Path) -> tuple[int, bool, str]:
        name = path.name.lower().replace("-", "").replace("_", "")
        place = next((i for i, word in enumerate(_PREFERRED) if word in name), len(_PREFERRED))
        return place, "regular" not in name, str(path)

    return tuple(sorted((Path(found) for found in findSystemFonts()), key=rank))


@cache
def covering(character: str) -> Path | None:
    """The first font of the system that has a letter, None where none has."""
    return next((path for path in installed() if ord(character) in letters_of(path) and may_embed(path)), None)


@cache
def may_embed(path: Path) -> bool:
    """Whether the makers of a font let parts of it stand in a document (OpenType specification, OS/2 fsType)."""
    from matplotlib.ft2font import FT2Font

    table = FT2Font(str(path)).get_sfnt_table("OS/2")
    kind = int(table["fsType"]) if table is not None else 0
    return kind & 0x000F != _RESTRICTED and not kind & (_WHOLE | _DOTS)


@cache
def opened(path: Path) -> FT2Font:
    """A font, to be measured at 1000 px."""
    from matplotlib.ft2font import FT2Font

    font = FT2Font(str(path))
    font.set_size(1000, 72)
    return font


def runs(text: str, fonts: Sequence[frozenset[int]]) -> Iterator[tuple[str, int]]:
    """Parts of a text that are set in one font: 0 is the bundled one, then those given by the letters they have."""
    if text.isascii() or not fonts:
        yield text, 0
        return
    begun, at = 0, 0
    for place, character in enumerate(text):
        # spaces, too, stand in the bundled font: those made here hold letters alone
        new = next((i for i, letters in enumerate(fonts, 1) if ord(character) in letters), 0) if is_lacking(character) else 0
        if new != at:
            if place > begun:
                yield text[begun:place], at
            begun, at = place, new
    yield text[begun:], at


# What no font has -----------------------------------------------------------------------------------------------------------------


def note_unshown(characters: Iterable[str]) -> None:
    """Remember letters that were drawn as boxes."""
    with _lock:
        _unshown.update(characters)


def take_unshown() -> str:
    """One sentence on the letters that were drawn as boxes since it was last asked for, "" where there were none."""
    with _lock:
        found = sorted(_unshown)
        _unshown.clear()
    if not found:
        return ""
    shown = " ".join(found[:_NAMED]) + (f" and {len(found) - _NAMED} more" if len(found) > _NAMED else "")
    many = "these letters" if len(found) > 1 else "this letter"
    return f"No font of this machine has {many}, so that a box stands for each: {shown}; install a font that has them."


def with_unshown(said: str) -> str:
    """What is said of something that was written, and beside it which of its letters no font has."""
    return " ".join(filter(None, (said, take_unshown())))


__all__ = [
    "bundled", "covering", "installed", "is_lacking", "lacking", "letters_of", "may_embed", "note_unshown", "opened", "runs",
    "take_unshown", "with_unshown", "words",
]  # fmt: skip
