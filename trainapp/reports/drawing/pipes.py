"""Pipe runs of the bench: overhead from vessel to vessel, headers over parallel lanes, ways out to other ends.

Joined pipes get a dot; crossed ones a gap in the pipe that comes first in the flow. Inlet header of lanes at run height, outlet
header a step above it; where a lane holds more than one vessel both go above the lane's own run.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from trainapp.reports.drawing.detours import detours
from trainapp.reports.drawing.display import Point
from trainapp.reports.drawing.frame import FOOT, INCH, Spread
from trainapp.reports.drawing.headers import least_step
from trainapp.reports.drawing.model import HOUSE, SUPPLY, BenchModel, LinkModel, StageModel
from trainapp.stages.base import Figure
from trainapp.train import floor
from trainapp.train.routes import Fork, Item, Route, Spur, nodes_of

#: Inlet and outlet at the side of a chamber, as shares of its height from below; common practice, no source.
_CHAMBER_PORTS = (0.1, 0.84)
#: Levels at most that bridges have to themselves.
_BRIDGES_APART = 4


@dataclass(frozen=True, slots=True)
class Port:
    """Where a pipe meets a vessel: points from the vessel outwards; the last is on the riser. Inline devices meet the run itself."""

    stub: tuple[Point, ...]
    inline: bool = False

    @property
    def x(self) -> float:
        return self.stub[-1][0]


@dataclass(frozen=True, slots=True)
class Run:
    """One pipe, as points in flow direction, and the link it belongs to."""

    key: tuple[str, str]
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Exit:
    """Where a pipe leaves the room: tip of its arrow and its direction ("right", "left", "up")."""

    end: str
    x: float
    y: float
    direction: str


@dataclass(slots=True)
class Plumbing:
    """All pipes. `devices`: middle of each inline device; `top`: y of the highest pipe; `run`: y of the overhead run."""

    runs: list[Run] = field(default_factory=list)
    dots: list[Point] = field(default_factory=list)
    exits: list[Exit] = field(default_factory=list)
    devices: dict[str, list[Point]] = field(default_factory=dict)
    top: float = 0.0
    run: float = 0.0


def run_height(model: BenchModel, top: int = 0) -> float:
    """Height of the overhead run, metres, with `top` levels over it."""
    return floor.run_height((stage.figure for stage in model.stages), model.room_height, top)


def port_heights(figure: Figure) -> tuple[float, float] | None:
    """Height of inlet and outlet of a unit as they are drawn, metres; None for what sits in the pipe."""
    if figure.shape == "inline":
        return None
    shares = _CHAMBER_PORTS if figure.shape == "chamber" else (1.0, 1.0)
    into, out = (figure.base + share * figure.height for share in shares)
    return into, out


def levels(route: Route, model: BenchModel) -> int:
    """Levels above the run that headers and ways out take."""
    top = max(_height(route.items, {stage.id: stage for stage in model.stages}), *detours(model, route).values(), 0)
    return top + (1 if any(True for _ in route.spurs()) else 0) + _bridge_levels(route)


def _bridge_levels(route: Route) -> int:
    """Levels that bridges take over all else; more than these share them in turn."""
    return min(len(route.bridges), _BRIDGES_APART)


def step_height(model: BenchModel, top: int) -> float:
    """Step between levels, metres."""
    return floor.header_step(run_height(model, top), model.room_height, top)


def _height(items: Sequence[Item], stages: dict[str, StageModel]) -> int:
    """Levels above its own run that a row of items takes."""
    return max((_item_height(item, stages) for item in items), default=0)


def _item_height(item: Item, stages: dict[str, StageModel]) -> int:
    if isinstance(item, str):
        return 1 if stages[item].count > 1 else 0
    if isinstance(item, Fork):
        return _inlet_level(item, stages) + 1
    return _height(item.lane.items, stages) + 1 if item.lane.items else 0


def _inlet_level(fork: Fork, stages: dict[str, StageModel]) -> int:
    """Level of a fork's inlet header above the run of its lanes."""
    lanes = [lane.items for lane in fork.lanes]
    height = max(_height(items, stages) for items in lanes)
    thin = height == 0 and all(len(list(nodes_of(items))) <= 1 for items in lanes)
    return 0 if thin else height + 1


@dataclass(slots=True)
class _Open:
    """A pipe whose far end is not yet known; its link is known once lanes have met."""

    points: list[Point]
    key: tuple[str, str] | None = None


