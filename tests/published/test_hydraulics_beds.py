"""Beds, backwash and dirt against published equations and tables. The tables are model results, computed; rules of codes stand beside."""

from __future__ import annotations

import math

import fluids
import pytest

from trainapp.hydraulics.beds import (
    backwash_rate,
    bed_resistance,
    coarse_grain,
    expansion_exponent,
    expansion_rate,
    galileo,
    least_fluidisation,
    terminal_velocity,
)
from trainapp.hydraulics.constants import FOOT, GPM, INCH, PSI
from trainapp.hydraulics.devices import (
    BlockingLaw,
    blocking_loading,
    blocking_mass,
    blocking_ratio,
    cartridge_area,
    cartridge_resistance,
)
from trainapp.hydraulics.water_properties import water

#: m/s per gpm/ft2.
RATE = GPM / FOOT**2
MM = 1e-3


def _psi_a_foot(rate: float, celsius: float, grain: float = 0.60, void: float = 0.38) -> float:
    return bed_resistance(1.0, FOOT, grain * MM, void, celsius).loss(rate * RATE) / PSI


# Settled beds -----------------------------------------------------------------------------------------------------------------

_ERGUN = {
    5: (0.269, 0.682, 1.107, 1.397, 1.693, 2.146, 2.929),
    10: (0.232, 0.589, 0.958, 1.211, 1.470, 1.867, 2.557),
    15: (0.202, 0.515, 0.840, 1.064, 1.293, 1.646, 2.262),
    20: (0.178, 0.456, 0.745, 0.945, 1.150, 1.467, 2.024),
    25: (0.159, 0.407, 0.667, 0.847, 1.032, 1.321, 1.828),
}


@pytest.mark.parametrize("celsius", _ERGUN)
def test_clean_bed_loss(celsius: int) -> None:
    """Ergun 1952, 0.60 mm, void 0.38, at 2, 5, 8, 10, 12, 15, 20 gpm/ft2, psi a foot (computed)."""
    assert [_psi_a_foot(rate, celsius) for rate in (2, 5, 8, 10, 12, 15, 20)] == pytest.approx(_ERGUN[celsius], rel=2e-3, abs=6e-4)


@pytest.mark.parametrize(
    ("grain", "void", "psi"),
    [
        (0.6, 0.35, 1.492),
        (0.6, 0.36, 1.331),
        (0.6, 0.40, 0.856),
        (0.6, 0.42, 0.693),
        (0.45, 0.38, 1.862),
        (0.50, 0.38, 1.516),
        (0.70, 0.38, 0.790),
    ],
)
def test_clean_bed_loss_by_grain_and_void(grain: float, void: float, psi: float) -> None:
    """The same at 15 C and 10 gpm/ft2 (computed)."""
    assert _psi_a_foot(10, 15.0, grain, void) == pytest.approx(psi, rel=2e-3)


@pytest.mark.parametrize(("rate", "celsius", "sphericity"), [(5.0, 10.0, 1.0), (20.0, 5.0, 0.8)])
def test_clean_bed_loss_against_the_library(rate: float, celsius: float, sphericity: float) -> None:
    """fluids.packed_bed.Ergun."""
    now = water(celsius)
    theirs = fluids.packed_bed.Ergun(dp=0.6 * MM * sphericity, voidage=0.38, vs=rate * RATE, rho=now.density, mu=now.viscosity, L=1.0)
    assert bed_resistance(1.0, 1.0, 0.6 * MM, 0.38, celsius, sphericity).loss(rate * RATE) == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize(("gpm", "psi"), [(10.0, 6.39), (5.0, 3.04)])
def test_softener_bed(gpm: float, psi: float) -> None:
    """10 in tank, 33 in of resin, 10 C: 18.33 gpm/ft2 at 10 gpm (computed; NSF/ANSI 44 allows 15 psi for the whole softener)."""
    area = 0.25 * math.pi * (10.0 * INCH) ** 2
    assert 10.0 * GPM / area / RATE == pytest.approx(18.33, rel=1e-3)
    assert bed_resistance(area, 33.0 * INCH, 0.6 * MM, 0.38, 10.0).loss(gpm * GPM) / PSI == pytest.approx(psi, rel=0.02)


def test_sand_bed() -> None:
    """24 in of 0.55 mm sand, sphericity 0.8, void 0.42, 5 gpm/ft2, 10 C: 1.41 psi (computed)."""
    assert bed_resistance(1.0, 24.0 * INCH, 0.55 * MM, 0.42, 10.0, 0.8).loss(5.0 * RATE) / PSI == pytest.approx(1.41, rel=5e-3)


