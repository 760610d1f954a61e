"""Several things at once: chosen by band, Shift and keys; removed, copied, pasted, duplicated, moved as one step each."""

from __future__ import annotations

import json
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT, between, click, drag, drag_to, key, shown, spot
from trainapp.desktop.actions import COMMANDS
from trainapp.desktop.bench import clipping
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.menus import BenchMenu, commands_for
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import AddOutlet, AddParallel, Paste, Unlink

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def order(session: Session) -> list[str]:
    return [stage.id for stage in session.document.stages]


def pipes(session: Session) -> set[tuple[str, str]]:
    return {link.ends for link in session.document.links}


def stages(*ids: str) -> tuple[tuple[str, str], ...]:
    return tuple(("stage", name) for name in ids)


def click_with(canvas: BenchCanvas, tag: tuple[str, ...], held: Qt.KeyboardModifier) -> None:
    QTest.mouseClick(canvas.viewport(), LEFT, held, spot(canvas, tag))


def over_floor(canvas: BenchCanvas, x: float, height: float) -> QPoint:
    """A point of the viewport so many px over the floor."""
    assert canvas.view is not None
    return canvas.mapFromScene(QPointF(x, canvas.view.floor - height))


# Choosing ---------------------------------------------------------------------------------------------------------------------


def test_shift_and_ctrl_take_in_and_give_up(canvas: BenchCanvas, session: Session) -> None:
    click(canvas, ("stage", "iron"))
    click_with(canvas, ("stage", "uv"), SHIFT)
    assert session.chosen == stages("iron", "uv")
    click_with(canvas, ("link", "softener", "fine"), CTRL)
    assert session.chosen == (*stages("iron", "uv"), ("link", "softener", "fine"))
    click_with(canvas, ("stage", "iron"), SHIFT)
    assert session.chosen == (("stage", "uv"), ("link", "softener", "fine"))
    click(canvas, ("stage", "fine"))
    assert session.chosen == stages("fine")
    assert "things selected" not in canvas.accessibleDescription()


def test_all_that_is_selected_is_outlined_and_said(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "uv"), stages("iron"))
    assert canvas.options.holds(("stage", "uv")) and canvas.options.holds(("stage", "iron"))
    assert canvas.accessibleDescription() == "2 things selected"
    assert canvas.marks.port_boxes == {}, "a pipe is laid from one thing"
    assert window.workspace.foot.selected.accessibleName() == "2 things selected"


def test_a_rubber_band_selects_what_it_touches(canvas: BenchCanvas, session: Session) -> None:
    assert canvas.view is not None
    centres = canvas.view.spread.centres
    start = over_floor(canvas, (centres["screen"] + centres["iron"]) / 2 - 4, 250)
    end = over_floor(canvas, centres["fine"], 30)
    assert canvas.tag_at(QPointF(start)) == ()
    for _ in drag(canvas, start, end, steps=12):
        assert canvas.marks._band.shapes
    assert set(session.chosen) == set(stages("iron", "softener", "fine"))
    assert not canvas.marks._band.shapes and session.stack.count() == 0


def test_a_rubber_band_with_shift_adds_and_escape_gives_it_up(canvas: BenchCanvas, session: Session) -> None:
    assert canvas.view is not None
    session.select(("stage", "screen"))
    centres = canvas.view.spread.centres
    start, end = over_floor(canvas, (centres["fine"] + centres["uv"]) / 2, 250), over_floor(canvas, centres["uv"], 150)
    QTest.mousePress(canvas.viewport(), LEFT, SHIFT, start)
    for i in range(1, 7):
        QTest.mouseMove(canvas.viewport(), start + (end - start) * i / 6)
    assert set(session.chosen) == set(stages("screen", "uv"))
    key(canvas, Qt.Key.Key_Escape)
    assert session.chosen == stages("screen")
    QTest.mouseRelease(canvas.viewport(), LEFT, SHIFT, end)
    assert session.chosen == stages("screen")


def test_select_all_and_walking_with_shift(canvas: BenchCanvas, session: Session, window: Any) -> None:
    key(window, Qt.Key.Key_A, modifier=CTRL)
    assert session.chosen == stages(*order(session))
    session.select(("stage", "iron"))
    key(canvas, Qt.Key.Key_Right, Qt.Key.Key_Right, modifier=SHIFT)
    assert session.chosen == stages("iron", "softener", "fine")
    key(canvas, Qt.Key.Key_Left, modifier=SHIFT)
    assert session.chosen == stages("iron", "softener")


# Removing, moving, arranging in the train ---------------------------------------------------------------------------------------


