"""Storage open to air: age, gases, iron that turns, and the pump behind it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.dimensions import DAY, GALLON, GPM, PSI
from trainapp.stages.storage_pump import StoragePump
from trainapp.stages.working import pick


def test_age_and_fill_time_by_hand() -> None:
    # 300 gal, 300 gal a day, filled at 3 gpm: a day and 100 minutes.
    _, working, _ = run(make_stage("storage_pump"), make_water(ph=7.0, alkalinity=100.0), make_duty(daily=300.0))
    assert step_values(working, "age") == pytest.approx([DAY])
    assert step_values(working, "fill_time") == pytest.approx([6000.0])


def test_oxygen_comes_to_saturation_and_is_known() -> None:
    # 11.29 mg/L at 10 degC (Benson and Krause 1984, from memory)
    water = make_water(unknown=("dissolved_oxygen",), ph=7.0, alkalinity=100.0, dissolved_oxygen=0.0)
    out, working, _ = run(make_stage("storage_pump"), water, make_duty(cold=10.0))
    assert pick(out.row("dissolved_oxygen")) == pytest.approx(11.29, abs=0.01)
    assert out.is_known("dissolved_oxygen").all()
    assert step_values(working, "dissolved_oxygen_out") == [pick(out.row("dissolved_oxygen"))]


def test_iron_turns_to_floc_while_water_stands() -> None:
    # A day at pH 7.2 and 10 degC is 76 half-lives of 19 minutes: nothing stays dissolved, nothing leaves.
    out, working, _ = run(make_stage("storage_pump"), make_water(ph=7.2, alkalinity=150.0, iron_dissolved=2.0), make_duty(daily=300.0))
    assert pick(out.row("iron_dissolved")) == pytest.approx(0.0, abs=1e-6)
    assert pick(out.row("iron_particulate")) == pytest.approx(2.0)
    assert step_values(working, "iron_dissolved_out") == [pick(out.row("iron_dissolved"), "average")]


def test_a_share_of_carbon_dioxide_leaves() -> None:
    # By hand at 10 degC, alkalinity 30, pH 6: CO2 87.2 and in balance with air 1.12 mg/L as CaCO3; six tenths of the difference leave:
    # pH rises by lg(87.19/35.55) = 0.390.
    out, working, _ = run(make_stage("storage_pump"), make_water(ph=6.0, alkalinity=30.0, hydrogen_sulfide=1.0), make_duty(cold=10.0))
    assert pick(out.row("ph"), reading=0) == pytest.approx(6.390, abs=0.005)
    assert pick(out.row("ph")) == pytest.approx(6.0 + np.log10(87.19 / 78.58), abs=0.005)
    assert pick(out.row("hydrogen_sulfide"), reading=0) == 0.5
    assert pick(out.row("hydrogen_sulfide")) == 1.0
    assert step_values(working, "ph_out") == [pick(out.row("ph"))]


def test_the_pump_behind_it() -> None:
    held = make_stage("storage_pump", set_pressure="55 psi")
    assert isinstance(held, StoragePump)
    assert held.breaks_pressure
    assert held.pump_supply().running(20 * GPM) == pytest.approx(55 * PSI)
    curve = [["0 gpm", "70 psi"], ["10 gpm", "50 psi"], ["20 gpm", "10 psi"]]
    pump = make_stage("storage_pump", pump_curve=curve).pump_supply()
    assert pump.running(5 * GPM) == pytest.approx(60 * PSI)
    assert pump.lowest(15 * GPM) == pytest.approx(30 * PSI)
    assert pump.max_flow == pytest.approx(22 * GPM)
    both = make_stage("storage_pump", pump_curve=curve, set_pressure="55 psi").pump_supply()
    assert [both.running(q * GPM) for q in (5, 15)] == pytest.approx([55 * PSI, 30 * PSI])


def test_what_it_has_to_say() -> None:
    water = make_water(ph=7.0, alkalinity=100.0)
    curve = [["0 gpm", "70 psi"], ["20 gpm", "10 psi"]]
    _, _, remarks = run(make_stage("storage_pump", pump_curve=curve), water, make_duty(daily=300.0))
    assert codes(remarks) == {"storage-open": "note"}
    _, _, remarks = run(make_stage("storage_pump", volume="1500 gal"), water, make_duty(daily=300.0))
    assert codes(remarks) == {"storage-open": "note", "standing-water": "caution", "pump-unknown": "note"}
    _, _, remarks = run(make_stage("storage_pump", fill_flow="0.2 gpm", pump_curve=curve), water, make_duty(daily=300.0))
    short = next(remark for remark in remarks if remark.code == "flow-short")
    assert short.severity == "fail"
    assert (short.value, short.limit) == pytest.approx((288 * GALLON, 300 * GALLON))


@settings(max_examples=40, deadline=None)
@given(ph=st.floats(5.0, 8.2), alkalinity=st.floats(5, 400), iron=st.floats(0, 10), volume=st.floats(50, 2000), more=st.floats(1, 5))
def test_ph_moves_to_air_and_older_water_holds_no_more_iron(ph: float, alkalinity: float, iron: float, volume: float, more: float) -> None:
    water = make_water(ph=ph, alkalinity=alkalinity, iron_dissolved=iron)
    out, working, _ = run(make_stage("storage_pump", volume=f"{volume} gal"), water, make_duty())
    older, _, _ = run(make_stage("storage_pump", volume=f"{volume * more} gal"), water, make_duty())
    balance = {step.symbol: step.value for step in working.steps}
    away = np.sign(balance["CO₂"] - balance["CO₂,air"])
    assert np.all((out.row("ph") - ph) * away >= -1e-12)
    assert np.all(older.row("iron_dissolved") <= out.row("iron_dissolved") + 1e-9)
    assert out.get("iron") == pytest.approx(water.get("iron"), abs=1e-9)
