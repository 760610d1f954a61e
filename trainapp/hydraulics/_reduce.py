"""Makes a network smaller before it is solved: branches that end are cut off, links in a row become one run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainapp.hydraulics._newton import Joint, Run


@dataclass(slots=True)
class Reduction:
    """What is left of a network, and how to read the rest from it.

    Attributes:
        runs: what is to be solved.
        free: node numbers whose head is to be solved.
        draws: m3/s leaving at each node, the cut branches' draws moved to where they hang.
        cut: (node, link, flow of the link, neighbour) in the order of cutting.
    """

    runs: list[Run]
    free: list[int]
    draws: list[float]
    cut: list[tuple[int, int, float, int]]


def reduce(
    ends: Sequence[tuple[int, int]],
    joints: Sequence[Joint],
    drops: Sequence[float],
    fixed: Sequence[bool],
    draws: list[float],
) -> Reduction:
    """Cut off every branch that ends in a free node, then join links at free nodes where nothing is drawn.

    Args:
        ends: (start, end) node number of each link.
        joints, drops: each link's loss with slope, and its constant drop in Pa.
        fixed: by node number, whether its head is given.
        draws: m3/s leaving the network at each node number; changed in place.
    """
    touching: list[list[int]] = [[] for _ in fixed]
    for number, (u, v) in enumerate(ends):
        touching[u].append(number)
        touching[v].append(number)
    cut = _cut_branches(ends, touching, fixed, draws)
    gone = {link for _, link, _, _ in cut}
    runs: dict[int, Run] = {
        number: Run(u, v, [(joints[number], 1.0, number)], drops[number]) for number, (u, v) in enumerate(ends) if number not in gone
    }
    free = _join_rows(runs, touching, fixed, draws)
    return Reduction(list(runs.values()), free, draws, cut)


def _cut_branches(
    ends: Sequence[tuple[int, int]], touching: list[list[int]], fixed: Sequence[bool], draws: list[float]
) -> list[tuple[int, int, float, int]]:
    """Cut off tip after tip; the flow of each cut link is what its tip draws."""
    cut = []
    tips = [node for node, links in enumerate(touching) if len(links) == 1 and not fixed[node]]
    while tips:
        tip = tips.pop()
        if len(touching[tip]) != 1:
            continue
        link = touching[tip].pop()
        u, v = ends[link]
        other, flow = (u, draws[tip]) if v == tip else (v, -draws[tip])
        draws[other] += draws[tip]
        touching[other].remove(link)
        cut.append((tip, link, flow, other))
        if len(touching[other]) == 1 and not fixed[other]:
            tips.append(other)
    return cut


def _join_rows(runs: dict[int, Run], touching: list[list[int]], fixed: Sequence[bool], draws: Sequence[float]) -> list[int]:
    """Join the two runs at every free node that needs no equation of its own; returns the nodes that do."""
    free = []
    for node, links in enumerate(touching):
        if fixed[node] or not links:
            continue
        if len(links) == 2 and draws[node] == 0.0:
            first, second = (runs[number] for number in links)
            far = tuple(run.end if run.start == node else run.start for run in (first, second))
            if far[0] != far[1]:
                kept, lost = links
                runs[kept] = _joined(first, second, node)
                del runs[lost]
                touching[far[1]][touching[far[1]].index(lost)] = kept
                continue
        free.append(node)
    return free


def _joined(first: Run, second: Run, node: int) -> Run:
    """One run through `node`, from the far end of `first` to the far end of `second`."""
    a = first if first.end == node else _turned(first)
    b = second if second.start == node else _turned(second)
    return Run(a.start, b.end, a.parts + b.parts, a.drop + b.drop)


def _turned(run: Run) -> Run:
    return Run(run.end, run.start, [(joint, -sign, number) for joint, sign, number in reversed(run.parts)], -run.drop)
