"""Whether stages that stand at places of their own have room there: `room-fit`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

from trainapp.checks.context import Context, start
from trainapp.checks.finding import Amount, Finding
from trainapp.train.evaluation import Evaluation
from trainapp.train.floor import Body, bodies, clearances, places

#: A place is typed to the tenth of an inch, so that nothing less is a fault of it.
_SLACK = 0.003


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Walls, vessels in one place, and vessels in the free place that another needs for its service."""
    own = places(context.document)
    standing = {node: x for node, x in own.items() if node in context.figures and context.figures[node].shape != "inline"}
    taken = {node: bodies(context.figures[node], context.stage(node).count, x) for node, x in standing.items()}
    width = context.document.room.get("width")
    for node, parts in taken.items():
        yield from _walls(context, node, parts, width)
    met = [pair for pair in combinations(taken, 2) if _meet(taken[pair[0]], taken[pair[1]])]
    for first, second in met:
        yield _one_place(context, first, second)
    for node, x in standing.items():
        kept = clearances(context.figures[node], context.stage(node).count, x)
        for other, parts in taken.items():
            if other != node and (node, other) not in met and (other, node) not in met and _meet(kept, parts):
                yield _in_the_way(context, node, other)


def _meet(first: Iterable[Body], second: Iterable[Body]) -> bool:
    others = tuple(second)
    return any(a.meets(b, _SLACK) for a in first for b in others)


def _walls(context: Context, node: str, parts: tuple[Body, ...], width: float | None) -> Iterator[Finding]:
    """What stands in a wall."""
    left, right = min(part.left for part in parts), max(part.right for part in parts)
    beyond_left, beyond_right = -left, right - width if width is not None else 0.0
    beyond, wall = max((beyond_left, "left"), (beyond_right, "right"))
    if beyond <= _SLACK:
        return
    name = start(context.name(node))
    value, limit = (right, width) if wall == "right" and width is not None else (left, 0.0)
    yield Finding(
        "room-fit", "caution", node, f"{name} does not stand inside the room",
        f"Where it is placed {context.name(node)} reaches {context.show(beyond, 'length')} through the {wall} wall.",
        value=Amount.of(value, "distance"), limit=Amount.of(limit, "distance"), source="geometry", status="computed",
        cause=f"room-fit:wall:{node}",
    )  # fmt: skip


def _one_place(context: Context, first: str, second: str) -> Finding:
    names = context.names([first, second])
    return Finding(
        "room-fit", "caution", first, f"{start(names)} stand in one place",
        f"Where they are placed {names} take up the same place on the floor: one of them has to move.",
        source="geometry", status="computed", also_at=(second,), cause=f"room-fit:place:{first}:{second}",
    )  # fmt: skip


def _in_the_way(context: Context, node: str, other: str) -> Finding:
    lamp = "disinfection" in context.stage(node).spec.tags
    what = "drawing its lamp out" if lamp else "filling it or changing its cartridge"
    return Finding(
        "room-fit", "caution", node, f"{start(context.name(other))} stands where {context.name(node)} is serviced",
        f"{start(context.name(node))} needs a free place for {what}, and {context.name(other)} stands there.",
        source="geometry", status="computed", also_at=(other,), cause=f"room-fit:service:{node}:{other}",
    )  # fmt: skip
