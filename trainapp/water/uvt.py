"""Light at 254 nm in water: transmittance, absorbance, and what absorbs.

Absorbance is decadic, 1/cm.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainapp.data import load_toml

Array = NDArray[np.float64]

LN10 = float(np.log(10.0))
#: %/cm below which a transmittance is not told apart; keeps absorbance finite.
LEAST_UVT = 0.01


def absorbance(uvt: ArrayLike) -> Array:
    """Absorbance of a transmittance in %/cm: -log10(UVT/100); that of :data:`LEAST_UVT` at and below it."""
    return np.asarray(-np.log10(np.maximum(np.asarray(uvt, dtype=np.float64), LEAST_UVT) / 100.0))


def transmittance(absorbance: ArrayLike, path: float = 1.0) -> Array:
    """Transmittance in % over a path in cm: 100 · 10^(-A path)."""
    return np.asarray(100.0 * 10.0 ** (-np.asarray(absorbance, dtype=np.float64) * path))


def napierian(absorbance: ArrayLike) -> Array:
    """Natural attenuation coefficient, 1/cm: A ln 10."""
    return np.asarray(LN10 * np.asarray(absorbance, dtype=np.float64))


def absorptivity(species: str) -> float:
    """Absorbance (1/cm) of 1 mg/L of a species of ``resources/water/absorptivity.toml``, as what it counts there."""
    row = load_toml("water/absorptivity.toml")[species]
    return float(row["molar_absorptivity"]) / (1000.0 * float(row["molar"]))
