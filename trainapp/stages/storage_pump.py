"""A tank open to air with its own pump: the water takes up oxygen, loses some carbon dioxide and sulfide, and stands.

Oxygen comes to saturation. How much carbon dioxide leaves depends on how the water falls in: a stated share of what lies above balance
with air, little in the adverse reading. Dissolved iron meets the oxygen for as long as the water stands, and stays in it as floc.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from trainapp.dimensions import DAY
from trainapp.hydraulics.devices import flow_coefficient
from trainapp.hydraulics.elements import Element
from trainapp.hydraulics.supply import Mains, Supply, Well
from trainapp.stages import _oxidation as ox
from trainapp.stages._figures import height_line, measured
from trainapp.stages._oxygenation import (
    iron_oxygenated,
    log_henry,
    oxygen_saturation,
    pk_carbonic,
    rate_note,
    rate_per_oxygen,
    saturation_note,
)
from trainapp.stages._readings import both_ends
from trainapp.stages.base import Chore, Duty, Figure, Remark, Settings, Stage
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import AVERAGE, Array, Working, pick
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import Stream

#: mg/L as CaCO3.
_LEAST_ALKALINITY = 1.0


@cache
def _dioxide_with_air(temperature: float, log_pressure: float) -> float:
    """Carbon dioxide in balance with air as the alkalinity it could become, mg/L CaCO3."""
    return float(10.0 ** (log_henry(temperature) + log_pressure) * BY_KEY["alkalinity"].equivalent * 1000.0)


@register
class StoragePump(Stage):
    """Storage open to air; upstream ends at its fill valve, downstream begins at its pump."""

    spec = load_spec("storage_pump")
    laws = {
        **ox.OXIDISED,
        "dissolved_oxygen": ("O₂ in balance with air", "benson-krause"),
        "hydrogen_sulfide": ("H₂S_in · (1 − e_S)", "common-practice"),
        "carbon_dioxide": ("CO₂_in · CO₂,out/CO₂", "common-practice"),
        "alkalinity": ("Alk_in − 1.79 · Fe that oxygen took", "stoichiometry"),
    }
    breaks_pressure = True

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        table = self.spec.constants
        self.volume = settings.number("volume")
        self.fill_flow = settings.number("fill_flow")
        self._stripped = both_ends(table["carbon_dioxide_most"], table["carbon_dioxide_least"])
        self._sulfide_left = both_ends(1.0 - table["sulfide_most"], 1.0)

    def pump_supply(self) -> Supply:
        """What its pump gives: its curve, held down to the set pressure; without a curve that pressure at any flow."""
        curve = self.settings.get("pump_curve")
        held = self.settings.number("set_pressure")
        if not curve:
            return Mains(held, held, self.fill_flow)
        cap = held if "set_pressure" in self.settings.given else curve[0][1]
        return Well(tuple(curve), control="constant", set_pressure=cap)

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        age = self._age(duty, w)
        self._strip(out, duty, w)
        saturation = oxygen_saturation(duty.design_temperature)
        note = saturation_note(duty.design_temperature)
        oxygen = w.step("O₂", "oxygen in balance with air", saturation, "concentration", source="benson-krause", note=note)
        out.set("dissolved_oxygen", oxygen, known=True)
        per_oxygen = rate_per_oxygen(out.row("ph"), duty.design_temperature)
        rate, note = per_oxygen * oxygen, rate_note(out.row("ph"))
        w.step("k", "rate at which oxygen takes dissolved iron", rate, unit="1/s", source="usgs-tm6-a43", at="average", note=note)
        iron = out.row("iron_dissolved")
        done = iron_oxygenated(iron, out.row("dissolved_oxygen"), per_oxygen, age)
        ox.react(out, "oxygen", "iron", np.divide(done, iron, out=np.zeros_like(done), where=iron > 0.0))
        # the tank breathes: what iron used comes back from the air
        out.set("dissolved_oxygen", oxygen)
        formula = "second order in Fe and O₂ over t"
        w.step("Fe_O₂", "iron turned to floc by oxygen", done, "concentration", formula=formula, source="usgs-tm6-a43", at="average")
        self._remark(duty, age, remarks)
        return out

    def _age(self, duty: Duty, w: Working) -> Array:
        """Seconds that the day's water stands in a full tank; shape (1,) or (waters,)."""
        volume = w.step("V", "water it holds", self.volume, "volume")
        average = np.asarray(duty.flows[AVERAGE])
        age = w.step("t", "time that the day's use stands in it", volume / average, "time", formula="V/Q_day", result="age")
        w.step("t_f", "time that filling it takes", volume / self.fill_flow, "duration", formula="V/Q_fill", result="fill_time")
        return age

    def _strip(self, out: Stream, duty: Duty, w: Working) -> None:
        temperature, ph = duty.design_temperature, out.row("ph")
        # water without alkalinity has no pH that carbon dioxide alone would set: it is left as it is
        buffered = ~(out.row("alkalinity") < _LEAST_ALKALINITY)
        dioxide = np.maximum(out.row("alkalinity"), _LEAST_ALKALINITY) * 10.0 ** (pk_carbonic(temperature) - ph)
        rest = _dioxide_with_air(temperature, self.spec.constants["air_carbon_dioxide"])
        w.step("CO₂", "carbon dioxide, as what alkalinity it could become", dioxide, "hardness", formula="Alk · 10^(pK₁ − pH)")
        w.step("CO₂,air", "the same in balance with air", rest, "hardness", formula="K_H · p_CO₂", source="plummer-busenberg-1982")
        share = w.step("e", "share of the difference that leaves", self._stripped, "fraction", source="common-practice")
        left = w.step("CO₂,out", "carbon dioxide left", dioxide - share * (dioxide - rest), "hardness", formula="CO₂ − e (CO₂ − CO₂,air)")
        change = np.where(buffered, left / dioxide, 1.0)
        out.set("ph", ph - np.log10(change))
        out.scale(("carbon_dioxide",), change)
        out.scale(("hydrogen_sulfide",), self._sulfide_left)
        w.step("pH", "pH it leaves with", out.row("ph"), "ph", formula="pH − lg(CO₂,out/CO₂)", result="ph_out")

    # What it has to say -----------------------------------------------------------------------------------------------------

    def _remark(self, duty: Duty, age: Array, remarks: list[Remark]) -> None:
        remarks.append(Remark(
            "storage-open", "note", "Stored water is open to air",
            "Cover the tank, screen its vent and overflow, disinfect it before use and each year, and treat for germs behind it.",
        ))  # fmt: skip
        days, limit = float(np.asarray(age).flat[0]) / DAY, self.spec.constants["idle_days"]
        if days > limit:
            remarks.append(Remark(
                "standing-water", "caution", "Water stands in the tank",
                f"The tank holds {days:.0f} days of use; water that stands grows germs and goes stale.",
                value=days * DAY, limit=limit * DAY, dimension="time",
            ))  # fmt: skip
        average = pick(duty.flows, "average")
        if average > self.fill_flow:
            remarks.append(Remark(
                "flow-short", "fail", "The tank empties",
                "Filled all day and night the tank gets less water than a day uses.",
                value=self.fill_flow * DAY, limit=average * DAY, dimension="volume", source="logic", status="computed",
            ))  # fmt: skip
        if not self.settings.get("pump_curve"):
            remarks.append(Remark(
                "pump-unknown", "note", "No curve of the pump behind the tank",
                "Its pump is taken to hold its pressure at any flow; give its curve to see what it really holds.", source="document",
            ))  # fmt: skip

    # How it is built --------------------------------------------------------------------------------------------------------

    def losses(self, cold: float) -> tuple[Element, Element]:
        valve = flow_coefficient(self.spec.constants["fill_cv"])
        return valve, valve

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        return (Chore("Empty, clean and disinfect the storage tank; check its vent screen", self.spec.constants["clean_days"]),)

    def figure(self) -> Figure:
        c = self.spec.constants
        slender = c["slenderness"]
        width = (4.0 * self.volume / (math.pi * slender)) ** (1.0 / 3.0)
        height = slender * width
        stands = Figure("tank", width, height, texture="water", fill=c["usually_full"] * height, clear_above=c["room_above"])
        return measured(stands, self.settings)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("volume", self.volume, "volume"), ("fill_flow", self.fill_flow, "flow"), *height_line(self.settings))
