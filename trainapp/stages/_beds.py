"""The media tank that softener, iron filter, sediment bed, neutralizer, carbon bed and tannin resin share.

A tank gives its area and volume, its clean and dirty resistance, the flow it asks to be washed at and how it stands in the room. The
medium is one table of a kind's ``[media.NAME]``:

==================== ================================================================================================
grain                m, diameter that sets the pressure drop
void                 fraction of the settled bed that is water
effective_size       m, d10 of the graded medium (angular media)
uniformity           d60/d10 (angular media)
wash_grain           m, grain that the wash must lift where it is not `grain` (spheres)
density              kg/m3 of the wet grain
bulk_density         kg/m3 of the settled bed
wash                 "angular" (Wen-Yu at d90, Cleasby's 1.3) or "sphere" (Richardson-Zaki at `expansion`)
expansion            fraction by which a wash should lift the bed
wash_low, wash_high  m/s that published practice asks; both absent where none is known
dirty_factor         how much the bed's own loss has grown when it is due to be cleaned, 1 or more
==================== ================================================================================================
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

from trainapp import data, units
from trainapp.hydraulics.beds import SCHILLER_NAUMANN_END, backwash_rate, bed_resistance, ergun_note, expansion_rate, settling_reynolds
from trainapp.hydraulics.devices import flow_coefficient
from trainapp.hydraulics.elements import Resistance
from trainapp.stages.base import Duty, Figure
from trainapp.stages.working import Working, pick

VALVES = ("3/4 in", "1 in", "1-1/4 in")


@cache
def constants() -> Mapping[str, float]:
    """The constants of resources/stages/_beds.toml in internal units."""
    rows = data.load_toml("stages/_beds.toml")["constants"]
    return {k: units.parse(row["value"], row["dimension"]) if "dimension" in row else float(row["value"]) for k, row in rows.items()}


@dataclass(frozen=True, slots=True)
class MediaTank:
    """One pressure tank with a bed in it.

    Attributes:
        diameter, depth: m, of the tank inside and of the settled bed.
        medium: its table, see the module's head.
        valve: size word of the control valve, one of :data:`VALVES`, or None to go by the tank.
    """

    diameter: float
    depth: float
    medium: Mapping[str, Any]
    valve: str | None = None

    @property
    def area(self) -> float:
        """m2."""
        return math.pi * self.diameter**2 / 4

    @property
    def volume(self) -> float:
        """m3 of settled bed."""
        return self.area * self.depth

    @property
    def valve_size(self) -> str:
        """The valve that is on the tank, or that a tank of this size usually wears."""
        if self.valve:
            return self.valve
        table = constants()
        # A nominal size is a round figure that went through a unit conversion; half a millimetre is no larger tank.
        slack = self.diameter - 5e-4
        return VALVES[(slack > table["valve_19_up_to"]) + (slack > table["valve_25_up_to"])]

    @property
    def cv(self) -> float:
        """gpm at 1 psi of valve, riser and laterals together."""
        return constants()[dict(zip(VALVES, ("valve_cv_19", "valve_cv_25", "valve_cv_32"), strict=True))[self.valve_size]]

    def bed(self, temperature: float) -> Resistance:
        """The clean bed alone at this water temperature (degC), Ergun (1952)."""
        return bed_resistance(self.area, self.depth, float(self.medium["grain"]), float(self.medium["void"]), temperature)

    def losses(self, cold: float) -> tuple[Resistance, Resistance]:
        """Clean and dirty resistance at this water temperature (degC): Ergun's bed and the valve's Cv."""
        bed, valve = self.bed(cold), flow_coefficient(self.cv)
        grown = float(self.medium.get("dirty_factor", 1.0))
        return bed + valve, Resistance(bed.linear * grown, bed.quadratic * grown) + valve

    def wash_rate(self, temperature: float) -> float:
        """m/s that the model asks of a wash with water at this temperature (degC)."""
        m = self.medium
        if m["wash"] == "sphere":
            grain = float(m.get("wash_grain", m["grain"]))
            return expansion_rate(float(m["expansion"]), grain, float(m["density"]), float(m["void"]), temperature)
        return backwash_rate(float(m["effective_size"]), float(m["uniformity"]), float(m["density"]), temperature)

    def wash_flow(self, temperature: float) -> float:
        """m3/s that the model asks of a wash with water at this temperature (degC)."""
        return self.wash_rate(temperature) * self.area

    def published_flow(self) -> tuple[float, float] | None:
        """Least and most m3/s that published practice asks for this medium in this tank."""
        if "wash_low" not in self.medium:
            return None
        return float(self.medium["wash_low"]) * self.area, float(self.medium["wash_high"]) * self.area

    def figure(self, texture: str, beside: tuple[float, float] = (0.0, 0.0), units_wide: int = 1) -> Figure:
        """How the tank stands: `units_wide` of them close together, and what stands beside."""
        table = constants()
        height = self.depth * (1 + table["freeboard"]) + table["ends"] + table["valve_height"]
        return Figure(
            "tank",
            self.diameter * units_wide + 0.05 * (units_wide - 1),
            height,
            texture=texture,
            fill=self.depth + table["ends"] / 2,
            beside=beside,
            clear_above=table["clear_above"],
        )


def brine_tank(resin: float) -> tuple[float, float]:
    """Width and height (m) of the salt tank that stands beside this much resin (m3)."""
    table = constants()
    size = "small" if resin <= table["brine_small_up_to"] * 1.001 else "large"
    return table[f"brine_width_{size}"], table[f"brine_height_{size}"]


def bed_steps(w: Working, tank: MediaTank, duty: Duty) -> None:
    """Record what the bed takes from the pressure at the peak and what washes it; no part of the treatment, so when someone looks."""
    w.later(partial(_bed_steps, tank, duty))


def _bed_steps(tank: MediaTank, duty: Duty, w: Working) -> None:
    peak, m = pick(duty.flows), tank.medium
    w.step("A", "area of the tank", tank.area, "area", formula="π d²/4", source="geometry")
    w.step("v", "speed through the empty tank at peak", peak / tank.area, "rate", formula="Q/A", result="service_rate")
    formula = "L (150 μ (1 − ε)² v/(ε³ d²) + 1.75 ρ (1 − ε) v²/(ε³ d))"
    loss = tank.bed(duty.cold).loss(peak)
    w.step(
        "Δp_b",
        "loss of the settled, clean bed in the coldest water",
        loss,
        "pressure",
        formula=formula,
        source="ergun-1952",
        result="bed_loss",
        note=ergun_note(peak / tank.area, float(m["grain"]), float(m["void"]), duty.cold),
    )
    grown = float(m.get("dirty_factor", 1.0))
    due = "growth of the bed's own loss when it is due to be cleaned"
    w.step("f_d", due, grown, "none", source="common-practice", result="dirty_factor")
    valve = flow_coefficient(tank.cv).loss(peak)
    w.step(
        "Δp_v",
        f"loss of valve, riser and laterals, {tank.valve_size}",
        valve,
        "pressure",
        formula="(Q/C_v)²",
        source="flow-coefficient",
        result="valve_loss",
        note=f"C_v {tank.cv:g}, from memory",
    )
    model, formula = _WASH[str(m["wash"])]
    text = ""
    if "wash_low" in m:
        low, high = (units.convert(float(m[key]), "rate", "us") for key in ("wash_low", "wash_high"))
        text = f"published practice asks {low:g} to {high:g} gpm/ft2"
    grain = float(m.get("wash_grain", m["grain"]))
    if m["wash"] == "sphere" and settling_reynolds(grain, float(m["density"]), duty.warm) > SCHILLER_NAUMANN_END:
        text += f"; its grains settle beyond Re {SCHILLER_NAUMANN_END:g}, where the drag of Schiller and Naumann ends"
    for symbol, when, temperature, result in (("v_w", "warmest", duty.warm, "wash_rate"), ("v_c", "coldest", duty.cold, "wash_rate_cold")):
        w.step(
            symbol,
            f"rate that washes the bed in the {when} water",
            tank.wash_rate(temperature),
            "rate",
            formula=formula,
            source=model,
            result=result,
            note=text,
        )


#: Source and formula of each wash model.
_WASH: Mapping[str, tuple[str, str]] = {
    "sphere": ("richardson-zaki-1954", "v_t ε_E^n with 1 − ε_E = (1 − ε)/(1 + E)"),
    "angular": ("wen-yu-1966", "1.3 v_mf(d_90)"),
}
