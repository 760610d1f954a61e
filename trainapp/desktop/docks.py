"""What lists beside the bench share: a title bar in the program's look, and rows tall enough to hit that wrap what is long."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtWidgets import QAbstractItemView, QDockWidget, QHBoxLayout, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from trainapp.desktop.parts import FlatButton, TokenLabel
from trainapp.reports.drawing.tokens import BODY, GAP, HEADING, ROW

#: Between the text of a row and its edges, px, both sides together.
_BESIDE, _ABOVE = 12, 6


class DockTitle(QWidget):
    """The title bar of a dock: its name and a button that closes it. It is dragged like the toolkit's own."""

    def __init__(self, dock: QDockWidget) -> None:
        super().__init__(dock)
        self.label = TokenLabel(dock.windowTitle(), "ink", HEADING, bold=True)
        self.close_button = FlatButton("Close", f"Close {dock.windowTitle()}", BODY)
        self.close_button.clicked.connect(dock.close)
        row = QHBoxLayout(self)
        row.setContentsMargins(int(GAP), 0, 4, 0)
        row.addWidget(self.label, 1)
        row.addWidget(self.close_button)
        self.setFixedHeight(max(int(ROW) + 4, self.sizeHint().height()))


class RowDelegate(QStyledItemDelegate):
    """Rows of a list: at least the row height of the program, taller where a text takes several lines."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        view = option.widget
        width = view.viewport().width() - _BESIDE if isinstance(view, QAbstractItemView) else 0
        text = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        if width <= 0:
            return QSize(10, int(ROW))
        needed = option.fontMetrics.boundingRect(QRect(0, 0, width, 10_000), Qt.TextFlag.TextWordWrap, text)
        return QSize(width, max(int(ROW), needed.height() + _ABOVE))


def in_rows(view: QAbstractItemView) -> None:
    """Give a list such rows; a row is measured anew when the list gets wider."""
    view.setItemDelegate(RowDelegate(view))
    view.setTextElideMode(Qt.TextElideMode.ElideNone)
    view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)


__all__ = ["DockTitle", "RowDelegate", "in_rows"]
