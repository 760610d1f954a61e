"""The stage card under real typing: what is read is written, what cannot be read keeps the old value and says why."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit

from tests.desktop.hands import enter, key
from trainapp.desktop.card import Fold, StageCard
from trainapp.desktop.card_content import card_of
from trainapp.desktop.fields import FieldRow, TypedField
from trainapp.desktop.parts import ChoiceBox
from trainapp.desktop.session import Session
from trainapp.desktop.words import told
from trainapp.stages import registry
from trainapp.train.document import Document
from trainapp.train.edits import AddStage
from trainapp.train.floor import places


@pytest.fixture
def card(window: Any, session: Session) -> StageCard:
    session.select(("stage", "softener"))
    window.run("card")
    QApplication.processEvents()
    made: StageCard = window.workspace.right.card
    return made


def row(card: StageCard, name: str) -> FieldRow:
    return card.rows[name]


def typed(card: StageCard, name: str) -> TypedField:
    editor = row(card, name).editor
    assert isinstance(editor, TypedField)
    return editor


def settings(session: Session, stage: str = "softener") -> dict[str, Any]:
    return session.document.stage(stage).settings


def pipe(document: Document, source: str, target: str) -> Any:
    return next(link.pipe for link in document.links if link.ends == (source, target))


def test_every_setting_of_every_kind_has_a_field(session: Session) -> None:
    for kind, made in registry.kinds().items():
        session.edit(AddStage(kind=kind, id=f"x-{kind}", loose=True))
        shown = card_of(session.document, ("stage", f"x-{kind}"), session.title_of)
        assert shown is not None
        keys = {field.key for group in shown.groups for field in group.fields}
        assert keys - {"place.x"} == set(made.spec.settings)


def test_a_typed_setting_is_one_step_and_evaluated_at_once(card: StageCard, session: Session) -> None:
    before = session.assessment
    enter(typed(card, "salt_dose"), "10 lb/ft3")
    assert settings(session)["salt_dose"] == "10 lb/ft3"
    assert session.stack.count() == 1 and session.stack.undoText() == "Change salt dose of softener"
    assert session.assessment is not before
    session.stack.undo()
    assert typed(card, "salt_dose").text() == settings(session)["salt_dose"] == "8 lb/ft3"


def test_a_number_alone_takes_the_unit_that_stood_there(card: StageCard, session: Session) -> None:
    enter(typed(card, "tank_diameter"), "13")
    assert settings(session)["tank_diameter"] == "13 in"
    assert typed(card, "tank_diameter").text() == "13 in"


def test_a_sum_is_worked_out(card: StageCard, session: Session) -> None:
    enter(typed(card, "resin_volume"), "2*1.25 ft3")
    assert settings(session)["resin_volume"] == "2.5 ft3"


@pytest.mark.parametrize("text", ["3 furlongs per hour", "5 psi", "-3 lb/ft3", "0 lb/ft3", "a lot"])
def test_a_bad_entry_keeps_the_old_value_and_says_why(card: StageCard, session: Session, farm: Document, text: str) -> None:
    field = typed(card, "salt_dose")
    enter(field, text)
    assert session.document == farm and session.stack.count() == 0
    assert field.text() == "8 lb/ft3"
    said = row(card, "salt_dose").line.text()
    assert said.startswith(f'"{text}" ') and said.endswith("it stays 8\u202flb/ft³")
    assert not row(card, "salt_dose").mark.isHidden()


def test_what_was_understood_goes_with_the_value_that_an_undo_takes_away(card: StageCard, session: Session) -> None:
    enter(typed(card, "salt_dose"), "10 lb/ft3")
    typed(card, "salt_dose").setFocus()
    assert row(card, "salt_dose").line.text().startswith("10\u202f")
    session.stack.undo()
    assert row(card, "salt_dose").line.text().startswith("8\u202f"), "the keyboard is there still: what stands there now is said"
    session.stack.redo()
    typed(card, "tank_diameter").setFocus()
    assert row(card, "salt_dose").line.isHidden()
    enter(typed(card, "salt_dose"), "three")
    assert not row(card, "salt_dose").mark.isHidden()
    session.stack.undo()
    assert row(card, "salt_dose").mark.isHidden() and "stays" not in row(card, "salt_dose").line.text()


def test_it_says_what_it_understood(card: StageCard, session: Session) -> None:
    session.set_system("metric")
    typed(card, "salt_dose").setFocus(Qt.FocusReason.TabFocusReason)
    assert row(card, "salt_dose").line.text() == "128\u202fg/L = 8\u202flb/ft³"


def test_an_empty_field_goes_back_to_the_default(card: StageCard, session: Session) -> None:
    enter(typed(card, "salt_dose"), "")
    assert "salt_dose" not in settings(session)
    assert typed(card, "salt_dose").placeholderText() == "6\u202flb/ft³"


def test_escape_gives_typing_up(card: StageCard, session: Session, farm: Document) -> None:
    field = typed(card, "salt_dose")
    field.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClicks(field, "99 lb/ft3")
    key(field, Qt.Key.Key_Escape)
    assert field.text() == "8 lb/ft3"
    field.clearFocus()
    assert session.document is farm


def test_typing_five_digits_is_one_step(card: StageCard, session: Session) -> None:
    enter(typed(card, "salt_dose"), "10.25 lb/ft3")
    assert session.stack.count() == 1


def test_a_choice_is_picked_with_the_keyboard(card: StageCard, session: Session) -> None:
    box = row(card, "regenerant").editor
    assert isinstance(box, ChoiceBox)
    box.setFocus()
    box.setCurrentIndex(box.findData("potassium_chloride"))
    box.activated.emit(box.currentIndex())
    assert settings(session)["regenerant"] == "potassium_chloride"
    box.setCurrentIndex(0)
    box.activated.emit(0)
    assert "regenerant" not in settings(session)


def test_the_wheel_never_changes_a_field_without_the_focus(card: StageCard, session: Session, farm: Document, window: Any) -> None:
    window.workspace.canvas.setFocus()
    editors = [*card.findChildren(QComboBox), *card.findChildren(QLineEdit)]
    assert len(editors) > 10
    for editor in editors:
        at = QPointF(5, 5)
        turn = QWheelEvent(
            at, editor.mapToGlobal(at), QPoint(0, 0), QPoint(0, -120), Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase, False,
        )  # fmt: skip
        QApplication.sendEvent(editor, turn)
    assert session.document is farm


def test_a_curve_and_a_drain_are_typed_in_one_line(card: StageCard, session: Session) -> None:
    enter(typed(card, "head_loss"), "5 gpm 2 psi; 10 gpm 8 psi")
    assert settings(session)["head_loss"] == [["5 gpm", "2 psi"], ["10 gpm", "8 psi"]]
    enter(typed(card, "head_loss"), "5 gpm 2 psi; 4 gpm 8 psi")
    assert "does not rise" in row(card, "head_loss").line.text()


def test_the_keyboard_stays_where_it_was(card: StageCard, session: Session) -> None:
    field = typed(card, "salt_dose")
    enter(field, "10 lb/ft3")
    assert typed(card, "salt_dose") is field and field.hasFocus()


def test_renaming_follows_the_stage(card: StageCard, session: Session) -> None:
    enter(card.name_row.editor, "big softener")
    assert session.selection == ("stage", "big softener")
    assert ("iron", "big softener") in {link.ends for link in session.document.links}
    enter(card.name_row.editor, "uv")
    assert "names two things" in card.name_row.line.text()


@pytest.mark.parametrize(
    ("tag", "name", "text", "place"),
    [
        (("supply",), "supply.cut_in", "45 psi", lambda d: d.supply.cut_in),
        (("end", "house"), "demand.peak", "9 gpm", lambda d: d.demand.peak),
        (("end", "house"), "goals.outlet_pressure", "2 bar", lambda d: d.goals.outlet_pressure),
        (("end", "garden"), "outlets.garden.peak", "3 gpm", lambda d: d.outlets["garden"].peak),
        (("link", "iron", "softener"), "links.iron>softener.pipe.length", "20 ft", lambda d: pipe(d, "iron", "softener").length),
    ],
)
def test_supply_ends_and_pipes_have_cards(
    window: Any, session: Session, farm: Document, tag: Any, name: str, text: str, place: Any
) -> None:
    session.select(tag)
    window.run("card")
    QApplication.processEvents()
    card = window.workspace.right.card
    enter(typed(card, name), text)
    assert place(session.document) == text
    session.stack.undo()
    assert session.document == farm


def test_a_cell_shows_the_card_of_where_it_stands(window: Any, session: Session) -> None:
    session.select(("cell", "hardness", "uv"))
    window.run("card")
    assert window.workspace.right.card.card.tag == ("stage", "uv")


def test_buttons_remove_and_double(card: StageCard, session: Session, farm: Document) -> None:
    card._twin()
    assert sum(stage.kind == "softener" for stage in session.document.stages) == 2
    session.stack.undo()
    session.select(("stage", "softener"))
    card._remove()
    assert all(stage.kind != "softener" for stage in session.document.stages)
    session.stack.undo()
    assert session.document == farm


# Its place -----------------------------------------------------------------------------------------------------------------------


def test_a_place_is_typed_on_the_card_and_said_in_words(window: Any, session: Session) -> None:
    window.run("words")
    session.select(("stage", "uv"))
    window.run("edit_card")
    shown = window.workspace.right.card
    fold = next(each for each in shown.findChildren(Fold) if "On the floor" in each.text())
    QTest.mouseClick(fold, Qt.MouseButton.LeftButton)
    editor = shown.rows["place.x"].editor
    enter(editor, "10 ft")
    assert places(session.document) == pytest.approx({"uv": 3.048})
    lines = [text for tag, _, below in told(session) if tag == ("stage", "uv") for text, _ in below]
    assert "its middle stands 10\u202fft from the left wall" in lines
    enter(editor, "10 gpm")
    assert places(session.document) == pytest.approx({"uv": 3.048}) and "gpm" in shown.rows["place.x"].line.text()
    enter(editor, "")
    assert places(session.document) == {}


def test_a_device_in_the_pipe_has_no_place_on_the_floor(window: Any, session: Session) -> None:
    session.edit(AddStage(kind="flow_control", id="control", into=("fine", "uv")))
    session.select(("stage", "control"))
    window.run("edit_card")
    assert "place.x" not in window.workspace.right.card.rows
