"""The shelf: everything that can stand on the bench. Dragged onto it, or added with Return."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QByteArray, QMimeData, QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QDrag, QKeyEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from trainapp.desktop.adding import ShelfEntry, entry_of, items_like, shelf
from trainapp.desktop.bench.drops import MIME
from trainapp.desktop.catalogues import catalogues
from trainapp.desktop.figures import local
from trainapp.desktop.finder import closeness
from trainapp.desktop.fonts import font, measure
from trainapp.desktop.icons import SIZE, paint_icon
from trainapp.desktop.painter import saved
from trainapp.desktop.parts import FlatButton, LineField, caption, quiet
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import BODY, CAPTION, GAP, HEADING, TARGET
from trainapp.spelling import spelt

_KEY = Qt.ItemDataRole.UserRole
_Index = QModelIndex | QPersistentModelIndex

RAIL = 44
#: Items of the catalogue that are shown at a time.
_MOST_ITEMS = 12


class Shelf(QWidget):
    """The shelf with its search field. As a rail it shows icons only."""

    #: Signal emitted with the key of a line that is to be added.
    chosen = Signal(str)
    #: Signal emitted when the rail asks to be opened or closed.
    toggled = Signal()
    #: Signal emitted when a drag from it has ended.
    dragged = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.title = QLabel("Shelf")
        self.title.setFont(font(HEADING, bold=True))
        self.hint = caption("drag or Return")
        self.opener = FlatButton("»", "Open the shelf")
        self.find = LineField()
        self.find.setPlaceholderText("Find a stage")
        self.find.setAccessibleName("Find a stage")
        self.find.setClearButtonEnabled(True)
        self.list = ShelfList()
        self._arrange()
        self.find.textChanged.connect(self.list.show_matching)
        self.find.returnPressed.connect(self._add_first)
        self.list.itemActivated.connect(self._activated)
        self.list.dragged.connect(self.dragged)
        self.opener.clicked.connect(self.toggled)
        self.setFocusProxy(self.find)
        self.set_rail(False)

    def _arrange(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self.title)
        head.addStretch(1)
        head.addWidget(self.hint)
        head.addWidget(self.opener)
        self._head = head
        column = QVBoxLayout(self)
        column.setContentsMargins(int(GAP), int(GAP), 0, 0)
        column.setSpacing(int(GAP))
        column.addLayout(head)
        column.addWidget(self.find)
        column.addWidget(self.list, 1)
        self._column = column

    def set_rail(self, rail: bool) -> None:
        """Icons only, or names with headings."""
        for widget in (self.title, self.hint, self.find):
            widget.setVisible(not rail)
        self.list.set_rail(rail)
        # In the rail nothing stands beside the button, so that it fills the width.
        self._head.setStretch(1, 0 if rail else 1)
        self._head.setAlignment(self.opener, Qt.AlignmentFlag.AlignHCenter if rail else Qt.AlignmentFlag.AlignRight)
        self._column.setContentsMargins(4 if rail else int(GAP), int(GAP), 4 if rail else int(GAP), 0)

    def set_opener(self, text: str, name: str) -> None:
        """What the button that opens or closes the rail says; none where `text` is empty."""
        self.opener.setVisible(bool(text))
        self.opener.setText(text)
        self.opener.setAccessibleName(name)
        self.opener.setToolTip(name)

    def paintEvent(self, event: QPaintEvent) -> None:
        """An edge where it lies over the bench."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setPen(look().colour("hair"))
        painter.drawLine(self.width() - 1, 0, self.width() - 1, self.height())

    def _activated(self, item: QListWidgetItem) -> None:
        key = item.data(_KEY)
        if key:
            self.chosen.emit(key)

    def _add_first(self) -> None:
        """Return in the search field adds what is found first."""
        for row in range(self.list.count()):
            key = self.list.item(row).data(_KEY)
            if key:
                # the lines go with the text that was looked for
                self.find.clear()
                self.chosen.emit(key)
                return

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Down and self.find.hasFocus():
            self.list.setFocus(Qt.FocusReason.TabFocusReason)
            return
        super().keyPressEvent(event)


