"""Outlets, goals and limit sets, site and room, drains: typed, chosen, refused and undone."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.desktop.editing import CTRL, choose_in_cell, click, opened, pick, row_of, type_cell, type_row
from trainapp.checks.limits import limit_set
from trainapp.desktop.editors.drains import DrainsEditor, drain_of
from trainapp.desktop.editors.goals import GoalsEditor, bounds
from trainapp.desktop.editors.outlets import OutletsEditor
from trainapp.desktop.editors.site import SiteEditor
from trainapp.desktop.session import Session
from trainapp.train.document import Document, blank

# Outlets ----------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def outlets(qtbot: QtBot, session: Session) -> OutletsEditor:
    return opened(qtbot, session, "outlets", OutletsEditor)


def test_an_outlet_is_told_and_changed(outlets: OutletsEditor, session: Session) -> None:
    assert outlets.passes.text() == "Raw water: it passes no stage on its way here. It is not part of the peak."
    assert "label it as not for drinking" in outlets.words.text
    type_row(outlets.form, "peak", "6")
    assert session.document.outlets["garden"].peak == "6 gpm"
    pick(row_of(outlets.form, "with_house").editor, "true")
    assert session.document.outlets["garden"].with_house is True
    assert session.assessment is not None
    assert session.assessment.evaluation.points["garden"].flow[2] > 0
    assert outlets.sheet.cell("garden", "pressure").text.endswith("psi")
    pick(row_of(outlets.form, "drinking").editor, "true")
    assert session.assessment.verdict == "fail" or any(f.code == "unprotected-path" for f in session.assessment.findings)
    assert "unprotected" not in outlets.words.text and outlets.words.text


def test_an_outlet_is_fed_after_another_stage_and_keeps_its_pipe(outlets: OutletsEditor, session: Session, farm: Document) -> None:
    pick(outlets.after.box, "iron")
    assert [link.ends for link in session.document.links if link.to == "garden"] == [("iron", "garden")]
    assert "It passes 1 Sediment cartridge, 2 Iron filter." in outlets.passes.text()
    assert outlets.sheet.cell("garden", "after").text == "2 Iron filter"
    assert session.stack.count() == 1
    QTest.keyClick(outlets.sheet, Qt.Key.Key_Z, CTRL)
    assert session.document == farm and outlets.after.current == "supply"


def test_outlets_come_get_a_name_and_go(outlets: OutletsEditor, session: Session, farm: Document) -> None:
    click(outlets.add)
    assert outlets.name == "outlet" and session.document.outlets["outlet"].peak == "5 gpm"
    assert outlets.said.text() == "A peak of 5 gpm is assumed until you type another."
    type_row(outlets.form, "id", "barn")
    assert outlets.name == "barn" and outlets.sheet.key == "barn"
    row = type_row(outlets.form, "id", "house")
    assert "is reserved" in row.line.text() and "barn" in session.document.outlets
    click(outlets.remove)
    assert outlets.name == "garden"
    for _ in range(session.stack.count()):
        session.stack.undo()
    assert session.document == farm


def test_the_list_is_walked_by_keyboard(outlets: OutletsEditor, session: Session) -> None:
    click(outlets.add)
    outlets.sheet.setFocus()
    QTest.keyClick(outlets.sheet, Qt.Key.Key_Up)
    assert outlets.name == "garden" and row_of(outlets.form, "id").editor.text() == "garden"


def test_the_wanted_pressure_is_that_of_the_house(outlets: OutletsEditor, session: Session) -> None:
    assert row_of(outlets.form, "pressure").editor.placeholderText() == "25\u202fpsi"
    type_row(outlets.form, "pressure", "2,000 psi")
    assert session.document.outlet_pressure("garden") == pytest.approx(2000 * 6894.757, rel=1e-6)
    row = type_row(outlets.form, "pressure", "a lot")
    assert '"a lot" is not a pressure; it stays' in row.line.text()


def test_a_house_without_outlets_offers_one(qtbot: QtBot) -> None:
    editor = opened(qtbot, Session(blank()), "outlets", OutletsEditor)
    assert not editor.sheet.isVisible() and not editor.card.isVisible()
    QTest.keyClick(editor.add, Qt.Key.Key_Return)
    assert editor.name == "outlet" and editor.card.isVisible()


# Goals ------------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def goals(qtbot: QtBot, session: Session) -> GoalsEditor:
    return opened(qtbot, session, "goals", GoalsEditor)


def test_goals_are_typed_and_judged_at_once(goals: GoalsEditor, session: Session) -> None:
    type_row(goals.form, "outlet_pressure", "65")
    assert session.document.goals.outlet_pressure == "65 psi"
    assert session.assessment is not None and session.assessment.verdict == "fail"
    assert goals.words.text
    row = type_row(goals.form, "uv_dose", "40 gpm")
    assert '"40 gpm" is not a UV dose; it stays' in row.line.text()
    pick(row_of(goals.form, "disinfect").editor, "yes")
    assert session.document.goals.disinfect == "yes"


def test_a_limit_set_is_chosen_by_its_published_name_and_year(goals: GoalsEditor, session: Session) -> None:
    labels = [goals.set.box.itemText(i) for i in range(goals.set.box.count())]
    assert [label.rpartition(", ")[2] for label in labels] == [str(limit_set(key).year) for key in ("us", "canada", "who", "eu")]
    assert labels[0].startswith("United States") and labels[3].startswith("European Union")
    pick(goals.set.box, "eu")
    assert session.document.goals.limits == "eu"
    assert goals.sheet.cell("iron", "eu").bold and not goals.sheet.cell("iron", "us").bold
    # 40 CFR 143.3 and Directive (EU) 2020/2184, Annex I part C: iron 0.3 and 0.2 mg/L.
    assert (goals.sheet.cell("iron", "us").text, goals.sheet.cell("iron", "eu").text) == ("≤ 0.30", "≤ 0.20")
    session.stack.undo()
    assert goals.set.current == "us"


def test_each_limit_says_why_and_where_it_comes_from(goals: GoalsEditor) -> None:
    goals.sheet.setFocus()
    goals.sheet.go_to("nitrate", "us")
    assert "US: ≤ 10\u202fmg/L, health: it takes oxygen from the blood of infants. 40 CFR 141.62" in goals.details.text
    assert "EU: ≤ 11.3\u202fmg/L" in goals.details.text and "set in 2020, from memory." in goals.details.text
    QTest.keyClicks(goals.find, "lead")
    assert [line.key for line in goals.sheet.sheet.lines] == ["lead"]
    assert "action level" in goals.details.text


def test_raw_water_stands_beside_the_limits(goals: GoalsEditor, session: Session) -> None:
    assert goals.sheet.cell("iron", "raw").text == "2.40"
    assert goals.sheet.cell("nitrate", "raw").text == "0 to 0.5"
    assert goals.sheet.cell("total_coliform", "raw").text in ("12", "present", "absent") or goals.sheet.cell("total_coliform", "raw").text
    session.set_system("metric")
    assert goals.sheet.cell("radon", "us").text or goals.sheet.cell("uranium", "us").text


def test_every_limit_can_be_told() -> None:
    for key in ("us", "canada", "who", "eu"):
        for row in limit_set(key).rows:
            for system in ("us", "metric"):
                assert bounds(row, system)  # type: ignore[arg-type]


# Site and room ----------------------------------------------------------------------------------------------------------------


@pytest.fixture
def site(qtbot: QtBot, session: Session) -> SiteEditor:
    return opened(qtbot, session, "site", SiteEditor)


def test_the_room_is_typed_in_feet_or_metres(site: SiteEditor, session: Session) -> None:
    type_row(site.room, "height", "5")
    assert session.document.room.height == "5 ft"
    assert "too tall" in site.words.text or "of height and the room has" in site.words.text
    type_row(site.room, "height", "2,6 m")
    assert "is not a length" in row_of(site.room, "height").line.text()
    type_row(site.room, "height", "2.6 m")
    assert session.document.room.value("height") == pytest.approx(2.6)
    assert site.fits.text().startswith("The train stands in this room")
    type_row(site.room, "width", "")
    assert site.fits.text() == "Without its width nothing is said of whether the train fits."
    row = type_row(site.room, "width", "0 ft")
    assert "must be more than zero" in row.line.text()


def test_name_use_and_people(site: SiteEditor, session: Session) -> None:
    type_row(site.site, "name", "Quiet Hollow")
    assert session.document.site.name == "Quiet Hollow" and site.windowTitle() == "Site and room, Quiet Hollow"
    pick(row_of(site.site, "use").editor, "food")
    assert session.document.site.use == "food"
    type_row(site.site, "people", "6")
    assert session.document.site.people == 6
    row = type_row(site.site, "people", "-1")
    assert '"-1" is not a whole number' in row.line.text() or "is not between" in row.line.text()


def test_notes_are_one_step_however_long(site: SiteEditor, session: Session, farm: Document) -> None:
    site.notes.setFocus()
    QTest.keyClick(site.notes, Qt.Key.Key_A, CTRL)
    QTest.keyClicks(site.notes, "Second house behind the barn.")
    assert session.stack.count() == 0
    QTest.keyClick(site.notes, Qt.Key.Key_Tab)
    assert session.document.site.notes == "Second house behind the barn." and session.stack.count() == 1
    assert not site.notes.hasFocus()
    session.stack.undo()
    assert session.document == farm and site.notes.toPlainText() == farm.site.notes


# Drains -----------------------------------------------------------------------------------------------------------------------


@pytest.fixture
def drains(qtbot: QtBot, session: Session) -> DrainsEditor:
    return opened(qtbot, session, "drains", DrainsEditor)


def test_each_stage_that_washes_has_its_drain(drains: DrainsEditor, session: Session) -> None:
    assert [line.key for line in drains.sheet.sheet.lines] == ["iron", "softener"]
    assert session.assessment is not None
    wash = session.assessment.evaluation.stages["iron"].cleaning
    assert wash is not None and drains.sheet.cell("iron", "wash").text == f"{wash.flow / 6.30902e-5:.1f}\u202fgpm"
    type_cell(drains.sheet, "iron", "height", "12")
    assert drain_of(session.document, "iron")["height"] == "12 ft"
    assert "drain" in drains.words.text.lower()
    type_cell(drains.sheet, "iron", "size", "3/4")
    assert drain_of(session.document, "iron")["size"] == "3/4 in"


def test_a_drain_is_chosen_and_brine_is_warned_of(drains: DrainsEditor, session: Session) -> None:
    choose_in_cell(drains.sheet, "softener", "to", "ground")
    assert drain_of(session.document, "softener")["to"] == "ground"
    assert "comes back in it; many places forbid it" in drains.words.text


def test_a_bad_length_and_a_cleared_one(drains: DrainsEditor, session: Session, farm: Document) -> None:
    type_cell(drains.sheet, "iron", "length", "far")
    assert drains.said.text() == '2 Iron filter, length of its drain: "far" is not a length; it stays as it was.'
    type_cell(drains.sheet, "iron", "size", "-1 in")
    assert drains.said.text().endswith("it stays as it was.") and session.stack.count() == 0
    for column in ("height", "length", "size"):
        drains.sheet.go_to("iron", column)
        QTest.keyClick(drains.sheet, Qt.Key.Key_Delete)
    assert drain_of(session.document, "iron") == {"to": drain_of(farm, "iron")["to"]}
    assert drains.sheet.cell("iron", "size").hint == "not said"


def test_a_train_that_washes_nothing_says_so(qtbot: QtBot) -> None:
    editor = opened(qtbot, Session(blank()), "drains", DrainsEditor)
    assert editor.told.text() == "No stage of this train cleans itself with water." and not editor.sheet.isVisible()
