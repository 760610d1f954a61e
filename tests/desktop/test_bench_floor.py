"""The floor by pointer and keys: a drag means order while the floor is the program's, a place once it is the user's; never both."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT, Carried, between, click, drag, drag_to, key, spot
from trainapp.desktop.bench.arranging import Floor
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.session import Session
from trainapp.train.document import Document
from trainapp.train.edits import SetValue, Stand
from trainapp.train.floor import INCH, places

ALT, CTRL, SHIFT = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
FOOT = 12 * INCH


def order(session: Session) -> list[str]:
    return [stage.id for stage in session.document.stages]


def own(session: Session) -> dict[str, float]:
    return dict(places(session.document))


def floor(canvas: BenchCanvas) -> Floor:
    made = canvas.floor
    assert made is not None
    return made


def move(canvas: BenchCanvas, at: QPoint, held: Qt.KeyboardModifier) -> None:
    """A move of the pointer with the button down and a modifier held."""
    place = QPointF(at)
    kind = QEvent.Type.MouseMove
    event = QMouseEvent(kind, place, canvas.viewport().mapToGlobal(place), Qt.MouseButton.NoButton, LEFT, held)
    QApplication.sendEvent(canvas.viewport(), event)


def alt_drag(canvas: BenchCanvas, start: QPoint, end: QPoint) -> None:
    QTest.mousePress(canvas.viewport(), LEFT, ALT, start)
    for i in range(1, 7):
        move(canvas, start + (end - start) * i / 6, ALT)
    QTest.mouseRelease(canvas.viewport(), LEFT, ALT, end)


@pytest.fixture
def wide(session: Session) -> Session:
    """A room in which there is something to move about."""
    session.edit(SetValue(path="room", value={"width": "30 ft", "height": "9 ft"}))
    session.stack.clear()
    return session


@pytest.fixture
def placed(wide: Session, canvas: BenchCanvas, window: Any) -> Session:
    """The same, with the floor taken over."""
    window.run("own_floor")
    return wide


# Taking the floor over --------------------------------------------------------------------------------------------------------


def test_a_plain_drag_never_places_while_the_floor_is_the_programs(canvas: BenchCanvas, wide: Session) -> None:
    start = spot(canvas, ("stage", "softener"))
    drag_to(canvas, start, start + QPoint(30, 0))
    assert own(wide) == {} and wide.stack.count() == 0
    drag_to(canvas, start, between(canvas, "screen", "iron"))
    assert own(wide) == {} and order(wide)[:3] == ["screen", "softener", "iron"]


def test_alt_takes_the_floor_over_as_one_step(canvas: BenchCanvas, wide: Session) -> None:
    before, document = order(wide), wide.document
    assert canvas.view is not None
    wanted = canvas.view.metres(canvas.view.spread.centres["uv"]) + 20 / canvas.view.spread.scale
    start = spot(canvas, ("stage", "uv"))
    alt_drag(canvas, start, start + QPoint(20, 0))
    assert order(wide) == before, "a place is no order"
    assert set(own(wide)) == {"screen", "iron", "softener", "fine", "uv"}
    assert own(wide)["uv"] == pytest.approx(wanted, abs=INCH)
    assert wide.stack.count() == 1 and wide.selection == ("stage", "uv")
    wide.stack.undo()
    assert wide.document == document


def test_the_command_takes_it_over_and_tidy_up_gives_it_back(canvas: BenchCanvas, wide: Session, window: Any, qtbot: QtBot) -> None:
    document = wide.document
    assert not window.actions_by_id["tidy"].isEnabled()
    window.run("own_floor")
    assert set(own(wide)) == {"screen", "iron", "softener", "fine", "uv"}
    assert canvas.view is not None and canvas.view.spread.tidy
    assert window.actions_by_id["tidy"].isEnabled() and window.workspace.verdict.tidy.isVisible()
    QTest.mouseClick(window.workspace.verdict.tidy, LEFT)
    assert wide.document == document
    assert not window.workspace.verdict.tidy.isVisible()


def test_in_a_narrow_room_stages_stand_side_by_side(canvas: BenchCanvas, session: Session, window: Any) -> None:
    """The farm's room is narrower than its train spread out to be read: nothing is put outside it."""
    width = session.document.room.get("width")
    assert width is not None and canvas.view is not None
    assert canvas.view.metres(canvas.view.spread.centres["uv"]) > width
    window.run("own_floor")
    spots = floor(canvas).spots
    assert all(each.begin >= 0 and each.end <= width + 1e-6 for each in spots.values())
    rows = sorted(spots.values(), key=lambda each: each.x)
    assert all(a.end <= b.begin + 0.003 for a, b in zip(rows, rows[1:], strict=False))
    assert not [f for f in (session.assessment.findings if session.assessment else ()) if f.code == "room-fit"]


# Moving along the floor -------------------------------------------------------------------------------------------------------


