"""What the bench shows at an hour of a year of service: the train as that hour saw it, in the shape in which everything else reads a train.

Rows of the ledger and the scale of the staircase are the same at every hour of a run, so that nothing jumps while it plays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from trainapp import units
from trainapp.checks import findings
from trainapp.checks.context import Context
from trainapp.checks.drinking import warning
from trainapp.checks.finding import Finding
from trainapp.checks.table import BACTERIA
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.cells import ledger_rows
from trainapp.reports.drawing.ledger import URGENT
from trainapp.reports.drawing.model import BenchModel, Cell, Row, StageModel, StageState, Verdict
from trainapp.reports.year_moment import ILLUSTRATIVE_WORD, Moment, StageMoment, moment, overdue, percent, stored
from trainapp.reports.year_words import marked
from trainapp.stages.working import Array, Working
from trainapp.studies.year import GoneWrong, Hour, Stand, Year, hour_of
from trainapp.studies.year.inlet import Beyond
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation, LinkResult, PointResult, Pressures, StageResult
from trainapp.train.zones import HOUSE
from trainapp.units import System

#: What stays true of a train at any hour and is drawn as such.
_STANDING = frozenset({"unprotected-path"})
_MEANING = "pressure along the pipe at the hour's hardest draw, with nothing dirty (solid) and as it is by now (dashed)"
#: m3 from which on water passed in an hour.
_LEAST = 1e-12
_IN_PART = "Mean of the hour: in some of its draws it was beyond the limit."
#: Rows of the ledger at the most, how many there are unless more matter, and how many hours are looked at to choose them.
ROWS_MOST, _ROWS_USUAL, _LOOKS = 8, 6, 16
#: Ranks of a row: the run finds it over a limit; it is of germs that make ill, which only tests can tell.
_FOUND, _GERMS = 4, 3


def model_at(year: Year, hour: float, system: System = "us", rows: Sequence[str] = (), most: int = ROWS_MOST) -> BenchModel:
    """What the bench view shows at an hour since the start.

    Args:
        rows: analytes of the ledger, in order; by default those that are ever over or near a limit in the run, at the `most` so many.
    """
    now, base = moment(year, hour), year.once(_Base)
    going = [*base.standing, *(_finding(year, wrong.told) for wrong in now.wrong)]
    model = bench_model(_evaluation(base.evaluation, now.hour), going, system)
    shown = model.findings[len(base.standing) :]
    told = tuple(replace(found, number=wrong.number) for found, wrong in zip(shown, now.wrong, strict=True))
    pressure = model.pressure
    if pressure is not None:
        highest = float(units.convert(base.most_pressure, "pressure", system))
        pressure = replace(pressure, words=("as new", "now", "at cut-in"), meaning=_MEANING, most=highest)
    return replace(
        model,
        stages=tuple(_stage(year, stage, now.stages.get(stage.id)) for stage in model.stages),
        rows=tuple(_as_listed(year, row, now.hour.slot) for row in _kept(model.rows, rows or base.rows(most))),
        pressure=pressure,
        try_flow=None,
        findings=told,
        verdict=Verdict(next((f.severity for f in told), ""), f"{clock_words(now)}.", what_flows(now, system)),
    )


def warning_of(*years: Year) -> str:
    """What to do now where the water of one of these trains must not be drunk, else ""."""
    return next((told for told in (year.once(_Base).warning for year in years) if told), "")


def clock_words(now: Moment) -> str:
    """When it is, as a sentence begins."""
    return f"{now.clock[:1].upper()}{now.clock[1:]}"


def what_flows(now: Moment, system: System) -> str:
    """What the house draws, and how warm the water is."""
    show = units.show
    drawn = (
        f"Hardest draw {show(now.draw, 'flow', system)}, {show(now.volume, 'volume', system)} in this hour."
        if now.hour.drew
        else "Nobody draws water; what flowed last stands in the pipes."
    )
    power = "" if now.power else " The power is out."
    return units.typeset(f"{drawn} Water {show(now.temperature, 'temperature', system)}.{power}")


class _Base:
    """What a train is at any hour: how it evaluates, what is found of it whatever the hour, and what its pictures share."""

    def __init__(self, year: Year) -> None:
        self._year = year
        self.evaluation = evaluate(year.machine.plan)
        found = findings(self.evaluation)
        self.standing = [finding for finding in found if finding.code in _STANDING]
        self.warning = warning(found)
        self.most_pressure = max(source.rest(False) for source in year.machine.plan.sources.values())

    def rows(self, most: int) -> tuple[str, ...]:
        """Analytes of the ledger in its order: what the run finds over a limit, however many, then what else is over or near one, then the
        usual, so many."""
        order = list(self._ranks)
        chosen = sorted(order, key=lambda key: (-self._ranks[key], order.index(key)))
        count = min(max(sum(value > 0 for value in self._ranks.values()), _ROWS_USUAL), most)
        stays = sum(value >= _FOUND for value in self._ranks.values())
        return tuple(sorted(chosen[: max(count, stays)], key=order.index))

    @cached_property
    def _beyond(self) -> frozenset[str]:
        """Analytes that the run finds beyond a limit at the house or ahead of a chamber, in whatever hour."""
        judged = self._year.judged
        found = [*judged.at_house.noticed.values(), *(b for inlet in judged.at_light.values() for b in inlet.by_analyte.values())]
        beyond = {each.row.limit.analyte for each in found if each.beyond.sum() > 0.0}
        beyond |= {analyte for analyte, each in judged.at_house.others.items() if each.failing.sum() > 0.0}
        return frozenset(beyond | {"uvt" for light in self._year.lights.values() if light.outside("water").sum() > 0.0})

    @cached_property
    def _ranks(self) -> dict[str, int]:
        """By analyte: what the run finds over a limit first, then germs; 2 where it is over one in any of some unlike hours, 1 near."""
        pieces, nodes = self._year.pieces, [*self._year.machine.plan.stages, *self._year.machine.plan.demands]
        firsts = np.unique(pieces.regime, return_index=True)[1]
        slots = np.unique(pieces.slot[firsts[:: max(len(firsts) // _LOOKS, 1)]])
        rank: dict[str, int] = {}
        for slot in slots.tolist():
            context = Context(_evaluation(self.evaluation, hour_of(self._year, slot)))
            for row in ledger_rows(context, nodes, ()):
                cells = [cell.status for cell in row.cells.values()]
                over = "over" in cells or (row.key in BACTERIA and "unknown" in cells)
                told = _FOUND if row.key in self._beyond else _GERMS if over and row.key in BACTERIA - {"iron_bacteria"} else 2 * over
                rank[row.key] = max(rank.get(row.key, 0), told, int(any(status in URGENT for status in cells)))
        return rank


def _kept(rows: Sequence[Row], keys: Sequence[str]) -> Iterator[Row]:
    by_key = {row.key: row for row in rows}
    return (replace(by_key[key], stays=True) for key in keys if key in by_key)


def _as_listed(year: Year, row: Row, slot: int) -> Row:
    """A row as the list has it: the run knows both ends, what lets raw water by, and the draws whose water the mean of an hour hides."""
    return replace(row, cells={node: _cell_as_listed(year, node, row.key, cell, slot) for node, cell in row.cells.items()})


def _cell_as_listed(year: Year, node: str, analyte: str, cell: Cell, slot: int) -> Cell:
    if cell.severity == "fail" and not _fails(year, node, analyte, slot):
        cell = replace(cell, severity="caution")
    if cell.status == "within" and any(year.pieces.by_slot(each.beyond)[slot] > 0.0 for each in _judged(year, node, analyte)):
        return replace(cell, status="near", tooltip=f"{cell.tooltip}\n{_IN_PART}".strip())
    return cell


def _judged(year: Year, node: str, analyte: str) -> tuple[Beyond, ...]:
    """What the run has of an analyte at the house or ahead of a chamber; () of what it does not judge."""
    judged = year.judged
    if node == HOUSE:
        return judged.at_house.by_analyte(analyte)
    own = judged.at_light[node].by_analyte if node in judged.at_light else {}
    return (own[analyte],) if analyte in own else ()


def _fails(year: Year, node: str, analyte: str, slot: int) -> bool:
    """Whether the run has a fail of it in the hour in which water last passed; of what the run does not judge, it may be one."""
    found = _judged(year, node, analyte)
    passed = np.flatnonzero(year.courses.volume(node)[: slot + 1] > _LEAST)
    return not found or not len(passed) or any(year.pieces.by_slot(each.failing)[passed[-1]] > 0.0 for each in found)


def _finding(year: Year, wrong: GoneWrong) -> Finding:
    # where the lamp has no light, what it was to kill is there again
    analyte = "total_coliform" if wrong.code == "unlit" and year.machine.plan.unsafe else ""
    return Finding(wrong.code, wrong.severity, wrong.stage, marked(wrong), wrong.sentence, analyte)


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


# Vessels --------------------------------------------------------------------------------------------------------------------------


def _stage(year: Year, stage: StageModel, at: StageMoment | None) -> StageModel:
    """A stage with what it looks like now."""
    if at is None:
        return stage
    inside: list[str] = []
    if at.fill is not None:
        inside += [f"{percent(at.fill)}\u202f%", "left"]
    if at.clog is not None:
        inside += overdue(year, at) or (f"{percent(at.clog)}\u202f%", "dirt")
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


def _band(least: float, most: float) -> str:
    low, high = percent(least), percent(most)
    if low == high:
        return low
    return f"≤{high}" if low.startswith("<") else f"{low}\u2013{high}"


def _lamp(at: StageMoment) -> tuple[str, ...]:
    lines: list[str] = []
    if at.lit is not None:
        lines.append("lit" if at.lit else "unlit")
    if at.film is not None:
        lines += [f"film takes {_band(*at.film)}\u202f%", f"of light, {ILLUSTRATIVE_WORD}"]
    return tuple(lines)


__all__ = ["ROWS_MOST", "clock_words", "model_at", "warning_of", "what_flows"]
