"""The pressure tank of a well: what it gives between cut-out and cut-in, and how often the pump starts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainapp.hydraulics.constants import ATMOSPHERE, PSI

#: Pa by which the air in the empty tank should lie below the cut-in (trade journal, February 2006).
PRECHARGE_BELOW = 2.0 * PSI
#: s that a pump should run at each start: a minute of its own flow (trade journal, February 2006).
LEAST_RUN = 60.0


@dataclass(frozen=True, slots=True)
class PressureTank:
    """A tank with captive air on a pressure switch.

    Attributes:
        volume: m3 of the whole tank.
        precharge: Pa gauge of its air when it is empty of water.
        cut_in, cut_out: Pa gauge at which the pump starts and stops.
        atmosphere: Pa absolute outside; less in the mountains.
    """

    volume: float
    precharge: float
    cut_in: float
    cut_out: float
    atmosphere: float = ATMOSPHERE

    def __post_init__(self) -> None:
        if self.volume <= 0.0 or self.precharge < 0.0 or not 0.0 < self.cut_in < self.cut_out:
            raise ValueError("a pressure tank needs a volume, and a cut-out above a cut-in above zero")

    @property
    def factor(self) -> float:
        """Drawdown over volume, by Boyle's law: (Ppre+Pa)/(Pin+Pa) - (Ppre+Pa)/(Pout+Pa).

        A tank charged above the cut-in is empty before the pump starts; then the first term is 1.
        """
        air = self.precharge + self.atmosphere
        return max(0.0, min(1.0, air / (self.cut_in + self.atmosphere)) - min(1.0, air / (self.cut_out + self.atmosphere)))

    @property
    def drawdown(self) -> float:
        """m3 that it gives between cut-out and cut-in."""
        return self.factor * self.volume

    @property
    def charged_above_cut_in(self) -> bool:
        """Whether it runs empty, and the flow stops, before the pump starts."""
        return self.precharge > self.cut_in

    @property
    def best_precharge(self) -> float:
        """Pa gauge at which it should be charged: 2 psi below the cut-in."""
        return max(0.0, self.cut_in - PRECHARGE_BELOW)

    def run_time(self, pump_flow: float) -> float:
        """s that the pump runs to fill it while nothing is drawn, at m3/s."""
        return self.drawdown / pump_flow

    def volume_for(self, pump_flow: float, run_time: float = LEAST_RUN) -> float:
        """m3 of a tank charged like this one from which the pump runs `run_time` s at each start; infinite where it gives nothing."""
        return pump_flow * run_time / self.factor if self.factor > 0.0 else math.inf

    def shortest_cycle(self, pump_flow: float) -> float:
        """s of the shortest cycle, at a demand of half the pump's flow: 4 x drawdown / pump flow."""
        return 4.0 * self.drawdown / pump_flow
