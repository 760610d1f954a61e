"""Flow through a stage against what it is made for: `over-rating`. At a UV chamber flow is judged with its rating (`outside-rating`)."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.checks.context import Context
from trainapp.checks.finding import Amount, Finding
from trainapp.stages.base import Rating, Severity
from trainapp.stages.working import AVERAGE, PEAK
from trainapp.train.evaluation import Evaluation, StageResult

_SLACK = 1 + 1e-6


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each stage but the chambers: continuous flow over the service rating, peak over the peak rating."""
    for stage, result in evaluation.stages.items():
        if "disinfection" not in context.tags(stage):
            found = _judge(context, stage, result, context.ratings[stage])
            if found is not None:
                yield found


def _judge(context: Context, stage: str, result: StageResult, rating: Rating) -> Finding | None:
    units = result.stage.count
    average, peak = (float(result.flow[i]) / units for i in (AVERAGE, PEAK))
    service, top = rating.service, rating.peak if rating.peak is not None else rating.service
    hard: Severity = "fail" if rating.is_device_rating else "caution"
    if top is not None and peak > top * _SLACK:
        return _finding(context, stage, hard, peak, top, rating, "at the peak", "it is made for at most")
    if service is not None and average > service * _SLACK:
        return _finding(context, stage, "caution", average, service, rating, "all day", "it is made to give all day")
    if service is not None and peak > service * _SLACK:
        return _finding(context, stage, "note", peak, service, rating, "at the peak", "for more than ten minutes it is made for")
    return None


def _finding(context: Context, stage: str, severity: Severity, flow: float, limit: float, rating: Rating, when: str, made: str) -> Finding:
    each = " through each unit" if context.stage(stage).count > 1 else ""
    name = context.name(stage)
    return Finding(
        "over-rating", severity, stage, f"More flow than {name} is made for",
        f"{context.show_against(flow, limit, 'flow')} passes {name}{each} {when}; {made} {context.show(limit, 'flow')}.",
        value=Amount.of(flow, "flow"), limit=Amount.of(limit, "flow"), source="document" if rating.is_device_rating else rating.source,
        status=rating.status, cause=f"over-rating:{context.twin(stage)}",
    )  # fmt: skip