# Backwash ---------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lift", "celsius", "rate"),
    [
        (0.3, 4, 2.46), (0.3, 10, 3.00), (0.3, 15, 3.46), (0.3, 20, 3.93), (0.3, 25, 4.42),
        (0.5, 4, 3.92), (0.5, 10, 4.69), (0.5, 15, 5.35), (0.5, 20, 6.01), (0.5, 25, 6.68),
    ],
)  # fmt: skip
def test_resin_backwash(lift: float, celsius: float, rate: float) -> None:
    """Richardson and Zaki 1954 with Garside and Al-Dibouni's exponent and Schiller and Naumann's drag: 0.65 mm, 1270 kg/m3, void 0.38."""
    found = expansion_rate(lift, 0.65 * MM, 1270.0, 0.38, celsius)
    assert found / RATE == pytest.approx(rate, abs=0.011)


def test_municipal_resin_backwash() -> None:
    """6 to 8 gpm/ft2 (12VAC5-590-900, 35 Ill. Adm. Code 604.805; published) is about 50 % at 20 to 25 C and 80 to 100 % and more at 4 C."""
    least, most, cold = (
        expansion_rate(lift, 0.65 * MM, 1270.0, 0.38, celsius) for lift, celsius in ((0.45, 20.0), (0.55, 20.0), (0.75, 4.0))
    )
    assert least < 6.0 * RATE < most and cold < 6.0 * RATE


_MEDIA = {
    "silica sand 0.45": (0.45, 1.5, 2650, 0.886, (9.3, 10.7, 12.1, 13.5, 14.9)),
    "silica sand 0.50": (0.50, 1.5, 2650, 0.984, (11.3, 12.9, 14.6, 16.2, 17.7)),
    "anthracite": (1.0, 1.5, 1600, 1.968, (15.1, 16.9, 18.6, 20.2, 21.7)),
    "manganese greensand": (0.35, 1.6, 2500, 0.767, (6.4, 7.4, 8.5, 9.5, 10.6)),
    "manganese dioxide": (0.50, 1.6, 3900, 1.096, (23.1, 25.9, 28.7, 31.3, 33.7)),
    "garnet": (0.25, 1.5, 4000, 0.492, (5.4, 6.2, 7.1, 8.0, 8.9)),
    "carbon 0.6": (0.6, 1.9, 1400, 1.753, (8.5, 9.7, 10.9, 12.0, 13.2)),
    "carbon 1.0": (1.0, 1.6, 1400, 2.192, (12.6, 14.1, 15.6, 17.0, 18.3)),
    "calcite": (0.6, 1.6, 2710, 1.315, (19.6, 22.0, 24.3, 26.5, 28.5)),
}


@pytest.mark.parametrize("medium", _MEDIA)
def test_angular_media_backwash(medium: str) -> None:
    """1.3 x Wen and Yu's fluidisation velocity of d90 at 5, 10, 15, 20, 25 C, gpm/ft2 (computed; the factor is Cleasby's, from memory)."""
    size, uniformity, grain_density, d90, rates = _MEDIA[medium]
    assert coarse_grain(size * MM, uniformity) / MM == pytest.approx(d90, abs=1e-3)
    found = [backwash_rate(size * MM, uniformity, grain_density, t) / RATE for t in (5, 10, 15, 20, 25)]
    assert found == pytest.approx(rates, abs=0.06)


def test_backwash_against_codes() -> None:
    """Greensand 8 to 10 gpm/ft2 (NR 811.52(3)(d), OAC 252:626-9-7), 8 (35 Ill. Adm. Code 604.1010(c)); published."""
    assert 6.0 < backwash_rate(0.35 * MM, 1.6, 2500.0, 5.0) / RATE < 8.0 < backwash_rate(0.35 * MM, 1.6, 2500.0, 15.0) / RATE < 10.0


@pytest.mark.parametrize(("grain", "grain_density", "celsius"), [(0.984, 2650.0, 15.0), (1.968, 1600.0, 5.0)])
def test_fluidisation_against_wen_and_yus_archimedes_form(grain: float, grain_density: float, celsius: float) -> None:
    """Their Reynolds number fluidises at the Archimedes number 1650 Re + 24.5 Re^2, the quadratic that 33.7 and 0.0408 come from."""
    now = water(celsius)
    reynolds = least_fluidisation(grain * MM, grain_density, celsius) * grain * MM / now.kinematic
    assert 1650.0 * reynolds + 24.5 * reynolds**2 == pytest.approx(galileo(grain * MM, grain_density, now), rel=5e-3)


