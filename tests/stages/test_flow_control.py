"""The flow control, the bypass and the tee: they leave the water alone and have their say on flow."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import make_duty, make_stage, make_water, run, step_values
from trainapp.dimensions import GPM, PSI
from trainapp.stages.working import Working


def test_half_the_flow_costs_a_quarter_of_the_threshold() -> None:
    # Hand-worked: Cv = Q_n/sqrt(15 psi), so that half the flow costs a quarter of 15 psi.
    stage = make_stage("flow_control", flow="9 gpm")
    clean, dirty = stage.losses(10.0)
    assert clean.loss(9 * GPM) / PSI == pytest.approx(15.0, rel=1e-9)
    assert clean.loss(4.5 * GPM) / PSI == pytest.approx(3.75, rel=1e-9)
    assert dirty.loss(9 * GPM) == clean.loss(9 * GPM)
    assert stage.flow_cap == pytest.approx(9 * GPM) and stage.cap_band == pytest.approx(0.15)


@given(nominal=st.floats(0.5, 40.0), flow=st.floats(0.0, 40.0), more=st.floats(0.01, 5.0))
@settings(max_examples=50)
def test_more_flow_never_costs_less(nominal: float, flow: float, more: float) -> None:
    element, _ = make_stage("flow_control", flow=f"{nominal:.6f} gpm").losses(10.0)
    assert element.loss((flow + more) * GPM) > element.loss(flow * GPM)


@pytest.mark.parametrize("kind", ["flow_control", "bypass", "tee"])
def test_the_water_stays_as_it_is(kind: str) -> None:
    water = make_water(waters=3, hardness=300.0, ph=7.1, total_coliform=12.0, absorbance=0.1)
    stage = make_stage(kind)
    out, w, remarks = run(stage, water, make_duty())
    np.testing.assert_array_equal(out.values, water.values)
    assert out is not water and out.values is not water.values and not remarks
    for name, result in w.results.items():
        assert step_values(w, name) == [result.shown]
    quiet = Working(False)
    stage.treat(water, make_duty(), quiet, [])
    assert not quiet.steps


def test_steps_of_the_control() -> None:
    _, w, _ = run(make_stage("flow_control", flow="9 gpm"), make_water(), make_duty(peak=7.0))
    assert w.results["most_flow"].shown / GPM == pytest.approx(9 * 1.15)
    # 15 psi x (7/9)^2
    assert w.results["bore_loss"].shown / PSI == pytest.approx(15 * 49 / 81)


def test_an_open_bypass_wants_its_share_and_a_closed_one_none() -> None:
    opened, closed = make_stage("bypass", share="0.25", position="open"), make_stage("bypass", share="0.25", position="closed")
    assert opened.wanted_share == pytest.approx(0.25) and not opened.is_shut
    assert closed.wanted_share is None and closed.is_shut
    _, w, _ = run(opened, make_water(), make_duty(peak=2.0))
    assert w.results["bypass_flow"].shown / GPM == pytest.approx(2.0)
    assert [step.value for step in w.steps if step.symbol == "Q"] == [pytest.approx(8.0 * GPM)]


def test_both_stand_in_the_pipe() -> None:
    for kind in ("flow_control", "bypass"):
        stage = make_stage(kind, width="5 in")
        assert stage.figure().shape == "inline" and stage.figure().width == pytest.approx(0.127)
        assert stage.size_line() and stage.cleaning(make_water(), make_duty()) is None
    assert make_stage("tee").figure().shape == "inline"
    assert make_stage("flow_control").chores(make_water(), make_duty())
