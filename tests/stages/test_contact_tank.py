"""Contact tank: time by flow, iron by published kinetics, and when it does nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.stages._oxygenation import iron_oxygenated, oxygen_saturation
from trainapp.stages.working import pick

WATER = {"ph": 7.0, "alkalinity": 200.0, "toc": 0.0}


def test_times_by_hand() -> None:
    # 120 gal at 6 gpm: 20 min on average, 6 min for nine tenths at a baffling factor of 0.3.
    _, working, _ = run(make_stage("contact_tank", volume="120 gal"), make_water(**WATER, iron_dissolved=1.0), make_duty(peak=6.0))
    assert step_values(working, "mean_time") == pytest.approx([1200.0])
    assert step_values(working, "t10") == pytest.approx([360.0])


def test_one_half_life_halves_the_iron() -> None:
    # pH 7.0, 10 degC, oxygen at saturation and far in excess: half-life 47.7 min (Stumm and Lee's rate; USGS TM 6-A43 example 9).
    water = make_water(**WATER, iron_dissolved=0.01, dissolved_oxygen=oxygen_saturation(10.0))
    out, _, _ = run(make_stage("contact_tank", volume="47.7 gal"), water, make_duty(peak=1.0))
    assert pick(out.row("iron_dissolved"), reading=0) == pytest.approx(0.005, rel=0.02)
    # adverse: three tenths of the time at half the speed
    assert pick(out.row("iron_dissolved")) == pytest.approx(0.01 * 2 ** -(0.3 / 2), rel=0.02)


def test_iron_and_oxygen_run_out_together() -> None:
    # Against small steps of the same rate law: d Fe = -k O2 Fe dt, d O2 = -0.1432 k O2 Fe dt.
    iron, oxygen, rate, seconds = 6.0, 0.5, 2e-4, 3600.0
    f, o, steps = iron, oxygen, 40000
    for _ in range(steps):
        middle_f = f - 0.5 * rate * f * o * seconds / steps
        middle_o = o - 0.5 * 0.14324 * rate * f * o * seconds / steps
        done = rate * middle_f * middle_o * seconds / steps
        f, o = f - done, o - 0.14324 * done
    model = iron_oxygenated(np.array(iron), np.array(oxygen), np.array(rate), np.array(seconds))
    assert float(model) == pytest.approx(iron - f, rel=1e-4)


def test_chlorine_meets_ammonia_at_the_breakpoint() -> None:
    # 0.5 mg/L N: 1:1 by moles is 2.53 mg/L of chlorine, the breakpoint 3.8 (from memory, 7.6 mg per mg N) to 5.0.
    def left(chlorine: float) -> tuple[float, float]:
        water = make_water(**WATER, ammonia=0.5, free_chlorine=chlorine, total_chlorine=chlorine)
        out, _, _ = run(make_stage("contact_tank"), water, make_duty())
        return pick(out.row("free_chlorine"), reading=0), pick(out.row("total_chlorine"), reading=0)

    assert left(2.0) == pytest.approx((0.0, 2.0))
    assert left(3.8) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert left(5.0) == pytest.approx((1.2, 1.2))


def test_chlorine_that_met_unmeasured_ammonia_is_unknown() -> None:
    water = make_water(unknown=("ammonia",), **WATER, free_chlorine=2.0, total_chlorine=2.0, ammonia=0.1)
    assert not run(make_stage("contact_tank"), water, make_duty())[0].is_known("free_chlorine").any()
    water = make_water(**WATER, free_chlorine=2.0, total_chlorine=2.0, ammonia=0.1)
    assert run(make_stage("contact_tank"), water, make_duty())[0].is_known("free_chlorine").all()


def test_permanganate_takes_manganese_at_ph_7_and_not_at_6() -> None:
    def left(ph: float) -> float:
        water = make_water(ph=ph, alkalinity=200.0, toc=0.0, manganese_dissolved=0.5, permanganate=1.0)
        out, _, _ = run(make_stage("contact_tank", baffling="100 %"), water, make_duty())
        return pick(out.row("manganese_dissolved"))

    assert left(7.2) == pytest.approx(0.0, abs=1e-12)
    assert left(6.75) == pytest.approx(0.25)
    assert left(6.3) == pytest.approx(0.5)


def test_short_contact_is_said_and_no_log_credit_is_given() -> None:
    water = make_water(**WATER, free_chlorine=1.0, total_chlorine=1.0)
    _, _, remarks = run(make_stage("contact_tank", volume="40 gal"), water, make_duty(peak=8.0))
    assert codes(remarks) == {"contact-short": "caution"}
    _, _, remarks = run(make_stage("contact_tank", volume="40 gal"), water, make_duty(peak=8.0, unsafe=True))
    assert codes(remarks) == {"contact-short": "caution", "no-credit": "note"}


def test_without_oxidant_or_oxygen_it_does_nothing() -> None:
    iron = make_water(ph=6.8, alkalinity=100.0, toc=0.0, iron_dissolved=3.0, dissolved_oxygen=0.2)
    _, _, remarks = run(make_stage("contact_tank"), iron, make_duty())
    assert codes(remarks) == {"no-effect": "caution"}
    assert "hours" in remarks[0].message or "days" in remarks[0].message
    _, _, remarks = run(make_stage("contact_tank"), make_water(**WATER), make_duty())
    assert codes(remarks) == {"no-effect": "caution"}


def test_acid_of_the_iron_lowers_ph() -> None:
    water = make_water(ph=7.5, alkalinity=40.0, toc=0.0, iron_dissolved=8.0, dissolved_oxygen=9.0)
    out, working, _ = run(make_stage("contact_tank", volume="500 gal"), water, make_duty(peak=2.0))
    # favourable: all iron turns; 1.792 mg/L CaCO3 a mg (Water Treatment Plant Design, table 10.7: 1.80)
    assert pick(out.row("alkalinity"), reading=0) == pytest.approx(40.0 - 8.0 * 1.792, rel=0.01)
    assert pick(out.row("ph"), reading=0) < 7.0
    assert step_values(working, "iron_dissolved_out") == [pick(out.row("iron_dissolved"))]
    assert step_values(working, "ph_out") == [pick(out.row("ph"))]


def test_figure_holds_its_volume() -> None:
    figure = make_stage("contact_tank", volume="120 gal").figure()
    assert math.pi * figure.width**2 / 4 * figure.height == pytest.approx(120 * 3.785411784e-3)


@settings(max_examples=40, deadline=None)
@given(
    ph=st.floats(6, 8.2), iron=st.floats(0, 15), oxygen=st.floats(0, 12), volume=st.floats(20, 500), more=st.floats(1, 4),
    chlorine=st.floats(0, 8), ammonia=st.floats(0, 2), toc=st.floats(0, 5),
)  # fmt: skip
def test_balance_and_more_time_never_leaves_more_iron(
    ph: float, iron: float, oxygen: float, volume: float, more: float, chlorine: float, ammonia: float, toc: float
) -> None:
    water = make_water(
        ph=ph, alkalinity=180.0, iron_dissolved=iron, dissolved_oxygen=oxygen, free_chlorine=chlorine, total_chlorine=chlorine,
        ammonia=ammonia, toc=toc, chloride=10.0,
    )  # fmt: skip
    small, _, _ = run(make_stage("contact_tank", volume=f"{volume} gal"), water, make_duty())
    large, _, _ = run(make_stage("contact_tank", volume=f"{volume * more} gal"), water, make_duty())
    assert np.all(large.row("iron_dissolved") <= small.row("iron_dissolved") + 1e-9)
    assert small.get("iron") == pytest.approx(water.get("iron"), abs=1e-9)
    # chlorine that is gone is chloride: half of it by mass came as chloride already
    used = water.row("total_chlorine") - small.row("total_chlorine")
    assert small.row("chloride") - water.row("chloride") == pytest.approx(0.5 * used, abs=1e-9)
    for row in ("free_chlorine", "total_chlorine", "ammonia", "dissolved_oxygen"):
        assert np.all(small.row(row) >= -1e-12)
