"""Water chemistry against published constants, formulas and worked cases; each check names its source and how sure it is."""

from __future__ import annotations

import numpy as np
import pytest

from trainapp.units import parse
from trainapp.water.carbonate import CarbonateWater, Ions, at_temperature, from_ph
from trainapp.water.dissolution import (
    CALCITE,
    MAGNESIA,
    SODA_ASH,
    contact,
    dissolve,
    dissolved_mass,
    dose_to_ph,
    saturated,
)
from trainapp.water.indices import charge_balance, conductivity, dissolved_solids, langelier, sodium_by_charge
from trainapp.water.rows import CALCIUM_HARDNESS, MAGNESIUM_HARDNESS
from trainapp.water.sample import read_result
from trainapp.water.thermodynamics import debye_hueckel, dielectric_constant, log_k, water_density
from trainapp.water.uvt import absorbance, absorptivity, napierian, transmittance

# Units and sums ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "mg"), [("20 gpg", 342.36), ("10 dH", 178.48), ("10 Clark", 142.54), ("2 mmol/L", 200.17), ("10 fH", 100.0)]
)
def test_hardness_degrees(text: str, mg: float) -> None:
    """Degrees of hardness as mg/L CaCO3, by their definitions (computed), 0.1 %."""
    assert read_result("hardness", text).low == pytest.approx(mg, rel=1e-3)


def test_hardness_by_calculation() -> None:
    """Standard Methods 2340 B, 2.497 Ca + 4.118 Mg (from memory, factors recomputed): Ca 51, Mg 3.4 give 141.35 mg/L."""
    per_calcium, per_magnesium = CALCIUM_HARDNESS, MAGNESIUM_HARDNESS
    assert (per_calcium, per_magnesium) == pytest.approx((2.497, 4.118), abs=5e-4)
    assert per_calcium * 51.0 + per_magnesium * 3.4 == pytest.approx(141.35, abs=0.1)
    assert 141.35 / parse("1 gpg", "hardness") == pytest.approx(8.26, abs=0.01)


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("alkalinity", "100 mg/L as HCO3", 82.02),
        ("nitrate", "44.27 mg/L as NO3", 10.0),
        ("calcium", "1 meq/L", 20.039),
        ("iron", "1 meq/L", 27.92),
    ],
)
def test_bases(name: str, text: str, value: float) -> None:
    """HCO3 to alkalinity 0.8202, nitrate 4.427 per N, equivalents (stoichiometry, computed)."""
    assert read_result(name, text).low == pytest.approx(value, rel=1e-3)


#: Sample 19A.031-30 of KWR-Water/hgc, dataset_basic.csv (MIT, copyright 2019 KWR): alkalinity of 146 mg/L HCO3.
_DUNE = {
    "sodium": 29.0, "potassium": 2.0, "calcium": 51.0, "magnesium": 3.4, "iron_dissolved": 0.51, "manganese_dissolved": 0.13,
    "ammonia": 0.44 * 14.007 / 18.039, "alkalinity": 146.0 * 0.82017, "chloride": 45.0, "sulfate": 22.0, "fluoride": 0.01,
}  # fmt: skip


def test_charge_balance_of_a_real_water() -> None:
    """Standard Methods 1030 E (form published, limits from memory): cations 4.185, anions 4.121 meq/L, +0.77 %, accepted at 2 %."""
    balance = charge_balance(_DUNE)
    assert (float(balance.cations), float(balance.anions)) == pytest.approx((4.185, 4.121), abs=0.005)
    assert float(balance.error) == pytest.approx(0.77, abs=0.05)
    assert float(balance.allowed) == 2.0 and abs(balance.error) < balance.allowed


def test_charge_balance_tells_a_wrong_basis() -> None:
    """The same water with alkalinity misread as CaCO3: anions 4.646 meq/L, -5.2 %: not accepted (Standard Methods 1030 E, from memory)."""
    balance = charge_balance(_DUNE | {"alkalinity": 146.0})
    assert float(balance.anions) == pytest.approx(4.646, abs=0.005)
    assert float(balance.error) == pytest.approx(-5.2, abs=0.1) and abs(balance.error) > balance.allowed


