"""Light at 254 nm in water: transmittance, absorbance, what absorbs, and the mean irradiance under a collimated beam.

Absorbance is decadic, 1/cm.
"""

from __future__ import annotations

from dataclasses import dataclass

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


def organic_absorbance(carbon: ArrayLike, suva: ArrayLike) -> Array:
    """Absorbance (1/cm) of organic carbon in mg/L with a specific absorbance in L/(mg m). Source: definition of SUVA."""
    return np.asarray(np.asarray(suva, dtype=np.float64) * np.asarray(carbon, dtype=np.float64) / 100.0)


@dataclass(frozen=True, slots=True)
class CollimatedBeam:
    """Factors of a bench test under a collimated beam. Source: Bolton and Linden (2003), formulas from memory.

    Attributes:
        reflection, water, divergence: factors below 1 on the irradiance measured at the surface; `petri` comes measured.
        average: mean irradiance in the sample, mW/cm2.
    """

    petri: float
    reflection: float
    water: float
    divergence: float
    average: float

    def seconds(self, dose: float) -> float:
        """Exposure for a dose in mJ/cm2."""
        return dose / self.average


def collimated_beam(
    surface: float, petri: float, absorbance: float, depth: float, distance: float, reflectance: float = 0.025
) -> CollimatedBeam:
    """Average irradiance in a stirred dish.

    Args:
        surface: mW/cm2 at the centre of the surface. petri: measured factor of evenness. absorbance: 1/cm.
        depth: of the sample, cm. distance: lamp to surface, cm. reflectance: of the surface.
    """
    x = LN10 * absorbance * depth
    water = -np.expm1(-x) / x if x else 1.0
    divergence = distance / (distance + depth)
    factors = (petri, 1.0 - reflectance, float(water), divergence)
    return CollimatedBeam(*factors, surface * float(np.prod(factors)))
