"""Tannin resin: a strong-base anion resin in the chloride form. It takes sulfate, then nitrate, then tannin, and gives chloride for each.

The resin fills between two regenerations by its clock. Sulfate drives everything else off, so what is left of the capacity goes to
nitrate and only then to tannin. The favourable reading is the mean of a run. The adverse reading takes the worst moments: fresh resin,
which also takes alkalinity and lowers pH; and, where the run goes on after the resin is full, sulfate that pushes the nitrate out again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp import units
from trainapp.dimensions import DAY, YEAR
from trainapp.stages._ageing_resin import TanninAgeing
from trainapp.stages._beds import bed_steps, brine_tank
from trainapp.stages._figures import height_line
from trainapp.stages._media_bed import MediaBed
from trainapp.stages._readings import both_ends
from trainapp.stages._washing import hour_of
from trainapp.stages.base import Chore, Cleaning, Duty, Rating, Remark, Settings
from trainapp.stages.programme import Entry, regeneration
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Array, Working, pick
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import ADVERSE, Stream

_SULFATE, _NITRATE, _CHLORIDE, _ALKALINITY = (BY_KEY[key].equivalent for key in ("sulfate", "nitrate", "chloride", "alkalinity"))
_NITRATE_AS_ION = 62.004 / 14.007
#: Days beyond which exhaustion is no longer told apart.
_LONGEST = 3650.0
_YEAR_DAYS, _MONTH_DAYS = YEAR / DAY, 30.4


@dataclass(slots=True)
class Load:
    """What one run brings, arrays of shape (2, flows, waters).

    Attributes:
        sulfate, nitrate, tannin: meq/L entering.
        shares: of each, in that order, that finds a place on the resin over the run.
        exhausted: s until every place is taken.
        overrun: whether that is before the clock regenerates it.
    """

    sulfate: Array
    nitrate: Array
    tannin: Array
    shares: tuple[Array, Array, Array]
    exhausted: Array
    overrun: NDArray[np.bool_]


@register
class TanninResin(MediaBed):
    """Macroporous strong-base resin regenerated with salt by a clock."""

    spec = load_spec("tannin_resin")
    texture = "resin"
    laws = {
        "alkalinity": ("Alk_in · (1 − a)", "common-practice"),
        "chloride": ("Cl_in + ΔCl", "stoichiometry"),
        "colour": ("Col_in · (1 − x_o · b (1 − y))", "common-practice"),
        "toc": ("TOC_in · (1 − x_o · b_C (1 − y))", "common-practice"),
        "tds": ("TDS_in + ΔCl − ΔSO₄ − 4.43 ΔNO₃-N − ΔTan − 0.6 ΔAlk", "stoichiometry"),
        "uvt": ("100 · 10^(−(A − A_organic · x_o · b (1 − y))), nothing in the adverse reading", "definition"),
        "uvt_filtered": ("100 · 10^(−(A − A_organic · x_o · b (1 − y) − A_p)), nothing in the adverse reading", "definition"),
    }

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        c = self.spec.constants
        self.volume = settings.number("resin_volume")
        self.tank = self.tank_of(settings, self.spec.media["resin"], self.volume)
        self.dose, self.every = settings.number("salt_dose"), settings.number("regenerate_every")
        curve = c["capacity_limit"] * (1.0 - math.exp(-self.dose / c["dose_scale"]))
        #: eq of one tank; kg/m3 as CaCO3 over g/eq.
        self.capacity = min(curve, self.dose / c["salt_ratio"]) * self.volume * 1000.0 / _ALKALINITY
        self._tannin_taken = both_ends(c["tannin_taken_most"], c["tannin_taken_least"])
        self._organics_taken = both_ends(c["organics_taken_most"], c["organics_taken_least"])
        self._early = both_ends(0.0, c["alkalinity_early"])

    # What it does -----------------------------------------------------------------------------------------------------------

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        load = self._load(water, duty, w)
        kept = self._kept(duty, w)
        given = self._exchange(water, out, load, kept, w)
        self._take_organics(water, out, load, kept)
        self._take_alkalinity(water, out, given, kept, w)
        if w.keep:
            self._account(w)
            bed_steps(w, self.tank, duty)
            self._remark(water, load, remarks)
        return out

    def _load(self, water: Stream, duty: Duty, w: Working) -> Load:
        """What a run brings and what the resin has places for, in order of sulfate, nitrate, tannin."""
        charge = self.spec.constants["tannin_charge"]
        sulfate = w.step("s", "sulfate entering", water.row("sulfate") / _SULFATE, "equivalents", formula="SO₄/48.03", at="average")
        nitrate = w.step("n", "nitrate entering", water.row("nitrate") / _NITRATE, "equivalents", formula="NO₃-N/14.01", at="average")
        tannin = w.step("o", "tannin entering", water.row("tannin") * charge, "equivalents", formula=f"{charge:g} · tannin", at="average")
        formula = "c_∞ (1 − exp(−S/S₀)) · V"
        capacity = w.step("C", "its places", self.capacity, unit="eq", formula=formula, source="common-practice", result="capacity")
        daily = w.step("V_d", "water used in a day", duty.daily, "volume")
        total = sulfate + nitrate + tannin
        # meq/L is eq/m3
        use = total * daily
        days = np.minimum(np.divide(capacity, use, out=np.full_like(use, _LONGEST), where=use > capacity / _LONGEST), _LONGEST)
        exhausted = w.step("t_C", "time until every place is taken", days * DAY, "time", formula="C/((s + n + o) V_d)", at="average",
                           result="time_to_exhaustion")  # fmt: skip
        every = w.step("t", "time from one regeneration to the next", self.every, "time")
        places = np.full_like(total, capacity / max(daily * every / DAY, 1e-12))
        shares = []
        for anion in (sulfate, nitrate, tannin):
            taken = np.minimum(anion, places)
            shares.append(np.divide(taken, anion, out=np.ones_like(taken), where=anion > 0.0))
            places = places - taken
        for symbol, name, share in zip("sno", ("sulfate", "nitrate", "tannin"), shares, strict=True):
            w.step(f"x_{symbol}", f"share of {name} that finds a place over the run", share, "fraction",
                   formula="min(1, what is left of C/(V_d t))", at="average", result=f"{name}_share")  # fmt: skip
        return Load(sulfate, nitrate, tannin, (shares[0], shares[1], shares[2]), exhausted, exhausted < every)

    def _kept(self, duty: Duty, w: Working) -> Array:
        """Share of the water that meets the resin at this flow."""
        specific = w.step("Q/V", "flow by resin volume", duty.flows / self.volume, "specific_flow", formula="Q/V", result="specific_flow")
        slip = np.clip(specific / self.spec.constants["specific_flow_peak"] - 1.0, 0.0, 1.0)
        formula = "Q/V/(5 gpm/ft3) − 1, between 0 and 1"
        return 1.0 - w.step("y", "share that slips past", slip, "fraction", formula=formula, source="from-memory", result="slip")

    def _exchange(self, water: Stream, out: Stream, load: Load, kept: Array, w: Working) -> Array:
        """Sulfate, nitrate and tannin that stay on the resin; gives back meq/L of all three."""
        c = self.spec.constants
        sulfate = load.sulfate * load.shares[0] * c["sulfate_taken"] * kept
        nitrate = load.nitrate * load.shares[1] * c["nitrate_taken"] * kept
        tannin = load.tannin * load.shares[2] * self._tannin_taken * kept
        # sulfate that arrives after the resin is full takes the places of nitrate: at the worst one for one
        nitrate[ADVERSE] = np.where(load.overrun[ADVERSE], -sulfate[ADVERSE], nitrate[ADVERSE])
        tannin[ADVERSE] = np.where(load.overrun[ADVERSE], 0.0, tannin[ADVERSE])
        out.add("sulfate", -sulfate * _SULFATE)
        out.add("nitrate", -nitrate * _NITRATE)
        out.add("tannin", -tannin / c["tannin_charge"])
        note = "after the resin is full sulfate pushes it out: the most is what both bring together" if load.overrun[ADVERSE].any() else ""
        for symbol, mark, name in (("NO₃-N", "n", "nitrate"), ("SO₄", "s", "sulfate"), ("Tan", "o", "tannin")):
            formula = f"{symbol}_in · (1 − x_{mark} · b_{mark} (1 − y))"
            w.step(
                f"{symbol}_out", f"{name} leaving", out.row(name), "concentration", formula=formula, source="common-practice",
                result=f"{name}_out", note=note if name == "nitrate" else "",
            )  # fmt: skip
        return sulfate + nitrate + tannin

    def _take_organics(self, water: Stream, out: Stream, load: Load, kept: Array) -> None:
        """Organic carbon and colour go with the tannin; UV absorbance too, but only in the favourable reading."""
        reach = load.shares[2] * kept
        reach[ADVERSE] = np.where(load.overrun[ADVERSE], 0.0, reach[ADVERSE])
        out.scale(("toc",), 1.0 - reach * self._organics_taken)
        out.scale(("colour",), 1.0 - reach * self._tannin_taken)
        organic = np.maximum(water.row("absorbance") - water.row("absorbance_particles") - water.row("absorbance_iron"), 0.0)
        cleared = organic * reach * self._tannin_taken
        cleared[ADVERSE] = 0.0
        out.add("absorbance", -cleared)

    def _take_alkalinity(self, water: Stream, out: Stream, given: Array, kept: Array, w: Working) -> None:
        """Alkalinity that fresh resin takes, and the chloride that it gives for everything."""
        alkalinity = water.row("alkalinity")
        most = self.spec.constants["alkalinity_early"]
        early = w.step("a", "share of alkalinity that fresh resin takes", self._early * kept, "fraction", formula=f"{most:g} (1 − y)",
                       source="common-practice", note="early in a run; later in it none")  # fmt: skip
        out.set("alkalinity", alkalinity * (1.0 - early))
        out.add("ph", np.where(alkalinity > 0.0, np.log10(1.0 - early), 0.0))
        w.step("pH", "pH it leaves with, at its lowest", out.row("ph"), "ph", formula="pH + lg(1 − a)", result="ph_out")
        bicarbonate = alkalinity * early / _ALKALINITY
        formula = "35.45 · (Δs + Δn + Δo + ΔAlk/50.04)"
        chloride = (given + bicarbonate) * _CHLORIDE
        w.step("ΔCl", "chloride added", chloride, "concentration", formula=formula, source="stoichiometry", result="chloride_added")
        out.add("chloride", chloride)
        lost = (("sulfate", 1.0), ("nitrate", _NITRATE_AS_ION), ("tannin", 1.0), ("alkalinity", 0.6))
        gone = sum((water.row(row) - out.row(row)) * weight for row, weight in lost)
        out.set("tds", np.maximum(water.row("tds") + chloride - gone, 0.0))

    def _account(self, w: Working) -> None:
        """Salt of a regeneration and of a month, water to drain."""
        salt = w.step("m_S", "salt for a regeneration", self.salt, "mass", formula="S · V", result="salt_per_regeneration")
        w.step("m_M", "salt in a month", salt * _MONTH_DAYS * DAY / self.every, "mass", formula="m_S · 30.4 d/t", result="salt_per_month")
        w.step("V_R", "water that a regeneration sends to drain", self.drained, "volume", source="wtpd-12.46", result="regeneration_water")

    @property
    def salt(self) -> float:
        """kg of a regeneration."""
        return self.dose * self.volume

    @property
    def drained(self) -> float:
        """m3 that a regeneration sends to drain."""
        return self.settings.number("regeneration_water") * self.volume

    # What it has to say -----------------------------------------------------------------------------------------------------

    def _remark(self, water: Stream, load: Load, remarks: list[Remark]) -> None:
        c = self.spec.constants
        days, every = pick(load.exhausted, "average") / DAY, self.every / DAY
        seen = (("tannin", "tannin_seen"), ("colour", "colour_seen"), ("toc", "organics_seen"))
        if not any(pick(water.row(row), "average") > c[least] for row, least in seen):
            remarks.append(Remark(
                "no-effect", "caution", "No tannin for this resin to take",
                "The water holds next to no tannin, color or organic carbon; the resin only trades sulfate and nitrate for chloride.",
                analyte="tannin", value=pick(water.row("tannin"), "average"), limit=c["tannin_seen"], dimension="concentration",
            ))  # fmt: skip
        if days >= every:
            return
        remarks.append(Remark(
            "capacity-short", "caution", "Tannin resin is full before its clock comes round",
            f"Sulfate and nitrate fill this resin in {days:.1f} days; it regenerates every {every:g}, and tannin passes meanwhile.",
            analyte="tannin", value=days * DAY, limit=self.every, dimension="time", cause=f"{self.id}-full",
        ))  # fmt: skip
        nitrate = pick(water.row("nitrate"), "average")
        if nitrate >= c["nitrate_told"]:
            most = nitrate + pick(load.sulfate, "average") * c["sulfate_taken"] * _NITRATE
            remarks.append(Remark(
                "nitrate-dump", "caution", "Nitrate can leave in a flush",
                f"A resin that runs on after it is full lets nitrate go again: up to {units.show(most, 'concentration')} as nitrogen where "
                f"{units.show(nitrate, 'concentration')} comes in.",
                analyte="nitrate", value=most, limit=nitrate, dimension="concentration", source="from-memory", status="from memory",
            ))  # fmt: skip

    # What it needs ----------------------------------------------------------------------------------------------------------

    def bed_rating(self) -> Rating:
        c = self.spec.constants
        return Rating(c["specific_flow"] * self.volume, c["specific_flow_peak"] * self.volume, "from-memory", "from memory")

    def cleaning(self, water: Stream, duty: Duty) -> Cleaning:
        c = self.spec.constants
        total = c["backwash_minutes"] + c["brine_minutes"] + c["rinse_minutes"]
        return Cleaning(
            name="regeneration",
            flow=self.tank.wash_flow(duty.warm),
            flow_cold=self.tank.wash_flow(duty.cold),
            published=self.tank.published_flow(),
            minutes=c["backwash_minutes"] / 60.0,
            total_minutes=total / 60.0,
            volume=self.drained,
            every_days=self.every / DAY,
            during=self.during_cleaning or "raw_passes",
            hour=hour_of(self, "regeneration"),
            salt=self.salt,
        )

    def programme(self, water: Stream, duty: Duty) -> tuple[Entry, ...]:
        """Days of its clock, salt, and the minutes of the model."""
        clock = Entry("regenerate every", self.every, "time", "by its clock")
        return (clock, Entry("salt a regeneration", self.salt, "mass"), *regeneration(self.spec.constants))

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        salt = self.salt * _MONTH_DAYS * DAY / self.every
        years = self.spec.constants["resin_years"]
        return (
            Chore("Fill up salt, keep it above the water", _MONTH_DAYS, "salt", salt, "mass"),
            Chore("Soak the tannin resin in strong brine", 6 * _MONTH_DAYS, "salt", self.salt, "mass"),
            Chore("Change the tannin resin", years * _YEAR_DAYS, "anion resin", self.volume, "bulk_volume"),
        )

    def ageing(self, water: Stream, duty: Duty) -> TanninAgeing:
        return TanninAgeing(self, water, duty)

    # How it is built --------------------------------------------------------------------------------------------------------

    def stands_beside(self) -> tuple[float, float]:
        return brine_tank(self.volume)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("resin_volume", self.volume, "bulk_volume"), ("tank_diameter", self.tank.diameter, "length"), *height_line(self.settings))
