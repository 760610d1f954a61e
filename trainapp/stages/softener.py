"""Softener: hardness exchanged for sodium on a resin that salt makes new again.

Capacity follows the salt dose, leakage follows salts and salt dose, and both are charged with what the flow and the iron do to them.
What the resin takes of iron is counted low in the adverse reading, and not at all where oxygen or an oxidant arrives with it.
"""

from __future__ import annotations

import numpy as np

from trainapp.dimensions import DAY, GALLON, GPG, POUND, YEAR
from trainapp.stages._ageing_resin import SoftenerAgeing
from trainapp.stages._beds import bed_steps, brine_tank
from trainapp.stages._figures import height_line, measured
from trainapp.stages._media_bed import MediaBed
from trainapp.stages._readings import both_ends
from trainapp.stages._resin import GRAINS_A_POUND, Regenerant, Resin, Run
from trainapp.stages._softener_remarks import remarks_of
from trainapp.stages._told import constant
from trainapp.stages._washing import hour_of
from trainapp.stages.base import Chore, Cleaning, DuringCleaning, Duty, Figure, Rating, Remark, Settings
from trainapp.stages.programme import Entry, regeneration
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Array, Working, pick
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import ADVERSE, Stream, zero_where_unknown

_EQ_HARDNESS, _EQ_IRON, _EQ_MANGANESE = (BY_KEY[key].equivalent for key in ("hardness", "iron", "manganese"))
#: mg of calcium in a mg of hardness as CaCO3.
_CALCIUM = BY_KEY["calcium"].molar / BY_KEY["hardness"].molar
_SYMBOL = {"sodium": "Na", "potassium": "K"}
MONTH = YEAR / 12


