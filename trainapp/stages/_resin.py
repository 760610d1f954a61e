"""The resin of a softener: what a salt dose makes of it, and how long that lasts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from trainapp import units
from trainapp.dimensions import DAY, FOOT, GPG
from trainapp.stages._told import constant
from trainapp.stages.base import Duty
from trainapp.stages.working import Array, Working
from trainapp.water.stream import Stream

GRAINS_A_POUND = 7000.0


class Regenerant(NamedTuple):
    """A salt: the row that takes its cation, grams per equivalent of that, kg of salt that a kg of CaCO3 needs at the least."""

    row: str
    equivalent: float
    ratio: float
    label: str


@dataclass(slots=True)
class Run:
    """One run between regenerations, arrays of shape (2, flows, waters).

    Attributes:
        load: hardness with the allowance for iron and manganese, mg/L as CaCO3.
        capacity: kg CaCO3 of one tank.
        to_exhaustion: s until the resin is used up.
        interval: s from one regeneration to the next, with the reserve kept back.
    """

    load: Array
    capacity: Array
    to_exhaustion: Array
    interval: Array


class Resin:
    """The resin of one tank with its salt dose.

    Args:
        constants: of resources/stages/softener.toml.
        volume, depth: m3 and m of settled resin in one tank.
        dose: salt for a regeneration, kg/m3.
        regenerant: the salt.
        allowances: mg/L as CaCO3 that a mg/L of iron, and of manganese, counts as.
        reserve: s of use kept back.
    """

    def __init__(
        self,
        constants: Mapping[str, float],
        volume: float,
        depth: float,
        dose: float,
        regenerant: Regenerant,
        allowances: tuple[float, float],
        reserve: float,
    ) -> None:
        c = self.constants = constants
        self.volume, self.dose, self.regenerant, self.allowances, self.reserve = volume, dose, regenerant, allowances, reserve
        #: kg/m3, the dose that capacity and leakage are read at.
        self.curve_dose = min(max(dose, c["dose_least"]), c["dose_most"])
        curve = c["capacity_limit"] * (1.0 - np.exp(-self.curve_dose / c["dose_scale"]))
        #: kg CaCO3 per m3: the curve, never above what the salt or the exchange sites allow.
        self.capacity = float(min(curve, dose / regenerant.ratio, c["total_capacity"]))
        self._depth_factor = 1.0 - c["depth_share"] * min(max((c["depth_full"] - depth) / FOOT, 0.0), 2.0)

    def run(self, water: Stream, duty: Duty, w: Working) -> Run:
        """Load, capacity and the days that follow from them at the day's use."""
        k_iron, k_manganese = self.allowances
        hardness = w.step("H", "hardness entering", water.row("hardness"), "hardness", at="average")
        iron = w.step("Fe", "iron entering", water.get("iron"), "concentration", at="average")
        manganese = w.step("Mn", "manganese entering", water.get("manganese"), "concentration", at="average")
        load = w.step(
            "H_c",
            "hardness with an allowance for iron and manganese",
            hardness + k_iron * iron + k_manganese * manganese,
            "hardness",
            formula=f"H + {k_iron / GPG:g} gpg · Fe + {k_manganese / GPG:g} gpg · Mn",
            source="from-memory",
            result="compensated_hardness",
            note="the allowance is for fouling; stoichiometry alone asks a twentieth of it",
            at="average",
        )
        if w.keep:
            self._dose_steps(w)
        share = self._capacity_share(water, duty, w)
        capacity = w.step(
            "C",
            "capacity of one tank",
            share * (self.capacity * self.volume),
            "grains",
            formula="c · f_L · f_Q · f_TDS · V",
            source="computed",
            result="capacity",
            at="average",
        )
        last, interval = self._days(load, capacity, duty, w)
        return Run(load, capacity, last, interval)

    def _days(self, load: Array, capacity: Array, duty: Duty, w: Working) -> tuple[Array, Array]:
        """s until the resin is used up, and s from one regeneration to the next."""
        c = self.constants
        daily = w.step("V_d", "water used in a day", duty.daily, "volume")
        use = w.step(
            "U", "hardness used up in a day", load * (daily * 1e-3), "grains", formula="H_c · V_d", result="daily_load", at="average"
        )
        with np.errstate(divide="ignore", invalid="ignore"):
            days = np.where(use > 0.0, capacity / use * DAY, np.inf)
        last = w.step(
            "t_C",
            "time until the resin is used up",
            np.minimum(days, 1e4 * DAY),
            "time",
            formula="C/U",
            result="time_to_exhaustion",
            at="average",
        )
        kept = w.step(
            "t_R",
            "days of use kept back",
            self.reserve,
            "time",
            source="from-memory",
            note="" if self.reserve else "nothing: the other tank takes over, or none was wanted",
        )
        interval = np.minimum(np.maximum(last - kept, 0.0), c["longest"])
        w.step(
            "t",
            "time from one regeneration to the next",
            interval,
            "time",
            formula=f"min(t_C − t_R, {c['longest'] / DAY:g} d)",
            source="common-practice",
            result="time_between_regenerations",
            at="average",
        )
        return last, interval

    def _dose_steps(self, w: Working) -> None:
        c = self.constants
        ends = f"{units.convert(c['dose_least'], 'density', 'us'):.4g} to {constant(c['dose_most'], 'density')}"
        inside = self.curve_dose == self.dose
        outside = "" if inside else f"the dose is outside the {ends} that the curve holds for; the nearer end is used"
        w.step("S", "salt dose", self.dose, "density", note=outside)
        ceiling = self.dose / self.regenerant.ratio
        w.step(
            "c_max",
            f"capacity that this much {self.regenerant.label} could give at the most",
            ceiling,
            "exchange_capacity",
            formula=f"S/{self.regenerant.ratio:.4g}",
            source="stoichiometry",
            result="capacity_ceiling",
        )
        limit, scale = constant(c["capacity_limit"], "exchange_capacity"), constant(c["dose_scale"], "density")
        w.step(
            "c",
            "capacity at this salt dose",
            self.capacity,
            "exchange_capacity",
            formula=f"min({limit} · (1 − exp(−S/{scale})), c_max)",
            source="va-590-900",
            result="capacity_per_volume",
            note="20 kgr/ft3 at 6 lb/ft3 is published, the rest of the curve is from memory",
        )
        efficiency = self.capacity / self.dose * GRAINS_A_POUND
        w.step(
            "η",
            "hardness taken for a pound of salt",
            efficiency,
            unit="gr/lb",
            formula="c/S",
            source="ca-116785",
            result="salt_efficiency",
            note="California asks 4000 gr/lb, the optional rating of NSF/ANSI 44 3350 gr/lb (from memory)",
        )

    def _capacity_share(self, water: Stream, duty: Duty, w: Working) -> Array:
        """What bed depth, flow and salts leave of the capacity, 0 to 1."""
        c = self.constants
        depth = w.step(
            "f_L",
            "left by the depth of the bed",
            self._depth_factor,
            "fraction",
            formula=f"1 − {c['depth_share']:g} ({constant(c['depth_full'], 'length')} − L)/12 in, at most 1" if w.keep else "",
            source="common-practice",
        )
        over = np.clip(duty.flows / (self.volume * c["specific_flow"]) - 1.0, 0.0, 1.0)
        flow = w.step(
            "f_Q",
            "left by the flow through the resin",
            1.0 - c["flow_share"] * over,
            "fraction",
            formula=f"1 − {c['flow_share']:g} (Q/V/({constant(c['specific_flow'], 'specific_flow')}) − 1), at most 1" if w.keep else "",
            source="common-practice",
            at="average",
        )
        over = np.clip(water.row("tds") / c["tds_free"] - 1.0, 0.0, 4.0)
        salts = w.step(
            "f_TDS",
            "left by dissolved solids",
            1.0 - c["tds_share"] * over,
            "fraction",
            formula=f"1 − {c['tds_share']:g} (TDS/{c['tds_free']:g} mg/L − 1), at most 1" if w.keep else "",
            source="common-practice",
            at="average",
        )
        return np.asarray(depth * flow * salts)
