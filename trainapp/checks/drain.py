"""Where cleaning water goes: `drain`, and what its lift and pipe take from the wash (`backwash-short`)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from trainapp.checks.context import Context, start
from trainapp.checks.finding import Amount, Finding
from trainapp.hydraulics.pipes import PipeError, pipe_run
from trainapp.train.capacity import backwash_flow
from trainapp.train.evaluation import Evaluation

_WEIGHT = 9806.65  # Pa for each metre of lift
_DRAIN_PIPE = "pvc_40"


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """One note for all that drains, then what a place or a climb makes of it."""
    cleanings = {stage: result.cleaning for stage, result in evaluation.stages.items() if result.cleaning is not None}
    washers = list(cleanings)
    if washers:
        ends = f"drains of {context.names(washers)} end" if len(washers) > 1 else f"drain of {context.names(washers)} ends"
        brine = "; some places forbid brine: ask the local authority" if any(c.salt > 0 for c in cleanings.values()) else ""
        yield Finding(
            "drain", "note", washers[0], "Cleaning water leaves through an air gap",
            f"The {ends} above the rim of what the water runs into, never in it{brine}.",
            source="nspc-10.18", status="published", also_at=tuple(washers[1:]), cause="drain:air-gap",
        )  # fmt: skip
    for stage in washers:
        yield from _place(context, stage)
        yield from _climb(context, stage)


def _place(context: Context, stage: str) -> Iterator[Finding]:
    """Septic tanks, and salt on the ground."""
    to = _drain(context, stage).get("to")
    wash = context.stages[stage].cleaning
    if wash is None:
        return
    salty = wash.salt > 0
    if to == "septic" and salty:
        yield Finding(
            "drain", "note", stage, f"{start(context.name(stage))} drains to a septic tank",
            f"Brine of {context.name(stage)} goes to a septic tank: it should regenerate by the water used, not by the clock, "
            "and some places forbid it.",
            source="common-practice", status="secondary", cause=f"drain-place:{context.twin(stage)}",
        )  # fmt: skip
    elif to == "septic":
        yield Finding(
            "drain", "note", stage, f"{start(context.name(stage))} drains to a septic tank",
            f"Each {wash.name} sends {context.show(wash.volume, 'volume')} to a septic tank: ask whether it bears that at once.",
            cause=f"drain-place:{context.twin(stage)}",
        )  # fmt: skip
    elif to in ("dry_well", "ground") and salty:
        yield Finding(
            "drain", "caution", stage, f"Brine of {context.name(stage)} soaks into the ground",
            f"Brine of {context.name(stage)} goes into the ground near a well and comes back in it; many places forbid it.",
            cause=f"drain-place:{context.twin(stage)}",
        )  # fmt: skip


def _climb(context: Context, stage: str) -> Iterator[Finding]:
    """A drain that climbs or is long asks for more pressure at the stage than the wash was judged at."""
    drain, result = _drain(context, stage), context.stages[stage]
    wash, given = result.cleaning, result.backwash_available
    if wash is None or given is None or given < wash.flow * (1 - 1e-3):
        return
    extra = max(float(drain.get("height") or 0.0), 0.0) * _WEIGHT + _pipe_loss(context, drain, wash.flow)
    if extra <= 0:
        return
    left = backwash_flow(context.plan, stage, wash.pressure + extra)
    least = wash.published[0] if wash.published else wash.flow
    if left < wash.flow * (1 - 1e-3):
        yield Finding(
            "backwash-short", "fail" if left < least * (1 - 1e-3) else "caution", stage,
            f"The drain of {context.name(stage)} holds its wash back",
            f"Lift and length of its drain take {context.show(extra, 'pressure')}: {context.name(stage)} asks for "
            f"{context.show(wash.flow, 'flow')} and is left with {context.show_against(left, wash.flow, 'flow')}.",
            value=Amount.of(left, "flow"), limit=Amount.of(min(wash.flow, least), "flow"), source="computed", status="computed",
            cause=f"backwash-short:{context.twin(stage)}",
        )  # fmt: skip


def _pipe_loss(context: Context, drain: dict[str, Any], flow: float) -> float:
    if not drain.get("length") or not drain.get("size"):
        return 0.0
    try:
        return pipe_run(_DRAIN_PIPE, float(drain["size"]), float(drain["length"]), {}, context.plan.cold).loss(flow)
    except PipeError:
        return 0.0


def _drain(context: Context, stage: str) -> dict[str, Any]:
    return context.setting(stage, "drain") or {}
