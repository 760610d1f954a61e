"""The floor as its user arranged it: where everything stands, in metres from the left wall.

As soon as one thing has a place of its own the floor is the user's: distances mean metres, and what has no place of its own goes to the
nearest free one behind what feeds it; devices in the pipe hang between their neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from trainapp.reports.drawing.frame import INCH
from trainapp.reports.drawing.model import HOUSE, SUPPLY, BenchModel, StageModel
from trainapp.train.floor import reach
from trainapp.train.routes import Route

#: Between what has no place of its own and what stands beside it, and from the wall to a tank; common practice, no source.
GAP = 6 * INCH

#: Half the width that a water meter takes, and the least distance of two devices in the pipe, metres.
_METER, _DEVICE = 4 * INCH, 10 * INCH


def own_floor(model: BenchModel) -> bool:
    """Whether anything has a place of its own."""
    return model.supply.x is not None or any(stage.x is not None for stage in model.stages)


def floor_places(model: BenchModel, route: Route) -> dict[str, float]:
    """Middle of the supply and of every stage, metres; empty where the floor is the program's to arrange."""
    return _Floor(model, route).places() if own_floor(model) else {}


@dataclass(slots=True)
class _Floor:
    """Places things one after another."""

    model: BenchModel
    route: Route
    found: dict[str, float] = field(default_factory=dict)
    taken: list[tuple[float, float]] = field(default_factory=list)

    def places(self) -> dict[str, float]:
        stages = {stage.id: stage for stage in self.model.stages}
        half = self._supply_half()
        self._put(SUPPLY, self.model.supply.x if self.model.supply.x is not None else half + 2 * INCH, (half, half))
        for stage in self.model.stages:
            if stage.x is not None and not _hangs(stage):
                self._put(stage.id, stage.x, reach(stage.figure, stage.count))
        order = [*self.route.nodes(), *self.route.loose]
        for node in order:
            if node not in self.found and not _hangs(stages[node]):
                self._beside(stages[node])
        for node in order:
            if node not in self.found:
                self._hang(node, stages)
        return self.found

    def _supply_half(self) -> float:
        return _METER if self.model.supply.kind == "mains" else self.model.supply.width / 2

    def _put(self, node: str, x: float, sides: tuple[float, float]) -> None:
        self.found[node] = x
        self.taken.append((x - sides[0], x + sides[1]))

    def _beside(self, stage: StageModel) -> None:
        """Put a stage into the first gap behind what feeds it."""
        left, right = reach(stage.figure, stage.count)
        source = self._standing_source(stage.id)
        edge = self.found[source] + self._right_of(source)
        for begin, end in sorted(self.taken):
            if end > edge and begin < edge + GAP + left + right + GAP:
                edge = end
        self._put(stage.id, edge + GAP + left, (left, right))

    def _right_of(self, node: str) -> float:
        stage = self.model.stage(node)
        return self._supply_half() if stage is None else reach(stage.figure, stage.count)[1]

    def _left_of(self, node: str) -> float:
        stage = self.model.stage(node)
        return 0.0 if stage is None else reach(stage.figure, stage.count)[0]

    def _standing_source(self, node: str) -> str:
        """The nearest thing upstream that has its place already; the supply at the latest."""
        for _ in range(len(self.model.stages) + 1):
            node = next((link.source for link in self.model.links if link.target == node), SUPPLY)
            if node in self.found:
                return node
        return SUPPLY

    def _hang(self, node: str, stages: dict[str, StageModel]) -> None:
        """Hang a row of devices evenly between what stands ahead of it and what stands behind it."""
        row, behind = [node], self._next(node)
        while behind in stages and behind not in self.found and behind not in row:
            row.append(behind)
            behind = self._next(behind)
        source = self._standing_source(node)
        start = self.found[source] + self._right_of(source)
        stop = self.found[behind] - self._left_of(behind) if behind in self.found else start + (len(row) + 1) * _DEVICE
        if stop - start < (len(row) + 1) * _DEVICE / 2:
            stop = start + (len(row) + 1) * _DEVICE / 2
        for i, device in enumerate(row, 1):
            self.found[device] = start + (stop - start) * i / (len(row) + 1)

    def _next(self, node: str) -> str:
        return next((link.target for link in self.model.links if link.source == node and self.model.stage(link.target)), HOUSE)


def _hangs(stage: StageModel) -> bool:
    return stage.figure.shape == "inline"
