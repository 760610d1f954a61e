"""The dose of one chamber through the run, and every second in which water passed it outside its rating."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trainapp.dimensions import HOUR
from trainapp.stages.ageing import LampAgeing
from trainapp.stages.working import Array
from trainapp.studies.year.machine import Regime
from trainapp.studies.year.pieces import Pieces

Flags = NDArray[np.bool_]
#: This much over a rating is not over it.
_SLACK = 1e-4
CAUSES: tuple[str, ...] = ("flow", "water", "lamp", "film", "unlit")


@dataclass
class Light:
    """One chamber in a run.

    Attributes:
        node: the stage. ageing: its lamp and film.
    """

    pieces: Pieces
    node: str
    ageing: LampAgeing

    # Light ----------------------------------------------------------------------------------------------------------------------------

    @cached_property
    def states(self) -> Array:
        """Its stocks at the end of each piece, shape (stocks, pieces)."""
        return self.pieces.of(self.node)

    @cached_property
    def lamp(self) -> Array:
        """Share of a new lamp's light, shape (pieces,)."""
        return self.ageing.lamp_output(self.states)

    def film(self, band: float = 1.0) -> Array:
        """Share of light through the film, shape (pieces,); illustrative."""
        return self.ageing.film(self.states, band)

    @cached_property
    def lit(self) -> Flags:
        """Whether the lamp burns, shape (pieces,)."""
        dark = np.array([self.node in regime.unlit for regime in self.pieces.regimes])
        return ~dark[self.pieces.regime]

    # Flow and water -------------------------------------------------------------------------------------------------------------------

    @cached_property
    def flow(self) -> Array:
        """m3/s through one unit in each way, shape (ways,)."""
        return np.asarray(self.pieces.machine.layout.through[self.node] / self.ageing.stage.count)

    def absorbance(self, regime: Regime) -> Array:
        """1/cm of the water that enters, shape (ways,)."""
        return self.pieces.machine.row(regime.response.entering[self.node], "absorbance")

    def scales(self, regime: Regime, above: float = 0.0) -> Flags:
        """Ways whose water scales on the warm sleeve, shape (ways,); `above` is the saturation index from which on it counts."""
        machine = self.pieces.machine
        return np.asarray(self.ageing.scales(regime.response.entering[self.node], above)[machine.reading, 0] > 0.0)

    @cached_property
    def passing(self) -> Array:
        """Seconds in which each way brought water through, shape (pieces, ways)."""
        return np.asarray(self.pieces.drawn[:, : len(self.flow)] * (self.flow > 0.0))

    def too_fast(self) -> Flags:
        """Ways whose flow is above the rating, shape (ways,)."""
        return np.asarray(self.flow > self.ageing.rated_flow * (1.0 + _SLACK))

    def too_dark(self, regime: Regime) -> Flags:
        """Ways whose water is below the rating, shape (ways,)."""
        return np.asarray(self.absorbance(regime) > self.ageing.rated_absorbance + _SLACK * 1e-2)

    # Dose -----------------------------------------------------------------------------------------------------------------------------

    def doses(self, credited: bool, band: float = 1.0) -> tuple[Array, Array]:
        """Least dose of the water of each piece, and its mean by volume; NaN where none passed; mJ/cm2.

        Args:
            credited: what the rating leaves, else the estimate by optics.
            band: growth of the film over the middle of its band.
        """
        light = self._light(credited, band)
        least, mean = (np.full(len(light), np.nan) for _ in range(2))
        for regime, rows in self.pieces.groups():
            absorbed = self.absorbance(regime)
            dose = self.ageing.credited(self.flow, absorbed) if credited else self.ageing.estimated(self.flow, absorbed, regime.temperature)
            passing = self.passing[rows]
            volume = passing @ self.flow
            some = volume > 0.0
            least[rows] = np.where(some, np.where(passing > 0.0, dose, np.inf).min(axis=1), np.nan)
            mean[rows] = np.divide(passing @ (self.flow * dose), volume, out=np.full(len(rows), np.nan), where=some)
        return least * light, mean * light

    def _light(self, credited: bool, band: float) -> Array:
        film = self.film(band)
        light = self.ageing.standing(self.lamp, film) if credited else self.lamp * film
        return np.asarray(np.where(self.lit, light, 0.0))

    # Outside the rating -----------------------------------------------------------------------------------------------------------------

    def outside(self, cause: str, band: float = 1.0) -> Array:
        """Seconds of each piece in which water passed outside the rating for one cause of :data:`CAUSES`, shape (pieces,)."""
        if cause == "unlit":
            return np.where(self.lit, 0.0, self.passing.sum(axis=1))
        if cause in ("lamp", "film"):
            return np.where(self._dim(cause == "film", band), self.passing.sum(axis=1), 0.0)
        return self._by_way(lambda regime: self.too_fast() if cause == "flow" else self.too_dark(regime))

    def _dim(self, with_film: bool, band: float) -> Flags:
        old = self.lamp < self.ageing.lamp_end * (1.0 - 1e-9)
        if not with_film:
            return np.asarray(old & self.lit)
        # what the lamp alone brings about is not put down to the film
        left = self.ageing.standing(self.lamp, self.film(band))
        return np.asarray((left < self.ageing.assumed * (1.0 - 1e-9)) & ~old & self.lit)

    def outside_any(self, band: float | None = 1.0) -> Array:
        """Seconds of each piece in which water passed outside the rating for whatever cause; with `band` None the film is left out."""
        whole = ~self.lit | self._dim(False, 1.0)
        if band is not None:
            whole |= self._dim(True, band)
        part = self._by_way(lambda regime: self.too_fast() | self.too_dark(regime))
        return np.asarray(np.where(whole, self.passing.sum(axis=1), part))

    def _by_way(self, flags: Callable[[Regime], Flags]) -> Array:
        found = np.zeros(len(self.lamp))
        for regime, rows in self.pieces.groups():
            found[rows] = self.passing[rows] @ np.asarray(flags(regime), dtype=np.float64)
        return found

    # Standing water ---------------------------------------------------------------------------------------------------------------------

    def warmth(self, idle: Array) -> Array:
        """K by which water that stood `idle` s is warmer."""
        return self.ageing.warmth(idle)

    @property
    def lit_hours(self) -> float:
        """Hours that the lamp burned."""
        spent = self.pieces.end - self.pieces.start
        return float(spent[self.lit].sum()) / HOUR


def lights_of(pieces: Pieces) -> dict[str, Light]:
    """Every chamber of a run, in flow order."""
    ageings = pieces.machine.ageings
    return {node: Light(pieces, node, ageing) for node, ageing in ageings.items() if isinstance(ageing, LampAgeing)}
