"""evaluate(): from a plan to every number about the train. The one road that the window, the prompt, print and studies take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from trainapp.stages.base import Duty, Remark, Stage
from trainapp.stages.leaving import leaving_steps, mixed_steps
from trainapp.stages.working import PEAK, Array, Working
from trainapp.train.arriving import arriving
from trainapp.train.capacity import backwash_flow
from trainapp.train.evaluation import Evaluation, LinkResult, PointResult, Pressures, StageResult
from trainapp.train.hydraulic import ZoneState
from trainapp.train.hydraulics import Hydraulics, hydraulics_of
from trainapp.train.losses import loss_steps
from trainapp.train.measured import Measured, measured_steps
from trainapp.train.plan import Plan
from trainapp.train.pressure import PeakStates, gauge, pressure_working
from trainapp.train.scenarios import Scenarios, scenarios_of
from trainapp.train.zones import SUPPLY, Link
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
    fixed = plan.once(_all_fixed)
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
        stages[node] = _run(plan, stage, inlet, fixed.stages[node], keep_working)
        streams[node] = tests.counted(node, _passed_by(stages[node], cases.while_cleaning.get(node)))
    return Evaluation(
        plan=plan,
        points=_points(plan, streams, stages, fixed, states, tests),
        stages=stages,
        links=dict(fixed.links),
        capacity=made.capacity,
        while_cleaning=cases.while_cleaning,
        gaps=cases.gaps,
        delivered=states.delivered,
        most_push=made.push,
        pushed=dict(made.pushed),
        alone=made.alone,
    )


def remarks_in(evaluation: Evaluation, stage: str, case: int) -> list[Remark]:
    """What a stage has to say in another of the waters of an evaluation of the design sample; `case` is its place on the waters axis."""
    result, remarks = evaluation.stages[stage], list[Remark]()
    one = result.inlet.part(slice(case, case + 1))
    result.stage.treat(one, evaluation.plan.once(_all_fixed).stages[stage].duty, Working(), remarks)
    return remarks


@dataclass(frozen=True, slots=True)
class _AllFixed:
    """What no water changes: duties of stages, flow and pressure leaving each node, and pipes."""

    stages: Mapping[str, _Fixed]
    leaving: Mapping[str, Array]
    pressures: Mapping[str, Pressures]
    links: Mapping[Link, LinkResult]


def _all_fixed(plan: Plan) -> _AllFixed:
    made = plan.once(hydraulics_of)
    through = {node: _through(plan, node, made.flows) for node in plan.order}
    states = {node: made.states.at(node) for node in plan.order}
    return _AllFixed(
        {node: _fixed(plan, plan.stages[node], through[node], made) for node in plan.order if node in plan.stages},
        through | {node: _leaving(plan, node, made.flows) for node in plan.sources},
        {node: Pressures(*(gauge(z.outlet[node]) for z in (at.clean, at.dirty, at.lowest))) for node, at in states.items()},
        _links(plan, made.flows),
    )


def _arriving(plan: Plan, node: str, streams: Mapping[str, Stream], flows: Mapping[Link, Array]) -> Stream:
    """The water that enters a node: one pipe's, or the mixture of several by their flows."""
    sources = _sources(plan, node, streams)
    return arriving([streams[s] for s in sources], [flows.get((s, node), np.zeros(3))[:, None] for s in sources])


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


@dataclass(frozen=True, slots=True)
class _Fixed:
    """What a stage has to do and what it takes from the pressure, whatever the water."""

    duty: Duty
    flow: Array
    flow_dirty: float
    daily: float
    entering: Pressures
    clean: float
    dirty: float


def _fixed(plan: Plan, stage: Stage, flow: Array, made: Hydraulics) -> _Fixed:
    daily = sum(made.daily.get((source, stage.id), 0.0) for source in plan.graph.predecessors(stage.id))
    # a lane that is shut at night still holds water: keep contact times finite
    duty = replace(plan.duty, flows=np.maximum(flow, 1e-9)[:, None] / stage.count, daily=daily / stage.count,
                   most_flow=made.pushed.get(stage.id, made.push) / stage.count)  # fmt: skip
    state = made.states.of(stage.id)
    entering = Pressures(*(gauge(z.inlet[stage.id]) for z in (state.clean, state.dirty, state.lowest)))
    return _Fixed(duty, flow, state.dirty.through[stage.id], daily, entering, _own_loss(stage, state.clean), _own_loss(stage, state.dirty))


def _run(plan: Plan, stage: Stage, inlet: Stream, fixed: _Fixed, keep: bool) -> StageResult:
    working, remarks, duty = Working(keep), list[Remark](), fixed.duty
    outlet = stage.treat(inlet, duty, working, remarks)
    result = StageResult(
        stage,
        inlet,
        outlet,
        fixed.flow,
        fixed.daily,
        fixed.entering,
        fixed.clean,
        fixed.dirty,
        working,
        remarks,
        stage.cleaning(inlet, duty),
    )
    if keep:
        working.later(partial(loss_steps, plan.work, stage, float(fixed.flow[PEAK]), fixed.flow_dirty, fixed.clean, fixed.dirty))
        working.later(partial(leaving_steps, stage.laws, inlet, outlet))
    wash = result.cleaning
    if wash is not None and stage.id not in plan.shut:
        # the pressure that a wash wants is the stage's own, so what reaches it then is the plan's
        key = ("wash", stage.id, wash.pressure)
        result.backwash_available = plan.once_for(key, partial(backwash_flow, plan, stage.id, wash.pressure, wash.flow))
    return result


def _own_loss(stage: Stage, state: ZoneState) -> float:
    """What the stage itself takes, Pa: with the valve that was set, and what a regulator holds back."""
    return state.inlet[stage.id] - state.outlet[stage.id]


def _passed_by(result: StageResult, column: int | None) -> Stream:
    """The outlet, with the raw water of the one case in which this stage is passed by."""
    if column is None:
        return result.outlet
    result.outlet.values[..., column] = np.broadcast_to(result.inlet.values, result.outlet.values.shape)[..., column]
    return result.outlet


def _points(
    plan: Plan, streams: Mapping[str, Stream], stages: Mapping[str, StageResult], fixed: _AllFixed, states: PeakStates, tests: Measured
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
        points[node] = PointResult(node, fixed.leaving[node], fixed.pressures[node], streams[node], partial(explained, node))
        if node in tests.predicted:
            points[node].measured, points[node].predicted = tests.sheets[node], tests.predicted[node]
    return points


def _links(plan: Plan, flows: Mapping[Link, Array]) -> dict[Link, LinkResult]:
    links = {}
    for link, flow in flows.items():
        pipe, peak = plan.pipes[link], float(flow[PEAK])
        links[link] = LinkResult(*link, flow, pipe.velocity(peak), pipe.loss(peak), pipe.bore, pipe.label)
    return links
