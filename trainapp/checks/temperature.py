"""Water warmer than common vessels are made for: `inlet-limit` by the warmest water of the year, whatever one sample says."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.checks.context import Context
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import rule
from trainapp.train.evaluation import Evaluation

_VESSELS = ("tank", "cartridge")


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """One finding for all vessels that the warmest water reaches."""
    limit, warm = rule("vessel_temperature"), context.plan.warm
    vessels = [s for s in context.stages if context.figures[s].shape in _VESSELS and not context.stage(s).breaks_pressure]
    if not vessels or warm <= limit.value * (1 + 1e-9):
        return
    names = context.names(vessels)
    yield Finding(
        "inlet-limit", "fail", vessels[0], f"Temperature into {context.name(vessels[0])}",
        f"The warmest water of the year reaches {names} at {context.show_against(warm, limit.value, 'temperature')}; common "
        f"vessels are made for {context.show(limit.value, 'temperature')}: they soften, and burst under pressure.",
        "temperature", Amount.of(warm, "temperature"), Amount.of(limit.value, "temperature"), limit.source, limit.status,
        also_at=tuple(vessels[1:]), cause="temperature:high",
    )  # fmt: skip
