"""Stages that do nothing for this water: `no-effect`, where the stage does not say it itself."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from trainapp.checks.context import Context, start
from trainapp.checks.finding import Finding
from trainapp.train.evaluation import Evaluation, StageResult

#: Stages that are not there to change the water.
_PLUMBING = frozenset({"disinfection", "flow_control", "bypass", "junction", "regulator", "storage", "declared"})
_LEAST = 0.02  # a change of this share of any measured row counts as an effect


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each stage of treatment whose water leaves as it came, at every flow."""
    for stage, result in evaluation.stages.items():
        if context.tags(stage) & _PLUMBING or any(r.code == "no-effect" for r in result.remarks) or _changes(result):
            continue
        yield Finding(
            "no-effect", "note", stage, f"{start(context.name(stage))} does nothing for this water",
            f"The water leaves {context.name(stage)} as it came, as far as it was measured.", source="computed", status="computed",
            cause=f"no-effect:{context.twin(stage)}",
        )  # fmt: skip


def _changes(result: StageResult) -> bool:
    before, after = result.inlet.values[..., 0], result.outlet.values[..., 0]
    if before.shape != after.shape:
        return True
    with np.errstate(invalid="ignore"):
        moved = np.abs(after - before) > _LEAST * np.maximum(np.abs(before), 1e-6)
    return bool(moved.any())
