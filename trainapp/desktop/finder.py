"""A field with a list below it: type a few letters, press Return. Finds a command, or the other end of a pipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QModelIndex, QObject, QPersistentModelIndex, QPoint, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPalette
from PySide6.QtWidgets import (
    QFrame,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from trainapp.desktop.painter import saved
from trainapp.desktop.parts import LineField, caption, quiet
from trainapp.reports.drawing.tokens import GAP, TARGET

_KEY, _BESIDE = Qt.ItemDataRole.UserRole, Qt.ItemDataRole.UserRole + 1


@dataclass(frozen=True, slots=True)
class Choice:
    """One line: its key, its text, and a shortcut or a word beside it. `enabled`: whether it can be taken now."""

    key: str
    text: str
    beside: str = ""
    enabled: bool = True


def closeness(name: str, words: Sequence[str]) -> int:
    """How near a name comes to typed words (casefolded): 0 begins with them, 1 has a word that does, 2 holds them all, 3 does not."""
    if not words:
        return 0
    name, typed = name.casefold(), " ".join(words)
    if not all(word in name for word in words):
        return 3
    return 0 if name.startswith((typed, words[0])) else 1 if f" {words[0]}" in name else 2


class Finder(QFrame):
    """Opens over a window and closes when something is taken, on Escape, or when the keyboard goes elsewhere."""

    #: Signal emitted with the key of what was taken.
    taken = Signal(str)

    def __init__(self, prompt: str, choices: Sequence[Choice], parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Popup)
        self.setFrameShape(QFrame.Shape.Box)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.choices = list(choices)
        self.field = LineField()
        self.field.setPlaceholderText(prompt)
        self.field.setAccessibleName(prompt)
        self.field.setClearButtonEnabled(True)
        self.list = QListWidget()
        quiet(self.list)
        self.list.setAccessibleName(prompt)
        self.list.setItemDelegate(_TwoSided(self.list))
        self.none = caption("Nothing of that name")
        column = QVBoxLayout(self)
        column.setContentsMargins(int(GAP), int(GAP), int(GAP), int(GAP))
        column.setSpacing(4)
        for widget in (self.field, self.none, self.list):
            column.addWidget(widget)
        self.field.textChanged.connect(self.show_matching)
        self.field.returnPressed.connect(self._take)
        self.list.itemClicked.connect(self._clicked)
        self.list.itemActivated.connect(self._clicked)
        self.field.installEventFilter(self)
        self.show_matching("")

    def open_at_top(self) -> None:
        """Open under the upper edge of the window, in its middle."""
        parent = self.parentWidget()
        width = min(460, parent.width() - 40)
        corner = parent.mapToGlobal(parent.rect().topLeft())
        self._open(QPoint(corner.x() + (parent.width() - width) // 2, corner.y() + 48), width)

    def open_at(self, point: QPoint) -> None:
        """Open at a point of the screen, moved so that all of it is inside the window where that is large enough."""
        self._open(point, 340)
        parent = self.parentWidget()
        corner = parent.mapToGlobal(parent.rect().topLeft())
        x = min(point.x(), corner.x() + parent.width() - self.width() - 4)
        y = min(point.y(), corner.y() + parent.height() - self.height() - 4)
        self.move(max(x, corner.x()), max(y, corner.y()))

    def _open(self, point: QPoint, width: int) -> None:
        rows = min(len(self.choices), 14)
        self.resize(width, int(TARGET) * (rows + 1) + 48)
        self.move(point)
        self.show()
        self.field.setFocus(Qt.FocusReason.PopupFocusReason)

    def key_of(self, item: QListWidgetItem | None) -> str | None:
        """The key of a line that can be taken, None for none."""
        return str(item.data(_KEY)) if item is not None and item.flags() & Qt.ItemFlag.ItemIsEnabled else None

    def show_matching(self, text: str) -> None:
        """Only lines that hold every word."""
        words = text.casefold().split()
        found = [choice for choice in self.choices if all(word in choice.text.casefold() for word in words)]
        found.sort(key=lambda choice: (not choice.enabled, closeness(choice.text, words)))
        self.list.clear()
        for choice in found:
            item = QListWidgetItem(choice.text)
            item.setData(_KEY, choice.key)
            item.setData(_BESIDE, choice.beside)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{choice.text} {choice.beside}".strip())
            if not choice.enabled:
                item.setFlags(Qt.ItemFlag.NoItemFlags)
            self.list.addItem(item)
        self.list.setCurrentRow(0)
        self.none.setVisible(not found)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            step = 1 if event.key() == Qt.Key.Key_Down else -1
            self.list.setCurrentRow(min(max(self.list.currentRow() + step, 0), self.list.count() - 1))
            return True
        return super().eventFilter(watched, event)

    def _take(self) -> None:
        self._clicked(self.list.currentItem())

    def _clicked(self, item: QListWidgetItem | None) -> None:
        if item is None or not item.flags() & Qt.ItemFlag.ItemIsEnabled:
            return
        key = str(item.data(_KEY))
        self.close()
        self.taken.emit(key)


class _TwoSided(QStyledItemDelegate):
    """Paints a line with what stands beside it at its right end."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        return QSize(100, int(TARGET))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> None:
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        able = bool(option.state & QStyle.StateFlag.State_Enabled)
        with saved(painter):
            if chosen:
                painter.fillRect(option.rect, option.palette.highlight())
            area = option.rect.adjusted(6, 0, -6, 0)
            role = QPalette.ColorRole.HighlightedText if chosen else QPalette.ColorRole.Text
            painter.setPen(option.palette.color(role) if able else option.palette.color(QPalette.ColorRole.PlaceholderText))
            beside, room = str(index.data(_BESIDE) or ""), area
            if beside:
                painter.drawText(area, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, beside)
                room = area.adjusted(0, 0, -painter.fontMetrics().horizontalAdvance(beside) - 12, 0)
            text = painter.fontMetrics().elidedText(str(index.data()), Qt.TextElideMode.ElideRight, room.width())
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, text)
