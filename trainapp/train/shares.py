"""Flows as they are shown: rounded so that what leaves a point adds up to what enters it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import networkx as nx

from trainapp.train.zones import Link

#: What flows are shown to, in gpm and in L/min.
FLOW_STEP = 0.1
#: Part of a flow within which what leaves a node is what enters it: else it starts anew there, behind a tank.
_SAME = 1e-3
#: Floats that stand this near below a step are on it.
_FUZZ = 1e-6


def shared_out(flows: Mapping[Link, float], step: float) -> dict[Link, float]:
    """Flows of pipes as multiples of a step, in the same unit.

    What leaves a node is what is shown of the flow that enters it, shared out by largest remainders: a lane may be shown as the multiple
    next to its own, so that the lanes add up. A flow that runs backwards is rounded by itself.
    """
    # not from the keys at once: a view is no list, and networkx asks pandas and scipy whether it is theirs
    train = nx.DiGraph()
    train.add_edges_from(flows)
    shown: dict[Link, int] = {}
    for node in nx.topological_sort(train):
        arriving, leaving = list(train.in_edges(node)), sorted(train.out_edges(node))
        wanted = [flows[link] / step for link in leaving]
        total, given = sum(wanted), sum(flows[link] for link in arriving) / step
        if any(part < 0.0 for part in wanted):
            parts = [round(part) for part in wanted]
        else:
            kept = bool(arriving) and math.isclose(total, given, rel_tol=_SAME, abs_tol=_FUZZ)
            parts = _parts(wanted, sum(shown[link] for link in arriving) if kept else math.floor(total + 0.5 + _FUZZ))
        shown.update(zip(leaving, parts, strict=True))
    return {link: shown[link] * step for link in flows}


def _parts(wanted: Sequence[float], whole: int) -> list[int]:
    """Whole parts next to the wanted ones that add up to `whole`."""
    parts = [math.floor(part + _FUZZ) for part in wanted]
    rest = whole - sum(parts)
    by_remainder = sorted(range(len(parts)), key=lambda i: parts[i] - wanted[i])
    for n in range(abs(rest) if parts else 0):
        at = by_remainder[n % len(parts)] if rest > 0 else by_remainder[-1 - n % len(parts)]
        parts[at] += 1 if rest > 0 else -1
    return parts
