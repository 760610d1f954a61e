"""The bench at an hour of a year of service: what every vessel looks like, and flow, water and pressure of that hour under it.

Values are those of the hour, read from the run, none of them between two. The picture of a film on a sleeve is illustrative: the word
stands in the picture, its number is a band, and beside it time is told in months of use instead of dates.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from trainapp import units
from trainapp.checks import findings
from trainapp.checks.finding import Finding
from trainapp.checks.germs import NOT_NOW
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Display, Measure
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import BenchModel, FindingModel, StageModel, StageState, Verdict
from trainapp.reports.drawing.view import View, layout
from trainapp.reports.year_moment import ILLUSTRATIVE_WORD, Moment, StageMoment, moment, percent, stored
from trainapp.stages.working import Array, Working
from trainapp.studies.year import Hour, Stand, Year
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation, LinkResult, PointResult, Pressures, StageResult
from trainapp.units import System

#: What stays true of a train at any hour and is drawn as such.
_STANDING = frozenset({"unprotected-path"})
_MEANING = "pressure along the pipe at the hour's hardest draw, with nothing dirty (solid) and as it is by now (dashed)"


def bench_at(
    year: Year,
    hour: float,
    *,
    width: float,
    height: float,
    system: System = "us",
    measure: Measure = measure_dejavu,
    bench_only: bool = False,
    headline: bool = True,
) -> Display:
    """The bench at an hour since the start of a run, as a display list.

    Args:
        width, height: px; where the bench needs more of them it scrolls, see :func:`view_at`.
        bench_only: vessels and names alone, for lessons and for two trains beside each other.
        headline: whether a line above says when it is and what goes wrong.
    """
    options = Options(width=width, height=height, headline=headline, bands=not bench_only)
    return view_at(year, hour, options, system=system, measure=measure).display


def view_at(year: Year, hour: float, options: Options, *, system: System = "us", measure: Measure = measure_dejavu) -> View:
    """The same as a view that can be panned and asked what lies under a point."""
    return layout(model_at(year, hour, system), options, measure)


def model_at(year: Year, hour: float, system: System = "us") -> BenchModel:
    """What the bench view shows at an hour."""
    now, base = moment(year, hour), year.once(_Base)
    going = [*base.standing, *(_finding(year, wrong.number) for wrong in now.wrong)]
    model = bench_model(_evaluation(base.evaluation, now.hour), going, system)
    shown = model.findings[len(base.standing) :]
    told = tuple(replace(found, number=wrong.number) for found, wrong in zip(shown, now.wrong, strict=True))
    pressure = model.pressure
    if pressure is not None:
        pressure = replace(pressure, words=("as new", "now", "at cut-in"), meaning=_MEANING)
    return replace(
        model,
        stages=tuple(_stage(year, stage, now.stages.get(stage.id)) for stage in model.stages),
        pressure=pressure,
        try_flow=None,
        findings=told,
        verdict=_verdict(now, told, base, system),
    )


class _Base:
    """What a train is at any hour: how it evaluates, and what is found of it whatever the hour."""

    def __init__(self, year: Year) -> None:
        self.evaluation = evaluate(year.machine.plan)
        found = findings(self.evaluation)
        self.standing = [finding for finding in found if finding.code in _STANDING]
        self.warned = any(NOT_NOW in finding.message for finding in found)


# Numbers of the hour --------------------------------------------------------------------------------------------------------------


def _evaluation(usual: Evaluation, hour: Hour) -> Evaluation:
    """The train as an hour saw it, in the shape in which everything else reads a train."""
    return replace(
        usual,
        points={node: _point(point, hour) for node, point in usual.points.items()},
        stages={node: _stage_result(result, hour) for node, result in usual.stages.items()},
        links={key: _link(link, hour.links.get(key, 0.0)) for key, link in usual.links.items()},
        while_cleaning={},
        gaps=(),
    )


def _flows(flow: float) -> Array:
    return np.full(3, flow)


def _pressures(stand: Stand) -> Pressures:
    return Pressures(stand.clean, stand.now, stand.lowest)


def _point(point: PointResult, hour: Hour) -> PointResult:
    at = point.at
    return replace(
        point,
        flow=_flows(hour.through.get(at, 0.0)),
        pressure=_pressures(hour.outlet[at]),
        water=hour.leaving[at],
        measured={},
        predicted=None,
    )


def _stage_result(result: StageResult, hour: Hour) -> StageResult:
    node = result.stage.id
    inlet, outlet = hour.inlet[node], hour.outlet[node]
    return replace(
        result,
        inlet=hour.entering[node],
        outlet=hour.leaving[node],
        flow=_flows(hour.through[node]),
        inlet_pressure=_pressures(inlet),
        headloss_clean=max(inlet.clean - outlet.clean, 0.0),
        headloss_dirty=max(inlet.now - outlet.now, 0.0),
        working=_of_one_water(result.working),
    )


def _of_one_water(working: Working) -> Working:
    """The results that checks ask for, of the design's own water."""
    made = Working()
    for name in ("sleeve_index",):
        found = working.result(name)
        if found is not None:
            made.step(name, "", found.value[..., :1] if found.value.ndim == 3 else found.value, result=name)
    return made


