"""Stages that clean themselves: `backwash-short`, `raw-while-cleaning`, `cleaning-together`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

import numpy as np

from trainapp.checks.context import SUPPLY, Context, analyte_inside, analyte_label, listed, start
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.judge import RANK
from trainapp.hydraulics.supply import Well
from trainapp.stages.base import Cleaning, Severity
from trainapp.train.evaluation import Evaluation, StageResult
from trainapp.water.analytes import BY_KEY

_SLACK = 1 - 1e-3


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each stage that cleans itself, then pairs of them, then the chambers behind them."""
    washers = {stage: result for stage, result in evaluation.stages.items() if result.cleaning is not None}
    for stage, result in washers.items():
        yield from _short(context, stage, result)
    yield from _together(context, washers)
    for uv in context.ultraviolet:
        yield from _raw(evaluation, context, uv)


# Enough water to wash -----------------------------------------------------------------------------------------------------


def _short(context: Context, stage: str, result: StageResult) -> Iterator[Finding]:
    """A fail only where the flow is below both what the model asks and what published practice asks at the least."""
    wash, given = result.cleaning, result.backwash_available
    if wash is None or given is None:
        return
    name = context.name(stage)
    least = wash.published[0] if wash.published else wash.flow
    if given < wash.flow * _SLACK:
        both = given < least * _SLACK
        practice = [context.show(flow, "flow") for flow in wash.published or ()]
        published = f" ({' to '.join(practice)} by published practice)" if practice else ""
        yield Finding(
            "backwash-short", "fail" if both else "caution", stage, f"Too little flow to wash {name}",
            f"To lift its bed {name} asks for {context.show(wash.flow, 'flow')}{published}; at the lowest pressure the supply gives "
            f"{context.show_against(given, wash.flow, 'flow')} there.",
            value=Amount.of(given, "flow"), limit=Amount.of(min(wash.flow, least), "flow"), source="computed", status="computed",
            cause=f"backwash-short:{context.twin(stage)}",
        )  # fmt: skip
    well = context.plan.sources[SUPPLY]
    if not isinstance(well, Well) or well.yield_flow is None:
        return
    drawdown = well.tank.drawdown if well.tank else 0.0
    spare = drawdown + well.yield_flow * wash.total_minutes * 60.0
    if wash.volume > spare:
        yield Finding(
            "backwash-short", "caution", stage, f"Too little water to wash {name}",
            f"A {wash.name} of {name} takes {context.show(wash.volume, 'volume')}; the well and its tank give "
            f"{context.show_against(spare, wash.volume, 'volume')} in that time, the rest comes from what stands in the casing.",
            value=Amount.of(spare, "volume"), limit=Amount.of(wash.volume, "volume"), source="computed", status="computed",
            cause=f"backwash-volume:{context.twin(stage)}",
        )  # fmt: skip


# At the same hour ---------------------------------------------------------------------------------------------------------


def _together(context: Context, washers: dict[str, StageResult]) -> Iterator[Finding]:
    """Two stages whose cleanings overlap on one well: a caution where the pump cannot wash both, else a note to set the clocks."""
    well = context.plan.sources[SUPPLY]
    if not isinstance(well, Well):
        return
    pairs = [(a, b) for a, b in combinations(washers, 2) if _overlap(washers[a], washers[b])]
    if not pairs:
        return
    flow = {s: _cleaning(washers[s]).flow for s in washers}
    pair = max(pairs, key=lambda p: flow[p[0]] + flow[p[1]])
    both, most = flow[pair[0]] + flow[pair[1]], well.pumped_at(well.cut_in if well.control == "switch" else well.set_pressure)
    severity: Severity = "caution" if both > most and all(flow[s] <= most for s in pair) else "note"
    others = sorted({s for p in pairs for s in p} - {pair[0]}, key=context.rank.__getitem__)
    yield Finding(
        "cleaning-together", severity, pair[0], "Two stages clean themselves at the same hour",
        f"{start(context.names([pair[0], *others]))} are set to the same hour; the two greediest together ask for "
        f"{context.show(both, 'flow')} and the pump gives {context.show(most, 'flow')}: set their clocks apart.",
        value=Amount.of(both, "flow"), limit=Amount.of(most, "flow"), source="common-practice", status="common practice",
        also_at=tuple(others), cause="cleaning-together",
    )  # fmt: skip


