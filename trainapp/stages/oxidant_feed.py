"""A chemical feed: an oxidant dosed into the line, and what it does in the seconds that follow.

What is fast happens here, by electrons: sulfide to sulfur, then dissolved iron to floc; in the adverse reading chlorine carries the
sulfur on to sulfate before anything slower gets its share. Manganese, ammonia and organic matter wait for a contact tank or a medium.

A feed that the well pump switches on runs at one rate. Its point stands between pump and pressure tank, so all water passes it at the
pump's own flow: dose x set flow / pump flow. That flow swings between cut-in and cut-out; the pressure tank blends it, and what leaves is
taken to lie anywhere between the two ends. Where the house draws more than the pump gave when the dose was set, the dose thins out.
"""

from __future__ import annotations

import numpy as np

from trainapp.hydraulics.devices import flow_coefficient
from trainapp.hydraulics.elements import Element
from trainapp.stages import _oxidation as ox
from trainapp.stages._ageing_feed import FeedAgeing
from trainapp.stages._figures import measured
from trainapp.stages._oxygenation import settle_ph
from trainapp.stages._readings import both_ends
from trainapp.stages.base import Chore, Duty, Figure, Remark, Settings, Stage
from trainapp.stages.programme import Entry, fed
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import PEAK, Array, Working, pick
from trainapp.water.stream import ADVERSE, FAVOURABLE, Stream

_WORDS = {"chlorine": "chlorine", "permanganate": "potassium permanganate", "peroxide": "hydrogen peroxide"}
_HANDLING = {
    "chlorine": "wear goggles and gloves, never let it meet acid",
    "permanganate": "wear goggles, gloves and a dust mask; it sets fire to organic matter",
    "peroxide": "wear goggles and gloves; it burns skin",
}
#: Oxidants that take manganese in a tank or on a medium; peroxide is too slow.
_TAKES_MANGANESE = frozenset({"chlorine", "permanganate"})


