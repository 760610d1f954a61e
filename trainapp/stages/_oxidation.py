"""What oxidants do to iron, manganese and sulfide, by electrons: shared by the feed, the contact tank and the open tank.

Rows are mg/L: chlorine as Cl2, permanganate as KMnO4, peroxide as H2O2. Permanganate that has reacted stays in the water as
particulate manganese (MnO2); its purple absorbs at 254 nm until then.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from trainapp import data
from trainapp.stages._readings import both_ends as both_ends
from trainapp.stages.working import Array, Law
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import FAVOURABLE, Stream, zero_where_unknown

#: Absorbance at 254 nm per mg/L KMnO4, 1/cm: 657 L/(mol cm) (UVDGM 2006, chapter 2, from memory) over 158.034 g/mol.
PERMANGANATE_ABSORBANCE = 657.0 / 158034.0
#: mg manganese in a mg of KMnO4.
MANGANESE_IN_PERMANGANATE = 54.938 / 158.034
CHLORIDE_IN_CHLORINE = 35.453 / 70.906

_EQUIVALENT = BY_KEY["alkalinity"].equivalent
_FROM_TO: dict[str, tuple[str, str]] = {
    "iron": ("iron_dissolved", "iron_particulate"),
    "manganese": ("manganese_dissolved", "manganese_particulate"),
    "hydrogen_sulfide": ("hydrogen_sulfide", ""),
}

#: What leaves a stage in which oxidants act; c is what is fed, "taken" what an oxidant of any kind turned.
OXIDISED: Mapping[str, Law] = {
    "iron_dissolved": ("Fe_d_in − taken", "stoichiometry"),
    "manganese": ("Mn_in + 0.348 · KMnO₄ spent, as MnO₂", "stoichiometry"),
    "manganese_dissolved": ("Mn_d_in − taken", "stoichiometry"),
    "hydrogen_sulfide": ("H₂S_in − taken", "stoichiometry"),
    "sulfate": ("SO₄_in + 2.82 · H₂S that goes on to sulfate", "stoichiometry"),
    "ammonia": ("NH₃-N_in · (1 − Cl₂ spent on it/(k_N · NH₃-N_in))", "from-memory"),
    "dissolved_oxygen": ("DO − 0.143 · Fe − 0.291 · Mn − 0.469 · H₂S that oxygen took", "stoichiometry"),
    "free_chlorine": ("Cl₂_in + c − spent", "stoichiometry"),
    "total_chlorine": ("Cl₂,t_in + c − spent", "stoichiometry"),
    "chloride": ("Cl_in + 0.5 · c + 0.5 · Cl₂ spent", "stoichiometry"),
    "sodium": ("Na_in + 0.6485 · c", "stoichiometry"),
    "potassium": ("K_in + 0.2474 · c", "stoichiometry"),
    "alkalinity": ("Alk_in + ΔAlk", "stoichiometry"),
    "carbon_dioxide": ("CO₂_in · Alk_out/Alk_in · 10^(pH_in − pH_out)", "plummer-busenberg-1982"),
    "uvt": ("100 · 10^(−(A + 0.00416 · KMnO₄ left))", "bolton-2001"),
    "uvt_filtered": ("100 · 10^(−(A − A_p + 0.00416 · KMnO₄ left))", "bolton-2001"),
}


@dataclass(frozen=True, slots=True)
class Oxidant:
    """One oxidant.

    Attributes:
        name, label: its key and its word in a sentence.
        row: row of the stream that holds it.
        molar: g/mol.
        electrons: taken by a mole.
        acid: equivalents of acid freed per electron beyond what oxygen frees.
    """

    name: str
    label: str
    row: str
    molar: float
    electrons: float
    acid: float


@cache
def _tables() -> Mapping[str, Any]:
    return data.load_toml("stages/_oxidation.toml")


@cache
def constants() -> Mapping[str, float]:
    """The plain numbers of resources/stages/_oxidation.toml."""
    return {key: float(row["value"]) for key, row in _tables()["constants"].items()}


@cache
def oxidant(name: str) -> Oxidant:
    """An oxidant by its key; KeyError where there is none."""
    row = _tables()["oxidants"][name]
    return Oxidant(name, row["label"], row["row"], float(row["molar"]), float(row["electrons"]), float(row["acid"]))


@cache
def demand(by: str, of: str) -> float:
    """mg of oxidant `by` per mg of reductant `of`, by electrons."""
    taker, giver = oxidant(by), _tables()["reductants"][of]
    return float(giver["electrons"] / BY_KEY[of].molar * taker.molar / taker.electrons)


@cache
def acid(by: str, of: str) -> float:
    """Alkalinity used, mg CaCO3 per mg of reductant `of` that oxidant `by` oxidises."""
    giver = _tables()["reductants"][of]
    return float((giver["acid"] + giver["electrons"] * oxidant(by).acid) / BY_KEY[of].molar * _EQUIVALENT)


@cache
def sulfate_demand(by: str) -> float:
    """mg of oxidant per mg of hydrogen sulfide whose sulfur goes on to sulfate."""
    taker = oxidant(by)
    return constants()["sulfur_electrons"] / BY_KEY["hydrogen_sulfide"].molar * taker.molar / taker.electrons


def held(water: Stream, by: str) -> Array:
    """mg/L of an oxidant in the water; permanganate and peroxide, which no water has of itself, are nothing where no stage dosed them."""
    row = water.row(oxidant(by).row)
    return zero_where_unknown(row) if by in ("permanganate", "peroxide") else row


def react(water: Stream, by: str, of: str, share: Array | float = 1.0) -> Array:
    """Let an oxidant of the water oxidise a reductant, as far as it reaches; changes `water`, gives back mg/L oxidised.

    Args:
        share: of the reductant, 0 to 1, that time and pH allow.
    """
    dissolved, particulate = _FROM_TO[of]
    ratio = demand(by, of)
    done: Array = np.minimum(water.row(dissolved) * share, held(water, by) / ratio)
    water.add(dissolved, -done)
    if particulate:
        water.add(particulate, done)
    spend(water, by, done * ratio)
    _use_alkalinity(water, done * acid(by, of))
    return done


def sulfur_to_sulfate(water: Stream, by: str, sulfide: Array) -> Array:
    """In the adverse reading, sulfur from this much sulfide (mg/L H2S) goes on to sulfate while oxidant is left; mg/L H2S so oxidised."""
    ratio = sulfate_demand(by)
    done: Array = np.minimum(sulfide, held(water, by) / ratio)
    done = done.copy()
    done[FAVOURABLE] = 0.0
    spend(water, by, done * ratio)
    table, taker = constants(), oxidant(by)
    freed = (table["sulfur_acid"] + table["sulfur_electrons"] * taker.acid) / BY_KEY["hydrogen_sulfide"].molar * _EQUIVALENT
    water.add("sulfate", done * (BY_KEY["sulfate"].molar / BY_KEY["hydrogen_sulfide"].molar))
    _use_alkalinity(water, done * freed)
    return done


def _use_alkalinity(water: Stream, amount: Array) -> None:
    """Take alkalinity, mg/L CaCO3, as far as there is any; a negative amount gives it back."""
    water.set("alkalinity", np.maximum(water.row("alkalinity") - amount, 0.0))


def spend(water: Stream, by: str, amount: Array) -> None:
    """Use up an oxidant, mg/L, and leave what it turns into."""
    row = oxidant(by).row
    water.set(row, np.maximum(held(water, by) - amount, 0.0))
    if by == "chlorine":
        water.set("total_chlorine", np.maximum(water.row("total_chlorine") - amount, 0.0))
        water.add("chloride", amount * CHLORIDE_IN_CHLORINE)
    elif by == "permanganate":
        water.add("manganese_particulate", amount * MANGANESE_IN_PERMANGANATE)
        water.set("absorbance", np.maximum(water.row("absorbance") - amount * PERMANGANATE_ABSORBANCE, 0.0))


def add_oxidant(water: Stream, by: str, dose: Array) -> None:
    """Dose an oxidant, mg/L, with what comes along: sodium and chloride of bleach, potassium and the purple of permanganate.

    Bleach is taken as sodium hypochlorite with the salt it was made with: Cl2 + 2 NaOH.
    """
    taker = oxidant(by)
    water.set(taker.row, held(water, by) + dose)
    if by == "chlorine":
        water.add("total_chlorine", dose)
        water.add("sodium", dose * (2 * BY_KEY["sodium"].molar / taker.molar))
        water.add("chloride", dose * CHLORIDE_IN_CHLORINE)
        water.add("alkalinity", dose * (_EQUIVALENT / taker.molar))
    elif by == "permanganate":
        water.add("potassium", dose * (BY_KEY["potassium"].molar / taker.molar))
        water.add("absorbance", dose * PERMANGANATE_ABSORBANCE)


def break_ammonia(water: Stream) -> Array:
    """Let free chlorine meet ammonia; gives back the free chlorine left, mg/L.

    Up to one mole a mole (5.06 mg per mg N) it all becomes chloramine; from there to the breakpoint the chloramine is destroyed again, and
    only what goes beyond stays free. The breakpoint lies at its least in the favourable reading, at its most in the adverse.
    """
    table = constants()
    nitrogen, free = water.row("ammonia"), water.row("free_chlorine")
    breakpoint_dose = nitrogen * both_ends(table["ammonia_least"], table["ammonia_most"])
    even = nitrogen * (oxidant("chlorine").molar / BY_KEY["ammonia"].molar)
    left = np.maximum(free - breakpoint_dose, 0.0)
    falling = even * np.clip((breakpoint_dose - free) / np.maximum(breakpoint_dose - even, 1e-12), 0.0, 1.0)
    combined = np.minimum(free, falling)
    destroyed = free - left - combined
    water.set("free_chlorine", left)
    water.set("total_chlorine", np.maximum(water.row("total_chlorine") - destroyed, 0.0))
    water.add("chloride", destroyed * CHLORIDE_IN_CHLORINE)
    # nitrogen in chloramine still counts as ammonia; what the breakpoint destroys leaves as gas
    gone = np.minimum(np.divide(destroyed, breakpoint_dose, out=np.zeros_like(destroyed), where=breakpoint_dose > 0.0), 1.0)
    # 2 NH4+ + 3 HOCl gives N2, 3 Cl- and 5 H+: what becomes chloride and what ammonium is lost both cost alkalinity
    ammonium = gone * water.row("ammonia") / BY_KEY["ammonia"].molar
    water.add("alkalinity", -_EQUIVALENT * (destroyed / oxidant("chlorine").molar + ammonium))
    water.scale(("ammonia",), 1.0 - gone)
    return left


def spend_on_organics(water: Stream, share: Array) -> Array:
    """Let free chlorine meet organic carbon for this share of its first hour; gives back the free chlorine left, mg/L."""
    table = constants()
    wanted = water.row("toc") * both_ends(table["organics_least"], table["organics_most"]) * share
    spent = np.minimum(wanted, water.row("free_chlorine"))
    spend(water, "chlorine", spent)
    # HOCl becomes chloride and an acid
    water.add("alkalinity", -_EQUIVALENT * spent / oxidant("chlorine").molar)
    return water.row("free_chlorine")