def test_several_are_removed_as_one_step_and_the_pipe_heals(canvas: BenchCanvas, session: Session, farm: Document, window: Any) -> None:
    session.select(("stage", "fine"), (*stages("iron", "softener"), ("end", "garden")))
    key(window, Qt.Key.Key_Delete)
    assert order(session) == ["screen", "uv"]
    assert pipes(session) == {("supply", "screen"), ("screen", "uv"), ("uv", "house")}
    assert session.stack.count() == 1 and session.document.outlets == {}
    for tag in shown(canvas, "stage"):
        assert tag[1] in ("screen", "uv")
    session.stack.undo()
    assert session.document == farm
    assert set(session.chosen) == {*stages("fine", "iron", "softener"), ("end", "garden")}


def test_several_are_dragged_along_the_train_as_one_step(canvas: BenchCanvas, session: Session, farm: Document) -> None:
    session.select(("stage", "fine"), stages("softener"))
    drag_to(canvas, spot(canvas, ("stage", "softener")), between(canvas, "screen", "iron"))
    assert order(session) == ["screen", "softener", "fine", "iron", "uv"]
    assert {("screen", "softener"), ("softener", "fine"), ("fine", "iron"), ("iron", "uv")} <= pipes(session)
    assert session.stack.count() == 1 and set(session.chosen) == set(stages("softener", "fine"))
    session.stack.undo()
    assert session.document == farm


def test_several_dropped_where_they_stand_stay(canvas: BenchCanvas, session: Session, farm: Document) -> None:
    session.select(("stage", "fine"), stages("softener"))
    drag_to(canvas, spot(canvas, ("stage", "softener")), between(canvas, "fine", "uv"))
    assert session.document is farm and session.stack.count() == 0


def test_a_bypass_leads_round_all_that_is_selected(canvas: BenchCanvas, session: Session, window: Any, qtbot: QtBot) -> None:
    session.select(("stage", "softener"), stages("iron"))
    key(window, Qt.Key.Key_B, modifier=CTRL | SHIFT)
    assert {("screen", "bypass"), ("bypass", "fine")} <= pipes(session)
    session.stack.undo()
    session.select(())
    with qtbot.waitSignal(session.refused):
        window.run("bypass")


def test_a_bypass_beside_a_pair_takes_all_lanes_or_none(canvas: BenchCanvas, session: Session, window: Any, qtbot: QtBot) -> None:
    """From one lane of several water would run back through it."""
    session.edit(AddParallel(beside="softener"), select=())
    before = pipes(session)
    for also, how in (("iron", "parts to softener 3b and sediment"), ("fine", "comes from the iron filter and softener 3b")):
        session.select(("stage", "softener"), stages(also))
        with qtbot.waitSignal(session.refused) as said:
            key(window, Qt.Key.Key_B, modifier=CTRL | SHIFT)
        assert pipes(session) == before and how in said.args[0] and ": select the stages of all lanes too" in said.args[0]
    session.select(("stage", "iron"), stages("softener", "softener-2"))
    key(window, Qt.Key.Key_B, modifier=CTRL | SHIFT)
    assert pipes(session) - before == {("screen", "bypass"), ("bypass", "fine")}


@pytest.mark.parametrize(
    ("stage", "new", "gone"),
    [
        (
            "iron",
            {("iron", "tee"), ("bypass", "tee"), ("screen", "bypass"), ("tee", "softener"), ("tee", "softener-2")},
            {("iron", "softener"), ("iron", "softener-2")},
        ),
        (
            "fine",
            {("softener", "tee"), ("softener-2", "tee"), ("tee", "fine"), ("tee", "bypass"), ("bypass", "uv")},
            {("softener", "fine"), ("softener-2", "fine")},
        ),
    ],
)
def test_a_bypass_round_a_stage_beside_a_pair_goes_by_a_tee(
    stage: str, new: set[tuple[str, str]], gone: set[tuple[str, str]], canvas: BenchCanvas, session: Session, window: Any
) -> None:
    session.edit(AddParallel(beside="softener"), select=())
    before = session.document
    session.select(("stage", stage))
    key(window, Qt.Key.Key_B, modifier=CTRL | SHIFT)
    assert pipes(session) == ({link.ends for link in before.links} | new) - gone
    assert session.stack.undoText().startswith("Bypass")
    session.stack.undo()
    assert session.document.tree == before.tree
    canvas.put("bypass", ("stage", stage))
    assert pipes(session) == ({link.ends for link in before.links} | new) - gone
    key(canvas, Qt.Key.Key_A, modifier=CTRL)
    assert ("stage", "tee") in session.chosen
    key(canvas, Qt.Key.Key_Delete)
    assert not session.document.stages, "a tee goes with all the rest"


