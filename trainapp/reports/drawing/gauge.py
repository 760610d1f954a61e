"""The small bar of a ledger cell: where a value stands against its limit, in fractions of the bar's length."""

from __future__ import annotations

import math

from trainapp.reports.drawing.display import Line, Polyline, Rect, Shape
from trainapp.reports.drawing.model import Gauge

#: Where the limit's tick stands: for a maximum, and for a minimum.
MAXIMUM_TICK, MINIMUM_TICK = 0.68, 0.32

#: Past this fraction of a maximum, or within the rest of it from a minimum, a value is near its limit; of a pH, within 0.2.
NEAR = 0.8
NEAR_PH = 0.2

#: Ends that a bar is held to.
LEAST, MOST = 0.04, 1.0


def against_maximum(value: float, limit: float) -> float:
    """Place of a value under a maximum: the limit at 0.68, in proportion."""
    if limit <= 0:
        return LEAST if value <= 0 else MOST
    return _held(MAXIMUM_TICK * value / limit)


def against_minimum(value: float, limit: float, best: float) -> float:
    """Place of a value over a minimum: the limit at 0.32, the best value at 1."""
    if best <= limit:
        return MOST if value >= limit else LEAST
    return _held(MINIMUM_TICK + MAXIMUM_TICK * (value - limit) / (best - limit))


def _held(place: float) -> float:
    return min(max(place, LEAST), MOST) if math.isfinite(place) else MOST


def maximum_gauge(low: float, high: float | None, limit: float) -> Gauge:
    """Gauge of a value, or interval (`high` None: no upper end), under a maximum."""
    top = MOST if high is None else against_maximum(high, limit)
    bottom = top if high == low else (0.0 if low <= 0 else against_maximum(low, limit))
    return Gauge(bottom, top, MAXIMUM_TICK, "below", arrow=high is None)


def minimum_gauge(low: float, high: float | None, limit: float, best: float) -> Gauge:
    """Gauge of a value, or interval, over a minimum, `best` being the value wished for."""
    top = MOST if high is None else against_minimum(high, limit, best)
    return Gauge(against_minimum(low, limit, best), top, MINIMUM_TICK, "above", arrow=high is None)


def draw(gauge: Gauge, x: float, y: float, width: float, bar: str = "ink2") -> list[Shape]:
    """The gauge from (x, y), y its middle, `width` px long and 8 high."""
    tick = x + gauge.tick * width
    top, height = y - 4.0, 8.0
    allowed, other = ((x, tick), (tick, x + width)) if gauge.allowed == "below" else ((tick, x + width), (x, tick))
    items: list[Shape] = [
        Rect(allowed[0], top, allowed[1] - allowed[0], height, "hair"),
        Rect(other[0] + 0.5, top + 0.5, other[1] - other[0] - 1.0, height - 1.0, "page", "edge", 1.0),
    ]
    items += _bar(gauge, x, y, width, bar)
    items.append(Line(tick, y - 7.0, tick, y + 7.0, "ink", 1.8))
    return items


def _bar(gauge: Gauge, x: float, y: float, width: float, bar: str) -> list[Shape]:
    sure, end = x + gauge.low * width, x + gauge.high * width
    items: list[Shape] = []
    if gauge.low > 0:
        items.append(Rect(x, y - 2.0, sure - x, 4.0, bar))
    if end > sure + 0.5:
        items.append(Rect(sure, y - 2.0, end - sure, 4.0, "page", bar, 1.0))
    tick = x + gauge.tick * width
    if gauge.allowed == "below" and sure > tick + 0.5:
        items.append(Rect(tick, y - 2.0, sure - tick, 4.0, "fail", "ink", 0.8))
    if gauge.arrow:
        items.append(Polyline(((end - 1.0, y - 4.0), (end + 3.0, y), (end - 1.0, y + 4.0)), bar, fill=bar, closed=True))
    return items
