"""Constant-flow controls: a soft washer whose bore closes as the pressure across it rises, so that flow stays near its nominal value.

The model: flow is the least of the nominal value and what the open bore passes, Cv sqrt(dP) with Cv = nominal/sqrt(threshold). Once
the pressure across it passes the threshold, the control takes up all that is left over. Threshold 15 psi, band 15 % either way:
common practice, from memory; no published figure was found.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainapp.hydraulics.constants import PSI

#: Pa across a control below which it no longer holds its flow (from memory).
THRESHOLD = 15.0 * PSI
#: Part of the nominal flow by which a control may be off either way (from memory).
BAND = 0.15
#: A control, an end or a pump passes at most this part over its limit for each bar of surplus: steep enough to be a limit in any
#: figure shown, soft enough for a solver to keep ten digits.
SOFTNESS = 1e-7
_SURPLUS = 1e5


def wall(limit: float) -> float:
    """Slope beyond a flow limit in m3/s that stands for 'no more': Pa per m3/s."""
    return _SURPLUS / (SOFTNESS * limit)


@dataclass(frozen=True, slots=True)
class FlowControl:
    """A constant-flow control; an :class:`~trainapp.hydraulics.elements.Element`.

    Attributes:
        nominal: m3/s that it holds.
        threshold: Pa across it from which it holds its flow.
        band: part of the nominal flow that it may be off either way.
        one_way: whether it lets nothing back (an open end draws no air in).
    """

    nominal: float
    threshold: float = THRESHOLD
    band: float = BAND
    one_way: bool = False

    def __post_init__(self) -> None:
        if self.nominal <= 0.0 or self.threshold <= 0.0 or not 0.0 <= self.band < 1.0:
            raise ValueError("a flow control needs a positive flow and threshold and a band below 1")

    @property
    def least(self) -> float:
        """m3/s at the lower end of its band."""
        return self.nominal * (1.0 - self.band)

    @property
    def most(self) -> float:
        """m3/s at the upper end of its band."""
        return self.nominal * (1.0 + self.band)

    def at_most(self) -> FlowControl:
        """The same control at the upper end of its band, exactly: what a device behind it must bear."""
        return FlowControl(self.most, self.threshold, 0.0, self.one_way)

    def passed(self, available: float) -> float:
        """m3/s that it passes with `available` Pa across it."""
        return self.nominal * min(1.0, math.sqrt(max(available, 0.0) / self.threshold))

    def loss_and_slope(self, flow: float) -> tuple[float, float]:
        """Pa taken at m3/s and its slope: that of the open bore up to the nominal flow, beyond it a :func:`wall`."""
        q = abs(flow)
        if self.one_way and flow < 0.0:
            return wall(self.nominal) * flow, wall(self.nominal)
        if q <= self.nominal:
            loss, slope = self.threshold * (q / self.nominal) ** 2, 2.0 * self.threshold * q / self.nominal**2
        else:
            slope = wall(self.nominal)
            loss = self.threshold + slope * (q - self.nominal)
        return (loss if flow >= 0.0 else -loss), slope

    def loss(self, flow: float) -> float:
        return self.loss_and_slope(flow)[0]

    def slope(self, flow: float) -> float:
        return self.loss_and_slope(flow)[1]
