"""What stages say of themselves that hangs on a value nobody measured: tried at both plausible ends of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from trainapp.checks.finding import SEVERITIES
from trainapp.stages.base import Remark
from trainapp.train.evaluate import remarks_in
from trainapp.train.evaluation import Evaluation, StageResult
from trainapp.water.analytes import BY_KEY

if TYPE_CHECKING:
    from trainapp.checks.context import Context

_CAUTION = 2
#: Part of a value within which two are the same.
_SAME = 1e-6
#: Code and analyte: what makes two remarks of a stage the same one.
_Key = tuple[str, str]


@dataclass(slots=True)
class Shaken:
    """What is another at one plausible end than at the other, as far as it is a caution or a fail at one of them.

    Attributes:
        by: (stage, title of what is said there) of every remark that hangs on an analyte, by analyte.
        sure: what of each such remark is sure: the mildest of both ends, None where one end says nothing; by stage and remark.
    """

    by: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    sure: dict[tuple[str, _Key], Remark | None] = field(default_factory=dict)


def shaken(context: Context) -> Shaken:
    """What rests on the gaps of a design evaluation; the same for every evaluation of one plan."""
    evaluation = context.evaluation
    return context.plan.once_for("rests on a gap", lambda: _shaken(evaluation)) if evaluation.gaps else Shaken()


def said_for_sure(context: Context, stage: str) -> Sequence[Remark]:
    """The remarks of a stage, each no worse than it is whatever was not measured."""
    rests, said = shaken(context), []
    for remark in context.evaluation.stages[stage].remarks:
        sure = rests.sure.get((stage, _key(remark)), remark)
        if sure is not None:
            said.append(sure if _rank(sure) < _rank(remark) else remark)
    return said


def _shaken(evaluation: Evaluation) -> Shaken:
    found = Shaken()
    # light that was not measured is told by the chamber itself
    told_there = any("disinfection" in result.stage.spec.tags for result in evaluation.stages.values())
    for analyte, low, high in evaluation.gaps:
        if analyte == "uvt" and told_there:
            continue
        for stage, result in evaluation.stages.items():
            if _differ(result, low, high):
                _compare(found, analyte, stage, *(_worst(remarks_in(evaluation, stage, case)) for case in (low, high)))
    return found


def _differ(result: StageResult, low: int, high: int) -> bool:
    """Whether anything that the stage reads or is judged by enters it otherwise at the one end than at the other."""
    read = dict.fromkeys((*result.stage.spec.needs, *(limit.analyte for limit in result.stage.limits())))
    ends = (result.inlet.get(analyte)[..., [low, high]] for analyte in read if analyte in BY_KEY)
    return any(not np.allclose(end[..., 0], end[..., 1], rtol=_SAME, atol=0.0, equal_nan=True) for end in ends)


def _compare(found: Shaken, analyte: str, stage: str, low: Mapping[_Key, Remark], high: Mapping[_Key, Remark]) -> None:
    for key in dict.fromkeys((*low, *high)):
        ends = [end.get(key) for end in (low, high)]
        mild, bad = sorted(ends, key=_rank)
        if bad is None or _rank(bad) < _CAUTION or _rank(mild) == _rank(bad):
            continue
        found.by.setdefault(analyte, []).append((stage, bad.title))
        before = found.sure.get((stage, key), mild)
        found.sure[stage, key] = mild if _rank(mild) < _rank(before) else before


def _worst(remarks: Sequence[Remark]) -> dict[_Key, Remark]:
    worst: dict[_Key, Remark] = {}
    for remark in remarks:
        if _rank(remark) > _rank(worst.get(_key(remark))):
            worst[_key(remark)] = remark
    return worst


def _key(remark: Remark) -> _Key:
    return remark.code, remark.analyte


def _rank(remark: Remark | None) -> int:
    """0 for nothing, 1 note, 2 caution, 3 fail."""
    return 0 if remark is None else len(SEVERITIES) - SEVERITIES.index(remark.severity)
