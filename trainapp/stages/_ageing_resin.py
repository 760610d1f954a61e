"""Resins in use: places taken until salt makes them new, by a meter or by a clock, for as long as there is salt."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from trainapp.dimensions import DAY, YEAR
from trainapp.stages._beds import constants as bed_constants
from trainapp.stages.ageing import Ageing, Mode, Served, Service, Stock, Washed, Washing, constants, stacked
from trainapp.stages.base import Duty
from trainapp.stages.working import Array, Working, pick
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.stages.softener import Softener
    from trainapp.stages.tannin_resin import TanninResin

MONTH_DAYS = YEAR / DAY / 12
_SULFATE, _NITRATE = (BY_KEY[key].equivalent for key in ("sulfate", "nitrate"))
_USED, _SALT, _METER = 0, 1, 2
_OUT_OF_SALT = Mode(
    "without salt", "out-of-salt", "caution", "The salt ran out: the valve went through its cycle with water alone, and renewed nothing."
)


class ResinAgeing(Ageing):
    """What softener and tannin resin share: places on one tank of resin, and a brine tank that holds `store` kg of salt."""

    capacity: float
    salt: float
    store: float

    def _fit(self, capacity: float, salt: float, volume: float, label: str, dimension: str) -> None:
        """Take the capacity (in the stock's unit), the salt of a regeneration (kg) and the resin's volume (m3)."""
        c = constants("resin")
        self.capacity, self.salt = capacity, salt
        size = "small" if volume <= bed_constants()["brine_small_up_to"] * 1.001 else "large"
        self.store = max(c[f"salt_{size}"], 2.0 * salt)
        self.stocks = (
            Stock("used", label, dimension, capacity, "fill"),
            Stock("salt", "Salt used since the brine tank was filled", "mass", self.store, "store"),
        )
        self.services = (Service("salt", "Fill up salt", MONTH_DAYS, "salt", c["salt_low"] * self.store, "salt", "mass"),)

    def mode(self, state: Array) -> int:
        return int(state[_USED] >= self.capacity * (1.0 - 1e-9))

    def limits(self, state: Array) -> Array:
        limits = super().limits(state)
        if state[_USED] < self.capacity * (1.0 - 1e-9):
            limits[_USED] = self.capacity
        return limits

    def wash(self, state: Array, cleaned: float) -> Washed:
        left = self.store - state[_SALT]
        share = min(max(left, 0.0) / self.salt, 1.0) if self.salt > 0.0 else 1.0
        share = 1.0 if share > 1.0 - 1e-9 else share
        after = state.copy()
        after[_USED] = min(state[_USED], self.capacity) * (1.0 - share)
        after[_SALT] += share * self.salt
        return Washed(after, share, None if share == 1.0 else _OUT_OF_SALT)

    def serve(self, state: Array, key: str) -> Served:
        after = state.copy()
        after[_SALT] = 0.0
        return Served(after, amount=float(state[_SALT]))


class SoftenerAgeing(ResinAgeing):
    """Capacity used by hardness with its allowance for iron and manganese, as the stage's own model counts it."""

    modes = (
        Mode("charged"),
        Mode("spent", "hardness-slip", "caution", "The resin was used up before it was regenerated: hardness passed.", passes=True),
    )

    def __init__(self, stage: Softener, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self.softener = stage
        run = stage.resin.run(water, duty, Working(False))
        self._fit(pick(run.capacity, "average"), stage.salt, stage.resin.volume, "Hardness on the resin", "grains")
        kept = stage.resin.reserve / max(pick(run.to_exhaustion, "average"), 1e-9)
        self._share = min(max(1.0 - kept, 0.0), constants("resin")["meter_set"])
        self._load = pick(run.load, "average")
        self.stocks = (*self.stocks, Stock("meter", "Water since the meter was set back", "volume", 0.0, "age"))
        self._set(self._load)
        clock, longest = stage.clock is not None, stage.spec.constants["longest"]
        self.washing = Washing(
            stage.cleaning(water, duty),
            (stage.clock or longest) / DAY,
            metered=not clock,
            at_once=stage.alternating and not clock,
            shortest=stage.shortest if stage.alternating else 0.0,
        )

    def _set(self, load: float) -> None:
        """Set the meter to a load, mg/L."""
        #: m3 at which the meter calls: it was set to the design's hardness and knows no other.
        self.call = self._share * self.capacity / max(1e-3 * load, 1e-12)
        self.stocks = (*self.stocks[:_METER], replace(self.stocks[_METER], full=self.call))

    def set_by(self, water: Stream, volumes: Array, reading: int) -> None:
        # day-average water is no water that flows: where iron slips through at the peak, a day's load is more than that
        load = self._loads(water)[reading, 0]
        if volumes.sum() > 0.0:
            self._set(max(float(load @ volumes / volumes.sum()), self._load))

    def _loads(self, water: Stream) -> Array:
        """Hardness with its allowance for iron and manganese, mg/L as CaCO3."""
        k_iron, k_manganese = self.softener.resin.allowances
        return np.asarray(water.row("hardness") + k_iron * water.get("iron") + k_manganese * water.get("manganese"))

    def limits(self, state: Array) -> Array:
        limits = super().limits(state)
        if not self.calls(state):
            limits[_METER] = self.call
        return limits

    def calls(self, state: Array) -> bool:
        return bool(state[_METER] >= self.call * (1.0 - 1e-9))

    def wash(self, state: Array, cleaned: float) -> Washed:
        washed = super().wash(state, cleaned)
        # the valve has done its work as far as the meter knows, salt or not
        washed.state[_METER] = 0.0
        return washed

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        return stacked(water, 0.0 if self.modes[mode].passes else 1e-3 * self._loads(water), 0.0, 1.0)

    def wanted_flow(self, temperature: float) -> float:
        # salt does the work of a regeneration; a weak backwash costs no capacity
        return 0.0


class TanninAgeing(ResinAgeing):
    """Places taken by sulfate, nitrate and tannin until the clock regenerates the resin."""

    modes = (
        Mode("charged"),
        Mode(
            "full", "tannin-slip", "caution",
            "Every place on the tannin resin was taken before its clock came round: tannin passed, and nitrate can leave in a flush.",
            passes=True,
        ),
    )  # fmt: skip

    def __init__(self, stage: TanninResin, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self._fit(stage.capacity, stage.salt, stage.volume, "Places taken on the resin, eq", "none")
        self.washing = Washing(stage.cleaning(water, duty), stage.every / DAY)

    def leaving(self, mode: int, water: Stream, duty: Duty) -> Stream:
        # the design model spreads one run over its days; of a run of no use every place is free
        return super().leaving(mode, water, replace(duty, daily=1e-9))

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        anions = water.row("sulfate") / _SULFATE + water.row("nitrate") / _NITRATE
        # meq/L is eq/m3
        taken = anions + water.row("tannin") * self.stage.spec.constants["tannin_charge"]
        return stacked(water, 0.0 if self.modes[mode].passes else taken, 0.0)

    def wanted_flow(self, temperature: float) -> float:
        return 0.0
