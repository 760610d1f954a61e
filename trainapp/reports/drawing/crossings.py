"""Pipes that cross: where, and what is left of the one that comes first in the flow."""

from __future__ import annotations

from collections.abc import Sequence

from trainapp.reports.drawing.display import Point
from trainapp.reports.drawing.pipes import Run


def gaps(runs: Sequence[Run]) -> list[tuple[int, Point]]:
    """Crossings: for each the index of the later run, and the point at which the earlier one gets its gap."""
    found: list[tuple[int, Point]] = []
    spans = [_spans(run) for run in runs]
    sides = [(min(x for x, _ in run.points), max(x for x, _ in run.points)) for run in runs]
    for j, (flat_j, upright_j) in enumerate(spans):
        left, right = sides[j]
        for i, (flat_i, upright_i) in enumerate(spans[:j]):
            if sides[i][0] <= right and left <= sides[i][1]:
                found += [(j, p) for p in _crossings(flat_i, upright_j)]
                found += [(j, p) for p in _crossings(flat_j, upright_i)]
    return found


def cut(points: Sequence[Point], openings: Sequence[tuple[Point, float]]) -> list[tuple[Point, ...]]:
    """A run in the pieces that openings leave of it: each a point of its strokes and how far it reaches along the stroke both ways."""
    pieces: list[list[Point]] = [[points[0]]]
    for start, end in zip(points, points[1:], strict=False):
        length = abs(end[0] - start[0]) + abs(end[1] - start[1])
        for low, high in sorted(_opened(start, end, length, openings)):
            if low > 0:
                pieces[-1].append(_between(start, end, low / length))
            pieces.append([_between(start, end, high / length)])
        if pieces[-1][-1] != end:
            pieces[-1].append(end)
    return [tuple(piece) for piece in pieces if len(piece) > 1]


def _opened(start: Point, end: Point, length: float, openings: Sequence[tuple[Point, float]]) -> list[tuple[float, float]]:
    """What openings take of one stroke, from and to in px along it; openings that meet are one."""
    found: list[tuple[float, float]] = []
    for (x, y), reach in openings:
        along, aside = abs(x - start[0]) + abs(y - start[1]), abs(x - end[0]) + abs(y - end[1])
        if along + aside < length + 0.02:
            low, high = max(along - reach, 0.0), min(along + reach, length)
            met = [span for span in found if span[0] <= high and low <= span[1]]
            found = [span for span in found if span not in met]
            found.append((min([low, *(a for a, _ in met)]), max([high, *(b for _, b in met)])))
    return found


def _between(start: Point, end: Point, share: float) -> Point:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


Span = tuple[float, float, float]


def _spans(run: Run) -> tuple[list[Span], list[Span]]:
    """Level spans (y, x1, x2) and upright spans (x, y1, y2) of a run."""
    flat: list[Span] = []
    upright: list[Span] = []
    for (x1, y1), (x2, y2) in zip(run.points, run.points[1:], strict=False):
        if abs(y1 - y2) < 0.01:
            flat.append((y1, min(x1, x2), max(x1, x2)))
        else:
            upright.append((x1, min(y1, y2), max(y1, y2)))
    return flat, upright


def _crossings(flat: list[Span], upright: list[Span]) -> list[Point]:
    return [(x, y) for y, x1, x2 in flat for x, y1, y2 in upright if x1 + 0.5 < x < x2 - 0.5 and y1 + 0.5 < y < y2 - 0.5]
