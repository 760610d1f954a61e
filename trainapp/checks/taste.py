"""Chlorine that people taste: what a stage feeds or a main brings, where nothing takes the rest out ahead of a tap: `taste`.

What a stage feeds may come to more than a limit of health allows, whatever was measured of the raw water: `health`.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isinf

from trainapp.checks.context import SUPPLY, Context
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.limits import WaterLimit
from trainapp.checks.policy import amount, rule
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

_ANALYTE = "free_chlorine"
#: A low end below this share of the high one is told as "up to".
_SWINGS = 0.98


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """A note: it is a matter of taste. A limit that is broken speaks for itself, and a chamber that tells of it names the taste, too."""
    limit, chambers = rule("chlorine_tasted"), told_at_chambers(context)
    for end in tasted(context):
        allowed = _most_allowed(context) if _fed(context, end) else None
        if allowed is not None and allowed[0] < context.readings.most(end, _ANALYTE):
            yield _too_much(context, end, *allowed)
            continue
        yield Finding(
            "taste", "note", end, f"Taste of chlorine at {context.name(end)}",
            f"{_reaches(context, end)}. People taste it from about {context.show(limit.value, limit.dimension, _ANALYTE)} on; "
            f"{_way_out(context, end)}.",
            _ANALYTE, _amount(context, end, limit.dimension), Amount.of(limit.value, limit.dimension),
            source=limit.source, status=limit.status, cause=at_chamber(context, chambers[0]) if chambers else "taste-of-chlorine",
        )  # fmt: skip


def _most_allowed(context: Context) -> tuple[float, WaterLimit] | None:
    """The limit of health in force, mg/L first."""
    return next(((row.maximum, row) for row in context.limits.of(_ANALYTE) if row.kind == "health" and row.maximum is not None), None)


def _too_much(context: Context, end: str, maximum: float, limit: WaterLimit) -> Finding:
    """More than the limit by a feed: a fail where even what water takes most of the dose leaves as much, beyond the model's accuracy."""
    least, most = context.readings.least(end, _ANALYTE), context.readings.most(end, _ANALYTE)
    fed = context.name(_fed(context, end)[0])
    sure = least > maximum * (1.0 + amount("model_accuracy"))
    side = "" if least >= _SWINGS * most else "up to "
    values = context.show_against(most, maximum, "concentration", _ANALYTE), context.show(maximum, "concentration", _ANALYTE)
    return Finding(
        "health", "fail" if sure else "caution", end, f"Too much chlorine at {context.name(end)}",
        f"Of what {fed} feeds, {side}{values[0]} of free chlorine is left at {context.name(end)}, and {values[1]} is the limit: "
        f"{limit.reason}. "
        "Set the feed by a test of what is left behind it, before anyone drinks; carbon behind it takes the rest out.",
        _ANALYTE, Amount(least, most, "concentration") if side else Amount.of(most, "concentration"),
        Amount.of(maximum, "concentration"), source=limit.source, status=limit.status, cause="chlorine-fed",
    )  # fmt: skip


def taste(evaluation: Evaluation, system: System = "us") -> str:
    """The same in one clause, of the house or of the first end where it is so; "" where nobody tastes anything."""
    context = Context(evaluation, system)
    return next((_reaches(context, end) for end in tasted(context)), "")


def tasted(context: Context) -> list[str]:
    """Ends where someone drinks water that tastes of chlorine: measured in the supply or fed by a stage, never assumed."""
    least, readings = rule("chlorine_tasted").value, context.readings
    return [
        end for end in context.drinking_ends
        if readings.most(end, _ANALYTE) >= least and (_fed(context, end) or _brought(context, end, least)) and not _over(context, end)
    ]  # fmt: skip


def _brought(context: Context, end: str, least: float) -> bool:
    """Whether the supply surely brings as much, and what is left of it follows from what was measured."""
    return context.readings.measured(end, _ANALYTE) and context.readings.least(SUPPLY, _ANALYTE) >= least


