"""The train as people read it: one main line, forks of lanes that meet again, and spurs to ends that are not the house."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol, TypeAlias

from trainapp.train.zones import HOUSE, SUPPLY


class Way(Protocol):
    """A link as a caller has it; what more it carries comes back with it."""

    @property
    def source(self) -> str:
        """The node it leaves."""

    @property
    def target(self) -> str:
        """The node it enters."""

    @property
    def flow(self) -> float:
        """m3/s at the peak."""

    @property
    def key(self) -> tuple[str, str]:
        """Both nodes."""


@dataclass(frozen=True, slots=True)
class Lane:
    """What stands between a split and a merge, or on the way to an end; `first` is the :class:`Way` that leads in, `last` the one out."""

    items: tuple[Item, ...]
    first: Any
    last: Any


@dataclass(frozen=True, slots=True)
class Fork:
    """Lanes from the outlet of `split` to the inlet of `merge`."""

    split: str
    merge: str
    lanes: tuple[Lane, ...]


@dataclass(frozen=True, slots=True)
class Spur:
    """A way out to an end that is not the house, leaving after `source`."""

    source: str
    end: str
    lane: Lane


Item: TypeAlias = str | Fork | Spur


@dataclass(frozen=True, slots=True)
class Route:
    """The whole train in flow order. `bridges` are links between lanes that no fork explains; `loose` stages have no link."""

    items: tuple[Item, ...]
    bridges: tuple[Any, ...]
    loose: tuple[str, ...]
    links: dict[tuple[str, str], Any] = field(compare=False)

    def nodes(self) -> list[str]:
        """Stages in drawing order."""
        return list(nodes_of(self.items))

    def forks(self) -> Iterator[Fork]:
        """Every fork, outer ones first."""
        return _forks(self.items)

    def spurs(self) -> Iterator[Spur]:
        """Every spur in drawing order."""
        return _spurs(self.items)


def nodes_of(items: Sequence[Item]) -> Iterator[str]:
    """Stages of a run of items in drawing order, those of forks lane by lane."""
    for item in items:
        if isinstance(item, str):
            yield item
        elif isinstance(item, Fork):
            for lane in item.lanes:
                yield from nodes_of(lane.items)
        else:
            yield from nodes_of(item.lane.items)


def _forks(items: Sequence[Item]) -> Iterator[Fork]:
    for item in items:
        if isinstance(item, Fork):
            yield item
            for lane in item.lanes:
                yield from _forks(lane.items)
        elif isinstance(item, Spur):
            yield from _forks(item.lane.items)


def _spurs(items: Sequence[Item]) -> Iterator[Spur]:
    for item in items:
        if isinstance(item, Spur):
            yield item
            yield from _spurs(item.lane.items)
        elif isinstance(item, Fork):
            for lane in item.lanes:
                yield from _spurs(lane.items)


def route(stages: Sequence[str], links: Sequence[Way], ends: Sequence[str]) -> Route:
    """Read the links. `stages` in flow order; `ends` by id, the house among them. Never fails: what does not fit is a bridge or loose."""
    return _Reader(stages, links, ends).read()


class _Reader:
    """Walks the links once, claiming each node for the first run that reaches it."""

    def __init__(self, stages: Sequence[str], links: Sequence[Way], ends: Sequence[str]) -> None:
        self.order = {node: i for i, node in enumerate(stages)}
        self.ends = [end for end in ends if end != HOUSE]
        self.links = {link.key: link for link in links}
        self.out: dict[str, list[Way]] = {}
        for link in links:
            self.out.setdefault(link.source, []).append(link)
        self.stages = list(stages)
        self.to_house = self._reaching(links)
        self.claimed: set[str] = set()
        self.used: set[tuple[str, str]] = set()

    def _reaching(self, links: Sequence[Way]) -> set[str]:
        """Nodes from which the house can be reached."""
        into: dict[str, list[str]] = {}
        for link in links:
            into.setdefault(link.target, []).append(link.source)
        found, waiting = {HOUSE}, [HOUSE]
        while waiting:
            for source in into.get(waiting.pop(), ()):
                if source not in found:
                    found.add(source)
                    waiting.append(source)
        return found

    def read(self) -> Route:
        items, _ = self._run(SUPPLY, HOUSE)
        bridges = tuple(link for key, link in self.links.items() if key not in self.used)
        loose = tuple(node for node in self.stages if node not in self.claimed)
        return Route(tuple(items), bridges, loose, self.links)

    def _run(self, start: str, stop: str) -> tuple[list[Item], Way | None]:
        """Items after `start` up to `stop`, and the last link of them."""
        items: list[Item] = []
        node, last = start, None
        while True:
            items.extend(self._spurs_at(node))
            onward = [link for link in self.out.get(node, ()) if link.target in self.to_house and link.key not in self.used]
            if not onward:
                return items, last
            if len(onward) == 1:
                last = onward[0]
                self.used.add(last.key)
                node = last.target
            else:
                merge = self._merge(node)
                items.append(self._fork(node, merge, onward))
                last, node = None, merge
            if node in (stop, HOUSE) or node in self.claimed:
                return items, last
            self.claimed.add(node)
            items.append(node)

    def _fork(self, split: str, merge: str, onward: list[Way]) -> Fork:
        lanes = [self._lane(link, merge) for link in onward]
        return Fork(split, merge, tuple(sorted(lanes, key=self._lane_order)))

    def _lane(self, first: Way, stop: str) -> Lane:
        self.used.add(first.key)
        node = first.target
        if node == stop or node in self.claimed:
            return Lane((), first, first)
        self.claimed.add(node)
        items, last = self._run(node, stop)
        return Lane((node, *items), first, last or first)

    def _lane_order(self, lane: Lane) -> tuple[bool, int]:
        """Lanes as they stand on the floor, from the left; one with no stage last."""
        nodes = list(nodes_of(lane.items))
        return not nodes, min((self.order.get(node, 0) for node in nodes), default=0)

    def _spurs_at(self, node: str) -> Iterator[Spur]:
        """Ways out that leave here; only nodes that cannot reach the house are theirs."""
        for link in self.out.get(node, ()):
            if link.target in self.to_house or link.key in self.used:
                continue
            # A pipe into another spur is a bridge.
            if link.target in self.ends:
                self.used.add(link.key)
                yield Spur(node, link.target, Lane((), link, link))
            elif link.target not in self.claimed:
                self.used.add(link.key)
                yield self._long_spur(node, link)

    def _long_spur(self, source: str, first: Way) -> Spur:
        """A way out with stages on it; where it divides again, the further ends are spurs of its own."""
        items: list[Item] = []
        node, last = first.target, first
        while True:
            self.claimed.add(node)
            items.append(node)
            onward = [link for link in self.out.get(node, ()) if link.key not in self.used and link.target not in self.claimed]
            if not onward:
                return Spur(source, "", Lane(tuple(items), first, last))
            last = max(onward, key=lambda link: (link.target not in self.ends, link.flow))
            self.used.add(last.key)
            items.extend(self._spurs_at(node))
            if last.target in self.ends:
                return Spur(source, last.target, Lane(tuple(items), first, last))
            node = last.target

    def _merge(self, split: str) -> str:
        """The first node that every way from `split` to the house goes through."""
        after = self._after(split)
        for node in [*(n for n in self.stages if n in after), HOUSE]:
            if node == HOUSE or not self._passes_by(split, node):
                return node
        return HOUSE

    def _after(self, node: str) -> set[str]:
        found: set[str] = set()
        waiting = [node]
        while waiting:
            for link in self.out.get(waiting.pop(), ()):
                if link.target in self.to_house and link.target not in found:
                    found.add(link.target)
                    waiting.append(link.target)
        return found

    def _passes_by(self, split: str, avoided: str) -> bool:
        """Whether the house can be reached from `split` without `avoided`."""
        found: set[str] = {avoided}
        waiting = [split]
        while waiting:
            for link in self.out.get(waiting.pop(), ()):
                if link.target == HOUSE:
                    return True
                if link.target not in found and link.target in self.to_house:
                    found.add(link.target)
                    waiting.append(link.target)
        return False
