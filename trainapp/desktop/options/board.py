"""The board: labels that stay, columns that scroll sideways, all rows on one grid, walked by arrow keys."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from trainapp.desktop.fonts import font, measure
from trainapp.desktop.options.cells import CellButton
from trainapp.desktop.options.column import Column
from trainapp.desktop.options.head import Across
from trainapp.desktop.options.pinned import PINNED, PinnedNames
from trainapp.desktop.options.rows import GAP, LABELS, MOST, Places, Style, column_width, places
from trainapp.desktop.painter import paint, saved
from trainapp.desktop.parts import SlimBar, quiet, wrapped
from trainapp.desktop.theme import look
from trainapp.reports.drawing import side_by_side
from trainapp.reports.drawing.display import Line
from trainapp.reports.drawing.lineup import UNDER as PERSON_UNDER
from trainapp.reports.drawing.lineup import person_display
from trainapp.reports.drawing.small import UNDER
from trainapp.reports.drawing.tokens import CAPTION, FLOOR, HEADING
from trainapp.reports.options_cells import Board

_LEFT = 12


class Labels(QWidget):
    """Names of rows, headings of sections, and the person for scale."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.board: Board | None = None
        self.at: Places | None = None
        self.style_ = Style()

    def show_board(self, board: Board, at: Places, style: Style) -> None:
        """Show the names that belong to a board."""
        self.board, self.at, self.style_ = board, at, style
        self.setAccessibleName("Side by side")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.board is None or self.at is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        at, style, width = self.at, self.style_, float(self.width() - _LEFT - 4)
        painter.translate(_LEFT, 0)
        heading = HEADING * style.zoom
        self._text(painter, "Side by side", 0, at.title[0] + 0.68 * 24 * style.zoom, heading, "ink", True)
        y = at.reason[0] + CAPTION
        for line in ("Pictures to one scale.", "Bars to one scale per row.", "Tall tick: what is wanted."):
            self._text(painter, line, 0, y, CAPTION * style.zoom, "ink3", False)
            y += 15 * style.zoom
        self._person(painter, at, width)
        for section in self.board.sections:
            high = 26 * style.zoom
            self._text(painter, section.title, 0, at.headings[section.key] + 0.72 * high, heading, "ink", True)
            for row in section.rows:
                top, tall = at.rows[row.key]
                # beside marked sentences the label stands on the first of their lines
                line = min(tall, style.row * style.zoom) if row.key == "settle" else tall
                with saved(painter):
                    painter.translate(0, top)
                    paint(painter, side_by_side.label(row, width, line, at.look, measure), look().colour)
                    painter.setPen(QPen(look().colour("hair"), 1.0))
                    painter.drawLine(QPointF(0, 0.5), QPointF(width, 0.5))

    def _person(self, painter: QPainter, at: Places, width: float) -> None:
        """The person stands on the floor line of the pictures."""
        figure = [shape for shape in person_display(at.scale).items if not isinstance(shape, Line)]
        person = person_display(at.scale)
        words = "1.73 m" if self.board is not None and self.board.system == "metric" else "5 ft 8 in"
        floor = at.picture[0] + at.picture[1] - UNDER
        with saved(painter):
            painter.translate(width - person.width, floor - person.height + PERSON_UNDER)
            paint(painter, figure, look().colour)
        right = float(width)
        paint(painter, [Line(right - person.width - 24, floor, right, floor, "ink", FLOOR * 0.8)], look().colour)
        x = right - person.width - 4 - measure(words, CAPTION)
        self._text(painter, words, x, floor - 0.45 * person.height, CAPTION, "ink3", False)

    def _text(self, painter: QPainter, text: str, x: float, y: float, px: float, token: str, bold: bool) -> None:
        painter.setFont(font(px, bold))
        painter.setPen(look().colour(token))
        painter.drawText(QPointF(x, y), text)


