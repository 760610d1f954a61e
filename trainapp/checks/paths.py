"""Ways to a drinking tap that no disinfection stands in: `unprotected-path`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import HOUSE, Context, start
from trainapp.checks.drinking import until
from trainapp.checks.finding import Finding
from trainapp.stages.base import Severity
from trainapp.train.evaluation import Evaluation


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Every end that raw water reaches round the chambers; closed bypasses and taps that nobody drinks from get a note."""
    chambers = frozenset(context.ultraviolet)
    open_to = context.reached_without(chambers)
    bare = [end for end in context.drinking_ends if end in open_to]
    if context.needs_disinfection or chambers:
        if bare:
            yield from _unprotected(context, bare, chambers)
        yield from _closed(context, chambers)
    yield from _not_for_drinking(context, open_to)


def _unprotected(context: Context, bare: list[str], chambers: frozenset[str]) -> Iterator[Finding]:
    severity: Severity = "fail" if context.needs_disinfection else "caution" if context.need == "unknown" else "note"
    why = {
        "unsafe": "the sample holds coliform bacteria",
        "at risk": "the source is at risk",
        "unknown": context.coliform_gap,
        "none": "the sample does not ask for disinfection, but a chamber stands in the train",
    }[context.need]
    chlorine = " Chlorine is given no credit here." if not chambers and (context.plan.chlorinated or context.having("oxidant")) else ""
    if chambers:
        way = f"Water reaches {context.names(bare)} without passing {context.names(sorted(chambers, key=context.rank.__getitem__))}"
        bypasses = [b for b in context.having("bypass") if b in context.reached_without(chambers) and context.after(b) & set(bare)]
        way += f", by way of {context.name(bypasses[0])}" if bypasses else ""
    else:
        way = f"No disinfection stands between the supply and {context.names(bare)}"
    yield Finding(
        "unprotected-path", severity, bare[0], f"A way to {context.name(bare[0])} goes round the disinfection" if chambers
        else f"No disinfection on the way to {context.name(bare[0])}",
        f"{way}, and {why}.{chlorine}", source="ny-75-b.2", status="published", also_at=tuple(bare[1:]), cause="unprotected-path",
        cautions=(until(context, "this is put right"),) if severity == "fail" else (),
    )  # fmt: skip


def _closed(context: Context, chambers: frozenset[str]) -> Iterator[Finding]:
    """A closed bypass that would lead round the chambers once it is opened."""
    graph, live = context.plan.graph, set(context.plan.order)
    for entry in context.document.stages:
        stage = context.plan.stages[entry.id]
        if not stage.is_shut or not chambers:
            continue
        feeders = set(graph.predecessors(entry.id)) & (live & context.reached_without(chambers))
        taps = [t for t in graph.successors(entry.id) if t in live and _taps(context, t, chambers)]
        if feeders and taps:
            yield Finding(
                "unprotected-path", "note", entry.id, "A closed bypass leads round the disinfection",
                f"Once it is opened, {context.name(entry.id)} lets water past {context.names(sorted(chambers))}: lock it and label it.",
                source="wi-811.60", status="published", cause=f"closed-bypass:{entry.id}",
            )  # fmt: skip


def _taps(context: Context, first: str, chambers: frozenset[str]) -> frozenset[str]:
    return context.reached_without(chambers, first) & frozenset(context.drinking_ends) if first not in chambers else frozenset()


def _not_for_drinking(context: Context, open_to: frozenset[str]) -> Iterator[Finding]:
    """A tap that nobody drinks from: a label, nothing worse, and only where its water is not the house's."""
    if context.need == "none":
        return
    for end in context.ends:
        if end in open_to and not context.plan.demands[end].drinking and end != HOUSE:
            yield Finding(
                "label", "note", end, f"{start(context.name(end))} gives untreated water",
                f"Nothing disinfects the water at {context.name(end)}: label it as not for drinking.",
                cause=f"label:{end}",
            )  # fmt: skip
