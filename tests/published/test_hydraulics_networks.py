"""Networks against published examples, closed forms and EPANET. Each test names what it is held to."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import networkx as nx
import pytest

from tests.hydraulics.networks import (
    N1_BORES,
    N1_DRAWS,
    N1_ENDS,
    N1_FRICTION,
    N1_LENGTHS,
    N2,
    RHO,
    FixedFriction,
    HazenWilliams,
    branches,
    epanet_flows,
    epanet_model,
    imperial,
    ours,
    series,
)
from trainapp.hydraulics.constants import FOOT, GPM, GRAVITY, INCH, PSI
from trainapp.hydraulics.elements import Resistance
from trainapp.hydraulics.limiter import FlowControl
from trainapp.hydraulics.network import Network, Solution, solve
from trainapp.hydraulics.pipes import PipeRun
from trainapp.hydraulics.supply import Well
from trainapp.train.hydraulic import Pipework, distribute, greatest_flow, propagate, set_valves
from trainapp.train.zones import Zone, cut_zones, node_flows

METRE = RHO * GRAVITY


# N1: three loops, inputs of the vignette of the R package hydraulics, section 7 (published); results Hardy Cross iterated to the
# end = scipy (computed). The vignette prints its third sweep only.


def _n1(elements: list[FixedFriction] | list[PipeRun], head: float) -> Solution:
    network = Network()
    for number, (ends, part) in enumerate(zip(N1_ENDS, elements, strict=True), 1):
        network.link(number, ends[0], ends[1], part)
    network.fix("A", head)
    for node, flow in N1_DRAWS.items():
        network.draw(node, flow)
    return solve(network)


def test_three_loops_with_given_friction() -> None:
    solved = _n1([FixedFriction(*row) for row in zip(N1_LENGTHS, N1_BORES, N1_FRICTION, strict=True)], 50.0 * METRE)
    flows = [38.2280, 38.2280, 23.1527, -25.6468, -41.7720, 8.7996, 3.8748, -16.1252, 15.0752, -4.9248]
    assert [1e3 * solved.flows[i] for i in range(1, 11)] == pytest.approx(flows, abs=1e-4)
    heads = {"B": 49.7665, "C": 48.9832, "D": 48.6241, "E": 49.0648, "F": 48.4359, "G": 48.4328, "H": 48.4309}
    assert {node: solved.heads[node] / METRE for node in heads} == pytest.approx(heads, abs=1e-3)


def test_three_loops_with_colebrook() -> None:
    """ks 0.25 mm: scipy's Colebrook column and EPANET's D-W column, computed; they differ by 0.0013 L/s."""
    solved = _n1([PipeRun(bore, length, 2.5e-4, 0.0, 20.0) for bore, length in zip(N1_BORES, N1_LENGTHS, strict=True)], 50.0 * METRE)
    flows = [38.1164, 38.1164, 23.0094, -25.6656, -41.8836, 8.6750, 3.7820, -16.2180, 15.1070, -4.8930]
    assert [1e3 * solved.flows[i] for i in range(1, 11)] == pytest.approx(flows, abs=0.01)


def test_loop_with_bridge_and_bypass() -> None:
    """N2, own example: Hardy Cross = scipy = WNTR to 0.0005 gpm, EPANET to 0.002 gpm and 0.02 ft; computed."""
    solved = solve(ours(N2, {"S": 140.0 * FOOT * METRE}, {"E": 15.0 * GPM}))
    flows = {
        "supply": 15.0, "unit1": 6.27341, "unit2": 5.17492, "bridge": 1.72723,
        "soft1": 4.54618, "soft2": 6.90215, "bypass": 3.55167, "house": 15.0,
    }  # fmt: skip
    assert {key: flow / GPM for key, flow in solved.flows.items()} == pytest.approx(flows, abs=5e-4)
    assert solved.heads["E"] / METRE / FOOT == pytest.approx(111.8897, abs=0.02)
    psi = {"S": 60.633, "A": 56.921, "B": 54.454, "C": 54.424, "D": 51.751, "E": 48.452}
    assert {node: head / PSI for node, head in solved.heads.items()} == pytest.approx(psi, abs=1e-3)


# EPANET itself, through wntr: within 0.5 %.

_HEADS = {"S": 60.0 * PSI}
_CASES = {
    "series": (series, "n12"),
    "branches": (branches, "O"),
}


@pytest.mark.parametrize("law", ["H-W", "D-W"])
@pytest.mark.parametrize("case", _CASES)
def test_epanet_between_two_pressures(case: str, law: str, tmp_path: Path) -> None:
    build, last = _CASES[case]
    pipes, heads = build(140.0 if law == "H-W" else 1.5e-6), _HEADS | {last: 30.0 * PSI}
    theirs = epanet_flows(epanet_model(pipes, heads, {}, law), tmp_path)
    assert solve(ours(pipes, heads, {}, law)).flows == pytest.approx(theirs, rel=5e-3)


@pytest.mark.parametrize("law", ["H-W", "D-W"])
@pytest.mark.parametrize("gpm", [4.0, 9.0, 18.0])
def test_epanet_at_a_given_draw(gpm: float, law: str, tmp_path: Path) -> None:
    pipes = branches(140.0 if law == "H-W" else 1.5e-6)
    theirs = epanet_flows(epanet_model(pipes, _HEADS, {"O": gpm * GPM}, law), tmp_path)
    assert solve(ours(pipes, _HEADS, {"O": gpm * GPM}, law)).flows == pytest.approx(theirs, rel=5e-3)


@pytest.mark.parametrize("law", ["H-W", "D-W"])
def test_epanet_on_the_loop_with_bridge(law: str, tmp_path: Path) -> None:
    pipes = [pipe._replace(rough=140.0 if law == "H-W" else 1.5e-6) for pipe in N2]
    theirs = epanet_flows(epanet_model(pipes, _HEADS, {"E": 15.0 * GPM}, law), tmp_path)
    assert solve(ours(pipes, _HEADS, {"E": 15.0 * GPM}, law)).flows == pytest.approx(theirs, rel=5e-3)


# Closed forms: series dP = sum k Q^2; parallel Q_i/Q = k_i^(-1/2)/sum k_j^(-1/2). Exact.


def _psi(k: float) -> Resistance:
    """dP = k Q^2 in psi and gpm."""
    return Resistance(quadratic=k * PSI / GPM**2)


@pytest.mark.parametrize(
    ("coefficients", "gpm", "flows", "loss"),
    [
        ((0.04, 0.09), 12.0, (7.2, 4.8), 2.0736),
        ((0.04, 0.09, 0.16), 13.0, (6.0, 4.0, 3.0), 1.44),
        ((0.04, 0.04), 12.0, (6.0, 6.0), 1.44),
        ((0.04,), 12.0, (12.0,), 5.76),
    ],
)
def test_lanes_side_by_side(coefficients: tuple[float, ...], gpm: float, flows: tuple[float, ...], loss: float) -> None:
    network = Network()
    for i, k in enumerate(coefficients):
        network.link(i, "A", "B", _psi(k))
    network.fix("A", 0.0)
    network.draw("B", gpm * GPM)
    solved = solve(network)
    assert [solved.flows[i] / GPM for i in range(len(flows))] == pytest.approx(flows, rel=1e-9)
    assert -solved.heads["B"] / PSI == pytest.approx(loss, rel=1e-9)


def _points(k: float, *gpm: float) -> Resistance:
    """A maker's curve of k psi/gpm2, known at these flows alone."""
    return Resistance(curve=tuple((q * GPM, k * q * q * PSI) for q in gpm))


