"""A neutralizer: acid water dissolves calcite on its way through a bed; pH, calcium, alkalinity and hardness rise, towards balance.

Balance is that of water closed to air, and the pace is that of Plummer, Wigley and Parkhurst on the geometric surface of the grains, in
plug flow. The published pace knows neither film nor coating: the adverse reading takes half of it. Magnesia in a blend dissolves first, by
contact time, up to a pH of its own; calcite does what is left. Water that is saturated passes unchanged; nothing falls out here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from trainapp.dimensions import DAY, MINUTE
from trainapp.stages._ageing_beds import NeutralizerAgeing
from trainapp.stages._beds import bed_steps
from trainapp.stages._media_bed import MediaBed
from trainapp.stages._neutralizer_remarks import remarks_of
from trainapp.stages._readings import both_ends
from trainapp.stages._washing import backwash
from trainapp.stages.base import Chore, Cleaning, DuringCleaning, Duty, Rating, Remark, Settings
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import FLOWS, Array, Working
from trainapp.water.analytes import BY_KEY, ROW_INDEX
from trainapp.water.bed_contact import Passed, pass_bed
from trainapp.water.carbonate import SURE_TO, CarbonateWater, Ions, from_ph
from trainapp.water.dissolution import MAGNESIA, dissolve, dose_to_ph, saturated
from trainapp.water.stream import Stream, zero_where_unknown

_CALCITE = 1000.0 * BY_KEY["hardness"].molar
_CALCIUM, _MAGNESIUM, _DIOXIDE = (1000.0 * BY_KEY[key].molar for key in ("calcium", "magnesium", "carbon_dioxide"))
_ALKALINITY = 2000.0 * BY_KEY["alkalinity"].equivalent
_BACKGROUND = ("sodium", "potassium", "chloride", "sulfate", "nitrate")
_CARBONATE = [ROW_INDEX[name] for name in ("ph", "alkalinity", "calcium", "magnesium", *_BACKGROUND)]
_MONTH_DAYS = 30.4


@dataclass(slots=True)
class Contact:
    """What the bed does, arrays that broadcast to (2, flows, waters).

    Attributes:
        entering: the water as it comes, over one reading or flow where all bring the same.
        balance: in equilibrium with calcite, magnesia included.
        magnesia: mol/L of magnesia dissolved.
        passed: the water behind the bed.
    """

    entering: CarbonateWater
    balance: CarbonateWater
    magnesia: Array
    passed: Passed

    @property
    def hardness_added(self) -> Array:
        """mg/L as CaCO3."""
        return np.asarray((self.passed.dissolved + self.magnesia) * _CALCITE)


@register
class Neutralizer(MediaBed):
    """Calcite, or calcite with magnesia, in a pressure tank; downflow with a backwash or upflow without."""

    spec = load_spec("neutralizer")
    texture = "calcite"
    laws = {
        "hardness": ("H_in + ΔH", "stoichiometry"),
        "calcium": ("Ca_in + 40.08 · x", "stoichiometry"),
        "magnesium": ("Mg_in + 24.31 · m/40.30", "stoichiometry"),
        "alkalinity": ("Alk_in + ΔH", "stoichiometry"),
        "carbon_dioxide": ("CO₂ of the water at its pH, alkalinity and ions", "plummer-busenberg-1982"),
        "tds": ("TDS_in + ΔH, less 0.16 of what magnesia gives", "stoichiometry"),
        "conductivity": ("κ_in + k_κ · ΔH", "common-practice"),
    }

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        medium = _graded(self.spec.media[settings.word("media")], settings.get("grain"))
        self.tank = self.tank_of(settings, medium)
        self.upflow = settings.word("flow") == "up"
        self.magnesia_share = settings.number("magnesia_share") if settings.word("media") == "calcite_magnesia" else 0.0
        self.goal = settings.number("goal_ph")
        self.grain = float(medium["grain"])
        self.calcite_volume = self.tank.volume * (1.0 - self.magnesia_share)
        self.mass = self.tank.volume * float(medium["bulk_density"])
        self._pace = both_ends(1.0, self.spec.constants["clean_surface"])

    # What it does -----------------------------------------------------------------------------------------------------------

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        contact = self._contact(water, duty, w)
        out = water.copy()
        self._apply(out, contact)
        if w.keep:
            self._steps(out, contact, duty, w)
            if not self.upflow:
                bed_steps(w, self.tank, duty)
            remarks.extend(remarks_of(self, water, out, contact, duty))
        return out

    def _contact(self, water: Stream, duty: Duty, w: Working) -> Contact:
        temperature = w.step("T", "coldest water: slowest, and it dissolves most", duty.design_temperature, "temperature")
        volume = w.step("V", "volume of the bed", self.tank.volume, "bulk_volume", formula="L · π d²/4", source="geometry")
        time = w.step("EBCT", "empty bed contact time", volume / duty.flows, "duration", formula="V/Q", result="ebct")
        entering = _carbonate(water, temperature)
        magnesia = np.zeros(())
        mixed = entering
        if self.magnesia_share:
            magnesia = self._magnesia(entering, time * self._pace, w)
            mixed = dissolve(entering, MAGNESIA, magnesia * 1000.0 * MAGNESIA.molar)
        balance = saturated(mixed)
        passed = pass_bed(mixed, balance, time * self._pace * (1.0 - self.magnesia_share), self.grain, float(self.tank.medium["void"]))
        return Contact(entering, balance, magnesia, passed)

    def _magnesia(self, entering: CarbonateWater, time: Array, w: Working) -> Array:
        """mol/L of magnesia that dissolves in this contact time (s)."""
        c = self.spec.constants
        wanted = dose_to_ph(entering, MAGNESIA, c["magnesia_ph"])
        # water past that pH takes none; how much less than none would bring it back is not asked, and may have no answer
        most = np.where(entering.ph >= c["magnesia_ph"], 0.0, np.maximum(wanted, 0.0))
        w.step("m_∞", f"magnesia that brings the water to pH {c['magnesia_ph']:g}", most, "concentration", source="phreeqc")
        share = 1.0 - np.exp(-time * self.magnesia_share / (c["magnesia_minutes"] * MINUTE))
        formula = f"m_∞ (1 − exp(−EBCT · x_M/{c['magnesia_minutes']:g} min))"
        amount = w.step("m", "magnesia that dissolves", most * share, "concentration", formula=formula,
                        source="common-practice", result="magnesia_dissolved")  # fmt: skip
        return np.asarray(amount / (1000.0 * MAGNESIA.molar))

    def _apply(self, out: Stream, contact: Contact) -> None:
        calcite, magnesia = contact.passed.dissolved, contact.magnesia
        both = calcite + magnesia
        out.set("ph", contact.passed.ph)
        out.add("calcium", calcite * _CALCIUM)
        out.add("magnesium", magnesia * _MAGNESIUM)
        out.add("hardness", both * _CALCITE)
        out.add("alkalinity", both * _ALKALINITY)
        out.set("carbon_dioxide", contact.passed.carbon_dioxide * _DIOXIDE, known=out.is_known("ph") & out.is_known("alkalinity"))
        # a mg of calcite is 0.4 mg of calcium and, dried, 0.6 mg of carbonate; magnesia weighs a quarter less
        out.add("tds", calcite * _CALCITE + magnesia * 0.84 * _CALCITE)
        out.add("conductivity", both * (_CALCITE * self.spec.constants["conductivity"]))

    def _steps(self, out: Stream, contact: Contact, duty: Duty, w: Working) -> None:
        balance, given = contact.balance, np.broadcast_to(contact.hardness_added, out.row("ph").shape)
        note = "sodium, potassium, chloride, sulfate and nitrate count as none where they were not measured"
        if float(np.max(contact.entering.ionic_strength[..., 0])) > SURE_TO:
            note += f"; beyond an ionic strength of {SURE_TO:g} mol/L pH and index may be off by 0.1"
        w.step("SI", "saturation index of calcite as it enters", contact.entering.calcite_index, source="plummer-busenberg-1982", note=note,
               result="calcite_index_in")  # fmt: skip
        w.step("pH_e", "pH in balance with calcite, closed to air", balance.ph, "ph", source="plummer-busenberg-1982", result="ph_balance")
        w.step("ΔH_e", "hardness that balance would add", balance.hardness - contact.entering.hardness, "hardness",
               source="plummer-busenberg-1982", result="hardness_balance")  # fmt: skip
        w.step("k", "share of the clean surface's pace", self._pace, "fraction", source="common-practice",
               note="one in the favourable reading: the published rate without film or coating")  # fmt: skip
        formula = "dx/dt = (k₁ a_H + k₂ a_CO₂ + k₃)(1 − Ω^⅔) · 6 (1 − ε)/d"
        for flow in FLOWS:
            result = "ph_out" if flow == "peak" else f"ph_{flow}"
            w.step("pH", f"pH it leaves with, {flow}", out.row("ph"), "ph", source="plummer-wigley-parkhurst-1978", at=flow,
                   formula=formula, result=result)  # fmt: skip
        w.step("ΔH", "hardness it adds at the peak", given, "hardness", formula="100.09 · x", result="hardness_added")
        w.step("ΔH_t", "hardness it adds at a trickle", given, "hardness", at="trickle", result="hardness_added_trickle")
        loss = self.bed_loss(contact, duty)
        w.step("m_d", "bed dissolved in a day", loss, "mass", formula="ΔH · V_day", result="bed_dissolved")
        refill = self.refill_days(loss) * DAY
        part = self.spec.constants["refill_share"]
        formula = f"{part:g} M/m_d, at most {self.spec.constants['longest_days']:g} d"
        w.step("t_r", f"time until {100.0 * part:g} % of the bed is gone", refill, "time", formula=formula, result="refill_time")

    def bed_loss(self, contact: Contact, duty: Duty) -> float:
        """kg of the bed that a day dissolves, at the average flow and the greater of both readings, of water 0."""
        given = np.broadcast_to(contact.hardness_added, np.broadcast_shapes(contact.hardness_added.shape, (2, 3, 1)))
        return float(given[:, 1, 0].max() * duty.daily / 1000.0)

    def refill_days(self, loss: float) -> float:
        """Days until it is topped up, at a loss of kg a day."""
        c = self.spec.constants
        return min(c["refill_share"] * self.mass / max(loss, 1e-9), c["longest_days"])

    # What it needs ----------------------------------------------------------------------------------------------------------

    def bed_rating(self) -> Rating:
        c, area = self.spec.constants, self.tank.area
        return Rating(c["service_rate"] * area, c["peak_rate"] * area, "neutralizer-fact-sheet", "secondary")

    @property
    def during_cleaning(self) -> DuringCleaning | None:
        return None if self.upflow else super().during_cleaning

    def cleaning(self, water: Stream, duty: Duty) -> Cleaning | None:
        if self.upflow:
            return None
        c = self.spec.constants
        return backwash(self, self.tank, duty, self.settings.number("wash_every"), c["wash_minutes"], c["rinse_minutes"])

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        loss = self.bed_loss(self._contact(water, duty, Working(False)), duty)
        days = self.refill_days(loss)
        medium = self.settings.word("media").replace("_", " and ")
        refill = Chore("Top up the neutralizer, wear a dust mask", days, medium, loss * days, "mass")
        if loss <= self.spec.constants["nothing"] * duty.daily / 1000.0:
            refill = Chore(f"Look at the bed: this water dissolves no {medium} worth topping up", self.spec.constants["longest_days"])
        return (refill, Chore("Test pH behind the neutralizer", 3 * _MONTH_DAYS, "pH strip"))

    def ageing(self, water: Stream, duty: Duty) -> NeutralizerAgeing:
        return NeutralizerAgeing(self, water, duty)


def _graded(medium: Mapping[str, Any], grain: float | None) -> Mapping[str, Any]:
    """The medium, or one alike of another middle grain (m): pressure, wash and pace go with the grain."""
    if grain is None:
        return medium
    return {**medium, "grain": grain, "effective_size": float(medium["effective_size"]) * grain / float(medium["grain"])}


def _carbonate(water: Stream, temperature: float) -> CarbonateWater:
    """The carbonate system of a stream; once for readings, and for flows, that bring the same water."""
    rows = water.values[_CARBONATE]
    for axis in (2, 1):
        first = rows.take([0], axis=axis)
        if np.array_equal(rows, np.broadcast_to(first, rows.shape), equal_nan=True):
            rows = first
    ph, alkalinity, calcium, magnesium = rows[:4]
    sodium, potassium, chloride, sulfate, nitrate = zero_where_unknown(rows[4:])
    return from_ph(ph, alkalinity, Ions(calcium, magnesium, sodium, potassium, chloride, sulfate, nitrate), temperature)
