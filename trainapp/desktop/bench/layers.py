"""The layers of a view in a scene: each is cut at its edge and moved as one, so that panning lays nothing out."""

from __future__ import annotations

from math import inf

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QGraphicsItem, QGraphicsScene, QStyleOptionGraphicsItem, QWidget

from trainapp.desktop.bench.items import Items
from trainapp.reports.drawing.display import Box
from trainapp.reports.drawing.layers import LayerName
from trainapp.reports.drawing.view import View

#: In drawing order.
NAMES: tuple[LayerName, ...] = ("headline", "bench", "names", "under", "bands", "fixed")

#: Px beyond the view that are kept ready.
_MARGIN = 400.0


class Bare(QGraphicsItem):
    """An item that paints nothing itself: it holds others, and may cut them at an edge."""

    def __init__(self, parent: QGraphicsItem | None = None) -> None:
        super().__init__(parent)
        self._edge = QRectF()
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemHasNoContents)

    def cut(self, edge: Box | None) -> None:
        """Show of what it holds only what is inside an edge; all of it without one."""
        area = QRectF(*edge) if edge is not None else QRectF()
        if area == self._edge:
            return
        self.prepareGeometryChange()
        self._edge = area
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemClipsChildrenToShape, edge is not None)

    def boundingRect(self) -> QRectF:
        return self._edge

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """Nothing."""


class Layers:
    """The layers of one scene; they live as long as it does."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self._edges: dict[str, Bare] = {}
        self._movers: dict[str, Bare] = {}
        for z, name in enumerate((*NAMES, "over")):
            edge = Bare()
            edge.setZValue(z)
            scene.addItem(edge)
            self._edges[name], self._movers[name] = edge, Bare(edge)
        self.items = Items({name: self._movers[name] for name in NAMES})
        self._culled_at: dict[str, float] = {}

    @property
    def over(self) -> QGraphicsItem:
        """What lies over the bench and moves with it."""
        return self._movers["over"]

    @property
    def count(self) -> int:
        """How many items hold the others."""
        return len(self._edges) + len(self._movers)

    def show(self, view: View) -> None:
        """Show a view that was laid out anew."""
        for layer in view.layers:
            self._edges[layer.name].cut(layer.clip)
        self._edges["over"].cut(view.layer("bench").clip)
        self.items.show({layer.name: layer.shapes for layer in view.layers})
        self._culled_at = {}
        self.move(view)

    def move(self, view: View) -> None:
        """Show the same view, panned."""
        at: dict[str, float] = {}
        sides: dict[str, tuple[float, float]] = {}
        for layer in view.layers:
            x, y = layer.move(view.pan)
            at[layer.name] = -x
            sides[layer.name] = (layer.clip.x - x, layer.clip.right - x) if layer.clip is not None else (-inf, inf)
            self._movers[layer.name].setPos(x, y)
        self._movers["over"].setPos(*view.layer("bench").move(view.pan))
        if not self._culled_at or any(abs(at[name] - was) > _MARGIN / 2 for name, was in self._culled_at.items()):
            self._culled_at = at
            self.items.cull({name: x - _MARGIN for name, x in at.items()}, view.width + 2 * _MARGIN)
        self.items.keep_whole(sides)
