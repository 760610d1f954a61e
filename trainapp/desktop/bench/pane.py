"""The pane that shows the bench: the laid-out drawing on a scene, panned in layers, hit by tags."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QHelpEvent, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import QFrame, QGraphicsScene, QGraphicsView, QToolTip, QWidget

from trainapp import units
from trainapp.desktop.bench import placing
from trainapp.desktop.bench.arranging import Floor
from trainapp.desktop.bench.items import DrawnItem
from trainapp.desktop.bench.layers import Layers
from trainapp.desktop.bench.marks import Marks
from trainapp.desktop.bench.sight import Sight
from trainapp.desktop.figures import local
from trainapp.desktop.fonts import measure
from trainapp.desktop.painter import HINTS, saved
from trainapp.desktop.session import Session, node_tag
from trainapp.desktop.theme import look
from trainapp.reports.drawing import layers as drawn
from trainapp.reports.drawing.display import Tag
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import wrap
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.tokens import BODY
from trainapp.reports.drawing.view import View, layout
from trainapp.train.routes import Route, route

#: Width at which tooltips go on in a new line, px at 100 %.
_TOOLTIP = 360.0

_BY_KEYBOARD = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason, Qt.FocusReason.ShortcutFocusReason)


class BenchPane(QGraphicsView):
    """Shows the session's train. It lays out anew whenever anything it shows is another; that takes a few ms. Panning does not."""

    #: Signal emitted when what is seen of it, or how far it can be moved, is another.
    extent_changed = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.view: View | None = None
        self.options = Options(headline=False)
        self.ring = False
        self._scene = QGraphicsScene(self)
        self._scene.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.NoIndex)
        self.layers = Layers(self._scene)
        self.items_shown = self.layers.items
        self.marks = Marks(self._scene, self.layers.over, self)
        self.sight = Sight(self)
        self._set_up()
        session.changed.connect(self.relayout)
        session.shown_changed.connect(self.relayout)
        session.selection_changed.connect(self._selection_changed)
        look().changed.connect(self._recolour)
        self._recolour()

    def _set_up(self) -> None:
        self.setScene(self._scene)
        for hint in HINTS:
            self.setRenderHint(hint)
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
            also=self.session.also,
            finding=self.session.finding or 0,
            stale=bool(self.session.stale),
            flow=self._tried(),
            tier=self.view.grid.tier if self.view else None,
            opened=placing.lanes_of(route_of(model), self.session.selection),
        )
        self.view = layout(model, self.options, measure)
        self._keep_pan()
        self.layers.show(self.view)
        self.marks.ports(self.session.selection if not self.session.also else ())
        self._scene.setSceneRect(QRectF(0, 0, self.options.width, self.options.height))
        self._describe()
        self.extent_changed.emit()

    def show_panned(self, view: View) -> None:
        """Show the same view, moved; nothing is laid out."""
        self.view = view
        self._keep_pan()
        self.layers.move(view)
        self.extent_changed.emit()

    def _keep_pan(self) -> None:
        """The layout holds what was asked for to what there is; the next one begins from there."""
        if self.view is not None:
            pan = self.view.pan
            self.options = replace(self.options, pan_x=pan.x, pan_y=pan.y, scroll=pan.scroll)

    def _tried(self) -> float | None:
        flow = self.session.trial_flow
        return None if flow is None else units.convert(flow, "flow", self.session.system)

    @property
    def scroll_range(self) -> tuple[float, float]:
        """How far the drawing can be moved left and its bands up, px."""
        return (self.view.most.x, self.view.most.scroll) if self.view is not None else (0.0, 0.0)

    @property
    def bench_bottom(self) -> float:
        """y under which the bands begin."""
        return self.view.bands_top if self.view else 0.0

    @property
    def floor(self) -> Floor | None:
        """The floor as it is now."""
        model = self.session.model
        return Floor(model, self.view, self.session.system) if model is not None and self.view is not None else None

    def scroll_to(self, x: float | None = None, y: float | None = None) -> None:
        """Move the drawing left and its bands up; held to what there is."""
        if self.view is not None:
            pan = self.view.pan
            self.sight.pan_to(replace(pan, x=pan.x if x is None else x, scroll=pan.scroll if y is None else y))

    def shown_rows(self) -> list[str]:
        """Analytes that the ledger shows now, from the top."""
        return [str(row[0][1]) for row in placing.cells(self.view)] if self.view is not None else []

    def choose_rows(self, rows: tuple[str, ...]) -> None:
        """Show these analytes first; none for the program's own choice."""
        self.options = replace(self.options, rows=rows)
        self.relayout()

    def show_clearances(self, shown: bool) -> None:
        """Draw the free places that service needs at every stage, or only where there is not enough room."""
        self.options = replace(self.options, clearances=shown)
        self.relayout()

    def _selection_changed(self) -> None:
        self.relayout()
        if self.ring:
            # it comes and goes with the selection, and runs past all that is drawn anew
            self.viewport().update()
        if not self.busy:
            self.sight.reveal(self.session.selection)

    @property
    def busy(self) -> bool:
        """Whether the pointer is doing something: then nothing is moved under it."""
        return False

    def fit(self) -> None:
        """Show the whole train from its beginning."""
        self.sight.fit()

    def _recolour(self) -> None:
        self.setBackgroundBrush(look().colour("sheet"))
        for item in self._scene.items():
            if isinstance(item, DrawnItem):
                item.recolour()

    def _describe(self) -> None:
        """Say what is selected where a screen reader looks."""
        chosen = self.session.chosen
        if len(chosen) > 1:
            self.setAccessibleDescription(f"{len(chosen)} things selected")
            return
        tag = self.session.selection
        groups = [layer.groups.get(tag) for layer in self.view.layers] if self.view and tag else []
        group = next((group for group in groups if group is not None), None)
        self.setAccessibleDescription((group.name or group.tooltip) if group is not None else "nothing selected")

    # Hits ---------------------------------------------------------------------------------------------------------------------

    def drawing_at(self, position: QPoint) -> QPointF:
        """A place of the viewport in px of the view."""
        return self.mapToScene(position)

    def on_bench(self, at: QPointF) -> QPointF:
        """Where a point of the view is on the bench, which may be panned."""
        pan = self.view.pan if self.view is not None else drawn.Pan()
        return QPointF(at.x() + pan.x, at.y() - pan.y)

    def tag_at(self, at: QPointF) -> Tag:
        """Tag of what lies at a point of the view."""
        group = self.view.at(at.x(), at.y()) if self.view else None
        return group.tag if group is not None else ()

    def port_at(self, at: QPointF) -> str:
        """The port under a point of the view, "" for none."""
        place = self.on_bench(at)
        return self.marks.port_at(place.x(), place.y()) if at.y() < self.bench_bottom else ""

    def session_tag(self, node: str) -> Tag:
        """The tag of a node of the document."""
        return node_tag(self.session.document, node)

    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent) and self.view is not None:
            at = self.drawing_at(event.pos())
            group = self.view.at(at.x(), at.y())
            text = "drag to another stage to lay a pipe" if self.port_at(at) else group.tooltip if group else ""
            QToolTip.showText(event.globalPos(), wrapped(text), self.viewport())
            return True
        return super().viewportEvent(event)

    # Focus and size -----------------------------------------------------------------------------------------------------------

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.ring = event.reason() in _BY_KEYBOARD
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.relayout()

    def drawForeground(self, painter: QPainter, rect: QRectF) -> None:
        """The ring of the keyboard's focus, until something is selected."""
        if not self.ring or not self.hasFocus() or self.session.selection:
            return
        with saved(painter):
            painter.resetTransform()
            painter.setPen(QPen(look().colour("accent"), 2.0))
            painter.drawRect(self.viewport().rect().adjusted(1, 1, -2, -2))


def wrapped(text: str) -> str:
    """A tooltip in lines that can be read at a glance."""
    return "\n".join(line for part in local(text).split("\n") for line in wrap(part, _TOOLTIP, BODY, False, measure))


def route_of(model: BenchModel) -> Route:
    """The train as the drawing reads it."""
    return route([stage.id for stage in model.stages], model.links, [end.id for end in model.ends])
