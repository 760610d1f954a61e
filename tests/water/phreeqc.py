"""PHREEQC with the USGS database phreeqc.dat, through phreeqpython: the outside reference of the water chemistry."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from phreeqpython import PhreeqPython

from trainapp.water.carbonate import Ions

Array = NDArray[np.float64]


@cache
def phreeqc() -> PhreeqPython:
    """One instance for all tests: starting it reads the database."""
    return PhreeqPython(database="phreeqc.dat")


def solution(ph: float, ions: Ions, temperature: float, *, alkalinity: float = 0.0, carbon: float = 0.0) -> Any:
    """A solution of the major ions by pH, and by alkalinity (mg/L as CaCO3) or else inorganic carbon (mol/L)."""
    given = {"units": "mg/L", "pH": ph, "temp": temperature, "S(6)": f"{ions.sulfate} as SO4"}
    given |= {"Alkalinity": f"{alkalinity} as CaCO3"} if alkalinity else {"C": f"{12011.0 * carbon} as C"}
    symbols = {"Ca": ions.calcium, "Mg": ions.magnesium, "Na": ions.sodium, "K": ions.potassium, "Cl": ions.chloride}
    return phreeqc().add_solution(given | symbols)


def at(ions: Ions, i: int) -> Ions:
    """The ions of one water of many."""
    names = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate", "ammonia")
    return Ions(**{name: float(np.broadcast_to(getattr(ions, name), np.shape(ions.calcium))[i]) for name in names})


def drawn_waters(count: int, seed: int, strongest: float = 1.0) -> tuple[Array, Array, Ions, Array]:
    """pH, alkalinity, ions and temperature of waters drawn at random, sulfate in all of them; chloride or sodium balance the charges.

    `strongest` multiplies the greatest concentrations.
    """
    draw = np.random.default_rng(seed)

    def spread(low: float, high: float) -> Array:
        return np.asarray(10.0 ** draw.uniform(np.log10(low), np.log10(high * strongest), count))

    calcium, magnesium, potassium = spread(0.5, 400.0), spread(0.3, 120.0), spread(0.3, 30.0)
    sulfate, alkalinity, sodium = spread(1.0, 900.0), spread(6.0, 450.0), spread(1.0, 350.0)
    ph, temperature = draw.uniform(5.8, 9.0, count), draw.uniform(2.0, 30.0, count)
    charge = calcium / 20.039 + magnesium / 12.1525 + sodium / 22.990 + potassium / 39.098 - alkalinity / 50.0435 - sulfate / 48.03
    chloride, sodium = np.maximum(charge, 0.0) * 35.453, sodium + np.maximum(-charge, 0.0) * 22.990
    return ph, alkalinity, Ions(calcium, magnesium, sodium, potassium, chloride, sulfate), temperature