@pytest.mark.parametrize(("anions", "meq"), [(1.0, 0.2), (2.9, 0.2), (5.0, 0.2), (20.0, 2.0)])
def test_charge_balance_acceptance(anions: float, meq: float) -> None:
    """Standard Methods 1030 E (from memory): 0.2 meq/L up to 3 meq/L of anions, 2 % to 10, 5 % above."""
    balance = charge_balance({"sodium": 22.990 * anions, "chloride": 35.453 * anions})
    assert float(balance.allowed) / 100.0 * 2.0 * anions == pytest.approx(meq)


def test_dissolved_solids_of_a_real_water() -> None:
    """Standard Methods 1030 E, 0.6 alkalinity and the ions: 225 mg/L within 2 %; 0.58 of its conductivity of 390 uS/cm (from memory)."""
    solids = float(dissolved_solids(_DUNE))
    assert solids == pytest.approx(225.0, rel=0.02) and solids / 390.0 == pytest.approx(0.58, rel=0.02)


def test_sodium_by_difference() -> None:
    """What the charges of the same water leave for sodium: 29 mg/L less 0.064 meq/L (computed)."""
    assert float(sodium_by_charge(_DUNE)) == pytest.approx(29.0 - 22.99 * 0.064, abs=0.05)


def test_conductivity_of_the_standard_solution() -> None:
    """0.01 mol/L potassium chloride conducts 1412 uS/cm at 25 degC (Standard Methods 2510, from memory), 1 %."""
    water = from_ph(7.0, 1e-3, Ions(0.0, 0.0, 0.0, potassium=390.98, chloride=354.53), 25.0)
    assert float(conductivity(water)) == pytest.approx(1412.0, rel=0.01)


# Constants --------------------------------------------------------------------------------------------------------------------

_CONSTANTS = {
    0: (6.579, 10.629, 8.381, 8.218, 14.938, 1.108), 5: (6.516, 10.554, 8.394, 8.235, 14.730, 1.192),
    10: (6.463, 10.488, 8.410, 8.255, 14.531, 1.269), 15: (6.419, 10.428, 8.430, 8.279, 14.343, 1.341),
    20: (6.382, 10.376, 8.453, 8.306, 14.165, 1.407), 25: (6.352, 10.329, 8.480, 8.336, 13.995, 1.468),
    40: (6.297, 10.222, 8.580, 8.446, 13.533, 1.625), 60: (6.290, 10.144, 8.759, 8.638, 13.015, 1.784),
}  # fmt: skip


@pytest.mark.parametrize("celsius", _CONSTANTS)
def test_constants_of_the_carbonate_system(celsius: int) -> None:
    """Plummer and Busenberg 1982 as in phreeqc.dat (secondary; pKH from memory): pK1, pK2, calcite, aragonite, pKw, pKH within 0.002."""
    second, both = log_k("species", "bicarbonate", celsius), log_k("species", "carbon_dioxide", celsius)
    found = (
        both - second, second, -log_k("minerals", "calcite", celsius), -log_k("minerals", "aragonite", celsius),
        -log_k("species", "hydroxide", celsius), -log_k("gases", "carbon_dioxide", celsius),
    )  # fmt: skip
    assert [float(value) for value in found] == pytest.approx(_CONSTANTS[celsius], abs=2e-3)


def test_debye_hueckel_at_25_degrees() -> None:
    """A 0.5092, B 0.3283 per angstrom at 25 degC (textbook values, from memory), 0.2 %; permittivity 78.30 (Bradley and Pitzer 1979)."""
    warm = np.array([25.0])
    a, b = debye_hueckel(warm)
    assert (float(a[0]), float(b[0])) == pytest.approx((0.5092, 0.3283), rel=2e-3)
    assert float(dielectric_constant(warm)[0]) == pytest.approx(78.30, abs=0.1)


@pytest.mark.parametrize("celsius", [0, 4, 10, 25, 40, 60, 80])
def test_density_of_water(celsius: int) -> None:
    """Kell 1975 against IAPWS-95 through the chemicals library (computed), 0.01 %."""
    from chemicals.iapws import iapws95_rho

    assert float(water_density(np.array([float(celsius)]))[0]) == pytest.approx(iapws95_rho(273.15 + celsius, 101325.0), rel=1e-4)


# Saturation -------------------------------------------------------------------------------------------------------------------


