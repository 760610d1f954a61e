"""What stands under every board: what was looked at and left out, Safety, what was not judged, where prices are from."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.fonts import font
from trainapp.desktop.options.rows import Style
from trainapp.desktop.parts import ElidedLabel, FlatButton, Rule, TokenLabel, wrapped
from trainapp.desktop.safety import HazardSign
from trainapp.reports.drawing.tokens import BODY
from trainapp.reports.options_cells import Board

#: Reasons that are told in the line itself.
_TOLD = 3

_ALL = {
    "left out": "All that is left out", "safety": "All of Safety", "not judged": "All that is not judged",
    "prices": "All that is said of prices and bands",
}  # fmt: skip


def prices_told(board: Board) -> str:
    """What is invented of it; prices first, since they are so in every row."""
    return " ".join(filter(None, (board.prices, board.illustrative)))


class Foot(QWidget):
    """The block. Nothing in it that warns ever leaves; what does not fit in a line is a press away."""

    #: Signal emitted with what is to be read whole: "left out", "safety", "not judged".
    wanted = Signal(str)
    #: Signal emitted when what was removed is to be taken back.
    back_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.looked = TokenLabel("", "ink", BODY, bold=True)
        self.looked.setWordWrap(True)
        self.back = FlatButton("Take back")
        self.back.clicked.connect(self.back_wanted)
        self.left, self.safety, self.not_judged = ElidedLabel("ink2"), ElidedLabel("ink"), ElidedLabel("ink2")
        self.bands, self.bands_line = wrapped("", "ink2", BODY), ElidedLabel("ink2")
        self.lines: dict[str, QWidget] = {}
        self.more: dict[str, FlatButton] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(0)
        column.addWidget(Rule())
        inner = QVBoxLayout()
        inner.setContentsMargins(12, 4, 12, 0)
        inner.setSpacing(0)
        column.addLayout(inner)
        first = QHBoxLayout()
        first.addWidget(self.looked, 1)
        first.addWidget(self.back)
        inner.addLayout(first)
        labels = {"left out": self.left, "safety": self.safety, "not judged": self.not_judged, "prices": self.bands_line}
        for key, label in labels.items():
            inner.addWidget(self._line(key, label, key == "safety"))
        inner.addWidget(self.bands)

    def _line(self, key: str, label: ElidedLabel, sign: bool) -> QWidget:
        line = self.lines[key] = QWidget()
        row = QHBoxLayout(line)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        if sign:
            row.addWidget(HazardSign())
        row.addWidget(label, 1)
        more = self.more[key] = FlatButton("All", _ALL[key])
        more.setObjectName(key)
        more.clicked.connect(self._pressed)
        row.addWidget(more)
        return line

    def show_board(self, board: Board, removed: str, style: Style, keys: str = "") -> None:
        """Show what belongs to a board.

        Args:
            removed: name of what was removed last, "" for nothing. keys: that take it back, in brackets.
        """
        # a low window keeps its height for the board: one line for each thing
        low = style.low and not style.customer
        for label in (self.looked, self.left, self.safety, self.not_judged, self.bands, self.bands_line):
            label.setFont(font(style.px, label is self.looked))
        self.looked.setText(board.looked)
        left_out = f"Left out: {'; '.join(board.left_out[:_TOLD])}." if board.left_out else ""
        # beside what can be taken back there is a line for it anyway
        joined = low and bool(left_out) and not removed
        self.looked.setVisible(bool(board.looked) and not style.customer and not joined)
        self.left.show_text(" ".join(filter(None, (board.looked, left_out))) if joined else left_out)
        self.lines["left out"].setVisible(bool(board.left_out) and not style.customer)
        self.safety.show_text(f"Safety: {board.safety[0]}" if board.safety else "")
        self.not_judged.show_text(f"Not judged: {'; '.join(board.not_judged)}.")
        self.bands.setText(prices_told(board))
        self.bands_line.show_text(prices_told(board))
        self.bands.setVisible(not low)
        self.lines["prices"].setVisible(low)
        self.back.setText(f"Take back {removed}{keys}" if removed else "Take back")
        self.back.setAccessibleName(f"Take back {removed}, which was removed")
        self.back.updateGeometry()
        self.back.setVisible(bool(removed) and not style.customer)
        rest = {"safety": len(board.safety) - 1, "left out": len(board.left_out) - _TOLD, "not judged": len(board.not_judged), "prices": 1}
        for key, button in self.more.items():
            button.setText(f"{rest[key]} more" if key in ("safety", "left out") else "All")
            button.updateGeometry()
            button.setVisible(rest[key] > 0)

    def _pressed(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.wanted.emit(sender.objectName())
