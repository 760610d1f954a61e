"""Water that entered a chamber beyond what may, piece by piece, judged as the checks judge it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from trainapp.checks.context import Context
from trainapp.checks.policy import amount
from trainapp.checks.table import Row, limits_judged
from trainapp.stages.working import Array
from trainapp.studies.year.light import Flags, Light
from trainapp.studies.year.machine import Machine, Regime
from trainapp.studies.year.response import Response
from trainapp.water.stream import Stream

_CODE, _FAR = "inlet-limit-", "-far"
#: A value this little beyond a limit is not beyond it.
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Beyond:
    """One analyte at one chamber; seconds of each piece, shape (pieces,).

    Attributes:
        row: the limit, and where caution and fail begin.
        beyond: in which water passed beyond the limit. failing: of these, in which that is a fail and no caution.
    """

    row: Row
    beyond: Array
    failing: Array


@dataclass(frozen=True, slots=True)
class Inlet:
    """What entered one chamber: by analyte, of those that could be judged; `any` beyond any of the limits, shape (pieces,)."""

    by_analyte: Mapping[str, Beyond]
    any: Array


def code_of(analyte: str, far: bool) -> str:
    """Name in results of water beyond a limit; `far` where what began as a caution became a fail."""
    return f"{_CODE}{analyte}{_FAR if far else ''}"


def read_code(code: str) -> tuple[str, bool] | None:
    """The analyte of such a name and whether it is the fail behind a caution; None of any other name."""
    if not code.startswith(_CODE):
        return None
    return code.removeprefix(_CODE).removesuffix(_FAR), code.endswith(_FAR)


def inlet_of(light: Light) -> Inlet:
    """Judge the water that entered a chamber."""
    pieces, machine = light.pieces, light.pieces.machine
    context, first = Context(machine.usual), pieces.regimes[0].response.entering[light.node]
    judged = [row for row in limits_judged(context) if row.at == light.node and row.kind != "rated"]
    rows = [row for row in judged if first.is_known(row.limit.analyte).all()]
    lasting = np.zeros((len(rows), 2, len(pieces.start)))
    any_of = np.zeros(len(pieces.start))
    for regime, at in pieces.groups():
        flags = [_flags(light, regime, row) for row in rows]
        for i, (beyond, failing) in enumerate(flags):
            lasting[i, 0, at], lasting[i, 1, at] = light.passing[at] @ beyond, light.passing[at] @ failing
        if flags:
            any_of[at] = light.passing[at] @ np.any([beyond for beyond, _ in flags], axis=0)
    found: dict[str, Beyond] = {}
    for row, (beyond, failing) in zip(rows, lasting, strict=True):
        own = found.get(row.limit.analyte)
        # the guide that an override without a source leaves standing lies inside it, or the other way round
        found[row.limit.analyte] = Beyond(
            row if own is None or beyond.sum() > own.beyond.sum() else own.row,
            beyond if own is None else np.maximum(beyond, own.beyond),
            failing if own is None else np.maximum(failing, own.failing),
        )
    return Inlet(found, any_of)


def _flags(light: Light, regime: Regime, row: Row) -> tuple[Flags, Flags]:
    """Ways whose water is beyond a limit, and those where that is a fail, shape (ways,)."""
    beyond, failing = flags(light.pieces.machine, row, regime, lambda response: response.entering[light.node])
    if row.scales:
        beyond = beyond & light.scales(regime)
        failing = failing & light.scales(regime, amount("sleeve_index_sure"))
    return beyond, failing


def flags(machine: Machine, row: Row, regime: Regime, of: Callable[[Response], Stream], tested: bool = False) -> tuple[Flags, Flags]:
    """Ways whose water is beyond a limit, and those where that is a fail, as the checks judge it; shape (ways,) each.

    Beyond it is what the reading that runs says; a fail needs both ends. What only comes of a stage that raw water passes while it cleans
    itself is a caution, but for darker water ahead of a lamp that it needs.

    Args:
        row: the limit with its steps. of: the water at its place. tested: whether it was measured there.
    """
    raw, situation = machine.season.raws[regime.situation.raw], regime.situation
    beyond, failing = _steps(machine, row, of(regime.response), raw, tested)
    if situation.passed and failing.any() and not (row.limit.analyte == "uvt" and machine.plan.unsafe):
        usual = machine.regime(replace(situation, passed=frozenset()))
        failing = failing & _steps(machine, row, of(usual.response), raw, tested)[1]
    return beyond, failing


def _steps(machine: Machine, row: Row, water: Stream, raw: Stream, tested: bool) -> tuple[Flags, Flags]:
    ends = water.get(row.limit.analyte)[:, 0]
    simply = _reached(machine, row, water, raw)
    above, below = (np.full(simply.shape, side[2]) for side in (row.above, row.below))
    if row.raw_fails:
        above[simply] = row.above[1]
    if row.predicted and not tested:
        above[~simply] *= 1.0 + amount("model_accuracy")
    beyond = _outside(machine.row(water, row.limit.analyte), np.asarray(row.above[1]), np.asarray(row.below[1]))
    return beyond, beyond & _outside(ends[0], above, below) & _outside(ends[1], above, below)


def _reached(machine: Machine, row: Row, water: Stream, raw: Stream) -> Flags:
    """Ways in which raw water simply reaches a place, shape (ways,)."""
    value, came = machine.row(water, row.limit.analyte), machine.row(raw, row.limit.analyte)
    return np.asarray(np.abs(value - came) <= np.abs(came) * amount("raw_reaches"))


def as_raw(light: Light, piece: int, row: Row) -> bool:
    """Whether raw water simply reached the chamber in a piece."""
    machine, regime = light.pieces.machine, light.pieces.regimes[light.pieces.regime[piece]]
    simply = _reached(machine, row, regime.response.entering[light.node], machine.season.raws[regime.situation.raw])
    return bool((simply & (light.passing[piece] > 0.0)).any())


def _outside(value: Array, most: Array, least: Array) -> Flags:
    return np.asarray((value > most * (1.0 + _SLACK)) | (value < least * (1.0 - _SLACK)))
