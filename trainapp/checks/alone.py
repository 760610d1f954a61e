"""Outlets that are drawn at a time of their own: what is left there, and what the stages on the way then carry."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp.checks.context import Context
from trainapp.checks.finding import Amount, Finding
from trainapp.stages.base import Severity
from trainapp.train.evaluation import Evaluation
from trainapp.train.pressure import Triple, gauge


def check(evaluation: Evaluation, context: Context) -> Iterator[Finding]:
    """Pressure at the outlet, and every rating on its way, at its own peak."""
    for outlet, state in evaluation.alone.items():
        yield from _arrival(context, outlet, state)
        for stage in context.stages:
            flow = state.clean.through.get(stage, 0.0)
            if flow > context.peak(stage):
                yield from _rating(context, outlet, stage, flow)


def _arrival(context: Context, outlet: str, state: Triple) -> Iterator[Finding]:
    wanted, peak = context.plan.demands[outlet].pressure, context.plan.demands[outlet].alone
    clean, lowest = gauge(state.clean.outlet[outlet]), gauge(state.lowest.outlet[outlet])
    delivered = state.clean.through[outlet]
    shown = context.show(peak, "flow")
    if clean <= 0.0 or delivered < peak * (1.0 - 1e-3):
        reason = "a flow control on the way holds it back" if clean > 0.0 else "no pressure is left there even with clean filters"
        given = Amount.of(delivered if clean > 0.0 else 0.0, "flow")
        message = f'The outlet "{outlet}" asks for {shown} at a time of its own, and {reason}.'
        title = f'The outlet "{outlet}" runs short'
        yield Finding("flow-short", "fail", outlet, title, message, value=given, limit=Amount.of(peak, "flow"), cause=f"alone:{outlet}")
    elif lowest < wanted:
        left = context.show(lowest, "pressure")
        message = (
            f'At the outlet "{outlet}" {left} is left while it alone draws {shown}, with filters due for service and the supply at its '
            f"lowest; {context.show(wanted, 'pressure')} is wanted."
        )
        severity: Severity = "fail" if clean < wanted else "caution"
        yield Finding(
            "low-pressure", severity, outlet, f'Low pressure at the outlet "{outlet}"', message,
            value=Amount.of(lowest, "pressure"), limit=Amount.of(wanted, "pressure"), cause=f"alone:{outlet}",
        )  # fmt: skip


def _rating(context: Context, outlet: str, stage: str, flow: float) -> Iterator[Finding]:
    """A stage that carries more than its rating while the outlet alone is drawn."""
    one = context.plan.stages[stage]
    rating = one.rating()
    rated = rating.peak or rating.service
    if rated is None or flow <= rated * one.count * (1.0 + 1e-6):
        return
    chamber = "disinfection" in context.tags(stage)
    severity: Severity = "fail" if chamber or rating.is_device_rating else "caution"
    message = (
        f'While the outlet "{outlet}" alone draws its peak, {context.show(flow, "flow")} passes {context.name(stage)}; it is made for at '
        f"most {context.show(rated * one.count, 'flow')}."
    )
    yield Finding(
        "outside-rating" if chamber else "over-rating", severity, stage, f"More flow than {context.name(stage)} is made for", message,
        value=Amount.of(flow, "flow"), limit=Amount.of(rated * one.count, "flow"), source=rating.source, status=rating.status,
        cause=f"alone-rating:{stage}",
    )  # fmt: skip
