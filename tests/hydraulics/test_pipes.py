"""Pipes: the bridge between laminar and turbulent flow, the tables, and what a wrong name is told."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.hydraulics.constants import FOOT, GPM, GRAVITY, INCH
from trainapp.hydraulics.pipes import (
    LAMINAR_END,
    TURBULENT_START,
    PipeError,
    PipeRun,
    fitting_coefficient,
    fitting_kinds,
    fittings_coefficient,
    friction,
    joined,
    pipe_run,
    pipe_size,
    pipe_sizes,
    size_change_coefficient,
)
from trainapp.hydraulics.water_properties import water

MATERIALS = ("copper_l", "copper_m", "pex", "cpvc", "pvc_40", "pvc_80", "galvanized", "stainless")


@given(st.floats(0.0, 0.05))
def test_friction_is_smooth_across_the_transition(relative: float) -> None:
    for edge in (LAMINAR_END, TURBULENT_START):
        below, above = friction(edge * (1.0 - 1e-9), relative), friction(edge * (1.0 + 1e-9), relative)
        assert below == pytest.approx(above, rel=1e-5)


@given(st.floats(0.0, 0.05), st.floats(1.0, 1e7), st.floats(1e-6, 0.5))
def test_friction_loss_always_rises(relative: float, reynolds: float, more: float) -> None:
    assert friction(reynolds, relative)[1] > 0.0
    assert friction(reynolds * (1.0 + more), relative)[0] > friction(reynolds, relative)[0]


def test_every_material_and_fitting_of_a_document() -> None:
    assert tuple(pipe_sizes()) == MATERIALS
    assert fitting_kinds() == (
        "elbow_90", "elbow_45", "tee_run", "tee_branch", "ball_valve", "gate_valve", "globe_valve", "check_valve", "union",
    )  # fmt: skip
    for material, sizes in pipe_sizes().items():
        bores = [size.bore for size in sizes]
        assert bores == sorted(bores)
        for size in sizes:
            assert size.bore < size.outside
            assert pipe_size(material, size.nominal) is size
            assert pipe_run(material, size.nominal, 2.0, {"elbow_90": 1}).loss(5.0 * GPM) > 0.0


def test_a_run_reports_what_it_is_made_of() -> None:
    run = pipe_run("copper_l", 0.75 * INCH, 3.0, {"elbow_90": 2, "ball_valve": 1}, 12.0, lift=2.0)
    assert run.label == "Copper, type L, 3/4 in"
    assert run.coefficient == pytest.approx(63.0 * fitting_coefficient("elbow_90", run.bore) / 30.0)
    q = 8.0 * GPM
    head = 0.5 * water(12.0).density * run.velocity(q) ** 2
    assert run.loss(q) == pytest.approx((run.friction_factor(q) * run.length / run.bore + run.coefficient) * head, rel=1e-12)
    assert run.lift_pressure == pytest.approx(water(12.0).density * GRAVITY * 2.0)


def test_a_flow_that_no_correlation_covers_is_said() -> None:
    run = pipe_run("copper_l", 0.75 * INCH, 1.0)
    notes = [run.range_note(run.bore * re * 0.25 * math.pi * water(10.0).kinematic) for re in (1900.0, 3000.0, 4100.0)]
    assert [bool(note) for note in notes] == [False, True, False]
    assert "neither laminar nor turbulent" in notes[1]


def test_fittings_inside_the_pipe_lose_several_times_more() -> None:
    bore = 0.863 * INCH
    assert fitting_coefficient("elbow_90", bore, insert=True) > 2.0 * fitting_coefficient("elbow_90", bore)
    assert pipe_run("pex", INCH, 1.0, {"elbow_90": 1}).coefficient == fitting_coefficient("elbow_90", bore, insert=True)
    assert fittings_coefficient({}, bore) == 0.0


def test_runs_of_two_bores_lose_at_the_step() -> None:
    wide, narrow = PipeRun(1.0 * INCH, 1.0, 0.0), PipeRun(0.75 * INCH, 1.0, 0.0)
    q = 5.0 * GPM
    for order in ((wide, narrow), (narrow, wide)):
        step = size_change_coefficient(order[0].bore, order[1].bore) * 0.5 * water(10.0).density * narrow.velocity(q) ** 2
        assert joined(order).loss(q) == pytest.approx(wide.loss(q) + narrow.loss(q) + step, rel=1e-12)
    assert joined((wide, wide)).loss(q) == pytest.approx(2.0 * wide.loss(q), rel=1e-12)


def test_wrong_names_are_told_in_a_sentence() -> None:
    with pytest.raises(PipeError, match='"lead" is not a pipe material; use one of copper_l, .*stainless'):
        pipe_run("lead", INCH, 1.0)
    with pytest.raises(PipeError, match=r"0\.9 in is not a size of pex; it is made in 1/2 in, 3/4 in, 1 in, 1-1/4 in"):
        pipe_size("pex", 0.9 * INCH)
    with pytest.raises(PipeError, match='"bend" is not a fitting; use one of elbow_90'):
        fitting_coefficient("bend", INCH)


@pytest.mark.parametrize("bad", [(0.0, 1.0, 0.0), (0.02, -1.0, 0.0), (0.02, 1.0, -1e-6), (0.02, 1.0, 0.0, -1.0)])
def test_a_run_refuses_nonsense(bad: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="run of pipe"):
        PipeRun(*bad)


@pytest.mark.parametrize("celsius", [-0.1, 99.5, 300.0])
def test_water_that_is_not_liquid(celsius: float) -> None:
    with pytest.raises(ValueError, match="is outside 0 to 99 degC"):
        water(celsius)


@given(st.floats(0.0, 98.0))
def test_water_thins_as_it_warms(celsius: float) -> None:
    assert water(celsius + 1.0).viscosity < water(celsius).viscosity
    assert water(celsius + 1.0).vapour_pressure > water(celsius).vapour_pressure


def test_colder_water_loses_more() -> None:
    losses = [PipeRun(0.785 * INCH, 10.0 * FOOT, 1.52e-6, 0.0, t).loss(6.0 * GPM) for t in (4.0, 10.0, 20.0)]
    assert losses == sorted(losses, reverse=True)