@register
class OxidantFeed(Stage):
    """Chlorine, permanganate or peroxide dosed by the well pump or by a meter."""

    spec = load_spec("oxidant_feed")
    laws = {key: (formula.replace("· c", "· c_low").replace("+ c ", "+ c_low "), source) for key, (formula, source) in ox.OXIDISED.items()}

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        self.oxidant = settings.word("oxidant")
        self.dose = settings.number("dose")
        self.paced_by = settings.word("paced_by")
        self._symbol = {"chlorine": "Cl₂", "permanganate": "KMnO₄", "peroxide": "H₂O₂"}[self.oxidant]

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        wanted, most = self._demand(water, w)
        dose = self._dosed(duty, w)
        out = water.copy()
        ox.add_oxidant(out, self.oxidant, dose)
        sulfide = ox.react(out, self.oxidant, "hydrogen_sulfide")
        iron = ox.react(out, self.oxidant, "iron")
        w.step("S", "hydrogen sulfide oxidised at once", sulfide, "concentration", formula="min(H₂S, c/k_S)", result="sulfide_oxidised")
        w.step("Fe", "iron turned to floc at once", iron, "concentration", formula="min(Fe, (c − k_S · S)/k_Fe)", result="iron_oxidised")
        if self.oxidant == "chlorine":
            ox.sulfur_to_sulfate(out, "chlorine", sulfide)
        self._mark(water, out, duty)
        settle_ph(water, out, duty.design_temperature, w)
        left = ox.held(out, self.oxidant)
        w.step("c_left", f"{self._symbol} left when it leaves", left, "concentration", formula="c_in + c − what reacted", result="residual")
        w.step("m", f"{_WORDS[self.oxidant]} a day", self._daily_use(duty), "mass", formula="dose · V_day", result="daily_use")
        self._remark(water, duty, (wanted, most), dose, remarks)
        return out

    def _mark(self, water: Stream, out: Stream, duty: Duty) -> None:
        """What is left is known where what it met was; a supply without a residual brings none."""
        row = ox.oxidant(self.oxidant).row
        met = water.is_known("iron") & water.is_known("hydrogen_sulfide")
        out.set(row, out.row(row), known=met & (water.is_known(row) | (not duty.chlorinated)))

    def _demand(self, water: Stream, w: Working) -> tuple[Array, Array]:
        """mg/L that the water asks for: at the least, and with all that chlorine may do beyond it (in the adverse reading)."""
        by, table = self.oxidant, ox.constants()
        sulfide, ammonia = water.row("hydrogen_sulfide"), water.row("ammonia")
        per_iron = w.step("k_Fe", "oxidant per mg of iron", ox.demand(by, "iron"), unit="mg/mg", source="stoichiometry")
        to_sulfur = ox.demand(by, "hydrogen_sulfide")
        per_sulfide = w.step("k_S", "oxidant per mg of H₂S, to sulfur", to_sulfur, unit="mg/mg", source="stoichiometry")
        total, formula = per_iron * water.row("iron_dissolved") + per_sulfide * sulfide, "k_Fe · Fe + k_S · H₂S"
        if by in _TAKES_MANGANESE:
            per_manganese = w.step("k_Mn", "oxidant per mg of manganese", ox.demand(by, "manganese"), unit="mg/mg", source="stoichiometry")
            total, formula = total + per_manganese * water.row("manganese_dissolved"), formula + " + k_Mn · Mn"
        most = total
        if by == "chlorine":
            least_n, most_n = table["ammonia_least"], table["ammonia_most"]
            per_ammonia = w.step("k_N", "chlorine per mg of NH₃-N, to the breakpoint", least_n, unit="mg/mg", source="from-memory")
            total, formula = total + per_ammonia * ammonia, formula + " + k_N · NH₃-N"
            extra = both_ends(0.0, ox.sulfate_demand(by)) * sulfide + both_ends(0.0, most_n - least_n) * ammonia
            most = total + extra
        w.step("D", f"{self._symbol} that the water asks for", total, "concentration", formula=formula, result="demand")
        if by == "chlorine":
            beyond = f"D + {ox.sulfate_demand(by):.3g} · H₂S + {most_n - least_n:.3g} · NH₃-N" if w.keep else ""
            w.step("D_most", "the same with sulfide carried to sulfate", most, "concentration", formula=beyond)
        return total, most

    def _dosed(self, duty: Duty, w: Working) -> Array:
        """mg/L dosed, shape (2, 3, 1 or waters): the most at the favourable reading, the least at the adverse."""
        dose = w.step("c", "dose as set", self.dose, "concentration")
        if self.paced_by == "flow":
            swing = w.step("s", "how far a metered feed strays", self.spec.constants["meter_swing"], "fraction", source="common-practice")
            band = np.broadcast_to(dose * both_ends(1.0 + swing, 1.0 - swing), (2, *duty.flows.shape))
            return w.step("c_low", "least dose", np.array(band), "concentration", formula="c · (1 − s)", result="dose")
        swing = w.step("s", "swing of the well pump's flow", self.spec.constants["pump_swing"], "fraction", source="common-practice")
        given = self.settings.get("pump_flow")
        note = "" if given else "no pump flow given: the peak flow stands in for it"
        setting = w.step("Q_set", "pump flow at which the dose was set", given or np.asarray(duty.flows[PEAK]), "flow", note=note)
        # the tank refills while the house draws: the pump never runs below its own flow
        slowest = np.maximum(duty.flows, setting * (1.0 - swing))
        fastest = np.maximum(duty.flows, setting * (1.0 + swing))
        band = np.stack([dose * setting / slowest, dose * setting / fastest])
        w.step("c_high", "greatest dose", band, "concentration", formula="c · Q_set/max(Q, Q_set (1 − s))", reading=FAVOURABLE)
        return w.step("c_low", "least dose", band, "concentration", formula="c · Q_set/max(Q, Q_set (1 + s))", result="dose")

    def _daily_use(self, duty: Duty) -> float:
        return self.dose * duty.daily / 1000.0

    # What it has to say -----------------------------------------------------------------------------------------------------

    def _remark(self, water: Stream, duty: Duty, wanted: tuple[Array, Array], dose: Array, remarks: list[Remark]) -> None:
        least, asked, most_asked = pick(dose), pick(wanted[0]), pick(wanted[1])
        word = _WORDS[self.oxidant]
        if self.paced_by == "pump":
            remarks.append(self._feed_point(duty))
        if self.oxidant != "chlorine" and most_asked < self.spec.constants["least_demand"]:
            remarks.append(Remark(
                "no-effect", "caution", f"Nothing here for {word} to oxidise",
                f"The water asks for {most_asked:.2f} mg/L of {word}: the feed does nothing for it.",
                value=most_asked, dimension="concentration", source="stoichiometry", status="computed",
            ))  # fmt: skip
        elif least < asked:
            remarks.append(Remark(
                "oxidant-short", "caution", f"Too little {word}",
                f"At the peak as little as {least:.1f} mg/L of {word} goes in, and the water asks for {asked:.1f} mg/L: "
                "some iron, manganese or sulfide stays dissolved.",
                value=least, limit=asked, dimension="concentration", source="stoichiometry", status="computed",
            ))  # fmt: skip
        elif least < most_asked:
            remarks.append(Remark(
                "oxidant-short", "note", "Chlorine may be used up by sulfide",
                f"As little as {least:.1f} mg/L goes in at the peak; where sulfide turns to sulfate it takes up to {most_asked:.1f}.",
                value=least, limit=most_asked, dimension="concentration", source="env-handbook-8.3", status="published",
            ))  # fmt: skip
        if self.oxidant == "permanganate":
            self._remark_pink(water, dose, wanted[0], remarks)
        if self.oxidant != "permanganate" and pick(water.row("hydrogen_sulfide")) >= self.spec.constants["sulfide_cloud"]:
            remarks.append(Remark(
                "sulfur-haze", "note", "Sulfur makes a milky haze",
                "Oxidised sulfide leaves fine sulfur that looks milky; a filter must stand behind the feed and its contact tank.",
                analyte="hydrogen_sulfide", value=pick(water.row("hydrogen_sulfide")), dimension="concentration",
            ))  # fmt: skip

    def _feed_point(self, duty: Duty) -> Remark:
        if duty.source == "mains":
            return Remark(
                "feed-pacing", "caution", "No well pump paces this feed",
                "On a main there is no pump to switch the feed on: it needs a flow meter to follow.", source="logic", status="computed",
            )  # fmt: skip
        return Remark(
            "feed-pacing", "note", "Feed point before the pressure tank",
            "A feed that runs with the well pump must enter between pump and pressure tank; behind the tank it doses in slugs.",
        )  # fmt: skip

    def _remark_pink(self, water: Stream, dose: Array, wanted: Array, remarks: list[Remark]) -> None:
        excess = dose + ox.held(water, "permanganate") - wanted
        most = max(pick(excess, at, reading) for at in ("trickle", "average", "peak") for reading in (FAVOURABLE, ADVERSE))
        seen = self.spec.constants["visible_permanganate"]
        if most > seen:
            remarks.append(Remark(
                "pink-water", "caution", "Permanganate overdosed: pink water",
                f"Up to {most:.2f} mg/L of permanganate finds nothing to react with; it colours the water pink and dims a UV lamp.",
                value=most, limit=seen, dimension="concentration", source="from-memory", status="from memory",
            ))  # fmt: skip

    def ageing(self, water: Stream, duty: Duty) -> FeedAgeing:
        return FeedAgeing(self, water, duty)

    # How it is built --------------------------------------------------------------------------------------------------------

    def losses(self, cold: float) -> tuple[Element, Element]:
        injector = flow_coefficient(self.spec.constants["cv"])
        return injector, injector

    def programme(self, water: Stream, duty: Duty) -> tuple[Entry, ...]:
        """Strength of the solution and what the pump has to give."""
        flow, when = float(duty.flows[PEAK].max()), "at the peak, in step with the flow"
        if self.paced_by == "pump":
            flow, when = self.settings.get("pump_flow") or flow, "while the well pump runs"
        return fed(self.settings, self.oxidant, self.dose, flow, when, duty.daily)

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        days = self.spec.constants["refill_days"]
        word = _WORDS[self.oxidant]
        what = f"Make up fresh {word} solution and check the dose: {_HANDLING[self.oxidant]}"
        return (Chore(what, days, word, self._daily_use(duty) * days, "mass"),)

    def figure(self) -> Figure:
        width, height = self.spec.constants["tank_width"], self.spec.constants["tank_height"]
        return measured(Figure("box", width, height, texture="water", fill=0.6 * height), self.settings)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("oxidant", self.oxidant, "choice"), ("dose", self.dose, "concentration"))
