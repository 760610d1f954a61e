"""Oxidant feed: doses by pace, reactions by electrons, and what it says of too little and too much."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.stages._oxidation import MANGANESE_IN_PERMANGANATE
from trainapp.stages.working import pick

WATER = {"ph": 7.2, "alkalinity": 200.0, "iron_dissolved": 2.0, "manganese_dissolved": 0.3}


def test_a_metered_feed_keeps_its_dose_at_every_flow() -> None:
    stage = make_stage("oxidant_feed", dose="4 mg/L", paced_by="flow")
    _, working, _ = run(stage, make_water(**WATER), make_duty())
    dose = working.results["dose"].value
    assert dose[1].ravel() == pytest.approx(3.8)
    assert dose[0].ravel() == pytest.approx(4.2)


def test_a_pump_paced_feed_has_a_band_and_thins_out_beyond_the_pump() -> None:
    # By hand: set at 8 gpm, pump swings 6 to 10 gpm: 3 x 8/6 = 4 and 3 x 8/10 = 2.4 mg/L; at 12 gpm both are 3 x 8/12 = 2 mg/L.
    stage = make_stage("oxidant_feed", dose="3 mg/L", paced_by="pump", pump_flow="8 gpm")
    _, working, _ = run(stage, make_water(**WATER), make_duty(peak=12.0))
    most, least = working.results["dose"].value[..., 0]
    assert most == pytest.approx([4.0, 4.0, 2.0])
    assert least == pytest.approx([2.4, 2.4, 2.0])


def test_chlorine_takes_sulfide_then_iron_and_leaves_the_rest() -> None:
    # By hand: 1 mg H2S to sulfur takes 2.081, 2 mg Fe takes 1.270; 6 x 1.05 - 3.351 = 2.949 mg/L stay in the favourable reading.
    water = make_water(**WATER, hydrogen_sulfide=1.0, sulfate=10.0)
    out, working, _ = run(make_stage("oxidant_feed", dose="6 mg/L", paced_by="flow"), water, make_duty())
    assert pick(out.row("free_chlorine"), reading=0) == pytest.approx(2.949, abs=2e-3)
    assert pick(out.row("iron_dissolved")) == 0.0
    assert pick(out.row("iron_particulate")) == pytest.approx(2.0)
    # the adverse reading lets what is left carry sulfur on to sulfate: 2.349/6.242 of it
    assert pick(out.row("free_chlorine")) == pytest.approx(0.0, abs=1e-12)
    assert pick(out.row("sulfate")) == pytest.approx(10.0 + 2.349 / 6.242 * 96.06 / 34.081, abs=5e-3)
    assert step_values(working, "residual") == [pick(out.row("free_chlorine"))]
    assert step_values(working, "ph_out") == [pick(out.row("ph"))]
    assert step_values(working, "iron_oxidised") == [pick(out.row("iron_particulate"))]


def test_bleach_brings_sodium_and_salt() -> None:
    # By hand: Cl2 + 2 NaOH brings 2 x 22.990/70.906 of sodium and 35.453/70.906 of chloride per mg of chlorine.
    water = make_water(ph=7.5, alkalinity=150.0, sodium=5.0, chloride=7.0)
    out, _, _ = run(make_stage("oxidant_feed", dose="2 mg/L", paced_by="flow"), water, make_duty())
    assert pick(out.row("sodium")) == pytest.approx(5.0 + 1.9 * 0.64847, abs=1e-3)
    assert pick(out.row("chloride")) == pytest.approx(7.0 + 1.9 * 0.5, abs=1e-3)
    assert pick(out.row("ph")) > 7.5


def test_permanganate_left_over_is_pink_and_dims_uv() -> None:
    water = make_water(**WATER, absorbance=0.05)
    out, _, remarks = run(make_stage("oxidant_feed", oxidant="permanganate", dose="6 mg/L", paced_by="flow"), water, make_duty())
    assert codes(remarks)["pink-water"] == "caution"
    left = pick(out.row("permanganate"))
    assert left == pytest.approx(5.7 - 2 * 0.9433, abs=1e-3)
    # 0.00416 1/cm per mg/L KMnO4: 657 L/(mol cm), UVDGM 2006 chapter 2 (from memory)
    assert pick(out.row("absorbance")) == pytest.approx(0.05 + 0.00416 * left, rel=2e-3)


def test_what_is_left_is_known_where_the_demand_was() -> None:
    stage = make_stage("oxidant_feed", dose="4 mg/L")
    assumed = make_water(unknown=("free_chlorine",), **WATER, free_chlorine=0.0)
    out, _, _ = run(stage, assumed, make_duty())
    assert out.is_known("free_chlorine").all()
    assert not run(stage, assumed, make_duty(chlorinated=True))[0].is_known("free_chlorine").any()
    blind = make_water(unknown=("iron_particulate", "iron_dissolved"), **WATER, iron_particulate=0.0)
    assert not run(stage, blind, make_duty())[0].is_known("free_chlorine").any()


def test_too_little_oxidant_is_said_and_leaves_iron_dissolved() -> None:
    out, _, remarks = run(make_stage("oxidant_feed", dose="0.5 mg/L", paced_by="flow"), make_water(**WATER), make_duty())
    assert codes(remarks)["oxidant-short"] == "caution"
    assert pick(out.row("iron_dissolved")) == pytest.approx(2.0 - 0.475 / 0.63485, abs=1e-3)


def test_where_only_sulfate_would_use_it_up_it_is_a_note() -> None:
    water = make_water(ph=7.2, alkalinity=200.0, hydrogen_sulfide=1.5)
    _, _, remarks = run(make_stage("oxidant_feed", dose="5 mg/L", paced_by="flow"), water, make_duty())
    assert codes(remarks) == {"oxidant-short": "note", "sulfur-haze": "note"}


def test_peroxide_without_anything_to_do_is_no_effect() -> None:
    clean = make_water(ph=7.5, alkalinity=150.0)
    _, _, remarks = run(make_stage("oxidant_feed", oxidant="peroxide", paced_by="flow"), clean, make_duty())
    assert codes(remarks) == {"no-effect": "caution"}


def test_a_pump_paced_feed_on_a_main_has_no_pump() -> None:
    stage = make_stage("oxidant_feed", dose="3 mg/L")
    _, _, remarks = run(stage, make_water(ph=7.5, alkalinity=150.0), make_duty(source="mains"))
    assert codes(remarks)["feed-pacing"] == "caution"
    _, _, remarks = run(stage, make_water(ph=7.5, alkalinity=150.0), make_duty())
    assert codes(remarks)["feed-pacing"] == "note"


def test_the_solution_used_in_a_month_is_on_the_chore() -> None:
    stage = make_stage("oxidant_feed", dose="3 mg/L")
    (chore,) = stage.chores(make_water(**WATER), make_duty(daily=300.0))
    # 3 mg/L x 1135.6 L x 30 d
    assert chore.amount == pytest.approx(0.10221, rel=1e-3)
    assert "acid" in chore.what


@settings(max_examples=40, deadline=None)
@given(
    oxidant=st.sampled_from(["chlorine", "permanganate", "peroxide"]),
    dose=st.floats(0.1, 20),
    more=st.floats(0, 10),
    iron=st.floats(0, 15),
    sulfide=st.floats(0, 5),
)
def test_metals_balance_and_more_dose_never_leaves_more_iron(oxidant: str, dose: float, more: float, iron: float, sulfide: float) -> None:
    water = make_water(ph=7.0, alkalinity=150.0, iron_dissolved=iron, hydrogen_sulfide=sulfide, manganese_dissolved=0.4)
    out, _, _ = run(make_stage("oxidant_feed", oxidant=oxidant, dose=f"{dose} mg/L"), water, make_duty())
    assert out.get("iron") == pytest.approx(water.get("iron"), abs=1e-9)
    added = run(make_stage("oxidant_feed", oxidant=oxidant, dose=f"{dose} mg/L"), water, make_duty())[1].results["dose"].value
    brought = added * MANGANESE_IN_PERMANGANATE if oxidant == "permanganate" else 0.0
    held = out.get("manganese") + out.row("permanganate") * MANGANESE_IN_PERMANGANATE
    assert held == pytest.approx(water.get("manganese") + brought, abs=1e-9)
    richer, _, _ = run(make_stage("oxidant_feed", oxidant=oxidant, dose=f"{dose + more} mg/L"), water, make_duty())
    assert np.all(richer.row("iron_dissolved") <= out.row("iron_dissolved") + 1e-9)
    for row in ("free_chlorine", "permanganate", "peroxide", "iron_dissolved", "hydrogen_sulfide"):
        assert np.all(out.row(row) >= 0.0)
