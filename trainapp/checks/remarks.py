"""What the stages say of themselves in this duty, as findings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import isfinite, isinf
from typing import TypeGuard

from trainapp.checks.assumed import said_for_sure
from trainapp.checks.context import Context
from trainapp.checks.finding import Amount, Finding
from trainapp.spelling import inside
from trainapp.stages.base import Remark
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY

#: What a softener asks for, and what it asks for where an iron filter stands ahead already.
_FILTER_AHEAD = (
    ("an iron filter ahead of the softener keeps it clean", "the iron filter ahead has to leave less"),
    ("it needs an iron filter ahead of it", "the iron filter ahead has to leave less"),
)


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Every remark of every stage, as far as it does not rest on what nobody measured."""
    for stage, result in evaluation.stages.items():
        open_ended = [a for a in result.stage.spec.needs if a in context.plan.raw.sheet and isinf(context.plan.raw.sheet[a].high)]
        for remark in said_for_sure(context, stage):
            found = finding_of(context, stage, remark)
            rests = [a for a in open_ended if found.analyte in (a, "")]
            yield _on_an_open_end(found, rests) if rests and found.severity == "fail" else found


def _on_an_open_end(finding: Finding, analytes: list[str]) -> Finding:
    """A fail that may rest on how far over the laboratory's range a result was taken to be is too close to call, and names no number."""
    names = ", ".join(inside(BY_KEY[analyte].label) for analyte in analytes)
    message = f"{finding.message.split(' (')[0].rstrip('.')}. That rests on {names}, which is only known to be over the range of the test."
    return replace(finding, severity="caution", message=message, value=None)


def finding_of(context: Context, stage: str, remark: Remark) -> Finding:
    """A remark as a finding; what twins in parallel lanes say alike becomes one."""
    # what the chamber says of the light and what a guide says of it are one
    whole = "" if remark.analyte == "uvt" and remark.code == "outside-rating" else f":{remark.title}"
    value, limit = (Amount.of(n, remark.dimension, remark.unit) if _is_number(n) else None for n in (remark.value, remark.limit))
    message = _with_numbers(context, remark)
    if remark.code == "iron-on-resin" and any(s in context.before(stage) for s in context.having("iron_removal")):
        for alone, beside in _FILTER_AHEAD:
            message = message.replace(alone, beside)
    return Finding(
        remark.code, remark.severity, stage, remark.title, message, remark.analyte, value, limit, remark.source,
        remark.status, cause=remark.cause or f"{remark.code}:{context.twin(stage)}:{remark.analyte}{whole}",
        cautions=remark.cautions,
    )  # fmt: skip


def _is_number(value: float | None) -> TypeGuard[float]:
    """Whether there is a number to show: what a stage could not know, or what nothing bounds, is none."""
    return value is not None and isfinite(value)


def _with_numbers(context: Context, remark: Remark) -> str:
    """The sentence with its value and limit in the units of the report, where it names no number itself."""
    if not (_is_number(remark.value) and _is_number(remark.limit)) or any(c.isdigit() for c in remark.message):
        return remark.message
    if remark.dimension == "none":
        value, limit = (f"{n:g} {remark.unit}".rstrip() for n in (remark.value, remark.limit))
    else:
        value = context.show_against(remark.value, remark.limit, remark.dimension, remark.analyte)
        limit = context.show(remark.limit, remark.dimension, remark.analyte)
    return f"{remark.message.rstrip('.')} ({value}; limit {limit})."
