"""Whether anything holds the flow through a UV chamber to its rating: `no-flow-control`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import isfinite

import numpy as np

from trainapp.checks.context import Context, start
from trainapp.checks.finding import Amount, Finding
from trainapp.stages.working import Array
from trainapp.train.evaluation import Evaluation
from trainapp.train.pressure import water_flows

_SLACK = 1 + 1e-6


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each chamber: what the open train could push through it, less what a control in series holds back.

    A control of its own counts at its nominal flow, a separate one at the upper end of its band. Units and lanes side by side are each
    held to the flow that comes while the others are shut, so that one control for all of them is none.
    """
    for uv in context.ultraviolet:
        found = uncontrolled(evaluation, context, uv)
        if found is not None:
            yield found


def flow_judged(evaluation: Evaluation, uv: str) -> Array:
    """What passes a chamber at trickle, average and peak by which it is judged, m3/s, shape (3,): all its units together.

    A separate control may let its band more through than its size; a control of the chamber's own counts at its nominal flow.
    """
    plan = evaluation.plan
    stages = evaluation.stages
    caps = {
        node: cap * (1.0 + (0.0 if "disinfection" in stages[node].stage.spec.tags else stages[node].stage.cap_band))
        for node, cap in plan.work.caps.items()
        if node in stages
    }
    if caps == plan.work.caps:
        return evaluation.points[uv].flow
    flows = water_flows(replace(plan, work=replace(plan.work, caps=caps)))
    return np.asarray(sum(flow for (_, target), flow in flows.items() if target == uv))


def uncontrolled(evaluation: Evaluation, context: Context, uv: str) -> Finding | None:
    """The finding of one chamber, None where its flow is held."""
    stage = context.stage(uv)
    rated = float(stage.settings.number("rated_flow"))
    pushed = evaluation.pushed[uv] / stage.count if uv in evaluation.pushed else evaluation.most_push
    held, by = _held(context, uv)
    return _finding(context, uv, rated, pushed, held, by) if min(pushed, held) > rated * _SLACK else None


def _held(context: Context, uv: str) -> tuple[float, str]:
    """The least flow that a control in series lets through one unit, and which control; infinite without one."""
    stage = context.stage(uv)
    held, by = float("inf"), ""
    if stage.flow_cap is not None:
        held, by = stage.flow_cap, uv
    for other in context.stages:
        cap = context.stage(other).flow_cap
        if cap is None or other in context.ultraviolet or not _in_series(context, other, uv):
            continue
        most = cap * (1.0 + context.stage(other).cap_band) * context.stage(other).count
        if most < held:
            held, by = most, other
    return held, by


def _in_series(context: Context, control: str, uv: str) -> bool:
    """Whether all water of the chamber passes the control: no way to it, or none from it to an end, goes round."""
    avoided = frozenset({control})
    if control in context.before(uv):
        return uv not in context.reached_without(avoided)
    if control in context.after(uv):
        return not (context.reached_without(avoided, uv) & set(context.ends))
    return False


def _finding(context: Context, uv: str, rated: float, pushed: float, held: float, by: str) -> Finding:
    flow, name = min(pushed, held), context.name(uv)
    units, beside = context.stage(uv).count, context.twin(uv) != uv or any(context.twin(o) == uv for o in context.ultraviolet if o != uv)
    each = f"each of the {units} units of {name}" if units > 1 else name
    alone = " while what stands beside it is shut" if units > 1 or beside else ""
    shown = context.show_against(flow, rated, "flow") if isfinite(flow) else "as much as it can"
    if held < pushed and by != uv:
        what = f"{context.name(by)} may let {shown} through it at the upper end of its band{alone}"
    elif held < pushed:
        what = f"its own control lets {shown} through"
    elif by and by != uv:
        what = f"with every tap open the supply pushes {shown} through it{alone}, and {context.name(by)} lets more than that through"
    else:
        what = f"with every tap open the supply pushes {shown} through it{alone} and no flow control stands in line"
    return Finding(
        "no-flow-control", "fail", uv, f"Nothing holds the flow through {name} to its rating",
        f"{start(each)} is rated for {context.show(rated, 'flow')}; {what}.",
        value=Amount.of(flow, "flow") if isfinite(flow) else None, limit=Amount.of(rated, "flow"), source="nsf-ansi-55",
        status="from memory", also_at=(by,) if by and by != uv else (),
        cause=f"no-flow-control:{context.twin(uv) if not by or by == uv else by}",
    )  # fmt: skip
