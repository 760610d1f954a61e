"""What the pipes at a UV chamber are made of: `uv-plastic`."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.checks.context import Context
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import rule
from trainapp.train.evaluation import Evaluation

PLASTICS = frozenset({"pex", "cpvc", "pvc_40", "pvc_80"})


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each chamber: plastic pipe nearer to its ports than a run of metal."""
    wanted = rule("metal_run")
    for uv in context.ultraviolet:
        run = float(context.setting(uv, "metal_run") or 0.0)
        if run >= wanted.value * (1 - 1e-9):
            continue
        plastic = [place for place, material in _joined(context, uv) if material in PLASTICS]
        if plastic:
            has = f"only {context.show(run, 'length')} of metal pipe stands" if run else "no metal pipe stands"
            yield Finding(
                "uv-plastic", "caution", uv, f"Plastic pipe at {context.name(uv)}",
                f"The light of {context.name(uv)} makes plastic brittle, and {has} at its ports: "
                f"{context.show(wanted.value, 'length')} of metal pipe, or an opaque elbow, keeps it out of sight.",
                value=Amount.of(run, "length"), limit=Amount.of(wanted.value, "length"), source=wanted.source, status=wanted.status,
                cause=f"uv-plastic:{context.twin(uv)}",
            )  # fmt: skip


def _joined(context: Context, uv: str) -> Iterable[tuple[str, str]]:
    """Nodes joined to the chamber and the material of the pipe segment nearest to it."""
    graph = context.plan.graph
    for source in graph.predecessors(uv):
        yield source, graph.edges[source, uv]["pipe"][-1].word("material")
    for target in graph.successors(uv):
        yield target, graph.edges[uv, target]["pipe"][0].word("material")
