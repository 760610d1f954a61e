"""What makes links a train: order, live nodes, what stands loose."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainapp.train.document import Document, DocumentError, flow_order, graph

from .conftest import FARM


def with_links(*pairs: tuple[str, str]) -> Document:
    return Document.of({**FARM, "links": [{"from": a, "to": b} for a, b in pairs]})


def test_flow_order_of_the_farm(farm: Document) -> None:
    net = graph(farm)
    assert flow_order(net) == ("supply", "screen", "iron", "softener", "fine", "uv", "house", "garden")
    assert net.nodes["uv"]["entry"].kind == "uv_chamber" and net.nodes["garden"]["role"] == "end"
    assert net.edges["uv", "house"]["pipe"][0].word("material") == "pex"


def test_loose_stages_and_unfed_outlets_are_kept_and_said() -> None:
    document = with_links(("supply", "iron"), ("iron", "house"), ("screen", "softener"), ("iron", "fine"), ("uv", "house"))
    said = {report.place: report.message for report in document.reports}
    assert set(said) == {"stages.screen", "stages.softener", "stages.fine", "stages.uv", "outlets.garden"}
    assert "no pipe leads out of it" in said["stages.fine"] and "no pipe leads into it" in said["stages.uv"]
    assert flow_order(graph(document)) == ("supply", "iron", "house")
    alone = with_links(("supply", "house"), ("supply", "garden"))
    assert all("stands loose" in report.message for report in alone.reports) and len(alone.reports) == 5


def test_a_sample_at_a_stage_that_is_gone_is_kept_and_said(changed: Any) -> None:
    document = changed(
        ("samples", "+"), {"id": "after", "at": "filter"}, ("accepted",), [{"code": "velocity", "stage": "gone", "reason": "old"}]
    )
    assert {(r.code, r.place) for r in document.reports} == {("gone", "samples.after.at"), ("gone", "accepted.#1.stage")}
    with pytest.raises(DocumentError, match='design_sample: "after" was not taken at the supply'):
        changed(("samples", "+"), {"id": "after", "at": "uv"}, ("design_sample",), "after")


def test_a_circle_is_named() -> None:
    with pytest.raises(DocumentError, match="circle through") as caught:
        with_links(("supply", "iron"), ("iron", "fine"), ("fine", "uv"), ("uv", "iron"), ("uv", "house"))
    assert all(node in str(caught.value) for node in ("iron", "fine", "uv"))


@given(st.permutations(range(len(FARM["links"]))))
def test_order_of_links_does_not_change_the_order_of_flow(order: list[int]) -> None:
    document = Document.of({**FARM, "links": [FARM["links"][i] for i in order]})
    assert flow_order(graph(document)) == ("supply", "screen", "iron", "softener", "fine", "uv", "house", "garden")


@given(st.sets(st.tuples(st.integers(0, 4), st.integers(0, 4)).filter(lambda p: p[0] < p[1]), max_size=8))
def test_every_live_node_stands_after_what_feeds_it(pairs: set[tuple[int, int]]) -> None:
    names = [stage["id"] for stage in FARM["stages"]]
    links = [("supply", names[0]), (names[4], "house"), ("supply", "house"), *((names[a], names[b]) for a, b in sorted(pairs))]
    net = graph(with_links(*links))
    order = flow_order(net)
    assert order[0] == "supply" and order[-1] == "house" and len(set(order)) == len(order)
    for source, target in net.edges:
        if source in order and target in order:
            assert order.index(source) < order.index(target)
