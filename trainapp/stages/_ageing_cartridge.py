"""A cartridge in use: it takes more pressure the more it holds, until someone changes it or nothing more gets in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from trainapp.dimensions import DAY
from trainapp.hydraulics.devices import blocking_loading, blocking_mass
from trainapp.stages.ageing import Ageing, Mode, Served, Service, Stock, constants, stacked
from trainapp.stages.base import Duty
from trainapp.stages.working import Array
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.stages.sediment_cartridge import SedimentCartridge

#: Grams of Fe(OH)3 for a gram of iron.
_FLOC = 1.0 + 3.0 * 17.007 / BY_KEY["iron"].molar


class CartridgeAgeing(Ageing):
    """Dirt on the wall, by the blocking law of the stage's own model."""

    modes = (
        Mode("working"),
        Mode("blocked", "cartridge-blocked", "caution", "Nobody changed the cartridge: it is blocked, and next to no water gets through."),
    )

    def __init__(self, stage: SedimentCartridge, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self.cartridge, c = stage, stage.spec.constants
        clean = stage.wall(duty.cold).loss(stage.read_at)
        #: kg at which the law says that nothing passes, and at which the gauge asks for a change.
        self.mass = blocking_mass(stage.law, stage.dirt, 1.0 + c["end_loss"] / clean)
        self.due = self.mass * blocking_loading(stage.law, 1.0 + stage.change_at / clean)
        self.most = constants("cartridge")["blocked"] * self.mass if stage.law == "standard" else np.inf
        self.stocks = (Stock("dirt", "Dirt on the cartridge", "grams", self.due, "clog"),)
        self.services = (Service("cartridge", "Change the cartridge", c["longest"] / DAY, "dirt", self.due, "sediment cartridge"),)

    def mode(self, state: Array) -> int:
        return int(state[0] >= self.most * (1.0 - 1e-9))

    def limits(self, state: Array) -> Array:
        return np.array([np.inf if self.mode(state) else self.most])

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        solids = water.row("suspended_solids")
        solids = np.where(np.isnan(solids), water.get("turbidity") * self.cartridge.solids, solids)
        before, after = water.particles[1:].sum(axis=0), out.particles[1:].sum(axis=0)
        held = 1.0 - np.divide(after, before, out=np.ones_like(after), where=before > 0.0)
        floc = _FLOC * (water.row("iron_particulate") - out.row("iron_particulate"))
        return stacked(water, 0.0 if mode else 1e-3 * np.maximum(solids * held, floc))

    def added_loss(self, states: Array, temperature: float) -> tuple[Array, Array]:
        loading = np.minimum(states[0] / self.mass, 0.999)
        grown = loading if self.cartridge.law == "cake" else 1.0 / (1.0 - loading) ** 2 - 1.0
        return self.cartridge.wall(temperature).linear * grown, np.zeros_like(loading)

    def serve(self, state: Array, key: str) -> Served:
        return Served(np.zeros_like(state), thrown=1.0)
