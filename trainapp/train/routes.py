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
    """What stands between a split and a merge, or on the way to an end.

    `firsts` are the :class:`Way` s that lead in, `lasts` those that lead out: several where the lane begins or ends with a fork of its own.
    A lane without either is aside: its stages hang on bridges alone.
    """

    items: tuple[Item, ...]
    firsts: tuple[Any, ...]
    lasts: tuple[Any, ...]

    @property
    def aside(self) -> bool:
        """Whether no pipe of the picture but bridges leads to it."""
        return not self.firsts

    @property
    def flow(self) -> float:
        """m3/s that enter it; 0 for one that is aside."""
        return float(sum(way.flow for way in self.firsts))

    @property
    def head(self) -> str:
        """The node that tells it from the other lanes of its fork: its first, else where its own fork meets, else where it leads."""
        if not self.items:
            return str(self.firsts[0].target)
        first = self.items[0]
        return first if isinstance(first, str) else first.merge if isinstance(first, Fork) else first.end


@dataclass(frozen=True, slots=True)
class Fork:
    """Lanes from the outlet of `split` to the inlet of `merge`, none of which touches another on its way."""

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
    """The whole train in flow order. `bridges` are links that the items do not show; `loose` stages get no water.

    Items and bridges together are exactly the links, and items alone show no pipe that is not there.
    """

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

    def _run(self, start: str, stop: str) -> tuple[list[Item], tuple[Way, ...]]:
        """Items after `start` up to `stop`, which all ways from `start` go through, and the links into it."""
        items: list[Item] = []
        node = start
        while True:
            items.extend(self._spurs_at(node))
            onward = self._onward(node)
            if len(onward) == 1:
                self.used.add(onward[0].key)
                node, lasts = onward[0].target, (onward[0],)
            elif onward:
                fork = self._fork(node, self._merge(node, onward, HOUSE), onward)
                items.append(fork)
                node, lasts = fork.merge, tuple(way for lane in fork.lanes for way in lane.lasts)
            else:
                return items, ()
            if node in (stop, HOUSE):
                return items, lasts
            self.claimed.add(node)
            items.append(node)

    def _onward(self, node: str) -> list[Way]:
        return [link for link in self.out.get(node, ()) if link.target in self.to_house]

    def _fork(self, split: str, merge: str, onward: Sequence[Way]) -> Fork:
        lanes = [lane for ways in self._apart(onward, merge) for lane in self._lanes(split, merge, ways)]
        return Fork(split, merge, tuple(sorted(lanes, key=self._lane_order)))

    def _apart(self, onward: Sequence[Way], merge: str) -> list[list[Way]]:
        """Ways out of a split, those together whose nodes before `merge` are partly the same."""
        groups: list[tuple[list[Way], set[str]]] = []
        for link in onward:
            ways, nodes = [link], self._before(link.target, merge)
            for group in [group for group in groups if group[1] & nodes]:
                groups.remove(group)
                ways, nodes = [*group[0], *ways], nodes | group[1]
            groups.append((ways, nodes))
        return [ways for ways, _ in groups]

    def _lanes(self, split: str, merge: str, ways: Sequence[Way]) -> list[Lane]:
        """The lane that some ways out of a split make together; where they are netted, the longest way and the other stages aside."""
        if len(ways) == 1:
            return [self._lane(ways[0], merge)]
        meeting = self._merge(split, ways, merge)
        if meeting == merge:
            return self._netted(merge, ways)
        inner = self._fork(split, meeting, ways)
        self.claimed.add(meeting)
        items, lasts = self._run(meeting, merge)
        return [Lane((inner, meeting, *items), tuple(way for lane in inner.lanes for way in lane.firsts), lasts)]

    def _lane(self, first: Way, stop: str) -> Lane:
        self.used.add(first.key)
        node = first.target
        if node == stop:
            return Lane((), (first,), (first,))
        self.claimed.add(node)
        items, lasts = self._run(node, stop)
        return Lane((node, *items), (first,), lasts)

    def _netted(self, merge: str, ways: Sequence[Way]) -> list[Lane]:
        """No lanes explain these ways: the longest of them is drawn, what stands beside it is aside, and other links are bridges.

        The longest leaves least aside, and does not depend on the flow, so that numbers stay.
        """
        main = self._longest(merge, ways)
        self.used.update(way.key for way in main)
        between = [way.target for way in main[:-1]]
        beside = set().union(*(self._before(way.target, merge) for way in ways)) - set(between)
        self.claimed |= {*between, *beside}
        items: list[Item] = []
        for node in between:
            items += [node, *self._spurs_at(node)]
        aside = [Lane((node, *self._spurs_at(node)), (), ()) for node in self.stages if node in beside]
        return [Lane(tuple(items), (main[0],), (main[-1],)), *aside]

    def _longest(self, merge: str, ways: Sequence[Way]) -> list[Way]:
        """Links of the longest way to `merge` that begins with one of these."""
        found: dict[str, list[Way]] = {merge: []}
        waiting = sorted(set().union(*(self._before(way.target, merge) for way in ways)), key=self.order.__getitem__)
        while waiting:
            # Behind the last that is known all is known.
            node = next(node for node in reversed(waiting) if all(way.target in found for way in self._onward(node)))
            waiting.remove(node)
            found[node] = max(([way, *found[way.target]] for way in self._onward(node)), key=len)
        return max(([way, *found[way.target]] for way in ways), key=len)

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
                yield Spur(node, link.target, Lane((), (link,), (link,)))
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
                return Spur(source, "", Lane(tuple(items), (first,), ()))
            last = max(onward, key=lambda link: (link.target not in self.ends, link.flow))
            self.used.add(last.key)
            items.extend(self._spurs_at(node))
            if last.target in self.ends:
                return Spur(source, last.target, Lane(tuple(items), (first,), (last,)))
            node = last.target

    def _merge(self, split: str, ways: Sequence[Way], last: str) -> str:
        """The first node that each of these ways goes through: `last` where none is before it."""
        after = set.intersection(*({way.target} | self._before(way.target, last) for way in ways))
        return next((node for node in self.stages if node in after and not self._passes_by(ways, node, last)), last)

    def _before(self, node: str, last: str) -> set[str]:
        """A node and all behind it on the ways to `last`, which is not among them."""
        found: set[str] = set()
        waiting = [node]
        while waiting:
            node = waiting.pop()
            if node != last and node not in found:
                found.add(node)
                waiting += [link.target for link in self._onward(node)]
        return found

    def _passes_by(self, ways: Sequence[Way], avoided: str, last: str) -> bool:
        """Whether one of these ways reaches `last` without `avoided`."""
        found: set[str] = {avoided}
        waiting = [way.target for way in ways]
        while waiting:
            node = waiting.pop()
            if node == last:
                return True
            if node not in found:
                found.add(node)
                waiting += [link.target for link in self._onward(node)]
        return False
