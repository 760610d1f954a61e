"""What the peak does to a train: from which multiple of it on pressure, supply or a rating gives in."""

from __future__ import annotations

import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp import units
from trainapp.checks import findings
from trainapp.checks.finding import Finding
from trainapp.stages.working import PEAK, Array
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import Plan, open_plan
from trainapp.train.zones import HOUSE

#: What pressure, supply and ratings say; not what is said of a water.
CODES = frozenset({"low-pressure", "flow-short", "over-rating", "outside-rating", "velocity"})
_RANK = {"note": 0, "caution": 2, "fail": 3}
_GRID, _HALVINGS = 13, 10


@dataclass(frozen=True, slots=True)
class Step:
    """From this multiple of the peak on: rank (0 nothing, 2 caution, 3 fail) and the finding that leads."""

    times: float
    rank: int
    finding: Finding | None


class Peaks:
    """How findings of flow go with the peak, as steps; worse never comes before better."""

    def __init__(self, plan: Plan, least: float, most: float) -> None:
        self._plan, self._least = plan, least
        self._known: dict[float, tuple[int, Finding | None]] = {}
        self.steps = self._steps(least, most)

    def rank(self, times: Array) -> NDArray[np.int8]:
        """Rank at multiples of the peak, shape (draws,)."""
        edges = np.array([step.times for step in self.steps])
        ranks = np.array([step.rank for step in self.steps], dtype=np.int8)
        return np.asarray(ranks[np.maximum(np.searchsorted(edges, times, side="right") - 1, 0)])

    @property
    def failing(self) -> float:
        """Multiple of the peak from which on something fails, infinite where nothing does, the least looked at where all do."""
        return next((max(step.times, self._least) for step in self.steps if step.rank == 3), float("inf"))

    def _steps(self, least: float, most: float) -> tuple[Step, ...]:
        grid = np.exp(np.linspace(np.log(least), np.log(most), _GRID)) if most > least else np.array([1.0])
        steps = [Step(0.0, *self._at(float(grid[0])))]
        for low, high in zip(grid[:-1].tolist(), grid[1:].tolist(), strict=True):
            while self._at(high)[0] > steps[-1].rank:
                below, above = low, high
                for _ in range(_HALVINGS):
                    middle = (below + above) / 2
                    below, above = (below, middle) if self._at(middle)[0] > steps[-1].rank else (middle, above)
                steps.append(Step(above, *self._at(above)))
                low = above
        return tuple(steps)

    def _at(self, times: float) -> tuple[int, Finding | None]:
        """Rank and leading finding at a multiple of the peak."""
        if times not in self._known:
            found = [f for f in findings(evaluate(open_plan(with_peak(self._plan, times)))) if f.code in CODES and not f.analyte]
            worst = max(found, key=lambda f: _RANK[f.severity], default=None)
            self._known[times] = (0, None) if worst is None else (_RANK[worst.severity], worst if _RANK[worst.severity] else None)
        return self._known[times]


def with_peak(plan: Plan, times: float) -> Document:
    """The document with another peak at the house."""
    tree = copy.deepcopy(dict(plan.document.tree))
    peak = float(plan.demands[HOUSE].flows[PEAK]) * times
    tree["demand"] = {**tree.get("demand", {}), "peak": units.write(peak, "flow")}
    return Document.of(tree)
