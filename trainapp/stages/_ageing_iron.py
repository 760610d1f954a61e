"""An iron filter in use: floc held until a wash takes it out, and how long its oxidant lasts."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from trainapp.dimensions import DAY
from trainapp.stages._ageing_beds import grown, least_wanted
from trainapp.stages.ageing import Ageing, Mode, Served, Service, Stock, Washed, Washing, constants, stacked, treated
from trainapp.stages.base import Duty
from trainapp.stages.working import Array, Working, pick
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.stages.iron_filter import IronFilter

_POT_EMPTY = Mode("without permanganate", "pot-empty", "caution", "The permanganate pot was empty: the medium was not made new.")
_NEARLY = 1.0 - 1e-9
_LEAST = 1e-12


#: mg/L of a metal, and share of what passed before, from which on more of it passes.
_MORE = 0.01, 1.05


class IronAgeing(Ageing):
    """Iron held in the bed, and what its oxidant has left: a batch's store and pot, or the tank of its feed."""

    def __init__(self, stage: IronFilter, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self.filter, c = stage, stage.spec.constants
        w = Working()
        out = stage.treat(water, duty, w, [])
        self.room = c["iron_load"] * stage.tank.area
        every = stage.wash_every(water)
        held = pick(water.get("iron") - out.get("iron"), "average") * 1e-3 * duty.daily * every / DAY
        #: kg at which the bed is due to be washed.
        self.due = max(min(held, self.room), _LEAST)
        self.washing = Washing(stage.cleaning(water, duty), every / DAY)
        iron = Stock("iron", "Iron held in the bed", "grams", self.due, "clog")
        self.fed = stage.batch or stage.oxidant in ("chlorine", "permanganate")
        # the pump keeps the dose that it was set to
        dose = w.results.get("dose")
        self._running = stage if dose is None else stage.but(dose=float(np.max(dose.value)))
        self._dry = stage if stage.batch or not self.fed else stage.but(dose=0.0)
        self.modes = self._modes(stage.batch, self._passing(water, duty) if self.fed else "")
        if stage.batch:
            self._batch(iron)
        elif self.fed:
            feed = constants("feed")
            most = duty.daily * feed["lasts"] / DAY
            self.stocks = (iron, Stock("feed", "Water treated since the feed was filled", "volume", most, "store"))
            self.services = (Service("feed", "Fill the feed's tank", feed["refill"] / DAY, item=stage.oxidant),)
        else:
            self.stocks = (iron,)

    def _batch(self, iron: Stock) -> None:
        stage = self.filter
        self.charge, pot = stage.settings.number("charge") * stage.tank.volume, stage.settings.number("pot")
        self.pot = max(pot, self.charge)
        self.stocks = (
            iron,
            Stock("store", "Share of the medium's store used", "fraction", 1.0, "fill"),
            Stock("pot", "Permanganate used since the pot was filled", "mass", self.pot, "store"),
        )
        last = self.pot - self.charge * (1.0 + 1e-6)
        self.services = (
            Service("pot", "Fill the permanganate pot", stock="pot", at=max(last, _LEAST), item="potassium permanganate", dimension="mass"),
        )

    def _passing(self, water: Stream, duty: Duty) -> str:
        """What more of the metals passes without the oxidant, as far as the numbers of this water show it; "" where none does."""
        ends = [self._oxidised(mode, water, duty) for mode in (0, 2)]
        metals = [metal for metal in ("iron", "manganese") if _more(*(pick(end.get(metal), "average") for end in ends))]
        return f" More {' and '.join(metals)} passed the filter." if metals else ""

    @staticmethod
    def _modes(batch: bool, passing: str) -> tuple[Mode, ...]:
        spent = (
            Mode(
                "spent", "store-spent", "caution",
                "The medium's store of permanganate was used up before its next regeneration." + passing,
            )
            if batch
            else Mode("unfed", "feed-empty", "caution", "The feed's tank ran empty: no oxidant went into the water." + passing)
        )  # fmt: skip
        full = "The bed was full of iron before it was washed clean: floc broke through."
        return (
            Mode("working"),
            Mode("full", "iron-breakthrough", "caution", full),
            spent,
            Mode("full and without oxidant", "iron-breakthrough", "caution", full),
        )

    def mode(self, state: Array) -> int:
        full = state[0] >= self.room * _NEARLY
        return int(full) + 2 * int(self.fed and state[1] >= self.stocks[1].full * _NEARLY)

    def limits(self, state: Array) -> Array:
        limits = super().limits(state)
        if state[0] < self.room * _NEARLY:
            limits[0] = self.room
        if self.fed and state[1] < self.stocks[1].full * _NEARLY:
            limits[1] = self.stocks[1].full
        return limits

    def leaving(self, mode: int, water: Stream, duty: Duty) -> Stream:
        out = self._oxidised(mode, water, duty)
        if mode % 2:
            # what the bed cannot hold any more leaves as floc
            for metal in ("iron", "manganese"):
                out.add(f"{metal}_particulate", np.maximum(water.get(metal) - out.get(metal), 0.0))
            for row in ("absorbance_particles", "absorbance_iron"):
                gone = water.row(row) - out.row(row)
                out.add("absorbance", gone)
                out.add(row, gone)
            out.particles[...] = water.particles
        return out

    def _oxidised(self, mode: int, water: Stream, duty: Duty) -> Stream:
        without = mode >= 2
        if self.filter.batch:
            # the design model spreads the store over a run: of a run of no use all of it is there, of an endless one nothing
            return treated(self.filter, water, replace(duty, daily=1e9 if without else 1e-9))
        return treated(self._dry if without else self._running, water, duty)

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        held: Array | float = 0.0 if mode % 2 else 1e-3 * np.maximum(water.get("iron") - out.get("iron"), 0.0)
        if self.filter.batch:
            return stacked(water, held, 0.0 if mode >= 2 else self.filter.store_used(water), 0.0)
        return stacked(water, held, 0.0 if mode >= 2 else 1.0) if self.fed else stacked(water, held)

    def added_loss(self, states: Array, temperature: float) -> tuple[Array, Array]:
        return grown(self.filter.tank, states[0] / self.due, temperature)

    def wanted_flow(self, temperature: float) -> float:
        return least_wanted(self.filter.tank, temperature)

    def wash(self, state: Array, cleaned: float) -> Washed:
        after = state.copy()
        after[0] *= 1.0 - cleaned
        if not self.filter.batch:
            return Washed(after, cleaned)
        share = min(max(self.pot - state[2], 0.0) / self.charge, 1.0)
        share = 1.0 if share > _NEARLY else share
        after[1] = min(state[1], 1.0) * (1.0 - share)
        after[2] += share * self.charge
        return Washed(after, cleaned, None if share == 1.0 else _POT_EMPTY)

    def serve(self, state: Array, key: str) -> Served:
        after = state.copy()
        i = self.index(key)
        after[i] = 0.0
        return Served(after, amount=float(state[i]) if key == "pot" else 1.0)


def _more(before: float, after: float) -> bool:
    return bool(after > before * _MORE[1] and after - before > _MORE[0])