def test_langelier_index() -> None:
    """Standard Methods 2330 B (form from memory): pH 7.5, Ca 80, alkalinity 200, TDS 350 at 10 degC gives +0.117; at 25 degC +0.339."""
    cold, warm = (langelier(7.5, 80.0, 200.0, 350.0, celsius) for celsius in (10.0, 25.0))
    assert float(cold.ionic_strength) == pytest.approx(0.00875)
    assert float(cold.pf) == pytest.approx(0.0413, abs=1e-4)
    assert float(cold.saturation_ph) == pytest.approx(7.38, abs=0.01)
    assert (float(cold.index), float(warm.index)) == pytest.approx((0.117, 0.339), abs=0.01)


def test_ion_pairs_lower_the_index() -> None:
    """The same water by PHREEQC: +0.10 at 10 degC, +0.31 at 25 degC (computed), less than the Langelier index by its ion pairs."""
    ions = Ions(80.0, 20.0, 0.0, chloride=35.453 * (80.0 / 20.039 + 20.0 / 12.1525 - 200.0 / 50.0435))
    index = from_ph(7.5, 200.0, ions, np.array([10.0, 25.0])).calcite_index
    assert list(index) == pytest.approx([0.10, 0.31], abs=0.02)


_HOT = {
    (7.5, 80.0, 20.0, 200.0): (0.10, 0.53, 37.2),
    (7.2, 100.0, 30.0, 250.0): (-0.03, 0.42, 45.8),
    (7.5, 40.0, 10.0, 120.0): (-0.37, 0.09, 3.2),
}


@pytest.mark.parametrize("given", _HOT)
def test_heating_in_a_closed_pipe(given: tuple[float, ...]) -> None:
    """PHREEQC (computed): SI at 10 degC, SI and mg/L of calcite that can fall out at 60 degC; chloride balances."""
    ph, calcium, magnesium, alkalinity = given
    chloride = 35.453 * (calcium / 20.039 + magnesium / 12.1525 - alkalinity / 50.0435)
    water = from_ph(ph, alkalinity, Ions(calcium, magnesium, 0.0, chloride=chloride), 10.0)
    hot = at_temperature(water, 60.0)
    cold_index, hot_index, falls_out = _HOT[given]
    assert (float(water.calcite_index), float(hot.calcite_index)) == pytest.approx((cold_index, hot_index), abs=0.015)
    assert -float(dissolved_mass(saturated(hot))) == pytest.approx(falls_out, abs=1.0)


def test_heating_lowers_ph() -> None:
    """pH 7.5, Ca 80, Mg 20, alkalinity 200 at 10 degC has pH 7.28 at 60 degC (PHREEQC, computed); Langelier with the cold pH +0.79."""
    ions = Ions(80.0, 20.0, 0.0, chloride=35.453 * (80.0 / 20.039 + 20.0 / 12.1525 - 200.0 / 50.0435))
    assert float(at_temperature(from_ph(7.5, 200.0, ions, 10.0), 60.0).ph) == pytest.approx(7.28, abs=0.01)
    assert float(langelier(7.5, 80.0, 200.0, 350.0, 60.0).index) == pytest.approx(0.79, abs=0.01)


# Calcite, magnesia, soda ------------------------------------------------------------------------------------------------------

#: Raw waters: degC, pH, alkalinity, Ca, Mg; sulfate and chloride 10 mg/L, sodium balances.
_RAW = {
    "A": (10.0, 6.0, 30.0, 8.0, 2.0),
    "B": (12.0, 6.5, 50.0, 15.0, 4.0),
    "C": (10.0, 5.5, 10.0, 3.0, 1.0),
    "D": (15.0, 6.0, 60.0, 20.0, 5.0),
}


def raw(case: str) -> CarbonateWater:
    """One of the raw waters."""
    celsius, ph, alkalinity, calcium, magnesium = _RAW[case]
    given = {"calcium": calcium, "magnesium": magnesium, "alkalinity": alkalinity, "sulfate": 10.0, "chloride": 10.0}
    return from_ph(ph, alkalinity, Ions(calcium, magnesium, sodium_by_charge(given), chloride=10.0, sulfate=10.0), celsius)


