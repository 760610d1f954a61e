"""Water properties, friction, fittings and orifices against published tables and libraries. Each test names its source and status."""

from __future__ import annotations

import math

import fluids
import pytest
from chemicals.viscosity import mu_IAPWS

from tests.hydraulics.networks import HazenWilliams
from trainapp.hydraulics.constants import FOOT, GALLON, GPM, GRAVITY, INCH, PSI
from trainapp.hydraulics.devices import CV_PER_KV, flow_coefficient, orifice
from trainapp.hydraulics.limiter import FlowControl
from trainapp.hydraulics.pipes import PipeRun, fitting_coefficient, friction, pipe_run, pipe_sizes, size_change_coefficient
from trainapp.hydraulics.water_properties import water

F60 = (60.0 - 32.0) / 1.8
DRAWN = 1.52e-6


def _run(inches: float, roughness: float, temperature: float, k: float = 0.0) -> PipeRun:
    """100 ft of one bore."""
    return PipeRun(inches * INCH, 100.0 * FOOT, roughness, k, temperature)


# Water ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("celsius", "rho", "mu", "vapour"),
    [(10.0, 999.7, 1.307, 1.228), (20.0, 998.2, 1.002, 2.339), (30.0, 995.7, 0.797, 4.247), (40.0, 992.2, 0.653, 7.385)],
)
def test_water_against_printed_tables(celsius: float, rho: float, mu: float, vapour: float) -> None:
    """Handbook tables of water at one atmosphere: kg/m3, mPa s, kPa (secondary)."""
    now = water(celsius)
    assert now.density == pytest.approx(rho, rel=1e-4)
    assert 1e3 * now.viscosity == pytest.approx(mu, rel=1.2e-3)
    assert 1e-3 * now.vapour_pressure == pytest.approx(vapour, rel=1e-3)


@pytest.mark.parametrize(
    ("celsius", "rho", "mu", "vapour"),
    [
        (1.0, 999.902, 1.7310, 657.1),
        (4.0, 999.975, 1.5673, 813.5),
        (5.0, 999.967, 1.5182, 872.6),
        (15.0, 999.103, 1.1376, 1705.8),
        (25.0, 997.048, 0.8900, 3169.9),
        (35.0, 994.033, 0.7191, 5629.0),
    ],
)
def test_water_against_iapws(celsius: float, rho: float, mu: float, vapour: float) -> None:
    """IAPWS-95 density, IAPWS 2008 viscosity (computed with a second library, iapws)."""
    now = water(celsius)
    assert now.density == pytest.approx(rho, abs=1e-3)
    assert 1e3 * now.viscosity == pytest.approx(mu, abs=1e-4)
    assert now.vapour_pressure == pytest.approx(vapour, abs=0.1)


def test_viscosity_check_point() -> None:
    """IAPWS 2008, Table 4: 889.735100 uPa s at 298.15 K and 998 kg/m3."""
    assert mu_IAPWS(298.15, 998.0) == pytest.approx(889.7351e-6, rel=1e-7)
    assert water(25.0).viscosity == pytest.approx(889.7351e-6, rel=1e-3)


def test_expansion_on_heating() -> None:
    """50 gal from 50 to 140 F grow by 0.840 gal; an expansion tank between 60 and 80 psi is 3.98 gal (IAPWS-95, Boyle; computed)."""
    grown = 50.0 * (water(10.0).density / water(60.0).density - 1.0)
    assert grown == pytest.approx(0.840, rel=5e-3)
    assert grown / (1.0 - 74.7 / 94.7) == pytest.approx(3.98, rel=5e-3)


# Friction ---------------------------------------------------------------------------------------------------------------------


def test_ten_gpm_in_three_quarter_copper() -> None:
    """Type L, 60 F: 6.629 ft/s (definition), Re 35902, f 0.02275, 10.286 psi per 100 ft (Colebrook, IAPWS; computed)."""
    run, q = _run(0.785, DRAWN, F60), 10.0 * GPM
    assert run.velocity(q) / FOOT == pytest.approx(6.629, rel=1e-3)
    assert run.reynolds(q) == pytest.approx(35902, rel=1e-3)
    assert run.friction_factor(q) == pytest.approx(0.02275, rel=1e-3)
    assert run.loss(q) / PSI == pytest.approx(10.286, rel=3e-3)


