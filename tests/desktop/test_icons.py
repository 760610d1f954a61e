"""Icons of the shelf: each kind has its own, in a square of 16 px, of one weight."""

from __future__ import annotations

from trainapp.desktop.adding import items_like, shelf
from trainapp.desktop.icons import SIZE, icon_shapes, kind_of
from trainapp.desktop.painter import bounds
from trainapp.reports.drawing.display import Circle, Line, Path, Polyline, Rect


def test_no_two_lines_of_the_shelf_look_alike() -> None:
    drawn = {entry.key: tuple(icon_shapes(entry)) for entry in shelf()}
    assert len(set(drawn.values())) == len(drawn) > 12


def test_icons_stay_in_their_square_and_have_one_weight() -> None:
    for entry in shelf():
        shapes = icon_shapes(entry)
        widths = {shape.width for shape in shapes if isinstance(shape, Line)}
        widths |= {shape.width for shape in shapes if isinstance(shape, Polyline | Rect | Circle | Path) and shape.stroke}
        assert widths == {1.3}, entry.key
        # The bounds of shapes leave room for what their strokes may need.
        area = bounds(shapes).adjusted(3.7, 3.7, -3.7, -3.7)
        assert area.left() >= 0 and area.top() >= 0 and area.right() <= SIZE and area.bottom() <= SIZE, entry.key
        assert all(getattr(shape, "token", getattr(shape, "stroke", "")) in ("ink2", "") for shape in shapes)


def test_an_item_of_the_catalogue_has_the_icon_of_its_kind() -> None:
    kinds = {entry.key: icon_shapes(entry) for entry in shelf()}
    items = items_like("softener")
    assert items and all(kind_of(entry) == "softener" and icon_shapes(entry) == kinds["softener"] for entry in items)