@register
class Softener(MediaBed):
    """Strong-acid cation resin in the sodium (or potassium) form, regenerated downflow."""

    spec = load_spec("softener")
    laws = {
        "calcium": ("Ca_in · H_out/H_in", "stoichiometry"),
        "magnesium": ("Mg_in · H_out/H_in", "stoichiometry"),
        "iron_dissolved": ("Fe_d_in · (1 − x)", "common-practice"),
        "manganese": ("Mn_d (1 − x) + Mn_p (1 − x_p)", "common-practice"),
        "manganese_dissolved": ("Mn_d_in · (1 − x)", "common-practice"),
        "sodium": ("Na_in + ΔNa", "stoichiometry"),
        "potassium": ("K_in + ΔK", "stoichiometry"),
        "tds": ("TDS_in + ΔNa (or ΔK) − ΔCa − ΔMg − ΔFe − ΔMn", "stoichiometry"),
        "uvt": ("100 · 10^(−(A − A_Fe (1 − Fe_out/Fe_in)))", "definition"),
        "uvt_filtered": ("100 · 10^(−(A − A_Fe (1 − Fe_out/Fe_in) − A_p))", "definition"),
    }

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        c = self.spec.constants
        self.alternating = settings.word("tanks") == "2"
        volume = settings.number("resin_volume")
        self.tank = self.tank_of(settings, self.spec.media["resin"], volume)
        kind = settings.word("regenerant")
        row = "potassium" if kind == "potassium_chloride" else "sodium"
        self.resin = Resin(
            c,
            volume,
            self.tank.depth,
            settings.number("salt_dose"),
            Regenerant(row, BY_KEY[row].equivalent, c[f"salt_ratio_{row}"], kind.replace("_", " ")),
            (settings.number("iron_factor") * GPG, settings.number("manganese_factor") * GPG),
            0.0 if self.alternating else settings.number("reserve"),
        )
        self.salt = self.resin.dose * volume
        #: s from one regeneration to the next by a clock, None where a meter decides.
        self.clock: float | None = settings.number("regenerate_every") if settings.word("control") == "clock" else None
        self._leak = c["leakage"] * (c["leakage_dose"] / self.resin.curve_dose) ** c["leakage_power"]
        self._iron_taken = both_ends(c["iron_taken_most"], c["iron_taken_least"])
        self._floc_taken = both_ends(c["floc_taken_most"], 0.0)

    # What it does ---------------------------------------------------------------------------------------------------------------

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        removed = self._soften(water, out, duty, w)
        metals = self._take_metals(water, out, w)
        self._exchange(water, out, removed, metals, w)
        if w.keep:
            run = self.resin.run(water, duty, w)
            self._account(run, w)
            bed_steps(w, self.tank, duty)
            remarks.extend(remarks_of(self, water, run, removed, duty))
        return out

    def _soften(self, water: Stream, out: Stream, duty: Duty, w: Working) -> Array:
        """Lower hardness, calcium and magnesium; mg/L as CaCO3 removed."""
        c = self.spec.constants
        hardness = water.row("hardness")
        salts = w.step("TDS", "dissolved solids entering", water.row("tds"), "concentration")
        base = w.step(
            "L",
            "hardness that leaks",
            self._leak * (salts / c["leakage_tds"]) ** 2,
            "hardness",
            formula=self._leakage_formula() if w.keep else "",
            source="from-memory",
            note="low confidence",
            result="leakage",
        )
        specific = w.step(
            "Q/V", "flow by resin volume", duty.flows / self.resin.volume, "specific_flow", formula="Q/V", result="specific_flow"
        )
        slip = w.step(
            "s",
            "share that slips past at this flow",
            np.clip(specific / c["specific_flow_peak"] - 1.0, 0.0, 1.0),
            "fraction",
            formula=f"Q/V/({constant(c['specific_flow_peak'], 'specific_flow')}) − 1, between 0 and 1" if w.keep else "",
            source="from-memory",
            result="slip",
        )
        kept = np.minimum(base, hardness)
        left = w.step(
            "H_out",
            "hardness leaving",
            kept + (hardness - kept) * slip,
            "hardness",
            formula="min(L, H) + (H − min(L, H)) · s",
            result="hardness_out",
        )
        out.set("hardness", left)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(hardness > 0.0, left / hardness, 1.0)
        out.scale(("calcium", "magnesium"), share)
        return np.asarray(hardness - left)

    def _leakage_formula(self) -> str:
        c = self.spec.constants
        leakage, dose = constant(c["leakage"], "hardness", "json"), constant(c["leakage_dose"], "density")
        return f"{leakage} · (TDS/{c['leakage_tds']:g} mg/L)² · ({dose}/S)^{c['leakage_power']:g}"

    def _take_metals(self, water: Stream, out: Stream, w: Working) -> tuple[Array, Array]:
        """Iron and manganese that leave the water with the resin; mg/L of each exchanged."""
        fouled = self._oxidised(water)
        share = np.broadcast_to(self._iron_taken, fouled.shape).copy()
        share[ADVERSE] = np.where(fouled[ADVERSE], 0.0, share[ADVERSE])
        share = w.step(
            "x",
            "share of dissolved iron and manganese that the resin takes",
            share,
            "fraction",
            source="common-practice",
            note="none in the adverse reading where oxygen or an oxidant arrives with it",
        )
        taken = {name: water.row(f"{name}_dissolved") * share for name in ("iron", "manganese")}
        before = water.get("iron")
        for name, amount in taken.items():
            out.add(f"{name}_dissolved", -amount)
            out.scale((f"{name}_particulate",), 1.0 - self._floc_taken)
        with np.errstate(divide="ignore", invalid="ignore"):
            left = np.where(before > 0.0, out.get("iron") / before, 1.0)
        out.add("absorbance", water.row("absorbance_iron") * (left - 1.0))
        out.scale(("absorbance_iron",), left)
        w.step("Fe_out", "iron leaving", out.get("iron"), "concentration", formula="Fe_d (1 − x) + Fe_p (1 − x_p)", result="iron_out")
        return taken["iron"], taken["manganese"]

    def _oxidised(self, water: Stream) -> Array:
        """Where something arrives that takes iron out of solution on the resin; bool of shape (2, flows, waters)."""
        c = self.spec.constants
        oxidants = zero_where_unknown(water.row("free_chlorine")) + zero_where_unknown(water.row("permanganate"))
        return np.asarray((water.row("dissolved_oxygen") > c["oxygen_free"]) | (oxidants > c["oxidant_free"]))

    def _exchange(self, water: Stream, out: Stream, removed: Array, metals: tuple[Array, Array], w: Working) -> None:
        """Give the water the regenerant's cation, equivalent for equivalent."""
        iron, manganese = metals
        given = removed / _EQ_HARDNESS + iron / _EQ_IRON + manganese / _EQ_MANGANESE
        added = w.step(
            f"Δ{_SYMBOL[self.resin.regenerant.row]}",
            f"{self.resin.regenerant.row} added",
            given * self.resin.regenerant.equivalent,
            "concentration",
            formula=f"{self.resin.regenerant.equivalent:g} · (ΔH/50.04 + ΔFe/27.92 + ΔMn/27.47)",
            source="stoichiometry",
            result=f"{self.resin.regenerant.row}_added",
        )
        out.add(self.resin.regenerant.row, added)
        gone = sum(water.row(name) - out.row(name) for name in ("calcium", "magnesium"))
        # without a split hardness is weighed as calcium, the heavier
        out.add("tds", added - np.where(np.isnan(gone), removed * _CALCIUM, gone) - iron - manganese)

    def _account(self, run: Run, w: Working) -> None:
        """Salt and water of a regeneration and of a month."""
        w.step("m_S", "salt for a regeneration", self.salt, "mass", formula="S · V", result="salt_per_regeneration")
        per_month = MONTH / np.maximum(run.interval, self.shortest)
        w.step("m_M", "salt in a month", self.salt * per_month, "mass", formula="m_S · 30.4 d/t", result="salt_per_month", at="average")
        water = self.drained
        w.step(
            "V_R",
            "water that a regeneration sends to drain",
            water,
            "volume",
            formula=f"{self.settings.number('regeneration_water'):g} · V",
            source="wtpd-12.46",
            result="regeneration_water",
        )
        w.step(
            "V_R/C",
            "drained for the hardness taken",
            water / GALLON / (run.capacity / (POUND / GRAINS_A_POUND) / 1e3),
            unit="gal/kgr",
            formula="V_R/C",
            source="mmsd-softening",
            result="water_per_capacity",
            at="average",
            note="best practice of one sewer district is 2.5 gal/kgr at the most",
        )
        w.step(
            "t_R", "time that a regeneration takes", self._regeneration_time(), "duration", source="from-memory", result="regeneration_time"
        )

    @property
    def shortest(self) -> float:
        """s from one regeneration to the next at the least."""
        return self.spec.constants["shortest_alternating" if self.alternating else "shortest"]

    @property
    def drained(self) -> float:
        """m3 that a regeneration sends to drain."""
        return self.settings.number("regeneration_water") * self.resin.volume

    def _regeneration_time(self) -> float:
        c = self.spec.constants
        return c["backwash_minutes"] + c["brine_minutes"] + c["rinse_minutes"]

    # What it needs ----------------------------------------------------------------------------------------------------------------

    def bed_rating(self) -> Rating:
        c, area = self.spec.constants, self.tank.area
        service = min(c["specific_flow"] * self.resin.volume, c["rate"] * area)
        peak = min(c["specific_flow_peak"] * self.resin.volume, c["rate_peak"] * area)
        return Rating(service, peak, "from-memory", "from memory")

    @property
    def during_cleaning(self) -> DuringCleaning | None:
        given = super().during_cleaning
        return "other_tank" if self.alternating and self.settings.get("during_cleaning") is None else given

    def cleaning(self, water: Stream, duty: Duty) -> Cleaning:
        c = self.spec.constants
        interval = pick(self.resin.run(water, duty, Working(False)).interval, "average")
        return Cleaning(
            name="regeneration",
            flow=self.tank.wash_flow(duty.warm),
            flow_cold=self.tank.wash_flow(duty.cold),
            published=self.tank.published_flow(),
            minutes=c["backwash_minutes"] / 60.0,
            total_minutes=self._regeneration_time() / 60.0,
            volume=self.drained,
            every_days=(self.clock or max(interval, self.shortest)) / DAY,
            during=self.during_cleaning or "raw_passes",
            hour=hour_of(self, "regeneration"),
            salt=self.salt,
        )

    def programme(self, water: Stream, duty: Duty) -> tuple[Entry, ...]:
        """Hardness, capacity, what calls for a regeneration, salt and the minutes of the model."""
        run = self.resin.run(water, duty, Working(False))
        tank = ("of one tank",) if self.alternating else ()
        load, hardness = pick(run.load, "average"), pick(water.row("hardness"), "average")
        rows = [
            Entry("hardness", load, "hardness", "with an allowance for iron and manganese" if load > hardness else ""),
            Entry("capacity", pick(run.capacity, "average"), "grains", ", ".join(("hardness as CaCO₃", *tank))),
        ]
        if self.clock is not None:
            rows.append(Entry("regenerate every", self.clock, "time", "by its clock"))
        else:
            rows += self._metered(run, duty)
        rows.append(Entry("salt a regeneration", self.salt, "mass", "".join(tank)))
        return (*rows, *regeneration(self.spec.constants))

    def _metered(self, run: Run, duty: Duty) -> list[Entry]:
        """What a meter counts down from, what of it is kept back, and the day at which it calls whatever was used."""
        longest, kept = self.spec.constants["longest"], self.resin.reserve
        usable = max(pick(run.to_exhaustion, "average") - kept, 0.0) / DAY * duty.daily
        interval = max(pick(run.interval, "average"), self.shortest)
        often = f"every {round(interval / DAY, 1):g} days or so at average use" if interval < longest else ""
        rows = [Entry("water between regenerations", usable, "volume", often)]
        if kept:
            rows.append(Entry("reserve", kept / DAY * duty.daily, "volume", "taken off that already"))
        return [*rows, Entry("at the latest after", longest, "time")]

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        clean, c = self.cleaning(water, duty), self.spec.constants
        life = c["resin_life_chlorinated" if duty.chlorinated else "resin_life"]
        month = MONTH / DAY
        rows = [
            Chore(
                "Fill up salt, keep it above the water",
                month,
                "salt",
                self.salt * month / clean.every_days,
                "mass",
                "from-memory",
                "from memory",
            ),
            Chore("Test the softened water with a hardness strip", 3 * month, "hardness strip", source="from-memory", status="from memory"),
            Chore("Clean brine tank, injector and screen", 12 * month, source="from-memory", status="from memory"),
            Chore(
                "Change the resin",
                life / DAY,
                "resin",
                self.resin.volume * (2 if self.alternating else 1),
                "bulk_volume",
                "from-memory",
                "from memory",
            ),
        ]
        if pick(water.get("iron"), "average") > c["iron_note"]:
            rows.append(Chore("Clean the resin of iron", 6 * month, "resin cleaner", source="from-memory", status="from memory"))
        return tuple(rows)

    def ageing(self, water: Stream, duty: Duty) -> SoftenerAgeing:
        return SoftenerAgeing(self, water, duty)

    # How it is built --------------------------------------------------------------------------------------------------------------

    def figure(self) -> Figure:
        return measured(self.tank.figure("resin", brine_tank(self.resin.volume), 2 if self.alternating else 1), self.settings)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        lines: list[tuple[str, float | str, str]] = [
            ("resin_volume", self.resin.volume, "bulk_volume"),
            ("tank_diameter", self.tank.diameter, "length"),
            *height_line(self.settings),
        ]
        return (*lines, ("tanks", "2", "choice")) if self.alternating else tuple(lines)