@pytest.mark.parametrize(("celsius", "psi"), [(5.0, 11.03), (10.0, 10.65), (20.0, 10.03), (25.0, 9.76), (40.0, 9.11)])
def test_temperature_matters(celsius: float, psi: float) -> None:
    """The same pipe, colder and warmer (Colebrook, IAPWS; computed)."""
    assert _run(0.785, DRAWN, celsius).loss(10.0 * GPM) / PSI == pytest.approx(psi, rel=3e-3)


@pytest.mark.parametrize(
    ("inches", "roughness", "gpm", "feet_a_second", "psi_10", "psi_20"),
    [
        (0.545, DRAWN, 4.0, 5.50, 12.06, 11.31),
        (0.785, DRAWN, 5.0, 3.31, 3.140, 2.939),
        (1.025, DRAWN, 10.0, 3.89, 2.980, 2.798),
        (1.025, DRAWN, 20.0, 7.78, 10.19, 9.61),
        (1.505, DRAWN, 40.0, 7.21, 5.569, 5.264),
        (0.671, DRAWN, 5.0, 4.54, 6.627, 6.213),
        (0.671, DRAWN, 10.0, 9.07, 22.57, 21.28),
        (0.863, DRAWN, 10.0, 5.48, 6.773, 6.370),
        (0.715, DRAWN, 10.0, 7.99, 16.65, 15.69),
        (1.049, DRAWN, 10.0, 3.71, 2.668, 2.505),
        (0.824, 1.52e-4, 10.0, 6.02, 12.95, 12.75),
        (1.049, 1.52e-4, 10.0, 3.71, 3.716, 3.635),
    ],
)
def test_friction_by_size(inches: float, roughness: float, gpm: float, feet_a_second: float, psi_10: float, psi_20: float) -> None:
    """Per 100 ft at 10 and 20 C (Colebrook solved by scipy; computed)."""
    assert _run(inches, roughness, 10.0).velocity(gpm * GPM) / FOOT == pytest.approx(feet_a_second, abs=0.006)
    assert _run(inches, roughness, 10.0).loss(gpm * GPM) / PSI == pytest.approx(psi_10, rel=2e-3)
    assert _run(inches, roughness, 20.0).loss(gpm * GPM) / PSI == pytest.approx(psi_20, rel=2e-3)


def test_friction_factor_of_a_documented_example() -> None:
    """Documentation of the R package hydraulics: Re 248624.7, eps/D 0.0003, f 0.0173031 (published)."""
    assert friction(248624.7, 0.0003)[0] / 248624.7**2 == pytest.approx(0.0173031, rel=1e-3)


def test_printed_darcy_table() -> None:
    """1/2 in schedule 40 (15.8 mm), 1e-4 m3/s, eps 4.5e-5 m, 20 C: 0.51 m/s, 31228 Pa per 100 m; the table lies 4 % high (secondary)."""
    run = PipeRun(0.0158, 100.0, 4.5e-5, 0.0, 20.0)
    assert run.velocity(1e-4) == pytest.approx(0.51, abs=0.005)
    assert run.loss(1e-4) == pytest.approx(31228.0, rel=0.05)
    assert run.loss(1e-4) == pytest.approx(29965.0, rel=2e-3)


@pytest.mark.parametrize("reynolds", [4001.0, 1e4, 1e5, 1e6])
@pytest.mark.parametrize("relative", [0.0, 1e-5, 1e-3, 0.02])
def test_turbulent_friction_is_colebrooks(reynolds: float, relative: float) -> None:
    """1/sqrt(f) = -2 log10(eps/3.7D + 2.51/(Re sqrt(f))), Colebrook 1939."""
    f = friction(reynolds, relative)[0] / reynolds**2
    assert 1.0 / math.sqrt(f) == pytest.approx(-2.0 * math.log10(relative / 3.7 + 2.51 / (reynolds * math.sqrt(f))), rel=1e-9)