def test_a_drag_along_an_own_floor_is_one_step_and_no_order(canvas: BenchCanvas, placed: Session) -> None:
    before, at, count = order(placed), own(placed), placed.stack.count()
    assert canvas.view is not None
    far = round(2 * FOOT * canvas.view.spread.scale)
    start = spot(canvas, ("stage", "fine"))
    drag_to(canvas, start, start + QPoint(far, 0))
    assert order(placed) == before
    moved = own(placed)
    assert moved["fine"] == pytest.approx(at["fine"] + 2 * FOOT, abs=0.3 * FOOT)
    assert {node: x for node, x in moved.items() if node != "fine"} == {node: x for node, x in at.items() if node != "fine"}
    assert placed.stack.count() == count + 1


def test_past_a_neighbour_it_stands_behind_it_and_the_bands_keep_the_flow(canvas: BenchCanvas, placed: Session) -> None:
    before = order(placed)
    drag_to(canvas, spot(canvas, ("stage", "iron")), between(canvas, "fine", "uv"))
    assert order(placed) == before
    assert own(placed)["iron"] > own(placed)["fine"]
    assert canvas.view is not None and not canvas.view.spread.tidy
    nodes = canvas.view.grid.nodes
    assert nodes["screen"] < nodes["iron"] < nodes["softener"] < nodes["fine"] < nodes["uv"]


def test_the_line_in_the_drawing_offers_to_tidy_up(canvas: BenchCanvas, placed: Session) -> None:
    drag_to(canvas, spot(canvas, ("stage", "iron")), between(canvas, "fine", "uv"))
    click(canvas, ("tidy",))
    assert own(placed) == {}


def test_over_a_pipe_it_goes_into_the_pipe(canvas: BenchCanvas, placed: Session) -> None:
    group = canvas.view.find(("link", "screen", "iron")) if canvas.view is not None else None
    assert group is not None
    run = min(group.areas, key=lambda area: area.y)
    pipe = canvas.mapFromScene(QPointF(run.x + run.w / 2, run.y + run.h / 2))
    at = own(placed)
    drag_to(canvas, spot(canvas, ("stage", "softener")), pipe)
    assert order(placed)[:3] == ["screen", "softener", "iron"]
    assert own(placed) == at, "an order is no place"


def test_alt_turns_the_meaning_round_in_the_middle_of_a_drag(canvas: BenchCanvas, placed: Session) -> None:
    document = placed.document
    heard: list[str] = []
    canvas.hinted.connect(heard.append)
    for _ in drag(canvas, spot(canvas, ("stage", "softener")), between(canvas, "screen", "iron")):
        assert "from the left wall" in heard[-1]
        canvas.setFocus()
        # The window system tells what was held before the key.
        QApplication.sendEvent(canvas, QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Alt, Qt.KeyboardModifier.NoModifier))
        assert heard[-1].startswith("between ")
        QApplication.sendEvent(canvas, QKeyEvent(QEvent.Type.KeyRelease, Qt.Key.Key_Alt, ALT))
        assert "from the left wall" in heard[-1]
        key(canvas, Qt.Key.Key_Escape)
    assert placed.document is document


def test_several_keep_their_distance(canvas: BenchCanvas, placed: Session) -> None:
    placed.select(("stage", "uv"), (("stage", "fine"),))
    before = own(placed)
    start = spot(canvas, ("stage", "fine"))
    drag_to(canvas, start, start + QPoint(36, 0))
    after = own(placed)
    assert after["fine"] != before["fine"]
    assert after["uv"] - after["fine"] == pytest.approx(before["uv"] - before["fine"], abs=0.003)
    assert placed.chosen == (("stage", "fine"), ("stage", "uv"))


def test_it_stays_between_the_walls(canvas: BenchCanvas, placed: Session) -> None:
    start = spot(canvas, ("stage", "screen"))
    drag_to(canvas, start, QPoint(2, start.y()))
    assert floor(canvas).spots["screen"].begin == pytest.approx(0.0, abs=0.003)


def test_it_is_drawn_on_by_a_neighbour(canvas: BenchCanvas, placed: Session) -> None:
    """Within a few px of the usual gap to a neighbour it stands exactly there."""
    made = floor(canvas)
    assert canvas.view is not None
    wanted = made.spots["fine"].end + made.gap - made.spots["uv"].begin
    start = spot(canvas, ("stage", "uv"))
    drag_to(canvas, start, start + QPoint(round(wanted * canvas.view.spread.scale) + 3, 0))
    after = floor(canvas)
    assert after.spots["uv"].begin - after.spots["fine"].end == pytest.approx(made.gap, abs=0.003)


def test_the_supply_has_a_place_of_its_own(canvas: BenchCanvas, placed: Session) -> None:
    start = spot(canvas, ("supply",))
    drag_to(canvas, start, start + QPoint(20, 0))
    assert "supply" in own(placed)


