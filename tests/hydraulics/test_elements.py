"""What every element keeps to: odd, strictly rising, its slope the derivative of its loss."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.hydraulics.constants import GPM, INCH, PSI
from trainapp.hydraulics.elements import Element, Resistance, Series, Shared, loss_and_slope
from trainapp.hydraulics.limiter import FlowControl
from trainapp.hydraulics.pipes import PipeRun

CURVE = Resistance(curve=((3.0 * GPM, 2.0 * PSI), (6.0 * GPM, 7.0 * PSI), (10.0 * GPM, 15.0 * PSI)))

bores = st.floats(0.3, 4.0).map(lambda inches: inches * INCH)
pipes = st.builds(
    PipeRun,
    bores,
    st.floats(0.01, 100.0),
    st.sampled_from([0.0, 1.52e-6, 4.5e-5, 1.52e-4, 1e-3]),
    st.floats(0.0, 500.0),
    st.floats(1.0, 40.0),
)
resistances = st.builds(Resistance, st.floats(1e5, 1e9), st.floats(1e8, 1e12))
controls = st.builds(FlowControl, st.floats(0.5, 30.0).map(lambda gpm: gpm * GPM))
elements = st.one_of(pipes, resistances, controls, st.just(CURVE))
flows = st.floats(1e-8, 5e-3)


@given(elements, flows, st.floats(1e-6, 1.0))
def test_loss_is_odd_and_strictly_rising(element: Element, flow: float, more: float) -> None:
    assert element.loss(0.0) == 0.0
    assert element.loss(-flow) == -element.loss(flow)
    assert element.slope(-flow) == element.slope(flow)
    assert element.loss(flow * (1.0 + more)) > element.loss(flow) > 0.0


@given(pipes, flows)
def test_slope_is_the_derivative_of_loss(pipe: PipeRun, flow: float) -> None:
    step = 1e-6 * flow
    rise = (pipe.loss(flow + step) - pipe.loss(flow - step)) / (2.0 * step)
    # Where flow turns turbulent the slope has a corner of its own; a difference across it is only close.
    assert pipe.slope(flow) == pytest.approx(rise, rel=1e-3)


@given(st.lists(st.tuples(st.floats(0.5, 5.0), st.floats(0.1, 5.0)), min_size=1, max_size=4), flows)
def test_a_makers_curve_joins_its_points_in_the_square_of_flow(steps: list[tuple[float, float]], flow: float) -> None:
    """Between points p = p0 + k (Q^2 - q0^2), the square law of ports and fittings (Crane TP 410); from none to the first point, too."""
    points, q, p = [], 0.0, 0.0
    for more_q, more_p in steps:
        q, p = q + more_q * GPM, p + more_p * PSI
        points.append((q, p))
    curve = Resistance(curve=tuple(points))
    for at, loss in points:
        assert curve.loss(at) == pytest.approx(loss, rel=1e-9)
        assert curve.loss(at * (1 + 1e-9)) == pytest.approx(loss, rel=1e-7), "no leap at a point"
    first_q, first_p = points[0]
    assert curve.loss(first_q / 5.0) == pytest.approx(first_p / 25.0, rel=1e-9)
    beyond = points[-1][0]
    assert curve.slope(beyond * (1 + 1e-9)) == pytest.approx(curve.slope(beyond * (1 - 1e-9)), rel=1e-6), "its end goes on without a kink"
    step = 1e-6 * flow
    if all(abs(flow - at) > 2.0 * step for at, _ in points):
        assert curve.slope(flow) == pytest.approx((curve.loss(flow + step) - curve.loss(flow - step)) / (2.0 * step), rel=1e-4)


def test_one_rated_point_goes_with_the_square_of_flow() -> None:
    """4 psi at 10 gpm is 0.16 psi at 2 gpm and 16 psi at 20 gpm; hand calculation of dp_r (Q/Q_r)^2."""
    rated = Resistance(curve=((10.0 * GPM, 4.0 * PSI),))
    assert [rated.loss(q * GPM) / PSI for q in (2.0, 5.0, 10.0, 20.0)] == pytest.approx([0.16, 1.0, 4.0, 16.0])


@given(st.lists(elements, min_size=1, max_size=4), flows)
def test_a_row_loses_the_sum(parts: list[Element], flow: float) -> None:
    row = Series(tuple(parts))
    assert row.loss(flow) == pytest.approx(sum(part.loss(flow) for part in parts), rel=1e-12)
    assert loss_and_slope(row)(flow) == pytest.approx((row.loss(flow), row.slope(flow)), rel=1e-12)


@given(st.one_of(resistances, st.just(CURVE)), flows, st.integers(1, 5))
def test_identical_units_share_the_flow(unit: Resistance, flow: float, count: int) -> None:
    for together in (unit.shared(count), Shared(unit, count)):
        assert together.loss(flow) == pytest.approx(unit.loss(flow / count), rel=1e-9)
        assert together.slope(flow) == pytest.approx(unit.slope(flow / count) / count, rel=1e-9)


def test_a_makers_curve_worked_by_hand() -> None:
    """2, 7, 15 psi at 3, 6, 10 gpm: 2/4 at 1.5; 7 + 8/64 (64 - 36) at 8; 7 + 8/64 (400 - 36) at 20 gpm. Dirt comes on top."""
    assert [CURVE.loss(q * GPM) / PSI for q in (1.5, 8.0, 20.0)] == pytest.approx([0.5, 10.5, 52.5])
    dirty = Resistance(linear=0.5 * PSI / GPM, curve=CURVE.curve)
    assert (dirty.loss(8.0 * GPM) - CURVE.loss(8.0 * GPM)) / PSI == pytest.approx(4.0)
    assert dirty.shared(2).loss(16.0 * GPM) == pytest.approx(dirty.loss(8.0 * GPM))


def test_resistances_add_unless_measured() -> None:
    both = Resistance(1.0, 2.0) + Resistance(3.0, 4.0)
    assert (both.linear, both.quadratic) == (4.0, 6.0)
    with pytest.raises(ValueError, match="maker's curve"):
        Resistance(1.0) + CURVE


@given(st.floats(0.5, 30.0), st.floats(0.0, 200.0))
def test_a_flow_control_passes_what_its_loss_says(gpm: float, psi: float) -> None:
    control = FlowControl(gpm * GPM)
    passed = control.passed(psi * PSI)
    assert passed <= control.nominal
    assert control.loss(passed) == pytest.approx(min(psi * PSI, control.threshold), rel=1e-9, abs=1e-9)


def test_a_flow_control_at_the_end_of_its_band() -> None:
    control = FlowControl(9.0 * GPM)
    assert control.at_most().nominal == pytest.approx(1.15 * 9.0 * GPM)
    assert control.at_most().band == 0.0
    assert math.isclose(control.least, 0.85 * 9.0 * GPM)


@pytest.mark.parametrize("bad", [(0.0, 1e5, 0.15), (1e-4, 0.0, 0.15), (1e-4, 1e5, 1.0)])
def test_a_flow_control_refuses_nonsense(bad: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="flow control"):
        FlowControl(*bad)


def test_an_open_end_lets_nothing_back() -> None:
    end = FlowControl(1e-4, 1e3, 0.0, one_way=True)
    assert end.loss(-1e-9) < -50.0
    assert end.loss(1e-4) == pytest.approx(1e3)