def test_a_bypass_comes_back_on_the_way_to_the_house(session: Session, window: Any) -> None:
    session.edit(AddOutlet(name="yard", outlet={"peak": "4 gpm", "drinking": False}, after="iron"), select=("stage", "iron"))
    window.run("bypass")
    assert {("screen", "bypass"), ("bypass", "softener")} <= pipes(session)


def test_twins_and_outdoor_taps_by_command(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "softener"), stages("iron"))
    key(window, Qt.Key.Key_T, modifier=CTRL | SHIFT)
    assert {"softener-2", "iron-2"} <= set(order(session)) and session.stack.count() == 1
    session.stack.undo()
    click(canvas, ("link", "screen", "iron"))
    window.run("outdoor")
    assert ("screen", "outdoor") in pipes(session)
    assert session.document.outlets["outdoor"].drinking is False


# Clipboard --------------------------------------------------------------------------------------------------------------------


def test_copied_stages_are_plain_json(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "softener"), stages("iron"))
    key(window, Qt.Key.Key_C, modifier=CTRL)
    clip = json.loads(QGuiApplication.clipboard().text())
    assert clip["format"] == "trainapp/stages" and [row["id"] for row in clip["stages"]] == ["iron", "softener"]
    assert [(row["from"], row["to"]) for row in clip["links"]] == [("iron", "softener")]


def test_pasted_into_the_selected_pipe_with_new_ids(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "softener"), stages("iron"))
    window.run("copy")
    session.select(("link", "fine", "uv"))
    canvas.pointer = None
    key(window, Qt.Key.Key_V, modifier=CTRL)
    assert {("fine", "iron-2"), ("iron-2", "softener-2"), ("softener-2", "uv")} <= pipes(session)
    assert session.document.stage("softener-2").settings == session.document.stage("softener").settings
    assert set(session.chosen) == set(stages("iron-2", "softener-2"))
    assert session.stack.count() == 1


def test_pasted_at_the_pointer(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "screen"))
    window.run("copy")
    at = between(canvas, "softener", "fine")
    # a pointer that an earlier test left there makes no move
    QTest.mouseMove(canvas.viewport(), at + QPoint(40, 0))
    QTest.mouseMove(canvas.viewport(), at)
    canvas.viewport().setAttribute(Qt.WidgetAttribute.WA_UnderMouse)
    window.run("paste")
    assert {("softener", "screen-2"), ("screen-2", "fine")} <= pipes(session)


def test_cut_takes_away_what_it_copies(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "softener"))
    key(window, Qt.Key.Key_X, modifier=CTRL)
    assert "softener" not in order(session) and ("iron", "fine") in pipes(session)
    session.select(("stage", "iron"))
    canvas.pointer = None
    window.run("paste")
    assert {("iron", "softener"), ("softener", "fine")} <= pipes(session), "its own id is free again"


def test_two_lanes_are_pasted_loose(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.edit(AddParallel(beside="softener"))
    session.select(("stage", "softener"), stages("softener-2"))
    window.run("copy")
    session.select(("stage", "uv"))
    before = pipes(session)
    window.run("paste")
    assert {"softener-3", "softener-4"} <= set(order(session)) and pipes(session) == before


def test_duplicates_stand_behind_the_last(canvas: BenchCanvas, session: Session, window: Any) -> None:
    session.select(("stage", "softener"), stages("iron"))
    key(window, Qt.Key.Key_D, modifier=CTRL)
    assert {("softener", "iron-2"), ("iron-2", "softener-2"), ("softener-2", "fine")} <= pipes(session)


def test_stages_go_from_one_window_to_another(session: Session, window: Any, prefs: Prefs, farm: Document) -> None:
    session.select(("stage", "softener"))
    window.run("copy")
    other, second = Window(prefs), Session(farm)
    other.show()
    other.show_session(second)
    second.select(("stage", "uv"))
    other.run("paste")
    assert ("uv", "softener-2") in {link.ends for link in second.document.links}
    assert session.document == farm
    second.stack.setClean()
    other.close()


@pytest.mark.parametrize(
    "text",
    [
        "a page of a letter", "", "[1, 2]", "{}", '{"format": "trainapp/stages", "version": 1, "stages": []}',
        '{"format": "trainapp/stages", "version": 1, "stages": [7]}', '{"format": "trainapp/stages", "version": 9, "stages": [{}]}',
        '{"format": "other", "version": 1, "stages": [{"id": "a", "kind": "softener"}]}', '{"format": NaN}', "[" * 2000,
    ],
)  # fmt: skip
def test_what_is_no_stage_is_refused_in_a_sentence(text: str, session: Session, window: Any, qtbot: QtBot, farm: Document) -> None:
    QGuiApplication.clipboard().setText(text)
    with qtbot.waitSignal(session.refused) as heard:
        window.run("paste")
    assert heard.args is not None and "the clipboard" in heard.args[0]
    assert session.document is farm


def test_a_whole_document_is_read_as_its_stages(farm_well: Any) -> None:
    made = clipping.pasting(farm_well.read_text(encoding="utf-8"), ("uv", "house"))
    assert isinstance(made, Paste) and [row["id"] for row in made.stages] == ["screen", "iron", "softener", "fine", "uv"]
    assert made.into == ("uv", "house")
    with pytest.raises(DocumentError):
        clipping.pasting('{"format": "trainapp/train", "version": 1}', None)


# Menus ------------------------------------------------------------------------------------------------------------------------


def menu_of(canvas: BenchCanvas) -> BenchMenu:
    found = [menu for menu in canvas.findChildren(QMenu) if isinstance(menu, BenchMenu)]
    assert len(found) == 1
    return found[0]


def right_click(canvas: BenchCanvas, at: QPoint) -> None:
    event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, canvas.viewport().mapToGlobal(at))
    QApplication.sendEvent(canvas.viewport(), event)


