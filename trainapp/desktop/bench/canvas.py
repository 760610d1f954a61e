"""The bench canvas: what pointer and keys do to the train that it shows."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QKeyEvent,
    QMouseEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from trainapp import units
from trainapp.desktop.adding import NotHere, adding
from trainapp.desktop.bench import keys, placing
from trainapp.desktop.bench.arranging import NUDGE, tidied
from trainapp.desktop.bench.carrying import Carry
from trainapp.desktop.bench.drops import ShelfDrops
from trainapp.desktop.bench.hints import Hints
from trainapp.desktop.bench.interactions import Gesture, LayPipe, Pan, Press, RubberBand, SlideFlow
from trainapp.desktop.bench.pane import BenchPane
from trainapp.desktop.bench.rows_menu import RowsMenu
from trainapp.desktop.bench.sight import STEP
from trainapp.desktop.session import Session
from trainapp.reports.drawing.display import Tag
from trainapp.train.floor import places

#: What a click selects, and what it does something with.
_SELECTABLE = ("stage", "link", "supply", "end", "cell", "finding")
_LIVE = (*_SELECTABLE, "staircase", "choose-rows", "handle", "track", "tidy")


class BenchCanvas(BenchPane):
    """Edits the session's train by pointer and keyboard."""

    #: Signal emitted when Return is pressed on something, or it is clicked twice: show its card.
    activated = Signal()
    #: Signal emitted with a few words on what would happen, empty when nothing would.
    hinted = Signal(str)
    #: Signal emitted with the place on the screen where a menu is wanted for what is selected.
    menu_asked = Signal(QPoint)
    #: Signal emitted when something is to be added at the pointer.
    add_asked = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        self.gesture: Gesture | None = None
        self.modifiers = Qt.KeyboardModifier.NoModifier
        self.holding_space = False
        self.pointer: QPointF | None = None
        self._pressing = False
        self._nudged: tuple[tuple[Tag, ...], str] | None = None
        super().__init__(session, parent)
        self.drops = ShelfDrops(self)
        self.hints = Hints(self)

    @property
    def busy(self) -> bool:
        return self.gesture is not None or self._pressing

    def hold_space(self, held: bool) -> None:
        """While Space is held, the left button moves the drawing."""
        self.holding_space = held
        if self.gesture is None:
            self.begin(None)

    def nudge(self, step: int) -> None:
        """Move what is selected along the floor by an inch or two centimetres; presses in a row are one step of undo."""
        floor, session = self.floor, self.session
        nodes = [node for tag in session.chosen if (node := placing.selected_node(tag))]
        edit = floor.moved(nodes, step * NUDGE[session.system], "Nudge along the floor") if floor is not None else None
        if edit is None:
            return
        if self._nudged is None or self._nudged[0] != session.chosen:
            self._nudged = session.chosen, session.begin_gesture("nudge")
        session.edit(edit, select=session.selection, also=session.also, gesture=self._nudged[1])

    # Gestures -----------------------------------------------------------------------------------------------------------------

    def begin(self, gesture: Gesture | None) -> None:
        """Go on with another gesture, or with none."""
        self.gesture = gesture
        shape = Qt.CursorShape.OpenHandCursor if self.holding_space else Qt.CursorShape.ArrowCursor
        self.viewport().setCursor(gesture.cursor if gesture is not None else shape)

    def moved(self, at: QPointF) -> None:
        """Let the gesture know where the pointer is."""
        self.pointer = at
        if self.gesture is not None:
            self.gesture.move(at)

    def drag_from(self, start: QPointF, tag: Tag, adding: bool) -> Gesture | None:
        """What a drag that began on something becomes."""
        if start.y() >= self.bench_bottom:
            return None
        if (len(tag) == 2 and tag[0] == "stage") or tag == ("supply",):
            if tag not in self.session.chosen:
                self.session.select(tag, self.session.chosen if adding else ())
            nodes = [node for each in self.session.chosen if (node := placing.selected_node(each)) and each[0] in ("stage", "supply")]
            return Carry(self, start, nodes)
        return RubberBand(self, start, adding) if not tag or tag[0] not in _LIVE else None

    def clicked(self, tag: Tag, at: QPointF, adding: bool = False) -> None:
        """Something was clicked at a point of the view, or with Shift or Ctrl beside what is selected."""
        if tag == ("choose-rows",):
            RowsMenu(self).open_at(self.viewport().mapToGlobal(self.mapFromScene(at)))
        elif tag == ("tidy",):
            self.tidy_up()
        elif tag == ("staircase",) and self.view is not None:
            self.session.select(self.session_tag(placing.nearest_node(self.view, self.on_bench(at).x())))
        elif adding and tag[:1] and tag[0] in ("stage", "link", "supply", "end"):
            self.session.toggle(tag)
        elif not adding or tag:
            self.session.select(tag if tag[:1] and tag[0] in _SELECTABLE else ())

    def tidy_up(self) -> None:
        """Give the floor back to the program."""
        own = places(self.session.document)
        if own:
            self.session.edit(tidied(own), select=self.session.selection, also=self.session.also)

    def cancel_gesture(self) -> bool:
        """Give a gesture up; whether there was one."""
        if self.gesture is None:
            return False
        gesture = self.gesture
        self.begin(None)
        gesture.cancel()
        self.hints.clear()
        return True

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.ring = False
        self.modifiers = event.modifiers()
        at = self.drawing_at(event.position().toPoint())
        if self.view is None or self.gesture is not None:
            return
        if event.button() == Qt.MouseButton.MiddleButton or (event.button() == Qt.MouseButton.LeftButton and self.holding_space):
            self.begin(Pan(self, at))
        elif event.button() == Qt.MouseButton.LeftButton:
            self.begin(self._gesture_at(at))
            if isinstance(self.gesture, SlideFlow):
                self.gesture.move(at)

    def _gesture_at(self, at: QPointF) -> Gesture:
        port = self.port_at(at)
        node = placing.selected_node(self.session.selection)
        if port and node is not None:
            return LayPipe(self, at, node, port == "out")
        tag = self.tag_at(at)
        if tag in (("handle", "flow"), ("track", "flow")):
            return SlideFlow(self, at)
        return Press(self, at, tag)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = self.drawing_at(event.position().toPoint())
        self.pointer = at
        if self.gesture is not None:
            self.modifiers = event.modifiers()
            self.moved(at)
            return
        tag = self.tag_at(at)
        if self.holding_space:
            self.viewport().setCursor(Qt.CursorShape.OpenHandCursor)
            return
        over = self.port_at(at) or (tag and tag[0] in _LIVE)
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.pointer = None

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        gesture = self.gesture
        if gesture is not None and event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self.modifiers = event.modifiers()
            self.begin(None)
            self._pressing = True
            try:
                gesture.release(self.drawing_at(event.position().toPoint()))
            finally:
                self._pressing = False
            self.hints.clear()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self.session.selection:
            self.activated.emit()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """By pointer for what lies there, by keyboard for what is selected."""
        if event.reason() == QContextMenuEvent.Reason.Mouse:
            at = self.drawing_at(event.pos())
            self.pointer = at
            tag = self.tag_at(at)
            tag = tag if tag[:1] and tag[0] in _SELECTABLE else ()
            if tag not in self.session.chosen:
                self.session.select(tag)
            self.menu_asked.emit(event.globalPos())
        else:
            self.pointer = None
            self.menu_asked.emit(self.viewport().mapToGlobal(self.selected_at()))
        event.accept()

    def selected_at(self) -> QPoint:
        """A point of the viewport at what is selected, the middle of the bench where nothing is."""
        view = self.view
        group = view.find(self.session.selection) if view is not None and self.session.selection else None
        if view is None or group is None or not group.areas:
            return self.viewport().rect().center()
        area = group.areas[0]
        x, y = area.x + area.w / 2 - view.pan.x, area.y + area.h / 2 + view.pan.y
        return QPoint(round(min(max(x, 0.0), view.width)), round(min(max(y, 0.0), self.bench_bottom)))

    def wheelEvent(self, event: QWheelEvent) -> None:
        turn = event.angleDelta()
        held = event.modifiers()
        at = self.drawing_at(event.position().toPoint())
        if held & Qt.KeyboardModifier.ControlModifier:
            self.sight.zoom_by(STEP ** (turn.y() / 120.0), at)
        elif held & Qt.KeyboardModifier.ShiftModifier:
            self.sight.pan_by(-turn.y() / 2.0, 0.0)
        elif at.y() < self.bench_bottom:
            self.sight.pan_by(-turn.x() / 2.0, -turn.y() / 2.0)
        elif self.view is not None:
            self.scroll_to(self.view.pan.x - turn.x() / 2.0, self.view.pan.scroll - turn.y() / 2.0)
        event.accept()

    def slide_to(self, x: float) -> None:
        """Try the flow at an x of the slider."""
        if self.view is None or self.view.slider is None:
            return
        flow = units.internal(self.view.slider.flow(x), "flow", self.session.system)
        own = abs(flow - self.session.document_peak) < 1e-9
        self.session.try_flow(None if own else flow)

    # From the shelf -----------------------------------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        self.drops.enter(event)

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        self.drops.move(event)

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        self.drops.leave()

    def dropEvent(self, event: QDropEvent) -> None:
        self.drops.drop(event)

    def put(self, key: str, beside: Tag, link: placing.Ends | None = None) -> None:
        """Put something from the shelf on the bench."""
        try:
            edit = adding(self.session.document, key, beside, link)
        except NotHere as error:
            self.session.refused.emit(f"Not done: {error}")
            return
        self.session.edit(edit)

    # Keys and focus -----------------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not keys.pressed(self, event):
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not keys.released(self, event):
            event.ignore()