def test_laminar_friction_is_poiseuilles() -> None:
    """128 mu L Q/(pi D^4); at EPANET's viscosity 0.1 gpm in 3/4 in type L loses 0.00517 m in 100 ft, Hazen-Williams 0.00155 (computed)."""
    run, q = _run(0.785, DRAWN, 10.0), 0.1 * GPM
    assert run.loss(q) == pytest.approx(128.0 * water(10.0).viscosity * run.length * q / (math.pi * run.bore**4), rel=1e-12)
    thinner = 1.1e-5 * FOOT**2 / water(10.0).kinematic
    assert run.loss(q) / (water(10.0).density * GRAVITY) * thinner == pytest.approx(0.00517, rel=5e-3)
    assert HazenWilliams(100.0 * FOOT, 0.785 * INCH, 140.0).loss(q) / (999.0 * GRAVITY) == pytest.approx(0.00155, rel=5e-3)


@pytest.mark.parametrize(
    ("inches", "c", "gpm", "feet", "psi"),
    [(1.049, 100.0, 10.0, 11.63, 5.04), (1.049, 100.0, 20.0, 41.99, 18.19), (0.785, 140.0, 5.0, None, 3.09)],
)
def test_hazen_williams_helper_against_printed_tables(inches: float, c: float, gpm: float, feet: float | None, psi: float) -> None:
    """Schedule 40 and copper tables per 100 ft (secondary); this holds the helper that the networks are compared through."""
    loss = HazenWilliams(100.0 * FOOT, inches * INCH, c).loss(gpm * GPM)
    if feet is not None:
        assert loss / (999.0 * GRAVITY) / FOOT == pytest.approx(feet, rel=3e-3)
    assert loss / PSI == pytest.approx(psi, rel=5e-3)


@pytest.mark.parametrize(("feet_a_second", "gpm"), [(5.0, 7.54), (8.0, 12.07)])
def test_flow_at_the_velocity_limits(feet_a_second: float, gpm: float) -> None:
    """3/4 in type L at 5 and 8 ft/s (definition)."""
    run = pipe_run("copper_l", 0.75 * INCH, 1.0)
    assert run.velocity(gpm * GPM) / FOOT == pytest.approx(feet_a_second, rel=1e-3)


# Bores ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("material", "schedule"), [("pvc_40", "40D1785"), ("pvc_80", "80D1785"), ("galvanized", "40"), ("stainless", "40S")]
)
def test_iron_pipe_sizes_against_the_library(material: str, schedule: str) -> None:
    """ASTM D1785, ASME B36.10 and B36.19 as the fluids library carries them; its steel rows are rounded millimetres, within 0.3 %."""
    for size in pipe_sizes()[material]:
        _, bore, outside, _ = fluids.nearest_pipe(NPS=round(size.nominal / INCH, 6), schedule=schedule)
        assert size.bore == pytest.approx(bore, rel=3e-3)
        assert size.outside == pytest.approx(outside, rel=3e-3)


@pytest.mark.parametrize(
    ("material", "walls"),
    [("copper_l", (0.040, 0.045, 0.050, 0.055, 0.060, 0.070)), ("copper_m", (0.028, 0.032, 0.035, 0.042, 0.049, 0.058))],
)
def test_copper_bores_follow_from_outside_and_wall(material: str, walls: tuple[float, ...]) -> None:
    """ASTM B88: outside diameter nominal + 1/8 in, wall by type (secondary)."""
    for size, wall in zip(pipe_sizes()[material], walls, strict=False):
        assert size.outside / INCH == pytest.approx(size.nominal / INCH + 0.125, abs=1e-9)
        assert size.bore / INCH == pytest.approx(size.outside / INCH - 2.0 * wall, abs=1e-9)