@pytest.mark.parametrize(("micrometres", "millimetres_a_second"), [(10.0, 0.0689), (100.0, 6.31)])
def test_settling(micrometres: float, millimetres_a_second: float) -> None:
    """Silica at 10 C: Stokes' 0.0689 mm/s for 10 um, and with Schiller and Naumann's drag 6.31 for 100 um, not Stokes' 6.89 (computed)."""
    assert terminal_velocity(micrometres * 1e-6, 2650.0, 10.0) / MM == pytest.approx(millimetres_a_second, rel=0.01)


def test_settling_against_the_library() -> None:
    """At the settling velocity weight equals drag by another correlation, Clift and Gauvin's as fluids carries it, within 3 %."""
    now = water(15.0)
    velocity = terminal_velocity(0.65 * MM, 1270.0, 15.0)
    reynolds = velocity * 0.65 * MM / now.kinematic
    weight = 4.0 / 3.0 * 9.80665 * 0.65 * MM * (1270.0 - now.density) / now.density
    assert fluids.drag.Clift_Gauvin(reynolds) * velocity**2 == pytest.approx(weight, rel=0.03)


@pytest.mark.parametrize(("reynolds", "exponent"), [(1e-4, 5.1), (1e6, 2.7), (30.0 ** (1.0 / 0.9), 3.3)])
def test_exponent_of_expansion(reynolds: float, exponent: float) -> None:
    """(5.1 - n)/(n - 2.7) = 0.1 Re^0.9: its two ends, and n 3.3 where the right side is 3, at Re 30^(1/0.9) (hand-worked)."""
    assert expansion_exponent(reynolds) == pytest.approx(exponent, rel=1e-3)


# Cartridges and dirt ----------------------------------------------------------------------------------------------------------


def test_cartridge_areas() -> None:
    """10 x 2.5 in has 0.545 ft2 outside, 20 x 4.5 in 1.963 ft2, 3.6 times that (geometry)."""
    small, large = cartridge_area(2.5 * INCH, 10.0 * INCH), cartridge_area(4.5 * INCH, 20.0 * INCH)
    assert (small / FOOT**2, large / FOOT**2) == pytest.approx((0.545, 1.963), abs=1e-3)
    assert large / small == pytest.approx(3.6, rel=1e-9)


def test_cartridge_in_cold_water_and_larger() -> None:
    """The wall's part goes with viscosity (5 C is 1.52 times 20 C, IAPWS) and inversely with area; the ports' part with neither."""
    rated = cartridge_resistance(1.0 * PSI, 5.0 * GPM, 0.6)
    assert rated.loss(5.0 * GPM) / PSI == pytest.approx(1.0, rel=1e-9)
    cold = cartridge_resistance(1.0 * PSI, 5.0 * GPM, 0.6, temperature=5.0)
    assert cold.linear / rated.linear == pytest.approx(1.52, abs=0.005)
    large = cartridge_resistance(1.0 * PSI, 5.0 * GPM, 0.6, area_ratio=3.6)
    assert large.loss(5.0 * GPM) / PSI == pytest.approx(0.6 / 3.6 + 0.4, rel=1e-9)


@pytest.mark.parametrize(("law", "ratio"), [("cake", 1.5), ("intermediate", 1.649), ("complete", 2.0), ("standard", 4.0)])
def test_blocking_half_loaded(law: BlockingLaw, ratio: float) -> None:
    """Hermia 1982 at constant flow, half of the blocking mass held."""
    assert blocking_ratio(law, 0.5) == pytest.approx(ratio, rel=1e-3)
    assert blocking_loading(law, ratio) == pytest.approx(0.5, rel=1e-3)


def test_blocking_mass_of_a_depth_cartridge() -> None:
    """M = capacity/(1 - sqrt(dP0/dPend)): 50 g at 2 psi clean and 20 psi dirty is 73.1 g (hand-worked)."""
    assert blocking_mass("standard", 50.0, 10.0) == pytest.approx(50.0 / (1.0 - math.sqrt(0.1)), rel=1e-12)
    assert blocking_mass("standard", 50.0, 10.0) == pytest.approx(73.1, abs=0.05)
