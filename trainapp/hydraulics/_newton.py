"""Newton's method on flows and nodal heads together (the gradient method), for what is left of a network after its reduction.

Every step solves the linear network that is tangent to the real one. Losses rise with flow, so the true flows are the least point of
a convex function and a step that overshoots it is cut back along itself; that makes the method converge from anywhere, also across the
kink of a flow limit.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

Joint = Callable[[float], tuple[float, float]]

#: Relative change of flow at which a step is the last.
TOLERANCE = 1e-10
_LEAST_SLOPE = 1e3
_LEAST_FLOW = 1e-12
_ROUNDS = 200
_CUTS = 60
_OVERSHOOT = 0.3
_SMALL = 1e-7
#: Part of a step to within which a kink is found.
_KINK = 1e-4
#: Unknown heads up to which plain elimination beats numpy.
_SMALL_SYSTEM = 16


class NoConvergence(Exception):
    """The iteration did not settle."""


@dataclass(slots=True)
class Run:
    """One or more links in a row that carry the same flow.

    Attributes:
        start, end: node numbers.
        parts: (loss and slope of a link, +1.0 or -1.0 as the link points along the run or against it, link number), in order from start.
        drop: Pa that the run takes whatever the flow.
        flow: m3/s from start to end.
    """

    start: int
    end: int
    parts: list[tuple[Joint, float, int]]
    drop: float = 0.0
    flow: float = 0.0

    def at(self, flow: float) -> tuple[float, float]:
        """Pressure taken from start to end (drop included) and its slope at a flow."""
        taken, slope = self.drop, 0.0
        for joint, sign, _ in self.parts:
            dp, ds = joint(sign * flow)
            taken += sign * dp
            slope += ds
        return taken, slope if slope > _LEAST_SLOPE else _LEAST_SLOPE


def settle(runs: Sequence[Run], heads: list[float], free: Sequence[int], draws: Sequence[float], guess: float) -> int:
    """Find the flow of every run and the head of every free node; both are written in place.

    Args:
        heads: Pa by node number; those of nodes not in `free` are given.
        free: numbers of the nodes whose head is unknown.
        draws: m3/s leaving the network at each node number.
        guess: m3/s, the size of flow to start from.

    Returns:
        rounds taken.

    Raises:
        NoConvergence: see its text.
    """
    place = {node: i for i, node in enumerate(free)}
    tangents = _first_tangents(runs, guess)
    for rounds in range(1, _ROUNDS + 1):
        _tangent_heads(runs, tangents, heads, place, draws)
        steps = [(heads[run.start] - heads[run.end] - taken) / slope for run, (taken, slope) in zip(runs, tangents, strict=True)]
        whole = rounds == 1
        tangents = _advance(runs, tangents, steps, heads, whole)
        size = max((abs(run.flow) for run in runs), default=0.0)
        change = max((abs(step) for step in steps), default=0.0)
        if change <= max(TOLERANCE * size, _LEAST_FLOW) and not whole:
            return rounds
    raise NoConvergence


def _first_tangents(runs: Sequence[Run], guess: float) -> list[tuple[float, float]]:
    """Straight lines through no flow that meet each loss at the guessed flow."""
    lines = []
    for run in runs:
        run.flow = 0.0
        taken, slope = run.at(guess)
        lines.append((run.drop, max((taken - run.drop) / guess, _LEAST_SLOPE)))
    return lines


def _advance(
    runs: Sequence[Run], tangents: Sequence[tuple[float, float]], steps: Sequence[float], heads: Sequence[float], whole: bool
) -> list[tuple[float, float]]:
    """Take the step, or as much of it as does not overshoot; returns the tangents there."""
    flows = [run.flow for run in runs]
    gaps = [heads[run.start] - heads[run.end] for run in runs]

    def moved(part: float) -> tuple[list[tuple[float, float]], float]:
        found, pull = [], 0.0
        for run, flow, step, gap in zip(runs, flows, steps, gaps, strict=True):
            run.flow = flow + part * step
            line = run.at(run.flow)
            found.append(line)
            pull += step * (line[0] - gap)
        return found, pull

    after, pull = moved(1.0)
    if whole or max(map(abs, steps), default=0.0) <= _SMALL * max(map(abs, flows), default=0.0):
        return after
    push = sum(slope * step * step for (_, slope), step in zip(tangents, steps, strict=True))
    if pull <= _OVERSHOOT * push:
        return after
    low, high, at_low, at_high = 0.0, 1.0, -push, pull
    for _ in range(_CUTS):
        # False position closes in fast on a smooth loss; kept within the second quarter it also closes in on a kink.
        secant = low - at_low * (high - low) / (at_high - at_low)
        part = min(max(secant, low + 0.25 * (high - low)), low + 0.5 * (high - low))
        after, pull = moved(part)
        if abs(pull) <= _OVERSHOOT * push:
            return after
        if pull < 0.0:
            low, at_low = part, pull
        else:
            high, at_high = part, pull
        if high - low <= _KINK * high:
            break
    # Beyond a kink the next tangent is the steep side's, which is straight; before it the next step would overshoot again.
    return moved(high)[0]


def _tangent_heads(
    runs: Sequence[Run], tangents: Sequence[tuple[float, float]], heads: list[float], place: dict[int, int], draws: Sequence[float]
) -> None:
    """Heads of the free nodes of the tangent network: at each, what flows in flows out."""
    n = len(place)
    if not n:
        return
    matrix = [[0.0] * n for _ in range(n)]
    right = [0.0] * n
    for node, i in place.items():
        right[i] = -draws[node]
    for run, (taken, slope) in zip(runs, tangents, strict=True):
        conductance = 1.0 / slope
        still = run.flow - taken * conductance
        i, j = place.get(run.start, -1), place.get(run.end, -1)
        if i >= 0:
            matrix[i][i] += conductance
            right[i] -= still
            if j >= 0:
                matrix[i][j] -= conductance
                matrix[j][i] -= conductance
            else:
                right[i] += conductance * heads[run.end]
        if j >= 0:
            matrix[j][j] += conductance
            right[j] += still
            if i < 0:
                right[j] += conductance * heads[run.start]
    for node, head in zip(place, _solved(matrix, right), strict=True):
        heads[node] = head


def _solved(matrix: list[list[float]], right: list[float]) -> list[float]:
    """The solution of a symmetric, diagonally dominant system; overwrites its arguments."""
    n = len(right)
    if n > _SMALL_SYSTEM:
        import numpy as np

        solution: list[float] = np.linalg.solve(np.array(matrix), np.array(right)).tolist()
        return solution
    for k in range(n):
        pivot_row, pivot = matrix[k], matrix[k][k]
        for i in range(k + 1, n):
            row = matrix[i]
            factor = row[k] / pivot
            if factor:
                for j in range(k + 1, n):
                    row[j] -= factor * pivot_row[j]
                right[i] -= factor * right[k]
    for k in range(n - 1, -1, -1):
        row = matrix[k]
        right[k] = (right[k] - sum(row[j] * right[j] for j in range(k + 1, n))) / row[k]
    return right
