"""The session: edits as steps of undo, evaluation that keeps the last good one, selection, saving."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainapp.desktop.commands import PatchCommand
from trainapp.desktop.session import Session, node_tag
from trainapp.train import store
from trainapp.train.document import Document, DocumentError, dumps, load
from trainapp.train.edits import AddStage, ChangeSetting, MoveStage, RemoveStage, SetValue, Unlink


class Road:
    """Stands for the engine: counts, and fails when it is told to."""

    def __init__(self) -> None:
        self.calls: list[Document] = []
        self.refuse = ""
        self.fault: Exception | None = None
        self.findings: list[Any] = []

    def __call__(self, document: Document, system: str) -> Any:
        self.calls.append(document)
        if self.fault is not None:
            raise self.fault
        if self.refuse:
            raise DocumentError("stages.uv", self.refuse)
        return SimpleNamespace(document=document, system=system, findings=tuple(self.findings))


@pytest.fixture
def road() -> Road:
    return Road()


@pytest.fixture
def session(qapp: QApplication, farm: Document, road: Road) -> Session:
    return Session(farm, assess=road)


def test_each_edit_is_evaluated_at_once(session: Session, road: Road) -> None:
    assert session.edit(AddStage(kind="carbon_bed"))
    assert road.calls[-1] is session.document
    assert session.shown is not None and session.shown.document is session.document


def test_an_edit_selects_the_stage_that_came(session: Session) -> None:
    session.edit(AddStage(kind="carbon_bed"))
    assert session.selection == ("stage", "carbon-bed")


def test_undo_and_redo_bring_document_and_selection_back(session: Session, farm: Document) -> None:
    session.select(("stage", "iron"))
    session.edit(AddStage(kind="carbon_bed", into=("iron", "softener")))
    done = session.document
    session.stack.undo()
    assert session.document is farm
    assert session.selection == ("stage", "iron")
    session.stack.redo()
    assert dumps(session.document) == dumps(done)
    assert session.selection == ("stage", "carbon-bed")


def test_what_cannot_be_done_is_refused_in_one_sentence_and_changes_nothing(session: Session, farm: Document, qtbot: QtBot) -> None:
    with qtbot.waitSignal(session.refused) as refused:
        assert not session.edit(Unlink(ends=("supply", "screen")))
    assert refused.args is not None and "no pipe leads from the supply to the house" in refused.args[0]
    assert session.document is farm
    assert session.stack.count() == 0


def test_an_edit_that_changes_nothing_is_no_step(session: Session) -> None:
    settings = session.document.stage("softener").settings
    assert not session.edit(ChangeSetting(stage="softener", key="salt_dose", value=settings["salt_dose"]))
    assert session.stack.count() == 0


def test_a_gesture_is_one_step(session: Session, farm: Document) -> None:
    gesture = session.begin_gesture("salt")
    for dose in ("9 lb/ft3", "10 lb/ft3", "11 lb/ft3"):
        session.edit(ChangeSetting(stage="softener", key="salt_dose", value=dose), gesture=gesture)
    session.edit(ChangeSetting(stage="softener", key="salt_dose", value="12 lb/ft3"), gesture=session.begin_gesture("salt"))
    assert session.stack.count() == 2
    session.stack.undo()
    assert session.document.stage("softener").settings["salt_dose"] == "11 lb/ft3"
    session.stack.undo()
    assert session.document == farm


def test_a_gesture_that_comes_back_is_no_step(session: Session, farm: Document) -> None:
    gesture = session.begin_gesture("salt")
    before = farm.stage("softener").settings["salt_dose"]
    for dose in ("9 lb/ft3", before):
        session.edit(ChangeSetting(stage="softener", key="salt_dose", value=dose), gesture=gesture)
    assert session.stack.count() == 0
    assert session.document == farm
    assert session.is_clean


def test_where_the_document_cannot_be_evaluated_the_last_numbers_stay_and_say_why(session: Session, road: Road) -> None:
    before = session.assessment
    road.refuse = "its dose is missing"
    session.edit(ChangeSetting(stage="uv", key="rated_dose", value="30 mJ/cm2"))
    assert session.assessment is before
    assert session.stale == "the UV chamber: its dose is missing"
    road.refuse = ""
    session.stack.undo()
    assert session.stale == ""
    assert session.assessment is not before


def test_a_fault_of_the_program_is_shown_and_leaves_the_session_usable(
    session: Session, road: Road, monkeypatch: pytest.MonkeyPatch
) -> None:
    caught: list[BaseException] = []
    monkeypatch.setattr("sys.excepthook", lambda kind, error, trace: caught.append(error))
    before = session.assessment
    road.fault = ZeroDivisionError("no bed")
    session.edit(AddStage(kind="carbon_bed"))
    assert caught == [road.fault] and session.assessment is before and "ZeroDivisionError: no bed" in session.stale
    road.fault = None
    session.stack.undo()
    assert session.stale == ""


def test_a_step_that_fails_is_dropped_and_leaves_the_stack_in_step(session: Session, farm: Document, qtbot: QtBot) -> None:
    class Broken(PatchCommand):
        def __init__(self) -> None:
            super().__init__(session, SimpleNamespace(label="Break", changes=(1,)), (), ())  # type: ignore[arg-type]

    session.edit(AddStage(kind="carbon_bed"))
    with qtbot.waitSignal(session.refused):
        session.stack.push(Broken())
    assert session.stack.count() == 1
    session.stack.undo()
    assert session.document == farm


def test_removing_the_selected_stage_selects_what_fed_it(session: Session) -> None:
    session.select(("stage", "softener"))
    session.edit(RemoveStage(id="softener"))
    assert session.selection == ("stage", "iron")


def test_moving_keeps_the_selection(session: Session) -> None:
    session.select(("stage", "softener"))
    session.edit(MoveStage(id="softener", into=("supply", "screen")))
    assert session.selection == ("stage", "softener")


def test_a_finding_selects_its_place_and_is_found_again_after_an_edit(session: Session, road: Road) -> None:
    first = SimpleNamespace(code="velocity", stage="house", analyte="", cause="")
    second = SimpleNamespace(code="inlet-limit", stage="uv", analyte="manganese", cause="")
    road.findings = [first, second]
    session.edit(ChangeSetting(stage="softener", key="salt_dose", value="9 lb/ft3"))
    session.open_finding(2)
    assert session.selection == ("stage", "uv")
    road.findings = [second, first]
    session.edit(ChangeSetting(stage="softener", key="salt_dose", value="10 lb/ft3"))
    assert session.finding == 1
    road.findings = [first]
    session.edit(ChangeSetting(stage="softener", key="salt_dose", value="11 lb/ft3"))
    assert session.finding is None


def test_a_flow_is_tried_without_touching_the_document(session: Session, farm: Document) -> None:
    session.try_flow(5e-4)
    assert session.shown is not None
    assert session.shown.document.demand.value("peak") == pytest.approx(5e-4, rel=1e-5)
    assert session.document is farm and session.stack.count() == 0
    session.edit(SetValue(path="demand.daily", value="300 gal"))
    assert session.trial_flow is None
    assert session.shown.document is session.document


def test_units_ask_the_road_again(session: Session, road: Road) -> None:
    session.set_system("metric")
    assert session.shown is not None and session.shown.system == "metric"  # type: ignore[attr-defined]


def test_saving_cleans_and_undoing_past_it_is_dirty_again(session: Session, tmp_path: Path) -> None:
    session.edit(AddStage(kind="carbon_bed"))
    assert not session.is_clean
    session.save(tmp_path / "site.train.json")
    assert session.is_clean
    assert load(tmp_path / "site.train.json") == session.document
    session.stack.undo()
    assert not session.is_clean


def test_saving_over_another_programs_changes_is_refused(session: Session, tmp_path: Path) -> None:
    path = tmp_path / "site.train.json"
    session.save(path)
    path.write_text(path.read_text(encoding="utf-8") + " ", encoding="utf-8")
    session.edit(AddStage(kind="carbon_bed"))
    with pytest.raises(store.StoreError, match="changed by another program"):
        session.save()
    assert not session.is_clean


def test_tags_of_nodes(farm: Document) -> None:
    assert node_tag(farm, "supply") == ("supply",)
    assert node_tag(farm, "uv") == ("stage", "uv")
    assert node_tag(farm, "garden") == ("end", "garden")
    assert node_tag(farm, "nowhere") == ()
