"""How fast oxygen oxidises dissolved iron in plain water, and how acid a water turns: the slow chemistry of tanks.

d[Fe(II)]/dt = -(k1 + k2 [OH-]^2 p_O2) [Fe(II)], with the constants of USGS TM 6-A43, example 9 (Stumm and Lee's rate). Temperature acts
through the ion product of water alone, which gives the known factor of about ten per 15 K at fixed pH. Iron and oxygen are used up
together, so the pair is a second-order reaction with a closed solution.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from trainapp.stages._oxidation import constants, demand
from trainapp.stages.working import Array, Working
from trainapp.water.stream import Stream
from trainapp.water.thermodynamics import KELVIN, log_k

_ACID_END, _BASE_END = 4.5, 8.3
#: pH from which Stumm and Lee's rate holds (1961, from memory), and the warmest water of Benson and Krause, degC.
_RATE_FROM, _OXYGEN_TO = 6.0, 40.0
#: mg/L, stands for none where a quotient or a logarithm needs something.
_TRACE = 1e-9


@cache
def pk_water(temperature: float) -> float:
    """pKw at degC."""
    return -float(log_k("species", "hydroxide", temperature))


@cache
def pk_carbonic(temperature: float) -> float:
    """First dissociation of carbonic acid, pK1 at degC; Plummer and Busenberg (1982)."""
    return float(log_k("species", "carbon_dioxide", temperature) - log_k("species", "bicarbonate", temperature))


@cache
def log_henry(temperature: float) -> float:
    """Decadic logarithm of the mol/L of carbon dioxide that water holds per atm, degC; Plummer and Busenberg (1982), from memory."""
    return float(log_k("gases", "carbon_dioxide", temperature))


@cache
def oxygen_saturation(temperature: float) -> float:
    """mg/L of oxygen in fresh water under damp air at one atmosphere, degC 0 to 40; Benson and Krause (1984), from memory."""
    t = temperature + KELVIN
    return float(np.exp(-139.34411 + 1.575701e5 / t - 6.642308e7 / t**2 + 1.243800e10 / t**3 - 8.621949e11 / t**4))


def saturation_note(temperature: float) -> str:
    """One sentence where water is warmer (degC) than Benson and Krause's formula holds for, else nothing."""
    return f"the formula holds to {_OXYGEN_TO:g} °C" if temperature > _OXYGEN_TO else ""


def rate_note(ph: Array) -> str:
    """One sentence where the pH of water 0 is below the range of the published rate, else nothing."""
    least = float(np.min(np.asarray(ph)[..., 0]))
    return f"below pH {_RATE_FROM:g} the published rate is drawn on" if least < _RATE_FROM else ""


def oxygenation_rate(hydroxide: Array | float, pressure: Array | float) -> Array:
    """1/s at which dissolved iron is oxidised, from the activity of OH- (mol/L) and the partial pressure of oxygen (atm)."""
    table = constants()
    return np.asarray(table["oxygenation_first"] + table["oxygenation"] * np.square(hydroxide) * pressure)


def rate_per_oxygen(ph: Array, temperature: float) -> Array:
    """1/s per mg/L of dissolved oxygen: the rate at saturation over the saturation."""
    hydroxide = 10.0 ** (ph - pk_water(temperature))
    return oxygenation_rate(hydroxide, constants()["oxygen_pressure"]) / oxygen_saturation(temperature)


def iron_oxygenated(iron: Array, oxygen: Array, rate: Array, seconds: Array) -> Array:
    """mg/L of dissolved iron that oxygen takes in `seconds` of plug flow, both reagents running down together.

    x = a b (1 - E)/(b - a E) with E = exp(-(b - a) k t), a the iron, b the iron that the oxygen could take, k t the reach.

    Args:
        rate: 1/s per mg/L of oxygen.
    """
    ratio = demand("oxygen", "iron")
    a, b = iron, oxygen / ratio
    gap = b - a
    # equal amounts make 0/0; a billionth more of one moves the answer by as little
    gap = np.where(np.abs(gap) < 1e-9 * (a + b) + 1e-12, 1e-9 * (a + b) + 1e-12, gap)
    grown = np.expm1(np.clip(gap * (rate * ratio) * seconds, -50.0, 50.0))
    done: Array = a * b * grown / (b * grown + gap)
    return np.clip(done, 0.0, np.minimum(a, b))


def ph_after(ph: Array, alkalinity: Array, change: Array, temperature: float) -> Array:
    """pH when `change` of alkalinity (mg/L CaCO3, negative for acid) meets a water closed to air.

    From carbon dioxide and bicarbonate alone. Exact enough below pH 8.3, where carbonate hardly counts; base never lifts a water past
    8.3 here, and acid brings none below 4.5.
    """
    pk1 = pk_carbonic(temperature)
    dioxide = np.maximum(alkalinity * 10.0 ** (pk1 - ph), _TRACE)
    left = np.maximum(alkalinity + change, constants()["least_alkalinity"])
    least = np.minimum(dioxide, left * 10.0 ** (pk1 - _BASE_END))
    acid_ratio = np.maximum(dioxide - change, least) / dioxide
    moved = ph + np.log10(left / np.maximum(alkalinity, _TRACE) / acid_ratio)
    # alkalinity is used up at about pH 4.5: below it these two say nothing more
    return np.asarray(np.clip(moved, np.minimum(ph, _ACID_END), np.maximum(ph, _BASE_END)))


def settle_ph(before: Stream, after: Stream, temperature: float, w: Working) -> None:
    """Set the pH of `after` by what its alkalinity changed by against `before`, closed to air."""
    ph, alkalinity = before.row("ph"), before.row("alkalinity")
    change = w.step("ΔAlk", "alkalinity gained or used", after.row("alkalinity") - alkalinity, "hardness", source="stoichiometry")
    after.set("ph", ph_after(ph, alkalinity, change, temperature))
    with np.errstate(divide="ignore", invalid="ignore"):
        grown = after.row("alkalinity") / alkalinity * 10.0 ** (ph - after.row("ph"))
    after.scale(("carbon_dioxide",), np.where(np.isfinite(grown) & (alkalinity > 0.0), grown, 1.0))
    if w.keep:
        beyond = float(np.max(ph[..., 0])) > _BASE_END
        w.step(
            "pH_out", "pH it leaves with", after.row("ph"), "ph", formula="pH + lg(HCO₃′/HCO₃) − lg(CO₂′/CO₂)", result="ph_out",
            source="plummer-busenberg-1982", note=f"above pH {_BASE_END:g} carbonate counts too, which this leaves out" if beyond else "",
        )  # fmt: skip
