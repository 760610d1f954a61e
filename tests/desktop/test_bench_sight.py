"""What is seen of the bench: zoom to the cursor, fit, 100 %, panning, overview; and the bands stay under their vessels throughout."""

from __future__ import annotations

import random
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPaintEvent, QRegion, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from tests.desktop.hands import LEFT, click, drag_to, key, shown, spot
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.overview import Overview
from trainapp.desktop.bench.pane import BenchPane
from trainapp.desktop.session import Session
from trainapp.reports.drawing.floor import SCALE_FULL, SCALE_LEAST, SCALE_ZOOMED
from trainapp.reports.drawing.view import View
from trainapp.train.edits import AddParallel, AddStage

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def view(canvas: BenchPane) -> View:
    assert canvas.view is not None
    return canvas.view


def turn(canvas: BenchCanvas, at: QPoint, notches: int, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Turn the wheel over a point."""
    event = QWheelEvent(
        QPointF(at), canvas.viewport().mapToGlobal(QPointF(at)), QPoint(), QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton, held, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(canvas.viewport(), event)


def place(canvas: BenchCanvas, at: QPoint) -> tuple[float, float]:
    """What of the bench is at a point: metres along the floor from the chamber, and above the floor."""
    made, bench = view(canvas), canvas.on_bench(QPointF(at))
    scale = made.spread.scale
    return (bench.x() - made.spread.centres["uv"]) / scale, (made.floor - bench.y()) / scale


def crowd(session: Session, count: int = 9) -> None:
    for _ in range(count):
        session.edit(AddStage(kind="softener", into=("softener", "fine") if count < 0 else None))


def items_of(canvas: BenchCanvas, tag: tuple[str, ...], layer: str) -> QRectF:
    """Where an item of a layer is seen."""
    item = next(item for (name, key_, _), item in canvas.items_shown._items.items() if key_ == tag and name == layer)
    return item.mapRectToScene(item.boundingRect())


# Zooming ----------------------------------------------------------------------------------------------------------------------


def test_ctrl_and_wheel_zoom_to_the_cursor(canvas: BenchCanvas, session: Session) -> None:
    at = spot(canvas, ("stage", "uv"))
    before = place(canvas, at)
    for notches in (2, 3, -1):
        turn(canvas, at, notches, CTRL)
        # The pitch between vessels grows with their size, but not in a straight line: at a vessel it is the vessel that stays.
        assert place(canvas, at) == pytest.approx(before, abs=0.02)
    assert canvas.options.zoom == pytest.approx(1.2**4, rel=0.01)
    assert session.stack.count() == 0


def test_plus_and_minus_zoom_to_what_is_selected(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "uv"))
    key(canvas, Qt.Key.Key_Plus, Qt.Key.Key_Plus, Qt.Key.Key_Plus)
    assert canvas.options.zoom == pytest.approx(1.2**3)
    assert items_of(canvas, ("stage", "uv"), "bench").intersects(QRectF(0, 0, canvas.width(), canvas.bench_bottom))
    key(canvas, Qt.Key.Key_Minus)
    window.run("zoom_out")
    assert canvas.options.zoom == pytest.approx(1.2)
    key(window, Qt.Key.Key_0, modifier=CTRL)
    assert canvas.options.zoom == 1.0 and view(canvas).pan.x == 0.0


def test_a_hundred_percent_is_half_an_inch_to_the_foot(canvas: BenchCanvas, window: Any) -> None:
    key(window, Qt.Key.Key_9, modifier=CTRL)
    assert view(canvas).spread.scale == pytest.approx(SCALE_FULL)
    assert canvas.sight.percent == 100
    # 96 px an inch: half an inch is 48 px, and stands for a foot.
    assert pytest.approx(48.0 / 0.3048) == SCALE_FULL


def test_zoom_is_held_to_what_can_be_read(canvas: BenchCanvas) -> None:
    for _ in range(30):
        canvas.sight.zoom_by(1.5)
    assert view(canvas).spread.scale == pytest.approx(SCALE_ZOOMED)
    for _ in range(60):
        canvas.sight.zoom_by(1 / 1.5)
    assert view(canvas).spread.scale == pytest.approx(SCALE_LEAST)


def test_fit_what_is_selected(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "softener"), (("stage", "iron"),))
    key(window, Qt.Key.Key_8, modifier=CTRL)
    seen = QRectF(0, view(canvas).floor - view(canvas).bands.bench, canvas.options.width, view(canvas).bands.bench + 1)
    for stage in ("iron", "softener"):
        group = view(canvas).find(("stage", stage))
        assert group is not None
        for area in group.areas:
            box = QRectF(area.x - view(canvas).pan.x, area.y + view(canvas).pan.y, area.w, area.h)
            assert seen.contains(box), (stage, box)
    assert canvas.options.zoom > 1.0
    session.select(())
    window.run("fit_selected")
    assert canvas.options.zoom == 1.0


# Panning ----------------------------------------------------------------------------------------------------------------------


def test_space_and_the_middle_button_pan_without_a_new_layout(canvas: BenchCanvas, monkeypatch: pytest.MonkeyPatch) -> None:
    canvas.sight.zoom_by(2.5)
    laid: list[int] = []
    monkeypatch.setattr("trainapp.desktop.bench.pane.layout", lambda *_: laid.append(1))
    before = view(canvas).pan
    key_event = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Space, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(canvas, key_event)
    assert canvas.viewport().cursor().shape() == Qt.CursorShape.OpenHandCursor
    drag_to(canvas, QPoint(600, 200), QPoint(500, 230))
    QApplication.sendEvent(canvas, QKeyEvent(QEvent.Type.KeyRelease, Qt.Key.Key_Space, Qt.KeyboardModifier.NoModifier))
    assert not canvas.holding_space
    after = view(canvas).pan
    assert (after.x - before.x, after.y - before.y) == (100.0, 30.0)
    for button in (Qt.MouseButton.MiddleButton,):
        QTest.mousePress(canvas.viewport(), button, Qt.KeyboardModifier.NoModifier, QPoint(500, 200))
        QTest.mouseMove(canvas.viewport(), QPoint(540, 200))
        QTest.mouseRelease(canvas.viewport(), button, Qt.KeyboardModifier.NoModifier, QPoint(540, 200))
    assert view(canvas).pan.x == after.x - 40.0
    assert laid == []


def test_wheel_and_keys_pan_too(canvas: BenchCanvas, session: Session) -> None:
    canvas.sight.zoom_by(3.0)
    canvas.scroll_to(0.0)
    turn(canvas, QPoint(500, 150), -1, SHIFT)
    assert view(canvas).pan.x == 60.0
    low = view(canvas).pan.y
    turn(canvas, QPoint(500, 150), 1)
    assert view(canvas).pan.y == min(low + 60.0, view(canvas).most.y)
    key(canvas, Qt.Key.Key_PageDown)
    assert view(canvas).pan.x > 400.0
    key(canvas, Qt.Key.Key_PageUp, Qt.Key.Key_PageUp)
    assert view(canvas).pan.x == 0.0
    key(canvas, *(Qt.Key.Key_PageDown,) * 5, modifier=SHIFT)
    assert view(canvas).pan.y == 0.0


def test_what_is_walked_to_comes_into_sight(canvas: BenchCanvas, session: Session) -> None:
    canvas.sight.zoom_by(4.0)
    canvas.scroll_to(0.0)
    for stage in ("uv", "screen", "fine"):
        session.select(("stage", stage))
        seen = items_of(canvas, ("stage", stage), "bench")
        assert seen.left() >= -1 and seen.right() <= canvas.options.width + 1


def test_bands_stay_under_their_vessels_while_it_moves(canvas: BenchCanvas, session: Session) -> None:
    """Two in parallel and a bypass among them: cells are seen where their vessel is seen, or a leader joins the two."""
    session.edit(AddParallel(beside="softener"))
    chance = random.Random(11)
    for _ in range(40):
        canvas.sight.zoom_by(chance.choice((0.7, 1.3, 1.6)), QPointF(chance.randint(0, 900), chance.randint(0, 300)))
        canvas.sight.pan_by(chance.randint(-400, 400), chance.randint(-80, 80))
        made = view(canvas)
        row = canvas.shown_rows()[0]
        for column in made.columns:
            if column.key == "house":
                continue
            cell, painted = made.layer("bands").groups["cell", row, column.key], items_of(canvas, ("cell", row, column.key), "bands")
            vessels = [items_of(canvas, ("stage", node), "bench").center().x() for node in column.nodes]
            joined = all(node in made.grid.leaders for node in column.nodes)
            middle = made.grid.columns[column.key] - made.pan.x
            wanted = sum(made.spread.centres[node] for node in column.nodes) / len(column.nodes) - made.pan.x
            assert abs(middle - wanted) <= 8.0 or joined
            area = cell.areas[0]
            assert area.x + area.w / 2 - made.pan.x == pytest.approx(middle, abs=0.6)
            assert area.x - made.pan.x - 3 <= painted.left() and painted.right() <= area.right - made.pan.x + 3
            assert min(vessels) - 60 * canvas.options.zoom <= wanted <= max(vessels) + 60 * canvas.options.zoom


def test_only_what_is_in_sight_is_painted(canvas: BenchCanvas, session: Session) -> None:
    crowd(session, 14)
    assert view(canvas).most.x > 400
    canvas.scroll_to(0.0)
    hidden = [item for item in canvas.items_shown._items.values() if not item.isVisible() and item.whole is None]
    assert hidden and all(item.sides[0] > canvas.options.width for item in hidden)
    assert ("stage", "softener-14") in shown(canvas, "stage"), "it is there all the same"
    canvas.scroll_to(view(canvas).most.x)
    uv = next(item for item in canvas.items_shown.of(("stage", "softener-15")))
    assert uv.isVisible()


# While zoomed -----------------------------------------------------------------------------------------------------------------


def test_the_flow_slider_works_while_it_is_zoomed(canvas: BenchCanvas, session: Session) -> None:
    """It stays where it is, moves every number live, and marks where the first stage gives in."""
    canvas.sight.zoom_by(2.0)
    canvas.scroll_to(150.0)
    slider = view(canvas).slider
    assert slider is not None and slider.right <= canvas.options.width
    own = session.assessment.model if session.assessment else None
    assert own is not None and own.try_flow is not None
    ticks = {tick.key: tick.value for tick in own.try_flow.ticks}
    assert set(ticks) == {"night", "capacity", "peak", "twice"} and ticks["twice"] == pytest.approx(2 * ticks["peak"])
    start = canvas.mapFromScene(QPointF(slider.x(ticks["peak"]), slider.y))
    drag_to(canvas, start, canvas.mapFromScene(QPointF(slider.x(ticks["capacity"]), slider.y)))
    tried = session.model
    assert tried is not None and tried.pressure is not None and own.pressure is not None
    assert tried.pressure.entering["house"].clean != own.pressure.entering["house"].clean
    assert canvas.options.flow == pytest.approx(ticks["capacity"], rel=1e-6), "it snaps to where the first stage gives in"
    assert canvas.options.zoom == 2.0 and view(canvas).pan.x == 150.0


def test_cells_stages_and_pipes_are_hit_where_they_are_seen(canvas: BenchCanvas, session: Session) -> None:
    canvas.sight.zoom_by(2.2)
    canvas.scroll_to(300.0)
    for tag in (("stage", "softener"), ("link", "iron", "softener"), ("cell", canvas.shown_rows()[0], "softener")):
        canvas.scroll_to(max(view(canvas).spread.centres["softener"] - 500.0, 0.0))
        click(canvas, tag)
        assert session.selection == tag


def test_a_stage_is_dragged_into_a_gap_that_is_seen(canvas: BenchCanvas, session: Session) -> None:
    canvas.sight.zoom_by(1.8)
    centres = view(canvas).spread.centres
    canvas.scroll_to((centres["iron"] + centres["softener"]) / 2 - 420.0)
    gap = canvas.mapFromScene(QPointF((centres["screen"] + centres["iron"]) / 2 - view(canvas).pan.x, view(canvas).floor - 8))
    drag_to(canvas, spot(canvas, ("stage", "softener")), gap)
    assert [stage.id for stage in session.document.stages][:3] == ["screen", "softener", "iron"]


# Overview and service space -----------------------------------------------------------------------------------------------------


def overview(window: Any) -> Overview:
    window.run("overview")
    made = window.doing.overview
    assert isinstance(made, Overview)
    return made


def test_the_overview_moves_what_is_seen(canvas: BenchCanvas, session: Session, window: Any) -> None:
    made = overview(window)
    assert made.isVisible() and window.actions_by_id["overview"].isChecked()
    canvas.sight.zoom_by(4.0)
    canvas.scroll_to(0.0)
    left = made.frame().left()
    QTest.mousePress(made, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(made.width() - 30, 40))
    assert view(canvas).pan.x > 100.0 and made.frame().left() > left
    # The frame is as much of the whole as the view is of the bench.
    assert made.frame().width() / (made.width() - 12) <= 1.0
    image = made.grab().toImage()
    assert image.width() >= 100
    window.run("overview")
    assert not made.isVisible() and not window.actions_by_id["overview"].isChecked()


def test_room_that_service_needs_is_drawn_when_asked_for(canvas: BenchCanvas, window: Any) -> None:
    before = len(view(canvas).layer("bench").shapes)
    window.run("clearances")
    assert len(view(canvas).layer("bench").shapes) > before and window.actions_by_id["clearances"].isChecked()
    window.run("clearances")
    assert len(view(canvas).layer("bench").shapes) == before


# Focus ------------------------------------------------------------------------------------------------------------------------


def accent(canvas: BenchCanvas) -> bool:
    from trainapp.desktop.theme import look

    image = canvas.grab().toImage()
    return image.pixelColor(1, image.height() // 2) == look().colour("accent")


def test_the_ring_is_for_the_keyboard_alone(canvas: BenchCanvas, session: Session, window: Any) -> None:
    canvas.clearFocus()
    canvas.setFocus(Qt.FocusReason.TabFocusReason)
    assert accent(canvas)
    QTest.mouseClick(canvas.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, QPoint(3, 3))
    assert session.selection == () and canvas.hasFocus() and not accent(canvas)
    canvas.clearFocus()
    canvas.setFocus(Qt.FocusReason.MouseFocusReason)
    assert not accent(canvas)
    key(window, Qt.Key.Key_B, modifier=CTRL)
    canvas.clearFocus()
    key(window, Qt.Key.Key_B, modifier=CTRL)
    assert accent(canvas)


class Repaints(QObject):
    """What of a widget is painted anew while this listens."""

    def __init__(self, widget: QWidget) -> None:
        super().__init__(widget)
        self.region = QRegion()
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QPaintEvent):
            self.region = self.region.united(event.region())
        return False


def test_the_ring_goes_on_all_sides_when_something_is_selected(canvas: BenchCanvas, session: Session) -> None:
    canvas.clearFocus()
    canvas.setFocus(Qt.FocusReason.TabFocusReason)
    QApplication.processEvents()
    area = canvas.viewport().rect()
    for tag in (("stage", "iron"), ()):
        seen = Repaints(canvas.viewport())
        session.select(tag)
        QApplication.processEvents()
        assert all(seen.region.contains(QPoint(x, y)) for x in (1, area.right() - 1) for y in (1, area.center().y(), area.bottom() - 1))
        canvas.viewport().removeEventFilter(seen)
