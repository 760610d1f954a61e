"""Packed beds: what a settled bed of grains takes from the pressure, and what flow lifts it.

Settled beds follow Ergun. Spherical grains (resin) in upflow follow Richardson and Zaki, with the exponent of Garside and Al-Dibouni
and a settling velocity from Schiller and Naumann's drag. Graded angular media follow Wen and Yu's least fluidisation velocity of the
coarse grains (d90) times 1.3, Cleasby's rule (from memory); sphere drag would ask half as much again to twice as much of them.
"""

from __future__ import annotations

import math

from trainapp.hydraulics.constants import GRAVITY
from trainapp.hydraulics.elements import Resistance
from trainapp.hydraulics.water_properties import Water, water

#: Ergun's constants, viscous and inertial (1952).
ERGUN = (150.0, 1.75)
#: A wash at this many times the least fluidisation velocity of d90 moves the whole graded bed (Cleasby; from memory).
CLEASBY = 1.3
#: Ergun's data end at this Reynolds number of the grain over the share of solid (1952; from memory).
ERGUN_END = 2500.0
#: Reynolds number up to which Schiller and Naumann's drag holds.
SCHILLER_NAUMANN_END = 1000.0

_STEPS = 200


def ergun(grain: float, void: float, temperature: float, sphericity: float = 1.0) -> tuple[float, float]:
    """Coefficients of Ergun's equation: pressure loss per metre of bed, Pa/m, is a v + b v^2 at superficial velocity v, m/s.

    a = 150 mu (1-e)^2/(e^3 d^2), b = 1.75 rho (1-e)/(e^3 d), with d the grain (m) times its sphericity and e the void fraction.

    Raises:
        ValueError: a grain, void or sphericity that no bed has.
    """
    if grain <= 0.0 or not 0.0 < void < 1.0 or not 0.0 < sphericity <= 1.0:
        raise ValueError("a bed needs a positive grain, a void fraction between 0 and 1 and a sphericity up to 1")
    now, size = water(temperature), grain * sphericity
    viscous, inertial = ERGUN
    solid = 1.0 - void
    return viscous * now.viscosity * solid**2 / (void**3 * size**2), inertial * now.density * solid / (void**3 * size)


def bed_resistance(area: float, depth: float, grain: float, void: float, temperature: float, sphericity: float = 1.0) -> Resistance:
    """A settled bed of `depth` m on `area` m2 as an element, Ergun (1952); see :func:`ergun`."""
    a, b = ergun(grain, void, temperature, sphericity)
    return Resistance(a * depth / area, b * depth / area**2)


def ergun_note(velocity: float, grain: float, void: float, temperature: float) -> str:
    """One sentence where a superficial velocity (m/s) lies beyond Ergun's data, else nothing."""
    if velocity * grain / (water(temperature).kinematic * (1.0 - void)) <= ERGUN_END:
        return ""
    return f"this flow lies beyond Re/(1 − ε) {ERGUN_END:g}, where Ergun's data end"


def galileo(grain: float, grain_density: float, now: Water) -> float:
    """d^3 rho (rho_p - rho) g / mu^2, dimensionless; grain in m, its wet density in kg/m3."""
    return grain**3 * now.density * (grain_density - now.density) * GRAVITY / now.viscosity**2


def least_fluidisation(grain: float, grain_density: float, temperature: float) -> float:
    """m/s at which grains (m, kg/m3 wet) just fluidise: Re = sqrt(33.7^2 + 0.0408 Ga) - 33.7, Wen and Yu (1966)."""
    now = water(temperature)
    reynolds = math.sqrt(33.7**2 + 0.0408 * galileo(grain, grain_density, now)) - 33.7
    return reynolds * now.kinematic / grain


def coarse_grain(effective_size: float, uniformity: float) -> float:
    """d90 in m of a log-normal medium from its effective size d10 (m) and uniformity d60/d10: d10 x 10^(1.67 log10 UC)."""
    return float(effective_size * 10.0 ** (1.67 * math.log10(uniformity)))


def backwash_rate(effective_size: float, uniformity: float, grain_density: float, temperature: float) -> float:
    """m/s that washes a graded angular medium: 1.3 x Wen and Yu's least fluidisation velocity of its d90 (Cleasby's rule, from memory)."""
    return CLEASBY * least_fluidisation(coarse_grain(effective_size, uniformity), grain_density, temperature)


def terminal_velocity(grain: float, grain_density: float, temperature: float) -> float:
    """m/s at which one sphere (m, kg/m3 wet) settles in still water: drag 24/Re (1 + 0.15 Re^0.687), Schiller and Naumann (1935).

    The correlation holds to Re 1000 (:data:`SCHILLER_NAUMANN_END`).

    Raises:
        ValueError: the grain floats.
    """
    now = water(temperature)
    if grain_density <= now.density:
        raise ValueError("grains lighter than water do not settle")
    size = galileo(grain, grain_density, now)
    # drag balance: 18 Re (1 + 0.15 Re^0.687) = Ga, rising in Re
    reynolds = size / 18.0
    for _ in range(_STEPS):
        power = 0.15 * reynolds**0.687
        step = (18.0 * reynolds * (1.0 + power) - size) / (18.0 * (1.0 + 1.687 * power))
        reynolds -= step
        if abs(step) <= 1e-13 * reynolds:
            break
    return float(reynolds * now.kinematic / grain)


def settling_reynolds(grain: float, grain_density: float, temperature: float) -> float:
    """Reynolds number of :func:`terminal_velocity`."""
    return terminal_velocity(grain, grain_density, temperature) * grain / water(temperature).kinematic


def expansion_exponent(reynolds: float) -> float:
    """n of u = u_t e^n from the terminal Reynolds number: (5.1 - n)/(n - 2.7) = 0.1 Re^0.9, Garside and Al-Dibouni (1977)."""
    k = 0.1 * reynolds**0.9
    return float((5.1 + 2.7 * k) / (1.0 + k))


def expanded_void(expansion: float, void: float) -> float:
    """Void fraction of a bed lifted by the fraction `expansion` over its settled depth."""
    return 1.0 - (1.0 - void) / (1.0 + expansion)


def expansion_rate(expansion: float, grain: float, grain_density: float, void: float, temperature: float) -> float:
    """m/s that lifts a bed of spheres by the fraction `expansion`: Richardson and Zaki, see the module's head."""
    settling = terminal_velocity(grain, grain_density, temperature)
    n = expansion_exponent(settling * grain / water(temperature).kinematic)
    return float(settling * expanded_void(expansion, void) ** n)
