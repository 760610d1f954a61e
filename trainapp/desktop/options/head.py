"""What stands across all columns before anything else: what to do now, what no option here solves, what stands in the way of any."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QVBoxLayout, QWidget

from trainapp.desktop.editors.scroll import Sentences
from trainapp.desktop.fonts import font
from trainapp.desktop.options.rows import Style
from trainapp.desktop.parts import TokenLabel, wrapped
from trainapp.desktop.theme import look
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.drawing.tokens import BODY, CARD_CORNER, HEADING
from trainapp.reports.options_cells import Board, Unsolved


def _told(rows: Sequence[Unsolved]) -> list[tuple[Mark | None, str]]:
    """Rows as sentences behind their marks."""
    return [(row.mark, " ".join((f"{row.title}.", row.message, *row.cautions))) for row in rows]


class Across(QWidget):
    """The first row."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.warning = wrapped("", "ink", HEADING)
        self.title = TokenLabel("Not solved by any option here", "ink", HEADING, bold=True)
        self.list = Sentences()
        self.beside = TokenLabel("Needs licensed design beside any option", "ink", HEADING, bold=True)
        self.licensed = Sentences()
        self.health = wrapped("", "ink2", BODY)
        self.obstacles = TokenLabel("What stands in the way", "ink", HEADING, bold=True)
        self.ways = Sentences()
        column = QVBoxLayout(self)
        self.grave = False
        column.setContentsMargins(12, 8, 12, 8)
        column.setSpacing(4)
        for widget in (self.warning, self.title, self.list, self.beside, self.licensed, self.health, self.obstacles, self.ways):
            column.addWidget(widget)

    def show_board(self, board: Board, width: int, style: Style) -> int:
        """Show what a board has to say first; how high it is."""
        self.warning.setText(board.warning)
        self.warning.setFont(font(HEADING * style.zoom, True))
        self.warning.setVisible(bool(board.warning))
        self.title.setFont(font(HEADING * style.zoom, True))
        self.title.setVisible(bool(board.unsolved))
        self.list.show_sentences(_told(board.unsolved))
        self.beside.setFont(font(HEADING * style.zoom, True))
        self.beside.setVisible(bool(board.licensed))
        self.licensed.show_sentences(_told(board.licensed))
        self.obstacles.setFont(font(HEADING * style.zoom, True))
        self.obstacles.setVisible(bool(board.obstacles))
        self.ways.show_sentences([(None, sentence) for sentence in board.obstacles])
        for label in (*self.list.findChildren(TokenLabel), *self.licensed.findChildren(TokenLabel), *self.ways.findChildren(TokenLabel)):
            label.setFont(font(BODY * style.zoom))
        self.grave = bool(board.warning or board.unsolved or board.licensed)
        self.health.setText(" ".join(board.health))
        self.health.setFont(font(BODY * style.zoom))
        self.health.setVisible(self.grave and bool(board.health))
        shown = self.grave or bool(board.obstacles)
        self.setVisible(shown)
        if not shown:
            self.setGeometry(8, 0, width - 16, 0)
            return 0
        self._measure_anew()
        high = self.layout().heightForWidth(width - 16)
        self.setGeometry(8, 8, width - 16, high)
        self.setAccessibleName(
            " ".join(filter(None, (board.warning, *(row.title for row in (*board.unsolved, *board.licensed)), *board.obstacles)))
        )
        return high + 8

    def _measure_anew(self) -> None:
        """Forget heights of another size of type: what is deeper than a child keeps its own until the next event."""
        for sentences in (self.list, self.licensed, self.ways):
            for line in sentences.findChildren(QWidget, options=Qt.FindChildOption.FindDirectChildrenOnly):
                line.updateGeometry()
            sentences.layout().invalidate()
            sentences.updateGeometry()
        self.layout().invalidate()
        self.layout().activate()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("fail" if self.grave else "edge"), 1.5))
        painter.setBrush(look().colour("page"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), CARD_CORNER, CARD_CORNER)
