"""The charge-balance bar of a sample: cations above, anions below, drawn to one scale, and what it says in words."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.painter import paint
from trainapp.desktop.parts import MarkLabel, wrapped
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Line, Rect, Shape, Text
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.spelling import inside
from trainapp.water.analytes import BY_KEY
from trainapp.water.doubts import Balance, balance_lacks, balance_of
from trainapp.water.sample import Result

_SYMBOLS = {
    "calcium": "Ca", "magnesium": "Mg", "sodium": "Na", "potassium": "K", "ammonia": "NH₄", "iron_dissolved": "Fe",
    "manganese_dissolved": "Mn", "aluminium": "Al", "barium": "Ba", "alkalinity": "HCO₃", "chloride": "Cl", "sulfate": "SO₄",
    "nitrate": "NO₃", "nitrite": "NO₂", "fluoride": "F",
}  # fmt: skip
_HEAD, _BAR, _GAP = 54.0, 18.0, 4.0


def balance_shapes(balance: Balance, width: float) -> list[Shape]:
    """Both bars as wide as `width` px at most; a part of which less was found than could be told is drawn dashed."""
    sums = [sum(most for _, most in side.values()) for side in (balance.cations, balance.anions)]
    scale = (width - _HEAD - 40.0) / max(max(sums), 1e-9)
    shapes: list[Shape] = []
    for row, (name, side) in enumerate((("Cations", balance.cations), ("Anions", balance.anions))):
        top = row * (_BAR + _GAP)
        shapes.append(Text(0.0, top + 13.0, name, "ink2", CAPTION))
        shapes += _bar(side, top, scale)
        shapes.append(Text(_HEAD + sums[row] * scale + 6.0, top + 13.0, f"{sums[row]:.2f}", "ink2", CAPTION))
    x = _HEAD + min(sums) * scale
    shapes.append(Line(x, -1.0, x, 2 * _BAR + _GAP + 1.0, "ink", 1.5))
    return shapes


def _bar(side: Mapping[str, tuple[float, float]], top: float, scale: float) -> list[Shape]:
    shapes: list[Shape] = []
    x = _HEAD
    for name, (least, most) in side.items():
        wide = most * scale
        if wide < 0.5:
            continue
        shapes.append(Rect(x, top, wide, _BAR, "well" if least == most else "page", "edge", 1.0, 0.0, () if least == most else (3.0, 2.0)))
        symbol = _SYMBOLS[name]
        if measure(symbol, CAPTION) + 6.0 < wide:
            shapes.append(Text(x + wide / 2, top + 13.0, symbol, "ink", CAPTION, "middle"))
        x += wide
    return shapes


def balance_words(results: Mapping[str, Result]) -> tuple[Mark | None, str]:
    """What the bar says, and its mark."""
    balance = balance_of(results)
    if balance is None:
        missing = [inside(BY_KEY[name].label) for name in balance_lacks(results)]
        return "unknown", f"Charge balance cannot be told: {_listed(missing)} {'was' if len(missing) == 1 else 'were'} not measured."
    apart = f"Cations and anions are {abs(balance.error):.1f}\u202f% apart"
    if abs(balance.error) > balance.limit:
        return "caution", f"{apart}, more than {balance.limit:.1f}\u202f%: a result is wrong or an ion is missing."
    return None, f"{apart}, within {balance.limit:.1f}\u202f%."


def _listed(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


class _Bars(QWidget):
    """The bars alone."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.balance: Balance | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Charge balance")

    def sizeHint(self) -> QSize:
        return QSize(260, int(2 * _BAR + _GAP + 4))

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.balance is not None:
            painter = QPainter(self)
            painter.translate(0.0, 2.0)
            paint(painter, balance_shapes(self.balance, float(self.width())), look().colour)


class BalanceBar(QWidget):
    """The bar with its sentence."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bars = _Bars()
        self.mark = MarkLabel()
        self.words = wrapped("")
        said = QHBoxLayout()
        said.setSpacing(6)
        said.addWidget(self.mark)
        said.addWidget(self.words, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.bars)
        column.addLayout(said)

    def show_results(self, results: Mapping[str, Result]) -> None:
        """Show the balance of a sheet."""
        self.bars.balance = balance_of(results)
        self.bars.setVisible(self.bars.balance is not None)
        mark, words = balance_words(results)
        self.mark.show_mark(mark)
        self.words.setText(words)
        self.bars.setAccessibleDescription(words)
        self.bars.update()
