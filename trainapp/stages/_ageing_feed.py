"""A chemical feed in use: its solution tank runs out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from trainapp.dimensions import DAY
from trainapp.stages.ageing import Ageing, Mode, Served, Service, Stock, constants, stacked, treated
from trainapp.stages.base import Duty
from trainapp.stages.working import Array
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.stages.oxidant_feed import OxidantFeed


class FeedAgeing(Ageing):
    """A tank that is made up anew each month and lasts somewhat longer."""

    modes = (Mode("feeding"), Mode("empty", "feed-empty", "caution", "The feed's tank ran empty: no oxidant went into the water."))

    def __init__(self, stage: OxidantFeed, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self._empty = stage.but(dose=0.0)
        self.stocks = (
            Stock("feed", "Water treated since the tank was filled", "volume", duty.daily * constants("feed")["lasts"] / DAY, "store"),
        )
        self.services = (Service("feed", "Make up fresh solution", stage.spec.constants["refill_days"], item=stage.oxidant),)

    def mode(self, state: Array) -> int:
        return int(state[0] >= self.stocks[0].full * (1.0 - 1e-9))

    def limits(self, state: Array) -> Array:
        return np.array([np.inf if self.mode(state) else self.stocks[0].full])

    def leaving(self, mode: int, water: Stream, duty: Duty) -> Stream:
        return treated(self._empty if mode else self.stage, water, duty)

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        return stacked(water, 0.0 if mode else 1.0)

    def serve(self, state: Array, key: str) -> Served:
        return Served(np.zeros_like(state))
