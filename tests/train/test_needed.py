"""The train's own curve: what it asks for at the gauge is what evaluation finds it to lose, plus what is wanted at its ends."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from trainapp.stages.working import PEAK
from trainapp.train.document import load
from trainapp.train.edits import SetValue, apply, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.needed import TrainCurve, train_curve
from trainapp.train.plan import open_plan

SITES = ("inkwell-croft", "lone-alder-farm", "marzipan-moth-tea-room", "pebble-court-3", "sorrel-bank-cottage")


@pytest.mark.parametrize("site", SITES)
def test_at_the_peak_it_is_what_evaluation_loses(root: Path, site: str) -> None:
    plan = open_plan(load(root / "samples" / f"{site}.train.json"))
    found = evaluate(plan)
    drawn = float(found.points["supply"].flow[PEAK])
    curve = train_curve(plan, 31.0 * drawn / 20.0)
    at = int(np.argmin(abs(curve.flow - drawn)))
    assert curve.flow[at] == pytest.approx(drawn, rel=1e-6)
    for row, reading in ((curve.clean, "clean"), (curve.dirty, "dirty")):
        ends = [end for end, demand in plan.demands.items() if demand.flows[PEAK] > 0]
        spare = min(getattr(found.points[end].pressure, reading) - plan.demands[end].pressure for end in ends)
        assert row[at] == pytest.approx(getattr(found.points["supply"].pressure, reading) - spare, abs=60.0)


@pytest.mark.parametrize("site", SITES)
def test_it_rises_with_flow_and_dirt(root: Path, site: str) -> None:
    curve = train_curve(open_plan(load(root / "samples" / f"{site}.train.json")), 1.5e-3)
    assert curve.flow[0] == 0.0 and np.all(np.diff(curve.flow) > 0)
    assert np.all(np.diff(curve.clean) >= -1e-6) and np.all(np.diff(curve.dirty) >= -1e-6)
    assert np.all(curve.dirty >= curve.clean - 1e-6)


def test_at_rest_it_asks_for_the_wanted_pressure_and_the_lift(root: Path) -> None:
    document = load(root / "samples" / "lone-alder-farm.train.json")
    lifted = apply(document, plan_edit(document, SetValue(path="supply.lift", value="10 m")))
    wanted = document.outlet_pressure("house")
    plan = open_plan(lifted)
    # 10 m of water at 9 degC weighs 10 x 9.80665 x 999.8 Pa.
    assert train_curve(plan, 1e-3).clean[0] == pytest.approx(wanted + 10 * 9.80665 * 999.8, rel=1e-3)


def test_a_flow_control_ends_it(root: Path) -> None:
    plan = open_plan(load(root / "samples" / "lone-alder-farm.train.json"))
    cap = min(plan.work.caps.values())
    curve = train_curve(plan, 2.0 * cap)
    assert curve.held == pytest.approx(cap, rel=1e-9)
    assert train_curve(plan, 0.9 * cap).held is None


def test_the_crossing_is_where_supply_and_train_are_equal() -> None:
    flow = np.linspace(0.0, 2e-3, 11)
    curve = TrainCurve(flow, 1e5 + 1e8 * flow, 2e5 + 2e8 * flow, None)
    supply = 3e5 - 1e8 * flow
    assert curve.crossing(supply, dirty=False) == pytest.approx(1e-3)
    assert curve.crossing(supply, dirty=True) == pytest.approx(1e-3 / 3)
    assert curve.crossing(supply + 1e6, dirty=True) is None
    assert curve.crossing(supply - 2e5, dirty=True) is None
