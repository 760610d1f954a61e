"""What dissolves in water: calcite to saturation or for a contact time, magnesia, soda, and how much of it leads to a pH.

The water is closed to the air: nothing but the solid or reagent gets in or out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from trainapp.data import load_toml
from trainapp.water.analytes import BY_KEY
from trainapp.water.carbonate import CarbonateWater, from_carbon, run
from trainapp.water.newton import CALCITE_DOSE
from trainapp.water.thermodynamics import KELVIN, LN10, Array


@dataclass(frozen=True, slots=True)
class Reagent:
    """What goes into the water.

    Attributes:
        molar: g/mol.
        dose: what one mole brings: mol of calcium, magnesium, sodium and inorganic carbon, eq of alkalinity.
    """

    molar: float
    dose: tuple[float, float, float, float, float]


_OXYGEN, _CARBON = 15.999, 12.011
_CA, _MG, _NA = (BY_KEY[name].molar for name in ("calcium", "magnesium", "sodium"))
_CO3 = _CARBON + 3.0 * _OXYGEN

CALCITE = Reagent(BY_KEY["hardness"].molar, (1.0, 0.0, 0.0, 1.0, 2.0))
MAGNESIA = Reagent(_MG + _OXYGEN, (0.0, 1.0, 0.0, 0.0, 2.0))
SODA_ASH = Reagent(2.0 * _NA + _CO3, (0.0, 0.0, 2.0, 1.0, 2.0))
CARBON_DIOXIDE = Reagent(BY_KEY["carbon_dioxide"].molar, (0.0, 0.0, 0.0, 1.0, 0.0))


def dissolved_mass(water: CarbonateWater, reagent: Reagent = CALCITE) -> Array:
    """mg/L of the reagent that the last step dissolved, negative where it fell out."""
    return np.asarray(1000.0 * reagent.molar * water.dissolved)


def dissolve(water: CarbonateWater, reagent: Reagent, amount: ArrayLike) -> CarbonateWater:
    """The water after `amount` mg/L of a reagent has dissolved in it (negative: has left it)."""
    moles = np.asarray(amount, dtype=np.float64) / (1000.0 * reagent.molar)
    calcium, magnesium, sodium, carbon, alkalinity = (part * moles for part in reagent.dose)
    was = water.ions
    ions = replace(
        was,
        calcium=np.asarray(was.calcium) + 1000.0 * _CA * calcium,
        magnesium=np.asarray(was.magnesium) + 1000.0 * _MG * magnesium,
        sodium=np.asarray(was.sodium) + 1000.0 * _NA * sodium,
    )
    gained = 1000.0 * BY_KEY["alkalinity"].equivalent * alkalinity
    after = from_carbon(water.carbon + carbon, water.alkalinity + gained, ions, water.temperature)
    return replace(after, dissolved=np.asarray(np.broadcast_to(moles, after.ph.shape)))


def saturated(water: CarbonateWater) -> CarbonateWater:
    """The water in equilibrium with calcite, closed to the air; `dissolved` is negative where calcite falls out."""
    return run("calcite", water.ions, water.temperature, water.alkalinity, water.carbon, dose=CALCITE_DOSE)


def dose_to_ph(water: CarbonateWater, reagent: Reagent, ph: ArrayLike) -> Array:
    """mg/L of a reagent that brings the water to a pH.

    Negative where the water is already past it, NaN where no amount reaches it. Calcite that would have to dissolve beyond saturation is
    not held back here: compare with :func:`saturated`.
    """
    return dissolved_mass(run("dose", water.ions, water.temperature, water.alkalinity, water.carbon, ph, reagent.dose), reagent)


# A bed of grains --------------------------------------------------------------------------------------------------------------

# The way to equilibrium is worked out at these values of -ln(what is left to dissolve); they stand closer where the rate changes fast.
_STEPS = 24
_ALONG = np.linspace(0.0, 1.0, _STEPS + 1)
_BEND, _FAR = 3.0, 12.0


def _progress(along: Array) -> Array:
    return np.asarray(_FAR * np.expm1(_BEND * along) / np.expm1(_BEND))


@cache
def _rate_constants() -> dict[str, tuple[float, float]]:
    pairs = load_toml("water/thermodynamics.toml")["calcite_rate"]
    return {name: (pair[0], pair[1]) for name, pair in pairs.items() if name.startswith("k")}


def dissolution_rate(water: CarbonateWater) -> Array:
    """:func:`surface_rate` of a water."""
    dioxide = water.concentration("carbon_dioxide") * 10.0 ** (0.1 * water.ionic_strength)
    return surface_rate(water.ph, dioxide, water.calcite_index, water.temperature)


def surface_rate(ph: Array, dioxide: Array, index: Array, temperature: Array) -> Array:
    """Rate at which calcite dissolves from its geometric surface, mmol/(cm2 s); negative where it grows.

    (k1 aH + k2 aCO2 + k3)(1 - ratio^(2/3)); no film resistance, clean surface: an upper bound.
    Source: Plummer, Wigley and Parkhurst (1978) in the form of the database of PHREEQC.

    Args:
        dioxide: activity of carbon dioxide, mol/L. index: saturation index of calcite. temperature: degC.
    """
    t = temperature + KELVIN
    k = {name: 10.0 ** (a + b / t) for name, (a, b) in _rate_constants().items()}
    k3 = np.where(temperature <= 25.0, k["k3_cold"], k["k3_warm"])
    return np.asarray((k["k1"] * 10.0**-ph + k["k2"] * dioxide + k3) * -np.expm1(2.0 / 3.0 * LN10 * index))


def contact(water: CarbonateWater, seconds: ArrayLike, grain: ArrayLike, porosity: ArrayLike = 0.45) -> CarbonateWater:
    """The water that has passed a bed of calcite by plug flow.

    Args:
        water: what enters. Water that is saturated passes unchanged.
        seconds: empty-bed contact time. grain: diameter, m. porosity: of the bed. All broadcast with the water.

    The rate is an upper bound (clean surface, no film resistance); so is what dissolves here.
    """
    full = saturated(water).dissolved
    reach = np.maximum(full, 0.0)
    column = (-1, *(1,) * reach.ndim)
    left = np.exp(-_progress(_ALONG)).reshape(column)
    path = dissolve(water, CALCITE, 1000.0 * CALCITE.molar * reach * (1.0 - left))
    surface = 6.0 * (1.0 - np.asarray(porosity, dtype=np.float64)) / np.asarray(grain, dtype=np.float64) / 100.0
    stretch = (_FAR * _BEND * np.exp(_BEND * _ALONG) / np.expm1(_BEND)).reshape(column)
    with np.errstate(all="ignore"):
        # Seconds per unit of way: what is left over the rate at which it goes, mol/L over mol/(L s).
        pace = stretch * reach * left / (dissolution_rate(path) * surface)
        along = _along_at(np.asarray(seconds, dtype=np.float64), pace)
    gone = np.where(reach > 0.0, -reach * np.expm1(-_progress(along)), 0.0 * full)
    return dissolve(water, CALCITE, 1000.0 * CALCITE.molar * gone)


def _along_at(seconds: Array, pace: Array) -> Array:
    """How far along the way (0 to 1) the water is after so many seconds, from d seconds / d way at _ALONG, first axis."""
    times = np.zeros_like(pace)
    # Integral of the cubic through four neighbours; of the parabola at both ends.
    times[2:-1] = (13.0 * (pace[1:-2] + pace[2:-1]) - pace[:-3] - pace[3:]) / 24.0
    times[1], times[-1] = (5.0 * pace[0] + 8.0 * pace[1] - pace[2]) / 12.0, (5.0 * pace[-1] + 8.0 * pace[-2] - pace[-3]) / 12.0
    times = np.cumsum(times, axis=0) / _STEPS
    shape = np.broadcast_shapes(seconds.shape, times.shape[1:])
    lead = (_STEPS + 1, *(1,) * (len(shape) - times.ndim + 1), *times.shape[1:])
    times, pace = (np.broadcast_to(a.reshape(lead), (_STEPS + 1, *shape)) for a in (times, pace))
    after = np.clip((times <= seconds).sum(axis=0), 1, _STEPS)[None]
    t0, t1 = (np.take_along_axis(times, after - k, axis=0)[0] for k in (1, 0))
    p0, p1 = (np.take_along_axis(pace, after - k, axis=0)[0] for k in (1, 0))
    span = t1 - t0
    s = np.clip((seconds - t0) / span, 0.0, 1.0)
    # Hermite cubic of the way over time, with slopes 1/pace.
    rise = s * s * (3.0 - 2.0 * s) / _STEPS + span * s * (1.0 - s) * ((1.0 - s) / p0 - s / p1)
    return np.asarray(_ALONG[after[0] - 1] + rise)