def told_at_chambers(context: Context) -> list[str]:
    """Chambers that chlorine reaches which the sample shows or a stage puts in."""
    seen = rule("oxidant_seen").value
    measured = [uv for uv in context.ultraviolet if any(map(context.oxidises, context.before(uv))) or _known(context, uv)]
    return [uv for uv in measured if context.readings.most(uv, _ANALYTE) > seen]


def at_chamber(context: Context, uv: str) -> str:
    """The cause of what such a chamber tells."""
    return f"oxidant-at-uv:{context.twin(uv)}"


def _amount(context: Context, end: str, dimension: str) -> Amount:
    """The most of it; beyond the range of a test no more is known than where that ends."""
    least, most = context.readings.least(end, _ANALYTE), context.readings.most(end, _ANALYTE)
    return Amount(least, None, dimension) if _is_open(context, end) else Amount.of(most, dimension)


def _is_open(context: Context, end: str) -> bool:
    """Whether it comes from the main alone, where it was over the range of the test."""
    own = context.plan.raw.sheet.get(_ANALYTE)
    return own is not None and isinf(own.high) and not _fed(context, end)


def _known(context: Context, uv: str) -> bool:
    return bool(context.stages[uv].inlet.is_known(_ANALYTE)[0])


def _fed(context: Context, end: str) -> list[str]:
    """Stages ahead that work with chlorine fed to them."""
    return [stage for stage in context.stages if stage in context.before(end) and context.setting(stage, "oxidant") == "chlorine"]


def _over(context: Context, end: str) -> bool:
    """Whether a limit of the set in force is broken by it, and told."""
    table = context.table
    rows = (i for i in table.of(end) if table.rows[i].limit.analyte == _ANALYTE)
    return any(table.known[i] and table.outcome[i, :, 0].max() > 0 for i in rows)


def _carbon(context: Context, end: str) -> list[str]:
    """Carbon ahead of an end; where chlorine is fed, that behind the feed."""
    fed, beds = _fed(context, end), [stage for stage in context.having("carbon") if stage in context.before(end)]
    return [bed for bed in beds if not fed or context.before(bed) & set(fed)]


def _passed_by(context: Context, end: str) -> bool:
    """Whether a way to it leads round all carbon."""
    return end in context.reached_without(frozenset(_carbon(context, end)))


def _reaches(context: Context, end: str) -> str:
    limit, readings = rule("chlorine_tasted"), context.readings
    least, most, carbon = readings.least(end, _ANALYTE), readings.most(end, _ANALYTE), _carbon(context, end)
    if carbon and _passed_by(context, end):
        why = f"what passes round {context.name(carbon[-1])} brings it"
    elif carbon:
        why = f"{context.name(carbon[-1])} does not take all of it"
    else:
        why = f"no carbon stands {'behind the feed' if _fed(context, end) else 'ahead'}"
    is_open = _is_open(context, end)
    side = "more than " if is_open else "up to " if least < _SWINGS * most else ""
    shown = context.show_against(least if is_open else most, limit.value, limit.dimension, _ANALYTE)
    return f"Tastes and smells of chlorine: {side}{shown} of it reaches {context.name(end)}, {why}"


def _way_out(context: Context, end: str) -> str:
    """Carbon, with what goes out beside it where it came from the main, and what carbon asks for where nothing disinfects behind it."""
    way = "carbon takes it out"
    if _carbon(context, end):
        way = "carbon that all the water passes takes it out" if _passed_by(context, end) else "a larger bed takes more of it"
    if context.readings.above(SUPPLY, _ANALYTE, 0.0):
        return f"{way}, and with it what keeps the pipes behind clean"
    if not any(uv in context.before(end) for uv in context.ultraviolet):
        return f"{way}, and asks for disinfection behind it, because germs grow in carbon"
    return f"{way}, ahead of the chamber and never behind it"


__all__ = ["at_chamber", "taste", "tasted", "told_at_chambers"]
