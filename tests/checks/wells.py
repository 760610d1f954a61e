"""Plausible private wells, drawn from a seed: four grounds that water stands in, and what goes together in each.

No table of percentiles could be had, so medians and spreads are judgement (common practice, no source). They are held against shares of
wells that are published: Focazio et al. (2006, Ground Water Monitoring and Remediation 26(3):92, abstract) and USGS SIR 2008-5227 with
Circular 1332 (from memory): see :data:`SHARES`. Ions are drawn so that their charges balance, and sheets as laboratories sell them: about
a dozen and a half results, some a detection limit, the rest not asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

SEED = 20260504
Sheet = dict[str, str]


@dataclass(frozen=True, slots=True)
class Ground:
    """What water is like in one kind of ground.

    Attributes:
        share: of all wells.
        ph: mean and spread.
        alkalinity: median mg/L as CaCO3 and spread (natural logarithm).
        hard: hardness for each mg/L of alkalinity, and its spread.
        reducing: chance that the water is without oxygen and holds its iron dissolved.
        bog: chance of brown water.
    """

    share: float
    ph: tuple[float, float]
    alkalinity: tuple[float, float]
    hard: tuple[float, float]
    reducing: float
    bog: float


GROUNDS: Mapping[str, Ground] = {
    "granite": Ground(0.25, (6.5, 0.45), (55.0, 0.6), (0.95, 0.30), 0.30, 0.03),
    "sand and gravel": Ground(0.35, (7.1, 0.40), (130.0, 0.5), (1.10, 0.25), 0.45, 0.05),
    "limestone": Ground(0.30, (7.3, 0.20), (240.0, 0.3), (1.12, 0.15), 0.25, 0.01),
    "shale": Ground(0.10, (7.7, 0.35), (260.0, 0.4), (0.45, 0.60), 0.60, 0.03),
}

#: Share of wells above a mark: what the draws must come near, with the source of each.
SHARES: Mapping[str, tuple[str, float, float, str]] = {
    "iron above 0.3 mg/L": ("iron", 0.3, 0.19, "Circular 1332, from memory"),
    "manganese above 0.05 mg/L": ("manganese", 0.05, 0.21, "Circular 1332, from memory"),
    "manganese above 0.3 mg/L": ("manganese", 0.3, 0.05, "Circular 1332, from memory"),
    "dissolved solids above 500 mg/L": ("tds", 500.0, 0.15, "Circular 1332, from memory"),
    "nitrate above 10 mg/L as N": ("nitrate", 10.0, 0.044, "Circular 1332, from memory; 0.08 in Focazio et al. 2006"),
    "arsenic above 0.010 mg/L": ("arsenic", 0.010, 0.11, "Focazio et al. 2006, abstract"),
    "uranium above 0.030 mg/L": ("uranium", 0.030, 0.04, "Focazio et al. 2006, abstract"),
    "total coliform": ("coliform", 0.0, 0.34, "Circular 1332, from memory"),
    "E. coli": ("e_coli", 0.0, 0.08, "Circular 1332, from memory"),
}


@dataclass(frozen=True, slots=True)
class Well:
    """One well: the water as it is, what a laboratory wrote of it, and the pump and the house that it serves.

    Attributes:
        truth: analytes in JSON units; "coliform" and "e_coli" as counts.
        sheet: results as a document writes them.
        supply: of a document.
        peak, daily: gpm, gallons a day.
    """

    truth: Mapping[str, float]
    sheet: Sheet
    supply: Mapping[str, Any]
    peak: float
    daily: float


def wells(count: int, seed: int = SEED) -> list[Well]:
    """So many wells, the same for a seed on every machine."""
    random = np.random.default_rng(seed)
    return [well(random) for _ in range(count)]


def _log(random: np.random.Generator, median: float, spread: float, most: float = np.inf) -> float:
    return float(min(median * np.exp(spread * random.standard_normal()), most))


def well(random: np.random.Generator) -> Well:
    """The next well."""
    names = list(GROUNDS)
    ground = GROUNDS[names[random.choice(len(names), p=[g.share for g in GROUNDS.values()])]]
    truth = _water(random, ground)
    peak = float(np.round(random.uniform(5.0, 9.0), 1))
    return Well(truth, _sheet(random, truth), _supply(random, peak), peak, float(np.round(random.uniform(150.0, 450.0))))


def _water(random: np.random.Generator, ground: Ground) -> dict[str, float]:
    w: dict[str, float] = {"ph": float(np.clip(random.normal(*ground.ph), 5.4, 8.8))}
    w["alkalinity"] = _log(random, *ground.alkalinity, 500.0)
    w["hardness"] = w["alkalinity"] * _log(random, *ground.hard, 2.5)
    reducing, bog = random.random() < ground.reducing, random.random() < ground.bog
    w["iron"], w["manganese"] = _metals(random, reducing, w["ph"])
    w["dissolved_oxygen"] = _log(random, 0.15, 0.7, 1.0) if reducing else float(random.uniform(1.0, 8.0))
    w["hydrogen_sulfide"] = _log(random, 0.3, 1.0, 4.0) if reducing and random.random() < 0.2 else 0.0
    w["ammonia"] = _log(random, 0.2, 0.8, 3.0) if reducing else 0.0
    w["nitrate"] = 0.05 if reducing else _log(random, 1.5, 1.15, 40.0)
    w["toc"] = _log(random, 7.0, 0.3) if bog else _log(random, 0.9, 0.5, 4.0)
    w["tannin"] = 0.25 * (w["toc"] - 3.0) if bog else 0.0
    w["colour"] = 9.0 * (w["toc"] - 2.0) if bog else _log(random, 3.0, 0.5, 12.0)
    w["arsenic"] = _log(random, 0.0012, 1.75, 0.2)
    w["uranium"] = _log(random, 0.0012, 1.85, 0.4)
    w["fluoride"] = _log(random, 0.2, 0.6, 3.0)
    w["coliform"] = _log(random, 8.0, 1.2) + 1.0 if random.random() < 0.34 else 0.0
    w["e_coli"] = max(np.round(w["coliform"] * random.uniform(0.02, 0.4)), 1.0) if w["coliform"] and random.random() < 0.235 else 0.0
    _salts(random, w)
    _light(random, w, reducing)
    return w


def _metals(random: np.random.Generator, reducing: bool, ph: float) -> tuple[float, float]:
    """Iron and manganese go together without oxygen; acid water with oxygen holds some manganese."""
    if not reducing:
        return _log(random, 0.03, 0.9, 0.6), _log(random, 0.006 if ph > 6.5 else 0.02, 0.9, 0.3)
    common = random.standard_normal()
    iron = 0.32 * np.exp(1.35 * (0.8 * common + 0.6 * random.standard_normal()))
    manganese = 0.055 * np.exp(1.6 * (0.8 * common + 0.6 * random.standard_normal()))
    return float(min(iron, 14.0)), float(min(manganese, 2.0))


def _salts(random: np.random.Generator, w: dict[str, float]) -> None:
    """Sulfate, chloride and sodium; charges balance by sodium, and by chloride where sodium would run out."""
    w["sulfate"], chloride = _log(random, 24.0, 1.15, 700.0), _log(random, 15.0, 1.3, 700.0)
    w["potassium"], w["silica"] = _log(random, 1.8, 0.5), _log(random, 14.0, 0.4)
    anions = w["alkalinity"] / 50.04 + w["sulfate"] / 48.03 + w["nitrate"] / 14.007
    cations = w["hardness"] / 50.04 + w["potassium"] / 39.1 + w["iron"] / 27.92
    sodium = anions + chloride / 35.45 - cations
    if sodium < 0.1:
        chloride += (0.1 - sodium) * 35.45
        sodium = 0.1
    w["chloride"], w["sodium"] = chloride, sodium * 22.99
    # calcium nearly always leads
    share = float(random.uniform(0.6, 0.85))
    w["calcium"], w["magnesium"] = share * w["hardness"] / 2.497, (1.0 - share) * w["hardness"] / 4.118
    ions = sum(w[ion] for ion in ("sodium", "potassium", "calcium", "magnesium", "chloride", "sulfate", "silica"))
    # 60 % of alkalinity stays as carbonate when water is dried (Standard Methods 1030 E, seen in its form)
    w["tds"] = ions + 0.6 * w["alkalinity"] + 4.43 * w["nitrate"] + w["fluoride"]
    w["conductivity"] = w["tds"] / random.uniform(0.58, 0.66)


def _light(random: np.random.Generator, w: dict[str, float], reducing: bool) -> None:
    """Turbidity, and absorbance from organic matter, rust and particles; ferric iron takes 0.0844 per cm and mg/L (from memory)."""
    w["rust"] = w["iron"] * float(random.uniform(0.02, 0.15) if reducing else random.uniform(0.5, 0.9))
    w["turbidity"] = min(_log(random, 0.5, 0.7, 6.0) + 1.5 * w["rust"], 9.0)
    w["fine"] = w["turbidity"] * float(random.uniform(0.1, 0.45))
    organic = 0.012 + 0.022 * w["toc"]
    w["uvt_filtered"] = 100.0 * 10.0 ** -(organic + 0.0844 * 0.2 * w["rust"])
    w["uvt"] = 100.0 * 10.0 ** -(organic + 0.0844 * w["rust"] + 0.008 * w["turbidity"])


# What the laboratory writes --------------------------------------------------------------------------------------------------

#: Analyte, unit, decimals, reporting limit, chance that it was asked for.
_ASKED = (
    ("ph", "", 1, 0.0, 1.0), ("hardness", "mg/L", 0, 0.0, 1.0), ("alkalinity", "mg/L", 0, 0.0, 0.95), ("iron", "mg/L", 2, 0.05, 1.0),
    ("manganese", "mg/L", 3, 0.01, 1.0), ("tds", "mg/L", 0, 0.0, 0.8), ("conductivity", "uS/cm", 0, 0.0, 0.5),
    ("nitrate", "mg/L as N", 1, 0.5, 1.0), ("turbidity", "NTU", 1, 0.1, 0.95), ("sodium", "mg/L", 0, 0.0, 0.7),
    ("chloride", "mg/L", 0, 0.0, 0.7), ("sulfate", "mg/L", 0, 0.0, 0.7), ("calcium", "mg/L", 0, 0.0, 0.4),
    ("hydrogen_sulfide", "mg/L", 2, 0.05, 0.6), ("dissolved_oxygen", "mg/L", 1, 0.0, 0.35), ("toc", "mg/L", 1, 0.5, 0.4),
    ("tannin", "mg/L", 1, 0.1, 0.6), ("colour", "CU", 0, 5.0, 0.4), ("arsenic", "mg/L", 4, 0.002, 0.7), ("uranium", "mg/L", 4, 0.001, 0.5),
    ("fluoride", "mg/L", 1, 0.1, 0.6), ("ammonia", "mg/L", 2, 0.05, 0.3), ("uvt", "%/cm", 0, 0.0, 0.9), ("potassium", "mg/L", 1, 0.0, 0.3),
)  # fmt: skip


def _sheet(random: np.random.Generator, w: Mapping[str, float]) -> Sheet:
    sheet: Sheet = {}
    for key, unit, decimals, least, chance in _ASKED:
        if random.random() < chance:
            sheet[key] = f"<{least:g} {unit}" if w[key] < least else f"{w[key]:.{decimals}f} {unit}".strip()
    if w["iron"] >= 0.05 and random.random() < 0.6:
        sheet["iron_dissolved"] = f"{max(float(sheet['iron'].split()[0]) - round(w['rust'], 2), 0.0):.2f} mg/L"
    if "turbidity" in sheet and w["turbidity"] >= 0.1 and random.random() < 0.5:
        sheet["turbidity_filtered_5um"] = f"{min(w['fine'], float(sheet['turbidity'].split()[0])):.2f} NTU"
    if "uvt" in sheet and random.random() < 0.5:
        sheet["uvt_filtered"] = f"{max(w['uvt_filtered'], float(sheet['uvt'].split()[0])):.0f} %/cm"
    sheet["total_coliform"] = f"{w['coliform']:.0f} /100mL" if w["coliform"] else "absent"
    sheet["e_coli"] = f"{w['e_coli']:.0f} /100mL" if w["e_coli"] else "absent"
    return sheet


def _supply(random: np.random.Generator, peak: float) -> dict[str, Any]:
    """A pump that gives about twice the peak where its switch turns it on, a well that yields the peak at the least, and its tank."""
    cut_in = int(random.choice([40, 50, 50]))
    gives = peak * random.uniform(1.6, 2.4)
    top = cut_in + 20 + random.uniform(20.0, 35.0)
    curve = [["0 gpm", f"{top:.0f} psi"], [f"{0.55 * gives:.1f} gpm", f"{top - 0.3 * (top - cut_in):.0f} psi"],
             [f"{gives:.1f} gpm", f"{cut_in} psi"]]  # fmt: skip
    supply: dict[str, Any] = {
        "kind": "well", "source": "drilled_well", "surface_influence": "no", "yield": f"{peak * random.uniform(1.0, 2.0):.1f} gpm",
        "temperature": ["9 degC", "13 degC"], "pump_curve": curve, "control": "switch", "cut_in": f"{cut_in} psi",
        "cut_out": f"{cut_in + 20} psi", "precharge": f"{cut_in - 2} psi", "tank_volume": f"{np.ceil(gives * 4.5):.0f} gal",
    }  # fmt: skip
    if random.random() < 0.25:
        # a pump whose speed is controlled keeps its pressure, and needs next to no tank
        supply |= {"control": "constant", "set_pressure": f"{cut_in + 10} psi"}
        for key in ("cut_in", "cut_out", "precharge", "tank_volume"):
            del supply[key]
    return supply