_EQUILIBRIUM = {
    "A": (73.5, 28.2, 7.52, 64.5, 171.1, 169.4, 141.1), "B": (36.7, 53.9, 7.77, 44.6, 124.0, 127.9, 74.0),
    "C": (79.4, 11.6, 7.53, 65.4, 165.9, 167.5, 155.9), "D": (130.5, 70.5, 7.11, 100.8, 261.8, 272.3, 201.8),
}  # fmt: skip


@pytest.mark.parametrize("case", _EQUILIBRIUM)
def test_equilibrium_with_calcite(case: str) -> None:
    """PHREEQC, closed system (computed): CO2 and hardness before; pH, Ca, alkalinity, hardness after, hardness added: 0.03 pH, 2 %."""
    dioxide, hardness, ph, calcium, alkalinity, after, added = _EQUILIBRIUM[case]
    water = raw(case)
    end = saturated(water)
    assert (float(water.carbon_dioxide), float(water.hardness)) == pytest.approx((dioxide, hardness), rel=0.01)
    assert float(end.ph) == pytest.approx(ph, abs=0.03)
    found = (end.ions.calcium, end.alkalinity, end.hardness, dissolved_mass(end))
    assert [float(value) for value in found] == pytest.approx([calcium, alkalinity, after, added], rel=0.02)
    assert float(end.calcite_index) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("case", "gpg"), [("A", 8.25), ("B", 4.32), ("C", 9.11), ("D", 11.8)])
def test_hardness_that_a_softener_must_not_miss(case: str, gpg: float) -> None:
    """The same in grains: what calcite adds behind a softener that stands in the wrong place (PHREEQC, computed), 2 %."""
    assert float(dissolved_mass(saturated(raw(case)))) / parse("1 gpg", "hardness") == pytest.approx(gpg, rel=0.02)


_DOSES = {
    ("A", 7.0): (98.5, 23.9, 103.6), ("A", 7.5): (139.8, 30.2, 147.2), ("B", 7.0): (37.9, 9.2, 39.9),
    ("B", 7.5): (65.3, 14.1, 68.8), ("C", 7.0): (114.3, 27.8, 120.2), ("C", 7.5): (154.3, 33.3, 162.4),
}  # fmt: skip


@pytest.mark.parametrize("case", _DOSES, ids=lambda case: f"{case[0]}-{case[1]}")
def test_dose_to_a_ph(case: tuple[str, float]) -> None:
    """CaCO3, MgO, Na2CO3 in mg/L to pH 7.0 and 7.5; PHREEQC (computed), 1 %."""
    name, ph = case
    doses = [float(dose_to_ph(raw(name), reagent, ph)) for reagent in (CALCITE, MAGNESIA, SODA_ASH)]
    assert doses == pytest.approx(_DOSES[case], rel=0.01)


def test_hardness_and_sodium_that_doses_bring() -> None:
    """Case A to pH 7.0: magnesia adds 59.4 mg/L of hardness, soda ash 44.9 mg/L of sodium; PHREEQC (computed), 1 %."""
    water = raw("A")
    with_magnesia = dissolve(water, MAGNESIA, dose_to_ph(water, MAGNESIA, 7.0))
    with_soda = dissolve(water, SODA_ASH, dose_to_ph(water, SODA_ASH, 7.0))
    assert float(with_magnesia.hardness - water.hardness) == pytest.approx(59.4, rel=0.01)
    assert float(np.asarray(with_soda.ions.sodium) - np.asarray(water.ions.sodium)) == pytest.approx(44.9, rel=0.01)
    assert (float(with_magnesia.ph), float(with_soda.ph)) == pytest.approx((7.0, 7.0), abs=1e-6)


def test_ph_on_the_way_to_saturation() -> None:
    """Case A with 20, 40, 60, 80 mg/L of calcite dissolved: pH 6.27, 6.48, 6.66, 6.83; PHREEQC (computed)."""
    assert list(dissolve(raw("A"), CALCITE, [20.0, 40.0, 60.0, 80.0]).ph) == pytest.approx([6.27, 6.48, 6.66, 6.83], abs=0.01)


_CONTACT = {
    ("A", 0.6): (6.36, 6.58, 6.92, 7.39, 7.52, 7.52), ("A", 1.0): (6.24, 6.41, 6.66, 7.04, 7.47, 7.52),
    ("A", 2.0): (6.13, 6.24, 6.41, 6.66, 7.04, 7.47), ("B", 1.0): (6.68, 6.84, 7.14, 7.65, 7.77, 7.77),
}  # fmt: skip


