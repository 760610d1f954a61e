"""Columns: placing is least squares, tiers have hysteresis, parallel neighbours with one water share a column."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reports import drawing_models as models
from trainapp.reports.drawing.columns import ledger_columns, place, shown_cell, tier_for
from trainapp.reports.drawing.model import BenchModel, Cell, Row
from trainapp.train.routes import route

WANTED = st.lists(st.floats(0, 2000, width=32), min_size=1, max_size=12)


def columns(model: BenchModel) -> list[tuple[str, ...]]:
    way = route([s.id for s in model.stages], model.links, [e.id for e in model.ends])
    return [column.nodes for column in ledger_columns(model, way)]


@given(wanted=WANTED, pitch=st.floats(1, 160))
def test_order_and_pitch_are_kept(wanted: list[float], pitch: float) -> None:
    got = place(wanted, pitch)
    assert all(b - a >= pitch - 1e-6 for a, b in zip(got, got[1:], strict=False))


@given(wanted=WANTED, pitch=st.floats(1, 160))
def test_placing_is_least_squares(wanted: list[float], pitch: float) -> None:
    """Isotonic regression by its min-max formula: Barlow, Bartholomew, Bremner and Brunk, 1972, theorem 1.1 (from memory)."""
    z = [x - i * pitch for i, x in enumerate(wanted)]
    n = len(z)
    expected = [max(min(sum(z[j : k + 1]) / (k + 1 - j) for k in range(i, n)) for j in range(i + 1)) + i * pitch for i in range(n)]
    assert place(wanted, pitch) == pytest.approx(expected, abs=1e-6)


@given(wanted=WANTED, pitch=st.floats(1, 160), least=st.floats(0, 500), room=st.floats(0, 3000))
def test_bounds_are_kept(wanted: list[float], pitch: float, least: float, room: float) -> None:
    most = least + (len(wanted) - 1) * pitch + room
    got = place(wanted, pitch, least, most)
    assert got[0] >= least - 1e-6 and got[-1] <= most + 1e-6
    assert all(b - a >= pitch - 1e-6 for a, b in zip(got, got[1:], strict=False))


def test_what_is_far_enough_apart_does_not_move() -> None:
    assert place([100.0, 250.0, 400.0], 124.0) == [100.0, 250.0, 400.0]


def test_two_that_are_too_close_move_apart_alike() -> None:
    assert place([100.0, 140.0], 60.0) == pytest.approx([90.0, 150.0])


def test_tiers_and_their_hysteresis() -> None:
    assert [tier_for(p) for p in (124.0, 123.9, 72.0, 71.9, 56.0)] == ["full", "medium", "medium", "compact", "compact"]
    assert tier_for(117.0, "full") == "full"
    assert tier_for(115.0, "full") == "medium"
    assert tier_for(117.0, "medium") == "medium"
    assert tier_for(65.0, "medium") == "medium"


def test_parallel_stages_with_one_water_share_a_column() -> None:
    assert ("softener1", "softener2") in columns(models.six())


def test_unlike_waters_have_columns_of_their_own() -> None:
    model = models.six()
    first = model.rows[0]
    unlike = replace(first, cells={**first.cells, "softener2": Cell(("23",))})
    got = columns(replace(model, rows=(unlike, *model.rows[1:])))
    assert ("softener1",) in got and ("softener2",) in got


def test_longer_lanes_have_columns_of_their_own_under_a_lane_name() -> None:
    model = models.unlike_lanes()
    way = route([s.id for s in model.stages], model.links, [e.id for e in model.ends])
    named = {column.key: column.lane for column in ledger_columns(model, way)}
    assert named["iron1"] == named["softener1"] == "lane a"
    assert named["iron2"] == named["softener2"] == "lane b"
    assert "bypass" not in named and named["uv"] == ""


def test_a_shared_column_shows_the_stricter_limit() -> None:
    loose, strict = Cell(("5",), "≤10", "within", closeness=0.5), Cell(("5",), "≤6", "near", closeness=0.83)
    model = models.six()
    way = route([s.id for s in model.stages], model.links, [e.id for e in model.ends])
    shared = next(column for column in ledger_columns(model, way) if len(column.nodes) == 2)
    assert shown_cell(Row("x", "X", "", {"softener1": loose, "softener2": strict}), shared) is strict


def test_flow_order_with_the_house_last() -> None:
    keys = [nodes[0] for nodes in columns(models.unlike_lanes())]
    assert keys == ["screen", "iron1", "softener1", "iron2", "softener2", "uv", "house"]
