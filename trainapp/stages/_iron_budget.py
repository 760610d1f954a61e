"""The oxidant budget of an iron filter: what the water asks for, what is there, and what the medium's pH lets happen.

Sulfide goes first, then iron, then ammonia (with chlorine), then manganese; chlorine before permanganate before oxygen. What a medium
cannot take at this pH is held back before the oxidants act, so that two of them together take no more than the medium allows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from trainapp.stages import _oxidation as ox
from trainapp.stages._oxygenation import oxygen_saturation, saturation_note
from trainapp.stages._readings import both_ends
from trainapp.stages.base import Duty
from trainapp.stages.working import Array, Working
from trainapp.water.stream import Stream

#: Oxidant that a word of the setting stands for in the budget.
COUNTED_AS: Mapping[str, str] = {"air": "oxygen", "chlorine": "chlorine", "permanganate": "permanganate", "none": "oxygen"}
_SYMBOL = {"oxygen": "O₂", "chlorine": "Cl₂", "permanganate": "KMnO₄"}
_NONE_LEFT = 1e-9


@dataclass(frozen=True, slots=True)
class Reach:
    """Shares, 0 to 1, that the pH allows the medium to oxidise: iron, manganese by a chemical, manganese by oxygen; (2, flows, waters)."""

    iron: Array
    manganese: Array
    manganese_by_air: Array


def reach_of(water: Stream, medium: Mapping[str, Any], c: Mapping[str, float], w: Working) -> Reach:
    """What the pH allows: all of it from the medium's limit up, nothing from a band below it."""
    ph = w.step("pH", "pH entering", water.row("ph"), "ph")

    def allowed(least: float) -> Array:
        return np.clip((ph - least) / c["ph_band"] + 1.0, 0.0, 1.0)

    least_iron, least_manganese = float(medium["ph_iron"]), float(medium["ph_manganese"])
    by_air = max(least_manganese, c["air_manganese_ph"])
    formula = "(pH − {:g})/{:g} + 1, between 0 and 1"
    return Reach(
        w.step(
            "f_Fe",
            "share of the iron that this pH allows",
            allowed(least_iron),
            "fraction",
            formula=formula.format(least_iron, c["ph_band"]),
            source="from-memory",
            result="ph_share_iron",
        ),
        w.step(
            "f_Mn",
            "share of the manganese that it allows with chlorine or permanganate",
            allowed(least_manganese),
            "fraction",
            formula=formula.format(least_manganese, c["ph_band"]),
            source="from-memory",
            result="ph_share_manganese",
        ),
        w.step(
            "f_Mn,O",
            "share of the manganese that it allows with oxygen alone",
            allowed(by_air),
            "fraction",
            formula=formula.format(by_air, c["ph_band"]),
            source="from-memory",
            result="ph_share_manganese_by_air",
        ),
    )


def demand_of(water: Stream, by: str, reach: Reach, w: Working) -> Array:
    """mg/L of one oxidant that all of the water's iron, manganese and sulfide ask for; chlorine in the adverse reading with sulfate."""
    k_iron = w.step("k_Fe", f"{_SYMBOL[by]} for a mg of iron", ox.demand(by, "iron"), unit="mg/mg", source="stoichiometry")
    k_manganese = w.step("k_Mn", f"{_SYMBOL[by]} for a mg of manganese", ox.demand(by, "manganese"), unit="mg/mg", source="stoichiometry")
    k_sulfide = w.step(
        "k_S",
        f"{_SYMBOL[by]} for a mg of hydrogen sulfide, to sulfur",
        ox.demand(by, "hydrogen_sulfide"),
        unit="mg/mg",
        source="stoichiometry",
    )
    iron = w.step("Fe", "dissolved iron", water.row("iron_dissolved"), "concentration")
    manganese = w.step("Mn", "dissolved manganese", water.row("manganese_dissolved"), "concentration")
    sulfide = w.step("H₂S", "hydrogen sulfide", water.row("hydrogen_sulfide"), "concentration")
    asked = manganese * reach.manganese_by_air if by == "oxygen" else manganese
    total = k_iron * iron + k_manganese * asked + k_sulfide * sulfide
    formula = "k_Fe · Fe + k_Mn · Mn + k_S · H₂S" if by != "oxygen" else "k_Fe · Fe + k_Mn · f_Mn,O · Mn + k_S · H₂S"
    if by == "chlorine":
        table = ox.constants()
        k_ammonia = w.step(
            "k_N",
            "Cl₂ for a mg of ammonia nitrogen, to the breakpoint",
            both_ends(table["ammonia_least"], table["ammonia_most"]),
            unit="mg/mg",
            source="from-memory",
        )
        k_sulfate = w.step(
            "k_SO₄",
            "Cl₂ more for a mg of hydrogen sulfide that goes on to sulfate",
            both_ends(0.0, ox.sulfate_demand(by)),
            unit="mg/mg",
            source="env-handbook-8.3",
            note="in the adverse reading",
        )
        total = total + k_ammonia * water.row("ammonia") + k_sulfate * sulfide
        formula += " + k_N · NH₃-N + k_SO₄ · H₂S"
    return w.step(
        "D", f"{_SYMBOL[by]} that the water asks for", total, "concentration", formula=formula, source="wtpd-10.7", result="demand"
    )


