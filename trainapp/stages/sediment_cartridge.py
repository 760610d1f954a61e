"""Sediment cartridge: it holds what is coarser than its rating, the more pressure it takes the more it holds, and is thrown away.

The adverse reading credits only what the rating says: its share of particles of that size and coarser, none below, colloids never. The
favourable reading lets beta fall and rise with size, as a wall of fibres does.
"""

from __future__ import annotations

import math

import numpy as np

from trainapp.dimensions import DAY, INCH, YEAR
from trainapp.hydraulics.devices import (
    BlockingLaw,
    blocking_loading,
    blocking_mass,
    cartridge_area,
    cartridge_resistance,
    flow_coefficient,
)
from trainapp.hydraulics.elements import Element, Resistance
from trainapp.stages._ageing_cartridge import CartridgeAgeing
from trainapp.stages._figures import measured
from trainapp.stages._readings import both_ends
from trainapp.stages.base import Chore, Duty, Figure, Rating, Remark, Settings, Stage
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Array, Working, pick
from trainapp.water.analytes import CLASS_EDGES_UM, PARTICLE_ROWS
from trainapp.water.stream import ADVERSE, FAVOURABLE, Stream

_LAWS: dict[str, BlockingLaw] = {"depth": "standard", "pleated": "cake"}


@register
class SedimentCartridge(Stage):
    """A depth or pleated cartridge in a housing."""

    spec = load_spec("sediment_cartridge")
    laws = {
        "iron": ("Fe_d + Fe_p · N_out/N", "common-practice"),
        "manganese": ("Mn_d + Mn_p · N_out/N", "common-practice"),
        "turbidity_filtered_5um": ("N_colloid + Σ (1 − x_i) N_i, up to 5 µm", "common-practice"),
        "suspended_solids": ("TSS_in · (1 − x)", "common-practice"),
        "uvt": ("100 · 10^(−(A − A_p · x))", "definition"),
    }

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        c = self.spec.constants
        #: m, the particle size it is rated for.
        self.pore = settings.number("rating")
        self.share = c[f"{settings.word('rating_basis')}_share"]
        self.length, self.diameter = settings.number("length"), settings.number("diameter")
        known = cartridge_area(c["known_diameter"], c["known_length"])
        self.area_ratio = cartridge_area(self.diameter, self.length) / known
        self.rated_flow = min(c["known_flow"] * self.area_ratio, c["most_flow"])
        self.law = _LAWS[settings.word("build")]
        self.dirt = settings.get("dirt_capacity") or c["known_dirt"] * self.area_ratio
        self.change_at = settings.number("change_at")
        self.read_at = settings.get("read_at") or c["read_share"] * (settings.get("service_flow") or self.rated_flow)
        self._held = self._shares()
        #: mg/L of dirt for an NTU, where solids were not measured.
        self.solids = both_ends(c["solids_least"], c["solids_most"])

    @property
    def is_fine(self) -> bool:
        """Whether it is fine enough to blind with iron that comes out of solution on it."""
        return self.pore <= self.spec.constants["fine"] * (1.0 + 1e-9)

    def _shares(self) -> Array:
        """Share of each particle row that it holds, shape (7, 2, 1, 1): colloid, then finest class to coarsest."""
        c = self.spec.constants
        edges = [1e-6 * edge for edge in CLASS_EDGES_UM] + [max(c["coarsest"], self.pore)]
        held = np.zeros((len(PARTICLE_ROWS), 2, 1, 1))
        beta = 1.0 / (1.0 - self.share)
        for i, (low, high) in enumerate(zip(edges, edges[1:], strict=False), start=1):
            above = 0.0 if self.pore >= high else min(math.log(high / self.pore) / math.log(high / low), 1.0)
            held[i, ADVERSE] = self.share * above
            growing = 1.0 + (beta - 1.0) * (math.sqrt(low * high) / self.pore) ** c["beta_power"]
            held[i, FAVOURABLE] = max(1.0 - 1.0 / growing, self.share * above)
        return held

    # What it does ---------------------------------------------------------------------------------------------------------------

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        out.particles[...] *= 1.0 - self._held
        before, after = water.particles[1:].sum(axis=0), out.particles[1:].sum(axis=0)
        clouded, cleared = before + water.row("colloid"), after + out.row("colloid")
        held = _share_taken(before, after)
        taken = _share_taken(clouded, cleared)
        if w.keep:
            self._particle_steps(clouded, cleared, held, w)
        out.scale(("iron_particulate", "manganese_particulate"), 1.0 - taken)
        out.scale(("suspended_solids",), 1.0 - held)
        out.add("absorbance", water.row("absorbance_particles") * -held)
        out.scale(("absorbance_particles",), 1.0 - held)
        if w.keep:
            life = self._life(water, held, duty, w)
            self._pressure_steps(duty, w)
            self._remark(water, out, life, remarks)
        return out

    def _particle_steps(self, clouded: Array, cleared: Array, held: Array, w: Working) -> None:
        w.step(
            "E",
            f"share it holds of particles at its rating, {self.settings.word('rating_basis')}",
            self.share,
            "fraction",
            source="nsf-ansi-42" if self.share < 0.99 else "filter-ratings-2000",
            note="from memory",
        )
        w.step(
            "β",
            "particles before for one behind, at the rating",
            1.0 / (1.0 - self.share),
            formula="1/(1 − E)",
            source="definition",
            result="beta",
        )
        w.step("N", "turbidity entering", clouded, "turbidity")
        w.step(
            "x",
            "share of the particles that it holds, colloids left out",
            held,
            "fraction",
            formula="Σ x_i N_i/Σ N_i",
            result="held",
            note="the adverse reading credits nothing finer than the rating",
        )
        w.step("N_out", "turbidity leaving", cleared, "turbidity", formula="N_colloid + Σ (1 − x_i) N_i", result="turbidity_out")

    def _life(self, water: Stream, held: Array, duty: Duty, w: Working) -> float:
        """Days until it is changed; records how they follow from its dirt."""
        solids, note = water.row("suspended_solids"), ""
        if np.isnan(pick(solids)):
            solids, note = water.get("turbidity") * self.solids, "not measured: 1 to 3 mg/L for an NTU"
        solids = w.step("TSS", "suspended solids entering", solids, "concentration", note=note, source="from-memory" if note else "")
        caught = w.step(
            "m_d",
            "dirt held in a day",
            solids * held * (duty.daily * 1e-3),
            "grams",
            formula="TSS · x · V_d",
            result="dirt_per_day",
            at="average",
        )
        end, change, clean = self.spec.constants["end_loss"], self.change_at, self.wall(duty.cold).loss(self.read_at)
        mass = blocking_mass(self.law, self.dirt, 1.0 + end / clean)
        w.step("m_C", "dirt that it holds 20 psi above clean", self.dirt, "grams", source="from-memory", result="dirt_capacity")
        most = w.step(
            "m_E",
            f"dirt at which it takes the change pressure, {self.law} blocking",
            mass * blocking_loading(self.law, 1.0 + change / clean),
            "grams",
            formula=_LAW_FORMULA[self.law],
            source="hermia-1982",
        )
        with np.errstate(divide="ignore", invalid="ignore"):
            days = np.where(caught > 0.0, most / caught, np.inf) * DAY
        dirty = w.step(
            "t_E",
            "time until dirt asks for a change",
            np.minimum(days, 1e3 * self.spec.constants["longest"]),
            "time",
            formula="m_E/m_d",
            at="average",
            result="dirt_life",
        )
        life = w.step(
            "t",
            "time until it is changed",
            np.minimum(dirty, self.spec.constants["longest"]),
            "time",
            formula="min(t_E, 6 months)",
            source="from-memory",
            at="average",
            result="life",
        )
        return pick(life, "average")

    def _pressure_steps(self, duty: Duty, w: Working) -> None:
        peak = pick(duty.flows)
        w.step(
            "a",
            "outer area over that of a 10 x 2.5 in cartridge",
            self.area_ratio,
            formula="L D/(L₀ D₀)",
            source="geometry",
            result="area_ratio",
        )
        w.step(
            "Δp_w",
            "loss of the clean wall at the peak, coldest water",
            self.wall(duty.cold).loss(peak),
            "pressure",
            formula="Δp₀ (Q/Q₀) (μ/μ₀) √(d₀/d)/a",
            source="from-memory",
            result="wall_loss",
        )
        w.step(
            "Δp_h",
            "loss of the housing's ports at the peak",
            self._ports.loss(peak),
            "pressure",
            formula="(Q/C_v)²",
            source="flow-coefficient",
            result="housing_loss",
        )
        w.step("Q_r", "flow at which the gauge is read", self.read_at, "flow", formula="Q_rated/2", source="common-practice")
        w.step("Δp_c", "pressure above clean at which it is changed", self.change_at, "pressure", source="from-memory")
        dirty = self.change_at * peak / self.read_at
        w.step("Δp_d", "pressure above clean at the peak when it is due", dirty, "pressure", formula="Δp_c Q/Q_r", result="dirt_loss")

    def _remark(self, water: Stream, out: Stream, life: float, remarks: list[Remark]) -> None:
        c, goal = self.spec.constants, self.settings.number("goal_days")
        if life < goal:
            remarks.append(
                Remark(
                    "capacity-short",
                    "caution",
                    "The cartridge fills up too soon",
                    "So much dirt reaches this cartridge that it has to be changed more often than planned: a coarser one ahead, a larger "
                    "one or a bed that washes itself lasts longer.",
                    "turbidity",
                    life,
                    goal,
                    "time",
                    source="from-memory",
                    status="from memory",
                )
            )
        iron = pick(water.row("iron_dissolved"))
        if self.is_fine and iron > c["ferrous"] and bool(water.is_known("iron")[0]):
            remarks.append(
                Remark(
                    "order",
                    "caution",
                    "Dissolved iron reaches a fine cartridge",
                    "Dissolved iron passes a cartridge, then turns to rust on it and blinds it: "
                    "take the iron out first, or use a coarser cartridge here.",
                    "iron_dissolved",
                    iron,
                    c["ferrous"],
                    "concentration",
                    cause=f"fine-before-iron:{self.id}",
                )
            )
        cloudy, clear = (pick(stream.get("turbidity"), reading=FAVOURABLE) for stream in (water, out))
        if bool(water.is_known("turbidity")[0]) and cloudy > 0.0 and clear > 0.99 * cloudy:
            remarks.append(
                Remark(
                    "no-effect",
                    "note",
                    "Nothing here for the cartridge to hold",
                    "What clouds this water is finer than the cartridge holds.",
                    "turbidity",
                    clear,
                    dimension="turbidity",
                    source="nsf-ansi-42",
                    status="from memory",
                )
            )

    # What it needs ----------------------------------------------------------------------------------------------------------------

    def wall(self, temperature: float) -> Resistance:
        """Clean resistance of its wall at a water temperature (degC)."""
        c = self.spec.constants
        finer = math.sqrt(c["known_rating"] / self.pore)
        return cartridge_resistance(c["known_loss"] * finer, c["known_flow"], 1.0, self.area_ratio, temperature)

    @property
    def _ports(self) -> Resistance:
        c = self.spec.constants
        return flow_coefficient(c["cv_wide" if self.diameter >= c["wide"] else "cv_slim"])

    def losses(self, cold: float) -> tuple[Element, Element]:
        clean = self.wall(cold) + self._ports
        return clean, clean + Resistance(self.change_at / self.read_at)

    def rating(self) -> Rating:
        given = super().rating()
        if given.is_device_rating:
            return given
        return Rating(self.rated_flow, self.rated_flow * self.spec.constants["peak_ratio"], "from-memory", "from memory")

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        held = _share_taken(water.particles[1:].sum(axis=0), (water.particles * (1.0 - self._held))[1:].sum(axis=0))
        life = self._life(water, held, duty, Working(False))
        return (
            Chore("Change the cartridge", max(life / DAY, 1.0), "sediment cartridge", source="from-memory", status="from memory"),
            Chore("Change the O-ring of the housing", YEAR / DAY, "housing O-ring", source="from-memory", status="from memory"),
        )

    def ageing(self, water: Stream, duty: Duty) -> CartridgeAgeing:
        return CartridgeAgeing(self, water, duty)

    # How it is built --------------------------------------------------------------------------------------------------------------

    def figure(self) -> Figure:
        cap = 4 * INCH
        return measured(
            Figure(
                "cartridge",
                self.diameter + 2.5 * INCH,
                self.length + cap,
                base=24 * INCH,
                texture="pleat",
                fill=self.length,
                clear_below=3 * INCH,
            ),
            self.settings,
        )

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("rating", self.pore, "particle_size"), ("length", self.length, "length"), ("diameter", self.diameter, "length"))


#: The dirt at the change pressure, with x = Δp_c/Δp_w and x_E = 20 psi/Δp_w at the flow the gauge is read at.
_LAW_FORMULA: dict[BlockingLaw, str] = {
    "standard": "m_C (1 − 1/√(1 + x))/(1 − 1/√(1 + x_E))",
    "cake": "m_C x/x_E",
}


def _share_taken(before: Array, after: Array) -> Array:
    """1 − after/before, none where there was nothing."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(before > 0.0, 1.0 - after / before, 0.0 * before)
