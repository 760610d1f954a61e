"""Equilibrium constants and activity coefficients of the carbonate system, as arrays over temperature and ionic strength.

Constants are those of ``resources/water/thermodynamics.toml``. A species is made of the *masters* calcium, magnesium, sodium, sulfate and
carbonate (free, by concentration) and of the proton (by activity): its concentration is its conditional constant times their product.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trainapp.data import load_toml

Array = NDArray[np.float64]

LN10 = float(np.log(10.0))
KELVIN = 273.15

MASTERS = ("calcium", "magnesium", "sodium", "sulfate", "carbonate")
#: Every dissolved species that counts: what the masters make, then the masters themselves.
SPECIES = (
    "hydrogen", "hydroxide", "bicarbonate", "carbon_dioxide", "bisulfate", "calcium_carbonate", "magnesium_carbonate", "sodium_carbonate",
    "calcium_bicarbonate", "magnesium_bicarbonate", "sodium_bicarbonate", "calcium_sulfate", "magnesium_sulfate", "sodium_sulfate",
    "calcium_hydroxide", "magnesium_hydroxide", *MASTERS,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Table:
    """What does not depend on the water. Rows are SPECIES and, last, the saturation ratio of calcite.

    Attributes:
        log_k: natural log K on [1, T, 1/T, log10 T, 1/T2, T2], shape (22, 6).
        sizes: distinct ion sizes, angstrom; 0 stands for the Davies equation. Shape (k,).
        terms: the natural logarithm of each row beside log K, on [A f(size_1) .. A f(size_k), I, ln aH, ln of the masters], (22, k + 7).
        parts: masters in each species, shape (21, 5). protons: in each species, negative where one is split off, shape (21,).
        charges: shape (21,).
    """

    log_k: Array
    sizes: Array
    terms: Array
    parts: Array
    protons: Array
    charges: Array


def _coefficients(entry: Mapping[str, Any]) -> Array:
    """log10 K of an entry on the six functions of temperature."""
    if "log_k" in entry:
        return np.array([*entry["log_k"], entry.get("square", 0.0)])
    # van 't Hoff; R in kcal/(mol K)
    slope = entry.get("enthalpy", 0.0) / (1.98720e-3 * LN10)
    return np.array([entry["log_k_25"] + slope / (KELVIN + 25.0), 0.0, -slope, 0.0, 0.0, 0.0])


def _log_gamma(entry: Mapping[str, Any], sizes: list[float]) -> Array:
    """Weights of log10 g on [A f(size_k).., I]; the 0.3 I of Davies hangs on A, too, and is part of f(0)."""
    weights = np.zeros(len(sizes) + 1)
    squared = float(entry["charge"]) ** 2
    if not squared:
        weights[-1] = 0.1
        return weights
    size = float(entry.get("size", 0.0))
    weights[sizes.index(size)] = -squared
    weights[-1] = float(entry.get("linear", 0.0)) if size else 0.0
    return weights


def _row(activity: Array, protons: float, parts: Array) -> Array:
    return np.concatenate([LN10 * activity, [protons], parts])


@cache
def table() -> Table:
    """The constants as matrices, built at the first call."""
    data = load_toml("water/thermodynamics.toml")
    entries: dict[str, Any] = {**data["species"], **data["ions"]}
    sizes = sorted({float(e.get("size", 0.0)) for e in entries.values() if e["charge"]} | {0.0})
    gammas = {name: _log_gamma(entries[name], sizes) for name in SPECIES}
    nothing, no_parts = np.zeros(len(sizes) + 1), np.zeros(len(MASTERS))
    log_k, terms, parts, protons = [], [], [], []
    for name in SPECIES:
        entry = entries[name]
        free = name in data["ions"]
        held = np.array([float(name == m if free else entry.get(m, 0)) for m in MASTERS])
        proton = float(name == "hydrogen" if free else entry.get("hydrogen", 0))
        taken = sum((n * gammas[m] for m, n in zip(MASTERS, held, strict=True)), nothing)
        base = _coefficients(entries[entry["on"]]) if "on" in entry else np.zeros(6)
        log_k.append(np.zeros(6) if free else _coefficients(entry) + base)
        terms.append(_row(taken - gammas[name], proton, held))
        parts.append(held)
        protons.append(proton)
    both = no_parts + [m in ("calcium", "carbonate") for m in MASTERS]
    log_k.append(-_coefficients(data["minerals"]["calcite"]))
    terms.append(_row(gammas["calcium"] + gammas["carbonate"], 0.0, both))
    charges = np.array([float(entries[name]["charge"]) for name in SPECIES])
    return Table(LN10 * np.array(log_k), np.array(sizes), np.array(terms), np.array(parts), np.array(protons), charges)


def functions(temperature: Array) -> Array:
    """[1, T, 1/T, log10 T, 1/T2, T2] of a flat array of degC, shape (6, waters)."""
    t = temperature + KELVIN
    return np.stack([np.ones_like(t), t, 1.0 / t, np.log10(t), 1.0 / (t * t), t * t])


def log_k(group: str, name: str, temperature: Array | float) -> Array:
    """Decadic logarithm of one constant of the table ("species", "minerals" or "gases") at degC, as its reaction is written there."""
    t = np.asarray(temperature, dtype=np.float64)
    flat = _coefficients(load_toml("water/thermodynamics.toml")[group][name]) @ functions(t.ravel())
    return np.asarray(flat.reshape(t.shape))


def water_density(temperature: Array) -> Array:
    """Density of air-free water at 1 atm, kg/m3, for degC from 0 to 100. Source: Kell (1975)."""
    t = temperature
    upper = 999.83952 + t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - 280.54253e-12 * t))))
    return np.asarray(upper / (1.0 + 16.879850e-3 * t))


def dielectric_constant(temperature: Array) -> Array:
    """Relative permittivity of water at 1 atm, for degC from 0 to 100. Source: Bradley and Pitzer (1979)."""
    t = temperature + KELVIN
    at_1000_bar = 342.79 * np.exp(-5.0866e-3 * t + 9.4690e-7 * t * t)
    c = -2.0525 + 3115.9 / (t - 182.89)
    b = -8032.5 + 4.2142e6 / t + 2.1417 * t
    return np.asarray(at_1000_bar + c * np.log((b + 1.01325) / (b + 1000.0)))


def debye_hueckel(temperature: Array) -> tuple[Array, Array]:
    """A, (L/mol)^0.5, and B, (L/mol)^0.5 per angstrom, of the Debye-Hueckel law in decadic logarithms."""
    density = water_density(temperature) / 1000.0
    product = dielectric_constant(temperature) * (temperature + KELVIN)
    root = np.sqrt(density / product)
    return np.asarray(1.82483e6 * root / product), np.asarray(50.2916 * root)
