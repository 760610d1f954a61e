"""A contact tank: time for what an oxidant began. Dissolved metals leave as particles; nothing is filtered, no disinfection is credited.

The favourable reading gives all water the mean time, volume/flow, in clean-water chemistry; the adverse reading gives it only the time that
nine tenths of the water stays (t10, the baffling factor times the mean), and halves the speed at which oxygen takes iron.
"""

from __future__ import annotations

import math

import numpy as np

from trainapp.hydraulics.devices import flow_coefficient
from trainapp.hydraulics.elements import Element
from trainapp.stages import _oxidation as ox
from trainapp.stages._figures import height_line, measured
from trainapp.stages._oxygenation import iron_oxygenated, ph_after, rate_note, rate_per_oxygen, settle_ph
from trainapp.stages._readings import both_ends
from trainapp.stages.base import Chore, Duty, Figure, Remark, Settings, Stage
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Array, Working, pick
from trainapp.water.stream import FAVOURABLE, Stream

_MINUTE = 60.0


@register
class ContactTank(Stage):
    """Retention behind a feed or an aerator, with Fe(II) oxygenation by its published rate."""

    spec = load_spec("contact_tank")
    laws = ox.OXIDISED

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        self.volume = settings.number("volume")
        self.baffling = settings.number("baffling")
        slow = 1.0 / self.spec.constants["slowdown"]
        self._time_shares = both_ends(1.0, self.baffling)
        self._speed = both_ends(1.0, slow)

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        time = self._time(duty, w)
        out = water.copy()
        seen = self.spec.constants["seen"]
        dosed = {by: bool(np.any(ox.held(water, by) > seen)) for by in ("chlorine", "permanganate", "peroxide")}
        if dosed["permanganate"]:
            self._permanganate(out, time, w)
        if dosed["chlorine"]:
            self._chlorine(out, time, w)
        if dosed["peroxide"]:
            ox.react(out, "peroxide", "hydrogen_sulfide", np.minimum(time / (self.spec.constants["peroxide_minutes"] * _MINUTE), 1.0))
            ox.react(out, "peroxide", "iron")
        rate = self._oxygen(out, time, duty, w)
        self._results(water, out, duty, w)
        self._remark(water, out, duty, dosed, rate, remarks)
        return out

    def _time(self, duty: Duty, w: Working) -> Array:
        """Seconds of contact, shape (2, 3, 1 or waters)."""
        volume = w.step("V", "water it holds", self.volume, "volume")
        mean = w.step("t", "mean time in the tank", volume / duty.flows, "duration", formula="V/Q", result="mean_time")
        w.step("β", "baffling factor", self.baffling, "fraction", source="from-memory")
        held = mean * self._time_shares
        return w.step("t₁₀", "time that nine tenths of the water stays", held, "duration", formula="β · t", result="t10")

    # Reactions --------------------------------------------------------------------------------------------------------------

    def _permanganate(self, out: Stream, time: Array, w: Working) -> None:
        table = self.spec.constants
        ox.react(out, "permanganate", "hydrogen_sulfide")
        ox.react(out, "permanganate", "iron")
        soft = (out.row("ph") - table["manganese_ph"]) / table["manganese_ph_band"] + 1.0
        share = np.clip(soft, 0.0, 1.0) * np.minimum(time / (table["manganese_minutes"] * _MINUTE), 1.0)
        formula = f"f(pH) · min(t/{table['manganese_minutes']:g} min, 1)"
        w.step("x_Mn", "share of manganese that pH and time allow", share, "fraction", formula=formula)
        done = ox.react(out, "permanganate", "manganese", share)
        formula = f"min(x_Mn · Mn, left/{ox.demand('permanganate', 'manganese'):.3g})" if w.keep else ""
        w.step("Mn", "manganese turned to particles by permanganate", done, "concentration", formula=formula)

    def _chlorine(self, out: Stream, time: Array, w: Working) -> None:
        table = self.spec.constants
        ox.react(out, "chlorine", "hydrogen_sulfide")
        ox.react(out, "chlorine", "iron")
        left = ox.break_ammonia(out)
        w.step("Cl_N", "free chlorine left by ammonia", left, "concentration", formula="max(Cl₂ − k_N · NH₃-N, 0)", source="from-memory")
        share = np.minimum(time / (table["organics_minutes"] * _MINUTE), 1.0)
        left = ox.spend_on_organics(out, share)
        formula = f"max(Cl₂ − k_C · TOC · min(t/{table['organics_minutes']:g} min, 1), 0)"
        w.step("Cl_C", "free chlorine left by organic matter", left, "concentration", formula=formula)
        known = out.is_known("free_chlorine") & out.is_known("ammonia") & out.is_known("toc")
        out.set("free_chlorine", left, known=known)
        ripe = out.row("ph") >= table["chlorine_manganese_ph"]
        allowed = np.where(ripe, np.minimum(time / (table["chlorine_manganese_minutes"] * _MINUTE), 1.0), 0.0)
        ox.react(out, "chlorine", "manganese", allowed)

    def _oxygen(self, out: Stream, time: Array, duty: Duty, w: Working) -> Array:
        """Iron that dissolved oxygen takes; gives back the rate, 1/s."""
        iron, oxygen, ph = out.row("iron_dissolved"), out.row("dissolved_oxygen"), out.row("ph")
        # the adverse reading oxidises at the pH that all the iron's acid would leave
        used = -ox.acid("oxygen", "iron") * np.minimum(iron, oxygen / ox.demand("oxygen", "iron"))
        soured = ph_after(ph, out.row("alkalinity"), used, duty.design_temperature)
        soured[FAVOURABLE] = ph[FAVOURABLE]
        at = w.step("pH_r", "pH at which iron oxidises", soured, "ph", formula="pH with the iron's own acid in")
        per_oxygen = rate_per_oxygen(at, duty.design_temperature) * self._speed
        slowdown = self.spec.constants["slowdown"]
        rate = w.step(
            "k", "rate at which oxygen takes dissolved iron", per_oxygen * oxygen, unit="1/s", source="usgs-tm6-a43",
            formula="(2.91·10⁻⁹ + 1.33·10¹² · a_OH² · 0.21 · O₂/O₂,sat)" + f"/{slowdown:g}",
            note="; ".join(filter(None, (f"1/{slowdown:g} of it in the adverse reading: silica holds it", rate_note(at)))),
        )  # fmt: skip
        done = iron_oxygenated(iron, oxygen, per_oxygen, time)
        w.step("Fe_O₂", "iron turned to floc by oxygen", done, "concentration", formula="second order in Fe and O₂ over the time")
        share = np.divide(done, iron, out=np.zeros_like(done), where=iron > 0.0)
        ox.react(out, "oxygen", "iron", share)
        return rate

    def _results(self, water: Stream, out: Stream, duty: Duty, w: Working) -> None:
        settle_ph(water, out, duty.design_temperature, w)

    # What it has to say -----------------------------------------------------------------------------------------------------

    def _remark(self, water: Stream, out: Stream, duty: Duty, dosed: dict[str, bool], rate: Array, remarks: list[Remark]) -> None:
        mean = self.volume / pick(duty.flows) / _MINUTE
        before, after = pick(water.row("iron_dissolved")), pick(out.row("iron_dissolved"))
        c = self.spec.constants
        wanted = c["contact_minutes"]
        half = math.log(2.0) / max(pick(rate), 1e-12) / _MINUTE
        if any(dosed.values()):
            if mean < wanted:
                remarks.append(Remark(
                    "contact-short", "caution", "Short contact",
                    f"At the peak the water stays {mean:.0f} minutes in this tank; an oxidant usually gets {wanted:.0f} ahead of a filter.",
                    value=mean * _MINUTE, limit=wanted * _MINUTE, dimension="duration", source="from-memory", status="from memory",
                ))  # fmt: skip
        elif before > c["seen"] and after > c["left_alone"] * before:
            remarks.append(Remark(
                "no-effect", "caution", "The tank does nothing to this iron",
                f"No oxidant stands ahead of it, and with the oxygen and pH of this water half of the iron takes {_spell(half)} to turn; "
                f"it stays {mean:.0f} minutes.",
                analyte="iron", value=after, dimension="concentration", source="usgs-tm6-a43", status="published",
            ))  # fmt: skip
        elif before > c["seen"] and after > c["too_much_left"] * before:
            remarks.append(Remark(
                "contact-short", "caution", "Too little time for oxygen",
                f"Half of the iron takes {_spell(half)} to turn at this pH and oxygen, and at the peak the water stays {mean:.0f} minutes.",
                analyte="iron", value=mean * _MINUTE, limit=c["aeration_minutes"] * _MINUTE, dimension="duration",
                source="il-604.1010", status="published",
            ))  # fmt: skip
        elif before <= c["seen"]:
            remarks.append(Remark(
                "no-effect", "caution", "Nothing here to wait for",
                "No oxidant stands ahead of this tank and the water holds no dissolved iron: it only takes room.",
                source="logic", status="computed",
            ))  # fmt: skip
        if dosed["chlorine"] and duty.unsafe:
            remarks.append(Remark(
                "no-credit", "note", "No disinfection credit for this chlorine",
                "Chlorine is dosed here for iron, manganese or sulfide; no kill of germs is counted for its contact time.", source="logic",
                status="computed",
            ))  # fmt: skip

    # How it is built --------------------------------------------------------------------------------------------------------

    def losses(self, cold: float) -> tuple[Element, Element]:
        ports = flow_coefficient(self.spec.constants["cv"])
        return ports, ports

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        return (Chore("Open the contact tank's drain until it runs clear", self.spec.constants["flush_days"]),)

    def figure(self) -> Figure:
        slender = self.spec.constants["slenderness"]
        width = (4.0 * self.volume / (math.pi * slender)) ** (1.0 / 3.0)
        return measured(Figure("tank", width, slender * width, texture="water", fill=slender * width), self.settings)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("volume", self.volume, "volume"), *height_line(self.settings))


def _spell(minutes: float) -> str:
    """A time as people say it."""
    if minutes < 90.0:
        return f"{max(minutes, 1.0):.0f} minutes"
    hours = minutes / 60.0
    return f"{hours:.0f} hours" if hours < 48.0 else f"{hours / 24.0:.0f} days" if hours < 24000.0 else "years"
