"""Resistance elements: what a device or a run of pipe takes from the pressure at a given flow."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol


class Element(Protocol):
    """Anything that water flows through. Units: m3/s and Pa. Loss is odd and strictly rising in flow."""

    def loss(self, flow: float) -> float:
        """Pressure lost at this flow, Pa."""
        ...

    def slope(self, flow: float) -> float:
        """d(loss)/d(flow), Pa per m3/s; positive."""
        ...


@dataclass(frozen=True, slots=True)
class Resistance:
    """A device whose loss is a Q + b Q|Q|, and a maker's curve on top where one is given.

    A maker's points are joined in the square of flow, the law of ports and fittings (Crane TP 410): from no flow to the first, from one to
    the next, and on beyond the last as between the last two. One rated point is dp_r (Q/Q_r)^2 at every flow.

    Attributes:
        linear: a, Pa per m3/s (viscous part: bed, cartridge; dirt on top of a maker's curve).
        quadratic: b, Pa per (m3/s)2 (valves, ports, housings).
        curve: (flow m3/s, loss Pa) points, rising.
    """

    linear: float = 0.0
    quadratic: float = 0.0
    curve: tuple[tuple[float, float], ...] = ()

    def loss(self, flow: float) -> float:
        q = abs(flow)
        dp = self.linear * q + self.quadratic * q * q
        if self.curve:
            p, k = self._on_curve(q)
            dp += p + k * q * q
        return dp if flow >= 0 else -dp

    def slope(self, flow: float) -> float:
        q = abs(flow)
        k = self.quadratic + (self._on_curve(q)[1] if self.curve else 0.0)
        return self.linear + 2.0 * k * q

    def _on_curve(self, q: float) -> tuple[float, float]:
        """p and k of p + k Q^2, the part of the maker's curve at a flow."""
        points = self.curve if self.curve[0] == (0.0, 0.0) else ((0.0, 0.0), *self.curve)
        i = min(bisect_right(points, q, key=lambda point: point[0]), len(points) - 1)
        (q0, p0), (q1, p1) = points[i - 1], points[i]
        k = (p1 - p0) / (q1 * q1 - q0 * q0)
        return p0 - k * q0 * q0, k

    def __add__(self, other: Resistance) -> Resistance:
        """Two in series; only where neither has a maker's curve."""
        if self.curve or other.curve:
            raise ValueError("resistances with a maker's curve are not added term by term")
        return Resistance(self.linear + other.linear, self.quadratic + other.quadratic)

    def shared(self, count: int) -> Resistance:
        """`count` identical units in parallel, as one element."""
        return Resistance(self.linear / count, self.quadratic / count**2, tuple((q * count, p) for q, p in self.curve))


def loss_and_slope(element: Element) -> Callable[[float], tuple[float, float]]:
    """The element's loss (Pa) and slope (Pa per m3/s) as one call, by its own joint method where it has one."""
    joint: Callable[[float], tuple[float, float]] | None = getattr(element, "loss_and_slope", None)
    if joint is not None:
        return joint
    loss, slope = element.loss, element.slope
    return lambda flow: (loss(flow), slope(flow))


@dataclass(frozen=True, slots=True)
class Series:
    """Elements one behind the other, carrying the same flow.

    Attributes:
        parts: in flow order.
    """

    parts: tuple[Element, ...]

    def loss(self, flow: float) -> float:
        return sum(part.loss(flow) for part in self.parts)

    def slope(self, flow: float) -> float:
        return sum(part.slope(flow) for part in self.parts)

    def loss_and_slope(self, flow: float) -> tuple[float, float]:
        """Loss (Pa) and slope (Pa per m3/s) in one call."""
        loss = slope = 0.0
        for part in self.parts:
            dp, ds = loss_and_slope(part)(flow)
            loss += dp
            slope += ds
        return loss, slope


@dataclass(frozen=True, slots=True)
class Shared:
    """Identical elements side by side, each carrying its part of the flow; for elements that are not a :class:`Resistance`.

    Attributes:
        part: one of them.
        count: how many.
    """

    part: Element
    count: int

    def loss(self, flow: float) -> float:
        return self.part.loss(flow / self.count)

    def slope(self, flow: float) -> float:
        return self.part.slope(flow / self.count) / self.count
