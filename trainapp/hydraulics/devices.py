"""Valves, cartridges and their loading: flow coefficients, rated points, clean resistance by area, and growth of loss with dirt."""

from __future__ import annotations

import math
from typing import Literal

from trainapp.hydraulics.constants import GPM, PSI
from trainapp.hydraulics.elements import Resistance
from trainapp.hydraulics.water_properties import water

#: Ratio of the US flow coefficient Cv (gpm at 1 psi) to the metric Kv (m3/h at 1 bar).
CV_PER_KV = math.sqrt(PSI / 1e5) / (GPM * 3600.0)

BlockingLaw = Literal["cake", "intermediate", "complete", "standard"]


def flow_coefficient(cv: float) -> Resistance:
    """A valve or port that passes `cv` gpm at 1 psi: dP = (Q/Cv)^2. The specific gravity of cold water is taken as 1.

    Raises:
        ValueError: Cv not positive.
    """
    if cv <= 0.0:
        raise ValueError("a flow coefficient is positive")
    return Resistance(quadratic=PSI / (cv * GPM) ** 2)


def rated_point(flow: float, loss: float) -> Resistance:
    """A device known by one point of its data, m3/s and Pa; its loss goes with the square of flow."""
    if flow <= 0.0 or loss < 0.0:
        raise ValueError("a rated point needs a positive flow and no negative loss")
    return Resistance(quadratic=loss / flow**2)


def orifice(bore: float, coefficient: float, temperature: float) -> Resistance:
    """A sharp-edged hole of `bore` m: Q = Cd A sqrt(2 dP/rho); Cd 0.61 to 0.62."""
    area = 0.25 * math.pi * bore**2
    return Resistance(quadratic=0.5 * water(temperature).density / (coefficient * area) ** 2)


# Cartridges -------------------------------------------------------------------------------------------------------------------


def cartridge_area(diameter: float, length: float) -> float:
    """m2 of a cartridge's outer face, pi D L; both in m."""
    return math.pi * diameter * length


def cartridge_resistance(
    loss: float,
    flow: float,
    viscous: float,
    area_ratio: float = 1.0,
    temperature: float = 20.0,
    rated_temperature: float = 20.0,
) -> Resistance:
    """A clean cartridge in its housing from one known point: `loss` Pa at `flow` m3/s.

    Args:
        viscous: part of that loss (0 to 1) that the wall takes, linear in flow and viscosity; the housing's ports take the rest.
        area_ratio: outer area of this cartridge over that of the known one; scales the wall alone.
        temperature, rated_temperature: degC of the water here and at the known point.

    Raises:
        ValueError: a part outside 0 to 1, or a flow or area that is not positive.
    """
    if flow <= 0.0 or area_ratio <= 0.0 or not 0.0 <= viscous <= 1.0:
        raise ValueError("a cartridge needs a positive flow and area and a viscous part of 0 to 1")
    thickness = water(temperature).viscosity / water(rated_temperature).viscosity
    return Resistance(viscous * loss / flow * thickness / area_ratio, (1.0 - viscous) * loss / flow**2)


# Blocking ---------------------------------------------------------------------------------------------------------------------


def blocking_ratio(law: BlockingLaw, loading: float) -> float:
    """Loss over clean loss at constant flow when the fraction `loading` of the blocking mass M is held; Hermia (1982).

    cake 1 + x, intermediate e^x, complete 1/(1 - x), standard 1/(1 - x)^2; the last two are blocked (infinite) at x = 1.
    """
    if law == "cake":
        return 1.0 + loading
    if law == "intermediate":
        return math.exp(loading)
    if loading >= 1.0:
        return math.inf
    return 1.0 / (1.0 - loading) if law == "complete" else 1.0 / (1.0 - loading) ** 2


def blocking_loading(law: BlockingLaw, ratio: float) -> float:
    """The loading x at which loss is `ratio` (1 or more) times the clean loss: the inverse of :func:`blocking_ratio`."""
    if ratio < 1.0:
        raise ValueError("dirt never lowers the loss")
    if law == "cake":
        return ratio - 1.0
    if law == "intermediate":
        return math.log(ratio)
    return 1.0 - 1.0 / ratio if law == "complete" else 1.0 - 1.0 / math.sqrt(ratio)


def blocking_mass(law: BlockingLaw, capacity: float, ratio: float) -> float:
    """The law's M for a cartridge that holds `capacity` (any mass unit) when its loss is `ratio` times the clean loss.

    For standard blocking M = capacity/(1 - sqrt(dP0/dP_end)). Infinite where the ratio is 1.
    """
    loading = blocking_loading(law, ratio)
    return capacity / loading if loading > 0.0 else math.inf
