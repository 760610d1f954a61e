"""Plain pipe beside a stage, which nothing holds to a share: most of the water goes round it: `blend`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import networkx as nx

from trainapp.checks.context import Context
from trainapp.checks.finding import Amount, Finding
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation

#: What may stand beside plain pipe: it treats nothing, holds its own share, or has a finding of its own for it.
_NOT_PASSED = ("junction", "bypass", "disinfection")


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each way of pipes and tees alone that parts ahead of stages and meets their water behind them."""
    for first, last, share in _ways(evaluation, context):
        beside = _beside(context, first, last)
        if beside:
            names = context.names(beside)
            told = context.show(share, "fraction")
            yield Finding(
                "blend", "caution", beside[0], f"Water goes round {names}",
                f"{told} of the water takes plain pipe round {names} at the peak, and nothing holds it to a share: take that pipe out, or "
                "put a bypass with a valve in its place.",
                value=Amount.of(share, "fraction"), source="common-practice", status="common practice", also_at=tuple(beside[1:]),
                cause=f"open-way:{beside[0]}",
            )  # fmt: skip


def _ways(evaluation: Evaluation, context: Context) -> Iterator[tuple[str, str, float]]:
    """Where such pipe may part and end, and its share of the flow that parts at the peak."""
    graph, joints = context.plan.graph, frozenset(context.having("junction"))
    for first in graph.nodes:
        parts = {to: float(evaluation.links[first, to].flow[PEAK]) for to in graph.successors(first) if (first, to) in evaluation.links}
        whole = sum(flow for flow in parts.values() if flow > 0.0)
        for to, flow in parts.items() if len(parts) > 1 else ():
            last = to
            while last in joints and graph.in_degree(last) == graph.out_degree(last) == 1:
                last = next(iter(graph.successors(last)))
            if flow > 0.0 and graph.in_degree(last) > 1:
                yield first, last, flow / whole


def _beside(context: Context, first: str, last: str) -> list[str]:
    """Stages on the other ways from one to the other, in flow order."""
    graph = context.plan.graph
    between = nx.descendants(graph, first) & nx.ancestors(graph, last)
    passed = {stage for tag in _NOT_PASSED for stage in context.having(tag)}
    return [stage for stage in context.stages if stage in between and stage not in passed]
