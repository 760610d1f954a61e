"""The bench canvas: the laid-out drawing on a scene, hit by tags, with its gestures and keys."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QFrame, QGraphicsScene, QGraphicsView, QToolTip, QWidget

from trainapp import units
from trainapp.desktop.adding import NotHere, adding
from trainapp.desktop.bench import keys, placing
from trainapp.desktop.bench.drops import ShelfDrops
from trainapp.desktop.bench.interactions import Gesture, LayPipe, Pan, Press, SlideFlow
from trainapp.desktop.bench.items import Items
from trainapp.desktop.bench.marks import Marks
from trainapp.desktop.bench.rows_menu import RowsMenu
from trainapp.desktop.fonts import measure
from trainapp.desktop.painter import saved
from trainapp.desktop.session import Session, node_tag
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Tag
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.routes import Route, route
from trainapp.reports.drawing.view import View, layout

#: What a click selects.
_SELECTABLE = ("stage", "link", "supply", "end", "cell", "finding")

_BY_KEYBOARD = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason, Qt.FocusReason.ShortcutFocusReason)


class BenchCanvas(QGraphicsView):
    """Shows the session's train and edits it. It lays out anew whenever anything it shows is another; that takes a few ms."""

    #: Signal emitted when Return is pressed on something, or it is clicked twice: show its card.
    activated = Signal()
    #: Signal emitted with a few words on what would happen, empty when nothing would.
    hinted = Signal(str)
    #: Signal emitted when how far it can be scrolled is another.
    extent_changed = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.view: View | None = None
        self.options = Options(headline=False)
        self.gesture: Gesture | None = None
        self._ring = False
        self._scene = QGraphicsScene(self)
        self._scene.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.NoIndex)
        self.items_shown = Items(self._scene)
        self.marks = Marks(self._scene, self)
        self.drops = ShelfDrops(self)
        self._set_up()
        session.changed.connect(self.relayout)
        session.shown_changed.connect(self.relayout)
        session.selection_changed.connect(self._selection_changed)
        look().changed.connect(self._recolour)
        self._recolour()

    def _set_up(self) -> None:
        self.setScene(self._scene)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.SmartViewportUpdate)
        self.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAcceptDrops(True)
        self.viewport().setAcceptDrops(True)
        self.viewport().setMouseTracking(True)
        self.setMinimumSize(360, 300)
        self.setAccessibleName("Bench")

    # Layout -------------------------------------------------------------------------------------------------------------------

    def relayout(self) -> None:
        """Lay out and show the session's train as it is now."""
        model = self.session.model
        size = self.viewport().size()
        if model is None or size.width() < 2:
            return
        self.options = replace(
            self.options,
            width=float(size.width()),
            height=float(size.height()),
            selected=self.session.selection,
            stale=bool(self.session.stale),
            flow=self._tried(),
            tier=self.view.grid.tier if self.view else None,
            opened=placing.lanes_of(route_of(model), self.session.selection),
        )
        self._lay(model)
        self._hold_scroll(model)
        assert self.view is not None
        self.items_shown.show(self.view.display.items)
        self.marks.ports(self.session.selection)
        self._scene.setSceneRect(QRectF(0, 0, self.options.width, self.options.height))
        self._describe()
        self.extent_changed.emit()

    def _lay(self, model: BenchModel) -> None:
        self.view = layout(model, self.options, measure)

    def _hold_scroll(self, model: BenchModel) -> None:
        """Do not stay scrolled beyond what there is after an edit or a resize."""
        x, y = self.scroll_range
        if self.options.pan_x > x or self.options.scroll > y:
            self.options = replace(self.options, pan_x=min(self.options.pan_x, x), scroll=min(self.options.scroll, y))
            self._lay(model)

    def _tried(self) -> float | None:
        flow = self.session.trial_flow
        return None if flow is None else units.convert(flow, "flow", self.session.system)

    @property
    def scroll_range(self) -> tuple[float, float]:
        """How far the drawing can be scrolled left and its bands up, px of the drawing."""
        if self.view is None:
            return 0.0, 0.0
        width, height = self.view.content
        return max(width - self.options.width, 0.0), max(height - self.options.height, 0.0)

    @property
    def bench_bottom(self) -> float:
        """y under which the bands begin."""
        return self.view.bands_top if self.view else 0.0

    def scroll_to(self, x: float | None = None, y: float | None = None) -> None:
        """Scroll the drawing; held to what there is."""
        most_x, most_y = self.scroll_range
        pan = self.options.pan_x if x is None else min(max(x, 0.0), most_x)
        scroll = self.options.scroll if y is None else min(max(y, 0.0), most_y)
        if (pan, scroll) != (self.options.pan_x, self.options.scroll):
            self.options = replace(self.options, pan_x=pan, scroll=scroll)
            self.relayout()

    def scroll_by(self, x: float, y: float) -> None:
        """Scroll the drawing by so many px."""
        self.scroll_to(self.options.pan_x + x, self.options.scroll + y)

    def fit(self) -> None:
        """Show the whole train from its beginning."""
        self.options = replace(self.options, zoom=1.0, pan_x=0.0, pan_y=0.0, scroll=0.0)
        self.relayout()

    def _selection_changed(self) -> None:
        self.relayout()

    def _recolour(self) -> None:
        self.setBackgroundBrush(look().colour("sheet"))
        self.viewport().update()

    def _describe(self) -> None:
        """Say what is selected where a screen reader looks."""
        group = self.view.display.find(self.session.selection) if self.view and self.session.selection else None
        self.setAccessibleDescription((group.name or group.tooltip) if group is not None else "nothing selected")

    # Hits ---------------------------------------------------------------------------------------------------------------------

    def drawing_at(self, position: QPoint) -> QPointF:
        """A place of the viewport in px of the drawing."""
        return self.mapToScene(position)

    def tag_at(self, at: QPointF) -> Tag:
        """Tag of what lies at a place of the drawing."""
        group = self.view.display.at(at.x(), at.y()) if self.view else None
        return group.tag if group is not None else ()

    def session_tag(self, node: str) -> Tag:
        """The tag of a node of the document."""
        return node_tag(self.session.document, node)

    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent) and self.view is not None:
            at = self.drawing_at(event.pos())
            group = self.view.display.at(at.x(), at.y())
            text = "drag to another stage to lay a pipe" if self.marks.port_at(at.x(), at.y()) else group.tooltip if group else ""
            QToolTip.showText(event.globalPos(), text, self.viewport())
            return True
        return super().viewportEvent(event)

    # Gestures -----------------------------------------------------------------------------------------------------------------

    def begin(self, gesture: Gesture | None) -> None:
        """Go on with another gesture, or with none."""
        self.gesture = gesture
        self.viewport().setCursor(gesture.cursor if gesture is not None else Qt.CursorShape.ArrowCursor)

    def moved(self, at: QPointF) -> None:
        """Let the gesture know where the pointer is."""
        if self.gesture is not None:
            self.gesture.move(at)

    def clicked(self, tag: Tag, at: QPointF) -> None:
        """Something was clicked at a place of the drawing."""
        if tag == ("choose-rows",):
            RowsMenu(self).open_at(self.viewport().mapToGlobal(self.mapFromScene(at)))
        elif tag == ("staircase",) and self.view is not None:
            self.session.select(self.session_tag(placing.nearest_node(self.view, at.x())))
        else:
            self.session.select(tag if tag[:1] and tag[0] in _SELECTABLE else ())

    def shown_rows(self) -> list[str]:
        """Analytes that the ledger shows now, from the top."""
        return [str(row[0][1]) for row in placing.cells(self.view)] if self.view is not None else []

    def choose_rows(self, rows: tuple[str, ...]) -> None:
        """Show these analytes first; none for the program's own choice."""
        self.options = replace(self.options, rows=rows)
        self.relayout()

    def cancel_gesture(self) -> bool:
        """Give a gesture up; whether there was one."""
        if self.gesture is None:
            return False
        self.gesture.cancel()
        self.begin(None)
        self.hinted.emit("")
        return True

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = self.drawing_at(event.position().toPoint())
        if self.view is None or self.gesture is not None:
            return
        if event.button() == Qt.MouseButton.MiddleButton:
            self.begin(Pan(self, at))
        elif event.button() == Qt.MouseButton.LeftButton:
            self.begin(self._gesture_at(at))
            if isinstance(self.gesture, SlideFlow):
                self.gesture.move(at)

    def _gesture_at(self, at: QPointF) -> Gesture:
        port = self.marks.port_at(at.x(), at.y())
        node = placing.selected_node(self.session.selection)
        if port and node is not None:
            return LayPipe(self, at, node, port == "out")
        tag = self.tag_at(at)
        if tag in (("handle", "flow"), ("track", "flow")):
            return SlideFlow(self, at)
        return Press(self, at, tag)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = self.drawing_at(event.position().toPoint())
        if self.gesture is not None:
            self.moved(at)
            return
        tag = self.tag_at(at)
        over = self.marks.port_at(at.x(), at.y()) or (tag and tag[0] in (*_SELECTABLE, "staircase", "choose-rows", "handle", "track"))
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        gesture = self.gesture
        if gesture is not None and event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self.begin(None)
            self.hinted.emit("")
            gesture.release(self.drawing_at(event.position().toPoint()))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self.session.selection:
            self.activated.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        turn = event.angleDelta()
        sideways = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        self.scroll_by(-(turn.y() if sideways else turn.x()) / 2.0, 0.0 if sideways else -turn.y() / 2.0)
        event.accept()

    def slide_to(self, x: float) -> None:
        """Try the flow at an x of the slider."""
        if self.view is None or self.view.slider is None:
            return
        flow = units.internal(self.view.slider.flow(x), "flow", self.session.system)
        own = abs(flow - self.session.document_peak) < 1e-9
        self.session.try_flow(None if own else flow)

    def say_where(self, link: placing.Ends | None) -> None:
        """Say in words which pipe would open."""
        self.hinted.emit(f"between {self.session.title_of(link[0])} and {self.session.title_of(link[1])}" if link else "")

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

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._ring = event.reason() in _BY_KEYBOARD
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.relayout()

    def drawForeground(self, painter: QPainter, rect: QRectF) -> None:
        """The ring of the keyboard's focus, until something is selected."""
        if not self._ring or not self.hasFocus() or self.session.selection:
            return
        with saved(painter):
            painter.resetTransform()
            painter.setPen(QPen(look().colour("accent"), 2.0))
            painter.drawRect(self.viewport().rect().adjusted(1, 1, -2, -2))


def route_of(model: BenchModel) -> Route:
    """The train as the drawing reads it."""
    return route([stage.id for stage in model.stages], model.links, [end.id for end in model.ends])