@pytest.mark.parametrize("bed", _CONTACT, ids=lambda bed: f"{bed[0]}-{bed[1]}mm")
def test_contact_time_in_a_calcite_bed(bed: tuple[str, float]) -> None:
    """Plummer, Wigley and Parkhurst 1978 on the area of the grains (secondary), plug flow, porosity 0.45, integrated with PHREEQC
    (computed): pH at 0.56, 1.1, 2.2, 4.4, 8.9 and 17.8 minutes of empty-bed contact, 0.03."""
    case, millimetres = bed
    minutes = np.array([0.56, 1.1, 2.2, 4.4, 8.9, 17.8])
    assert list(contact(raw(case), 60.0 * minutes, 1e-3 * millimetres).ph) == pytest.approx(_CONTACT[bed], abs=0.03)


# Light ------------------------------------------------------------------------------------------------------------------------

_UVT = {
    70: (0.15490, 0.35667, 2.82), 75: (0.12494, 0.28768, 5.63), 80: (0.09691, 0.22314, 10.74), 85: (0.07058, 0.16252, 19.69),
    90: (0.04576, 0.10536, 34.87), 95: (0.02228, 0.05129, 59.87), 98: (0.00877, 0.02020, 81.71),
}  # fmt: skip


@pytest.mark.parametrize("percent", _UVT)
def test_transmittance_and_absorbance(percent: int) -> None:
    """Definitions (computed): A, natural coefficient, and transmittance over 100 mm as ONORM M 5873-1 asks for it."""
    a = absorbance(float(percent))
    assert (float(a), float(napierian(a))) == pytest.approx(_UVT[percent][:2], abs=1e-5)
    assert float(transmittance(a, 10.0)) == pytest.approx(_UVT[percent][2], abs=0.01)


def test_transmittance_of_the_public_limit() -> None:
    """A 0.155 per cm (Recommended Standards for Water Works, from memory) is 69.98 %/cm (definition)."""
    assert float(transmittance(0.155)) == pytest.approx(69.98, abs=0.01)


def test_organic_carbon_and_ferric_iron() -> None:
    """DOC 2 mg/L at SUVA 3, ferric iron 0.5 mg/L (Bolton et al. 2001, from memory): A 0.10222, UVT 79.03 %/cm."""
    a = 3.0 * 2.0 / 100.0 + 0.5 * absorptivity("ferric_iron")
    assert a == pytest.approx(0.10222, abs=1e-4) and float(transmittance(a)) == pytest.approx(79.03, abs=0.02)


_THRESHOLDS = {
    "ozone": (0.0709, 5e-3), "ferric_iron": (0.0568, 5e-3), "ferrous_iron": (9.57, 5e-3), "hypochlorite": (8.4, 1e-2),
    "peroxide": (8.7, 1e-2), "thiosulfate": (2.7, 1e-2), "sulfite": (23.0, 2e-2), "zinc": (187.0, 2e-2),
}  # fmt: skip


@pytest.mark.parametrize("species", _THRESHOLDS)
def test_absorptivities_against_the_table_of_thresholds(species: str) -> None:
    """Concentration that takes UVT from 91 to 90 %/cm (EPA 815-R-06-007, chapter 2, from memory); dA 0.004799 per cm."""
    step = float(absorbance(90.0) - absorbance(91.0))
    assert step == pytest.approx(0.004799, abs=1e-6)
    threshold, share = _THRESHOLDS[species]
    assert step / absorptivity(species) == pytest.approx(threshold, rel=share)


# Intervals --------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "text", "limit", "verdict"),
    [("arsenic", "<0.02 mg/L", 0.010, "cannot tell"), ("arsenic", "<0.005 mg/L", 0.010, "meets"), ("iron", ">5 mg/L", 0.3, "exceeds")],
)
def test_limits_at_both_ends(name: str, text: str, limit: float, verdict: str) -> None:
    """A non-detect is the interval up to its limit, an over-range result has no upper end (follows from what they mean, computed)."""
    found = read_result(name, text)
    told = "exceeds" if found.low > limit else "meets" if found.high <= limit else "cannot tell"
    assert told == verdict
