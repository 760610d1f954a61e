"""evaluate(): from a plan to every number about the train. The one road that the window, the prompt, print and studies take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import partial

import numpy as np

from trainapp.stages.base import Remark, Stage
from trainapp.stages.leaving import leaving_steps, mixed_steps
from trainapp.stages.working import PEAK, Array, Working
from trainapp.train.capacity import backwash_flow, capacity_of, most_push
from trainapp.train.evaluation import Evaluation, LinkResult, PointResult, Pressures, StageResult
from trainapp.train.hydraulic import ZoneState
from trainapp.train.plan import Plan
from trainapp.train.pressure import PeakStates, peak_states, pressure_working, water_flows
from trainapp.train.scenarios import Scenarios, scenarios_of
from trainapp.train.zones import SUPPLY, Link
from trainapp.water.mixing import mix
from trainapp.water.stream import Stream

SECONDS_A_DAY = 86400.0


def evaluate(plan: Plan, water: Stream | None = None, *, keep_working: bool = True) -> Evaluation:
    """Evaluate a train at trickle, average and peak.

    Args:
        plan: a compiled document.
        water: raw water to run instead of the design sample, any number of waters. Without it the design sample runs, together with
            the cases "this stage is passed by while it cleans" and "this assumed analyte is at its low or high plausible end".
        keep_working: record the worked steps (of water 0).
    """
    cases = plan.once(scenarios_of) if water is None else Scenarios(water, {}, ())
    flows = water_flows(plan)
    states = peak_states(plan, flows)
    through = {node: _through(plan, node, flows) for node in plan.order}
    streams: dict[str, Stream] = {SUPPLY: cases.water}
    stages: dict[str, StageResult] = {}
    for node in plan.order[1:]:
        inlet = _arriving(plan, node, streams, flows)
        stage = plan.stages.get(node)
        if stage is None:
            streams[node] = inlet
            continue
        stages[node] = _run(plan, stage, inlet, through[node], states, keep_working)
        streams[node] = _passed_by(stages[node], cases.while_cleaning.get(node))
    capacity = capacity_of(plan, states)
    push, pushed = most_push(plan, 2.0 * capacity.flow)
    return Evaluation(
        plan=plan,
        points=_points(plan, streams, stages, {**through, **{node: _leaving(plan, node, flows) for node in plan.sources}}, states),
        stages=stages,
        links=_links(plan, flows, states),
        capacity=capacity,
        while_cleaning=cases.while_cleaning,
        gaps=cases.gaps,
        delivered=states.delivered,
        most_push=push,
        pushed=pushed,
    )


def _arriving(plan: Plan, node: str, streams: Mapping[str, Stream], flows: Mapping[Link, Array]) -> Stream:
    """The water that enters a node: one pipe's, or the mixture of several by their flows."""
    sources = _sources(plan, node, streams)
    if len(sources) == 1:
        return streams[sources[0]]
    return mix([streams[s] for s in sources], [flows.get((s, node), np.zeros(3))[:, None] for s in sources])


def _sources(plan: Plan, node: str, streams: Mapping[str, Stream]) -> list[str]:
    """The nodes whose water flows into a node."""
    return [s for s in plan.graph.predecessors(node) if s in streams]


def _through(plan: Plan, node: str, flows: Mapping[Link, Array]) -> Array:
    """m3/s entering a node (leaving it, at the supply), shape (3,)."""
    return _leaving(plan, node, flows) if node == SUPPLY else _sum([flows.get((s, node)) for s in plan.graph.predecessors(node)])


def _leaving(plan: Plan, node: str, flows: Mapping[Link, Array]) -> Array:
    """m3/s leaving a node that makes its own pressure (a tank draws what fills it and gives what its pump does), shape (3,)."""
    return _sum([flows.get((node, t)) for t in plan.graph.successors(node)])


def _sum(parts: Iterable[Array | None]) -> Array:
    met = [part for part in parts if part is not None]
    return met[0] if len(met) == 1 else np.asarray(sum(met, np.zeros(3)))


def _run(plan: Plan, stage: Stage, inlet: Stream, flow: Array, states: PeakStates, keep: bool) -> StageResult:
    daily = float(flow[1]) * SECONDS_A_DAY
    # a lane that is shut at night still holds water: keep contact times finite
    duty = replace(plan.duty, flows=np.maximum(flow, 1e-9)[:, None] / stage.count, daily=daily / stage.count)
    working, remarks = Working(keep), list[Remark]()
    outlet = stage.treat(inlet, duty, working, remarks)
    state = states.of(stage.id)
    entering = Pressures(state.clean.inlet[stage.id], state.dirty.inlet[stage.id], state.lowest.inlet[stage.id])
    clean, dirty = _own_loss(stage, state.clean), _own_loss(stage, state.dirty)
    result = StageResult(stage, inlet, outlet, flow, daily, entering, clean, dirty, working, remarks, stage.cleaning(inlet, duty))
    if keep:
        _hydraulic_steps(result)
        working.later(partial(leaving_steps, stage.laws, inlet, outlet))
    if result.cleaning is not None:
        result.backwash_available = backwash_flow(plan, stage.id, result.cleaning.pressure, result.cleaning.flow)
    return result


def _own_loss(stage: Stage, state: ZoneState) -> float:
    """What the stage itself takes, Pa: with the valve that was set, and what a regulator holds back."""
    return state.inlet[stage.id] - state.outlet[stage.id]


def _hydraulic_steps(result: StageResult) -> None:
    w, peak = result.working, float(result.flow[PEAK])
    curve, formula, note = result.stage.settings.get("head_loss"), "a · Q + b · Q²", ""
    if curve:
        formula = "the maker's curve at Q"
        if peak / result.stage.count > curve[-1][0] * (1.0 + 1e-9):
            note = "this flow lies beyond the last point of the maker's curve: the square of the flow was drawn on from there"
    w.step("Q", "flow through the stage at peak", peak, "flow", result="flow", formula="sum of the pipes that enter it")
    for symbol, when, value in (("Δp", "clean", result.headloss_clean), ("Δp_d", "dirty", result.headloss_dirty)):
        w.step(symbol, f"pressure it takes when {when}", value, "pressure", result=f"headloss_{when}", formula=formula, note=note)


def _passed_by(result: StageResult, column: int | None) -> Stream:
    """The outlet, with the raw water of the one case in which this stage is passed by."""
    if column is None:
        return result.outlet
    result.outlet.values[..., column] = np.broadcast_to(result.inlet.values, result.outlet.values.shape)[..., column]
    return result.outlet


def _points(
    plan: Plan, streams: Mapping[str, Stream], stages: Mapping[str, StageResult], leaving: Mapping[str, Array], states: PeakStates
) -> dict[str, PointResult]:
    def explained(node: str) -> Working:
        w = pressure_working(plan, node, states)
        sources = _sources(plan, node, streams)
        if len(sources) > 1:
            mixed_steps([streams[s] for s in sources], stages[node].inlet if node in stages else streams[node], w)
        return w

    points = {}
    for node in plan.order:
        state = states.at(node)
        pressure = Pressures(state.clean.outlet[node], state.dirty.outlet[node], state.lowest.outlet[node])
        points[node] = PointResult(node, leaving[node], pressure, streams[node], partial(explained, node))
    return points


def _links(plan: Plan, flows: Mapping[Link, Array], states: PeakStates) -> dict[Link, LinkResult]:
    links = {}
    for link, flow in flows.items():
        pipe, peak = plan.pipes[link], float(flow[PEAK])
        links[link] = LinkResult(*link, flow, pipe.velocity(peak), pipe.loss(peak), pipe.bore, pipe.label)
    return links
