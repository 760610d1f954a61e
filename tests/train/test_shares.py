"""Flows as they are shown add up."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.train.shares import shared_out

NODES = ("supply", "a", "b", "c", "d", "house")


def test_lanes_add_up_to_what_divides_between_them() -> None:
    shown = shared_out({("supply", "a"): 7.5, ("a", "b"): 3.75, ("a", "c"): 3.75, ("b", "house"): 3.75, ("c", "house"): 3.75}, 0.1)
    assert {link: round(flow, 6) for link, flow in shown.items()} == {
        ("supply", "a"): 7.5, ("a", "b"): 3.8, ("a", "c"): 3.7, ("b", "house"): 3.8, ("c", "house"): 3.7,
    }  # fmt: skip


def test_behind_a_tank_the_flow_begins_anew() -> None:
    assert shared_out({("supply", "a"): 3.0, ("a", "house"): 6.94}, 0.1)[("a", "house")] == pytest.approx(6.9)


def test_what_runs_backwards_is_what_it_is() -> None:
    shown = shared_out({("supply", "a"): 5.0, ("a", "b"): 5.55, ("a", "c"): -0.55}, 0.1)
    assert shown[("a", "c")] == pytest.approx(-0.55, abs=0.051) and shown[("a", "b")] == pytest.approx(5.55, abs=0.051)


@given(st.data())
def test_what_leaves_a_point_is_what_enters_it(data: st.DataObject) -> None:
    """Any network: at each point the shown flows balance where the true ones do, and none is two steps off for each that divides."""
    flows: dict[tuple[str, str], float] = {}
    standing = {"supply": data.draw(st.floats(0.2, 30.0))}
    for i, node in enumerate(NODES[:-1]):
        amount = standing.pop(node, 0.0)
        targets = data.draw(st.lists(st.sampled_from(NODES[i + 1 :]), unique=True, min_size=1))
        for target in targets if amount > 0 else ():
            flows[node, target] = amount / len(targets)
            standing[target] = standing.get(target, 0.0) + amount / len(targets)
    shown = shared_out(flows, 0.1)
    for node in NODES[1:-1]:
        entering = sum(flow for (_, target), flow in shown.items() if target == node)
        leaving = sum(flow for (source, _), flow in shown.items() if source == node)
        assert entering == pytest.approx(leaving, abs=1e-9)
    assert sum(flow for (source, _), flow in shown.items() if source == "supply") == pytest.approx(
        sum(flow for (_, target), flow in shown.items() if target == "house")
    )
    assert all(flow >= -1e-9 and abs(flow - flows[link]) < 0.1 * len(NODES) for link, flow in shown.items())
