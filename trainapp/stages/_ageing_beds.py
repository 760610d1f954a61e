"""Beds in use: dirt that a wash takes out again, wholly or in part, carbon that is used up, grains that dissolve."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from trainapp.stages._beds import MediaTank
from trainapp.stages.ageing import Ageing, Mode, Served, Service, Stock, Washed, Washing, constants, stacked, treated
from trainapp.stages.base import Duty
from trainapp.stages.working import Array
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.stages.carbon_bed import CarbonBed
    from trainapp.stages.neutralizer import Neutralizer
    from trainapp.stages.sediment_bed import SedimentBed

_NEARLY = 1.0 - 1e-9


def grown(tank: MediaTank, share: Array, temperature: float) -> tuple[Array, Array]:
    """What dirt adds to a bed's resistance, `share` being how far it is on the way to when it is due to be washed; a and b, any shape."""
    bed, growth = tank.bed(temperature), (float(tank.medium.get("dirty_factor", 1.0)) - 1.0) * share
    return bed.linear * growth, bed.quadratic * growth


def least_wanted(tank: MediaTank, temperature: float) -> float:
    """m3/s that a wash needs at this temperature (degC): the model's, or the least that practice asks where that is less."""
    published = tank.published_flow()
    model = tank.wash_flow(temperature)
    return min(model, published[0]) if published else model


class SedimentAgeing(Ageing):
    """Dirt held until the bed is washed; full, it lets everything pass."""

    modes = (
        Mode("working"),
        Mode("full", "bed-full", "caution", "The bed was full of dirt before it was washed clean: dirt passed.", passes=True),
    )

    def __init__(self, stage: SedimentBed, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self.bed = stage
        self.room = stage.spec.constants["solids"] * stage.tank.area
        self.stocks = (Stock("dirt", "Dirt held in the bed", "grams", self.room, "clog"),)
        cleaning = stage.cleaning(water, duty)
        self.washing = Washing(cleaning, cleaning.every_days)

    def mode(self, state: Array) -> int:
        return int(state[0] >= self.room * _NEARLY)

    def limits(self, state: Array) -> Array:
        return np.array([self.room if state[0] < self.room * _NEARLY else np.inf])

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        return stacked(water, 0.0 if mode else 1e-3 * self.bed.dirt_held(water, out))

    def added_loss(self, states: Array, temperature: float) -> tuple[Array, Array]:
        return grown(self.bed.tank, states[0] / self.room, temperature)

    def wanted_flow(self, temperature: float) -> float:
        return least_wanted(self.bed.tank, temperature)

    def wash(self, state: Array, cleaned: float) -> Washed:
        return Washed(state * (1.0 - cleaned), cleaned)


class CarbonAgeing(Ageing):
    """Chlorine and organic matter taken until the carbon is spent; it then lets both pass but still strains."""

    modes = (Mode("working"), Mode("spent", "carbon-spent", "caution", "The carbon is used up: chlorine, taste and organic matter pass."))
    _ROWS = ("free_chlorine", "total_chlorine", "toc", "tannin", "colour", "hydrogen_sulfide", "chloride", "permanganate", "peroxide")

    def __init__(self, stage: CarbonBed, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self.bed, c = stage, constants("carbon")
        mass = stage.tank.volume * float(stage.tank.medium["bulk_density"])
        self._room = {"total_chlorine": c["chlorine"] * mass, "toc": c["organics"] * mass}
        self.stocks = (Stock("used", "Share of the carbon used up", "fraction", 1.0, "fill"),)
        self.services = (Service("carbon", "Renew the carbon", stage.spec.constants["carbon_days"], item="activated carbon"),)
        cleaning = stage.cleaning(water, duty)
        self.washing = Washing(cleaning, cleaning.every_days)

    def mode(self, state: Array) -> int:
        return int(state[0] >= _NEARLY)

    def limits(self, state: Array) -> Array:
        return np.array([1.0 if state[0] < _NEARLY else np.inf])

    def leaving(self, mode: int, water: Stream, duty: Duty) -> Stream:
        out = treated(self.bed, water, duty)
        if mode:
            for row in self._ROWS:
                out.set(row, water.row(row))
            parts = ("absorbance_particles", "absorbance_iron")
            strained = sum(water.row(row) - out.row(row) for row in parts)
            out.set("absorbance", water.row("absorbance") - strained)
        return out

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        chlorine = np.nan_to_num(water.row("total_chlorine") - out.row("total_chlorine"))
        # carbon fills with the organic matter that it is able to take, whether or not a reading credits that
        organics = np.nan_to_num(water.row("toc")) * self.bed.spec.constants["organics_most"]
        share = 1e-3 * (np.maximum(chlorine, 0.0) / self._room["total_chlorine"] + organics / self._room["toc"])
        return stacked(water, 0.0 if mode else share)

    def wanted_flow(self, temperature: float) -> float:
        return least_wanted(self.bed.tank, temperature)

    def serve(self, state: Array, key: str) -> Served:
        return Served(np.zeros_like(state), thrown=1.0)


class NeutralizerAgeing(Ageing):
    """A bed that dissolves: less of it is less contact, until none is left. It is followed in steps of the bed."""

    def __init__(self, stage: Neutralizer, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self.neutralizer, c = stage, stage.spec.constants
        self.steps = int(constants("neutralizer")["steps"])
        self.stocks = (Stock("dissolved", "Bed dissolved since it was topped up", "mass", stage.mass, "fill"),)
        words = stage.settings.word("media").replace("_", " and ")
        refill = c["refill_share"] * stage.mass
        self.services = (Service("bed", "Top up the neutralizer", c["longest_days"], "dissolved", refill, words, "mass"),)
        told = "The neutralizer's bed is used up: acid water passes as it came."
        low = "More than half of the neutralizer's bed is gone: too little contact is left for acid water."
        left = [
            Mode(f"{100 * (self.steps - i) // self.steps} %", *(("bed-low", "caution", low) if 2 * i >= self.steps else ()))
            for i in range(self.steps)
        ]
        self.modes = (*left, Mode("gone", "bed-used-up", "caution", told, passes=True))
        self._beds = [stage.but(bed_depth=stage.tank.depth * (1.0 - (i + 0.5) / self.steps)) for i in range(self.steps)]
        cleaning = stage.cleaning(water, duty)
        self.washing = Washing(cleaning, cleaning.every_days) if cleaning else None

    def mode(self, state: Array) -> int:
        return min(int(state[0] / self.neutralizer.mass * self.steps + 1e-9), self.steps)

    def limits(self, state: Array) -> Array:
        step = self.mode(state)
        return np.array([np.inf if step == self.steps else (step + 1) / self.steps * self.neutralizer.mass])

    def leaving(self, mode: int, water: Stream, duty: Duty) -> Stream:
        return water.copy() if mode == self.steps else treated(self._beds[mode], water, duty)

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        return stacked(water, 1e-3 * np.maximum(out.row("hardness") - water.row("hardness"), 0.0))

    def wanted_flow(self, temperature: float) -> float:
        return least_wanted(self.neutralizer.tank, temperature)

    def serve(self, state: Array, key: str) -> Served:
        return Served(np.zeros_like(state), amount=float(state[0]))
