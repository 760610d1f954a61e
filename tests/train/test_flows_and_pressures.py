"""Flows and pressures of whole trains: what goes in comes out, lanes lose alike, and the figures agree with hand calculation."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.train.trains import MAIN, chain, document, full_train, stage
from trainapp.checks import findings
from trainapp.stages.working import PEAK
from trainapp.train.errors import DocumentError
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.units import parse

GPM, PSI = parse("1 gpm", "flow"), parse("1 psi", "pressure")


def lanes(*shares: str):
    """Two unlike softeners in parallel, and a bypass where a share is given."""
    stages = [
        stage("screen", "sediment_cartridge", rating="50 um"),
        stage("left", "softener", resin_volume="2 ft3", tank_diameter="12 in"),
        stage("right", "softener", resin_volume="1 ft3", tank_diameter="9 in"),
        *(stage(f"by{i}", "bypass", share=share, position="open") for i, share in enumerate(shares)),
        stage("fine", "sediment_cartridge", rating="5 um"),
    ]
    middle = [s["id"] for s in stages[1:-1]]
    links = chain("supply", "screen")
    links += [{"from": "screen", "to": m} for m in middle] + [{"from": m, "to": "fine"} for m in middle] + chain("fine", "house")
    return document(stages, links)


@given(peak=st.floats(1.0, 12.0), garden=st.floats(0.5, 6.0), share=st.floats(0.05, 0.6))
def test_water_is_neither_made_nor_lost(peak: float, garden: float, share: float) -> None:
    base = lanes(f"{share:.4f}").tree
    outlets = {"yard": {"peak": f"{garden} gpm", "daily": "60 gal"}}
    tree = {**base, "demand": {"peak": f"{peak} gpm", "daily": "280 gal"}, "outlets": outlets}
    tree["links"] = [*base["links"], {"from": "screen", "to": "yard"}]
    plan = open_plan(type(lanes()).of(tree))
    evaluation = evaluate(plan, keep_working=False)
    for node in plan.order[1:]:
        into = sum(r.flow for (_, t), r in evaluation.links.items() if t == node)
        out = [r.flow for (s, _), r in evaluation.links.items() if s == node]
        if out:
            np.testing.assert_allclose(sum(out), into, rtol=1e-9, atol=1e-15)
    drawn = evaluation.points["house"].flow + evaluation.points["yard"].flow
    np.testing.assert_allclose(evaluation.points["supply"].flow, drawn, rtol=1e-9)


def test_lanes_lose_the_same_pressure() -> None:
    evaluation = evaluate(open_plan(lanes("20 %")))
    for state in ("clean", "dirty"):
        arrivals = []
        for lane in ("left", "right", "by0"):
            point, link = evaluation.points[lane], evaluation.links[lane, "fine"]
            loss = link.loss if state == "clean" else None
            arrivals.append(getattr(point.pressure, state) - (loss or 0.0))
        if state == "clean":
            assert max(arrivals) - min(arrivals) < 1.0  # Pa


@pytest.mark.parametrize("share", [0.05, 0.2, 0.5])
def test_a_bypass_takes_its_share_of_the_peak(share: float) -> None:
    evaluation = evaluate(open_plan(lanes(f"{share}")))
    taken = evaluation.stages["by0"].flow[PEAK] / evaluation.points["house"].flow[PEAK]
    assert taken == pytest.approx(share, rel=1e-5)


def test_two_bypasses_each_take_their_share() -> None:
    evaluation = evaluate(open_plan(lanes("10 %", "25 %")))
    house = evaluation.points["house"].flow[PEAK]
    assert evaluation.stages["by0"].flow[PEAK] / house == pytest.approx(0.10, rel=1e-4)
    assert evaluation.stages["by1"].flow[PEAK] / house == pytest.approx(0.25, rel=1e-4)


def test_a_closed_bypass_carries_nothing() -> None:
    base = lanes("20 %").tree
    stages = [{**s, "settings": {**s["settings"], "position": "closed"}} if s["kind"] == "bypass" else s for s in base["stages"]]
    evaluation = evaluate(open_plan(type(lanes()).of({**base, "stages": stages})))
    assert not evaluation.points["by0"].flow.any() and not evaluation.stages["by0"].flow.any()
    assert evaluation.points["by0"].pressure.clean == evaluation.points["screen"].pressure.clean
    flows = evaluation.stages["left"].flow + evaluation.stages["right"].flow
    np.testing.assert_allclose(flows, evaluation.points["house"].flow, rtol=1e-9)


#: 15 psi at 12, 8 at 10, 3 at 12 and 5 psi at 15 gpm, each dp_r (Q/Q_r)^2.
RATED = {"a": (15, 12), "b": (8, 10), "c": (3, 12), "d": (5, 15)}
BARE = {"material": "copper_l", "size": "2 in", "length": "0 ft", "fittings": {}}
STRONG = {"kind": "mains", "static": "140 psi", "residual": "130 psi", "at_flow": "20 gpm"}


@pytest.mark.parametrize(("peak", "lost"), [(10.0, 22.7222), (7.0, 11.1339), (16.0, 58.1689)])
def test_makers_curves_in_a_row_add_up(peak: float, lost: float) -> None:
    """A train of rated points, worked by hand: 15/144 + 8/100 + 3/144 + 5/225 = 0.227222 psi/gpm2; 22.72 psi at 10 gpm, 11.13 at 7."""
    stages = [stage(n, "carbon_bed", head_loss=[[f"{q} gpm", f"{p} psi"]]) for n, (p, q) in RATED.items()]
    evaluation = evaluate(open_plan(document(stages, supply=STRONG, peak=f"{peak} gpm", plumbing=BARE)))
    assert sum(stage.headloss_clean for stage in evaluation.stages.values()) / PSI == pytest.approx(lost, rel=1e-4)
    most = max(stage.headloss_clean for stage in evaluation.stages.values())
    assert evaluation.stages["a"].headloss_clean == most and most / PSI == pytest.approx(peak**2 * 15 / 144, rel=1e-6)
    fallen = (evaluation.points["supply"].pressure.clean - evaluation.points["house"].pressure.clean) / PSI
    assert fallen == pytest.approx(lost, rel=1e-4)


def test_two_rated_points_side_by_side_share_the_flow() -> None:
    """k of 0.04 and 0.09 psi/gpm2 at 12 gpm, closed form: 7.2 and 4.8 gpm, 2.0736 psi; each given as one point, 4 and 9 psi at 10 gpm."""
    stages = [stage("a", "carbon_bed", head_loss=[["10 gpm", "4 psi"]]), stage("b", "carbon_bed", head_loss=[["10 gpm", "9 psi"]])]
    links = [*chain("supply", "a", "house"), *chain("supply", "b", "house")]
    evaluation = evaluate(open_plan(document(stages, links, supply=STRONG, peak="12 gpm", plumbing=BARE)))
    assert [evaluation.stages[n].flow[2] / GPM for n in "ab"] == pytest.approx([7.2, 4.8], rel=1e-6)
    assert evaluation.stages["a"].headloss_clean / PSI == pytest.approx(2.0736, rel=1e-6)


def test_a_main_falls_with_the_square_of_flow() -> None:
    """62 psi at rest and 50 psi at 20 gpm give 62 - 12 (8/20)^2 = 60.08 psi at 8 gpm (the contract's definition of a main)."""
    evaluation = evaluate(open_plan(document([stage("a", "carbon_bed")], supply=MAIN, peak="8 gpm")))
    assert evaluation.points["supply"].pressure.clean / PSI == pytest.approx(60.08, abs=1e-6)


def test_a_switched_well_has_two_pressures() -> None:
    evaluation = evaluate(open_plan(full_train()))
    supply = evaluation.points["supply"].pressure
    assert supply.lowest / PSI == pytest.approx(40.0)
    assert supply.clean / PSI == pytest.approx(60.0)  # the pump stops at the cut-out; its curve gives 75.4 at 7 gpm
    for point in evaluation.points.values():
        assert point.pressure.clean >= point.pressure.dirty >= point.pressure.lowest


def test_a_regulator_holds_the_pressure_behind_it() -> None:
    doc = document([stage("prv", "pressure_regulator", set_pressure="45 psi"), stage("c", "carbon_bed")], supply=MAIN, peak="6 gpm")
    evaluation = evaluate(open_plan(doc))
    assert evaluation.points["prv"].pressure.clean / PSI <= 45.0 + 1e-9
    assert evaluation.points["prv"].pressure.clean / PSI > 35.0


def test_a_tank_open_to_air_begins_a_new_zone() -> None:
    doc = document(
        [stage("pre", "sediment_cartridge"), stage("tank", "storage_pump", volume="300 gal", fill_flow="3 gpm"), stage("c", "carbon_bed")]
    )
    plan = open_plan(doc)
    assert [zone.root for zone in plan.zones] == ["supply", "tank"]
    evaluation = evaluate(plan)
    assert evaluation.stages["pre"].flow[PEAK] / GPM == pytest.approx(3.0)
    assert evaluation.stages["c"].flow[PEAK] / GPM == pytest.approx(7.0)
    assert evaluation.points["tank"].pressure.clean > evaluation.points["house"].pressure.clean


def test_lift_takes_its_column_of_water() -> None:
    """10 ft of water at 50 degF is 4.334 psi (IAPWS density); the outlet stands 10 ft up."""
    base = full_train().tree
    plain = evaluate(open_plan(type(full_train()).of(base)))
    lifted = evaluate(open_plan(type(full_train()).of({**base, "supply": {**base["supply"], "lift": "10 ft"}})))
    fall = (plain.points["house"].pressure.clean - lifted.points["house"].pressure.clean) / PSI
    assert fall == pytest.approx(4.334, rel=1e-3)


def test_a_flow_control_holds_the_house_back() -> None:
    doc = document([stage("limit", "flow_control", flow="5 gpm"), stage("c", "carbon_bed")], peak="8 gpm")
    evaluation = evaluate(open_plan(doc))
    assert evaluation.delivered["house"] / GPM == pytest.approx(5.0)
    assert evaluation.capacity.flow / GPM <= 5.0 + 1e-9


def test_capacity_leaves_just_the_wanted_pressure() -> None:
    plan = open_plan(full_train())
    capacity = evaluate(plan).capacity
    assert capacity.limited_by == "pressure"
    at_capacity = full_train().tree
    peak = f"{capacity.flow / GPM!r} gpm"
    evaluation = evaluate(open_plan(type(full_train()).of({**at_capacity, "demand": {"peak": peak, "daily": "280 gal"}})))
    assert evaluation.points["house"].pressure.lowest == pytest.approx(plan.goal_pressure, abs=50.0)


def test_capacity_stops_at_a_rating() -> None:
    """A main could push more through this bed than its rated flow: 5 gpm as the document says."""
    doc = document([stage("c", "carbon_bed", tank_diameter="13 in", service_flow="5 gpm", peak_flow="5 gpm")], supply=MAIN, peak="4 gpm")
    evaluation = evaluate(open_plan(doc))
    assert (evaluation.capacity.limited_by, evaluation.capacity.at) == ("rating", "c")
    assert evaluation.capacity.flow / GPM == pytest.approx(5.0)
    assert evaluation.most_push > evaluation.capacity.flow
    assert math.isfinite(evaluation.most_push)


@given(st.floats(2.0, 12.0), st.floats(1.05, 2.0))
def test_more_flow_never_more_dose(peak: float, times: float) -> None:
    base = full_train().tree

    def doses(gpm: float) -> tuple[float, float]:
        doc = type(full_train()).of({**base, "demand": {"peak": f"{gpm} gpm", "daily": "280 gal"}})
        results = evaluate(open_plan(doc)).stages["uv"].working.results
        return results["dose_credited"].shown, results["dose_estimate"].shown

    slow, fast = doses(peak), doses(peak * times)
    assert fast[0] <= slow[0] * (1 + 1e-12)
    assert fast[1] <= slow[1] * (1 + 1e-12)


@given(st.floats(2.0, 12.0), st.floats(1.02, 1.8))
def test_more_flow_never_more_pressure(peak: float, times: float) -> None:
    base = full_train().tree

    def left(gpm: float) -> float:
        doc = type(full_train()).of({**base, "demand": {"peak": f"{gpm} gpm", "daily": "280 gal"}})
        return evaluate(open_plan(doc), keep_working=False).points["house"].pressure.lowest

    assert left(peak * times) <= left(peak) + 1e-6


def test_a_valve_that_shuts_a_tank_off_is_named() -> None:
    closed = [stage("by", "bypass", position="closed"), stage("tank", "storage_pump")]
    with pytest.raises(DocumentError, match="stages.by.settings.position"):
        open_plan(document(closed))


def test_a_day_is_shared_as_it_is_drawn() -> None:
    """A bypass set to a quarter of the peak takes about a quarter of the day, not what trickles round at the day's average flow."""
    stages = [stage("soft", "softener"), stage("by", "bypass", share="25 %", position="open"), stage("c", "carbon_bed")]
    links = [*chain("supply", "soft", "c", "house"), {"from": "supply", "to": "by"}, {"from": "by", "to": "c"}]
    result = evaluate(open_plan(document(stages, links))).stages
    assert result["soft"].daily + result["by"].daily == pytest.approx(result["c"].daily, rel=1e-9)
    assert result["c"].daily == pytest.approx(parse("280 gal", "volume"))
    assert 0.20 < result["by"].daily / result["c"].daily < 0.35


def test_an_outlet_at_its_own_time_is_judged_at_its_own_peak() -> None:
    base = full_train().tree
    outlets = {"barn": {"peak": "25 gpm", "daily": "100 gal", "with_house": False, "drinking": False, "lift": "10 ft"}}
    tree = {**base, "outlets": outlets, "links": [*base["links"], {"from": "softener", "to": "barn"}]}
    evaluation = evaluate(open_plan(type(full_train()).of(tree)))
    alone = evaluation.alone["barn"]
    assert alone.clean.through["softener"] / GPM == pytest.approx(25.0)
    assert alone.clean.through["fine"] == 0.0
    found = {(f.code, f.stage) for f in findings(evaluation)}
    assert ("over-rating", "softener") in found and ("flow-short", "barn") in found


def test_no_gauge_shows_less_than_nothing() -> None:
    evaluation = evaluate(open_plan(full_train(peak="40 gpm")))
    pressures = [p for point in evaluation.points.values() for p in (point.pressure.clean, point.pressure.dirty, point.pressure.lowest)]
    assert min(pressures) == 0.0


def test_a_well_gives_no_more_than_it_refills() -> None:
    base = full_train().tree
    capacity = evaluate(open_plan(type(full_train()).of({**base, "supply": {**base["supply"], "yield": "2 gpm"}}))).capacity
    assert (capacity.limited_by, capacity.at) == ("supply", "supply") and capacity.flow / GPM == pytest.approx(2.0)


def test_a_pump_that_reaches_no_tap_blames_the_supply() -> None:
    base = full_train().tree
    capacity = evaluate(open_plan(type(full_train()).of({**base, "supply": {**base["supply"], "lift": "60 ft"}}))).capacity
    assert (capacity.flow, capacity.limited_by, capacity.at) == (0.0, "pressure", "supply")


@pytest.mark.parametrize("curve", [{}, {"head_loss": [["5 gpm", "3 psi"], ["10 gpm", "9 psi"]]}])
def test_a_tank_pump_below_the_goal_is_a_finding_not_a_fault(curve: dict[str, Any]) -> None:
    stages = [stage("tank", "storage_pump", set_pressure="20 psi"), stage("a", "carbon_bed", **curve)]
    stages += [stage("b", "carbon_bed"), stage("c", "carbon_bed")]
    links = [*chain("supply", "tank", "a", "c", "house"), {"from": "tank", "to": "b"}, {"from": "b", "to": "c"}]
    evaluation = evaluate(open_plan(document(stages, links)))
    assert math.isfinite(evaluation.most_push)
    assert any(f.code == "low-pressure" and f.severity == "fail" for f in findings(evaluation))
