"""Sodium that softeners add where no one measured what the raw water holds: `outlet-goal`, a note; and how much reaches the house."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from trainapp.checks.context import HOUSE, SUPPLY, Context, start
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.limits import WaterLimit
from trainapp.stages.working import AVERAGE, pick
from trainapp.train.arriving import forward
from trainapp.train.evaluation import Evaluation
from trainapp.water.stream import ADVERSE, FAVOURABLE

_SODIUM = "sodium"
#: mg/L below which nothing is added that anyone would tell (common practice, no source).
_TOLD = 1.0


@dataclass(frozen=True, slots=True)
class Reached:
    """Sodium at the house behind a softener: `mg` mg/L, in `shown` as told: "more than 142 mg/L" of unmeasured raw water."""

    mg: float
    shown: str


def guide(context: Context) -> WaterLimit | None:
    """What the limits in force advise of sodium, None where they do not."""
    return next((row for row in context.limits.of(_SODIUM) if row.maximum is not None), None)


def at_house(evaluation: Evaluation, context: Context) -> Reached | None:
    """What reaches the house, None where no softener stands ahead of it or nobody can tell."""
    if not any(stage in context.before(HOUSE) for stage in context.having("softening")):
        return None
    if evaluation.points[SUPPLY].water.is_known(_SODIUM)[0]:
        most = context.readings.most(HOUSE, _SODIUM)
        return Reached(most, context.show(most, "concentration", _SODIUM))
    least = _added(evaluation, context).get(HOUSE, 0.0)
    return Reached(least, f"more than {context.show(least, 'concentration', _SODIUM)}") if least >= _TOLD else None


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """At every drinking end: the water holds at least what the softeners ahead of it add."""
    if evaluation.points[SUPPLY].water.is_known(_SODIUM)[0]:
        return
    added = _added(evaluation, context)
    for end in context.drinking_ends:
        least = added.get(end, 0.0)
        if least < _TOLD or context.tested(end, _SODIUM):
            continue
        softeners = [s for s in context.having("softening") if s in context.before(end) and _gives(context, s) >= _TOLD]
        yield _finding(context, end, softeners, least)


def _finding(context: Context, end: str, softeners: list[str], least: float) -> Finding:
    row = guide(context)
    advice = row.maximum if row is not None else None
    over = row is not None and advice is not None and least > advice
    beyond = f", over the advice of {context.show(advice, 'concentration', _SODIUM)}: {row.reason}" if over and row and advice else ""
    shown = context.show(least, "concentration", _SODIUM)
    return Finding(
        "outlet-goal", "note", end, f"Sodium at {context.name(end)}",
        f"Sodium reaches {context.name(end)} at more than {shown}{beyond}. {start(context.names(softeners))} "
        f"{'adds' if len(softeners) == 1 else 'add'} that much; what the raw water holds was not measured.",
        _SODIUM, Amount(least, None, "concentration"), None if advice is None else Amount.of(advice, "concentration"),
        row.source if row else "stoichiometry", row.status if row else "computed", cause="sodium:high",
    )  # fmt: skip


def _added(evaluation: Evaluation, context: Context) -> dict[str, float]:
    """mg/L of sodium that softeners have added by each node over the day: mixed by flow where lanes meet."""
    added: dict[str, float] = {SUPPLY: 0.0}
    for node in context.plan.order[1:]:
        lanes = [(added.get(s, 0.0), float(forward(evaluation.links[s, node].flow[AVERAGE]))) for s in context.plan.graph.predecessors(node)
                 if (s, node) in evaluation.links]  # fmt: skip
        total = sum(flow for _, flow in lanes)
        mixed = sum(sodium * flow for sodium, flow in lanes) / total if total > 0.0 else 0.0
        added[node] = mixed + (_gives(context, node) if node in evaluation.stages else 0.0)
    return added


def _gives(context: Context, stage: str) -> float:
    """mg/L of sodium that a stage adds over the day, the lower of both readings; 0 where hardness is only assumed."""
    found = context.result(stage, "sodium_added") if context.stages[stage].inlet.is_known("hardness")[0] else None
    return 0.0 if found is None else min(pick(found, "average", reading) for reading in (FAVOURABLE, ADVERSE))
