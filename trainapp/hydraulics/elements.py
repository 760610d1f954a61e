"""Resistance elements: what a device or a run of pipe takes from the pressure at a given flow."""

from __future__ import annotations

from bisect import bisect_right
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
    """A device whose loss is a Q + b Q|Q|, or a maker's curve where one is given (the curve wins).

    Attributes:
        linear: a, Pa per m3/s (viscous part: bed, cartridge).
        quadratic: b, Pa per (m3/s)2 (valves, ports, housings).
        curve: (flow m3/s, loss Pa) points, rising from (0, 0); beyond the last the end slope of Q squared goes on.
    """

    linear: float = 0.0
    quadratic: float = 0.0
    curve: tuple[tuple[float, float], ...] = ()

    def loss(self, flow: float) -> float:
        q = abs(flow)
        dp = self._on_curve(q)[0] if self.curve else self.linear * q + self.quadratic * q * q
        return dp if flow >= 0 else -dp

    def slope(self, flow: float) -> float:
        q = abs(flow)
        return self._on_curve(q)[1] if self.curve else self.linear + 2.0 * self.quadratic * q

    def _on_curve(self, q: float) -> tuple[float, float]:
        points = self.curve if self.curve[0] == (0.0, 0.0) else ((0.0, 0.0), *self.curve)
        last_q, last_p = points[-1]
        if q >= last_q:
            k = last_p / (last_q * last_q)
            return k * q * q, 2.0 * k * q
        i = bisect_right([x for x, _ in points], q)
        (q0, p0), (q1, p1) = points[i - 1], points[i]
        slope = (p1 - p0) / (q1 - q0)
        return p0 + slope * (q - q0), slope

    def __add__(self, other: Resistance) -> Resistance:
        """Two in series; only where neither has a maker's curve."""
        if self.curve or other.curve:
            raise ValueError("resistances with a maker's curve are not added term by term")
        return Resistance(self.linear + other.linear, self.quadratic + other.quadratic)

    def shared(self, count: int) -> Resistance:
        """`count` identical units in parallel, as one element."""
        if self.curve:
            return Resistance(curve=tuple((q * count, p) for q, p in self.curve))
        return Resistance(self.linear / count, self.quadratic / count**2)
