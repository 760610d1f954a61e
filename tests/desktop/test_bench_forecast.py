"""What something would do to the findings is said before it is dropped; off the window's thread, and never an answer to an old question."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.hands import Carried, between, drag, key, spot
from trainapp.checks.finding import Finding
from trainapp.desktop.bench import forecast
from trainapp.desktop.bench.add_here import AddHere
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.forecast import Forecast, Outlook, foresee, outlook
from trainapp.desktop.bench.slip import slip
from trainapp.desktop.session import Session
from trainapp.desktop.shelf import Shelf
from trainapp.reports.drawing.display import Rect, Text
from trainapp.train.document import Document
from trainapp.train.edits import AddStage, MoveStage, RemoveStage


def never() -> bool:
    return False


def said(canvas: BenchCanvas) -> str:
    """What stands on the slip."""
    return " | ".join(shape.text for shape in canvas.marks._slip.shapes if isinstance(shape, Text))


def wait(canvas: BenchCanvas, qtbot: QtBot) -> Outlook:
    qtbot.waitUntil(lambda: canvas.hints.forecast.last is not None, timeout=5000)
    found = canvas.hints.forecast.last
    assert found is not None
    return found


# What changes -----------------------------------------------------------------------------------------------------------------


def finding(code: str, severity: Any, stage: str = "uv", title: str = "") -> Finding:
    return Finding(code, severity, stage, title or code, "")


def test_what_comes_and_goes_is_counted_by_severity() -> None:
    before = [finding("a", "fail"), finding("b", "caution"), finding("c", "caution"), finding("d", "note")]
    after = [finding("e", "fail", title="Carbon stands behind the chamber"), finding("d", "note"), finding("a", "caution")]
    made = outlook(before, after)
    assert made.come == (("fail", 1), ("caution", 1)) and made.go == (("fail", 1), ("caution", 2))
    assert made.words == "+1\u202ffail, +1\u202fcaution, \u22121\u202ffail, \u22122\u202fcautions"
    assert made.worst == "Carbon stands behind the chamber"
    assert outlook(before, before).words == "findings stay as they are"
    assert Outlook(refused="no pipe leads there").words == "not possible: no pipe leads there"


def test_two_of_a_kind_at_one_place_are_two() -> None:
    """A vessel pushed into two others stands in two places of others."""
    one, other = (finding("room-fit", "caution", title=f"The softener and {name} stand in one place") for name in ("1", "2"))
    assert outlook([], [one, other]).words == "+2\u202fcautions" and outlook([one, other], []).words == "\u22122\u202fcautions"
    more = outlook([other], [one, other])
    assert (more.words, more.worst) == ("+1\u202fcaution", one.title)
    assert outlook([one], [finding("room-fit", "caution", title="now by 3 in")]).words == "findings stay as they are"


def test_it_is_what_the_edit_then_does(session: Session, farm: Document) -> None:
    """Foreseen on a copy, then done: the same findings come and go."""
    assert session.assessment is not None
    before = session.assessment.findings
    for edit in (AddStage(kind="carbon_bed", into=("uv", "house")), RemoveStage(id="uv"), MoveStage(id="uv", into=("supply", "screen"))):
        foreseen = foresee((farm, edit, before, "us"), never)
        assert session.edit(edit)
        assert foreseen == outlook(before, session.assessment.findings) and foreseen.come
        session.stack.undo()
    assert session.document == farm


def test_what_cannot_be_done_is_said(farm: Document) -> None:
    assert "is not a stage" in foresee((farm, RemoveStage(id="nobody"), (), "us"), never).refused


def test_nothing_is_worked_out_that_nobody_waits_for(farm: Document, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trainapp.train.evaluate.evaluate", lambda *_: pytest.fail("evaluated all the same"))
    assert foresee((farm, RemoveStage(id="uv"), (), "us"), lambda: True) == Outlook()


# Asking -----------------------------------------------------------------------------------------------------------------------


def test_it_is_worked_out_on_another_thread(session: Session, farm: Document, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    threads: list[threading.Thread] = []
    real = forecast.outlook

    def watched(*arguments: Any) -> Outlook:
        threads.append(threading.current_thread())
        return real(*arguments)

    monkeypatch.setattr(forecast, "outlook", watched)
    made = Forecast(session)
    with qtbot.waitSignal(made.ready, timeout=5000) as answer:
        made.ask(RemoveStage(id="uv"))
    assert threads and threads[0] is not threading.main_thread()
    assert answer.args is not None and answer.args[0] == made.last
    made.ask(RemoveStage(id="uv"))
    assert made.last is not None, "the same question is not asked twice"


def test_only_the_last_question_is_answered(session: Session, qtbot: QtBot) -> None:
    made, heard = Forecast(session), []
    made.ready.connect(heard.append)
    for stage in ("screen", "iron", "softener", "fine", "uv"):
        made.ask(RemoveStage(id=stage))
    qtbot.waitUntil(lambda: made.last is not None, timeout=5000)
    qtbot.wait(50)
    assert session.assessment is not None
    assert heard == [foresee((session.document, RemoveStage(id="uv"), session.assessment.findings, "us"), never)]
    made.ask(RemoveStage(id="iron"))
    made.drop()
    qtbot.wait(80)
    assert len(heard) == 1 and made.last is None


def test_a_fault_of_the_program_leaves_the_drag_alive(session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forecast, "plan_edit", lambda *_: 1 / 0)
    made = Forecast(session)
    with qtbot.waitSignal(made.ready, timeout=5000):
        made.ask(RemoveStage(id="uv"))
    assert made.last is not None and "ZeroDivisionError" in made.last.refused


# While something is carried -----------------------------------------------------------------------------------------------------


def test_a_stage_from_the_shelf_says_what_it_would_do(canvas: BenchCanvas, session: Session, farm: Document, qtbot: QtBot) -> None:
    carried = Carried(canvas, "carbon_bed")
    at = canvas.mapFromScene(QPointF(canvas.view.spread.centres["house"], canvas.view.floor - 8)) if canvas.view else QPoint()
    carried.enter(at)
    carried.move(at)
    assert "working it out" in said(canvas)
    found = wait(canvas, qtbot)
    assert ("fail", 1) in found.come
    assert "+1\u202ffail" in said(canvas) and found.worst in said(canvas)
    assert session.document is farm, "nothing is done yet"
    carried.leave()
    assert said(canvas) == "" and canvas.hints.forecast.last is None


def test_a_dragged_stage_says_where_it_lands_and_what_that_does(canvas: BenchCanvas, session: Session, qtbot: QtBot) -> None:
    heard: list[str] = []
    canvas.hinted.connect(heard.append)
    for _ in drag(canvas, spot(canvas, ("stage", "uv")), between(canvas, "screen", "iron")):
        found = wait(canvas, qtbot)
        assert found.come
        assert said(canvas).startswith("between 1 ") and heard[-1].endswith(found.words)
    assert said(canvas) == "" and heard[-1] == ""


def test_a_pipe_that_is_being_laid_says_what_it_would_do(canvas: BenchCanvas, session: Session, qtbot: QtBot) -> None:
    session.select(("stage", "screen"))
    box = canvas.marks.port_boxes["out"]
    start = canvas.mapFromScene(QPointF(box.x + box.w / 2, box.y + box.h / 2))
    for _ in drag(canvas, start, spot(canvas, ("end", "house"))):
        assert wait(canvas, qtbot).come
        key(canvas, Qt.Key.Key_Escape)
    assert said(canvas) == "" and session.stack.count() == 0


def test_the_slip_stays_inside_the_view() -> None:
    made = Outlook((("fail", 1),), (("caution", 2),), "A title that is long and goes on for a while, longer than the slip is wide at all")
    for x, y in ((0.0, 0.0), (955.0, 10.0), (955.0, 695.0), (480.0, 350.0)):
        ground = next(shape for shape in slip("between 1 and 2", made, x, y, 960.0, 700.0) if isinstance(shape, Rect))
        assert ground.x >= 0 and ground.y >= 0 and ground.x + ground.w <= 960.0 and ground.y + ground.h <= 700.0
        # Never under the pointer.
        assert not (ground.x <= x <= ground.x + ground.w and ground.y <= y <= ground.y + ground.h)


# Add here ---------------------------------------------------------------------------------------------------------------------


def opened(canvas: BenchCanvas) -> AddHere:
    (made,) = canvas.window().findChildren(AddHere)
    return made


def test_a_opens_the_shelf_at_the_pointer(canvas: BenchCanvas, session: Session, qtbot: QtBot) -> None:
    at = between(canvas, "softener", "fine")
    # a pointer that an earlier test left there makes no move
    QTest.mouseMove(canvas.viewport(), at + QPoint(40, 0))
    QTest.mouseMove(canvas.viewport(), at)
    key(canvas, Qt.Key.Key_A)
    made = opened(canvas)
    assert made.isVisible() and "between 3 Softener and 4 " in made.field.placeholderText()
    corner = canvas.viewport().mapFromGlobal(made.pos())
    assert abs(corner.x() - at.x()) < 320 and corner.y() <= at.y() + 4
    QTest.keyClicks(made.field, "carbon bed")
    qtbot.waitUntil(lambda: made.outlook.text() not in ("", "findings: working it out"), timeout=5000)
    key(made.field, Qt.Key.Key_Return)
    order = [stage.id for stage in session.document.stages]
    assert order[order.index("softener") + 1] == "carbon-bed"
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert canvas.window().findChildren(AddHere) == []


def test_without_a_pointer_it_adds_at_what_is_selected(canvas: BenchCanvas, session: Session, window: Any, qtbot: QtBot) -> None:
    session.select(("link", "iron", "softener"))
    canvas.pointer = None
    window.run("add_here")
    made = opened(canvas)
    assert "between 2 Iron filter and 3 Softener" in made.field.placeholderText()
    QTest.keyClicks(made.field, "sediment bed")
    qtbot.waitUntil(lambda: made.outlook.text() not in ("", "findings: working it out"), timeout=5000)
    key(made.field, Qt.Key.Key_Return)
    assert ("iron", "sediment-bed") in {link.ends for link in session.document.links}


def test_what_needs_a_stage_says_so(canvas: BenchCanvas, session: Session, window: Any, qtbot: QtBot) -> None:
    session.select(())
    canvas.pointer = None
    window.run("add_here")
    made = opened(canvas)
    QTest.keyClicks(made.field, "bypass and blend")
    assert "select the stage" in made.outlook.text()
    with qtbot.waitSignal(session.refused):
        key(made.field, Qt.Key.Key_Return)
    assert session.stack.count() == 0


def test_it_offers_what_the_shelf_offers(canvas: BenchCanvas, window: Any) -> None:
    window.run("add_here")
    made, on_shelf = opened(canvas), window.workspace.shelf
    assert isinstance(on_shelf, Shelf)
    from trainapp.desktop.adding import shelf

    assert {choice.key for choice in made.choices} == {entry.key for entry in shelf()}
    QTest.keyClicks(made.field, "10 x 54 softener")
    assert any(choice.key.startswith("item:") for choice in made.choices), "and items of the catalogue"
    made.close()
