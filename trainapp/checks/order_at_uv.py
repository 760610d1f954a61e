"""The last barrier: what stands behind a UV chamber or ahead of it, and carbon or storage without one behind: `order`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import Context, listed, start
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import rule
from trainapp.checks.taste import at_chamber, tasted, told_at_chambers
from trainapp.stages.base import Severity
from trainapp.train.evaluation import Evaluation

#: What may stand behind a chamber: it holds no water and nothing grows in it.
_PIPE = frozenset({"flow_control", "bypass", "junction", "regulator", "disinfection"})


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Behind each chamber, ahead of each chamber, then carbon and storage."""
    yield from _behind(context)
    for uv in context.ultraviolet:
        yield from _cartridge(context, uv)
        yield from _in_series(context, uv)
        yield from _oxidant(context, uv)
    yield from _carbon_last(context)
    yield from _stored_without_residual(context)


def _guarded(context: Context, stage: str) -> bool:
    """Whether all that leaves a stage passes a chamber before anyone drinks it."""
    return not (context.reached_without(frozenset(context.ultraviolet), stage) & set(context.drinking_ends))


def _behind(context: Context) -> Iterator[Finding]:
    """Nothing but pipe stands between the last chamber and the taps."""
    for stage in context.stages:
        ahead = [uv for uv in context.ultraviolet if uv in context.before(stage)]
        if not ahead or context.tags(stage) & _PIPE or _guarded(context, stage):
            continue
        severity: Severity = "caution" if context.need == "none" else "fail"
        yield Finding(
            "order", severity, stage, f"{start(context.name(stage))} stands after {context.name(ahead[-1])}",
            f"Germs grow in {context.name(stage)} and nothing behind it stops them: nothing but pipe belongs between "
            f"{context.name(ahead[-1])} and the taps.",
            source="ny-75-b.2", status="published", cause=f"behind-uv:{ahead[-1]}",
        )  # fmt: skip


def _cartridge(context: Context, uv: str) -> Iterator[Finding]:
    """A fine cartridge stands ahead of every chamber, whatever the turbidity of one day's sample."""
    if any(context.is_fine(s) for s in context.having("sediment") if s in context.before(uv)):
        return
    severity: Severity = "caution" if context.needs_disinfection else "note"
    yield Finding(
        "order", severity, uv, f"No fine cartridge ahead of {context.name(uv)}",
        f"Nothing of 5 µm or finer stands ahead of {context.name(uv)}: a burst of sediment would shield germs from its light.",
        source="epa-430-9-74-007", status="secondary", cause=f"no-cartridge:{context.twin(uv)}",
    )  # fmt: skip


def _in_series(context: Context, uv: str) -> Iterator[Finding]:
    ahead = [other for other in context.ultraviolet if other in context.before(uv)]
    if ahead:
        yield Finding(
            "order", "note", uv, "Two UV chambers in line",
            f"The doses of {context.name(ahead[-1])} and {context.name(uv)} are not added: each is judged for itself.",
            source="il-611.1020", status="published", also_at=(ahead[-1],),
        )  # fmt: skip


def _oxidant(context: Context, uv: str) -> Iterator[Finding]:
    """Chlorine that the sample shows, or that a stage puts in, and that is still there at a chamber: one rule keeps it out."""
    chambers = told_at_chambers(context)
    if uv not in chambers:
        return
    most, seen = context.readings.most(uv, "free_chlorine"), rule("oxidant_seen")
    ends = [context.name(end) for end in tasted(context)] if uv == chambers[0] else []
    title = f" and is tasted at {listed(ends)}" if ends else ""
    told = f"; at {listed(ends)} people taste what is left. Carbon" if ends else "; carbon"
    yield Finding(
        "order", "note", uv, f"Chlorine reaches {context.name(uv)}{title}",
        f"{context.show(most, 'concentration', 'free_chlorine')} of free chlorine enters {context.name(uv)}: light breaks some of it "
        f"down into other things, and one published rule keeps oxidants out ahead of ultraviolet light{told} ahead takes it out.",
        "free_chlorine", Amount.of(most, "concentration"), Amount.of(seen.value, "concentration"), source="france-2012-art20",
        status="published", cause=at_chamber(context, uv),
    )  # fmt: skip


def _carbon_last(context: Context) -> Iterator[Finding]:
    """Carbon with no chamber behind it: a note on a chlorinated main, a caution on a clean well, a fail with coliform."""
    for stage in context.having("carbon"):
        if _guarded(context, stage) or any(uv in context.before(stage) for uv in context.ultraviolet):
            continue
        if context.need == "unsafe":
            severity: Severity = "fail"
            tail = "in this water germs grow in it: disinfection belongs behind it"
        elif context.plan.chlorinated and context.need == "none":
            severity = "note"
            tail = "behind it no chlorine keeps the pipes; change the carbon on time and flush it after a holiday"
        else:
            severity = "caution"
            tail = "germs grow in carbon and nothing behind it stops them"
        yield Finding(
            "order", severity, stage, f"No disinfection behind {context.name(stage)}",
            f"{start(context.name(stage))} is the last barrier before the taps, and {tail}.",
            source="ny-75-b.2", status="published", cause=f"carbon-last:{context.twin(stage)}",
        )  # fmt: skip


def _stored_without_residual(context: Context) -> Iterator[Finding]:
    """A tank behind carbon on a chlorinated main: water that stands without its residual."""
    for stage in context.having("storage"):
        carbon = [s for s in context.having("carbon") if s in context.before(stage)]
        if carbon and context.plan.chlorinated and not _guarded(context, stage):
            yield Finding(
                "order", "caution", stage, f"{start(context.name(stage))} holds water without chlorine",
                f"{start(context.name(carbon[-1]))} takes the chlorine out that should keep the water in {context.name(stage)}.",
                source="wi-811.49", status="published", also_at=(carbon[-1],),
            )  # fmt: skip
