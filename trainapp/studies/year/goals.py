"""Water at the house beyond the limits in force, piece by piece, judged as the checks do: what a house notices, and what else fails."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trainapp import data, units
from trainapp.checks.context import Context
from trainapp.checks.judge import BROKEN
from trainapp.checks.limits import WaterLimit
from trainapp.checks.table import Row, limits_judged
from trainapp.stages.base import Limit
from trainapp.studies.year.inlet import Beyond, flags
from trainapp.studies.year.machine import Machine
from trainapp.studies.year.pieces import Pieces
from trainapp.train.zones import HOUSE
from trainapp.water.analytes import BY_KEY

_NEVER = float("inf")
_NO_MAXIMUM, _NO_MINIMUM = (_NEVER, _NEVER, _NEVER), (-_NEVER, -_NEVER, -_NEVER)
_CODE = "outlet-goal-"
#: What ends the name in results of the fail behind a caution.
FAR = "-far"


@dataclass(frozen=True, slots=True)
class Condition:
    """Water that a house notices.

    Attributes:
        key, title, sentence: name in results, name on screen, what is told.
        analyte, minimum, maximum: what is beyond it, JSON unit.
        source, status: where the limit comes from.
    """

    key: str
    title: str
    sentence: str
    analyte: str
    minimum: float | None
    maximum: float | None
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class AtHouse:
    """The water at the house in a run; seconds of each piece.

    Attributes:
        noticed: by key of a condition that could be judged. others: by analyte, of limits that no condition is of and that can be a fail.
    """

    noticed: Mapping[str, Beyond]
    others: Mapping[str, Beyond]

    def of(self, code: str) -> Beyond | None:
        """What a name in results is of; None of any other name."""
        return self.noticed.get(code.removesuffix(FAR)) or self.others.get(analyte_of(code))

    def by_analyte(self, analyte: str) -> tuple[Beyond, ...]:
        """What is of an analyte; () where nothing of it can be judged."""
        own = tuple(found for found in self.noticed.values() if found.row.limit.analyte == analyte)
        return (*own, self.others[analyte]) if analyte in self.others else own


def conditions() -> tuple[Condition, ...]:
    """Those of resources/year/judged.toml, each with its own figure."""
    return tuple(_condition(row) for row in data.load_toml("year/judged.toml")["condition"])


def conditions_of(machine: Machine) -> tuple[Condition, ...]:
    """The same with the figures of the limit set in force, where it judges the analyte on that side."""
    rows = _goals(machine)
    return tuple(_in_force(condition, rows) for condition in conditions())


def code_of(analyte: str) -> str:
    """Name in results of an analyte beyond its limit that no condition is of."""
    return f"{_CODE}{analyte}"


def analyte_of(code: str) -> str:
    """The analyte of such a name, "" of any other."""
    return code.removeprefix(_CODE) if code.startswith(_CODE) else ""


def at_house(pieces: Pieces) -> AtHouse:
    """Judge the water that the house draws."""
    machine, first = pieces.machine, pieces.regimes[0].response.leaving[HOUSE]
    rows = [row for row in _goals(machine) if first.is_known(row.limit.analyte).all()]
    of = {condition.analyte: condition for condition in conditions()}
    found = {c.key: _lasting(pieces, _rows_of(c, rows)) for c in conditions_of(machine) if first.is_known(c.analyte).all()}
    rest = [_without(row, of.get(row.limit.analyte)) for row in rows]
    # what can be no fail is for the check to tell
    rest = [row for row in rest if min(row.above[2], -row.below[2]) < _NEVER and (row.limit.analyte != "ph" or _fails_at_peak(machine))]
    analytes = dict.fromkeys(row.limit.analyte for row in rest)
    return AtHouse(found, {key: _lasting(pieces, [row for row in rest if row.limit.analyte == key]) for key in analytes})


def _condition(row: Mapping[str, str]) -> Condition:
    dimension = BY_KEY[row["analyte"]].dimension
    least, most = (units.parse(row[end], dimension) if end in row else None for end in ("minimum", "maximum"))
    return Condition(row["key"], row["title"], row["sentence"], row["analyte"], least, most, row["source"], row["status"])


def _goals(machine: Machine) -> tuple[Row, ...]:
    """The rows of the limit set in force that are judged at the house, those on health first."""
    rows = (row for row in limits_judged(Context(machine.usual)) if row.at == HOUSE and row.kind == "goal")
    return tuple(sorted(rows, key=lambda row: not is_of_health(row)))


def is_of_health(row: Row) -> bool:
    """Whether a limit is one on health."""
    return isinstance(row.limit, WaterLimit) and row.limit.kind == "health"


def _in_force(condition: Condition, rows: Sequence[Row]) -> Condition:
    """With the figure at which a caution begins, the one that bites first."""
    own = [row for row in rows if row.limit.analyte == condition.analyte]
    if condition.maximum is not None:
        first = min(own, key=lambda row: row.above[1], default=None)
        if first is not None and first.above[1] < _NEVER:
            return replace(condition, maximum=first.above[1], source=first.limit.source, status=first.limit.status)
    elif own:
        first = max(own, key=lambda row: row.below[1])
        if first.below[1] > -_NEVER:
            return replace(condition, minimum=first.below[1], source=first.limit.source, status=first.limit.status)
    return condition


def _without(row: Row, condition: Condition | None) -> Row:
    """A limit without the side that a condition is of."""
    if condition is None:
        return row
    return replace(row, below=_NO_MINIMUM) if condition.maximum is None else replace(row, above=_NO_MAXIMUM)


def _rows_of(condition: Condition, rows: Sequence[Row]) -> list[Row]:
    """The condition and the limits of its analyte, each on the side that the condition is of alone."""
    limit = Limit(condition.analyte, condition.minimum, condition.maximum, condition.source, condition.status)
    most, least = condition.maximum, condition.minimum
    noticed = Row(
        HOUSE, limit, "goal",
        above=(_NEVER, _NEVER if most is None else most, _NEVER), below=(-_NEVER, -_NEVER if least is None else least, -_NEVER),
    )  # fmt: skip
    own = (row for row in rows if row.limit.analyte == condition.analyte)
    if most is None:
        return [*(replace(row, above=_NO_MAXIMUM) for row in own), noticed]
    return [*(replace(row, below=_NO_MINIMUM) for row in own), noticed]


def _fails_at_peak(machine: Machine) -> bool:
    """Whether the check has a fail of pH at the house: it judges it at the peak, and what a bed makes of a trickle the bed says itself."""
    table = Context(machine.usual).table
    return any(table.rows[i].limit.analyte == "ph" and (table.outcome[i, :, 0] == BROKEN).any() for i in table.of(HOUSE))


def _lasting(pieces: Pieces, rows: Sequence[Row]) -> Beyond:
    """Seconds in which the house draws water beyond any of these limits of one analyte; the row is the first that fails, or the first."""
    machine, draws = pieces.machine, np.asarray(pieces.machine.layout.drawn[HOUSE] > 0.0)
    tested = Context(machine.usual).tested(HOUSE, rows[0].limit.analyte)
    lasting = np.zeros((len(rows), 2, len(pieces.start)))
    any_of = np.zeros((2, len(pieces.start)))
    for regime, at in pieces.groups():
        told = np.array([flags(machine, row, regime, lambda response: response.leaving[HOUSE], tested) for row in rows]) & draws
        seconds = pieces.drawn[at, : machine.layout.ways]
        any_of[:, at] = told.any(axis=0) @ seconds.T
        lasting[:, :, at] = told @ seconds.T
    failing = next((row for row, (_, fails) in zip(rows, lasting, strict=True) if fails.any()), rows[0])
    return Beyond(failing, any_of[0], any_of[1])


__all__ = ["FAR", "AtHouse", "Condition", "analyte_of", "at_house", "code_of", "conditions", "conditions_of", "is_of_health"]