def test_lanes_side_by_side_between_points_of_their_curves() -> None:
    """The first case again from two points a lane, 5 and 10 gpm, the answer between them (closed form, computed)."""
    lanes = {"a": _points(0.04, 5.0, 10.0), "b": _points(0.09, 3.0, 10.0)}
    network = Network(fixed={"A": 0.0}, draws={"B": 12.0 * GPM})
    for key, lane in lanes.items():
        network.link(key, "A", "B", lane)
    flows = solve(network).flows
    assert [flows[key] / GPM for key in "ab"] == pytest.approx([7.2, 4.8], rel=1e-9)
    assert [lane.loss(flows[key]) / PSI for key, lane in lanes.items()] == pytest.approx([2.0736, 2.0736], rel=1e-9)


@pytest.mark.parametrize(("gpm", "psi"), [(2.5, 0.5), (5.0, 2.0), (7.5, 3.25), (10.0, 5.0), (12.5, 7.25)])
def test_loss_between_two_points_of_a_curve(gpm: float, psi: float) -> None:
    """2 psi at 5 and 5 psi at 10 gpm, joined in the square of flow (Crane TP 410, from memory): by hand 1 + 0.04 Q^2, 0.08 Q^2 below 5."""
    element = Resistance(curve=((5.0 * GPM, 2.0 * PSI), (10.0 * GPM, 5.0 * PSI)))
    assert element.loss(gpm * GPM) / PSI == pytest.approx(psi, rel=1e-9)


