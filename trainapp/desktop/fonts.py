"""The font of the window: one family on every machine, so that what was laid out is what is painted."""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF
from PySide6.QtWidgets import QApplication

from trainapp.reports.drawing.tokens import BODY, FONT

_FILES = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf", "DejaVuSans-Oblique.ttf")


def install(application: QApplication) -> None:
    """Give the application its font.

    A bare machine has no fonts at all, and another family would be wider or narrower than what drawings are laid out with: the files
    come from matplotlib's data, which is not imported for them.
    """
    if FONT not in QFontDatabase.families():
        for path in _files():
            QFontDatabase.addApplicationFont(str(path))
    application.setFont(font(BODY))


def _files() -> list[Path]:
    found = find_spec("matplotlib")
    if found is None or not found.submodule_search_locations:
        return []
    folder = Path(found.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"
    return [folder / name for name in _FILES if (folder / name).is_file()]


@lru_cache(maxsize=64)
def font(px: float, bold: bool = False) -> QFont:
    """The drawing's font at a size in px."""
    made = QFont(FONT)
    made.setStyleHint(QFont.StyleHint.SansSerif)
    made.setPixelSize(max(round(px), 1))
    made.setBold(bold)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    made.setKerning(False)
    return made


@lru_cache(maxsize=64)
def _metrics(px: float, bold: bool) -> QFontMetricsF:
    return QFontMetricsF(font(px, bold))


@lru_cache(maxsize=16384)
def measure(text: str, px: float, bold: bool = False) -> float:
    """Width of a text in px as it will be painted."""
    return _metrics(px, bold).horizontalAdvance(text)
