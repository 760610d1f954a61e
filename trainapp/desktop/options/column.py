"""One column of the board: a card with its name, its reason, its picture, its cells, and what can be done with it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLabel, QWidget

from trainapp.desktop.fields import TypedField
from trainapp.desktop.fonts import font, measure
from trainapp.desktop.options.cells import INSET, CellButton
from trainapp.desktop.options.rows import ACTIONS, BUTTON_LINE, PAD, Places, Style, button_spots, name_lines
from trainapp.desktop.painter import paint
from trainapp.desktop.parts import BoxButton, FlatButton, TokenLabel
from trainapp.desktop.theme import look
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.small import small
from trainapp.reports.drawing.tokens import BODY, CARD_CORNER, MARK_LIST, SELECTION
from trainapp.reports.options_cells import Board, Head

#: Letters of a name that is given to a column.
NAME_LETTERS = 40


class Picture(QWidget):
    """A train to the scale of all of them, its floor on one line with the others."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model: BenchModel | None = None
        self._scale = 1.0

    def show_train(self, model: BenchModel, name: str, scale: float) -> None:
        """Show a train at a scale."""
        self._model, self._scale = model, scale
        told = ", ".join(stage.title for stage in model.stages) or "no stage"
        self.setAccessibleName(f"{name}, to scale: {told}")
        self.setToolTip("\n".join(f"{stage.title}{', ' if stage.size else ''}{stage.size}" for stage in model.stages))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._model is not None:
            painter = QPainter(self)
            paint(painter, small(self._model, self._scale, float(self.width()), float(self.height()), measure), look().colour)