def _cleaning(result: StageResult) -> Cleaning:
    assert result.cleaning is not None
    return result.cleaning


def _overlap(a: StageResult, b: StageResult) -> bool:
    """Whether one begins before all units of the other are done."""
    after = (_cleaning(b).hour - _cleaning(a).hour) % 24.0
    return after < _hours(a) or 24.0 - after < _hours(b)


def _hours(result: StageResult) -> float:
    """How long all units of a stage take, one after the other."""
    return _cleaning(result).total_minutes / 60.0 * result.stage.count


# Raw water meanwhile ------------------------------------------------------------------------------------------------------


def _raw(evaluation: Evaluation, context: Context, uv: str) -> Iterator[Finding]:
    """What reaches a chamber while a stage ahead is passed by: every limit of the chamber that breaks then and not otherwise."""
    table, rows = context.table, context.table.of(uv)
    if not rows:
        return
    ranks = context.ranks[rows]
    broken: dict[str, list[int]] = {}
    for stage, case in evaluation.while_cleaning.items():
        if stage in context.before(uv):
            worse = np.flatnonzero((ranks[:, case] > ranks[:, 0]) & (ranks[:, case] >= 2) & table.known[rows])
            if worse.size:
                # what the passing by makes worse speaks, not what is as bad at its adverse end anyway
                told = [rows[i] for i in worse]
                broken[stage] = [i for i in told if table.rows[i].limit.analyte == "uvt" or _moves(context, i, case)] or told
    if not broken:
        return
    stages = sorted(broken, key=context.rank.__getitem__)
    keys = list(dict.fromkeys(table.rows[i].limit.analyte for stage in stages for i in broken[stage]))
    dark = context.needs_disinfection and any(
        table.rows[i].limit.analyte == "uvt" and RANK[table.outcome[i, :, evaluation.while_cleaning[s]]].max() == 3
        for s in stages for i in broken[s]
    )  # fmt: skip
    first = "uvt" if dark else keys[0]
    stage = next(s for s in stages if any(table.rows[i].limit.analyte == first for i in broken[s]))
    index = next(i for i in broken[stage] if table.rows[i].limit.analyte == first)
    yield _passing(context, uv, stage, [s for s in stages if s != stage], keys, index, evaluation.while_cleaning[stage], dark)


def _moves(context: Context, index: int, case: int) -> bool:
    """Whether the adverse end of a row is another one in this case than in the design sample."""
    here, usual = _side(context, index, case)[0], _side(context, index, 0)[0]
    return abs(here - usual) > 0.01 * abs(usual)


def _side(context: Context, index: int, case: int) -> tuple[float, float]:
    """The adverse end of a row in one case and the side of its limit that it breaks."""
    table, limit = context.table, context.table.rows[index].limit
    low, high = float(table.low[index, :, case].min()), float(table.high[index, :, case].max())
    if limit.maximum is not None and (limit.minimum is None or high > limit.maximum):
        return high, limit.maximum
    assert limit.minimum is not None
    return low, limit.minimum


def _passing(context: Context, uv: str, stage: str, others: list[str], keys: list[str], index: int, case: int, dark: bool) -> Finding:
    limit = context.table.rows[index].limit
    value, bound = _side(context, index, case)
    dimension = BY_KEY[limit.analyte].dimension
    cleaning = context.stages[stage].cleaning
    verb = "clean themselves" if others else "cleans itself"
    minutes = f" for about {cleaning.total_minutes:.0f} minutes" if cleaning else ""
    rest = [analyte_inside(key) for key in keys if key != limit.analyte]
    also = f"; {listed(rest)} {'pass their limits' if len(rest) > 1 else 'passes its limit'} too" if rest else ""
    return Finding(
        "raw-while-cleaning", "fail" if dark else "caution", stage, f"Raw water passes {context.name(stage)} while it cleans itself",
        f"While {context.names([stage, *others])} {verb} raw water passes{minutes}: {analyte_label(limit.analyte)} at "
        f"{context.name(uv)} is then {context.show_against(value, bound, dimension, limit.analyte)}, its limit is "
        f"{context.show(bound, dimension, limit.analyte)}{also}.",
        limit.analyte, Amount.of(value, dimension), Amount.of(bound, dimension), limit.source, limit.status, also_at=tuple(others),
        cause=f"raw-while-cleaning:{stage}", cautions=("Draw no drinking water at that hour.",) if dark else (),
    )  # fmt: skip
