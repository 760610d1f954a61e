"""Worked steps: the calculation of a stage, kept as it runs, so that every number can show where it came from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from trainapp.water.stream import ADVERSE, FAVOURABLE

Array = NDArray[np.float64]
FlowName = Literal["trickle", "average", "peak"]
T = TypeVar("T", float, Array)
#: A formula in the symbols of a working, and the key of its source.
Law: TypeAlias = tuple[str, str]

#: Order of the flow axis everywhere.
FLOWS: tuple[FlowName, ...] = ("trickle", "average", "peak")
TRICKLE, AVERAGE, PEAK = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a calculation.

    Attributes:
        symbol: as in a textbook ("D", "H_c").
        meaning: what it is, in words.
        formula: how it follows from the lines above, in ISO 80000-2 notation; empty for an input.
        value: number in internal units of `dimension` (see trainapp.units), or in `unit` where `dimension` is "none".
        dimension: key into trainapp.units.DIMENSIONS, or "none".
        unit: text of the unit where dimension is "none".
        source: key into trainapp.sources; empty for an input of the document.
        result: name of the result that this line is, empty for a line on the way.
        note: a range left, an assumption made; empty mostly.
        other: the same number in the other reading: `value` again where both readings agree.
    """

    symbol: str
    meaning: str
    formula: str
    value: float
    dimension: str
    unit: str
    source: str
    result: str
    note: str
    other: float


@dataclass(slots=True)
class Result:
    """A named number of a stage: the array (broadcastable to (2 readings, flows, waters)) and what to show of it."""

    value: Array
    dimension: str
    unit: str
    shown: float


class Working:
    """Collects steps and results while a stage is computed.

    The steps are the code path itself: a stage writes ``a = w.step("A", ...value...)`` and goes on with `a`.
    With ``keep=False`` (many waters) nothing is stored and `step` costs one call. What is shown of an array is picked out only when
    someone looks; :meth:`later` keeps whole passages until then.
    """

    __slots__ = ("_later", "_lines", "_results", "_steps", "keep")

    def __init__(self, keep: bool = True) -> None:
        self.keep = keep
        self._lines: list[tuple[Any, ...]] = []
        self._steps: list[Step] = []
        self._results: dict[str, Result] = {}
        self._later: list[Callable[[Working], None]] = []

    def later(self, explain: Callable[[Working], None]) -> None:
        """Lines that nothing is computed from: `explain` records them when someone looks."""
        if self.keep:
            self._later.append(explain)

    def step(
        self,
        symbol: str,
        meaning: str,
        value: T,
        dimension: str = "none",
        *,
        unit: str = "",
        formula: str = "",
        source: str = "",
        result: str = "",
        note: str = "",
        at: FlowName = "peak",
        reading: int = ADVERSE,
    ) -> T:
        """Record one line and give its value back. `at` and `reading` choose what is shown of an array; water 0 is shown."""
        if self.keep:
            self._lines.append((symbol, meaning, formula, value, dimension, unit, source, result, note, at, reading))
        return value

    @property
    def steps(self) -> list[Step]:
        """The lines in calculation order."""
        self._look()
        return self._steps

    @property
    def results(self) -> dict[str, Result]:
        """The named numbers, in calculation order."""
        self._look()
        return self._results

    def result(self, name: str) -> Result | None:
        """One named number without making the rest, None where there is none."""
        for _, _, _, value, dimension, unit, _, result, _, at, reading in reversed(self._lines):
            if result == name:
                return Result(np.asarray(value, dtype=np.float64), dimension, unit, pick(value, at, reading))
        return self.results.get(name) if self._later else None

    def _look(self) -> None:
        self._read()
        while self._later:
            self._later.pop(0)(self)
            self._read()

    def _read(self) -> None:
        for line in self._lines[len(self._steps) :]:
            symbol, meaning, formula, value, dimension, unit, source, result, note, at, reading = line
            shown, other = pick(value, at, reading), pick(value, at, FAVOURABLE if reading == ADVERSE else ADVERSE)
            self._steps.append(Step(symbol, meaning, formula, shown, dimension, unit, source, result, note, other))
            if result:
                self._results[result] = Result(np.asarray(value, dtype=np.float64), dimension, unit, shown)


def pick(value: float | Array, at: FlowName = "peak", reading: int = ADVERSE) -> float:
    """One number of an array that broadcasts to (2 readings, flows, waters): the named flow and reading, water 0."""
    array = np.asarray(value, dtype=np.float64)
    if array.ndim == 0:
        return float(array)
    index = FLOWS.index(at)
    full = array.reshape((1,) * (3 - array.ndim) + array.shape)
    r, f = min(reading, full.shape[0] - 1), min(index, full.shape[1] - 1)
    return float(full[r, f, 0])
