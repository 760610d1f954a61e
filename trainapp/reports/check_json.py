"""The answer of `trainapp check --json`: contract section 3, built from an evaluation and its findings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from trainapp import units
from trainapp.checks import not_judged, verdict
from trainapp.checks.finding import Amount, Finding
from trainapp.sources import source
from trainapp.stages.leaving import adverse_ends, worst_flow
from trainapp.stages.working import FLOWS, PEAK, Step, Working
from trainapp.train.evaluation import Evaluation, PointResult, Pressures, StageResult
from trainapp.water.analytes import ANALYTES, BY_KEY, Analyte
from trainapp.water.raw import Assumption, assumptions
from trainapp.water.sample import Result
from trainapp.water.stream import Stream

JSON = dict[str, Any]


def check_json(evaluation: Evaluation, findings: Sequence[Finding]) -> JSON:
    """The whole answer as one JSON object of plain values (no NaN)."""
    capacity = evaluation.capacity
    return {
        "format": "trainapp/check",
        "version": 1,
        "verdict": verdict(findings),
        "not_judged": list(not_judged(evaluation)),
        "assumptions": [_assumption(a) for a in assumptions(evaluation.plan.raw.sheet)],
        "capacity": {
            "flow": units.to_json(capacity.flow, "flow"),
            "at": capacity.at,
            "limited_by": capacity.limited_by,
            "lasting": capacity.lasting,
            "working": working_json(capacity.working),
        },
        "findings": [finding_json(f) for f in findings],
        "points": [_point(evaluation, point) for point in evaluation.points.values()],
        "stages": [_stage(stage) for stage in evaluation.stages.values()],
    }


def _assumption(assumption: Assumption) -> JSON:
    return {"sentence": assumption.sentence, "source": source(assumption.source).label, "source_status": assumption.status}


def finding_json(finding: Finding) -> JSON:
    """One finding; `source` in words, `source_status` how sure it is."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "stage": finding.stage,
        "analyte": finding.analyte,
        "also_at": list(finding.also_at),
        "value": amount_json(finding.value),
        "limit": amount_json(finding.limit),
        "source": source(finding.source).label if finding.source else "",
        "source_status": finding.status,
        "title": finding.title,
        "message": finding.message,
        "cautions": list(finding.cautions),
        "accepted": finding.accepted,
        "remedies": [dict(r) for r in finding.remedies],
    }


def amount_json(amount: Amount | None) -> JSON | None:
    """{magnitude, unit}, or {low, high, unit} for an interval."""
    if amount is None or not math.isfinite(amount.low):
        return None
    if amount.low == amount.high:
        return _number(amount.low, amount.dimension, amount.unit)
    unit = amount.unit or units.unit(amount.dimension, "json")
    high = None if amount.high is None or math.isinf(amount.high) else _converted(amount.high, amount.dimension)
    return {"low": _converted(amount.low, amount.dimension), "high": high, "unit": unit}


def working_json(working: Working) -> list[JSON]:
    """Steps in calculation order; what has no answer in this water is missing, as an unknown analyte is."""
    return [_step(step) for step in working.steps if math.isfinite(step.value)]


def _step(step: Step) -> JSON:
    unit = step.unit if step.dimension == "none" else units.unit(step.dimension, "json")
    return {
        "symbol": step.symbol,
        "meaning": step.meaning,
        "formula": step.formula,
        "value": _converted(step.value, step.dimension),
        "unit": unit,
        "source": source(step.source).label if step.source else "",
        **_ends(step),
        **({"result": step.result} if step.result else {}),
        **({"note": step.note} if step.note else {}),
    }


def _ends(step: Step) -> JSON:
    """Both ends of a step whose two readings differ; `value` is the adverse one."""
    if step.other == step.value or not (math.isfinite(step.other) and math.isfinite(step.value)):
        return {}
    low, high = sorted((_converted(step.value, step.dimension), _converted(step.other, step.dimension)))
    return {"low": low, "high": high}


