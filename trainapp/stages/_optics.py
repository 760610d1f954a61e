"""Optics and sleeve film of a low-pressure ultraviolet chamber: for teaching and for estimates beside a rating, never in place of one.

Units are those of the bench: cm, mJ/cm2; absorbance is decadic per cm at 254 nm. The radial model sends rays straight out from
an axial lamp; refraction and the finite length of the lamp together change it by 3 to 9 % in the cases computed for it. Everything
takes numbers or arrays.
"""

from __future__ import annotations

import numpy as np

from trainapp.stages.working import Array

Number = float | Array
LN10 = float(np.log(10.0))


def absorbance(uvt: Number) -> Array:
    """Decadic absorbance, 1/cm, of a transmittance in % per cm: A = -lg(UVT/100)."""
    return np.asarray(-np.log10(uvt / 100.0))


def mean_path(absorbance: Number, layer: float) -> Array:
    """(1 - 10^(-A d))/(A ln 10), cm: the layer d of clear water that absorbs as much; d itself where the water absorbs nothing."""
    napierian = LN10 * absorbance
    safe = np.where(napierian > 1e-9, napierian, 1.0)
    return np.asarray(np.where(napierian > 1e-9, -np.expm1(-safe * layer) / safe, layer))


def tanks_in_series(dose: Number, per_log: float, tanks: int) -> tuple[Array, Array]:
    """What a chamber does that mixes like `tanks` tanks in series, each with its part of the mean dose.

    Args:
        dose: mean dose, mJ/cm2. per_log: dose that takes one log of the organism, mJ/cm2.

    Returns:
        Log inactivation n lg(1 + ln10 D/(D_L n)), and the dose that plug flow would need for it, mJ/cm2.
    """
    log = tanks * np.log10(1.0 + LN10 / per_log * dose / tanks)
    return np.asarray(log), np.asarray(per_log * log)


def film_rate(iron: Number, manganese: Number, hardness: Number, scales: Number, rates: tuple[float, float, float, float]) -> Array:
    """1/month by which a sleeve's film grows, k_b + a_Fe Fe + a_Mn Mn + a_H H S; illustrative, no published rate exists.

    Args:
        iron, manganese, hardness: mg/L. scales: 1 where scale forms at the sleeve, else 0.
        rates: k_b, a_Fe, a_Mn, a_H.
    """
    base, per_iron, per_manganese, per_hardness = rates
    metals = per_iron * iron + per_manganese * manganese
    return np.asarray(base + metals + per_hardness * hardness * scales)
