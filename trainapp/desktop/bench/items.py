"""The drawing as items of a scene: one item for each thing that has a tag, and for each run of shapes between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from trainapp.desktop.painter import Stroke, bounds, play, recorded
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Box, Circle, Group, Path, Rect, Shape, Tag, is_cut

#: What an item stands for: its layer, its tag, and how many of that tag came before. A run of untagged shapes has the tag ().
Key = tuple[str, Tag, int]


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
        if shape.tag or shape.whole is not None:
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


#: Width of every border where contrast is high, px.
BORDER = 2.0


def bordered(shapes: list[Shape]) -> list[Shape]:
    """The shapes with borders of full width; hairlines, gauges and lines in their own width stay."""
    made: list[Shape] = []
    for shape in shapes:
        if isinstance(shape, Group):
            made.append(replace(shape, items=bordered(shape.items)))
        elif isinstance(shape, Rect | Path | Circle) and shape.stroke and 1.0 < shape.width < BORDER:
            made.append(shape._replace(width=BORDER))
        else:
            made.append(shape)
    return made


class DrawnItem(QGraphicsItem):
    """An item that paints shapes of the display list. The scene owns it; pointer and keys are the view's affair."""

    def __init__(self, tag: Tag = ()) -> None:
        super().__init__()
        self.tag = tag
        #: Left and right side of what it paints, as plain numbers for :meth:`Items.cull`.
        self.sides = (0.0, 0.0)
        #: The place that has to be in sight as a whole, None where it may be cut.
        self.whole: Box | None = None
        self.order = -1
        self._shapes: list[Shape] = []
        self._clip: Box | None = None
        self._bounds = QRectF()
        self._strokes: list[Stroke] | None = None
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)

    @property
    def shapes(self) -> list[Shape]:
        """What it paints."""
        return self._shapes

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
            self.sides = (area.left(), area.right())
        first = shapes[0] if len(shapes) == 1 else None
        self.whole = first.whole if isinstance(first, Group) else None
        self._shapes, self._clip, self._strokes = shapes, clip, None
        self.update()

    def recolour(self) -> None:
        """Paint in the colours of the theme as it is now."""
        self._strokes = None
        self.update()

    def boundingRect(self) -> QRectF:
        return self._bounds

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        # The view keeps the painter's state around every item, and sets it up for drawings.
        if self._strokes is None:
            shapes = self._shapes if self._clip is None else [Group(self._shapes, clip=self._clip)]
            shapes = bordered(shapes) if look().high_contrast else shapes
            self._strokes = recorded(shapes, look().colour)
        play(painter, self._strokes)


class Items:
    """The items of a drawing by what they stand for. This dict is the one place that holds them.

    Args:
        movers: the item of each layer that theirs are children of; they are there as long as the scene is.
    """

    def __init__(self, movers: Mapping[str, QGraphicsItem]) -> None:
        self._movers = movers
        self._items: dict[Key, DrawnItem] = {}
        self._wholes: list[tuple[str, DrawnItem]] = []

    def show(self, layers: Mapping[str, Sequence[Shape]]) -> None:
        """Bring the scene to a display list: what stays is changed in place, what is new comes, what is gone goes."""
        wanted: dict[Key, Part] = {}
        for name, shapes in layers.items():
            counts: dict[Tag, int] = {}
            for part in parts(shapes):
                number = counts.get(part.tag, 0)
                counts[part.tag] = number + 1
                wanted[name, part.tag, number] = part
        for key in [key for key in self._items if key not in wanted]:
            item = self._items.pop(key)
            item.setParentItem(None)
            scene = item.scene()
            if scene is not None:
                scene.removeItem(item)
        for z, (key, part) in enumerate(wanted.items()):
            item = self._items.get(key)
            if item is None:
                item = self._items[key] = DrawnItem(part.tag)
                item.setParentItem(self._movers[key[0]])
            if item.order != z:
                item.order = z
                item.setZValue(z)
            item.show_shapes(part.shapes, part.clip)
        self._wholes = [(key[0], item) for key, item in self._items.items() if item.whole is not None]

    def cull(self, left: Mapping[str, float], width: float) -> None:
        """Hide what lies out of sight of its layer, so that a long train costs no more than what is seen of it.

        Args:
            left: x of the layer at which the view begins. width: of the view.
        """
        for (name, _, _), item in self._items.items():
            if item.whole is not None:
                continue
            begin, end = item.sides
            seen = end >= left[name] and begin <= left[name] + width
            if seen != item.isVisible():
                item.setVisible(seen)

    def keep_whole(self, sides: Mapping[str, tuple[float, float]]) -> None:
        """Hide what may not be cut and is: a number of which a part is out of sight is none.

        Args:
            sides: x of each layer between which it is seen.
        """
        for name, item in self._wholes:
            seen = not is_cut(item.whole, *sides[name])
            if seen != item.isVisible():
                item.setVisible(seen)

    def tags(self) -> set[Tag]:
        """Tags of what is there, in sight or not."""
        return {tag for _, tag, _ in self._items if tag}

    def of(self, tag: Tag) -> list[DrawnItem]:
        """Items of a tag, in drawing order."""
        return [item for (_, key, _), item in self._items.items() if key == tag]

    def __len__(self) -> int:
        return len(self._items)
