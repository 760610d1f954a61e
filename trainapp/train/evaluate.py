"""evaluate(): from a plan to every number about the train. The one road that the window, the prompt, print and studies take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import partial

import numpy as np

from trainapp.stages.base import Remark, Stage
from trainapp.stages.leaving import leaving_steps, mixed_steps
from trainapp.stages.working import PEAK, Array, Working
from trainapp.train.capacity import backwash_flow
from trainapp.train.evaluation import Evaluation, LinkResult, PointResult, Pressures, StageResult
from trainapp.train.hydraulic import ZoneState
from trainapp.train.hydraulics import Hydraulics, hydraulics_of
from trainapp.train.measured import Measured, measured_steps
from trainapp.train.plan import Plan
from trainapp.train.pressure import PeakStates, gauge, pressure_working
from trainapp.train.scenarios import Scenarios, scenarios_of
from trainapp.train.zones import SUPPLY, Link
from trainapp.water.mixing import mix
from trainapp.water.stream import Stream


def evaluate(plan: Plan, water: Stream | None = None, *, keep_working: bool = True) -> Evaluation:
    """Evaluate a train at trickle, average and peak.

    Args:
        plan: a compiled document.
        water: raw water to run instead of the design sample, any number of waters. Without it the design sample runs, together with
            the cases "this stage is passed by while it cleans" and "this assumed analyte is at its low or high plausible end".
        keep_working: record the worked steps (of water 0).
    """
    cases = plan.once(scenarios_of) if water is None else Scenarios(water, {}, ())
    made = plan.once(hydraulics_of)
    flows, states = made.flows, made.states
    through = {node: _through(plan, node, flows) for node in plan.order}
    # a sample of treated water belongs to the design water alone
    tests = Measured.of(plan, cases.while_cleaning, cases.water.waters) if water is None else Measured.none()
    streams: dict[str, Stream] = {SUPPLY: cases.water}
    stages: dict[str, StageResult] = {}
    for node in plan.order[1:]:
        inlet = _arriving(plan, node, streams, flows)
        stage = plan.stages.get(node)
        if stage is None:
            streams[node] = tests.counted(node, inlet)
            continue
        if "disinfection" in stage.spec.tags:
            # it changes nothing that is measured here, so what leaves it is what it was given
            inlet = tests.counted(node, inlet)
        stages[node] = _run(plan, stage, inlet, through[node], made, keep_working)
        streams[node] = tests.counted(node, _passed_by(stages[node], cases.while_cleaning.get(node)))
    return Evaluation(
        plan=plan,
        points=_points(plan, streams, stages, {**through, **{node: _leaving(plan, node, flows) for node in plan.sources}}, states, tests),
        stages=stages,
        links=_links(plan, flows, states),
        capacity=made.capacity,
        while_cleaning=cases.while_cleaning,
        gaps=cases.gaps,
        delivered=states.delivered,
        most_push=made.push,
        pushed=dict(made.pushed),
        alone=made.alone,
    )


def _arriving(plan: Plan, node: str, streams: Mapping[str, Stream], flows: Mapping[Link, Array]) -> Stream:
    """The water that enters a node: one pipe's, or the mixture of several by their flows."""
    sources = _sources(plan, node, streams)
    if len(sources) == 1:
        return streams[sources[0]]
    # what runs backwards brings nothing here; the checks say that it does
    return mix([streams[s] for s in sources], [np.maximum(flows.get((s, node), np.zeros(3)), 0.0)[:, None] for s in sources])


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


def _run(plan: Plan, stage: Stage, inlet: Stream, flow: Array, made: Hydraulics, keep: bool) -> StageResult:
    daily = sum(made.daily.get((source, stage.id), 0.0) for source in plan.graph.predecessors(stage.id))
    # a lane that is shut at night still holds water: keep contact times finite
    duty = replace(plan.duty, flows=np.maximum(flow, 1e-9)[:, None] / stage.count, daily=daily / stage.count,
                   most_flow=made.pushed.get(stage.id, made.push) / stage.count)  # fmt: skip
    working, remarks = Working(keep), list[Remark]()
    outlet = stage.treat(inlet, duty, working, remarks)
    state = made.states.of(stage.id)
    entering = Pressures(*(gauge(z.inlet[stage.id]) for z in (state.clean, state.dirty, state.lowest)))
    clean, dirty = _own_loss(stage, state.clean), _own_loss(stage, state.dirty)
    result = StageResult(stage, inlet, outlet, flow, daily, entering, clean, dirty, working, remarks, stage.cleaning(inlet, duty))
    if keep:
        _hydraulic_steps(result)
        working.later(partial(leaving_steps, stage.laws, inlet, outlet))
    if result.cleaning is not None and stage.id not in plan.shut:
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
    plan: Plan,
    streams: Mapping[str, Stream],
    stages: Mapping[str, StageResult],
    leaving: Mapping[str, Array],
    states: PeakStates,
    tests: Measured,
) -> dict[str, PointResult]:
    def explained(node: str) -> Working:
        w = pressure_working(plan, node, states)
        sources = _sources(plan, node, streams)
        if len(sources) > 1:
            mixed_steps([streams[s] for s in sources], stages[node].inlet if node in stages else streams[node], w)
        measured_steps(tests.sheets.get(node, {}), tests.predicted.get(node), streams[node], w)
        return w

    points = {}
    for node in plan.order:
        state = states.at(node)
        pressure = Pressures(*(gauge(z.outlet[node]) for z in (state.clean, state.dirty, state.lowest)))
        points[node] = PointResult(node, leaving[node], pressure, streams[node], partial(explained, node))
        if node in tests.predicted:
            points[node].measured, points[node].predicted = tests.sheets[node], tests.predicted[node]
    return points


def _links(plan: Plan, flows: Mapping[Link, Array], states: PeakStates) -> dict[Link, LinkResult]:
    links = {}
    for link, flow in flows.items():
        pipe, peak = plan.pipes[link], float(flow[PEAK])
        links[link] = LinkResult(*link, flow, pipe.velocity(peak), pipe.loss(peak), pipe.bore, pipe.label)
    return links
