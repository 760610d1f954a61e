"""Optics and ageing of a low-pressure ultraviolet chamber: for teaching and for estimates beside a rating, never in place of one.

Units are those of the bench: mW, cm, mJ/cm2, cm3/s; absorbance is decadic per cm at 254 nm. The radial model sends rays straight out from
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


def transmittance(absorbance: Number, path: float = 1.0) -> Array:
    """% of light left after `path` cm of water."""
    return np.asarray(100.0 * 10.0 ** (-absorbance * path))


def mean_path(absorbance: Number, layer: float) -> Array:
    """(1 - 10^(-A d))/(A ln 10), cm: the layer d of clear water that absorbs as much; d itself where the water absorbs nothing."""
    napierian = LN10 * absorbance
    safe = np.where(napierian > 1e-9, napierian, 1.0)
    return np.asarray(np.where(napierian > 1e-9, -np.expm1(-safe * layer) / safe, layer))


def irradiance(power: float, sleeve: float, arc: float, radius: float, at: float, absorbance: float) -> float:
    """mW/cm2 at distance `at` cm from the axis: P T/(2 pi r L) 10^(-A (r - r_s)).

    Args:
        power: UVC power of the lamp, mW. sleeve: transmittance of the sleeve, 0 to 1.
        arc: length of the arc, cm. radius: of the sleeve outside, cm.
    """
    return float(power * sleeve / (2.0 * np.pi * at * arc) * 10.0 ** (-absorbance * (at - radius)))


def mean_irradiance(power: float, sleeve: float, arc: float, radii: tuple[float, float], absorbance: float) -> float:
    """mW/cm2 averaged over the water between sleeve and wall (their radii, cm), by energy balance."""
    inner, outer = radii
    volume = np.pi * (outer**2 - inner**2) * arc
    return float(power * sleeve * mean_path(absorbance, outer - inner) / volume)


def radial_dose(power: float, sleeve: float, layer: float, flow: Number, absorbance: Number) -> Array:
    """mJ/cm2 in ideal plug flow: P T (1 - 10^(-A d))/(A ln10 Q). It does not depend on the length of the chamber.

    Args:
        layer: water between sleeve and wall, cm. flow: cm3/s.
    """
    return np.asarray(power * sleeve * mean_path(absorbance, layer) / flow)


def tanks_in_series(dose: Number, per_log: float, tanks: int) -> tuple[Array, Array]:
    """What a chamber does that mixes like `tanks` tanks in series, each with its part of the mean dose.

    Args:
        dose: mean dose, mJ/cm2. per_log: dose that takes one log of the organism, mJ/cm2.

    Returns:
        Log inactivation n lg(1 + ln10 D/(D_L n)), and the dose that plug flow would need for it, mJ/cm2.
    """
    log = tanks * np.log10(1.0 + LN10 / per_log * dose / tanks)
    return np.asarray(log), np.asarray(per_log * log)


def bench_irradiance(surface: float, petri: float, reflected: float, absorbance: float, depth: float, distance: float) -> float:
    """mW/cm2 averaged over a sample under a collimated beam, Bolton and Linden (2003, equation from memory): E0 PF (1 - R) WF DF.

    Args:
        surface: at the middle of the surface, mW/cm2. petri: Petri factor. reflected: share reflected at the surface.
        depth: of the sample, cm. distance: from lamp to surface, cm.
    """
    water = float(mean_path(absorbance, depth)) / depth
    return surface * petri * (1.0 - reflected) * water * distance / (distance + depth)


def lamp_output(hours: Number, loss: float, life: float) -> Array:
    """Share of a new lamp's output after `hours`: it falls in a straight line by `loss` over `life` hours."""
    return np.asarray(1.0 - loss * hours / life)


def film_rate(iron: Number, manganese: Number, hardness: Number, scales: Number, rates: tuple[float, float, float, float]) -> Array:
    """1/month by which a sleeve's film grows, k_b + a_Fe Fe + a_Mn Mn + a_H H S; illustrative, no published rate exists.

    Args:
        iron, manganese, hardness: mg/L. scales: 1 where scale forms at the sleeve, else 0.
        rates: k_b, a_Fe, a_Mn, a_H.
    """
    base, per_iron, per_manganese, per_hardness = rates
    metals = per_iron * iron + per_manganese * manganese
    return np.asarray(base + metals + per_hardness * hardness * scales)


def film_transmittance(months: Number, rate: Number) -> Array:
    """Share of light that a sleeve's film lets through `months` after it was cleaned: exp(-k t); illustrative."""
    return np.asarray(np.exp(-rate * months))
