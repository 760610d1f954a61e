"""When stages clean themselves: the hour that each clock is set to, so that no two clean at one time, and what calls for a cleaning."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainapp.stages.ageing import Washing
from trainapp.studies.cost.use import duty_of
from trainapp.train.evaluation import Evaluation, StageResult

_DAY = 24.0
#: Clocks are set to a quarter of an hour.
_STEP = 0.25
_SLACK = 1e-6


@dataclass(frozen=True, slots=True)
class Slot:
    """The time that one stage takes to clean all of its units; hours of the day.

    Attributes:
        asked: hour that it begins at by the document, or by default. hour: that its clock is set to. hours: how long, all units in turn.
    """

    asked: float
    hour: float
    hours: float

    @property
    def is_moved(self) -> bool:
        """Whether another stage cleans itself at the hour that was asked."""
        return abs(self.asked - self.hour) > _SLACK


def washing_of(evaluation: Evaluation, result: StageResult) -> Washing | None:
    """What calls for the cleanings of a stage; None where it does not clean itself."""
    if result.cleaning is None:
        return None
    ageing = result.stage.ageing(result.inlet, duty_of(evaluation.plan, result.flow, result.daily, result.stage.count))
    return (ageing.washing if ageing else None) or Washing(result.cleaning, result.cleaning.every_days)


def slots(evaluation: Evaluation) -> Mapping[str, Slot]:
    """The hours of all stages that clean themselves at a set hour, in the order of the night.

    An hour that the document gives stands; the others follow in flow order, each at its own hour or, where another stage cleans itself
    then, at the next quarter of an hour that is free.
    """
    asked: list[tuple[bool, float, str, float]] = []
    for node, result in evaluation.stages.items():
        washing = washing_of(evaluation, result)
        if result.cleaning is not None and washing is not None and not washing.at_once:
            long = result.cleaning.total_minutes / 60.0 * result.stage.count
            asked.append(("clean_at" not in result.stage.settings.given, result.cleaning.hour % _DAY, node, long))
    found: dict[str, Slot] = {}
    for _, hour, node, long in sorted(asked, key=lambda entry: entry[:2]):
        found[node] = Slot(hour, _free(hour, long, list(found.values())), long)
    return dict(sorted(found.items(), key=lambda item: item[1].hour))


def _free(hour: float, long: float, taken: Sequence[Slot]) -> float:
    """The first hour from this one at which nothing else runs; the hour itself where a day has no such."""
    start = hour
    while start < hour + _DAY:
        behind = [(slot.hour + slot.hours - start) % _DAY for slot in taken if _overlap(start, long, slot)]
        if not behind:
            return start % _DAY
        start = math.ceil((start + max(behind)) / _STEP - _SLACK) * _STEP
    return hour


def _overlap(start: float, long: float, slot: Slot) -> bool:
    return (slot.hour - start) % _DAY < long - _SLACK or (start - slot.hour) % _DAY < slot.hours - _SLACK


def clock(hour: float) -> str:
    """An hour of the day: "02:30"."""
    minutes = round(hour * 60.0) % 1440
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def days(count: float) -> str:
    """So many days, as a table says them: "day", "3 days"."""
    shown = round(count, 1)
    return "day" if shown == 1 else f"{shown:g} days"


def whole_days(every: float) -> str:
    """What a clock that counts days is set to, so that it is never later than asked."""
    return days(float(max(math.floor(every + _SLACK), 1)))
