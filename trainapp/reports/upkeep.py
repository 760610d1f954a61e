"""The upkeep plan: what every stage of a train, and the site, asks for, how often, and what it uses."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from trainapp import units
from trainapp.dimensions import DAY, YEAR
from trainapp.reports.job_sheet_lines import Line, lines
from trainapp.spelling import spelt
from trainapp.stages.base import Chore
from trainapp.studies.cost.use import duty_of
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

Unit = Literal["day", "week", "month", "year"]

_DAYS: dict[Unit, float] = {"year": YEAR / DAY, "month": YEAR / DAY / 12.0, "week": 7.0}
#: An interval this near to whole months or years, in months or years, is one of them.
_NEAR = 0.05
#: Longer than anyone plans for.
_LONGEST = 50.0 * YEAR / DAY


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Every `count` units of time."""

    unit: Unit
    count: int

    @property
    def length(self) -> str:
        """How long that is: "1 month", "10 years"."""
        return f"{self.count} {self.unit}{'s' * (self.count != 1)}"

    @property
    def text(self) -> str:
        """As a table says it: "every month", "every 10 years"."""
        return f"every {self.unit if self.count == 1 else self.length}"


@dataclass(frozen=True, slots=True)
class Task:
    """One chore of the train.

    Attributes:
        stage: id of the stage, "" for the site.
        what: what is done, with the cautions that go with it.
        every_days: days between.
        item, amount, dimension: what one unit of the stage uses each time ("" for nothing); `amount` in internal units.
        units: how many units there are.
        once: done one time alone, `every_days` after start-up.
        source, status: where it comes from and how sure that is.
    """

    stage: str
    what: str
    every_days: float
    item: str
    amount: float
    dimension: str
    source: str
    status: str
    units: int = 1
    once: bool = False

    @property
    def told(self) -> str:
        """What is done, as its reader spells it; the log keeps `what`."""
        return spelt(self.what)

    @property
    def short(self) -> str:
        """What is done, in one clause."""
        return re.split(r"[.;](?:\s|$)", self.what, maxsplit=1)[0]

    @property
    def rhythm(self) -> Rhythm:
        """How often, in the unit that people plan in."""
        return rhythm_of(self.every_days)

    @property
    def when(self) -> str:
        """How often, as a table says it."""
        return f"once, {self.rhythm.length} after start-up" if self.once else self.rhythm.text

    def uses(self, system: System) -> str:
        """What all units use each time, as text; "" for nothing."""
        if not self.item:
            return ""
        if self.dimension == "none":
            amount = "" if self.amount == 1.0 else f"{self.amount:g} × "
            return f"{amount}{self.item}" + (f", for each of {self.units} units" if self.units > 1 else "")
        return f"{units.typeset(units.show(self.amount * self.units, self.dimension, system))} {self.item}"


def rhythm_of(days: float) -> Rhythm:
    """The whole number of years, months, weeks or days that is nearest to an interval."""
    for unit, length in _DAYS.items():
        count = round(days / length)
        if count >= 1 and abs(days / length - count) <= _NEAR:
            return Rhythm(unit, count)
    return Rhythm("day", max(round(days), 1))


def upkeep(evaluation: Evaluation) -> tuple[Task, ...]:
    """Everything that upkeep asks, in flow order, the site's last. A chore that is never due is left out."""
    found = [task for result in evaluation.stages.values() for task in _of_stage(evaluation, result.stage.id)]
    found += [_of_site(line) for line in lines("upkeep", evaluation)]
    return tuple(found)


def _of_stage(evaluation: Evaluation, stage_id: str) -> list[Task]:
    result = evaluation.stages[stage_id]
    count = result.stage.count
    chores = result.stage.chores(result.inlet, duty_of(evaluation.plan, result.flow, result.daily, count))
    return [_task(stage_id, chore, count) for chore in chores if math.isfinite(chore.every_days) and 0 < chore.every_days <= _LONGEST]


def _task(stage_id: str, chore: Chore, count: int) -> Task:
    return Task(stage_id, chore.what, chore.every_days, chore.item, chore.amount, chore.dimension, chore.source, chore.status, units=count)


def _of_site(line: Line) -> Task:
    row = line.row
    once = "after" in row
    every = units.parse(str(row["after" if once else "every"]), "time") / DAY
    return Task("", str(row["what"]), every, str(row["item"]), 1.0, "none", line.source, line.status, once=once)
