"""Density, viscosity and vapour pressure of pure water at one atmosphere, from the IAPWS formulations."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from trainapp.hydraulics.constants import ATMOSPHERE

#: degC; liquid water at one atmosphere.
RANGE = (0.0, 99.0)
_ZERO_CELSIUS = 273.15


class Water(NamedTuple):
    """Pure water at one temperature and 101.325 kPa.

    Attributes:
        temperature: degC.
        density: kg/m3 (IAPWS-95).
        viscosity: Pa s (IAPWS 2008).
        vapour_pressure: Pa absolute (IAPWS-95).
    """

    temperature: float
    density: float
    viscosity: float
    vapour_pressure: float

    @property
    def kinematic(self) -> float:
        """Kinematic viscosity, m2/s."""
        return self.viscosity / self.density


@lru_cache(maxsize=512)
def water(temperature: float) -> Water:
    """Water at `temperature` in degC, 0 to 99.

    Raises:
        ValueError: outside that range, where it is not liquid.
    """
    low, high = RANGE
    if not low <= temperature <= high:
        raise ValueError(f"water at {temperature:g} degC is outside {low:g} to {high:g} degC")
    from chemicals.iapws import iapws95_Psat, iapws95_rho
    from chemicals.viscosity import mu_IAPWS

    kelvin = temperature + _ZERO_CELSIUS
    density = float(iapws95_rho(kelvin, ATMOSPHERE))  # type: ignore[no-untyped-call]
    boiling = float(iapws95_Psat(kelvin))  # type: ignore[no-untyped-call]
    return Water(temperature, density, float(mu_IAPWS(kelvin, density)), boiling)


def density(temperature: float) -> float:
    """kg/m3 at degC; ValueError outside 0 to 99."""
    return water(temperature).density


def viscosity(temperature: float) -> float:
    """Dynamic viscosity, Pa s at degC; ValueError outside 0 to 99."""
    return water(temperature).viscosity


def vapour_pressure(temperature: float) -> float:
    """Pa absolute at degC; ValueError outside 0 to 99."""
    return water(temperature).vapour_pressure
