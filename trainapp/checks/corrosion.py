"""Water that eats copper at the house: `corrosion`. Softening neither causes nor cures it."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.checks.context import HOUSE, Context
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import rule
from trainapp.stages.working import AVERAGE, FLOWS
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import Plan
from trainapp.water.analytes import BY_KEY
from trainapp.water.indices import langelier
from trainapp.water.stream import Stream

_WHEN = {"trickle": ", when little is drawn at night,", "average": ", over the day,", "peak": ", which it has at the peak,"}
#: pH within which the flows bring the same water.
_ALIKE = 0.05
_CALCIUM = BY_KEY["calcium"].molar / BY_KEY["hardness"].molar


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """With copper pipe only: pH first, at the flow that brings it lowest, then the saturation index at its favourable end."""
    if not context.plan.once(_copper):
        return
    water, limit = evaluation.points[HOUSE].water, rule("corrosion_ph")
    ph, flow = _lowest_ph(water)
    if ph is not None and ph < limit.value:
        yield Finding(
            "corrosion", "caution", HOUSE, "The water at the house eats copper",
            f"At pH {context.show_against(ph, limit.value, 'ph')}{flow} water takes copper, and lead from old joints, out of the pipes; "
            f"{limit.value:g} is the least. Softening neither causes nor cures it.",
            "ph", Amount.of(ph, "ph"), Amount.of(limit.value, "ph"), limit.source, limit.status, cause="ph:low",
        )  # fmt: skip
        return
    index, floor = _index(water, _unsoftened(context), context.plan.warm), rule("corrosion_index")
    if index is not None and index < floor.value:
        yield Finding(
            "corrosion", "caution", HOUSE, "The water at the house may eat copper",
            f"Its saturation index is {index:.1f} at the best; below {floor.value:g} no film of scale protects copper. "
            "Softening neither causes nor cures it.",
            value=Amount.of(index, "none"), limit=Amount.of(floor.value, "none"), source=floor.source, status=floor.status,
            cause="corrosion",
        )  # fmt: skip


def _copper(plan: Plan) -> bool:
    return any(part.word("material").startswith("copper") for _, _, parts in plan.graph.edges(data="pipe") for part in parts)


def _lowest_ph(water: Stream) -> tuple[float | None, str]:
    """The favourable end of pH at the flow that brings it lowest, and the words for that flow where the others bring another."""
    if not water.is_known("ph")[0]:
        return None, ""
    ends = water.get("ph")[..., 0].max(axis=0)
    flow = int(ends.argmin())
    alike = float(ends.max() - ends.min()) < _ALIKE
    return float(ends[flow]), "" if alike else _WHEN[FLOWS[flow]]


def _end(water: Stream, name: str, lowest: bool) -> float | None:
    """One end over the day's average water, None where it was not measured."""
    if not water.is_known(name)[0]:
        return None
    ends = water.get(name)[:, AVERAGE, 0]
    return float(ends.min() if lowest else ends.max())


def _unsoftened(context: Context) -> Stream:
    """The water whose calcium counts: ahead of the softeners, where nothing behind them gives calcium back.

    Exchange changes the index, not what the water does to copper.
    """
    ahead = context.before(HOUSE)
    calcite = frozenset(context.having("hardness_up")) & ahead
    softeners = [stage for stage in context.having("softening") if stage in ahead and not calcite & context.after(stage)]
    return context.stages[softeners[0]].inlet if softeners else context.evaluation.points[HOUSE].water


def _index(water: Stream, unsoftened: Stream, warm: float) -> float | None:
    """The greatest Langelier index that the measured water allows; hardness stands for calcium where that was not measured."""
    ph, alkalinity = _end(water, "ph", lowest=False), _end(water, "alkalinity", lowest=False)
    calcium = _end(unsoftened, "calcium", lowest=False)
    if calcium is None:
        hardness = _end(unsoftened, "hardness", lowest=False)
        calcium = None if hardness is None else hardness * _CALCIUM
    if ph is None or alkalinity is None or calcium is None or calcium <= 0 or alkalinity <= 0:
        return None
    solids = _end(water, "tds", lowest=True)
    return float(langelier(ph, calcium, alkalinity, 0.0 if solids is None else solids, warm).index)
