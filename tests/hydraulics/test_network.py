"""Networks: what flows in flows out, lanes lose alike, whatever the shape; and what has no solution says so."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.hydraulics.networks import branches, ours, series
from trainapp.hydraulics.constants import GPM, INCH, PSI
from trainapp.hydraulics.elements import Element, Resistance
from trainapp.hydraulics.limiter import FlowControl
from trainapp.hydraulics.network import Network, NetworkError, Solution, solve
from trainapp.hydraulics.pipes import PipeRun

DEVICE = Resistance(quadratic=0.05 * PSI / GPM**2)


def _element(pick: random.Random, limits: bool) -> Element:
    kind = pick.random()
    if kind < 0.6 or not limits and kind > 0.8:
        bore = pick.choice([0.5, 0.785, 1.025, 1.5]) * INCH
        return PipeRun(bore, pick.choice([0.1, 1.0, 30.0]), pick.choice([0.0, 1.5e-4]), pick.choice([0.0, 3.0, 300.0]))
    if kind < 0.8:
        return Resistance(pick.uniform(0.0, 1e8), pick.uniform(1e8, 1e12))
    return FlowControl(pick.uniform(1.0, 20.0) * GPM)


def _random_network(seed: int) -> tuple[Network, int]:
    """A tree with a few links more; given heads at one or two nodes, draws or outlets at others, constant drops here and there."""
    pick = random.Random(seed)
    count, network = pick.randint(2, 10), Network()
    drawn = pick.random() < 0.5
    ends = [(pick.randrange(i), i) for i in range(1, count)]
    ends += [pair for _ in range(pick.randint(0, 5)) if (pair := (pick.randrange(count), pick.randrange(count)))[0] != pair[1]]
    for key, (start, end) in enumerate(ends):
        network.link(key, start, end, _element(pick, limits=not drawn), pick.choice([0.0, 0.0, 2e4, -1e4]))
    network.fix(0, pick.uniform(1e5, 5e5))
    if pick.random() < 0.5:
        network.fix(count - 1, pick.uniform(0.0, 2e5))
    for node in range(1, count):
        if pick.random() < 0.3:
            (network.draw if drawn else network.outlet)(node, pick.uniform(0.1, 10.0) * GPM)
    return network, count


def _imbalance(network: Network, solved: Solution, node: object) -> float:
    through = sum(solved.flows[link.key] * ((link.start == node) - (link.end == node)) for link in network.links)
    return through + network.draws.get(node, 0.0) + solved.delivered.get(node, 0.0)


@settings(max_examples=200)
@given(st.integers(0, 10**9))
def test_flow_is_kept_and_heads_explain_it(seed: int) -> None:
    network, count = _random_network(seed)
    solved = solve(network)
    size = max(map(abs, solved.flows.values()))
    for node in set(range(count)) - network.fixed.keys() - network.outlets.keys():
        assert abs(_imbalance(network, solved, node)) <= 1e-9 * size
    for node in network.outlets.keys() - network.fixed.keys():
        # An outlet at its full draw is given to one part in a million; see SOFTNESS.
        assert abs(_imbalance(network, solved, node)) <= 1e-5 * network.outlets[node].nominal
    for link in network.links:
        fall = solved.heads[link.start] - solved.heads[link.end] - link.drop
        assert fall == pytest.approx(link.element.loss(solved.flows[link.key]), abs=1e-3)


@given(st.integers(0, 10**9))
def test_a_solution_does_not_depend_on_how_it_is_written(seed: int) -> None:
    network, _ = _random_network(seed)
    solved = solve(network)
    shuffled = Network(fixed=network.fixed, draws=network.draws, outlets=network.outlets)
    pick = random.Random(seed)
    turned = {link.key for link in network.links if pick.random() < 0.5}
    for link in pick.sample(network.links, len(network.links)):
        if link.key in turned:
            shuffled.link(link.key, link.end, link.start, link.element, -link.drop)
        else:
            shuffled.link(link.key, link.start, link.end, link.element, link.drop)
    again = solve(shuffled)
    size = max(map(abs, solved.flows.values()))
    for key, flow in solved.flows.items():
        assert again.flows[key] == pytest.approx(-flow if key in turned else flow, abs=1e-7 * size)


@given(st.lists(st.floats(0.005, 0.5), min_size=2, max_size=5), st.floats(0.2, 20.0))
def test_lanes_side_by_side_lose_alike(coefficients: list[float], gpm: float) -> None:
    lanes = {i: Resistance(1e6 * (i + 1), k * PSI / GPM**2) for i, k in enumerate(coefficients)}
    network = Network(fixed={"in": 0.0}, draws={"out": gpm * GPM})
    for i, lane in lanes.items():
        network.link(i, "in", "out", lane)
    flows = solve(network).flows
    assert sum(flows.values()) == pytest.approx(gpm * GPM, rel=1e-9)
    losses = [lane.loss(flows[i]) for i, lane in lanes.items()]
    assert losses == pytest.approx([losses[0]] * len(losses), rel=1e-8)


def test_a_tree_carries_exactly_what_is_drawn() -> None:
    network = ours(series(1.5e-6), {"S": 60.0 * PSI}, {"n12": 7.0 * GPM, "n5": 2.0 * GPM}, "D-W")
    flows = solve(network).flows
    assert [flows[f"p{i}"] / GPM for i in range(12)] == pytest.approx([9.0] * 5 + [7.0] * 7, rel=1e-12)


def test_a_large_grid() -> None:
    """7 x 7 nodes, more unknown heads than plain elimination takes; symmetric about its diagonal."""
    network = Network()
    for i in range(7):
        for j in range(7):
            if i < 6:
                network.link((i, j, "down"), (i, j), (i + 1, j), PipeRun(0.02, 5.0, 1e-5))
            if j < 6:
                network.link((i, j, "right"), (i, j), (i, j + 1), PipeRun(0.02, 5.0, 1e-5))
    network.fix((0, 0), 4e5)
    network.draw((6, 6), 5e-4)
    solved = solve(network)
    assert solved.heads[3, 1] == pytest.approx(solved.heads[1, 3], rel=1e-9)
    assert solved.flows[0, 0, "down"] == pytest.approx(2.5e-4, rel=1e-9)
    assert solved.flows[5, 6, "down"] == pytest.approx(2.5e-4, rel=1e-9)


def test_no_draw_no_flow() -> None:
    solved = solve(ours(branches(1.5e-6), {"S": 3e5}, {}, "D-W"))
    assert max(map(abs, solved.flows.values())) < 1e-12
    assert solved.heads["O"] == pytest.approx(3e5, abs=1e-6)


def test_a_constant_drop_is_taken_at_any_flow() -> None:
    network = Network()
    network.link("up", "S", "H", DEVICE, drop=1e5)
    network.fix("S", 3e5)
    assert solve(network).heads["H"] == pytest.approx(2e5, abs=1e-6)
    network.draw("H", 4.0 * GPM)
    assert solve(network).heads["H"] == pytest.approx(2e5 - DEVICE.loss(4.0 * GPM))


def test_a_bridge_may_flow_backwards() -> None:
    network = Network(fixed={"S": 0.0}, draws={"A": 5.0 * GPM, "B": 1.0 * GPM})
    for key, start, end, element in (("a", "S", "A", DEVICE), ("b", "S", "B", Resistance(quadratic=1e9)), ("bridge", "A", "B", DEVICE)):
        network.link(key, start, end, element)
    flows = solve(network).flows
    assert flows["bridge"] < 0.0
    assert flows["a"] + flows["b"] == pytest.approx(6.0 * GPM, rel=1e-9)


# Limits -----------------------------------------------------------------------------------------------------------------------


def _limited(*controls: float) -> Network:
    network = Network()
    for i, gpm in enumerate(controls):
        network.link(i, i, i + 1, FlowControl(gpm * GPM))
    network.fix(0, 60.0 * PSI)
    network.fix(len(controls), 0.0)
    return network


def test_the_tightest_of_several_controls_holds() -> None:
    assert solve(_limited(9.0, 5.0, 7.0)).flows[0] / GPM == pytest.approx(5.0, rel=1e-5)


def test_each_lane_keeps_its_own_control() -> None:
    network = Network()
    for i, gpm in enumerate((9.0, 4.0, 6.0)):
        network.link(i, "A", "B", FlowControl(gpm * GPM))
    network.link("in", "S", "A", Resistance(quadratic=1e9))
    network.fix("S", 60.0 * PSI)
    network.fix("B", 0.0)
    solved = solve(network)
    assert [solved.flows[i] / GPM for i in range(3)] == pytest.approx([9.0, 4.0, 6.0], rel=1e-5)


def test_drawing_more_than_a_control_passes_is_refused() -> None:
    network = Network()
    network.link("control", "S", "H", FlowControl(5.0 * GPM))
    network.fix("S", 4e5)
    network.draw("H", 8.0 * GPM)
    with pytest.raises(NetworkError, match="control cannot pass the flow that is drawn through it"):
        solve(network)


def test_an_outlet_takes_what_a_control_passes() -> None:
    network = Network()
    network.link("control", "S", "A", FlowControl(5.0 * GPM))
    network.link("pipe", "A", "H", DEVICE)
    network.fix("S", 4e5)
    network.outlet("H", 8.0 * GPM)
    network.outlet("A", 1.0 * GPM)
    delivered = solve(network).delivered
    assert sum(delivered.values()) == pytest.approx(5.0 * GPM, rel=1e-5)
    assert delivered["A"] <= 1.0 * GPM
    assert delivered["H"] < 5.0 * GPM
    network = Network()
    network.link("pipe", "S", "H", DEVICE)
    network.fix("S", 4e5)
    network.outlet("H", 8.0 * GPM)
    network.outlet("S", 2.0 * GPM)
    assert solve(network).delivered == pytest.approx({"H": 8.0 * GPM, "S": 2.0 * GPM}, rel=1e-9)


def test_an_outlet_above_the_water_gets_nothing() -> None:
    network = Network()
    network.link("rise", "S", "H", DEVICE, drop=2e5)
    network.fix("S", 1e5)
    network.outlet("H", 8.0 * GPM)
    assert solve(network).delivered["H"] == pytest.approx(0.0, abs=1e-12)


# Errors ------------------------------------------------------------------------------------------------------------


def test_what_has_no_solution_says_so() -> None:
    network = Network()
    network.link("pipe", "S", "H", DEVICE)
    with pytest.raises(NetworkError, match="nothing sets the pressure at S"):
        solve(network)
    network.fix("S", 1e5)
    network.link("island", "X", "Y", DEVICE)
    with pytest.raises(NetworkError, match="nothing sets the pressure at X"):
        solve(network)
    with pytest.raises(NetworkError, match="loop leads from S to itself"):
        network.link("loop", "S", "S", DEVICE)
    network.draw("nowhere", 1e-4)
    with pytest.raises(NetworkError, match="no link leads to nowhere"):
        solve(network)


def test_two_pressures_joined_by_nothing_are_refused() -> None:
    network = Network()
    network.link("short", "S", "H", Resistance())
    network.fix("S", 2e5)
    network.fix("H", 1e5)
    with pytest.raises(NetworkError, match="the network of short do not settle"):
        solve(network)