def test_plastic_tubes_keep_their_standard_ratio() -> None:
    """CPVC (ASTM D2846, SDR 11) and PEX (ASTM F876, SDR 9): bore = outside (1 - 2/SDR), the average a little less (secondary)."""
    for material, sdr, slack in (("cpvc", 11.0, 0.045), ("pex", 9.0, 0.025)):
        for size in pipe_sizes()[material]:
            assert size.bore == pytest.approx(size.outside * (1.0 - 2.0 / sdr), rel=slack)


# Fittings ---------------------------------------------------------------------------------------------------------------------

_K = {
    0.622: (0.766, 0.409, 0.511, 1.533, 0.204, 0.077, 8.69, 2.56),
    0.824: (0.711, 0.379, 0.474, 1.421, 0.190, 0.071, 8.05, 2.37),
    1.049: (0.668, 0.356, 0.445, 1.335, 0.178, 0.067, 7.57, 2.23),
    1.380: (0.623, 0.332, 0.415, 1.246, 0.166, 0.062, 7.06, 2.08),
    1.610: (0.600, 0.320, 0.400, 1.200, 0.160, 0.060, 6.80, 2.00),
    2.067: (0.565, 0.302, 0.377, 1.131, 0.151, 0.057, 6.41, 1.89),
}
_KINDS = ("elbow_90", "elbow_45", "tee_run", "tee_branch", "gate_valve", "ball_valve", "globe_valve", "check_valve")


@pytest.mark.parametrize("inches", _K)
def test_fittings_of_technical_paper_410(inches: float) -> None:
    """K = (L/D) fT with the multipliers of TP-410 (valves as the fluids library carries them, elbows and tees from memory)."""
    found = [fitting_coefficient(kind, inches * INCH) for kind in _KINDS]
    assert found == pytest.approx(_K[inches], rel=5e-3, abs=6e-4)


def test_valves_against_the_library() -> None:
    """fluids: K_gate_valve_Crane, K_ball_valve_Crane, K_globe_valve_Crane, K_swing_check_valve_Crane, full bore."""
    bore = 1.049 * INCH
    assert fitting_coefficient("gate_valve", bore) == pytest.approx(fluids.K_gate_valve_Crane(D1=bore, D2=bore, angle=0.0), rel=1e-9)
    assert fitting_coefficient("ball_valve", bore) == pytest.approx(fluids.K_ball_valve_Crane(D1=bore, D2=bore, angle=0.0), rel=1e-9)
    assert fitting_coefficient("globe_valve", bore) == pytest.approx(fluids.K_globe_valve_Crane(D1=bore, D2=bore), rel=1e-9)
    assert fitting_coefficient("check_valve", bore) == pytest.approx(fluids.K_swing_check_valve_Crane(D=bore), rel=1e-9)


@pytest.mark.parametrize(("name", "k"), [("two-K", 0.8035), ("three-K", 0.7222)])
def test_elbow_against_other_methods(name: str, k: float) -> None:
    """A threaded 1 in elbow at Re 36000 by Hooper 1981 and Darby 1999 (published, as fluids carries them): methods spread by 20 %."""
    methods = {
        "two-K": fluids.Hooper2K(Di=1.049, Re=36000, name="Elbow, 90°, Standard (R/D = 1), Screwed"),
        "three-K": fluids.fittings.Darby3K(NPS=1, Re=36000, name="Elbow, 90°, threaded, standard, (r/D = 1)"),
    }
    assert methods[name] == pytest.approx(k, abs=1e-4)
    assert fitting_coefficient("elbow_90", 1.049 * INCH) == pytest.approx(k, rel=0.2)


@pytest.mark.parametrize(("inches", "feet"), [(0.545, 1.0), (0.785, 2.0), (1.025, 4.0)])
def test_elbow_as_a_length_of_pipe(inches: float, feet: float) -> None:
    """77 Illinois Adm. Code 890, Appendix A, Table Q (published): a cast 90 elbow, whole feet; 30 bores come to 1.4, 2.0 and 2.6 ft."""
    bores = 30.0 * inches / 12.0
    assert abs(bores - feet) <= max(0.5, 0.4 * feet)
    run = _run(inches, DRAWN, 10.0)
    rough = fluids.ft_Crane(run.bore)
    assert fitting_coefficient("elbow_90", run.bore) / rough * inches / 12.0 == pytest.approx(bores, rel=1e-9)


