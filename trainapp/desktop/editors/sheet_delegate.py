"""How the cells of a sheet are painted and what edits them."""

from __future__ import annotations

from PySide6.QtCore import QAbstractItemModel, QPointF, QRect, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QPainter, QPen, QShowEvent, QWheelEvent
from PySide6.QtWidgets import QComboBox, QHeaderView, QLineEdit, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget
from shiboken6 import isValid

from trainapp.desktop.editors.sheet_model import CELL_ROLE, Cell, Index, SheetModel
from trainapp.desktop.figures import local
from trainapp.desktop.fonts import font, measure
from trainapp.desktop.painter import paint, saved
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Polyline
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.tokens import BODY, CAPTION, MARK_LEAST, ROW, SELECTION


class CellChoice(QComboBox):
    """The editor of a choice inside a cell, which shows its list at once; a wheel changes it only while it has the focus."""

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        # Closed, an arrow key would already choose.
        if not self.isEditable():
            QTimer.singleShot(0, self._open)

    def _open(self) -> None:
        if isValid(self) and self.isVisible():
            self.showPopup()

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class SheetDelegate(QStyledItemDelegate):
    """Paints cells in the program's plain way and makes their editors."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(int(measure(str(index.data() or ""), BODY)) + 16, int(ROW))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        cell: Cell = index.data(CELL_ROLE)
        area = QRectF(option.rect)
        with saved(painter):
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.fillRect(area, look().colour("page"))
            painter.setPen(QPen(look().colour("hair"), 1.0))
            painter.drawLine(QPointF(area.left(), area.bottom() - 0.5), QPointF(area.right(), area.bottom() - 0.5))
            self._text(painter, area, cell, index)
            if option.state & QStyle.StateFlag.State_Selected:
                strong = bool(option.state & QStyle.StateFlag.State_Active) and option.widget is not None and option.widget.hasFocus()
                painter.setPen(QPen(look().colour("accent" if strong else "edge"), SELECTION if strong else 1.0))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(area.adjusted(1, 1, -1, -1))

    def _text(self, painter: QPainter, area: QRectF, cell: Cell, index: Index) -> None:
        inner = area.adjusted(8, 0, -8, 0)
        if cell.mark is not None:
            paint(painter, mark(cell.mark, inner.left() + 5, area.center().y(), MARK_LEAST), look().colour)
            inner.setLeft(inner.left() + 16)
        if cell.choices:
            x, y = area.right() - 12.0, area.center().y()
            paint(painter, [Polyline(((x - 3.5, y - 1.5), (x, y + 2), (x + 3.5, y - 1.5)), "ink3", 1.3)], look().colour)
            inner.setRight(inner.right() - 12)
        model = index.model()
        right = isinstance(model, SheetModel) and model.columns[index.column()].right
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        text, token = (local(cell.text), cell.token) if cell.text else (local(cell.hint), "ink3")
        painter.setFont(font(BODY, cell.bold))
        painter.setPen(look().colour(token))
        elided = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, int(inner.width()))
        painter.drawText(inner, side | Qt.AlignmentFlag.AlignVCenter, elided)

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        cell: Cell = index.data(CELL_ROLE)
        name = str(index.data(Qt.ItemDataRole.AccessibleTextRole) or "")
        if not cell.choices:
            line = QLineEdit(parent)
            line.setFrame(False)
            line.setAccessibleName(name)
            line.setPlaceholderText(cell.hint)
            return line
        box = CellChoice(parent)
        box.setEditable(cell.free)
        box.setAccessibleName(name)
        for word, text in cell.choices:
            box.addItem(text, word)
        if not cell.free:
            box.activated.connect(self._chosen)
        return box

    def _chosen(self, _index: int) -> None:
        box = self.sender()
        if isinstance(box, QWidget):
            self.commitData.emit(box)
            self.closeEditor.emit(box, QStyledItemDelegate.EndEditHint.NoHint)

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        text = str(index.data(Qt.ItemDataRole.EditRole) or "")
        if isinstance(editor, QComboBox):
            found = editor.findData(text)
            editor.setCurrentIndex(max(found, 0) if not editor.isEditable() else found)
            if editor.isEditable():
                editor.setEditText(text)
                if editor.lineEdit() is not None:
                    editor.lineEdit().selectAll()
        elif isinstance(editor, QLineEdit):
            editor.setText(text)
            editor.selectAll()

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        if isinstance(editor, QComboBox):
            word = editor.currentData()
            text = editor.currentText()
            model.setData(index, text if editor.isEditable() or word is None else word)
        elif isinstance(editor, QLineEdit):
            model.setData(index, editor.text())

    def updateEditorGeometry(self, editor: QWidget, option: QStyleOptionViewItem, index: Index) -> None:
        editor.setGeometry(option.rect.adjusted(1, 1, -1, -1))


class SheetHead(QHeaderView):
    """Headings in captions over one hairline."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setHighlightSections(False)
        self.setSectionsClickable(False)
        self.setFixedHeight(int(ROW))

    def paintSection(self, painter: QPainter, rect: QRect, logicalIndex: int) -> None:
        model = self.model()
        area = QRectF(rect)
        with saved(painter):
            painter.fillRect(area, look().colour("page"))
            painter.setPen(QPen(look().colour("edge"), 1.0))
            painter.drawLine(QPointF(area.left(), area.bottom() - 0.5), QPointF(area.right(), area.bottom() - 0.5))
            painter.setFont(font(CAPTION))
            painter.setPen(look().colour("ink3"))
            side = model.headerData(logicalIndex, Qt.Orientation.Horizontal, Qt.ItemDataRole.TextAlignmentRole)
            text = str(model.headerData(logicalIndex, Qt.Orientation.Horizontal) or "")
            painter.drawText(area.adjusted(8, 0, -8, 0), side, text)