class Title(QWidget):
    """Name of a column, and below it its mark with the word."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head: Head | None = None
        self.style_, self.below = Style(), 18

    def show_head(self, head: Head, style: Style, below: int) -> None:
        """Show a head, its words so high below its name."""
        self.below = below
        self.head, self.style_ = head, style
        self.setAccessibleName(f"{head.name}, {head.words}")
        self.setToolTip(head.name)
        self.update()

    @property
    def lines(self) -> list[str]:
        """Lines of the name that are shown."""
        return name_lines(self.head.name, self.width() - 2.0 * INSET, self.style_, measure) if self.head is not None else []

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.head is None:
            return
        painter = QPainter(self)
        line, style = Qt.AlignmentFlag.AlignVCenter, self.style_
        name = QRectF(INSET, 0, self.width() - 2 * INSET, self.height() - self.below)
        painter.setFont(font(style.title, True))
        painter.setPen(look().colour("ink"))
        for place, text in enumerate(self.lines):
            # every first line on one height
            painter.drawText(QRectF(name.x(), 1 + place * style.name_step, name.width(), style.name_step), line, text)
        words = QRectF(INSET + 19, name.bottom(), name.width() - 19, self.below)
        paint(painter, mark(self.head.mark, INSET + 6.5, words.center().y(), MARK_LIST), look().colour)
        painter.setFont(font(style.px))
        painter.setPen(look().colour("ink2"))
        painter.drawText(words, line, self.head.words + (", kept" if self.head.kept else ""))


class NameField(TypedField):
    """A name that is being given."""

    #: Signal emitted when it is given up.
    left = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.put_back()
            self.left.emit()
            return
        super().keyPressEvent(event)


class Column(QWidget):
    """A column."""

    #: Signals emitted with the key of the column, and of the row where a cell is opened.
    cell_opened = Signal(str, str)
    asked = Signal(str, str)
    renamed = Signal(str, str)
    #: Signal emitted with its key when it is clicked beside its cells.
    picked = Signal(str)
    #: Signals emitted with its key when a name is to be typed, and when that is over and the keyboard was there.
    naming, unnamed = Signal(str), Signal(str)

    def __init__(self, key: str, kind: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key, self.kind = key, kind
        self.selected = False
        self.title, self.picture = Title(self), Picture(self)
        self.name = NameField(self)
        self.name.setAccessibleName("Name of the option")
        self.name.setMaxLength(NAME_LETTERS)
        self.name.setToolTip(f"At most {NAME_LETTERS} letters")
        self.name.hide()
        self.name.entered.connect(self._named)
        self.name.left.connect(self._unnamed)
        self.name.editingFinished.connect(self._unnamed)
        self.reason = TokenLabel("", "ink2", BODY, parent=self)
        self.reason.setWordWrap(True)
        self.reason.setTextFormat(Qt.TextFormat.PlainText)
        self.reason.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.cells: dict[str, CellButton] = {}
        self.headings: dict[str, QLabel] = {}
        self.buttons: dict[str, FlatButton] = {}
        for action, text, flat in ACTIONS[kind]:
            button = (FlatButton if flat else BoxButton)(text, parent=self)
            button.setObjectName(action)
            button.clicked.connect(self._pressed)
            self.buttons[action] = button

    # Showing ------------------------------------------------------------------------------------------------------------------

    def show_column(self, board: Board, place: int, at: Places, style: Style) -> None:
        """Show a column of a board."""
        head = board.heads[place]
        inner = at.width - 2 * PAD
        self.title.show_head(head, style, at.status[1])
        self.title.setGeometry(PAD, at.title[0], inner, at.title[1] + at.status[1])
        self.name.setGeometry(PAD + INSET, at.title[0], inner - 2 * INSET, at.title[1])
        self.reason.setFont(font(style.px))
        self.reason.setText(head.reason)
        self.reason.setGeometry(PAD + INSET, at.reason[0], inner - 2 * INSET, at.reason[1])
        self.picture.setGeometry(PAD, at.picture[0], inner, at.picture[1])
        self.picture.show_train(board.pictures[place], head.name, at.scale)
        self._cells(board, place, at, style)
        self._arrange_buttons(head, at, style)
        self.setAccessibleName(head.name)
        self.update()

    def _cells(self, board: Board, place: int, at: Places, style: Style) -> None:
        wanted = [row.key for section in board.sections for row in section.rows]
        for key in [key for key in self.cells if key not in wanted]:
            self.cells.pop(key).deleteLater()
        for section in board.sections:
            for row in section.rows:
                button = self.cells.get(row.key)
                if button is None:
                    button = self.cells[row.key] = CellButton(self.key, row.key, self)
                    button.clicked.connect(self._opened)
                    button.show()
                top, high = at.rows[row.key]
                button.setGeometry(PAD, top, at.width - 2 * PAD, high)
                button.show_cell(board.heads[place].name, row, row.cells[place], at.look, style.customer)

    def _arrange_buttons(self, head: Head, at: Places, style: Style) -> None:
        spots = button_spots(self.kind, at.width, style, measure)
        for action, _, _ in ACTIONS[self.kind]:
            button = self.buttons[action]
            button.setVisible(action in spots)
            if action == "keep":
                button.setText("Kept" if head.kept else "Keep")
                button.setAccessibleName(f"{'Do not keep' if head.kept else 'Keep'} {head.name}")
                button.setToolTip("It stays on the board when others are proposed.")
            else:
                button.setAccessibleName(f"{_WORDS[action]} {head.name}".strip())
                button.setToolTip(_TIPS[action])
            if action in spots:
                x, line = spots[action]
                button.setGeometry(x, at.buttons[0] + BUTTON_LINE * line, button.sizeHint().width(), button.sizeHint().height())

    def select(self, selected: bool) -> None:
        """Draw it as the column that the keyboard is in, or not."""
        if selected != self.selected:
            self.selected = selected
            self.update()

    # Doing --------------------------------------------------------------------------------------------------------------------

    def rename(self) -> None:
        """Type a name over the old one."""
        if self.kind == "option" and self.title.head is not None:
            self.name.show_text(self.title.head.name)
            self.name.show()
            self.name.raise_()
            self.naming.emit(self.key)
            self.name.setFocus(Qt.FocusReason.OtherFocusReason)
            self.name.selectAll()

    def _named(self, text: str) -> None:
        if text:
            self.renamed.emit(self.key, text)

    def _unnamed(self) -> None:
        if self.name.isVisible():
            # before it hides: Qt would give the keyboard to whatever comes next, and scroll there
            if self.name.hasFocus():
                self.unnamed.emit(self.key)
            self.name.hide()

    def _opened(self) -> None:
        sender = self.sender()
        if isinstance(sender, CellButton) and sender.opens:
            self.cell_opened.emit(self.key, sender.row_key)

    def _pressed(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.asked.emit(sender.objectName(), self.key)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.picked.emit(self.key)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self.title.geometry().contains(event.position().toPoint()):
            self.rename()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("accent" if self.selected else "hair"), SELECTION if self.selected else 1.0))
        painter.setBrush(look().colour("page"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), CARD_CORNER, CARD_CORNER)


_WORDS = {"bench": "Go to the bench", "open": "Open on bench:", "take": "Take over:", "rename": "Rename", "remove": "Remove"}
_TIPS = {
    "bench": "Turn to the train that is drawn.",
    "open": "Open this train on a bench of its own, in a new window.",
    "take": "Put this train on the bench in place of what is drawn, as one step of undo.",
    "rename": "Give it another name.",
    "remove": "Take it off the board; it can be taken back.",
}
