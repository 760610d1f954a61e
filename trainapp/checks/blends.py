"""A bypass held to its share: a valve that cannot take it, and a blend that is another when less is drawn: `blend`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from trainapp.checks.context import Context, start
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import amount, rule
from trainapp.stages.working import FLOWS, PEAK, Array
from trainapp.train.evaluation import Evaluation

#: A part of a share within which it counts as taken.
_SLACK = 0.02
_WHEN = {"trickle": "when little is drawn", "average": "at the day's average flow"}


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each open bypass that has another way beside it."""
    for valve in context.having("bypass"):
        if valve in context.plan.shut:
            continue
        share = share_of(evaluation, context, valve)
        if share is not None:
            yield from _taken(context, valve, float(share[PEAK]))
            yield from _blended(evaluation, context, valve)


def share_of(evaluation: Evaluation, context: Context, valve: str) -> Array | None:
    """The share of its split that goes by a bypass at trickle, average and peak, shape (3,); None where there is no other way."""
    node, into = valve, evaluation.stages[valve].flow
    while feeders := [s for s in context.plan.graph.predecessors(node) if (s, node) in evaluation.links]:
        if len(feeders) > 1:
            return None
        node = feeders[0]
        lanes = [link.flow for (source, _), link in evaluation.links.items() if source == node]
        if len(lanes) > 1:
            return np.asarray(into / np.maximum(sum(lanes, np.zeros(3)), 1e-12))
    return None


def _taken(context: Context, valve: str, share: float) -> Iterator[Finding]:
    wanted = float(context.setting(valve, "share"))
    if share < wanted * (1.0 - _SLACK):
        name = context.name(valve)
        yield Finding(
            "blend", "caution", valve, f"{start(name)} does not take its share",
            f"{start(name)} is set to {context.show(wanted, 'fraction')} of the peak and takes {context.show(share, 'fraction')} "
            "with its valve wide open: the rest goes through what stands beside it.",
            value=Amount.of(share, "fraction"), limit=Amount.of(wanted, "fraction"), source="document", status="computed",
            cause=f"blend-share:{valve}",
        )  # fmt: skip


def _blended(evaluation: Evaluation, context: Context, valve: str) -> Iterator[Finding]:
    """Hardness that is far from the peak's when less is drawn. What breaks a limit then is told by the limit."""
    accuracy, hard = amount("model_accuracy"), rule("hard_water")
    for end in context.ends:
        water = evaluation.points[end].water
        if valve not in context.before(end) or not water.is_known("hardness")[0]:
            continue
        blend = water.high("hardness")[:, 0]
        worst = int(np.nanargmax(blend[:PEAK]))
        if blend[worst] > max(hard.value, float(blend[PEAK]) * (1.0 + accuracy)):
            place, (then, peak) = context.name(end), (float(blend[i]) for i in (worst, PEAK))
            shown = context.show_against(then, peak, "hardness")
            yield Finding(
                "blend", "caution", end, f"The blend at {place} changes with the flow",
                f"At the peak {place} gets {context.show(peak, 'hardness')} of hardness, {_WHEN[FLOWS[worst]]} {shown}: "
                f"{context.name(valve)} is set at the peak, and the less is drawn the more of the water goes by it; "
                "a valve that mixes in proportion holds the blend.",
                "hardness", Amount.of(then, "hardness"), Amount.of(hard.value, "hardness"), hard.source, hard.status,
                also_at=(valve,), cause=f"blend:{valve}",
            )  # fmt: skip
