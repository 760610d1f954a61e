"""The drawing as items of a scene: one item for each thing that has a tag, and for each run of shapes between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QGraphicsItem, QGraphicsScene, QStyleOptionGraphicsItem, QWidget

from trainapp.desktop.painter import bounds, paint, saved
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Box, Group, Shape, Tag

#: What an item stands for: its tag and how many of that tag came before. A run of untagged shapes has the tag ().
Key = tuple[Tag, int]


@dataclass(slots=True)
class Part:
    """Shapes that become one item."""

    tag: Tag
    shapes: list[Shape]
    clip: Box | None


def parts(shapes: Sequence[Shape], clip: Box | None = None) -> Iterator[Part]:
    """The display list cut into parts, in drawing order."""
    run: list[Shape] = []
    for shape in shapes:
        if not isinstance(shape, Group):
            run.append(shape)
            continue
        if run:
            yield Part((), run, clip)
            run = []
        if shape.tag:
            yield Part(shape.tag, [shape], clip)
        else:
            yield from parts(shape.items, _both(clip, shape.clip))
    if run:
        yield Part((), run, clip)


def _both(first: Box | None, second: Box | None) -> Box | None:
    if first is None or second is None:
        return first or second
    x, y = max(first.x, second.x), max(first.y, second.y)
    return Box(x, y, max(min(first.right, second.right) - x, 0.0), max(min(first.bottom, second.bottom) - y, 0.0))


class DrawnItem(QGraphicsItem):
    """An item that paints shapes of the display list. The scene owns it; pointer and keys are the view's affair."""

    def __init__(self, tag: Tag = ()) -> None:
        super().__init__()
        self.tag = tag
        self._shapes: list[Shape] = []
        self._clip: Box | None = None
        self._bounds = QRectF()
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)

    def show_shapes(self, shapes: list[Shape], clip: Box | None = None) -> None:
        """Paint other shapes from now on."""
        if shapes == self._shapes and clip == self._clip:
            return
        area = bounds(shapes)
        if clip is not None:
            area = area.intersected(QRectF(*clip))
        if area != self._bounds:
            self.prepareGeometryChange()
            self._bounds = area
        self._shapes, self._clip = shapes, clip
        self.update()

    def boundingRect(self) -> QRectF:
        return self._bounds

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        with saved(painter):
            if self._clip is not None:
                painter.setClipRect(QRectF(*self._clip), Qt.ClipOperation.IntersectClip)
            paint(painter, self._shapes, look().colour)


class Items:
    """The items of a drawing by what they stand for. This dict is the one place that holds them."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self._scene = scene
        self._items: dict[Key, DrawnItem] = {}

    def show(self, shapes: Sequence[Shape]) -> None:
        """Bring the scene to a display list: what stays is changed in place, what is new comes, what is gone goes."""
        counts: dict[Tag, int] = {}
        wanted: dict[Key, Part] = {}
        for part in parts(shapes):
            number = counts.get(part.tag, 0)
            counts[part.tag] = number + 1
            wanted[part.tag, number] = part
        for key in [key for key in self._items if key not in wanted]:
            self._scene.removeItem(self._items.pop(key))
        for z, (key, part) in enumerate(wanted.items()):
            item = self._items.get(key)
            if item is None:
                item = self._items[key] = DrawnItem(part.tag)
                self._scene.addItem(item)
            item.setZValue(z)
            item.show_shapes(part.shapes, part.clip)

    def tags(self) -> set[Tag]:
        """Tags of what is shown."""
        return {tag for tag, _ in self._items if tag}

    def of(self, tag: Tag) -> list[DrawnItem]:
        """Items of a tag, in drawing order."""
        return [item for (key, _), item in self._items.items() if key == tag]
