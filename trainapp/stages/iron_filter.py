"""Iron filter: an oxidant and a medium turn dissolved iron, manganese and sulfide into floc, and the bed holds the floc until it is washed.

Inside the medium's limits iron leaves at max(0.05 mg/L, 3 %), manganese at max(0.02 mg/L, 10 %) of what enters. Each limit that is missed
takes from that in a straight line: pH over a band, oxidant by its electrons, rate and metals up to twice their limit.
What stays dissolved is not in a form that a later cartridge takes; what was oxidised and slips is.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from trainapp.dimensions import DAY, YEAR
from trainapp.stages._ageing_iron import IronAgeing
from trainapp.stages._beds import bed_steps
from trainapp.stages._figures import height_line
from trainapp.stages._iron_budget import COUNTED_AS, Reach, demand_of, feed, from_store, oxidise, reach_of, saturate
from trainapp.stages._iron_remarks import Facts, remarks_of
from trainapp.stages._media_bed import MediaBed
from trainapp.stages._oxidation import OXIDISED, demand, held
from trainapp.stages._oxygenation import settle_ph
from trainapp.stages._straining import STRAINED, Strainer, share_left
from trainapp.stages._washing import backwash
from trainapp.stages.base import Chore, Cleaning, Duty, Rating, Remark, Settings
from trainapp.stages.programme import Entry, fed
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import PEAK, Array, Working, pick
from trainapp.water.stream import Stream

_YEAR = YEAR / DAY  # d
#: Days beyond which a run is no longer told apart.
_LONGEST = 3650.0
METALS = ("iron", "manganese")
_BEST = {"iron": "Fe_b", "manganese": "Mn_b"}


@register
class IronFilter(MediaBed):
    """An oxidising filter in one pressure tank."""

    spec = load_spec("iron_filter")
    texture = "iron"
    laws = {
        **STRAINED,
        **OXIDISED,
        "uvt": ("100 · 10^(−(A − A_p (1 − TSS_out/TSS_in) − A_Fe (1 − Fe_out/Fe_in)))", "definition"),
        "uvt_filtered": ("100 · 10^(−(A − A_Fe (1 − Fe_out/Fe_in) − A_p))", "definition"),
        "suspended_solids": ("TSS_in · Σ x_i N_i/Σ N_i", "common-practice"),
    }

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        self.media, self.oxidant = settings.word("media"), settings.word("oxidant")
        self.medium = self.spec.media[self.media]
        self.tank = self.tank_of(settings, self.medium)
        self._strainer = Strainer(self.tank, self.spec.media["straining"])
        #: Permanganate drawn through the bed after each backwash, instead of a feed.
        self.batch = settings.word("regeneration") == "batch" and self.oxidant == "permanganate"
        self.counted_as = COUNTED_AS[self.oxidant]
        c = self.spec.constants
        charge = settings.number("charge")
        #: kg of each reductant that a batch regeneration makes up for: the medium's store, or what the permanganate can do if that is less.
        store = {"iron": c["batch_iron"], "manganese": c["batch_manganese"]}
        store["hydrogen_sulfide"] = store["iron"] * demand("permanganate", "iron") / demand("permanganate", "hydrogen_sulfide")
        self._store = {of: min(kg, charge / demand("permanganate", of)) * self.tank.volume for of, kg in store.items()}

    # What it does ---------------------------------------------------------------------------------------------------------------

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        reach = reach_of(water, self.medium, self.spec.constants, w)
        store_days = self._supply_oxidant(water, out, reach, duty, w)
        missed = oxidise(out, reach, self.spec.constants["sulfide_by_air_least"], w)
        load = self._load_share(water, duty, w)
        captured = {metal: self._capture(metal, water, out, load, w) for metal in METALS}
        self._strain(water, out, duty, w)
        settle_ph(water, out, duty.design_temperature, w)
        out.set("ph", np.where(np.isnan(out.row("ph")), water.row("ph"), out.row("ph")))
        if w.keep:
            self._leaving(out, w)
            run = self._run(captured["iron"], duty, w)
            bed_steps(w, self.tank, duty)
            facts = Facts(pick(missed), pick(store_days, "average"), run, self.wash_every(water), pick(held(out, "permanganate")))
            remarks.extend(remarks_of(self, water, reach, facts))
        return out

    def _supply_oxidant(self, water: Stream, out: Stream, reach: Reach, duty: Duty, w: Working) -> Array:
        """Bring the filter's own oxidant to the water; days that a batch regeneration lasts, endless without one."""
        endless = np.full((1, 1, 1), np.inf)
        if self.oxidant == "air":
            saturate(out, duty, w)
        wanted = demand_of(water, self.counted_as, reach, w) if w.keep or self.oxidant in ("chlorine", "permanganate") else endless
        if self.batch:
            return self._draw_on_store(water, out, reach, duty, w)
        if self.oxidant in ("chlorine", "permanganate"):
            feed(out, self.oxidant, self._dose(water, wanted), w)
        return endless

    def _dose(self, water: Stream, wanted: Array) -> Array:
        """mg/L that its own feed is set to: one setting, for the adverse reading and every flow; shape (1, 1, waters)."""
        given = self.settings.get("dose")
        if given is not None:
            return np.full((1, 1, 1), float(given))
        residual = self.settings.number("residual") if self.oxidant == "chlorine" else 0.0
        asked = np.maximum(wanted + residual - held(water, self.oxidant), 0.0)
        return np.asarray(asked.max(axis=(0, 1), keepdims=True))

    @property
    def is_fed(self) -> bool:
        """Whether a feed of its own doses an oxidant all the time."""
        return self.oxidant in ("chlorine", "permanganate") and not self.batch

    def fed_dose(self, water: Stream) -> float:
        """mg/L that its own feed is set to with this water; 0 without a feed."""
        if not self.is_fed:
            return 0.0
        quiet = Working(False)
        reach = reach_of(water, self.medium, self.spec.constants, quiet)
        return pick(self._dose(water, demand_of(water, self.counted_as, reach, quiet)))

    def _draw_on_store(self, water: Stream, out: Stream, reach: Reach, duty: Duty, w: Working) -> Array:
        """Use the store of the last batch regeneration; days that it lasts."""
        per_day = self.store_used(water) * duty.daily
        used = w.step(
            "u",
            "share of the medium's store used in a day",
            per_day,
            "fraction",
            formula="V_d (Fe/m_Fe + Mn/m_Mn + H₂S/m_S)",
            source="from-memory",
            at="average",
        )
        days = np.divide(1.0, used, out=np.full_like(used, _LONGEST), where=used > 1.0 / _LONGEST)
        w.step("t_R", "time until the medium's store is used up", days * DAY, "time", formula="1/u", result="store_life", at="average")
        every = w.step("t_W", "time between regenerations", self.wash_every(water), "time")
        share = w.step(
            "f_R",
            "share of the run that the store lasts",
            np.minimum(days * DAY / every, 1.0),
            "fraction",
            formula="min(t_R/t_W, 1)",
            result="store_share",
            at="average",
        )
        from_store(out, reach, share, w)
        return days

    def store_used(self, water: Stream) -> Array:
        """Share of a batch's store that a m3 of this water uses, shape (2, flows, waters)."""
        rows = {"iron": "iron_dissolved", "manganese": "manganese_dissolved", "hydrogen_sulfide": "hydrogen_sulfide"}
        return np.asarray(sum(water.row(row) * (1e-3 / self._store[of]) for of, row in rows.items()))

    def _load_share(self, water: Stream, duty: Duty, w: Working) -> Array:
        """What rate and metals leave of the removal, 0 to 1."""
        rate, metals = float(self.medium["rate"]), float(self.medium["metals"])
        speed = w.step("v", "rate through the bed", duty.flows / self.tank.area, "rate", formula="Q/A", result="rate")
        by_rate = w.step(
            "f_v",
            "left by the rate",
            np.clip(2.0 - speed / rate, 0.0, 1.0),
            "fraction",
            formula="2 − v/v_max, between 0 and 1",
            source="from-memory",
            result="rate_share",
        )
        entering = w.step("M", "iron and manganese entering", water.get("iron") + water.get("manganese"), "concentration")
        by_metals = w.step(
            "f_M",
            "left by the metals",
            np.clip(2.0 - entering / metals, 0.0, 1.0),
            "fraction",
            formula=f"2 − M/({metals:g} mg/L), between 0 and 1",
            source="from-memory",
            result="metals_share",
        )
        return np.asarray(by_rate * by_metals)

    def _capture(self, metal: str, water: Stream, out: Stream, load: Array, w: Working) -> Array:
        """Hold floc in the bed, down to the best residual; mg/L held."""
        c = self.spec.constants
        entering = water.get(metal)
        best = np.minimum(np.maximum(c[f"{metal}_least"], c[f"{metal}_share"] * entering), entering)
        w.step(
            _BEST[metal],
            f"{metal} left at the best",
            best,
            "concentration",
            formula=f"min(max({c[f'{metal}_least']:g} mg/L, {c[f'{metal}_share']:g} · in), in)",
            source="from-memory",
        )
        floc = out.row(f"{metal}_particulate")
        taken = np.asarray((floc - np.minimum(floc, best)) * load)
        out.add(f"{metal}_particulate", -taken)
        return taken

    def _strain(self, water: Stream, out: Stream, duty: Duty, w: Working) -> None:
        """Take other particles, and the absorbance that leaves with particles and with iron."""
        before = water.particles[1:].sum(axis=0)
        out.particles[...] *= self._strainer.left(duty, w)
        dirt = share_left(out.particles[1:].sum(axis=0), before)
        iron = np.minimum(share_left(out.get("iron"), water.get("iron")), 1.0)
        out.scale(("suspended_solids",), dirt)
        for row, share in (("absorbance_particles", dirt), ("absorbance_iron", iron)):
            out.add("absorbance", water.row(row) * (share - 1.0))
            out.scale((row,), share)

    def _leaving(self, out: Stream, w: Working) -> None:
        w.step(
            "Fe_out",
            "iron leaving",
            out.get("iron"),
            "concentration",
            formula="Fe_d + Fe_p − held",
            source="from-memory",
            result="iron_out",
        )
        w.step(
            "Mn_out",
            "manganese leaving",
            out.get("manganese"),
            "concentration",
            formula="Mn_d + Mn_p − held",
            source="from-memory",
            result="manganese_out",
        )
        if self.counted_as != "oxygen":
            w.step("c_out", f"{self.counted_as} leaving", held(out, self.counted_as), "concentration", result="residual")

    def _run(self, captured: Array, duty: Duty, w: Working) -> float:
        """Days until the bed is full of iron."""
        room = w.step(
            "m_A",
            "iron that the bed holds",
            self.spec.constants["iron_load"] * self.tank.area,
            "grams",
            formula=f"{self.spec.constants['iron_load']:g} kg/m² · A",
            source="bruins-2014",
            result="iron_capacity",
        )
        daily = w.step(
            "m_d",
            "iron held in a day",
            captured * (duty.daily * 1e-3),
            "grams",
            formula="(Fe − Fe_out) · V_d",
            result="iron_per_day",
            at="average",
        )
        days = np.divide(room, daily, out=np.full_like(daily, _LONGEST), where=daily > room / _LONGEST)
        w.step(
            "t_F",
            "time until it is full of iron",
            days * DAY,
            "time",
            formula="m_A/m_d",
            result="run",
            at="average",
            note="the clock washes it sooner, so that it does not cement",
        )
        return pick(days, "average")

    def wash_every(self, water: Stream) -> float:
        """s from one backwash (and batch regeneration) to the next."""
        given = self.settings.get("wash_every")
        if given is not None:
            return float(given)
        c = self.spec.constants
        return c["wash_every_much" if pick(water.get("iron"), "average") > c["iron_much"] else "wash_every"]

    # What it needs ----------------------------------------------------------------------------------------------------------------

    def bed_rating(self) -> Rating:
        # above the rate that it clears its removal falls off at once: there is no more for ten minutes than for all day
        clears = float(self.medium["rate"]) * self.tank.area
        return Rating(clears, clears, "from-memory", "from memory")

    def cleaning(self, water: Stream, duty: Duty) -> Cleaning:
        c = self.spec.constants
        wash = backwash(self, self.tank, duty, self.wash_every(water), c["wash_minutes"], c["rinse_minutes"])
        if not self.batch:
            return wash
        drawn = c["batch_volumes"] * self.tank.volume
        return replace(wash, name="regeneration", total_minutes=wash.total_minutes + c["batch_minutes"], volume=wash.volume + drawn)

    def programme(self, water: Stream, duty: Duty) -> tuple[Entry, ...]:
        """What its own feed has to give, or the permanganate of a regeneration; nothing for air or for the water's own oxidant."""
        if self.batch:
            return (Entry("permanganate a regeneration", self.settings.number("charge") * self.tank.volume, "mass"),)
        if not self.is_fed:
            return ()
        flow = float(duty.flows[PEAK].max())
        return fed(self.settings, self.oxidant, self.fed_dose(water), flow, "at the peak, in step with the flow", duty.daily)

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        rows = [
            Chore("Test raw and filtered water for iron and manganese", _YEAR, "iron test", source="from-memory", status="from memory"),
            Chore(
                "Change the medium",
                self.spec.constants["media_years"] * _YEAR,
                self.media.replace("_", " "),
                self.tank.volume,
                "bulk_volume",
                "from-memory",
                "from memory",
            ),
        ]
        if self.batch:
            each = self.settings.number("charge") * self.tank.volume
            pot = self.settings.number("pot")
            days = pot / each * self.wash_every(water) / DAY
            handling = "wear goggles, gloves and a dust mask; it sets fire to organic matter"
            rows.insert(0, Chore(f"Fill the permanganate pot: {handling}", days, "potassium permanganate", pot, "mass"))
        elif self.oxidant in ("chlorine", "permanganate"):
            used = self.fed_dose(water) * duty.daily / 1000.0 * _YEAR / 12
            rows.insert(
                0, Chore("Fill the feed's tank and check its dose; wear goggles and gloves", _YEAR / 12, self.oxidant, used, "mass")
            )
        elif self.oxidant == "air":
            rows.insert(0, Chore("Look at air draw, vent and injector", _YEAR / 4))
        return tuple(rows)

    def ageing(self, water: Stream, duty: Duty) -> IronAgeing:
        return IronAgeing(self, water, duty)

    # How it is built --------------------------------------------------------------------------------------------------------------

    def stands_beside(self) -> tuple[float, float]:
        return (0.25, 0.4) if self.batch else (0.45, 0.75) if self.oxidant in ("chlorine", "permanganate") else (0.0, 0.0)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (
            ("media", self.media, "choice"),
            ("tank_diameter", self.tank.diameter, "length"),
            ("bed_depth", self.tank.depth, "length"),
            *height_line(self.settings),
        )