class Columns(QScrollArea):
    """Cards beside each other; they scroll sideways where there is no room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.inside = QWidget()
        self.setWidget(self.inside)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBar(SlimBar(Qt.Orientation.Horizontal))
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName("Columns")

    def wheelEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        # Up and down belongs to the whole board.
        if abs(event.angleDelta().x()) > abs(event.angleDelta().y()) or event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            super().wheelEvent(event)
        else:
            event.ignore()


class BoardArea(QScrollArea):
    """All of it."""

    #: Signal emitted with the keys of a column and a row when a cell is opened.
    cell_opened = Signal(str, str)
    #: Signal emitted with what is to be done ("open", "take", "keep", "rename", "remove", "bench") and the key of the column.
    asked = Signal(str, str)
    #: Signal emitted with the key of a column and its new name.
    renamed = Signal(str, str)
    #: Signal emitted when the keyboard stands in another column.
    selected = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        quiet(self)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName("Options side by side")
        self.floor = QWidget()
        self.setWidget(self.floor)
        self.across, self.labels, self.strip = Across(self.floor), Labels(self.floor), Columns(self.floor)
        self.waiting = wrapped("", "ink3")
        self.waiting.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.waiting.setParent(self.strip.inside)
        self.columns: dict[str, Column] = {}
        self.board: Board | None = None
        self.style_ = Style()
        self.stale = False
        self._names_end = 0
        self.current = ("", "")
        self._still = False
        self.pinned = PinnedNames(self.viewport())
        for bar in (self.verticalScrollBar(), self.strip.horizontalScrollBar()):
            bar.valueChanged.connect(self._pin)
        look().changed.connect(self._recolour)
        self._recolour()

    def _recolour(self) -> None:
        for widget in (self.floor, self.strip.inside):
            widget.setAutoFillBackground(True)
            made = widget.palette()
            made.setColor(widget.backgroundRole(), look().colour("sheet"))
            widget.setPalette(made)
        self.floor.update()

    # Showing ------------------------------------------------------------------------------------------------------------------

    def show_board(self, board: Board | None, style: Style, stale: bool, waiting: str = "") -> None:
        """Show a board; without one nothing. `waiting` is said beside its columns while more are on their way."""
        self.waiting.setText(waiting)
        if board is None:
            self.pinned.hide()
        self.board, self.style_, self.stale = board, style, stale
        self.floor.setVisible(board is not None)
        if board is None:
            return
        wanted = [head.key for head in board.heads]
        for key in [key for key in self.columns if key not in wanted]:
            column = self.columns.pop(key)
            column.hide()
            column.deleteLater()
        for head in board.heads:
            if head.key not in self.columns:
                self._add(head.key, head.kind)
        self.columns = {key: self.columns[key] for key in wanted}
        self._arrange()
        self._rove()

    def _add(self, key: str, kind: str) -> None:
        column = self.columns[key] = Column(key, kind, self.strip.inside)
        column.cell_opened.connect(self.cell_opened)
        column.asked.connect(self.asked)
        column.renamed.connect(self.renamed)
        column.picked.connect(self._picked)
        column.naming.connect(self._head_in_sight)
        column.unnamed.connect(self.return_to)
        column.show()

    def _arrange(self) -> None:
        board = self.board
        if board is None:
            return
        style, room = self.style_, self.viewport().width()
        labels = style.wide(LABELS) + _LEFT
        top = self.across.show_board(board, room, style)
        wide = column_width(room - labels, len(board.heads), style)
        at = places(board, wide, style, measure, self.stale)
        self.labels.setGeometry(0, top + GAP, labels, at.height)
        self.labels.show_board(board, at, style)
        whole = len(board.heads) * (wide + GAP) + GAP
        bar = 12 if whole > room - labels else 0
        self.strip.setGeometry(labels, top + GAP, room - labels, at.height + bar)
        self.strip.inside.resize(max(whole, room - labels), at.height)
        for place, column in enumerate(self.columns.values()):
            column.setGeometry(GAP + place * (wide + GAP), 0, wide, at.height)
            column.show_column(board, place, at, style)
            for cell in column.cells.values():
                self._watch(cell)
        free = room - labels - whole - 2 * GAP
        self.waiting.setVisible(bool(self.waiting.text()) and free >= wide // 2)
        self.waiting.setGeometry(whole + GAP, at.title[0], min(free, style.wide(MOST)), 120)
        self.floor.resize(room, top + GAP + at.height + bar + GAP)
        self._names_end = top + GAP + at.title[0] + at.title[1]
        self._pin()

    def _pin(self) -> None:
        """Let the names stay above the cells once they are scrolled out of sight."""
        board = self.board
        is_past = board is not None and self.verticalScrollBar().value() > self._names_end - round(0.3 * PINNED)
        self.pinned.setVisible(is_past)
        if is_past and board is not None:
            aside = self.strip.x() + self.strip.inside.x()
            spots = [(column.x() + aside, column.width(), column.key == self.current[0]) for column in self.columns.values()]
            self.pinned.setGeometry(0, 0, self.viewport().width(), round(PINNED * self.style_.zoom))
            self.pinned.show_names(list(zip([head.name for head in board.heads], spots, strict=True)), self.strip.x(), self.style_)
            self.pinned.raise_()

    def _watch(self, cell: CellButton) -> None:
        """Listen to a cell once."""
        if not cell.property("watched"):
            cell.setProperty("watched", True)
            cell.walked.connect(self._walk)
            cell.reached.connect(self._reached)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutDirectionChange:
            self._arrange()
        return super().viewportEvent(event)

    # Walking ------------------------------------------------------------------------------------------------------------------

    def _cell(self, column: str, row: str) -> CellButton | None:
        found = self.columns.get(column)
        return found.cells.get(row) if found is not None else None

    def _rove(self) -> None:
        """One cell alone is a stop of the Tab key: the current one, else the first."""
        if self._cell(*self.current) is None and self.columns:
            column = self.columns.get(self.current[0]) or next(iter(self.columns.values()))
            row = self.current[1]
            self.current = column.key, row if row in column.cells else next(iter(column.cells), "")
        for column in self.columns.values():
            for key, cell in column.cells.items():
                stop = (column.key, key) == self.current
                cell.setFocusPolicy(Qt.FocusPolicy.StrongFocus if stop else Qt.FocusPolicy.ClickFocus)

    def go_to(self, column: str, row: str) -> None:
        """Put the keyboard on a cell."""
        cell = self._cell(column, row)
        if cell is not None:
            cell.setFocus(Qt.FocusReason.OtherFocusReason)

    def return_to(self, column: str) -> None:
        """Put the keyboard back into a column, in the row where it was, and scroll neither up nor down."""
        row = self.current[1]
        self._still = True
        row = row if self._cell(column, row) is not None else next(iter(self.columns[column].cells), "")
        # a window beside it may have the keyboard: then the cell has it next
        self._turn(column, row)
        self.go_to(column, row)
        self._still = False

    def _head_in_sight(self, column: str) -> None:
        """A name is typed where it stands."""
        head = self.columns[column]
        self.strip.ensureWidgetVisible(head.name, 40, 0)
        self.ensureVisible(self.labels.x() + 1, head.name.mapTo(self.floor, QPoint(0, 0)).y(), 0, 40)

    def _picked(self, column: str) -> None:
        """A column is clicked beside its cells."""
        row = self.current[1]
        self.go_to(column, row if self._cell(column, row) is not None else next(iter(self.columns[column].cells), ""))

    def _walk(self, right: int, down: int) -> None:
        columns = list(self.columns)
        column, row = self.current
        if column not in columns:
            return
        rows = list(self.columns[column].cells)
        place, at = columns.index(column) + right, rows.index(row) + down
        if 0 <= place < len(columns) and 0 <= at < len(rows):
            self.go_to(columns[place], rows[at])

    def _reached(self) -> None:
        cell: QObject | None = self.sender()
        if not isinstance(cell, CellButton):
            return
        self._turn(cell.column, cell.row_key)
        self.strip.ensureWidgetVisible(cell, 40, 0)
        self._pin()
        if self._still:
            return
        middle = cell.mapTo(self.floor, QPoint(cell.width() // 2, cell.height() // 2))
        self.ensureVisible(self.labels.x() + 1, middle.y(), 0, 60)

    def _turn(self, column: str, row: str) -> None:
        """Let a cell be the current one."""
        self.current = column, row
        self._rove()
        for each in self.columns.values():
            each.select(each.key == column)
        self.selected.emit(column)

    @property
    def selected_column(self) -> str:
        """Key of the column that the keyboard was in last."""
        return self.current[0]
