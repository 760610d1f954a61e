"""A bed of activated carbon: chlorine, chloramine and a trace of sulfide by time of contact, organic matter a little while it is fresh.

What is left of each is 10^-(EBCT/t): nine tenths are taken in t minutes of empty bed contact. The two readings take t at the quick and the
slow end of what is told of it. Free chlorine and permanganate react on the surface at the same pace; carbon breaks peroxide down as fast.
"""

from __future__ import annotations

import numpy as np

from trainapp.dimensions import DAY, MINUTE
from trainapp.stages import _oxidation as ox
from trainapp.stages._ageing_beds import CarbonAgeing
from trainapp.stages._beds import bed_steps
from trainapp.stages._media_bed import MediaBed
from trainapp.stages._readings import both_ends
from trainapp.stages._straining import STRAINED, Strainer, strain
from trainapp.stages._washing import backwash
from trainapp.stages.base import Chore, Cleaning, Duty, Rating, Remark, Settings
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Array, Working, pick
from trainapp.water.stream import Stream, zero_where_unknown


@register
class CarbonBed(MediaBed):
    """Granular carbon in a pressure tank with a backwash valve."""

    spec = load_spec("carbon_bed")
    texture = "carbon"
    laws = {
        **STRAINED,
        "chloride": ("Cl_in + 0.5 · (Cl₂,t_in − Cl₂,t_out)", "stoichiometry"),
        "toc": ("TOC_in · x_o", "common-practice"),
        "tannin": ("Tan_in · x_o", "common-practice"),
        "colour": ("Col_in · x_o", "common-practice"),
        "uvt": ("100 · 10^(−(A_strained − A_organic (1 − x_o)))", "definition"),
        "uvt_filtered": ("100 · 10^(−(A_strained − A_organic (1 − x_o) − A_p,out))", "definition"),
    }

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        c, medium = self.spec.constants, self.spec.media["carbon"]
        self.kind = settings.word("carbon")
        self.tank = self.tank_of(settings, medium)
        self._strainer = Strainer(self.tank, medium)
        pairs = {"free": "free", "combined": f"combined_{self.kind}", "sulfide": "sulfide"}
        self._minutes = {name: both_ends(c[f"{key}_quick"], c[f"{key}_slow"]) for name, key in pairs.items()}
        self._organics = both_ends(c["organics_most"], 0.0)

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        contact = self._contact(duty, w)
        strain(out, self._strainer.left(duty, w), self._strainer.floc_left(duty))
        self._take_chlorine(out, contact, w)
        self._take_sulfide(water, out, contact, w)
        self._take_organics(out, contact, w)
        if w.keep:
            bed_steps(w, self.tank, duty)
            self._remark(water, contact, duty, remarks)
        return out

    def _contact(self, duty: Duty, w: Working) -> Array:
        """Minutes of empty bed contact, shape (3, 1 or waters)."""
        volume = w.step("V", "volume of the bed", self.tank.volume, "bulk_volume", formula="L · π d²/4", source="geometry")
        seconds = w.step("EBCT", "empty bed contact time", volume / duty.flows, "duration", formula="V/Q", result="ebct")
        return np.asarray(seconds / MINUTE)

    def _left(self, name: str, label: str, contact: Array, w: Working) -> Array:
        minutes = w.step("t", f"contact that takes nine tenths of {label}", self._minutes[name] * MINUTE, "duration", source="from-memory")
        left: Array = 10.0 ** -(contact * MINUTE / minutes)
        return w.step("x", f"share of {label} left", left, "fraction", formula="10^(−EBCT/t)", result=f"{name}_left")

    def _take_chlorine(self, out: Stream, contact: Array, w: Working) -> None:
        left = self._left("free", "free chlorine", contact, w)
        slow = self._left("combined", "combined chlorine", contact, w)
        free, total = out.row("free_chlorine").copy(), out.row("total_chlorine")
        combined = np.maximum(total - free, 0.0)
        out.set("free_chlorine", free * left)
        out.set("total_chlorine", free * left + combined * slow)
        gone = free * (1.0 - left) + zero_where_unknown(combined * (1.0 - slow))
        out.add("chloride", gone * ox.CHLORIDE_IN_CHLORINE)
        w.step("Cl₂", "free chlorine leaving", out.row("free_chlorine"), "concentration", formula="Cl₂ · x", result="free_chlorine_out")
        formula = "Cl₂_in · x + (Cl₂,t_in − Cl₂_in) · x_combined"
        w.step("Cl₂,t", "total chlorine leaving", out.row("total_chlorine"), "concentration", formula=formula, result="total_chlorine_out")
        purple = ox.held(out, "permanganate") * (1.0 - left) * ox.PERMANGANATE_ABSORBANCE
        out.set("absorbance", np.maximum(out.row("absorbance") - purple, 0.0))
        # what permanganate leaves stays on the grains as oxide
        out.scale(("permanganate", "peroxide"), left)

    def _take_sulfide(self, water: Stream, out: Stream, contact: Array, w: Working) -> None:
        trace = self.spec.constants["sulfide_trace"]
        sulfide = water.row("hydrogen_sulfide")
        able = w.step(
            "f_S", "share of it that carbon attends to", np.clip(2.0 - sulfide / trace, 0.0, 1.0), "fraction",
            formula=f"1 up to {trace:g} mg/L, 0 from {2.0 * trace:g}", source="texas-h2s",
        )  # fmt: skip
        left = self._left("sulfide", "sulfide", contact, w)
        out.set("hydrogen_sulfide", sulfide * (1.0 - able * (1.0 - left)))
        formula = "H₂S (1 − f_S (1 − x))"
        left_over = out.row("hydrogen_sulfide")
        w.step("H₂S", "hydrogen sulfide leaving", left_over, "concentration", formula=formula, result="hydrogen_sulfide_out")

    def _take_organics(self, out: Stream, contact: Array, w: Working) -> None:
        most, minutes = self.spec.constants["organics_most"], self.spec.constants["organics_minutes"]
        reach = np.minimum(contact / minutes, 1.0)
        left = w.step(
            "x_o", "share of organic matter left", 1.0 - self._organics * reach, "fraction",
            formula=f"1 − {most:g} min(EBCT/{minutes:g} min, 1)", source="common-practice",
            note="none is credited in the adverse reading: carbon is soon full",
        )  # fmt: skip
        organic = out.row("absorbance") - out.row("absorbance_particles") - out.row("absorbance_iron")
        out.add("absorbance", np.maximum(organic, 0.0) * (left - 1.0))
        out.scale(("toc", "tannin", "colour"), left)

    # What it has to say -----------------------------------------------------------------------------------------------------

    def _remark(self, water: Stream, contact: Array, duty: Duty, remarks: list[Remark]) -> None:
        c = self.spec.constants
        minutes = float(contact[-1].flat[0])
        seen = c["chlorine_seen"]
        free, combined = pick(water.row("free_chlorine")), pick(water.row("total_chlorine")) - pick(water.row("free_chlorine"))
        wanted = c[f"combined_{self.kind}_quick"]
        if combined > seen and minutes < wanted:
            remarks.append(Remark(
                "contact-short", "caution", "Too little contact for chloramine",
                f"At the peak the water has {minutes:.1f} minutes in this bed; chloramine takes {wanted:.0f} or more on {self.kind} "
                "carbon. A bed sized for chlorine is too small for it.",
                analyte="total_chlorine", value=minutes * MINUTE, limit=wanted * MINUTE, dimension="duration",
                source="gac-chloramine-2000", status="published", cause=f"over-rating:{self.id}",
            ))  # fmt: skip
        elif free > seen and minutes < c["free_quick"]:
            remarks.append(Remark(
                "contact-short", "caution", "Too little contact for chlorine",
                f"At the peak the water has {minutes:.1f} minutes in this bed; chlorine takes one to two.",
                analyte="free_chlorine", value=minutes * MINUTE, limit=c["free_quick"] * MINUTE, dimension="duration",
                source="from-memory", status="from memory", cause=f"over-rating:{self.id}",
            ))  # fmt: skip
        idle = self.tank.volume / max(duty.daily, 1e-9)
        if idle > c["idle_days"]:
            remarks.append(Remark(
                "standing-water", "caution", "Carbon stands idle",
                f"The bed holds {idle:.0f} days of use; germs grow on carbon that stands.",
                value=idle * DAY, limit=c["idle_days"] * DAY, dimension="time",
            ))  # fmt: skip

    # What it needs ----------------------------------------------------------------------------------------------------------

    def bed_rating(self) -> Rating:
        c, area = self.spec.constants, self.tank.area
        return Rating(c["service_rate"] * area, c["peak_rate"] * area, "ny-75-b.2", "published")

    def cleaning(self, water: Stream, duty: Duty) -> Cleaning:
        c = self.spec.constants
        return backwash(self, self.tank, duty, self.settings.number("wash_every"), c["wash_minutes"], c["rinse_minutes"])

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        mass = self.tank.volume * float(self.tank.medium["bulk_density"])
        what = "Renew the carbon, even where it is not used up, and disinfect the tank"
        return (Chore(what, self.spec.constants["carbon_days"], "activated carbon", mass, "mass", "common-practice", "from memory"),)

    def ageing(self, water: Stream, duty: Duty) -> CarbonAgeing:
        return CarbonAgeing(self, water, duty)
