"""Sums and indices of a water analysis: charge balance, sodium by difference, dissolved solids, conductivity, the Langelier index.

Analyses are mappings from analyte key to a number or array in its JSON unit (mg/L; hardness and alkalinity as CaCO3, nitrogen as N).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from trainapp.data import load_toml
from trainapp.water.analytes import BY_KEY
from trainapp.water.carbonate import CarbonateWater
from trainapp.water.thermodynamics import KELVIN, Array, log_k

_CATIONS = ("calcium", "magnesium", "sodium", "potassium", "ammonia", "iron_dissolved", "manganese_dissolved", "aluminium", "barium")
_ANIONS = ("alkalinity", "chloride", "sulfate", "nitrate", "nitrite", "fluoride")
#: Ions without which a charge balance means nothing.
BALANCE_NEEDS = ("calcium", "magnesium", "sodium", "alkalinity", "chloride", "sulfate")


@dataclass(frozen=True, slots=True)
class ChargeBalance:
    """Charges of an analysis, meq/L."""

    cations: Array
    anions: Array

    @property
    def error(self) -> Array:
        """Cations less anions over their sum, percent. Source: Standard Methods 1030 E."""
        return np.asarray(100.0 * (self.cations - self.anions) / (self.cations + self.anions))

    @property
    def allowed(self) -> Array:
        """What :attr:`error` may be, percent: 0.2 meq/L to 3 meq/L of anions, 2 % to 10, 5 % above. Source: Standard Methods 1030 E."""
        small = 100.0 * 0.2 / (self.cations + self.anions)
        return np.asarray(np.where(self.anions <= 3.0, small, np.where(self.anions <= 10.0, 2.0, 5.0)))


def charge_balance(analysis: Mapping[str, ArrayLike]) -> ChargeBalance:
    """Charges of an analysis. What it does not name counts as none; alkalinity counts as the bicarbonate and carbonate that it is.

    Dissolved iron and manganese are taken as divalent, ammonia as ammonium, aluminium as trivalent; `ph` adds the proton.
    """
    cations = _equivalents(analysis, _CATIONS)
    if "ph" in analysis:
        cations = cations + 1000.0 * 10.0 ** -np.asarray(analysis["ph"], dtype=np.float64)
    return ChargeBalance(cations, _equivalents(analysis, _ANIONS))


def _equivalents(analysis: Mapping[str, ArrayLike], names: tuple[str, ...]) -> Array:
    total = np.asarray(0.0)
    for name in names:
        if name in analysis:
            total = total + np.asarray(analysis[name], dtype=np.float64) / BY_KEY[name].equivalent
    return total


def sodium_by_charge(analysis: Mapping[str, ArrayLike]) -> Array:
    """Sodium that balances the charges of the rest, mg/L, not below zero."""
    rest = charge_balance({name: value for name, value in analysis.items() if name != "sodium"})
    return np.asarray(BY_KEY["sodium"].equivalent * np.maximum(rest.anions - rest.cations, 0.0))


_SOLIDS = (
    "sodium", "potassium", "calcium", "magnesium", "chloride", "sulfate", "fluoride", "silica", "iron_dissolved", "manganese_dissolved",
)  # fmt: skip
_NITRATE_PER_N = 62.004 / 14.007
_AMMONIUM_PER_N = 18.039 / 14.007


def dissolved_solids(analysis: Mapping[str, ArrayLike]) -> Array:
    """Dissolved solids as the sum of what an analysis names, mg/L: the bicarbonate of alkalinity counts as what drying leaves of it.

    Source: Standard Methods 1030 E, 0.6 alkalinity + Na + K + Ca + Mg + Cl + SO4 + NO3 + F + SiO2.
    """
    factors = {"alkalinity": 0.6, "nitrate": _NITRATE_PER_N, "ammonia": _AMMONIUM_PER_N} | dict.fromkeys(_SOLIDS, 1.0)
    total = np.asarray(0.0)
    for name, factor in factors.items():
        if name in analysis:
            total = total + factor * np.asarray(analysis[name], dtype=np.float64)
    return total


def conductivity(water: CarbonateWater) -> Array:
    """Conductivity at 25 degC, uS/cm, +-15 %: ions and pairs that carry charge, each slowed by g^(0.6/sqrt z), g its activity coefficient.

    Source: limiting conductivities of the ions; their slowing as PHREEQC does it, with g of Davies (from memory).
    """
    root = np.sqrt(water.ionic_strength)
    log_g = -0.509 * (root / (1.0 + root) - 0.3 * water.ionic_strength)
    total = np.zeros_like(water.ph)
    for name, ion in load_toml("water/conductivity.toml")["ions"].items():
        z = float(ion["charge"])
        # at great ionic strength the exponent follows sqrt(I)/z instead
        exponent = np.where(water.ionic_strength < 0.36 * z, 0.6 / np.sqrt(z), root / z)
        moles = water.ions.moles(name) if name in _BACKGROUND else water.concentration(name)
        total = total + 1000.0 * ion["molar"] * moles * 10.0 ** (z * z * exponent * log_g)
    return np.asarray(total)


_BACKGROUND = ("potassium", "chloride", "nitrate", "ammonia")


@dataclass(frozen=True, slots=True)
class Langelier:
    """The steps of the Langelier index: ionic strength (mol/L), 5 pf (pf the activity term), pH at saturation, index."""

    ionic_strength: Array
    pf: Array
    saturation_ph: Array
    index: Array


def langelier(ph: ArrayLike, calcium: ArrayLike, alkalinity: ArrayLike, solids: ArrayLike, temperature: ArrayLike) -> Langelier:
    """The Langelier index without ion pairs, as hand methods give it; calcium as Ca mg/L, dissolved solids mg/L, degC.

    Source: Standard Methods 2330 B (form from memory), constants of Plummer and Busenberg (1982).
    """
    ph, calcium, alkalinity, solids, temperature = (np.asarray(a, dtype=np.float64) for a in (ph, calcium, alkalinity, solids, temperature))
    t = temperature + KELVIN
    # a reading far over a laboratory's range, less what exchange took, may leave less than nothing
    strength = np.maximum(solids, 0.0) / 40000.0
    permittivity = 60954.0 / (t + 116.0) - 68.937
    root = np.sqrt(strength)
    pf = 1.82e6 * (permittivity * t) ** -1.5 * (root / (1.0 + root) - 0.3 * strength)
    pk2, pks = log_k("species", "bicarbonate", temperature), -log_k("minerals", "calcite", temperature)
    pkw = -log_k("species", "hydroxide", temperature)
    eq = alkalinity / (1000.0 * BY_KEY["alkalinity"].equivalent)
    bicarbonate = (eq + 10.0 ** (pf - ph) - 10.0 ** (ph + pf - pkw)) / (1.0 + 2.0 * 10.0 ** (ph - pk2))
    with np.errstate(divide="ignore", invalid="ignore"):
        saturation = pk2 - pks - np.log10(calcium / (1000.0 * BY_KEY["calcium"].molar)) - np.log10(bicarbonate) + 5.0 * pf
    return Langelier(np.asarray(strength), np.asarray(pf), np.asarray(saturation), np.asarray(ph - saturation))