def saturate(out: Stream, duty: Duty, w: Working) -> None:
    """Let the air in the head of the tank fill the water with oxygen to its saturation in the warmest water, which holds least."""
    full = w.step(
        "DO_s", "oxygen that the water takes up at most, warmest", oxygen_saturation(duty.warm), "concentration", source="benson-krause",
        note=saturation_note(duty.warm),
    )  # fmt: skip
    raised = np.fmax(out.row("dissolved_oxygen"), full)
    out.set(
        "dissolved_oxygen",
        w.step("DO", "oxygen on the medium", raised, "concentration", formula="max(DO, DO_s)", result="oxygen"),
        known=True,
    )


def feed(out: Stream, by: str, dose: Array, w: Working) -> None:
    """Dose an oxidant ahead of the bed."""
    ox.add_oxidant(out, by, w.step("c", f"{_SYMBOL[by]} fed", dose, "concentration", result="dose"))


def oxidise(out: Stream, reach: Reach, by_air_least: float, w: Working) -> Array:
    """Let every oxidant of the water act on the medium; changes `out`.

    Args:
        by_air_least: share of sulfide that oxygen takes in the adverse reading.

    Returns:
        mg/L of iron that the pH allows and for which the oxidants were not enough.
    """
    held_iron = out.row("iron_dissolved") * (1.0 - reach.iron)
    held_manganese = out.row("manganese_dissolved") * (1.0 - reach.manganese)
    # what oxygen alone must leave of the manganese, whatever the others have done to it by then
    beyond_air = out.row("manganese_dissolved") * (1.0 - np.minimum(reach.manganese_by_air, reach.manganese)) - held_manganese
    out.add("iron_dissolved", -held_iron)
    out.add("manganese_dissolved", -held_manganese)
    if np.any(out.row("free_chlorine") > _NONE_LEFT):
        sulfide = ox.react(out, "chlorine", "hydrogen_sulfide")
        ox.sulfur_to_sulfate(out, "chlorine", sulfide)
        ox.react(out, "chlorine", "iron")
        if np.any(out.row("ammonia") > _NONE_LEFT):
            ox.break_ammonia(out)
        ox.react(out, "chlorine", "manganese")
    for by in ("permanganate", "peroxide"):
        if np.any(ox.held(out, by) > _NONE_LEFT):
            ox.react(out, by, "hydrogen_sulfide")
            ox.react(out, by, "iron")
            if by == "permanganate":
                ox.react(out, by, "manganese")
    ox.react(out, "oxygen", "hydrogen_sulfide", both_ends(1.0, by_air_least))
    ox.react(out, "oxygen", "iron")
    missed = out.row("iron_dissolved").copy()
    out_of_reach = np.minimum(out.row("manganese_dissolved"), beyond_air)
    out.add("manganese_dissolved", -out_of_reach)
    ox.react(out, "oxygen", "manganese")
    out.add("manganese_dissolved", out_of_reach + held_manganese)
    out.add("iron_dissolved", held_iron)
    w.step("Fe_s", "iron for which the oxidants were not enough", missed, "concentration", result="iron_short_of_oxidant")
    return missed


def from_store(out: Stream, reach: Reach, share: Array, w: Working) -> None:
    """Let the medium's own store of a batch regeneration oxidise a share of sulfide, iron and manganese; changes `out`."""
    for of, row, allowed in (
        ("hydrogen_sulfide", "hydrogen_sulfide", 1.0),
        ("iron", "iron_dissolved", reach.iron),
        ("manganese", "manganese_dissolved", reach.manganese),
    ):
        done = out.row(row) * (share * allowed)
        out.add(row, -done)
        if of != "hydrogen_sulfide":
            out.add(f"{of}_particulate", done)
        out.add("alkalinity", done * -ox.acid("permanganate", of))