def _link(link: LinkResult, flow: float) -> LinkResult:
    peak = float(link.flow[-1])
    return replace(link, flow=_flows(flow), velocity=link.velocity * flow / peak if peak > 0.0 else 0.0)


# Words of the hour ----------------------------------------------------------------------------------------------------------------


def _finding(year: Year, number: int) -> Finding:
    wrong = year.gone_wrong[number - 1]
    # where the lamp has no light, what it was to kill is there again
    analyte = "total_coliform" if wrong.code == "unlit" and year.machine.plan.unsafe else ""
    return Finding(wrong.code, wrong.severity, wrong.stage, wrong.sentence.split(". ")[0].rstrip("."), wrong.sentence, analyte)


def _verdict(now: Moment, told: tuple[FindingModel, ...], base: _Base, system: System) -> Verdict:
    """When it is, what flows, and what goes wrong in this hour."""
    show = units.show
    if now.hour.drew:
        drawn = f"Hardest draw {show(now.draw, 'flow', system)}, {show(now.volume, 'volume', system)} in this hour."
    else:
        drawn = "Nobody draws water; what flowed last stands in the pipes."
    parts = [drawn, f"Water {show(now.temperature, 'temperature', system)}."]
    parts += ["The power is out."] if not now.power else []
    parts += [f"{found.number}: {found.title}." for found in told]
    worst = next((severity for severity in ("fail", "caution", "note") if any(found.severity == severity for found in told)), "")
    return Verdict(
        mark=worst,  # type: ignore[arg-type]
        headline=f"{now.clock[:1].upper()}{now.clock[1:]}.",
        rest=units.typeset(" ".join(parts)),
        warning=NOT_NOW if base.warned else "",
    )


# Vessels --------------------------------------------------------------------------------------------------------------------------

_INSIDE_WORDS: Mapping[str, str] = {"cartridge": "dirt", "tank": "dirt"}


def _stage(year: Year, stage: StageModel, at: StageMoment | None) -> StageModel:
    """A stage with what it looks like now."""
    if at is None:
        return stage
    inside: list[str] = []
    if at.fill is not None:
        inside += [f"{percent(at.fill)}\u202f%", "left"]
    if at.clog is not None:
        inside += [f"{percent(at.clog)}\u202f%", "dirt"]
    washing = next((word for word in at.words if word in ("washing", "regenerating")), "")
    state = StageState(
        fill=at.fill,
        clog=at.clog,
        film=at.film[1] if at.film is not None else None,
        store=at.store,
        lit=at.lit,
        doing=washing,
        inside=tuple(inside),
        beside=(f"{percent(at.store)}\u202f%", stored(year, stage.id)) if at.store is not None else (),
        lamp=_lamp(at),
        illustrative=at.illustrative,
    )
    return replace(stage, state=state, tooltip=units.typeset("\n".join([stage.tooltip, *at.words])))


def _lamp(at: StageMoment) -> tuple[str, ...]:
    lines: list[str] = []
    if at.lit is not None:
        lines.append("lit" if at.lit else "unlit")
    if at.film is not None:
        low, high = (percent(share) for share in at.film)
        lines += [f"film takes {low}\u2013{high}\u202f%" if low != high else f"film takes {low}\u202f%", f"of light, {ILLUSTRATIVE_WORD}"]
    return tuple(lines)


__all__ = ["bench_at", "model_at", "view_at"]
