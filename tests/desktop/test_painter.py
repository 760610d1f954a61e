"""Display lists on the screen: every shape in its colours, where it belongs, and the painter left as it was."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from tests.reports import drawing_models
from trainapp.desktop.fonts import measure
from trainapp.desktop.painter import bounds, paint
from trainapp.desktop.theme import look, palette
from trainapp.reports.drawing.display import Box, Circle, Dots, Group, Line, Path, Polyline, Rect, Shape, Strokes, Text, walk
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.tokens import THEMES, contrast
from trainapp.reports.drawing.view import layout

SHAPES: dict[str, Shape] = {
    "line": Line(20, 30.2, 60, 30.2, "fail"),
    "dashed line": Line(20, 20, 60, 60, "fail", 2.0, (6.0, 3.0)),
    "polyline": Polyline(((20, 20), (60, 20), (60, 60)), "fail", 3.0),
    "polygon": Polyline(((20, 20), (60, 20), (40, 60)), "fail", 1.0, fill="fail", closed=True),
    "filled": Polyline(((20, 20), (60, 20), (40, 60)), "", fill="fail"),
    "rect": Rect(20, 20, 40, 40, "fail", "fail", 2.0),
    "round rect": Rect(20, 20, 40, 40, "fail", corner=6.0),
    "circle": Circle(40, 40, 20, "fail"),
    "path": Path((("M", 20, 60), ("Q", 40, 0, 60, 60), ("Z",)), "fail"),
    "dots": Dots(20, 20, ((0, 0), (20, 20), (40, 40)), 2.0, "fail"),
    "strokes": Strokes(20, 20, ((0, 0, 40, 0), (0, 20, 40, 20)), "fail", 2.0),
    "text": Text(40, 45, "Softener", "fail", 12.0, "middle", True),
    "text at its end": Text(60, 45, "Iron", "fail", 12.0, "end"),
    "group": Group([Rect(20, 20, 40, 40, "fail")]),
}


def painted(shapes: list[Shape], size: int = 80) -> QImage:
    image = QImage(size, size, QImage.Format.Format_RGB32)
    image.fill(look().colour("page"))
    painter = QPainter(image)
    paint(painter, shapes, look().colour)
    painter.end()
    return image


def inked(image: QImage) -> list[tuple[int, int]]:
    page = look().colour("page").rgb()
    return [(x, y) for x in range(image.width()) for y in range(image.height()) if image.pixel(x, y) != page]


@pytest.mark.parametrize("name", SHAPES)
def test_every_shape_paints_inside_its_bounds(name: str) -> None:
    marks = inked(painted([SHAPES[name]]))
    assert marks
    area = bounds([SHAPES[name]])
    outside = [(x, y) for x, y in marks if not area.adjusted(-0.01, -0.01, 0.01, 0.01).intersects(QRectF(x, y, 1, 1))]
    assert outside == []


def test_colours_are_those_of_the_theme() -> None:
    for theme in ("light", "dark"):
        look().choose(theme)  # type: ignore[arg-type]
        assert painted([Rect(0, 0, 80, 80, "caution_t")]).pixelColor(40, 40) == QColor(THEMES[theme]["caution_t"])


def test_nothing_is_painted_outside_a_clip() -> None:
    clipped = Group([Rect(0, 0, 80, 80, "fail")], clip=Box(20, 20, 10, 10))
    assert {(x, y) for x, y in inked(painted([clipped]))} == {(x, y) for x in range(20, 30) for y in range(20, 30)}
    assert bounds([clipped]) == QRectF(20, 20, 10, 10)


def test_a_hairline_is_one_row_of_pixels() -> None:
    rows = {y for _, y in inked(painted([Line(10, 30.0, 70, 30.0, "ink")]))}
    assert len(rows) == 1


def test_the_painter_is_left_as_it_was() -> None:
    image = QImage(20, 20, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    pen, font, hints = painter.pen(), painter.font(), painter.renderHints()
    paint(painter, list(SHAPES.values()), look().colour)
    assert (painter.pen(), painter.font(), painter.renderHints(), painter.hasClipping()) == (pen, font, hints, False)
    with pytest.raises(KeyError):
        paint(painter, [Rect(0, 0, 5, 5, "no such token")], look().colour)
    assert (painter.pen(), painter.font(), painter.renderHints()) == (pen, font, hints)
    painter.end()


def test_texts_are_as_wide_as_they_were_laid_out() -> None:
    for text in ("Whole house declared treatment", "3.10", "≤0.05", "10 × 54 in"):
        assert measure(text, 12.0, True) == pytest.approx(measure_dejavu(text, 12.0, True), abs=1.0)


def test_twenty_thousand_paint_calls_leave_none_alone() -> None:
    """PySide6 6.12.0 on Python 3.11 loses a reference to None in most void calls, and aborts after some thousands of them."""
    view = layout(drawing_models.twelve(), Options(), measure)
    each = sum(not isinstance(shape, Group) for shape, _ in walk(view.display.items))
    image = QImage(976, 732, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    for _ in range(20_000 // each + 1):
        paint(painter, view.display.items, look().colour)
    painter.end()
    assert image.pixelColor(0, 0).isValid()


@pytest.mark.parametrize("name", THEMES)
def test_palette_pairs_can_be_read(name: str) -> None:
    made = palette(name)
    for text, ground in (
        (made.windowText(), made.window()),
        (made.text(), made.base()),
        (made.text(), made.alternateBase()),
        (made.buttonText(), made.button()),
        (made.highlightedText(), made.highlight()),
        (made.toolTipText(), made.toolTipBase()),
        (made.placeholderText(), made.base()),
        (made.link(), made.window()),
    ):
        assert contrast(text.color().name(), ground.color().name()) >= 4.5
