"""Plumbing: every pipe, one of its own in segments, fittings by count, and how fast the water runs in each."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.desktop.editing import choose_in_cell, click, opened, type_cell
from trainapp.desktop.editors.plumbing import PlumbingEditor
from trainapp.desktop.editors.plumbing_lines import pipe_lines
from trainapp.desktop.session import Session
from trainapp.train.document import Document
from trainapp.train.edits import AddParallel, RemoveStage, SetValue
from trainapp.units import parse


@pytest.fixture
def editor(qtbot: QtBot, session: Session) -> PlumbingEditor:
    return opened(qtbot, session, "plumbing", PlumbingEditor)


def walk_to(editor: PlumbingEditor, name: str) -> None:
    editor.pipes.setFocus()
    for _ in range(editor.pipes.sheet.rowCount()):
        if editor.pipes.key == name:
            return
        QTest.keyClick(editor.pipes, Qt.Key.Key_Down)
    assert editor.pipes.key == name


def pipe(session: Session, name: str) -> object:
    return next(link.get("pipe") for link in session.document.tree["links"] if f"{link['from']}>{link['to']}" == name)


def test_what_every_pipe_is_reaches_every_pipe(editor: PlumbingEditor, session: Session, farm: Document) -> None:
    before = session.assessment
    type_cell(editor.segments, "0", "size", "3/4")
    assert session.document.plumbing.size == "3/4 in"
    assert before is not None and session.assessment is not None
    old, new = (a.evaluation.links["supply", "screen"].velocity for a in (before, session.assessment))
    # Type L copper of 1 and 3/4 in has bores of 1.025 and 0.785 in (ASTM B88): speed goes with the square of their ratio.
    assert new / old == pytest.approx((1.025 / 0.785) ** 2, rel=1e-6)
    assert editor.pipes.cell("supply>screen", "made").text == "Copper, type L, 3/4 in"
    session.stack.undo()
    assert session.document == farm


def test_a_pipe_gets_its_own_and_gives_it_up(editor: PlumbingEditor, session: Session, farm: Document) -> None:
    walk_to(editor, "screen>iron")
    assert editor.title.text() == "1 Sediment cartridge to 2 Iron filter" and not editor.like.isEnabled()
    type_cell(editor.segments, "0", "length", "3*1.2 m")
    assert pipe(session, "screen>iron") == {"length": "3.6 m"}
    assert editor.pipes.cell("screen>iron", "length").text == "11.8"
    assert editor.segments.cell("0", "size").text == "" and editor.segments.cell("0", "size").hint == "1\u202fin"
    editor.segments.go_to("0", "length")
    QTest.keyClick(editor.segments, Qt.Key.Key_Delete)
    type_cell(editor.segments, "0", "length", "9 ft")
    click(editor.like)
    assert pipe(session, "screen>iron") is None
    while session.stack.canUndo():
        session.stack.undo()
    assert session.document == farm


def test_a_material_is_chosen_and_must_be_made_in_that_size(editor: PlumbingEditor, session: Session) -> None:
    walk_to(editor, "uv>house")
    choose_in_cell(editor.segments, "0", "material", "PEX")
    assert pipe(session, "uv>house") == {"material": "pex"}
    assert editor.segments.cell("0", "material").text == "PEX, SDR 9"
    type_cell(editor.segments, "0", "size", "2-1/2 in")
    assert editor.said.text().startswith("Size: 2.5 in is not a size of pex; it is made in ")
    type_cell(editor.segments, "0", "size", "5 psi")
    assert editor.said.text() == 'Size: "5 psi" is not a length; it stays as it was.'
    assert pipe(session, "uv>house") == {"material": "pex"}


def test_segments_come_and_go_and_each_has_its_speed(editor: PlumbingEditor, session: Session) -> None:
    walk_to(editor, "iron>softener")
    click(editor.add)
    type_cell(editor.segments, "1", "size", "3/4")
    made = pipe(session, "iron>softener")
    assert isinstance(made, list) and [part["size"] for part in made] == ["1 in", "3/4 in"]
    assert made[0]["fittings"] == {"elbow_90": 2} and made[1]["fittings"] == {}
    assert session.assessment is not None
    flow = float(session.assessment.evaluation.links["iron", "softener"].flow[2])
    speeds = [flow / (math.pi / 4 * parse(f"{bore} in", "length") ** 2) / parse("1 ft/s", "velocity") for bore in (1.025, 0.785)]
    assert [editor.segments.cell(str(i), "speed").text for i in range(2)] == [f"{speed:.1f}\u202fft/s" for speed in speeds]
    assert editor.pipes.cell("iron>softener", "made").text == "2 segments"
    editor.segments.go_to("0", "material")
    click(editor.remove)
    made = pipe(session, "iron>softener")
    assert isinstance(made, list) and [part["size"] for part in made] == ["3/4 in"]
    assert not editor.remove.isEnabled()
    assert session.stack.count() == 3


def test_fittings_are_counted_by_keys_and_typing(editor: PlumbingEditor, session: Session, farm: Document) -> None:
    assert session.assessment is not None
    before = session.assessment.evaluation.links["screen", "iron"].loss
    walk_to(editor, "screen>iron")
    editor.fittings.setFocus()
    editor.fittings.go_to("globe_valve", "count")
    for _ in range(3):
        QTest.keyClick(editor.fittings, Qt.Key.Key_Plus)
    assert pipe(session, "screen>iron") == {"fittings": {"elbow_90": 2, "globe_valve": 3}}
    assert session.stack.count() == 1
    assert session.assessment.evaluation.links["screen", "iron"].loss > 3 * before
    type_cell(editor.fittings, "elbow_90", "count", "0")
    assert pipe(session, "screen>iron") == {"fittings": {"globe_valve": 3}}
    type_cell(editor.fittings, "elbow_90", "count", "two")
    assert editor.said.text() == 'Elbow, 90 degrees: "two" is not a count; it stays 0.'
    session.stack.undo()
    session.stack.undo()
    assert session.document == farm


def test_water_that_runs_too_fast_is_marked_by_shape_and_said(editor: PlumbingEditor, session: Session) -> None:
    walk_to(editor, "screen>iron")
    assert editor.pipes.cell("screen>iron", "speed").mark is None
    type_cell(editor.segments, "0", "size", "1/2 in")
    cell = editor.pipes.cell("screen>iron", "speed")
    # 7 gpm in type L copper of 1/2 in (bore 0.545 in) runs at 9.6 ft/s; Chicago 18-29 allows 8 in cold copper pipe.
    assert cell.text == "9.6" and cell.mark == "caution" and "8.0\u202fft/s" in cell.note
    assert "noise, hammer and worn fittings" in editor.words.text
    type_cell(editor.segments, "0", "size", "3/4 in")
    assert editor.pipes.cell("screen>iron", "speed").mark is None
    session.set_system("metric")
    assert [column.title for column in editor.pipes.sheet.columns][2:] == ["Length m", "Peak L/min", "Speed m/s", "Loss bar"]
    assert editor.pipes.cell("screen>iron", "speed").text == "1.41"


def test_a_pipe_that_goes_leaves_the_editor_at_every_pipe(editor: PlumbingEditor, session: Session) -> None:
    walk_to(editor, "screen>iron")
    session.edit(RemoveStage(id="screen"))
    assert editor.name == "" and editor.title.text() == "Every pipe"


def test_flows_of_lanes_add_up_in_the_list_as_on_the_bench(session: Session) -> None:
    """What is shown of two lanes is what is shown ahead of them, whatever the peak."""
    session.edit(AddParallel(beside="softener"), select=())
    for peak in ("7.5 gpm", "6.7 gpm", "5.3 gpm"):
        session.edit(SetValue(path="demand.peak", value=peak))
        flows = {line.key: line.cells[3].text for line in pipe_lines(session)}
        lanes = [float(flows[f"iron>{softener}"]) for softener in ("softener", "softener-2")]
        assert sum(lanes) == pytest.approx(float(flows["screen>iron"])), peak
        assert session.model is not None
        told = {link.key: link.tooltip.replace("\u202f", " ") for link in session.model.links}
        assert all(f"{lane:.1f} gpm" in told["iron", name] for lane, name in zip(lanes, ("softener", "softener-2"), strict=True))