def _converted(value: float, dimension: str) -> float:
    return value if dimension == "none" else units.convert(value, dimension, "json")


def _number(value: float, dimension: str, unit: str = "") -> JSON:
    text = unit if dimension == "none" else units.unit(dimension, "json")
    return {"magnitude": _converted(value, dimension), "unit": text}


def _pressure(pressure: Pressures) -> JSON:
    return {name: units.to_json(getattr(pressure, name), "pressure") for name in ("clean", "dirty", "lowest")}


def _point(evaluation: Evaluation, point: PointResult) -> JSON:
    # where a sample was taken: what the models say, and the sample beside it
    water = point.predicted or point.water
    known = [a for a in ANALYTES if a.key != "settles_overnight" and _is_told(evaluation, water, a)]
    return {
        "at": point.at,
        "flow": units.to_json(float(point.flow[PEAK]), "flow"),
        "pressure": _pressure(point.pressure),
        "water": {a.key: _water(evaluation, water, a) for a in known},
        **({"measured": {name: _measured(result) for name, result in point.measured.items()}} if point.measured else {}),
        "unknown": [a.key for a in ANALYTES if a.key != "settles_overnight" and a not in known],
        "worst": _worst(water, known),
        "working": working_json(point.working),
    }


def _is_told(evaluation: Evaluation, water: Stream, analyte: Analyte) -> bool:
    if analyte.key in evaluation.plan.raw.states:
        return True
    return bool(water.is_known(analyte.key)[0]) and not bool(np.isnan(water.get(analyte.key)[:, PEAK, 0]).any())


def _water(evaluation: Evaluation, water: Stream, analyte: Analyte) -> JSON:
    state = evaluation.plan.raw.states.get(analyte.key)
    if state is not None:
        return _state(evaluation.plan.raw.sheet[analyte.key])
    low, high = (float(end[PEAK, 0]) for end in (water.low(analyte.key), water.high(analyte.key)))
    measured = evaluation.plan.raw.sheet.get(analyte.key)
    # what a test could only call "more than" has no upper end, whatever models go on with
    unbounded = math.isinf(high) or (measured is not None and math.isinf(measured.high) and low < high)
    return amount_json(Amount(low, None if unbounded else high, analyte.dimension)) or {}


def _measured(result: Result) -> JSON:
    """A result of a sample of treated water, as values are told everywhere."""
    if result.kind == "state":
        return _state(result)
    return amount_json(Amount(result.low, None if math.isinf(result.high) else result.high, BY_KEY[result.analyte].dimension)) or {}


def _state(result: Result) -> JSON:
    """A word; too numerous to count is at least so many, without an upper end."""
    if result.state != "TNTC":
        return {"state": result.state}
    return amount_json(Amount(result.low, None, BY_KEY[result.analyte].dimension)) or {}


def _worst(water: Stream, known: Iterable[Analyte]) -> JSON:
    """The adverse end at trickle or average where it is worse than at the peak."""
    worst = {}
    for analyte in known:
        flow = worst_flow(water, analyte)
        value = float(adverse_ends(water, analyte)[FLOWS.index(flow)])
        if flow != "peak" and math.isfinite(value):
            worst[analyte.key] = {**_number(value, analyte.dimension), "flow": flow}
    return worst


def _stage(result: StageResult) -> JSON:
    """One stage; flow and losses are of all its `units` together, results and working of one of them."""
    return {
        "id": result.stage.id,
        "kind": result.stage.spec.kind,
        "units": result.stage.count,
        "flow": units.to_json(float(result.flow[PEAK]), "flow"),
        "headloss_clean": units.to_json(result.headloss_clean, "pressure"),
        "headloss_dirty": units.to_json(result.headloss_dirty, "pressure"),
        "results": {
            name: _number(r.shown, r.dimension, r.unit)
            for name, r in result.working.results.items()
            # what has no answer in this water is missing, as an unknown analyte is
            if name not in {"flow", "headloss_clean", "headloss_dirty"} and math.isfinite(r.shown)
        },
        "working": working_json(result.working),
    }