@dataclass(slots=True)
class _Tail:
    """Where the flow stands: pipes that go on together from `x`, and the level they have risen to."""

    node: str
    pipes: list[_Open]
    x: float
    level: int


class Plumber:
    """Lays the pipes of one bench; coordinates in px, `ground` is the y of the floor."""

    def __init__(self, model: BenchModel, route: Route, at: Spread, ground: float, wall: float) -> None:
        self.stages = {stage.id: stage for stage in model.stages}
        self.model, self.route, self.at, self.floor, self.wall = model, route, at, ground, wall
        self.width = max((link.diameter for link in model.links), default=0.028) * at.scale
        self.top_level = levels(route, model)
        height = run_height(model, self.top_level)
        least = least_step(height, model.room_height, self.top_level, at.scale / at.shrink) * at.shrink
        self.step = max(step_height(model, self.top_level) * at.scale, least)
        self.detours = detours(model, route)
        run = ground - height * at.scale
        self.result = Plumbing(run=run, top=run - self.top_level * self.step)

    def y(self, level: int) -> float:
        """y of a level above the run."""
        return self.result.run - level * self.step

    def lay(self) -> Plumbing:
        """Every pipe from the supply to the ends."""
        tail = self._row(self.route.items, self._supply(), 0)
        if any(link.target == HOUSE for link in self.model.links):
            tail.level = max(tail.level, self.detours.get((tail.node, HOUSE), 0))
            self._close(tail, HOUSE, [(self.at.end, self.y(tail.level))])
            self.result.exits.append(Exit(HOUSE, self.at.end, self.y(tail.level), "right"))
        for number, link in enumerate(self.route.bridges):
            self._bridge(link, number)
        for stage in self.model.stages:
            if stage.figure.shape == "inline" and stage.id not in self.result.devices:
                # No pipe holds it yet: it waits at the height of the run.
                self.result.devices[stage.id] = [(x, self.y(0)) for x in self.at.units[stage.id]]
        return self.result

    # Ports --------------------------------------------------------------------------------------------------------------------

    def _supply(self) -> _Tail:
        x, (_, half) = self.at.centres[SUPPLY], self.at.extents[SUPPLY]
        y = self.floor - (5 * INCH if self.model.supply.kind == "well" else 2 * FOOT) * self.at.scale
        riser = x + half + 10.0 * self.at.shrink
        return _Tail(SUPPLY, [_Open([(x + half, y), (riser, y)])], riser, 0)

    def _ports(self, node: str, x: float, level: int) -> tuple[Port, Port]:
        """Inlet and outlet of one unit at `x`."""
        figure, scale, small = self.stages[node].figure, self.at.scale, self.at.shrink
        if figure.shape == "inline":
            y, reach = self.y(level), 0.0 if self.stages[node].kind == "tee" else 6 * small
            return Port(((x - reach, y),), True), Port(((x + reach, y),), True)
        half, height = max(figure.width * scale / 2, 7.0 * small), figure.height * scale
        top = self.floor - figure.base * scale - height
        if figure.shape == "chamber":
            low, high = (top + height - share * height for share in _CHAMBER_PORTS)
            return Port(((x - half, low), (x - half - 12 * small, low))), Port(((x + half, high), (x + half + 12 * small, high)))
        d = max(min(0.44 * half, 9.0), (self.width / 2 + 1.5) * small)
        return Port(((x - d, top),)), Port(((x + d, top),))

    def _hung(self, node: str, x: float, level: int) -> tuple[Port, Port]:
        """Ports of one unit; a device in the pipe hangs there from now on."""
        if self.stages[node].figure.shape == "inline":
            self.result.devices.setdefault(node, []).append((x, self.y(level)))
        return self._ports(node, x, level)

    # Rows of items ------------------------------------------------------------------------------------------------------------

    def _row(self, items: Sequence[Item], tail: _Tail, base: int) -> _Tail:
        for item in items:
            if isinstance(item, str):
                tail = self._stage(item, tail, base)
            elif isinstance(item, Fork):
                tail = self._fork(item, tail, base)
            else:
                tail = self._spur(item, tail, base)
        return tail

    def _close(self, tail: _Tail, target: str, points: list[Point]) -> None:
        """End the open pipes at `points`, the first of which is on the level the tail has risen to."""
        for pipe in tail.pipes:
            start = pipe.points[-1]
            corner = [(tail.x, self.y(tail.level))] if start != (tail.x, self.y(tail.level)) else []
            self.result.runs.append(Run(pipe.key or (tail.node, target), tuple([*pipe.points, *corner, *points])))

    def _stage(self, node: str, tail: _Tail, base: int) -> _Tail:
        units = self.at.units[node]
        if len(units) > 1:
            return self._units(node, tail, base)
        inlet, outlet = self._hung(node, units[0], base)
        tail.level = max(tail.level, base + self.detours.get((tail.node, node), 0))
        self._enter(tail, node, inlet, base)
        return _Tail(node, [_Open(list(outlet.stub))], outlet.x, base)

    def _enter(self, tail: _Tail, node: str, inlet: Port, base: int) -> None:
        """Lead the open pipes into a port."""
        y = self.y(tail.level)
        if not inlet.inline:
            self._close(tail, node, [(inlet.x, y), *reversed(inlet.stub)])
        elif tail.level == base:
            self._close(tail, node, list(inlet.stub))
        else:
            down = inlet.x - 10.0 * self.at.shrink
            self._close(tail, node, [(down, y), (down, self.y(base)), *inlet.stub])

    def _units(self, node: str, tail: _Tail, base: int) -> _Tail:
        """Identical units of one stage under an inlet and an outlet header."""
        ports = [self._hung(node, x, base) for x in self.at.units[node]]
        level = max(base, tail.level)
        tail.level = level
        for i, (inlet, _) in enumerate(ports):
            if i < len(ports) - 1:
                self.result.dots.append((inlet.x, self.y(level)))
            self._enter(tail, node, inlet, base)
        outlets = [_Open(list(outlet.stub)) for _, outlet in ports]
        return self._gather(node, outlets, [outlet.x for _, outlet in ports], level + 1, base)

    def _gather(self, node: str, pipes: list[_Open], xs: list[float], level: int, base: int) -> _Tail:
        """Bring pipes that end on risers `xs` together in an outlet header, and come down to the run behind the last."""
        y, down = self.y(level), max(xs) + 16.0 * self.at.shrink
        for i, (pipe, x) in enumerate(zip(pipes, xs, strict=True)):
            if i > 0:
                self.result.dots.append((x, y))
            pipe.points += [(x, y), (down, y)]
        return _Tail(node, pipes, down, base)

    def _fork(self, fork: Fork, tail: _Tail, base: int) -> _Tail:
        own = base + _inlet_level(fork, self.stages)
        level = max(own, tail.level)
        pipes: list[_Open] = []
        xs: list[float] = []
        reach = self._reach(fork, tail.x)
        lanes = [lane for lane in fork.lanes if not lane.aside]
        for lane in fork.lanes:
            if lane.aside:
                self._aside(lane.items, base)
        for i, lane in enumerate(lanes):
            start = _Tail(fork.split, [_Open([*tail.pipes[0].points, (tail.x, self.y(level))])], tail.x, level)
            if lane.items:
                end = self._lane(lane.items, start, base)
                entry = self.result.runs[end[1]].points
            else:
                reach += 16.0
                corner = (reach, self.y(level))
                end = (_Tail(fork.split, [_Open([*start.pipes[0].points, corner], lane.firsts[0].key)], reach, level), -1)
                entry = (corner,)
            if i < len(lanes) - 1:
                self.result.dots.append(self._tee(entry, level))
            for pipe in end[0].pipes:
                pipe.key = pipe.key or lane.lasts[0].key
            pipes += end[0].pipes
            xs += [end[0].x] * len(end[0].pipes)
        # A fork that begins where an outer one does has its inlet header up there, and its outlet header below.
        return self._gather("", pipes, xs, own + 1 if own + 1 != level else level + 1, base)

    def _aside(self, items: Sequence[Item], base: int) -> None:
        """A stage that hangs on bridges alone, with its ways out."""
        tail: _Tail | None = None
        for item in items:
            if isinstance(item, str):
                outlet = [self._hung(item, x, base) for x in self.at.units[item]][-1][1]
                tail = _Tail(item, [_Open(list(outlet.stub))], outlet.x, base)
            elif isinstance(item, Spur) and tail is not None:
                tail = self._spur(item, tail, base)

    def _lane(self, items: Sequence[Item], start: _Tail, base: int) -> tuple[_Tail, int]:
        """Lay a lane; its end, and the index of the run that leads into it."""
        index = len(self.result.runs)
        tail = self._row(items, start, base)
        return tail, index

    def _tee(self, entry: Sequence[Point], level: int) -> Point:
        """Where a lane's pipe leaves the header: the last of its points on the header's level."""
        y = self.y(level)
        return next((p for p in reversed(entry) if abs(p[1] - y) < 0.01), entry[-1])

    def _reach(self, fork: Fork, least: float) -> float:
        """Rightmost point that the fork's stages reach to, px."""
        nodes = [node for lane in fork.lanes for node in nodes_of(lane.items)]
        return max([least, *(self.at.centres[n] + self.at.extents[n][1] for n in nodes)])

    # Ways out -----------------------------------------------------------------------------------------------------------------

    def _spur(self, spur: Spur, tail: _Tail, base: int) -> _Tail:
        key = spur.lane.firsts[0].key
        if spur.lane.items:
            return self._long_spur(spur, tail, base)
        start, level = tail.pipes[0].points, max(tail.level, base)
        taken = sum(run.key[0] == spur.source and any(e.end == run.key[1] for e in self.result.exits) for run in self.result.runs)
        x, top = tail.x + 14.0 * taken, self.y(self.top_level)
        self.result.dots.append((x, self.y(level)))
        along = [(tail.x, self.y(level)), (x, self.y(level))] if taken else []
        if spur.source == SUPPLY and not taken:
            points, leaving = [*start, (x, top), (self.wall, top)], Exit(spur.end, self.wall, top, "left")
        else:
            points, leaving = [*start, *along, (x, top)], Exit(spur.end, x, top, "up")
        self.result.runs.append(Run(key, tuple(points)))
        self.result.exits.append(leaving)
        return tail

    def _long_spur(self, spur: Spur, tail: _Tail, base: int) -> _Tail:
        """A way out with vessels on it: the main run passes over them and goes on at the higher level."""
        level = max(base + _height(spur.lane.items, self.stages) + 1, tail.level)
        corner = (tail.x, self.y(level))
        start = _Tail(spur.source, [_Open([*tail.pipes[0].points, corner])], tail.x, level)
        end, index = self._lane(spur.lane.items, start, base)
        self.result.dots.append(self._tee(self.result.runs[index].points, level))
        top = self.y(self.top_level)
        if spur.end:
            for pipe in end.pipes:
                points = tuple([*pipe.points, (end.x, top)])
                self.result.runs.append(Run(pipe.key or spur.lane.lasts[0].key, points))
            self.result.exits.append(Exit(spur.end, end.x, top, "up"))
        return _Tail(tail.node, [_Open([*tail.pipes[0].points, corner])], tail.x, level)

    def _bridge(self, link: LinkModel, number: int) -> None:
        """A link that the rows do not show: over everything, from outlet to inlet, a dot where it meets other pipes."""
        spurs = any(True for _ in self.route.spurs())
        y = self.y(self.top_level - spurs - number % _BRIDGES_APART)
        if link.source in self.at.units:
            stub = self._ports(link.source, self.at.units[link.source][-1], 0)[1].stub
        else:
            stub = tuple(self._supply().pipes[0].points)
        start = [*stub, (stub[-1][0], y)]
        if sum(other.source == link.source for other in self.model.links) > 1:
            self.result.dots.append(stub[-1])
        if link.target not in self.at.units:
            self.result.runs.append(Run(link.key, tuple(self._bridge_to_end(link.target, start, y))))
            return
        for x in self.at.units[link.target]:
            inlet, _ = self._ports(link.target, x, 0)
            self.result.runs.append(Run(link.key, (*start, (inlet.x, y), *reversed(inlet.stub))))
            if sum(other.target == link.target for other in self.model.links) > 1:
                self.result.dots.append(inlet.stub[-1])

    def _bridge_to_end(self, end: str, start: list[Point], y: float) -> list[Point]:
        """Into the pipe that leaves for the house, or to where another end leaves."""
        if end == HOUSE:
            x = self.at.end - 14.0
            self.result.dots.append((x, self.y(0)))
            return [*start, (x, y), (x, self.y(0))]
        leaving = next((leaving for leaving in self.result.exits if leaving.end == end), None)
        if leaving is None:
            self.result.exits.append(Exit(end, start[-1][0], y, "up"))
            return start
        return [*start, (leaving.x, y)]
