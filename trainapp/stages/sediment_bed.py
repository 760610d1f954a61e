"""A sediment bed: sand, or several media in layers, that strains by size class and washes itself.

What it holds follows :mod:`trainapp.stages._straining`. Colloids pass. A run ends when the bed is full of dirt or when its clock says so,
whichever comes first; dirt is what was measured as suspended solids, else 1 to 3 mg/L for each NTU.
"""

from __future__ import annotations

import numpy as np

from trainapp.dimensions import DAY, YEAR
from trainapp.stages._ageing_beds import SedimentAgeing
from trainapp.stages._beds import bed_steps
from trainapp.stages._media_bed import MediaBed
from trainapp.stages._readings import both_ends
from trainapp.stages._straining import STRAINED, Strainer, strain
from trainapp.stages._washing import backwash
from trainapp.stages.base import Chore, Cleaning, Duty, Rating, Remark, Settings
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Array, Working, pick
from trainapp.water.stream import FAVOURABLE, Stream

_YEAR_DAYS = YEAR / DAY
#: Days beyond which a run is no longer told apart.
_LONGEST = 3650.0


@register
class SedimentBed(MediaBed):
    """Single or layered media in a pressure tank with a backwash valve."""

    spec = load_spec("sediment_bed")
    texture = "sand"
    laws = STRAINED

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        self.medium = self.spec.media[settings.word("media")]
        self.tank = self.tank_of(settings, self.medium)
        self._strainer = Strainer(self.tank, self.medium)

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        floc = self._strainer.floc_left(duty)
        strain(out, self._strainer.left(duty, w), floc)
        before, after = water.get("turbidity"), out.get("turbidity")
        w.step("N_in", "turbidity entering", before, "turbidity")
        w.step("N_out", "turbidity leaving", after, "turbidity", formula="N_colloid + Σ x_i N_i", result="turbidity_out")
        w.step("x_f", "share of iron and manganese floc that passes", floc, "fraction", source="common-practice", result="floc_left")
        w.step("Fe_out", "iron leaving", out.get("iron"), "concentration", formula="Fe_d + Fe_p · x_f", result="iron_out")
        run = self._run(water, out, duty, w)
        if w.keep:
            bed_steps(w, self.tank, duty)
            self._remark(before, after, run, remarks)
        return out

    def dirt_held(self, water: Stream, out: Stream) -> Array:
        """mg/L of dirt that stays in the bed, shape (2, flows, waters)."""
        c = self.spec.constants
        measured_solids = water.row("suspended_solids") - out.row("suspended_solids")
        by_turbidity = both_ends(c["solids_per_turbidity_least"], c["solids_per_turbidity_most"])
        stopped = (water.get("turbidity") - out.get("turbidity")) * by_turbidity
        floc = (water.get("iron") - out.get("iron")) * c["floc_per_iron"]
        return np.where(np.isnan(measured_solids), np.maximum(stopped, floc), measured_solids)

    def _run(self, water: Stream, out: Stream, duty: Duty, w: Working) -> Array:
        """Seconds until the bed is full of dirt, shape (2, flows, waters)."""
        c, dirt = self.spec.constants, self.dirt_held(water, out)
        unknown = np.isnan(water.row("suspended_solids")).any()
        note = "from turbidity at 1 to 3 mg/L an NTU, or from iron floc where that is more" if unknown else ""
        w.step("S", "dirt that stays in the bed", dirt, "concentration", formula="in − out", note=note, at="average")
        room = w.step("M", "dirt that it holds before it is washed", c["solids"] * self.tank.area, "mass",
                      formula=f"{c['solids']:g} kg/m² · A", source="common-practice")  # fmt: skip
        daily = w.step("V_d", "water through one tank in a day", duty.daily, "volume")
        load = dirt * (daily * 1e-3)
        days = np.minimum(np.divide(room, load, out=np.full_like(load, _LONGEST), where=load > room / _LONGEST), _LONGEST)
        return w.step("t", "time until it is full of dirt", days * DAY, "time", formula="M/(S · V_d)", at="average", result="run")

    # What it has to say -----------------------------------------------------------------------------------------------------

    def _remark(self, before: Array, after: Array, run: Array, remarks: list[Remark]) -> None:
        c = self.spec.constants
        entering = pick(before)
        held = 1.0 - pick(after, reading=FAVOURABLE) / max(pick(before, reading=FAVOURABLE), 1e-9)
        days = pick(run, "average") / DAY
        if entering < c["clear"]:
            remarks.append(Remark(
                "no-effect", "note", "Nothing here for a sediment bed to hold",
                "The water is clear as it comes: the bed stands ready, no more.", analyte="turbidity", value=entering, limit=c["clear"],
                dimension="turbidity",
            ))  # fmt: skip
        elif held < c["held_least"]:
            remarks.append(Remark(
                "no-effect", "caution", "Particles too fine for this bed",
                f"At its best the bed holds {100 * held:.0f} % of this turbidity; what makes it cloudy is finer than a bed strains.",
                analyte="turbidity", value=entering, dimension="turbidity",
            ))  # fmt: skip
        if days < 1.0:
            remarks.append(Remark(
                "capacity-short", "caution", "The bed is full within a day",
                f"Dirt fills this bed in {24 * days:.0f} hours; it needs a larger tank or something coarse ahead of it.",
                value=days * DAY, limit=DAY, dimension="time", cause="bed-full",
            ))  # fmt: skip

    # What it needs ----------------------------------------------------------------------------------------------------------

    def bed_rating(self) -> Rating:
        return Rating(float(self.medium["service"]) * self.tank.area, float(self.medium["peak"]) * self.tank.area)

    def cleaning(self, water: Stream, duty: Duty) -> Cleaning:
        c = self.spec.constants
        out = water.copy()
        quiet = Working(False)
        strain(out, self._strainer.left(duty, quiet), self._strainer.floc_left(duty))
        full = pick(self._run(water, out, duty, quiet), "average")
        every = min(max(full, DAY), self.settings.number("wash_every"))
        return backwash(self, self.tank, duty, every, c["wash_minutes"], c["rinse_minutes"])

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        return (
            Chore("Read the pressure before and behind the bed", 30.0),
            Chore("Renew the media", self.spec.constants["media_years"] * _YEAR_DAYS, "filter media", self.tank.volume, "bulk_volume"),
        )

    def ageing(self, water: Stream, duty: Duty) -> SedimentAgeing:
        return SedimentAgeing(self, water, duty)
