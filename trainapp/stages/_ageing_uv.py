"""A UV chamber in use: hours on the lamp, a film on the sleeve, and the dose that both leave.

The certificate decides and the calculation only subtracts: nothing is taken off until lamp and sleeve together are worse than the state the
rating holds for. How fast a film grows is a teaching picture: no published rate can be carried over to a house, so it is shown as a band.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from trainapp.dimensions import DAY, GPM, HOUR, YEAR
from trainapp.stages._optics import film_rate, mean_path
from trainapp.stages._sleeve import sleeve_index
from trainapp.stages.ageing import LampAgeing, Mode, Served, Service, Stock, constants, stacked
from trainapp.stages.base import Duty
from trainapp.stages.working import Array
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.stages.uv_chamber import UvChamber

MONTH = YEAR / 12
_LAMP, _METAL, _SCALE = 0, 1, 2
#: What the saturation index of a water hangs on.
_SCALING = ("hardness", "calcium", "magnesium", "ph", "alkalinity", "sodium", "potassium", "chloride", "sulfate", "nitrate", "ammonia")


class UvAgeing(LampAgeing):
    """Lamp and sleeve of one chamber. Its stocks are seconds lit, and the natural logarithm of the light that each film takes."""

    def __init__(self, stage: UvChamber, water: Stream, duty: Duty) -> None:
        super().__init__(stage, water, duty)
        self.chamber, self.c = stage, stage.spec.constants
        c = self.picture = constants("uv")
        self.life = self.c["lamp_hours"] * HOUR
        self.dead = c["dead"] * self.life
        full = -np.log(self.c["sleeve_end"])
        self.stocks = (
            Stock("lamp", "Time that the lamp has burned", "time", self.life, "age"),
            Stock("metal", "Film of iron and manganese", "none", full, "film", illustrative=True),
            Stock("scale", "Film of scale and dust", "none", full, "film", illustrative=True),
        )
        lamp = min(stage.settings.number("lamp_life"), YEAR) / DAY
        self.services = (
            Service("lamp", "Change the UV lamp", float(np.floor(lamp)), item="UV lamp"),
            Service("sleeve", "Clean the quartz sleeve", float(np.floor(self.c["sleeve_days"] / DAY))),
        )
        told = "The lamp is far beyond its life and no longer lights."
        self.modes = (Mode("lit"), Mode("dead", "lamp-dead", "fail", told, unlit=True, illustrative=True))
        self.shuts, self.rated_flow, self.rated_dose = stage.shutoff, stage.rated_flow, stage.rated_dose
        self.rated_absorbance, self.assumed = stage.rated_absorbance, stage.lamp * stage.sleeve
        self.lamp_end = self.c["lamp_end"]
        self.watts = c["watts"] * stage.rated_flow / GPM
        self.when_warm = (1.0, c["warm_factor"], c["warm_factor"])
        self.warm_after = float(-c["rise_time"] * np.log(1.0 - min(c["warm_rise"] / c["rise"], 1.0 - 1e-9)))

    def mode(self, state: Array) -> int:
        return int(state[_LAMP] >= self.dead * (1.0 - 1e-9))

    def limits(self, state: Array) -> Array:
        return np.array([np.inf if self.mode(state) else self.dead, np.inf, np.inf])

    def per_second(self, mode: int, water: Stream) -> Array:
        if mode:
            return super().per_second(mode, water)
        c = self.c
        iron, manganese = np.nan_to_num(water.get("iron")), np.nan_to_num(water.get("manganese"))
        hardness = np.nan_to_num(water.row("hardness"))
        metal = film_rate(iron, manganese, 0.0, 0.0, (0.0, c["film_iron"], c["film_manganese"], 0.0))
        scale = film_rate(0.0, 0.0, hardness, self.scales(water), (c["film_base"], 0.0, 0.0, c["film_hardness"]))
        return stacked(water, 1.0, metal / MONTH, scale / MONTH)

    def scales(self, water: Stream, above: float = 0.0) -> Array:
        # most ways bring one and the same water: it is asked about once
        seen: dict[bytes, int] = {}
        rows = np.stack([water.row(name)[:, 0] for name in _SCALING])
        place = [seen.setdefault(rows[..., way].tobytes(), len(seen)) for way in range(water.waters)]
        ways = [place.index(kind) for kind in range(len(seen))]
        few = Stream(water.values[:, :, :1, ways], water.known[:, ways])
        index = sleeve_index(few, 0.0, self.duty.cold, self.c["sleeve_temperature"])
        scales = few.row("hardness") > self.chamber.hardness_guide if index is None else np.nan_to_num(index, nan=-1.0) > above
        return np.asarray(scales[..., place], dtype=np.float64)

    def serve(self, state: Array, key: str) -> Served:
        after = state.copy()
        if key == "lamp":
            after[_LAMP] = 0.0
        else:
            after[_METAL] *= self.picture["kept"]
            after[_SCALE] = 0.0
        return Served(after)

    # The dose ---------------------------------------------------------------------------------------------------------------------

    def lamp_output(self, states: Array) -> Array:
        return np.asarray(np.maximum(1.0 - self.c["lamp_loss"] * states[_LAMP] / self.life, 0.0))

    def film(self, states: Array, band: float = 1.0) -> Array:
        return np.asarray(np.maximum(np.exp(-band * (states[_METAL] + states[_SCALE])), self.picture["floor"]))

    def standing(self, lamp: Array, film: Array) -> Array:
        c, basis = self.c, self.chamber.rating_basis
        if basis == "alarm_point":
            return np.asarray(np.minimum(lamp * film / (c["lamp_end"] * c["sleeve_end"]), 1.0))
        return np.asarray(np.minimum(lamp / (c["lamp_end"] if basis == "end_of_life" else 1.0), 1.0) * np.minimum(film, 1.0))

    def credited(self, flow: Array, absorbance: Array) -> Array:
        by_flow = np.minimum(1.0, self.rated_flow / np.maximum(flow, 1e-12))
        if self.rated_absorbance <= 0.0:
            return np.asarray(self.rated_dose * by_flow * (absorbance <= 0.0))
        return np.asarray(self.rated_dose * by_flow * np.minimum(1.0, self.rated_absorbance / np.maximum(absorbance, 1e-12)))

    def estimated(self, flow: Array, absorbance: Array, temperature: float) -> Array:
        chamber, c = self.chamber, self.c
        at_rating = {"alarm_point": c["lamp_end"] * c["sleeve_end"], "end_of_life": c["lamp_end"]}.get(chamber.rating_basis, 1.0)
        path = mean_path(absorbance, chamber.layer) / float(mean_path(chamber.rated_absorbance, chamber.layer))
        cold = np.exp(-(((temperature - self.picture["cold_best"]) / self.picture["cold_width"]) ** 2))
        return np.asarray(chamber.rated_dose / at_rating * chamber.rated_flow / np.maximum(flow, 1e-12) * path * cold)

    @property
    def band(self) -> tuple[float, float]:
        return self.picture["band_low"], self.picture["band_high"]

    def warmth(self, idle: Array) -> Array:
        return np.asarray(self.picture["rise"] * -np.expm1(-idle / self.picture["rise_time"]))
