"""Numbers of stages as drawings, lists and sentences use them: 1, 2, 3a, 3b in flow order."""

from __future__ import annotations

from collections.abc import Container, Sequence

from trainapp.train.routes import Fork, Item, Route, nodes_of

#: Roles of what is no point of its own on the line: it is named, not numbered.
UNNUMBERED = frozenset({"bypass", "junction"})


def numbers(route: Route, unnumbered: Container[str] = ()) -> dict[str, str]:
    """The number of each stage that a link touches; `unnumbered` ones (valves, tees) get none, no letter falls on a lane of them alone."""
    found: dict[str, str] = {}
    _count(route.items, 0, "", unnumbered, found)
    return found


def _count(items: Sequence[Item], start: int, letters: str, unnumbered: Container[str], found: dict[str, str]) -> int:
    """Number a row of items after `start`; the last number given."""
    number = start
    for item in items:
        if isinstance(item, str):
            if item not in unnumbered:
                number += 1
                found[item] = f"{number}{letters}"
        elif isinstance(item, Fork):
            number = _fork(item, number, letters, unnumbered, found)
        else:
            number = _count(item.lane.items, number, letters, unnumbered, found)
    return number


def _fork(fork: Fork, start: int, letters: str, unnumbered: Container[str], found: dict[str, str]) -> int:
    """Lanes count alike from the same number, told apart by letters."""
    lanes = [lane for lane in fork.lanes if any(node not in unnumbered for node in nodes_of(lane.items))]
    ends = [start]
    for i, lane in enumerate(lanes):
        ends.append(_count(lane.items, start, letters + (letter(i) if len(lanes) > 1 else ""), unnumbered, found))
    return max(ends)


def letter(lane: int) -> str:
    """a to z, then aa, ab and so on: no two lanes of a fork have the same."""
    before, last = divmod(lane, 26)
    return (letter(before - 1) if before else "") + chr(ord("a") + last)
