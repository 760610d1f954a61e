"""The bench under real presses, drags and keys: what is shown is the model, and every gesture is one edit."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.hands import Carried, between, click, drag, drag_to, key, shown, spot
from trainapp.desktop.bench import placing
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.rows_menu import RowsMenu
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Tag
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import AddParallel, AddStage, SetValue, Unlink


def order(session: Session) -> list[str]:
    return [stage.id for stage in session.document.stages]


# Selection --------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tag", [("stage", "softener"), ("supply",), ("link", "iron", "softener"), ("end", "garden")])
def test_a_click_selects(canvas: BenchCanvas, session: Session, tag: Tag) -> None:
    click(canvas, tag)
    assert session.selection == tag


def test_a_click_on_a_number_selects_its_cell_and_shows_its_steps(window: Any, canvas: BenchCanvas, session: Session) -> None:
    click(canvas, ("cell", "hardness", "uv"))
    assert session.selection == ("cell", "hardness", "uv")
    right = window.workspace.right
    assert right.stack.currentWidget() is right.steps
    assert "Hardness into" in right.steps.page.toPlainText()


def test_a_click_on_a_capsule_opens_its_finding(canvas: BenchCanvas, session: Session) -> None:
    number = min(int(tag[1]) for tag in shown(canvas, "finding"))
    click(canvas, ("finding", number))
    assert session.finding == number


def test_a_click_on_nothing_selects_nothing(canvas: BenchCanvas, session: Session) -> None:
    session.select(("stage", "uv"))
    click(canvas, ("stage", "uv"))
    QTest.mouseClick(canvas.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(3, 3))
    assert session.selection == ()


def test_a_click_on_the_staircase_selects_what_stands_there(canvas: BenchCanvas, session: Session) -> None:
    at = spot(canvas, ("staircase",))
    assert canvas.view is not None
    node = placing.nearest_node(canvas.view, canvas.mapToScene(at).x())
    click(canvas, ("staircase",))
    assert session.selection == canvas.session_tag(node)


def test_rows_of_the_ledger_are_chosen(canvas: BenchCanvas, session: Session) -> None:
    click(canvas, ("choose-rows",))
    menu = canvas.findChild(RowsMenu)
    assert menu is not None and menu.isVisible()
    hidden = next(action for action in menu.actions() if action.data() and action.data() not in canvas.shown_rows())
    hidden.trigger()
    assert hidden.data() in canvas.shown_rows()
    canvas.choose_rows(())
    assert hidden.data() not in canvas.shown_rows()
    menu.close()


def test_the_lane_of_what_is_selected_is_opened(canvas: BenchCanvas, session: Session) -> None:
    session.edit(AddParallel(beside="softener"))
    session.select(("stage", "softener"))
    assert canvas.options.opened == (("lane", "iron", "softener"),)
    session.select(("link", "iron", "softener-2"))
    assert canvas.options.opened == (("lane", "iron", "softener-2"),)
    session.select(("stage", "uv"))
    assert canvas.options.opened == ()


def test_what_is_selected_is_outlined(canvas: BenchCanvas, session: Session) -> None:
    accent = look().colour("accent").rgb()

    def count() -> int:
        image = canvas.grab().toImage()
        return sum(image.pixel(x, y) == accent for x in range(0, image.width(), 2) for y in range(0, image.height(), 2))

    # The ring of the keyboard's focus is of the same colour.
    canvas.clearFocus()
    before = count()
    session.select(("stage", "softener"))
    assert count() > before + 50


# Arrows -----------------------------------------------------------------------------------------------------------------------


def test_arrows_walk_along_the_train(canvas: BenchCanvas, session: Session) -> None:
    canvas.setFocus()
    visited = []
    for _ in range(len(session.document.stages) + 3):
        key(canvas, Qt.Key.Key_Right)
        visited.append(session.selection)
    assert visited[0] == ("supply",)
    assert visited[1:-2] == [("stage", name) for name in order(session)]
    assert visited[-2:] == [("end", "garden"), ("end", "house")]
    key(canvas, Qt.Key.Key_Left, Qt.Key.Key_Left)
    assert session.selection == ("stage", "uv")
    key(canvas, Qt.Key.Key_Home)
    assert session.selection == ("supply",)
    key(canvas, Qt.Key.Key_End)
    assert session.selection == ("end", "house")


def test_arrows_walk_through_the_ledger(canvas: BenchCanvas, session: Session) -> None:
    session.select(("stage", "softener"))
    key(canvas, Qt.Key.Key_Down)
    first = session.selection
    assert first[0] == "cell" and first[2] == "softener"
    key(canvas, Qt.Key.Key_Down)
    assert session.selection[1] != first[1] and session.selection[2] == "softener"
    key(canvas, Qt.Key.Key_Right)
    assert session.selection[2] == "fine"
    key(canvas, Qt.Key.Key_Up, Qt.Key.Key_Up)
    assert session.selection == ("stage", "fine")


def test_arrows_with_alt_walk_to_pipes(canvas: BenchCanvas, session: Session) -> None:
    session.select(("stage", "iron"))
    key(canvas, Qt.Key.Key_Right, modifier=Qt.KeyboardModifier.AltModifier)
    assert session.selection == ("link", "iron", "softener")
    key(canvas, Qt.Key.Key_Right)
    assert session.selection == ("stage", "softener")


def test_a_screen_reader_hears_what_is_selected(canvas: BenchCanvas, session: Session) -> None:
    session.select(("stage", "softener"))
    assert "Softener" in canvas.accessibleDescription()
    session.select(())
    assert canvas.accessibleDescription() == "nothing selected"


# Moving -----------------------------------------------------------------------------------------------------------------------


def test_a_stage_dragged_along_the_train_lands_in_the_gap_as_one_step(canvas: BenchCanvas, session: Session, farm: Document) -> None:
    for _ in drag(canvas, spot(canvas, ("stage", "softener")), between(canvas, "screen", "iron"), steps=30):
        assert canvas.marks._gap._shapes, "no gap is shown"
        assert session.document is farm, "nothing changes before it is dropped"
    assert order(session) == ["screen", "softener", "iron", "fine", "uv"]
    assert session.stack.count() == 1
    assert session.selection == ("stage", "softener")
    assert not canvas.marks._gap._shapes and not canvas.marks._ghost._shapes
    session.stack.undo()
    assert session.document == farm


def test_a_stage_dropped_where_it_stands_stays(canvas: BenchCanvas, session: Session, farm: Document) -> None:
    start = spot(canvas, ("stage", "softener"))
    drag_to(canvas, start, start + QPoint(12, 0))
    assert session.document is farm and session.stack.count() == 0


def test_escape_gives_a_drag_up(canvas: BenchCanvas, session: Session, farm: Document) -> None:
    for _ in drag(canvas, spot(canvas, ("stage", "softener")), between(canvas, "screen", "iron")):
        key(canvas, Qt.Key.Key_Escape)
        assert canvas.gesture is None
    assert session.document is farm


def test_a_hint_says_where_it_would_land(canvas: BenchCanvas, session: Session) -> None:
    heard: list[str] = []
    canvas.hinted.connect(heard.append)
    for _ in drag(canvas, spot(canvas, ("stage", "softener")), between(canvas, "screen", "iron")):
        assert heard[-1].startswith(f"between {session.title_of('screen')} and {session.title_of('iron')}")
    assert heard[-1] == ""


# From the shelf ---------------------------------------------------------------------------------------------------------------


def test_a_stage_from_the_shelf_opens_the_pipe_it_is_dropped_on(canvas: BenchCanvas, session: Session, farm: Document) -> None:
    carried = Carried(canvas, "carbon_bed")
    at = between(canvas, "softener", "fine")
    assert carried.enter(at) and carried.move(at)
    assert canvas.marks._gap._shapes
    assert session.document is farm
    carried.drop(at)
    assert order(session) == ["screen", "iron", "softener", "carbon-bed", "fine", "uv"]
    assert session.selection == ("stage", "carbon-bed")
    assert not canvas.marks._gap._shapes
    session.stack.undo()
    assert session.document == farm


def test_dropped_on_a_pipe_of_the_path_line_it_goes_there(canvas: BenchCanvas, session: Session) -> None:
    assert canvas.view is not None
    groups = [g for g in canvas.view.display.groups() if g.tag == ("link", "screen", "iron")]
    area = groups[-1].areas[0]
    Carried(canvas, "flow_control").drop(canvas.mapFromScene(QPointF(area.x + area.w / 2, area.y + area.h / 2)))
    assert order(session)[:3] == ["screen", "flow-control", "iron"]


def test_carried_away_nothing_is_left(canvas: BenchCanvas, session: Session, farm: Document) -> None:
    carried = Carried(canvas, "carbon_bed")
    carried.enter(between(canvas, "softener", "fine"))
    carried.move(between(canvas, "softener", "fine"))
    carried.leave()
    assert not canvas.marks._gap._shapes
    assert session.document is farm


def test_what_is_not_from_the_shelf_is_not_taken(canvas: BenchCanvas) -> None:
    carried = Carried(canvas, "carbon_bed")
    carried.data.clear()
    carried.data.setText("a page of a letter")
    assert not carried.enter(between(canvas, "softener", "fine"))


def test_a_bypass_is_dropped_on_the_stage_that_it_leads_round(canvas: BenchCanvas, session: Session, qtbot: QtBot) -> None:
    with qtbot.waitSignal(session.refused):
        Carried(canvas, "bypass").drop(QPoint(4, 4))
    carried = Carried(canvas, "bypass")
    carried.enter(spot(canvas, ("stage", "softener")))
    carried.move(spot(canvas, ("stage", "softener")))
    assert canvas.marks._gap._shapes
    with qtbot.waitSignal(canvas.hinted, check_params_cb=lambda text: text.startswith("round 3 Softener")):
        carried.move(spot(canvas, ("stage", "softener")))
    twin = Carried(canvas, "arrange:parallel")
    with qtbot.waitSignal(canvas.hinted, check_params_cb=lambda text: text.startswith("beside 3 Softener")):
        twin.enter(spot(canvas, ("stage", "softener")))
        twin.move(spot(canvas, ("stage", "softener")))
    Carried(canvas, "bypass").drop(spot(canvas, ("stage", "softener")))
    ends = {link.ends for link in session.document.links}
    assert {("iron", "bypass"), ("bypass", "fine")} <= ends


# Pipes ------------------------------------------------------------------------------------------------------------------------


def port(canvas: BenchCanvas, name: str) -> QPoint:
    box = canvas.marks.port_boxes[name]
    return canvas.mapFromScene(QPointF(box.x + box.w / 2, box.y + box.h / 2))


def test_a_pipe_is_drawn_from_a_port(canvas: BenchCanvas, session: Session) -> None:
    session.select(("stage", "screen"))
    drag_to(canvas, port(canvas, "out"), spot(canvas, ("stage", "softener")))
    assert ("screen", "softener") in {link.ends for link in session.document.links}
    assert session.selection == ("link", "screen", "softener")


def test_a_pipe_is_drawn_into_a_port(canvas: BenchCanvas, session: Session) -> None:
    session.select(("stage", "fine"))
    drag_to(canvas, port(canvas, "in"), spot(canvas, ("stage", "iron")))
    assert ("iron", "fine") in {link.ends for link in session.document.links}


def test_a_pipe_to_nowhere_or_in_a_circle_is_not_laid(canvas: BenchCanvas, session: Session, farm: Document, qtbot: QtBot) -> None:
    session.select(("stage", "uv"))
    drag_to(canvas, port(canvas, "out"), QPoint(4, 4))
    assert session.document is farm
    with qtbot.waitSignal(session.refused) as refused:
        drag_to(canvas, port(canvas, "out"), spot(canvas, ("stage", "screen")))
    assert refused.args is not None and "circle" in refused.args[0]
    assert session.document is farm


def test_a_pipe_whose_loss_dries_the_house_stays(canvas: BenchCanvas, session: Session, farm: Document, window: Any) -> None:
    click(canvas, ("link", "iron", "softener"))
    window.run("remove")
    assert session.document is farm
    said = "Not done: without this pipe no water reaches the house; lay another pipe first"
    assert window.workspace.foot.message.accessibleName() == said


def test_delete_removes_stage_pipe_and_end(canvas: BenchCanvas, session: Session, window: Any) -> None:
    click(canvas, ("stage", "softener"))
    key(window, Qt.Key.Key_Delete)
    assert "softener" not in order(session)
    assert ("iron", "fine") in {link.ends for link in session.document.links}
    click(canvas, ("end", "garden"))
    key(window, Qt.Key.Key_Delete)
    assert session.document.outlets == {}


# Flow -------------------------------------------------------------------------------------------------------------------------


def test_the_flow_slider_moves_numbers_and_nothing_else(canvas: BenchCanvas, session: Session, farm: Document) -> None:
    assert canvas.view is not None and canvas.view.slider is not None
    slider = canvas.view.slider
    y = canvas.mapFromScene(QPointF(0, slider.y)).y()
    start, end = QPoint(round(slider.x(7.0)), y), QPoint(round(slider.x(11.0)), y)
    before = session.assessment
    for _ in drag(canvas, start, end):
        assert session.trial_flow == pytest.approx(11.0 * 6.30902e-5, rel=0.02)
        assert session.assessment is before
    assert session.document is farm and session.stack.count() == 0
    model = session.model
    assert model is not None and before is not None
    assert model.findings == before.model.findings
    house = model.pressure.entering["house"] if model.pressure else None
    own = before.model.pressure.entering["house"] if before.model.pressure else None
    assert house is not None and own is not None and house.clean < own.clean
    drag_to(canvas, end, start)
    assert session.trial_flow is None


# Scrolling, odd documents -------------------------------------------------------------------------------------------------------


def test_what_does_not_fit_can_be_scrolled_to(canvas: BenchCanvas, session: Session, window: Any) -> None:
    window.resize(800, 600)
    for _ in range(9):
        session.edit(AddStage(kind="softener"))
    QApplication.processEvents()
    most, _ = canvas.scroll_range
    assert most > 0
    canvas.scroll_to(most)
    assert canvas.options.pan_x == most
    assert canvas.view is not None
    assert canvas.view.spread.centres["house"] - most <= canvas.options.width
    while session.stack.canUndo():
        session.stack.undo()
    assert canvas.options.pan_x <= canvas.scroll_range[0]


def test_a_loose_stage_stands_on_the_floor_and_is_linked(canvas: BenchCanvas, session: Session) -> None:
    session.edit(AddStage(kind="carbon_bed", loose=True))
    assert ("stage", "carbon-bed") in shown(canvas, "stage")
    drag_to(canvas, spot(canvas, ("stage", "carbon-bed")), between(canvas, "softener", "fine"))
    assert placing.into(session.document, "carbon-bed") == [("softener", "carbon-bed")]


def test_an_edit_that_cannot_be_evaluated_keeps_the_last_picture_and_says_why(
    canvas: BenchCanvas, session: Session, window: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(document: Document, system: str) -> Any:
        raise DocumentError("supply", "the pump gives nothing")

    real = session._assess
    monkeypatch.setattr(session, "_assess", refuse)
    before = shown(canvas, "stage")
    session.edit(SetValue(path="demand.daily", value="300 gal"))
    assert shown(canvas, "stage") == before
    assert "the pump gives nothing" in window.workspace.verdict.stale.text()
    assert canvas.options.stale
    monkeypatch.setattr(session, "_assess", real)
    session.stack.undo()
    assert not canvas.options.stale


def test_unlinking_a_branch(canvas: BenchCanvas, session: Session) -> None:
    assert session.edit(Unlink(ends=("supply", "garden")))
    assert ("link", "supply", "garden") not in shown(canvas, "link")
