"""Hands for the tests: real presses, moves, drops and keys on what is shown."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QByteArray, QEvent, QMimeData, QPoint, QPointF, Qt
from PySide6.QtGui import QDragEnterEvent, QDragLeaveEvent, QDragMoveEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.drops import MIME
from trainapp.reports.drawing.display import Tag

LEFT = Qt.MouseButton.LeftButton


def spot(canvas: BenchCanvas, tag: Tag) -> QPoint:
    """A place of the viewport at which a tag is hit."""
    assert canvas.view is not None
    for group in canvas.view.display.groups():
        if group.tag == tag:
            for area in group.areas:
                for part in ((0.5, 0.5), (0.5, 0.25), (0.25, 0.5), (0.75, 0.5), (0.5, 0.75), (0.1, 0.5), (0.9, 0.5)):
                    x, y = area.x + part[0] * area.w, area.y + part[1] * area.h
                    hit = canvas.view.display.at(x, y)
                    if hit is not None and hit.tag == tag and not canvas.port_at(QPointF(x, y)):
                        return canvas.mapFromScene(QPointF(x, y))
    raise AssertionError(f"{tag} is nowhere to be hit")


def click(canvas: BenchCanvas, tag: Tag) -> None:
    """Click on what a tag stands for."""
    QTest.mouseClick(canvas.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, spot(canvas, tag))


def drag(canvas: BenchCanvas, start: QPoint, end: QPoint, steps: int = 6, button: Qt.MouseButton = LEFT) -> Iterator[None]:
    """Press, move and let go; yields while the button is still down."""
    view = canvas.viewport()
    QTest.mousePress(view, button, Qt.KeyboardModifier.NoModifier, start)
    for i in range(1, steps + 1):
        QTest.mouseMove(view, start + (end - start) * i / steps)
        QApplication.processEvents()
    yield
    QTest.mouseRelease(view, button, Qt.KeyboardModifier.NoModifier, end)


def drag_to(canvas: BenchCanvas, start: QPoint, end: QPoint) -> None:
    """Press, move and let go."""
    for _ in drag(canvas, start, end):
        pass


def shown(canvas: BenchCanvas, kind: str) -> set[Tag]:
    """Tags of a kind that are shown."""
    return {tag for tag in canvas.items_shown.tags() if tag[0] == kind}


def between(canvas: BenchCanvas, left: str, right: str) -> QPoint:
    """A place on the floor between two neighbours."""
    assert canvas.view is not None
    centres = canvas.view.spread.centres
    y = canvas.view.floor - 8.0
    return canvas.mapFromScene(QPointF((centres[left] + centres[right]) / 2, y))


class Carried:
    """Something from the shelf on its way over the bench, as the window system would report it."""

    def __init__(self, canvas: BenchCanvas, key: str) -> None:
        self.canvas = canvas
        self.data = QMimeData()
        self.data.setData(MIME, QByteArray(key.encode()))

    def enter(self, at: QPoint) -> bool:
        event = QDragEnterEvent(at, Qt.DropAction.CopyAction, self.data, LEFT, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(self.canvas.viewport(), event)
        return event.isAccepted()

    def move(self, at: QPoint) -> bool:
        event = QDragMoveEvent(at, Qt.DropAction.CopyAction, self.data, LEFT, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(self.canvas.viewport(), event)
        return event.isAccepted()

    def leave(self) -> None:
        QApplication.sendEvent(self.canvas.viewport(), QDragLeaveEvent())

    def drop(self, at: QPoint) -> None:
        self.enter(at)
        self.move(at)
        event = QDropEvent(QPointF(at), Qt.DropAction.CopyAction, self.data, LEFT, Qt.KeyboardModifier.NoModifier, QEvent.Type.Drop)
        QApplication.sendEvent(self.canvas.viewport(), event)


def key(widget: QWidget, *keys: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Press keys on a widget."""
    for each in keys:
        QTest.keyClick(widget, each, modifier)


def enter(widget: QWidget, text: str) -> None:
    """Type a text over what stands in a line, and press Return."""
    widget.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(widget, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(widget, text) if text else QTest.keyClick(widget, Qt.Key.Key_Delete)
    QTest.keyClick(widget, Qt.Key.Key_Return)
