"""The supply: well and main, the pump's curve typed and pasted, the chart with the train's own curve, tank and switch in words."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.editing import click, opened, paste, pick, row_of, type_cell, type_row, wheel
from trainapp.desktop.editors.chart import Chart, Curve, chart_shapes, ticks
from trainapp.desktop.editors.supply import SupplyEditor
from trainapp.desktop.editors.supply_chart import chart_of, facts_of, words_of
from trainapp.desktop.fonts import measure
from trainapp.desktop.session import Session
from trainapp.reports.drawing.display import Text, texts
from trainapp.train.document import Document, blank
from trainapp.train.edits import Batch, SetValue
from trainapp.units import parse


@pytest.fixture
def editor(qtbot: QtBot, session: Session) -> SupplyEditor:
    return opened(qtbot, session, "supply", SupplyEditor)


def said(editor: SupplyEditor) -> str:
    return editor.words.text.replace("\u202f", " ")


# Fields -----------------------------------------------------------------------------------------------------------------------


def test_a_pressure_is_typed_read_and_evaluated_at_once(editor: SupplyEditor, session: Session) -> None:
    before = session.assessment
    row = type_row(editor.form, "cut_in", "40")
    assert session.document.supply.cut_in == "40 psi"
    assert row.line.text() == "40.0\u202fpsi"
    assert session.assessment is not before and session.stack.count() == 1
    assert "40\u202fpsi" not in editor.said.text()


def test_bar_with_a_comma_is_read_in_its_locale(editor: SupplyEditor, session: Session) -> None:
    before = QLocale()
    QLocale.setDefault(QLocale(QLocale.Language.German, QLocale.Country.Germany))
    try:
        row = type_row(editor.form, "cut_in", "2,8 bar")
    finally:
        QLocale.setDefault(before)
    assert session.document.supply.cut_in == "2.8 bar"
    assert session.document.supply.value("cut_in") == pytest.approx(2.8e5)
    assert row.line.text() == "40,6\u202fpsi"


def test_a_number_alone_takes_the_unit_shown(editor: SupplyEditor, session: Session) -> None:
    type_row(editor.form, "tank_volume", "")
    assert session.document.supply.tank_volume is None
    session.set_system("metric")
    type_row(editor.form, "tank_volume", "450")
    assert session.document.supply.tank_volume == "450 L"


def test_a_bad_entry_keeps_the_old_value_and_says_why(editor: SupplyEditor, session: Session) -> None:
    row = type_row(editor.form, "cut_in", "80 psi")
    assert row.line.text() == 'the cut-in "80 psi" is not below the cut-out "70 psi"; it stays 50\u202fpsi'
    assert row.mark.isVisible() and row.editor.text() == "50 psi"
    row = type_row(editor.form, "cut_out", "3 furlongs")
    assert '"3 furlongs" is not a pressure' in row.line.text()
    assert session.stack.count() == 0


def test_both_ends_of_the_temperature(editor: SupplyEditor, session: Session) -> None:
    type_row(editor.form, "coldest", "44 °F")
    assert session.document.supply.temperature == ["44 °F", "13 degC"]
    row = type_row(editor.form, "coldest", "20 degC")
    assert "is above" in row.line.text()
    assert session.document.supply.temperature == ["44 °F", "13 degC"]


def test_the_wheel_changes_no_field_without_the_focus(editor: SupplyEditor, session: Session) -> None:
    row_of(editor.form, "cut_in").editor.setFocus()
    for row in editor.form.rows.values():
        if not row.editor.hasFocus():
            wheel(row.editor)
    assert session.stack.count() == 0


# Kinds ------------------------------------------------------------------------------------------------------------------------


def test_a_well_becomes_a_main_and_back_and_says_what_it_assumes(editor: SupplyEditor, session: Session, farm: Document) -> None:
    pick(row_of(editor.form, "supply.kind").editor, "mains")
    supply = session.document.supply
    assert supply.kind == "mains" and not supply.given("source") and supply.word("source") == "mains"
    assert editor.said.text() == "Assumed until you type what was measured: 60 psi at rest and 50 psi at 10 gpm."
    assert not editor.curve_part.isVisible() and "supply.static" in editor.form.rows
    assert session.stale == ""
    type_row(editor.form, "residual", "65 psi")
    assert session.document.supply.residual == "50 psi"
    pick(row_of(editor.form, "supply.kind").editor, "well")
    assert session.document.supply.pump_curve == farm.supply.pump_curve and editor.said.text() == ""
    session.stack.undo()
    session.stack.undo()
    assert session.document == farm


def test_a_constant_pressure_control_needs_its_pressure(editor: SupplyEditor, session: Session) -> None:
    pick(row_of(editor.form, "supply.control").editor, "constant")
    assert session.document.supply.word("control") == "constant" and session.document.supply.set_pressure == "50 psi"
    assert editor.said.text() == "Assumed until you type what was measured: 50 psi."
    assert "supply.cut_in" not in editor.form.rows and "supply.set_pressure" in editor.form.rows
    row = type_row(editor.form, "set_pressure", "")
    assert "a constant pressure control needs it" in row.line.text()
    assert session.stack.count() == 1


# The pump's curve -------------------------------------------------------------------------------------------------------------


def curve(session: Session) -> list[list[str]]:
    made = session.document.supply.pump_curve
    assert made is not None
    return made


def test_points_are_changed_added_in_order_and_removed(editor: SupplyEditor, session: Session, farm: Document) -> None:
    type_cell(editor.curve, "0", "second", "100")
    assert curve(session)[0] == ["0 gpm", "100 psi"]
    type_cell(editor.curve, "new", "first", "9")
    assert session.stack.count() == 1 and editor.curve.key == "new" and editor.curve.column == "second"
    type_cell(editor.curve, "new", "second", "73")
    assert curve(session)[2] == ["9 gpm", "73 psi"] and len(curve(session)) == 5
    editor.curve.go_to("2", "first")
    click(editor.remove)
    editor.curve.setFocus()
    editor.curve.go_to("3", "second")
    QTest.keyClick(editor.curve, Qt.Key.Key_Delete)
    assert [flow for flow, _ in curve(session)] == ["0 gpm", "6 gpm", "12 gpm"]
    for _ in range(4):
        session.stack.undo()
    assert session.document == farm


def test_a_rising_curve_is_refused(editor: SupplyEditor, session: Session) -> None:
    type_cell(editor.curve, "1", "second", "110 psi")
    assert editor.said.text() == 'Pump curve: the pressure "110 psi" rises with the flow; it stays as it was.'
    assert editor.curve.cell("1", "second").text == "86\u202fpsi"
    type_cell(editor.curve, "1", "first", "six")
    assert '"six" is not a flow' in editor.said.text()
    assert session.stack.count() == 0


def test_two_columns_are_pasted_with_the_units_of_their_heading(editor: SupplyEditor, session: Session) -> None:
    editor.curve.setFocus()
    paste(editor.curve, "Flow (L/min)\tbar\n0\t6\n20\t5.2\n40\t3.4\n")
    assert curve(session) == [["0 L/min", "6 bar"], ["20 L/min", "5.2 bar"], ["40 L/min", "3.4 bar"]]
    assert session.stack.count() == 1
    paste(editor.curve, "1\t2\t3\n4\t5\t6\n")
    assert "line 1 has 3 columns, not two" in editor.said.text()
    paste(editor.curve, "0\tmuch\n4\t5\n")
    assert 'line 1: "much' in editor.said.text()
    assert session.stack.count() == 1


def test_a_flow_in_other_units_says_what_it_is(editor: SupplyEditor) -> None:
    type_cell(editor.curve, "1", "first", "24 L/min")
    assert editor.curve.cell("1", "first").note == "6.3\u202fgpm"


# Chart and words --------------------------------------------------------------------------------------------------------------


def test_the_chart_shows_pump_band_train_peak_and_where_they_meet(session: Session) -> None:
    assert session.assessment is not None
    facts = facts_of(session.assessment.evaluation, "us")
    chart = chart_of(facts)
    pump = next(c for c in chart.curves if c.label == "pump")
    assert [value for point in pump.points for value in point] == pytest.approx([0, 98, 6, 86, 12, 56, 14, 40])
    assert chart.band is not None and chart.band[:2] == pytest.approx((50, 70))
    assert chart.stops[0][0] == pytest.approx(7.0) and "peak 7.0" in chart.stops[0][1]
    clean, dirty = sorted((meet[0] for meet in chart.meets), reverse=True)
    # Where the running pump and the dirty train meet, evaluation at that peak leaves the wanted pressure at the house.
    for flow, reading in ((clean, "clean"), (dirty, "dirty")):
        session.try_flow(parse(f"{flow} gpm", "flow"))
        assert session.trial is not None
        house = session.trial.evaluation.points["house"].pressure
        assert getattr(house, reading) == pytest.approx(parse("25 psi", "pressure"), abs=parse("0.4 psi", "pressure"))


@pytest.mark.parametrize("size", [(360, 240), (560, 300), (900, 500)])
@pytest.mark.parametrize("system", ["us", "metric"])
def test_no_words_of_the_chart_meet_each_other_or_leave_it(session: Session, system: str, size: tuple[int, int]) -> None:
    assert session.assessment is not None
    shapes = chart_shapes(chart_of(facts_of(session.assessment.evaluation, system)), *map(float, size))  # type: ignore[arg-type]
    boxes = [text.box(measure) for text, _ in texts(shapes)]
    assert all(box.x >= -1 and box.right <= size[0] + 1 and box.y >= -1 and box.bottom <= size[1] + 2 for box in boxes)
    assert not [(a, b) for i, a in enumerate(boxes) for b in boxes[:i] if a.meets(b)]


@pytest.mark.parametrize(("most", "made"), [(98.0, [0, 20, 40, 60, 80, 100]), (15.4, [0, 5, 10, 15, 20]), (4.1, [0, 1, 2, 3, 4, 5])])
def test_ticks_are_round_and_few(most: float, made: list[float]) -> None:
    assert ticks(most) == pytest.approx(made)


def test_a_line_that_leaves_through_the_top_is_still_named() -> None:
    chart = Chart("Pressure", "psi", "flow", (Curve("steep", ((0, 0), (1, 50))), Curve("flat", ((0, 2), (10, 2)))), top=10, right=10)
    names = {shape.text for shape, _ in texts(chart_shapes(chart, 400, 300)) if isinstance(shape, Text)}
    assert {"steep", "flat"} <= names


def test_tank_and_switch_are_told(editor: SupplyEditor, session: Session) -> None:
    # 119 gal, 48 psi precharge, 50/70: factor 0.2288 (Boyle), 27.2 gal between starts.
    assert "The tank gives 27 gal between cut-out and cut-in" in said(editor)
    assert "The tank's air stands right at 48.0 psi" in said(editor)
    type_row(editor.form, "precharge", "60 psi")
    assert "60.0 psi is above the cut-in: it runs empty" in said(editor)
    type_row(editor.form, "precharge", "")
    assert "stands right at 48.0 psi" in said(editor)
    type_row(editor.form, "tank_volume", "20 gal")
    assert "at least 1 min wanted" in said(editor) and "charged alike would run it so long" in said(editor)
    type_row(editor.form, "tank_volume", "")
    assert "cannot be told" in said(editor)


def test_a_pump_that_never_reaches_its_cut_out_is_told(editor: SupplyEditor) -> None:
    paste(editor.curve, "0 gpm\t66 psi\n10 gpm\t50 psi\n")
    assert "comes to 66.0 psi at most and never reaches the cut-out of 70.0 psi" in said(editor)


def test_published_drawdown() -> None:
    # Trade journal "How to Calculate and Control Pressure Tank Drawdown" (February 2006), example 1: 85 gal, 28 psi, 30/50: 25.1 gal.
    session = Session(blank())
    session.edit(set_supply(session, cut_in="30 psi", cut_out="50 psi", precharge="28 psi", tank_volume="85 gal"))
    assert session.assessment is not None
    told = " ".join(sentence for _, sentence in words_of(facts_of(session.assessment.evaluation, "us")))
    assert "The tank gives 25\u202fgal between cut-out and cut-in" in told


def set_supply(session: Session, **values: str) -> Batch:
    return Batch(edits=[SetValue(path=("supply", key), value=value) for key, value in values.items()])


def test_the_chart_follows_units_and_theme(editor: SupplyEditor, session: Session, qtbot: QtBot) -> None:
    session.set_system("metric")
    assert editor.chart.chart is not None and editor.chart.chart.unit == "bar"
    assert "peak 26.5\u202fL/min" in editor.chart.chart.stops[0][1]
    assert "At the peak of 26.5" in editor.chart.accessibleDescription()
    QApplication.processEvents()
    assert not editor.chart.grab().isNull()


def test_flows_of_the_supply_agree_with_the_bench(session: Session) -> None:
    """What the train is said to give where it stands is what it gives at the pump's cut-in, and both are named."""
    assert session.assessment is not None
    evaluation = session.assessment.evaluation
    facts = facts_of(evaluation, "us")
    low, high = facts.crossing(True, lowest=True), facts.crossing(True)
    assert low is not None and high is not None and low < high
    others = sum(evaluation.delivered[end] for end in evaluation.delivered if end != "house")
    assert low == pytest.approx(evaluation.capacity.flow + others, rel=0.05)
    told = next(sentence for _, sentence in words_of(facts) if "filters dirty" in sentence)
    assert f"up to {facts.show(high, 'flow')} while the pump runs, and up to {facts.show(low, 'flow')} at its cut-in" in told