def test_a_right_click_selects_and_opens_what_can_be_done_there(canvas: BenchCanvas, session: Session, window: Any) -> None:
    right_click(canvas, spot(canvas, ("stage", "softener")))
    assert session.selection == ("stage", "softener")
    menu = menu_of(canvas)
    texts = [action.text() for action in menu.actions() if not action.isSeparator()]
    assert {"Two in parallel", "Bypass and blend", "Copy", "Remove what is selected"} <= set(texts)
    next(action for action in menu.actions() if action.text() == "Two in parallel").trigger()
    assert "softener-2" in order(session)
    menu.close()


def test_a_right_click_on_several_keeps_them(canvas: BenchCanvas, session: Session) -> None:
    session.select(("stage", "softener"), stages("iron"))
    right_click(canvas, spot(canvas, ("stage", "iron")))
    assert len(session.chosen) == 2
    assert "Space evenly" in [action.text() for action in menu_of(canvas).actions()]
    menu_of(canvas).close()


def test_the_menu_key_opens_it_for_what_is_selected(canvas: BenchCanvas, session: Session) -> None:
    session.select(("link", "iron", "softener"))
    event = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(0, 0), QPoint(0, 0))
    QApplication.sendEvent(canvas, event)
    assert "Add here…" in [action.text() for action in menu_of(canvas).actions()]
    menu_of(canvas).close()


def test_a_pipe_that_the_house_needs_is_greyed_with_the_reason(canvas: BenchCanvas, session: Session) -> None:
    def removing() -> list[tuple[str, bool]]:
        made = menu_of(canvas)
        found = [(action.text(), action.isEnabled()) for action in made.actions() if action.text().startswith("Remove")]
        made.close()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        return found

    right_click(canvas, spot(canvas, ("link", "iron", "softener")))
    reason = "without this pipe no water reaches the house; lay another pipe first"
    assert removing() == [(f"Remove what is selected: {reason}", False)]
    session.edit(AddParallel(beside="softener"), select=("link", "iron", "softener"))
    QApplication.sendEvent(canvas, QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(0, 0), QPoint(0, 0)))
    assert removing() == [("Remove what is selected", True)]


def test_a_refused_pipe_is_told_without_a_key_of_the_file(session: Session, qtbot: QtBot) -> None:
    with qtbot.waitSignal(session.refused) as said:
        session.edit(Unlink(ends=("uv", "house")))
    assert said.args == ["Not done: no pipe leads from the supply to the house"]


def test_a_menu_goes_when_it_closes(canvas: BenchCanvas, session: Session) -> None:
    for _ in range(20):
        right_click(canvas, spot(canvas, ("stage", "softener")))
        menu_of(canvas).close()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert canvas.findChildren(BenchMenu) == []


def test_every_line_of_a_menu_is_a_command() -> None:
    ids = {command.id for command in COMMANDS}
    for tag in (("stage", "a"), ("link", "a", "b"), ("end", "a"), ("supply",), ("cell", "iron", "a"), ()):
        for several in (False, True):
            assert {name for name in commands_for(tag, several) if name is not None} <= ids
