"""Calcite taken up on the way through a bed, for many contact times at once and quick enough for every evaluation.

Both ends of the way, the water that enters and the water in equilibrium, are solved exactly. Between them the carbonate balance is
written with conditional constants that run, in logarithms, from those of one end to those of the other; pH only rises on the way, so it is
taken in steps, and what has dissolved at each follows in closed form. :func:`trainapp.water.dissolution.contact` solves every point of the
way, at many times the cost; pH agrees within 0.02, in the softest water with no buffer left within 0.15.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from trainapp.water.carbonate import CarbonateWater
from trainapp.water.dissolution import surface_rate
from trainapp.water.thermodynamics import LN10, SPECIES, Array

# pH is told where this share of its rise is left: closer at both ends, where it moves least with what dissolves.
_STEPS, _FAR = 32, 9.0
_ALONG = np.linspace(0.0, 1.0, _STEPS + 1)
_TO_GO = (1.0 - _ALONG) * np.exp(-_FAR * _ALONG**3)
_ALKALINITY = 50043.5
_BICARBONATES = [i for i, name in enumerate(SPECIES) if name.endswith("bicarbonate")]
_CARBONATES = [i for i, name in enumerate(SPECIES) if name.endswith("carbonate") and i not in _BICARBONATES]
_TRACE = 1e-20


@dataclass(frozen=True, slots=True)
class Passed:
    """Water that has passed a bed, arrays of the common shape of water and contact time.

    Attributes:
        dissolved: calcite taken up, mol/L; none from water that is saturated.
        ph: pH.
        carbon_dioxide: free, mol/L.
    """

    dissolved: Array
    ph: Array
    carbon_dioxide: Array


def pass_bed(entering: CarbonateWater, saturated: CarbonateWater, seconds: ArrayLike, grain: float, porosity: float) -> Passed:
    """The water behind a bed of calcite in plug flow; the rate is that of a clean surface without film resistance, an upper bound.

    Args:
        entering: what enters. saturated: the same in equilibrium with calcite.
        seconds: empty-bed contact time; broadcasts with the water. grain: diameter, m. porosity: of the bed.
    """
    reach = np.maximum(saturated.dissolved, 0.0)
    surface = 6.0 * (1.0 - porosity) / grain / 100.0
    with np.errstate(all="ignore"):
        ph, gone, dioxide, index = _way(entering, saturated, reach)
        activity = dioxide * 10.0 ** (0.1 * entering.ionic_strength)
        rate = surface_rate(ph, activity, np.minimum(index, -1e-12), entering.temperature) * surface
        times = np.zeros_like(gone)
        # mol/L over mol/(L s); between two points the rate falls like a power, so the logarithmic mean is taken
        steps = np.diff(gone, axis=0) / _log_mean(rate[:-1], rate[1:])
        np.cumsum(steps, axis=0, out=times[1:])
        ph, gone, dioxide = _read(np.asarray(seconds, dtype=np.float64), times, (ph, gone, dioxide))
    moving, still = reach > 0.0, entering.concentration("carbon_dioxide")
    return Passed(np.where(moving, gone, 0.0 * reach), np.where(moving, ph, entering.ph), np.where(moving, dioxide, still))


def _way(start: CarbonateWater, end: CarbonateWater, reach: Array) -> tuple[Array, Array, Array, Array]:
    """pH, calcite dissolved (mol/L), carbon dioxide (mol/L) and saturation index at every step of the way, steps first."""
    first, last = _constants(start), _constants(end)
    to_go = _TO_GO.reshape(-1, *(1,) * reach.ndim)
    ph = end.ph + (start.ph - end.ph) * to_go
    proton = 10.0**-ph
    alkalinity = start.alkalinity / _ALKALINITY
    share = 1.0 - to_go
    k1, k2, kw, solubility = (np.exp(a + share * (b - a)) for a, b in zip(first, last, strict=True))
    whole = proton * proton + k1 * proton + k1 * k2
    charges = (k1 * proton + 2.0 * k1 * k2) / whole
    gone = np.clip((start.carbon * charges + kw / proton - proton - alkalinity) / (2.0 - charges), 0.0, reach)
    gone[0], gone[-1] = 0.0, reach
    carbon = start.carbon + gone
    calcium = np.asarray(start.ions.moles("calcium")) + gone
    index = np.log(np.maximum(calcium, _TRACE) * carbon * k1 * k2 / whole * solubility) / LN10
    return ph, gone, np.asarray(carbon * proton * proton / whole), index


def _constants(water: CarbonateWater) -> tuple[Array, Array, Array, Array]:
    """Logarithms of the conditional constants of a solved water: both dissociations, hydroxide, calcite ratio per calcium x carbonate."""
    proton = 10.0**-water.ph
    dioxide = np.maximum(water.concentration("carbon_dioxide"), _TRACE)
    bicarbonate = np.maximum(water.species[_BICARBONATES].sum(axis=0), _TRACE)
    carbonate = np.maximum(water.species[_CARBONATES].sum(axis=0), _TRACE)
    rest = water.alkalinity / _ALKALINITY - bicarbonate - 2.0 * carbonate
    hydroxide = np.maximum(rest + proton, _TRACE)
    ratio = water.calcite_index * LN10 - np.log(np.maximum(np.asarray(water.ions.moles("calcium")), _TRACE) * carbonate)
    return np.log(proton * bicarbonate / dioxide), np.log(proton * carbonate / bicarbonate), np.log(hydroxide * proton), ratio


def _log_mean(first: Array, second: Array) -> Array:
    ratio = np.maximum(first, 1e-300) / np.maximum(second, 1e-300)
    even = np.abs(ratio - 1.0) < 1e-6
    return np.asarray(np.where(even, first, (first - second) / np.log(np.where(even, 2.0, ratio))))


def _read(seconds: Array, times: Array, rows: tuple[Array, ...]) -> Array:
    """Rows after so many seconds, straight between the steps of the way; the last step beyond it. Shape (rows, ...)."""
    shape = np.broadcast_shapes(seconds.shape, times.shape[1:])
    table = np.stack((times, *rows)).reshape(len(rows) + 1, times.shape[0], *(1,) * (len(shape) - times.ndim + 1), *times.shape[1:])
    after = np.broadcast_to(np.clip((table[0] <= seconds).sum(axis=0), 1, _STEPS), shape)
    where: list[Any] = [np.arange(n).reshape(-1, *(1,) * (len(shape) - 1 - k)) for k, n in enumerate(table.shape[2:])]
    low, high = table[:, after - 1, *where], table[:, after, *where]
    span = high[0] - low[0]
    part = np.clip((seconds - low[0]) / np.where(span > 0.0, span, 1.0), 0.0, 1.0)
    return np.asarray(low[1:] + part * (high[1:] - low[1:]))
