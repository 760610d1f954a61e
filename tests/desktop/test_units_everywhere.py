"""No unit of the other system anywhere: every text of bench, panels, cards, worked steps, words and editors, over all samples.

What a user typed stays as it was typed while it is typed over; results of a laboratory and names of items are told as they are written.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QAbstractItemModel, QAbstractListModel, QModelIndex, Qt
from PySide6.QtWidgets import QAbstractButton, QAbstractItemView, QApplication, QComboBox, QLabel, QLineEdit, QTextBrowser, QWidget
from pytestqt.qtbot import QtBot

from tests.desktop.editing import opened, type_cell
from trainapp import units
from trainapp.data import samples_path
from trainapp.desktop.editors import EDITORS, open_editor
from trainapp.desktop.editors.drains import DrainsEditor, drain_of
from trainapp.desktop.editors.supply import SupplyEditor
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.reports.drawing.display import Group, Tag, Text, walk
from trainapp.reports.in_units import in_units, nominal, pipes_in, trade_size
from trainapp.train.document import Document, load
from trainapp.units import System

_US = "gpm|gpd|gph|psi|psig|gpg|gal|gallons?|ft|ft[23²³]|feet|foot|in|inch|inches|lb|pounds?|oz|°F|degF|kgr|gr|kilograins?"
_METRIC = "bar|kPa|L/min|L/d|L|litres?|mm|cm|m|m[23²³]|metres?|°C|degC|kg|g/L|m/h|m/s|m3/h|L/kg|Bq/L"
FOREIGN = {
    "metric": re.compile(rf"\d[\d.,]*[ \u202f\u00a0]?(?:{_US})(?![A-Za-z])"),
    "us": re.compile(rf"\d[\d.,]*[ \u202f\u00a0]?(?:{_METRIC})(?![A-Za-z²³0-9/])"),
}
ROLES = (
    Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.AccessibleDescriptionRole,
)  # fmt: skip
SAMPLES = sorted(samples_path().glob("*.train.json"))


def model_texts(model: QAbstractItemModel, parent: QModelIndex) -> Iterator[str]:
    # A list has one column and does not say so.
    columns = 1 if isinstance(model, QAbstractListModel) else model.columnCount(parent)
    for row in range(model.rowCount(parent)):
        for column in range(columns):
            index = model.index(row, column, parent)
            yield from (str(text) for role in ROLES if isinstance(text := model.data(index, role), str))
        yield from model_texts(model, model.index(row, 0, parent))


def widget_texts(root: QWidget) -> Iterator[str]:
    """Every text of a widget and of what stands in it."""
    for widget in (root, *root.findChildren(QWidget)):
        if isinstance(widget, QLabel | QAbstractButton):
            yield widget.text()
        elif isinstance(widget, QLineEdit):
            yield widget.placeholderText()
            # The one that is typed over shows what was typed.
            yield "" if widget.hasFocus() else widget.text()
        elif isinstance(widget, QTextBrowser):
            yield widget.toPlainText()
        elif isinstance(widget, QComboBox):
            yield from (widget.itemText(i) for i in range(widget.count()))
        elif isinstance(widget, QAbstractItemView) and widget.model() is not None:
            yield from model_texts(widget.model(), QModelIndex())
        yield from (widget.toolTip(), "" if widget.hasFocus() else f"{widget.accessibleName()} {widget.accessibleDescription()}")


def window_texts(window: Window, session: Session) -> Iterator[tuple[str, str]]:
    """Where, and what it says there."""
    assert window.workspace is not None
    canvas, right = window.workspace.canvas, window.workspace.right
    window.run("words")
    QApplication.processEvents()
    yield from (("window", text) for text in widget_texts(window))
    assert canvas.view is not None
    for shape, _ in walk(canvas.view.display.items):
        yield "bench", shape.text if isinstance(shape, Text) else f"{shape.tooltip} {shape.name}" if isinstance(shape, Group) else ""
    document = session.document
    tags: list[Tag] = [*(("stage", stage.id) for stage in document.stages), ("supply",), ("end", "house")]
    tags += [*(("end", name) for name in document.outlets), ("link", *document.links[0].ends)]
    canvas.setFocus(Qt.FocusReason.OtherFocusReason)
    for tag in tags:
        session.select(tag)
        QApplication.processEvents()
        for page in ("Stage card", "Worked steps"):
            right.show_page(page)
            yield from ((f"{page} {tag}", text) for text in widget_texts(right.stack.currentWidget()))
    for number in range(1, len(right.findings.rows) + 1):
        session.open_finding(number)
        yield from (("finding", text) for text in widget_texts(right.findings.rows[number - 1]))


def excused(document: Document, text: str) -> str:
    """A text without names of items and without what a laboratory wrote."""
    for name in sorted({row.label or key for key, row in document.items.items()} | set(document.items), key=len, reverse=True):
        text = text.replace(name, "").replace(units.typeset(name), "")
    return re.sub(r"as typed\s+\S+[ \u202f]\S+", "", text)


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.partition(".")[0])
def test_no_unit_of_the_other_system_is_shown(path: Path, system: System, prefs: Prefs) -> None:
    session = Session(load(path), system=system)
    window = Window(prefs)
    window.show()
    window.show_session(session)
    QApplication.processEvents()
    told = [(where, excused(session.document, text)) for where, text in window_texts(window, session)]
    if path == SAMPLES[1]:
        told += [found for name, _, _ in EDITORS if name != "samples" for found in editor_texts(window, session, name)]
    found = {(where, match[0], text[:160]) for where, text in told for match in FOREIGN[system].finditer(text)}
    session.stack.setClean()
    window.close()
    assert len(told) > 200 and not found


def editor_texts(window: Window, session: Session, name: str) -> list[tuple[str, str]]:
    editor = open_editor(session, name, window)
    QApplication.processEvents()
    focused = editor.focusWidget()
    if focused is not None:
        focused.clearFocus()
    told = [(name, excused(session.document, text)) for text in widget_texts(editor)]
    editor.close()
    return told


# What is told in other units --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "metric"),
    [
        ("32 to 36 in are usual", "813 to 914 mm are usual"),
        ("10 mg/L · (TDS/500 mg/L)² · (6 lb/ft3/S)^1.4", "10 mg/L · (TDS/500 mg/L)² · (96.1 g/L/S)^1.4"),
        ("Q/V/(10 gpm/ft3) − 1, between 0 and 1", "Q/V/(80.2 1/h) − 1, between 0 and 1"),
        ("PEX, SDR 9, 1-1/4 in", "PEX, SDR 9, DN 32"),
        ("6 and 10 lb/ft3", "96.1 and 160 g/L"),
        ("Copper, type L, 1 in, 7 gpm", "Copper, type L, DN 25, 26.5 L/min"),
        ("54\u202f°F and 40\u202fpsi", "12.2\u202f°C and 2.76\u202fbar"),
        ("absorbance is 0.086 in all", "absorbance is 0.086 in all"),
        ("3.331 gal/kgr, 10 gal/ft3", "195 L/kg, 1.34 L/L"),
        ("5 µm holds 85 % at 2 mg/L", "5 µm holds 85 % at 2 mg/L"),
    ],
)
def test_quantities_in_a_sentence_are_told_in_the_units_shown(text: str, metric: str) -> None:
    assert in_units(text, "metric") == metric
    assert in_units(text, "us") == text


def test_pipes_alone_are_told_where_names_of_items_stand_beside() -> None:
    told = "Lay 1-1/4 in pipe between the stages; swap the softener for a softener 1 ft3, 9 x 48 in."
    assert pipes_in(told, "metric") == "Lay DN 32 pipe between the stages; swap the softener for a softener 1 ft3, 9 x 48 in."
    assert pipes_in(told, "us") == told
    assert in_units("a bed of 9 x 48 in", "metric") == "a bed of 229 x 1219 mm"


def test_nominal_sizes_have_their_own_names() -> None:
    assert [nominal(size, "metric") for size in ("3/4 in", "1 in", "1-1/4 in", "2 in")] == ["DN 20", "DN 25", "DN 32", "DN 50"]
    assert nominal("1-1/4 in", "us") == "1-1/4 in"
    assert nominal("12 in", "metric") == "305 mm"


def test_a_size_is_typed_by_its_metric_name() -> None:
    typed = ("DN 25", "dn32", "25", "1 in", "3/4 in")
    assert [trade_size(text, "metric") for text in typed] == ["1 in", "1-1/4 in", "1 in", "1 in", "3/4 in"]
    assert trade_size("25", "us") == "25" and trade_size("DN 20", "us") == "3/4 in"


def test_a_number_alone_is_of_the_unit_that_a_sheet_shows(qtbot: QtBot, session: Session) -> None:
    """Who types 5 over "4.57 m" means metres, although the document has feet there."""
    session.set_system("metric")
    drains = opened(qtbot, session, "drains", DrainsEditor)
    type_cell(drains.sheet, "softener", "length", "5")
    type_cell(drains.sheet, "softener", "size", "32")
    drain = drain_of(session.document, "softener")
    assert (drain["length"], drain["size"]) == ("5 m", "1-1/4 in")
    supply = opened(qtbot, session, "supply", SupplyEditor)
    type_cell(supply.curve, "1", "second", "5.5")
    assert "5.5 bar" in [pair[1] for pair in session.document.supply.raw("pump_curve")]


def test_a_field_shows_the_units_shown_and_what_was_typed_while_it_is_typed_over(qtbot: QtBot, window: Window, session: Session) -> None:
    session.set_system("metric")
    session.select(("end", "house"))
    assert window.workspace is not None
    right = window.workspace.right
    right.show_page("Stage card")
    window.workspace.canvas.setFocus(Qt.FocusReason.OtherFocusReason)
    field = right.card.rows["demand.peak"].editor
    assert isinstance(field, QLineEdit) and field.text() == "26.5\u202fL/min"
    field.setFocus(Qt.FocusReason.TabFocusReason)
    assert field.text() == "7 gpm"
    window.workspace.canvas.setFocus(Qt.FocusReason.OtherFocusReason)
    assert field.text() == "26.5\u202fL/min" and session.stack.count() == 0
    session.select(("stage", "uv"))
    QApplication.processEvents()
    row = right.card.rows["rated_flow"]
    assert isinstance(row.editor, QLineEdit) and "L/min" in row.editor.placeholderText()
    row.editor.setFocus(Qt.FocusReason.TabFocusReason)
    row.editor.setText("30")
    row.editor.editingFinished.emit()
    assert session.document.stage("uv").settings["rated_flow"] == "30 L/min", "a number alone is of the unit shown"
