"""What brings the water: a well pump on a switch or held at a pressure, or a main.

Pressures are Pa gauge at the supply's gauge, flows m3/s. A switched well has two: `running`, what its pump holds at a flow, and
`lowest`, what is left when the pump is about to start. The pump of a switched well stops at the cut-out, so it never holds more.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from typing import Literal, Protocol

from trainapp.hydraulics.constants import GRAVITY
from trainapp.hydraulics.tank import PressureTank
from trainapp.hydraulics.water_properties import density

#: How far beyond its last point a pump's curve is trusted, as a part of that point's flow.
BEYOND = 0.10


class Supply(Protocol):
    """What every supply answers."""

    @property
    def lift(self) -> float:
        """m from the gauge up to the house."""
        ...

    @property
    def max_flow(self) -> float:
        """m3/s beyond which nothing is said of it; infinite for a main."""
        ...

    def running(self, flow: float) -> float:
        """Pa while it gives this flow; 0 where it cannot."""
        ...

    def lowest(self, flow: float) -> float:
        """The lowest Pa at this flow over its cycle; 0 where it cannot give it."""
        ...

    def rest(self, lowest: bool = False) -> float:
        """Pa at no flow: the highest, or the lowest of the cycle."""
        ...

    def flow_at(self, pressure: float, lowest: bool = True) -> float:
        """The greatest m3/s at which the lowest (or running) pressure is at least this; 0 where there is none."""
        ...

    def falling(self, flow: float, lowest: bool) -> tuple[float, float]:
        """Pressure at a flow from 0 to `max_flow` and how fast it falls, Pa per m3/s."""
        ...

    def range_note(self, flow: float) -> str:
        """One sentence where this flow is outside what is known of the supply, else nothing."""
        ...


def lift_pressure(lift: float, temperature: float = 10.0) -> float:
    """Pa that a rise of `lift` m takes."""
    return density(temperature) * GRAVITY * lift


@dataclass(frozen=True, slots=True)
class Well:
    """A pump in a well, known by points of its curve at the gauge.

    Attributes:
        curve: (flow m3/s, pressure Pa) points, flow rising and pressure not.
        control: "switch" starts the pump at `cut_in` and stops it at `cut_out`; "constant" holds `set_pressure`.
        cut_in, cut_out, set_pressure: Pa, as the control needs them.
        lift: m from the gauge up to the house.
        yield_flow: m3/s that the well itself refills by, None where unknown; it bounds no pressure.
        tank: its pressure tank, None without one.
    """

    curve: tuple[tuple[float, float], ...]
    control: Literal["switch", "constant"] = "switch"
    cut_in: float = 0.0
    cut_out: float = 0.0
    set_pressure: float = 0.0
    lift: float = 0.0
    yield_flow: float | None = None
    tank: PressureTank | None = None

    def __post_init__(self) -> None:
        steps = list(zip(self.curve, self.curve[1:], strict=False))
        if not self.curve or self.curve[-1][0] <= 0.0 or any(b[0] <= a[0] or b[1] > a[1] for a, b in steps):
            raise ValueError("a pump curve needs points of rising flow and falling pressure")
        if self.control == "switch" and not 0.0 < self.cut_in < self.cut_out:
            raise ValueError("a switch needs a cut-out above a cut-in above zero")
        if self.control == "constant" and self.set_pressure <= 0.0:
            raise ValueError("a constant-pressure pump needs the pressure that it holds")

    @property
    def last_flow(self) -> float:
        """m3/s of the last point."""
        return self.curve[-1][0]

    @property
    def max_flow(self) -> float:
        """m3/s of the last point and a tenth more."""
        return self.last_flow * (1.0 + BEYOND)

    @property
    def shut_off(self) -> float:
        """Pa of the first point."""
        return self.curve[0][1]

    def on_curve(self, flow: float) -> tuple[float, float]:
        """Pa of the pump alone at m3/s, and how fast it falls; straight between points, level before the first, 0 beyond `max_flow`."""
        if flow > self.max_flow:
            return 0.0, 0.0
        if flow < self.curve[0][0] or len(self.curve) == 1:
            return self.shut_off, 0.0
        i = min(max(bisect_left(self.curve, flow, key=lambda point: point[0]), 1), len(self.curve) - 1)
        (q0, p0), (q1, p1) = self.curve[i - 1], self.curve[i]
        fall = (p0 - p1) / (q1 - q0)
        pressure = p0 - fall * (flow - q0)
        return (pressure, fall) if pressure > 0.0 else (0.0, 0.0)

    def _cap(self, lowest: bool) -> float:
        if self.control == "constant":
            return self.set_pressure
        return self.cut_in if lowest else self.cut_out

    def falling(self, flow: float, lowest: bool) -> tuple[float, float]:
        pressure, fall = self.on_curve(flow)
        cap = self._cap(lowest)
        return (cap, 0.0) if pressure > cap else (pressure, fall)

    def running(self, flow: float) -> float:
        return self.falling(flow, lowest=False)[0]

    def lowest(self, flow: float) -> float:
        return self.falling(flow, lowest=True)[0]

    def rest(self, lowest: bool = False) -> float:
        return min(self.shut_off, self._cap(lowest))

    def flow_at(self, pressure: float, lowest: bool = True) -> float:
        return self.pumped_at(pressure) if pressure <= self.rest(lowest) else 0.0

    def pumped_at(self, pressure: float) -> float:
        """The greatest m3/s that the pump alone gives against this pressure, whatever the control."""
        if pressure > self.shut_off:
            return 0.0
        flow = self.last_flow
        for (q0, p0), (q1, p1) in zip(self.curve, self.curve[1:], strict=False):
            if p1 < pressure <= p0:
                return q0 + (p0 - pressure) / (p0 - p1) * (q1 - q0)
        last, fall = self.on_curve(self.last_flow)
        return min(self.max_flow, flow + (last - pressure) / fall) if fall > 0.0 else self.max_flow

    @property
    def refill_flow(self) -> float:
        """m3/s of the pump halfway between cut-in and cut-out: what fills the tank."""
        return self.pumped_at(0.5 * (self.cut_in + self.cut_out))

    def range_note(self, flow: float) -> str:
        if flow <= self.last_flow:
            return ""
        if flow <= self.max_flow:
            return "this flow lies beyond the last point of the pump's curve, which was drawn on by up to a tenth"
        return "this flow is more than the pump's curve shows, even drawn on by a tenth"


@dataclass(frozen=True, slots=True)
class Mains:
    """A main known by two points: at rest, and at one flow; the fall goes with the square of flow.

    Attributes:
        static: Pa at no flow.
        residual: Pa at `at_flow`.
        at_flow: m3/s.
        lift: m from the gauge up to the house.
    """

    static: float
    residual: float
    at_flow: float
    lift: float = 0.0

    def __post_init__(self) -> None:
        if self.at_flow <= 0.0 or self.residual > self.static or self.residual < 0.0:
            raise ValueError("a main needs a flow, and a pressure at that flow from zero up to the pressure at rest")

    @property
    def max_flow(self) -> float:
        """Infinite: the street gives more than one house takes."""
        return math.inf

    @property
    def coefficient(self) -> float:
        """Pa per (m3/s)2."""
        return (self.static - self.residual) / self.at_flow**2

    def falling(self, flow: float, lowest: bool) -> tuple[float, float]:
        return self.static - self.coefficient * flow * flow, 2.0 * self.coefficient * flow

    def running(self, flow: float) -> float:
        return max(0.0, self.falling(flow, lowest=False)[0])

    def lowest(self, flow: float) -> float:
        return self.running(flow)

    def rest(self, lowest: bool = False) -> float:
        return self.static

    def flow_at(self, pressure: float, lowest: bool = True) -> float:
        if pressure > self.static:
            return 0.0
        return math.sqrt((self.static - pressure) / self.coefficient) if self.coefficient > 0.0 else math.inf

    def range_note(self, flow: float) -> str:
        return "" if flow <= self.at_flow else "this flow lies beyond the one that the main was tested at; its square law was drawn on"