def test_change_of_bore() -> None:
    """1.049 and 0.824 in: 0.1915 narrowing (Crane), 0.1467 widening, on the small bore; fluids carries both."""
    large, small = 1.049 * INCH, 0.824 * INCH
    assert size_change_coefficient(large, small) == pytest.approx(0.1915, rel=2e-3)
    assert size_change_coefficient(large, small) == pytest.approx(fluids.contraction_sharp(Di1=large, Di2=small, method="Crane"), rel=1e-9)
    assert size_change_coefficient(small, large) == pytest.approx(0.1467, rel=2e-3)
    assert size_change_coefficient(small, large) == pytest.approx(fluids.diffuser_sharp(Di1=small, Di2=large), rel=1e-9)


# Valves and orifices ----------------------------------------------------------------------------------------------------------


def test_flow_coefficients() -> None:
    """Cv = 1.1561 Kv (definition; published rounded); fluids uses constants 0.03 % off."""
    assert pytest.approx(1.1561, rel=5e-4) == CV_PER_KV
    assert pytest.approx(0.8650, rel=5e-4) == 1.0 / CV_PER_KV
    assert pytest.approx(fluids.Kv_to_Cv(1.0), rel=5e-4) == CV_PER_KV


def test_k_of_a_flow_coefficient() -> None:
    """Cv 10 in 1.049 in: K 10.78 = 890.4 d^4/Cv^2 at 60 F (computed; handbook constant 891 from memory)."""
    area = 0.25 * math.pi * (1.049 * INCH) ** 2
    k = flow_coefficient(10.0).quadratic * 2.0 * area**2 / water(F60).density
    assert k == pytest.approx(10.78, rel=2e-3)
    assert k == pytest.approx(fluids.Cv_to_K(10.0, 1.049 * INCH), rel=2e-3)


def test_sharp_orifice() -> None:
    """1/4 in, Cd 0.61, 15 psi: 4.406 gpm (orifice equation); ISO 5167 corner taps in 1.049 in pipe give 4.429 (fluids)."""
    hole = orifice(0.25 * INCH, 0.61, F60)
    flow = math.sqrt(15.0 * PSI / hole.quadratic)
    assert flow / GPM == pytest.approx(4.406, rel=2e-3)
    now = water(F60)
    mass = fluids.differential_pressure_meter_solver(
        D=1.049 * INCH, rho=now.density, mu=now.viscosity, D2=0.25 * INCH, P1=3e5, P2=3e5 - 15.0 * PSI,
        meter_type="ISO 5167 orifice", taps="corner", epsilon_specified=1.0,
    )  # fmt: skip
    assert flow == pytest.approx(mass / now.density, rel=1e-2)


def test_flow_control_below_and_above_its_threshold() -> None:
    """5 gpm from 15 psi: 3.651 gpm at 8 psi, 5.0 at 30 psi, band 4.25 to 5.75 (limiter model; threshold and band from memory)."""
    control = FlowControl(5.0 * GPM)
    assert control.passed(8.0 * PSI) / GPM == pytest.approx(3.651, abs=1e-3)
    assert control.passed(30.0 * PSI) / GPM == pytest.approx(5.0, abs=1e-3)
    assert (control.least / GPM, control.most / GPM) == pytest.approx((4.25, 5.75))
    assert control.loss(control.passed(8.0 * PSI)) / PSI == pytest.approx(8.0, rel=1e-9)


def test_a_gallon_is_231_cubic_inches() -> None:
    """Definition; 1 gpm is 6.30902e-5 m3/s and 1 psi 6894.757 Pa."""
    assert pytest.approx(231.0 * INCH**3, rel=1e-12) == GALLON
    assert pytest.approx(6.30902e-5, rel=1e-6) == GPM
    assert pytest.approx(6894.757, rel=1e-7) == PSI
