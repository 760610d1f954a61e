"""The carbonate system of water: pH, alkalinity, inorganic carbon and the saturation of calcite, with ion pairs, for arrays of any shape.

Stated accuracy: pH and saturation index within 0.03 of PHREEQC (phreeqc.dat) up to ionic strength 0.1 mol/L, 0.10 above; 0 to 70 degC.
Everything here broadcasts; NaN in gives NaN out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from trainapp.water.analytes import BY_KEY
from trainapp.water.newton import CALCITE_DOSE, Question, Totals
from trainapp.water.speciation import Solved, solve
from trainapp.water.thermodynamics import LN10, SPECIES, Array

#: mol/L of ionic strength up to which pH and saturation index hold within 0.03.
SURE_TO = 0.1
#: A saturation index of no more than this means that there is next to no calcium or carbonate.
LOWEST_INDEX = -20.0
#: mg/L as CaCO3 in one eq/L, and mg/L of carbon dioxide in one mol/L.
_ALKALINITY = 1000.0 * BY_KEY["alkalinity"].equivalent
_CO2 = 1000.0 * BY_KEY["carbon_dioxide"].molar


@dataclass(frozen=True, slots=True)
class Ions:
    """Major ions beside those of carbonic acid, mg/L (nitrate and ammonia as N), numbers or arrays that broadcast."""

    calcium: ArrayLike
    magnesium: ArrayLike
    sodium: ArrayLike
    potassium: ArrayLike = 0.0
    chloride: ArrayLike = 0.0
    sulfate: ArrayLike = 0.0
    nitrate: ArrayLike = 0.0
    ammonia: ArrayLike = 0.0

    def moles(self, name: str) -> Array:
        """mol/L of one of them."""
        return np.asarray(getattr(self, name), dtype=np.float64) / (1000.0 * BY_KEY[name].molar)


@dataclass(frozen=True, slots=True)
class CarbonateWater:
    """Water with its carbonate system solved; arrays of one shape.

    Attributes:
        ph: pH.
        alkalinity: mg/L as CaCO3.
        carbon: all dissolved inorganic carbon, mol/L.
        calcite_index: log10 of the saturation ratio of calcite, not below LOWEST_INDEX.
        ionic_strength: mol/L.
        temperature: degC.
        ions: the other ions, after what dissolved.
        dissolved: mol/L of the solid or reagent of the last step, negative where it fell out; 0 without one.
        species: concentrations in the order of trainapp.water.thermodynamics.SPECIES, mol/L, shape (21, ...).
    """

    ph: Array
    alkalinity: Array
    carbon: Array
    calcite_index: Array
    ionic_strength: Array
    temperature: Array
    ions: Ions
    dissolved: Array
    species: Array

    def concentration(self, species: str) -> Array:
        """mol/L of one species."""
        found: Array = self.species[SPECIES.index(species)]
        return found

    @property
    def carbon_dioxide(self) -> Array:
        """mg/L of free carbon dioxide."""
        return np.asarray(_CO2 * self.concentration("carbon_dioxide"))

    @property
    def hardness(self) -> Array:
        """Calcium and magnesium, mg/L as CaCO3."""
        return np.asarray(2.0 * _ALKALINITY * (self.ions.moles("calcium") + self.ions.moles("magnesium")))


def from_ph(ph: ArrayLike, alkalinity: ArrayLike, ions: Ions, temperature: ArrayLike) -> CarbonateWater:
    """Water of known pH and alkalinity (mg/L as CaCO3) at degC.

    Where hydroxide alone makes more than the alkalinity given, there is no inorganic carbon, and the alkalinity of the answer is that of
    the hydroxide. Below pH 4.5 alkalinity says little about carbon dioxide: a small error of either is a large one of carbon.
    """
    return run("ph", ions, temperature, alkalinity, 0.0, ph)


def from_carbon(carbon: ArrayLike, alkalinity: ArrayLike, ions: Ions, temperature: ArrayLike) -> CarbonateWater:
    """Water of known inorganic carbon (mol/L) and alkalinity (mg/L as CaCO3) at degC: what a closed water keeps when its pH moves."""
    return run("carbon", ions, temperature, alkalinity, carbon)


def at_temperature(water: CarbonateWater, temperature: ArrayLike) -> CarbonateWater:
    """The same water heated or cooled to degC, nothing lost or let in."""
    return from_carbon(water.carbon, water.alkalinity, water.ions, temperature)


def run(
    question: Question,
    ions: Ions,
    temperature: ArrayLike,
    alkalinity: ArrayLike,
    carbon: ArrayLike,
    ph: ArrayLike = 0.0,
    dose: Sequence[float] = CALCITE_DOSE,
) -> CarbonateWater:
    """Ask :func:`trainapp.water.speciation.solve` for waters of any shape; `dose` is what one mole of the solid or reagent brings."""
    names = [f.name for f in fields(Ions)]
    given = [temperature, alkalinity, carbon, ph, *(getattr(ions, name) for name in names)]
    arrays = np.broadcast_arrays(*(np.asarray(a, dtype=np.float64) for a in given))
    shape, flat = arrays[0].shape, [a.reshape(-1) for a in arrays]
    mg = dict(zip(names, flat[4:], strict=True))
    mol = {name: mg[name] / (1000.0 * BY_KEY[name].molar) for name in names}
    totals = Totals(
        np.stack([mol["calcium"], mol["magnesium"], mol["sodium"]]), mol["sulfate"], flat[2], flat[1] / _ALKALINITY,
        mol["potassium"] + mol["chloride"] + mol["nitrate"] + mol["ammonia"], flat[0],
    )  # fmt: skip
    solved = solve(question, totals, flat[3] if question in ("ph", "dose") else None, dose)
    return _answer(solved, shape, flat[0], mg, dose)


def _answer(s: Solved, shape: tuple[int, ...], temperature: Array, mg: dict[str, Array], dose: Sequence[float]) -> CarbonateWater:
    """A solved water in the shape and units of the callers."""
    if s.amount.any():
        for name, moles in zip(("calcium", "magnesium", "sodium"), dose, strict=False):
            mg[name] = mg[name] + moles * s.amount * (1000.0 * BY_KEY[name].molar)
    # a water of which anything is unknown stays unknown as a whole
    lost = np.isnan(s.ionic_strength)
    if lost.any():
        s.species[:, lost] = s.log_proton[lost] = s.log_ratio[lost] = s.amount[lost] = np.nan
    index = np.maximum(s.log_ratio / LN10, LOWEST_INDEX)

    def shaped(flat: Array) -> Array:
        return np.asarray(flat.reshape((*flat.shape[:-1], *shape)))

    return CarbonateWater(
        shaped(-s.log_proton / LN10), shaped(_ALKALINITY * s.alkalinity), shaped(s.carbon), shaped(index), shaped(s.ionic_strength),
        shaped(temperature), Ions(**{name: shaped(value) for name, value in mg.items()}), shaped(s.amount), shaped(s.species),
    )  # fmt: skip