@pytest.mark.parametrize(("gpm", "psi"), [(10.0, 24.7222), (7.0, 12.1139)])
def test_devices_in_a_row_by_their_rated_points(gpm: float, psi: float) -> None:
    """0.02 psi/gpm2 of pipe, 15 psi at 12, 8 at 10, 3 at 12, 5 at 15 gpm, all with the square of flow."""
    network = Network()
    for i, k in enumerate((0.02, 15 / 144, 8 / 100, 3 / 144, 5 / 225)):
        network.link(i, i, i + 1, _psi(k))
    network.fix(0, 0.0)
    network.draw(5, gpm * GPM)
    solved = solve(network)
    assert -solved.heads[5] / PSI == pytest.approx(psi, rel=1e-4)
    shares = [(solved.heads[i] - solved.heads[i + 1]) / -solved.heads[5] for i in range(5)]
    assert max(shares) == pytest.approx(0.421, abs=1e-3)


def test_devices_in_a_row_between_two_pressures() -> None:
    """The same row passes 10.056 gpm for 25 psi."""
    network = Network()
    for i, k in enumerate((0.02, 15 / 144, 8 / 100, 3 / 144, 5 / 225)):
        network.link(i, i, i + 1, _psi(k))
    network.fix(0, 25.0 * PSI)
    network.fix(5, 0.0)
    assert solve(network).flows[0] / GPM == pytest.approx(10.056, rel=1e-4)


def test_blend_by_a_bypass_valve() -> None:
    """25 raw, 0.5 treated, 5 wanted, 12 gpm, train 0.04 psi/gpm2: x 0.18367, 2.204 gpm, valve 0.7901 psi/gpm2, 3.838 psi (algebra)."""
    share = (5.0 - 0.5) / (25.0 - 0.5)
    assert share == pytest.approx(0.18367, abs=1e-5)
    zone, work = _zone(("supply", "train"), ("supply", "bypass"), ("train", "house"), ("bypass", "house"))
    work = replace(work, clean={"train": _psi(0.04)}, shares={"bypass": share})
    demands = {"house": 12.0 * GPM}
    set_valves(zone, work, demands)
    valve, through = work.valves["bypass"], node_flows(zone, distribute(zone, work, demands))
    assert valve.quadratic * GPM**2 / PSI == pytest.approx(0.7901, rel=1e-4)
    assert through["bypass"] / GPM == pytest.approx(2.204, abs=1e-3)
    assert valve.loss(through["bypass"]) / PSI == pytest.approx(3.838, abs=1e-3)


def _zone(*links: tuple[str, str]) -> tuple[Zone, Pipework]:
    """A train without breaks and with pipes that lose next to nothing, as the program solves it."""
    graph = nx.DiGraph(links)
    (zone,) = cut_zones(graph, list(nx.topological_sort(graph)), (), ())
    return zone, Pipework(dict.fromkeys(links, Resistance(quadratic=1.0)), {}, {}, {}, {}, {}, {}, RHO)


# Lines between pressures: two or three independent solvers agree (computed).


def test_three_lanes_by_darcy_weisbach() -> None:
    """60 to 30 psi, 15 C, eps 1.5e-6 m: scipy's figures."""
    solved = solve(ours(branches(1.5e-6), _HEADS | {"O": 30.0 * PSI}, {}, "D-W"))
    assert solved.flows["in"] / GPM == pytest.approx(22.8476, rel=1e-3)
    assert [solved.flows[key] / GPM for key in ("b1", "b2", "b3")] == pytest.approx([9.0433, 7.4256, 6.3786], rel=1e-3)
    heads = [solved.heads[node] / PSI for node in "SABO"]
    assert [a - b for a, b in zip(heads, heads[1:], strict=False)] == pytest.approx([6.609, 5.186, 18.205], rel=1e-3)


def test_three_lanes_by_hazen_williams() -> None:
    """C 140: scipy 21.937, WNTR 21.938, EPANET 21.941 gpm."""
    solved = solve(ours(branches(140.0), _HEADS | {"O": 30.0 * PSI}, {}))
    assert solved.flows["in"] / GPM == pytest.approx(21.937, rel=1e-3)