class ShelfList(QListWidget):
    """The lines of the shelf under their headings."""

    #: Signal emitted when a drag has ended, wherever.
    dragged = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rail = False
        quiet(self)
        self.setAccessibleName("Shelf")
        self.setDragEnabled(True)
        self.setDragDropMode(QAbstractItemView.DragDropMode.DragOnly)
        self.setMouseTracking(True)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setItemDelegate(_Line(self))
        self._fill(shelf())
        self._text = ""
        catalogues().changed.connect(self._items_changed)

    def _add_heading(self, text: str) -> None:
        item = QListWidgetItem(spelt(text))
        item.setFlags(Qt.ItemFlag.NoItemFlags)
        self.addItem(item)

    def _add(self, entry: ShelfEntry) -> None:
        item = QListWidgetItem(entry.label)
        item.setData(_KEY, entry.key)
        item.setToolTip(f"{entry.label}. {entry.summary}")
        item.setData(Qt.ItemDataRole.AccessibleTextRole, entry.label)
        item.setData(Qt.ItemDataRole.AccessibleDescriptionRole, entry.summary)
        self.addItem(item)

    def set_rail(self, rail: bool) -> None:
        """Icons only, or names."""
        self.rail = rail
        self.scheduleDelayedItemsLayout()

    def show_matching(self, text: str) -> None:
        """Only lines that hold every word of the text, those of that name first, and items of the catalogue that do."""
        self._text = text
        words = text.casefold().split()
        self.clear()
        self._fill(_matching(shelf(), words))
        if words:
            self._show_items(text)

    def _fill(self, entries: Sequence[ShelfEntry]) -> None:
        """Lines under their headings."""
        heading = ""
        for entry in entries:
            if entry.group != heading:
                heading = entry.group
                self._add_heading(heading)
            self._add(entry)

    def _show_items(self, text: str) -> None:
        """Items under the kinds."""
        found = items_like(text)
        heading = ""
        for entry in found[:_MOST_ITEMS]:
            if entry.group != heading:
                heading = entry.group
                self._add_heading(f"{heading}, catalogue")
            self._add(entry)
        if len(found) > _MOST_ITEMS:
            self._add_heading(f"{len(found) - _MOST_ITEMS} more, type on")

    def _items_changed(self) -> None:
        self.show_matching(self._text)

    def mimeData(self, items: Sequence[QListWidgetItem]) -> QMimeData:
        data = QMimeData()
        for item in items:
            if item.data(_KEY):
                data.setData(MIME, QByteArray(str(item.data(_KEY)).encode("utf-8")))
                data.setText(item.text())
        return data

    def startDrag(self, actions: Qt.DropAction) -> None:
        item = self.currentItem()
        entry = entry_of(item.data(_KEY)) if item is not None and item.data(_KEY) else None
        if entry is None:
            return
        drag = QDrag(self)
        drag.setMimeData(self.mimeData([item]))
        drag.setPixmap(_carried(entry, self.devicePixelRatioF()))
        drag.exec(Qt.DropAction.CopyAction)
        self.dragged.emit()


def _matching(entries: Sequence[ShelfEntry], words: Sequence[str]) -> list[ShelfEntry]:
    """Lines that hold every word, by their own names before their headings and their help; what shares a heading stays together."""
    found = [e for e in entries if all(word in f"{e.label} {e.group} {e.summary}".casefold() for word in words)]
    near = {entry.key: closeness(entry.label, words) for entry in found}
    nearest: dict[str, int] = {}
    for entry in found:
        nearest[entry.group] = min(nearest.get(entry.group, 3), near[entry.key])
    headings = list(nearest)
    return sorted(found, key=lambda e: (nearest[e.group], headings.index(e.group), near[e.key]))


