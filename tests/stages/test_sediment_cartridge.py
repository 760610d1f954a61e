"""The sediment cartridge: what it holds by size, what pressure it takes, how long it lasts."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.dimensions import DAY, GPM, PSI
from trainapp.stages.sediment_cartridge import SedimentCartridge
from trainapp.stages.working import PEAK
from trainapp.water.analytes import PARTICLE_ROWS
from trainapp.water.stream import ADVERSE, FAVOURABLE, Stream


def cartridge(**more: Any) -> SedimentCartridge:
    stage = make_stage("sediment_cartridge", **more)
    assert isinstance(stage, SedimentCartridge)
    return stage


def cloudy(**more: Any) -> Stream:
    rows = {"colloid": 1.0, "class_1": 0.5, "class_2": 0.5, "class_3": 1.0, "class_4": 1.0, "class_5": 0.5, "class_6": 0.5}
    return make_water(**{**rows, "suspended_solids": 10.0, **more})


def test_outer_area_of_a_wide_long_one() -> None:
    # Geometry: 20 x 4.5 in over 10 x 2.5 in is 3.6; trade figures 5 gpm and 15 to 20 gpm, 50 g and 150 to 500 g (from memory).
    stage = cartridge(length="20 in", diameter="4.5 in")
    assert stage.area_ratio == pytest.approx(3.6, rel=1e-9)
    assert stage.rating().service == pytest.approx(18 * GPM)
    assert 0.150 <= stage.dirt <= 0.500
    small = cartridge(length="10 in", diameter="2.5 in")
    assert small.rating().service == pytest.approx(5 * GPM) and small.rating().peak == pytest.approx(8 * GPM)
    clean, _ = small.losses(20.0)
    assert 0.5 <= clean.loss(5 * GPM) / PSI <= 2.0


@pytest.mark.parametrize(("basis", "share", "beta"), [("nominal", 0.85, 6.667), ("absolute", 0.999, 1000.0)])
def test_the_rating_says_what_it_holds(basis: str, share: float, beta: float) -> None:
    # NSF/ANSI 42: 85 % by count in the rated class (from memory); beta 1000 is 99.9 %.
    out, w, _ = run(cartridge(rating="5 um", rating_basis=basis), cloudy(), make_duty())
    left = out.particles[:, ADVERSE, PEAK, 0] / cloudy().particles[:, ADVERSE, PEAK, 0]
    np.testing.assert_allclose(left[:3], 1.0)
    np.testing.assert_allclose(left[3:], 1.0 - share, rtol=1e-9)
    assert w.results["beta"].shown == pytest.approx(beta, rel=1e-3)
    assert np.all(out.particles[:, FAVOURABLE] <= out.particles[:, ADVERSE] + 1e-15)


def test_colloids_and_dissolved_iron_pass_every_cartridge() -> None:
    water = cloudy(iron_dissolved=2.0, iron_particulate=1.0, manganese_particulate=0.2)
    out, _, _ = run(cartridge(rating="1 um", rating_basis="absolute"), water, make_duty())
    np.testing.assert_array_equal(out.row("colloid"), water.row("colloid"))
    np.testing.assert_array_equal(out.row("iron_dissolved"), water.row("iron_dissolved"))
    # particulate metals go as the turbidity goes, colloids and all
    ratio = out.get("turbidity") / water.get("turbidity")
    np.testing.assert_allclose(out.row("iron_particulate"), ratio, rtol=1e-12)
    np.testing.assert_allclose(out.row("manganese_particulate"), 0.2 * ratio, rtol=1e-12)


def test_absorbance_falls_with_the_particles_alone() -> None:
    water = cloudy(absorbance=0.15, absorbance_particles=0.05)
    out, w, _ = run(cartridge(), water, make_duty())
    held = w.results["held"].value
    np.testing.assert_allclose(out.row("absorbance"), 0.15 - 0.05 * held, rtol=1e-12)
    np.testing.assert_allclose(out.row("absorbance_particles"), 0.05 * (1 - held), rtol=1e-12)


@given(
    parts=st.lists(st.floats(0.0, 20.0), min_size=7, max_size=7), fine=st.floats(0.6, 90.0), coarser=st.floats(1.01, 4.0),
    basis=st.sampled_from(["nominal", "absolute"]), iron=st.floats(0.0, 5.0),
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_a_finer_one_holds_no_less(parts: list[float], fine: float, coarser: float, basis: str, iron: float) -> None:
    water = make_water(iron_particulate=iron, **dict(zip(PARTICLE_ROWS, parts, strict=True)))
    left = []
    for rating in (fine, fine * coarser):
        stage = cartridge(rating=f"{rating:.6f} um", rating_basis=basis)
        left.append(run(stage, water, make_duty())[0])
    for row in (*PARTICLE_ROWS, "iron_particulate"):
        assert np.all(left[0].row(row) <= left[1].row(row) * (1 + 1e-12))
        assert np.all(left[1].row(row) <= water.row(row) * (1 + 1e-12)) and np.all(left[0].row(row) >= -1e-15)


@given(flow=st.floats(0.1, 30.0), cold=st.floats(1.0, 20.0), rating=st.floats(0.6, 50.0))
@settings(max_examples=30, deadline=None)
def test_cold_dirt_and_flow_cost_pressure(flow: float, cold: float, rating: float) -> None:
    stage = cartridge(rating=f"{rating:.6f} um")
    clean, dirty = stage.losses(cold)
    warmer, _ = stage.losses(cold + 5.0)
    assert dirty.loss(flow * GPM) > clean.loss(flow * GPM) > warmer.loss(flow * GPM)
    assert clean.loss(1.1 * flow * GPM) > clean.loss(flow * GPM)


def test_it_is_due_at_the_change_pressure_as_read() -> None:
    stage = cartridge(change_at="12 psi", read_at="6 gpm")
    clean, dirty = stage.losses(10.0)
    assert (dirty.loss(6 * GPM) - clean.loss(6 * GPM)) / PSI == pytest.approx(12.0, rel=1e-9)
    assert cartridge().read_at == pytest.approx(9 * GPM)


def test_fifty_grams_last_four_days() -> None:
    # Hand-worked: 50 g of dirt at 10 mg/L and 300 gal a day last 4.4 days where all of it is held and 20 psi is the end.
    stage = cartridge(rating="0.5 um", rating_basis="absolute", dirt_capacity="50 g", change_at="20 psi")
    _, w, remarks = run(stage, cloudy(colloid=0.0), make_duty(daily=300.0))
    assert w.results["dirt_life"].shown / DAY == pytest.approx(4.4, rel=0.01)
    assert codes(remarks)["capacity-short"] == "caution"
    lasting = run(stage, cloudy(colloid=0.0, suspended_solids=0.2), make_duty(daily=300.0))
    assert "capacity-short" not in codes(lasting[2])
    assert lasting[1].results["life"].shown / DAY == pytest.approx(182.6, rel=0.01)


def test_pleats_reach_half_the_pressure_with_half_the_dirt() -> None:
    # Hermia: a cake grows in proportion; a wall that blocks inside (standard law) has taken most of its dirt by then.
    times = {}
    for build in ("depth", "pleated"):
        stage = cartridge(build=build, change_at="10 psi", rating="0.5 um", rating_basis="absolute")
        _, w, _ = run(stage, cloudy(suspended_solids=100.0), make_duty())
        times[build] = w.results["dirt_life"].shown * w.results["dirt_per_day"].value[ADVERSE, 1, 0] / DAY / stage.dirt
    assert times["pleated"] == pytest.approx(0.5, rel=1e-6)
    assert 0.8 < times["depth"] < 1.0


def test_solids_that_were_not_measured_follow_turbidity() -> None:
    water = cloudy()
    water.set("suspended_solids", np.nan, known=False)
    out, w, _ = run(cartridge(), water, make_duty())
    assert np.all(np.isnan(out.row("suspended_solids")))
    assert [step.value for step in w.steps if step.symbol == "TSS"] == [pytest.approx(15.0)]


def test_iron_before_a_fine_cartridge_is_said() -> None:
    water = cloudy(iron_dissolved=1.0)
    assert codes(run(cartridge(rating="5 um"), water, make_duty())[2])["order"] == "caution"
    assert "order" not in codes(run(cartridge(rating="20 um"), water, make_duty())[2])
    assert "order" not in codes(run(cartridge(rating="5 um"), cloudy(iron_particulate=1.0), make_duty())[2])


def test_nothing_to_hold_is_said() -> None:
    water = make_water(colloid=2.0, suspended_solids=0.0)
    assert codes(run(cartridge(), water, make_duty())[2])["no-effect"] == "note"
    assert "no-effect" not in codes(run(cartridge(), cloudy(), make_duty())[2])


def test_every_result_is_a_step_and_matches_the_water() -> None:
    stage = cartridge()
    out, w, _ = run(stage, cloudy(), make_duty(peak=7.0))
    for name, result in w.results.items():
        assert step_values(w, name) == [result.shown]
    assert w.results["turbidity_out"].shown == pytest.approx(out.get("turbidity")[ADVERSE, PEAK, 0])
    clean, dirty = stage.losses(10.0)
    shown = {key: w.results[key].shown for key in ("wall_loss", "housing_loss", "dirt_loss")}
    assert shown["wall_loss"] + shown["housing_loss"] == pytest.approx(clean.loss(7 * GPM))
    assert sum(shown.values()) == pytest.approx(dirty.loss(7 * GPM))
    assert stage.chores(cloudy(), make_duty())[0].every_days == pytest.approx(w.results["life"].shown / DAY)
    assert stage.figure().shape == "cartridge" and stage.cleaning(cloudy(), make_duty()) is None