def _valve_line() -> Network:
    """60 psi, 40 ft of 1.025 in C 140 K 5, the element "x" between A and B, 10 ft of 0.545 in C 140 K 2, open end."""
    network = ours((imperial("a", "S", "A", 40.0, 1.025, 5.0, 140.0), imperial("b", "B", "O", 10.0, 0.545, 2.0, 140.0)), _HEADS, {})
    network.fix("O", 0.0)
    return network


def test_flow_control_in_a_line() -> None:
    """5.000 gpm with 57.08 psi across it: EPANET = WNTR (flow control valve)."""
    network = _valve_line()
    network.link("x", "A", "B", FlowControl(5.0 * GPM))
    solved = solve(network)
    assert solved.flows["x"] / GPM == pytest.approx(5.0, rel=1e-3)
    assert (solved.heads["A"] - solved.heads["B"]) / PSI == pytest.approx(57.08, rel=1e-3)


def test_pressure_regulator_in_a_line() -> None:
    """Set to 30 psi, 18.753 gpm: EPANET = WNTR (pressure reducing valve)."""
    zone, work = _zone(("supply", "x"), ("x", "house"))
    before, behind = (link.element for link in _valve_line().links)
    work = replace(work, pipes={("supply", "x"): before, ("x", "house"): behind}, holds={"x": 30.0 * PSI})

    def left(flow: float) -> float:
        return propagate(zone, work, distribute(zone, work, {"house": flow}), 60.0 * PSI, dirty=False).inlet["house"]

    assert greatest_flow(left, 40.0 * GPM) / GPM == pytest.approx(18.753, rel=1e-3)
    state = propagate(zone, work, distribute(zone, work, {"house": 18.753 * GPM}), 60.0 * PSI, dirty=False)
    assert state.inlet["x"] > state.outlet["x"] == 30.0 * PSI


def test_throttled_valve_in_a_line() -> None:
    """K 200 on 1.025 in, 13.960 gpm: EPANET and WNTR (throttle control valve); 0.15 %, as EPANET rounds its minor-loss constant."""
    network = _valve_line()
    network.link("x", "A", "B", HazenWilliams(0.0, 1.025 * INCH, 140.0, 200.0))
    assert solve(network).flows["x"] / GPM == pytest.approx(13.960, rel=1.5e-3)


def test_device_with_a_linear_and_a_square_part_in_a_line() -> None:
    """0.25 Q + 0.03 Q2 psi, 20.504 gpm by scipy, 20.505 by EPANET (general purpose valve); 0.15 %, as both round psi per foot."""
    network = _valve_line()
    network.link("x", "A", "B", Resistance(0.25 * PSI / GPM, 0.03 * PSI / GPM**2))
    assert solve(network).flows["x"] / GPM == pytest.approx(20.504, rel=1.5e-3)


def test_pump_lifting_through_a_line() -> None:
    """EPANET's one-point pump of 10 gpm at 180 ft (H = 240 - 0.6 Q2 ft), 60 ft up, 100 ft of 1.049 in C 140 K 5, 50 psi delivered:
    9.7909 gpm and 53.05 psi behind the lift: scipy = EPANET = WNTR."""
    points = tuple((q * GPM, (240.0 - 0.6 * q * q) * FOOT * METRE) for q in [0.25 * i for i in range(79)])
    pump = Well(points, control="constant", set_pressure=300.0 * PSI)
    line, lift = HazenWilliams(100.0 * FOOT, 1.049 * INCH, 140.0, 5.0), 60.0 * FOOT * METRE
    flow = greatest_flow(lambda q: pump.running(q) - lift - line.loss(q) - 50.0 * PSI, pump.max_flow)
    assert flow / GPM == pytest.approx(9.7909, rel=5e-4)
    assert (pump.running(flow) - lift) / PSI == pytest.approx(53.05, rel=5e-4)


def test_square_loss_scales_with_the_root_of_pressure() -> None:
    """Torricelli: four times the pressure, twice the flow."""
    flows = []
    for psi in (10.0, 40.0):
        network = Network()
        network.link("x", "A", "B", _psi(0.1))
        network.fix("A", psi * PSI)
        network.fix("B", 0.0)
        flows.append(solve(network).flows["x"])
    assert flows[1] / flows[0] == pytest.approx(2.0, rel=1e-9)
    assert flows[0] / GPM == pytest.approx(math.sqrt(100.0), rel=1e-9)