class _Line(QStyledItemDelegate):
    """Paints a line: a heading, or icon and name."""

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:
        rail = isinstance(self.parent(), ShelfList) and self.parent().rail
        if not index.data(_KEY):
            return QSize(10, 9 if rail else int(TARGET))
        entry = entry_of(index.data(_KEY))
        view = self.parent()
        width = view.viewport().width() if isinstance(view, QListWidget) else 120
        two = entry is not None and not rail and len(_lines(entry, width - SIZE - 16)) > 1
        return QSize(RAIL - 8 if rail else 120, int(TARGET) + (10 if two else 0))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        rail = isinstance(self.parent(), ShelfList) and self.parent().rail
        area = QRectF(option.rect)
        with saved(painter):
            if not index.data(_KEY):
                self._heading(painter, area, str(index.data(Qt.ItemDataRole.DisplayRole)), rail)
                return
            self._ground(painter, area, option)
            entry = entry_of(index.data(_KEY))
            if entry is None:
                return
            square = QRectF(area.x(), area.y(), area.width() if rail else SIZE + 8, area.height())
            paint_icon(painter, square, entry)
            if not rail:
                painter.setFont(font(BODY))
                painter.setPen(look().colour("ink"))
                inner = area.adjusted(SIZE + 12, 0, -4, 0)
                lines = _lines(entry, inner.width())
                pitch = inner.height() / len(lines)
                for number, line in enumerate(lines):
                    text = painter.fontMetrics().elidedText(local(line), Qt.TextElideMode.ElideRight, int(inner.width()))
                    place = QRectF(inner.x(), inner.y() + number * pitch, inner.width(), pitch)
                    painter.drawText(place, Qt.AlignmentFlag.AlignVCenter, text)

    def _heading(self, painter: QPainter, area: QRectF, text: str, rail: bool) -> None:
        if rail:
            painter.setPen(look().colour("hair"))
            painter.drawLine(area.left() + 4, area.center().y(), area.right() - 4, area.center().y())
            return
        painter.setFont(font(CAPTION))
        painter.setPen(look().colour("ink3"))
        inner = area.adjusted(2, 0, 0, -3)
        shown = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, int(inner.width()))
        painter.drawText(inner, Qt.AlignmentFlag.AlignBottom, shown)

    def _ground(self, painter: QPainter, area: QRectF, option: QStyleOptionViewItem) -> None:
        focused = bool(option.state & QStyle.StateFlag.State_Selected) and bool(option.state & QStyle.StateFlag.State_HasFocus)
        if option.state & QStyle.StateFlag.State_MouseOver or focused:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look().colour("sheet"))
            painter.drawRoundedRect(area.adjusted(0, 1, -1, -1), 3, 3)
        if focused:
            pen = painter.pen()
            pen.setStyle(Qt.PenStyle.SolidLine)
            pen.setColor(look().colour("accent"))
            pen.setWidthF(2.0)
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(area.adjusted(1, 1, -2, -2), 3, 3)


def _lines(entry: ShelfEntry, width: float) -> list[str]:
    """The name of a line: that of an item without its kind, which stands above it, and on two lines where one is too short."""
    label = entry.label.removeprefix(entry.group).lstrip(", ") or entry.label
    head, comma, tail = label.rpartition(", ")
    return [label] if not comma or measure(label, BODY) <= width else [f"{head},", tail]


def _carried(entry: ShelfEntry, ratio: float) -> QPixmap:
    """What the pointer carries: icon and name on a slip."""
    width, height = int(measure(entry.label, BODY) + SIZE + 24), int(TARGET) + 2
    pixmap = QPixmap(QSize(int(width * ratio), int(height * ratio)))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(look().colour("page"))
    painter = QPainter(pixmap)
    painter.setPen(look().colour("edge"))
    painter.drawRect(0, 0, width - 1, height - 1)
    paint_icon(painter, QRectF(4, 0, SIZE, height), entry)
    painter.setFont(font(BODY))
    painter.setPen(look().colour("ink"))
    painter.drawText(QRectF(SIZE + 12, 0, width, height), Qt.AlignmentFlag.AlignVCenter, entry.label)
    painter.end()
    return pixmap