def test_a_finding_marks_the_place_where_two_stand(canvas: BenchCanvas, placed: Session) -> None:
    placed.edit(Stand(x={"fine": "150 in", "uv": "151 in", "softener": "60 in"}))
    assert placed.assessment is not None
    assert any(f.code == "room-fit" and {f.stage, *f.also_at} == {"fine", "uv"} for f in placed.assessment.findings)
    capsules = [group for group in canvas.view.display.groups() if group.tag[0] == "finding"] if canvas.view else []
    told = next(group for group in capsules if "stand in one place" in group.tooltip)
    click(canvas, told.tag)
    assert placed.selection in (("stage", "fine"), ("stage", "uv"))


# Keys -------------------------------------------------------------------------------------------------------------------------


def test_nudges_in_a_row_are_one_step(canvas: BenchCanvas, placed: Session) -> None:
    placed.select(("stage", "uv"))
    before, count = own(placed)["uv"], placed.stack.count()
    key(canvas, Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Right, modifier=CTRL | SHIFT)
    assert own(placed)["uv"] == pytest.approx(before + 3 * INCH, abs=0.003)
    assert placed.stack.count() == count + 1
    key(canvas, Qt.Key.Key_Left, Qt.Key.Key_Left, Qt.Key.Key_Left, modifier=CTRL | SHIFT)
    assert placed.stack.count() == count, "nudged back there is nothing to undo"
    placed.select(("stage", "fine"))
    key(canvas, Qt.Key.Key_Right, modifier=CTRL | SHIFT)
    placed.select(("stage", "uv"))
    key(canvas, Qt.Key.Key_Right, modifier=CTRL | SHIFT)
    assert placed.stack.count() == count + 2


def test_metric_nudges_are_metric(canvas: BenchCanvas, placed: Session) -> None:
    placed.set_system("metric")
    placed.select(("stage", "uv"))
    before = own(placed)["uv"]
    key(canvas, Qt.Key.Key_Right, modifier=CTRL | SHIFT)
    assert own(placed)["uv"] == pytest.approx(before + 0.02, abs=0.002)
    assert placed.document.tree["stages"][-1]["place"]["x"].endswith(" cm")


def test_stages_are_arranged_by_command(canvas: BenchCanvas, placed: Session, window: Any, qtbot: QtBot) -> None:
    placed.select(("stage", "uv"), (("stage", "softener"), ("stage", "fine")))
    window.run("evenly")
    rows = floor(canvas).chosen(["softener", "fine", "uv"])
    gaps = [b.begin - a.end for a, b in zip(rows, rows[1:], strict=False)]
    assert gaps[0] == pytest.approx(gaps[1], abs=0.006)
    window.run("side_by_side")
    rows = floor(canvas).chosen(["softener", "fine", "uv"])
    assert [b.begin - a.end for a, b in zip(rows, rows[1:], strict=False)] == pytest.approx([floor(canvas).gap] * 2, abs=0.006)
    window.run("to_right")
    assert max(each.end for each in floor(canvas).chosen(["softener", "fine", "uv"])) == pytest.approx(30 * FOOT, abs=0.003)
    window.run("to_left")
    assert min(each.begin for each in floor(canvas).chosen(["softener", "fine", "uv"])) == pytest.approx(0.0, abs=0.003)
    assert len(placed.chosen) == 3
    placed.select(("stage", "uv"))
    with qtbot.waitSignal(placed.refused):
        window.run("evenly")


# From the shelf ---------------------------------------------------------------------------------------------------------------


def test_dropped_on_an_own_floor_it_stands_where_it_was_dropped(canvas: BenchCanvas, placed: Session) -> None:
    at = between(canvas, "softener", "fine")
    assert canvas.view is not None
    wanted = canvas.view.metres(canvas.mapToScene(at).x())
    Carried(canvas, "carbon_bed").drop(at)
    assert own(placed)["carbon-bed"] == pytest.approx(wanted, abs=0.01)
    assert order(placed)[2:5] == ["softener", "carbon-bed", "fine"]
    Carried(canvas, "flow_control").drop(between(canvas, "fine", "uv"))
    assert "flow-control" in order(placed) and "flow-control" not in own(placed), "a device hangs in its pipe"


def test_added_by_key_it_finds_a_free_place(canvas: BenchCanvas, placed: Session, window: Any) -> None:
    placed.select(("stage", "iron"))
    window.workspace.add("sediment_bed")
    made = floor(canvas)
    new = made.spots["sediment-bed"]
    others = [each for each in made.spots.values() if each.node != "sediment-bed"]
    assert all(new.end <= each.begin + 1e-6 or each.end <= new.begin + 1e-6 for each in others)


def test_a_document_is_saved_with_its_places(canvas: BenchCanvas, placed: Session, farm: Document, tmp_path: Any) -> None:
    from trainapp.train.document import load

    placed.save(tmp_path / "own.train.json")
    assert places(load(tmp_path / "own.train.json")) == pytest.approx(own(placed))
    assert places(farm) == {}
