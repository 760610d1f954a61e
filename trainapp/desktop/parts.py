"""Small widgets that everything else is put together from, painted in the program's own plain way."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFocusEvent, QFont, QKeyEvent, QPainter, QPaintEvent, QPalette, QPen, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QScrollBar,
    QSizePolicy,
    QWidget,
)

from trainapp.desktop.figures import local
from trainapp.desktop.fonts import font, measure
from trainapp.desktop.painter import paint, saved
from trainapp.desktop.theme import look
from trainapp.reports.drawing.marks import Mark, mark
from trainapp.reports.drawing.tokens import BODY, CAPTION, CORNER, MARK_LIST, TARGET


def tinted(widget: QWidget, token: str) -> None:
    """Give a widget's text the colour of a token; it follows the theme by :class:`Tinted`, a plain label at the next palette."""
    made = widget.palette()
    made.setColor(QPalette.ColorRole.WindowText, look().colour(token))
    widget.setPalette(made)


class TokenLabel(QLabel):
    """A label in the colour of a token, which follows the theme."""

    def __init__(self, text: str = "", token: str = "ink", px: float = BODY, bold: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(local(text), parent)
        self._token = token
        self.setFont(font(px, bold))
        self._retint()
        look().changed.connect(self._retint)

    def setText(self, text: str) -> None:
        """Show a text, its numbers as the reader's locale writes them."""
        super().setText(local(text))

    def _retint(self) -> None:
        tinted(self, self._token)


def caption(text: str = "") -> TokenLabel:
    """A caption: small and grey."""
    return TokenLabel(text, "ink3", CAPTION)


def wrapped(text: str = "", token: str = "ink", px: float = BODY) -> TokenLabel:
    """A label that breaks its lines and can be copied from."""
    label = TokenLabel(text, token, px)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    policy.setHeightForWidth(True)
    label.setSizePolicy(policy)
    return label


class ElidedLabel(TokenLabel):
    """A label on one line that ends in an ellipsis where there is no room; the whole text is its tooltip."""

    #: Whether it tells numbers: what somebody called a thing stays as it was given.
    figures = True

    def __init__(self, token: str = "ink", px: float = BODY, bold: bool = False, parent: QWidget | None = None) -> None:
        super().__init__("", token, px, bold, parent)
        self._whole = ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.setTextFormat(Qt.TextFormat.PlainText)

    def show_text(self, text: str) -> None:
        """Show a text, as much of it as there is room for."""
        self._whole = local(text) if self.figures else text
        self.setAccessibleName(self._whole)
        self.updateGeometry()
        self._elide()

    def _elide(self) -> None:
        shown = self.fontMetrics().elidedText(self._whole, Qt.TextElideMode.ElideRight, max(self.width(), 1))
        QLabel.setText(self, shown)
        self.setToolTip(self._whole if shown != self._whole else "")

    def sizeHint(self) -> QSize:
        return QSize(self.fontMetrics().horizontalAdvance(self._whole) + 4, super().sizeHint().height())

    def minimumSizeHint(self) -> QSize:
        return QSize(20, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._elide()


class Rule(QFrame):
    """A hairline, level or upright."""

    def __init__(self, upright: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._upright = upright
        if upright:
            self.setFixedWidth(1)
        else:
            self.setFixedHeight(1)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), look().colour("hair"))


class MarkLabel(QWidget):
    """A status mark. Always beside its word, so it has no name of its own."""

    def __init__(self, kind: Mark | None = None, size: float = MARK_LIST, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kind, self._size = kind, size
        side = int(size + 5)
        self.setFixedSize(side, side)

    def show_mark(self, kind: Mark | None) -> None:
        """Show another mark, or none."""
        self._kind = kind
        self.setVisible(kind is not None)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._kind is not None:
            painter = QPainter(self)
            paint(painter, mark(self._kind, self.width() / 2, self.height() / 2, self._size), look().colour)


def beside_mark(mark: QWidget, words: QWidget, spacing: int = 6) -> QHBoxLayout:
    """A line of words behind their mark, which stays at the first where they break."""
    line = QHBoxLayout()
    line.setSpacing(spacing)
    line.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
    line.addWidget(words, 1)
    return line


class FlatButton(QAbstractButton):
    """A button without a box: its text, underlined under the pointer, with a ring when it has the focus."""

    def __init__(self, text: str, name: str = "", px: float = BODY, token: str = "ink2", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._px, self._token = px, token
        self.setText(text)
        self.setAccessibleName(name or text)
        self.setToolTip(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(int(measure(self.text(), self._px, self._bold()) + 12), int(TARGET))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def _bold(self) -> bool:
        return False

    def enterEvent(self, event: QEvent) -> None:
        self.update()
        super().enterEvent(event)  # type: ignore[arg-type]

    def leaveEvent(self, event: QEvent) -> None:
        self.update()
        super().leaveEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._ground(painter)
        # The font of a size is shared by all that is painted.
        made = QFont(font(self._px, self._bold()))
        if self.underMouse() and self.isEnabled():
            made.setUnderline(True)
        painter.setFont(made)
        painter.setPen(look().colour(self._ink()))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, local(self.text()))
        focus_ring(painter, self)

    def _ground(self, painter: QPainter) -> None:
        """Nothing stands behind the text."""

    def _ink(self) -> str:
        return self._token if self.isEnabled() else "ink3"


class BoxButton(FlatButton):
    """An outlined button."""

    def __init__(self, text: str, name: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, name, BODY, "ink", parent)

    def sizeHint(self) -> QSize:
        return QSize(int(measure(self.text(), self._px) + 22), int(TARGET))

    def _ground(self, painter: QPainter) -> None:
        painter.setPen(QPen(look().colour("edge" if self.isEnabled() else "hair"), 1.0))
        painter.setBrush(look().colour("well" if self.isDown() else "page"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), CORNER, CORNER)


class MainButton(FlatButton):
    """The one filled button of a view; `tall` where it stands alone on a page."""

    def __init__(self, text: str, name: str = "", tall: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(text, name, parent=parent)
        self._tall = tall

    def sizeHint(self) -> QSize:
        aside, above = (36, 6) if self._tall else (28, 0)
        return QSize(int(measure(self.text(), self._px, True) + aside), int(TARGET) + above)

    def _bold(self) -> bool:
        return True

    def _ink(self) -> str:
        return "on_accent" if self.isEnabled() else "ink3"

    def _ground(self, painter: QPainter) -> None:
        token = "accent" if self.isEnabled() else "well"
        painter.setPen(QPen(look().colour(token), 1.0))
        painter.setBrush(look().colour(token))
        painter.drawRoundedRect(self.rect().adjusted(0, 0, -1, -1), CORNER, CORNER)


class TabButton(FlatButton):
    """A tab: bold and underlined in the accent while it is on."""

    def __init__(self, text: str, px: float = BODY, parent: QWidget | None = None) -> None:
        super().__init__(text, "", px, "ink2", parent)
        self.setCheckable(True)
        self.setAutoExclusive(True)

    def sizeHint(self) -> QSize:
        return QSize(int(measure(self.text(), self._px, True) + 16), int(TARGET) + 6)

    def _bold(self) -> bool:
        return self.isChecked()

    def _ink(self) -> str:
        return "ink" if self.isChecked() else super()._ink()

    def _ground(self, painter: QPainter) -> None:
        if self.isChecked():
            painter.fillRect(QRectF(4, self.height() - 3, self.width() - 8, 3), look().colour("accent"))


class LineField(QLineEdit):
    """A line to type in, framed in the colour of edges in every theme, with a ring while it has the focus."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrame(False)
        self.setTextMargins(5, 0, 5, 0)
        self.setFixedHeight(int(TARGET))

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("edge" if self.isEnabled() else "hair"), 1.0))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), CORNER, CORNER)
        focus_ring(painter, self)


class SlimBar(QScrollBar):
    """A scroll bar of one slim handle."""

    _THICK = 10

    def sizeHint(self) -> QSize:
        upright = self.orientation() == Qt.Orientation.Vertical
        return QSize(self._THICK, 40) if upright else QSize(40, self._THICK)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        upright = self.orientation() == Qt.Orientation.Vertical
        length = (self.height() if upright else self.width()) - 4
        whole = self.maximum() - self.minimum() + self.pageStep()
        if whole <= 0 or self.maximum() <= self.minimum():
            return
        handle = max(length * self.pageStep() / whole, 24.0)
        at = 2 + (length - handle) * (self.value() - self.minimum()) / (self.maximum() - self.minimum())
        area = QRectF(2, at, self._THICK - 4, handle) if upright else QRectF(at, 2, handle, self._THICK - 4)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look().colour("edge"))
        painter.drawRoundedRect(area, 3, 3)


def quiet(area: QAbstractScrollArea) -> None:
    """A scroll area without a frame, that scrolls up and down by a slim bar."""
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setVerticalScrollBar(SlimBar(Qt.Orientation.Vertical))
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)


def focus_ring(painter: QPainter, widget: QWidget) -> None:
    """The ring round a widget that the keyboard speaks to."""
    if widget.hasFocus():
        painter.setPen(QPen(look().colour("accent"), 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(QRectF(widget.rect()).adjusted(1, 1, -1, -1), CORNER, CORNER)


def outline(painter: QPainter, widget: QWidget) -> None:
    """The edge of a field, which the style draws too faintly on a dark page, and its ring."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(look().colour("edge"), 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(QRectF(widget.rect()).adjusted(0.5, 0.5, -0.5, -0.5), CORNER, CORNER)
    focus_ring(painter, widget)


class ChoiceBox(QComboBox):
    """A choice that a wheel never changes unless it has the focus."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(super().sizeHint().width(), int(TARGET))

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("edge"), 1.0))
        painter.setBrush(look().colour("page"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), CORNER, CORNER)
        inner = self.rect().adjusted(6, 0, -20, 0)
        text = self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, inner.width())
        painter.setPen(look().colour("ink" if self.isEnabled() else "ink3"))
        painter.drawText(inner, Qt.AlignmentFlag.AlignVCenter, text)
        with saved(painter):
            x, y = self.width() - 12.0, self.height() / 2
            painter.setPen(QPen(look().colour("ink2"), 1.3))
            painter.drawPolyline([QPointF(x - 4, y - 2), QPointF(x, y + 2), QPointF(x + 4, y - 2)])
        focus_ring(painter, self)


def choice_box(name: str, choices: Sequence[tuple[str, str]], chosen: str = "") -> ChoiceBox:
    """A choice between texts, each with a key that is its data; the first is chosen where no key is that.

    Args:
        name: for those who hear the screen.
    """
    box = ChoiceBox()
    box.setAccessibleName(name)
    for key, text in choices:
        box.addItem(text, key)
    if choices:
        # The list is as wide as its words, whatever room the field has.
        box.view().setMinimumWidth(int(max(measure(text, BODY) for _, text in choices)) + 40)
    box.setCurrentIndex(max(box.findData(chosen), 0))
    return box
