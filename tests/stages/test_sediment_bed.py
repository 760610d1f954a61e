"""Sediment bed: straining by class, rate and depth, the run, the wash, and what it cannot hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.building import codes, make_duty, make_stage, make_water, run, step_values
from trainapp.dimensions import DAY, FOOT, GPM, INCH, PSI
from trainapp.stages.sediment_bed import SedimentBed
from trainapp.stages.working import pick
from trainapp.water.analytes import PARTICLE_ROWS

DIRTY = {"colloid": 0.5, "class_2": 1.0, "class_3": 2.0, "class_4": 3.0, "iron_particulate": 1.0}


def _bed(**more: str) -> SedimentBed:
    stage = make_stage("sediment_bed", **more)
    assert isinstance(stage, SedimentBed)
    return stage


def test_shares_hold_at_the_stated_rate_and_depth() -> None:
    # 8 gpm/ft2 through 30 in of several media in a 12 in tank (0.7854 ft2) is 6.283 gpm.
    duty = make_duty(peak=8 * np.pi * 0.25)
    out, _, _ = run(_bed(tank_diameter="12 in"), make_water(**DIRTY), duty)
    assert pick(out.row("class_3"), reading=0) == pytest.approx(2.0 * 0.25)
    assert pick(out.row("class_3")) == pytest.approx(2.0 * 0.60)
    assert pick(out.row("colloid"), reading=0) == 0.5
    # twice the depth holds the same share of what is left again
    out, _, _ = run(_bed(tank_diameter="12 in", bed_depth="60 in"), make_water(**DIRTY), duty)
    assert pick(out.row("class_3")) == pytest.approx(2.0 * 0.60**2)


def test_above_the_rate_removals_fall_with_the_root_of_speed() -> None:
    out, working, _ = run(_bed(tank_diameter="12 in"), make_water(**DIRTY), make_duty(peak=4 * 8 * np.pi * 0.25))
    assert pick(out.row("class_3")) == pytest.approx(2.0 * 0.60**0.5)
    assert step_values(working, "turbidity_out") == [pick(out.get("turbidity"))]
    assert step_values(working, "iron_out") == [pick(out.get("iron"))]


def test_floc_behind_an_oxidant_is_held() -> None:
    # chlorination, detention and a filter: 2 mg/L of iron comes down to 0.3 and below (Oklahoma 252:626-9-7 aims at 0.3, published)
    water = make_water(iron_particulate=2.0)
    out, working, _ = run(_bed(tank_diameter="12 in"), water, make_duty(peak=6.0))
    assert pick(out.get("iron")) <= 0.3 + 1e-9
    assert pick(out.get("iron"), reading=0) <= 0.1
    assert step_values(working, "floc_left") == pytest.approx([pick(out.get("iron")) / 2.0])


def test_a_run_by_hand() -> None:
    # 10 in tank holds 0.5 kg/m2 x 0.05067 m2 = 25.34 g; 20 mg/L of solids that all stay, 300 gal (1136 L) a day: 22.7 g/d, 1.12 d.
    water = make_water(class_6=10.0, suspended_solids=20.0)
    _, working, _ = run(_bed(bed_depth="120 in"), water, make_duty(daily=300.0))
    assert step_values(working, "run") == pytest.approx([25.335 / 22.712 * DAY], rel=0.01)


def test_iron_floc_counts_as_dirt_where_solids_were_not_measured() -> None:
    # 1.914 mg Fe(OH)3 a mg of iron: Water Treatment Plant Design, table 10.7 (sludge 1.9)
    # at the average flow the adverse reading holds 85 % of the floc: 4.25 of 5 mg/L of iron
    _, working, _ = run(_bed(), make_water(iron_particulate=5.0), make_duty())
    assert [step.value for step in working.steps if step.symbol == "S"] == pytest.approx([1.914 * 4.25])


def test_absorbance_leaves_with_its_particles() -> None:
    water = make_water(**DIRTY, absorbance=0.15, absorbance_particles=0.04, absorbance_iron=0.02)
    out, _, _ = run(_bed(), water, make_duty())
    dirt = out.get("turbidity") / water.get("turbidity")
    iron = out.get("iron") / water.get("iron")
    assert out.row("absorbance") == pytest.approx(0.15 - 0.04 * (1 - dirt) - 0.02 * (1 - iron))


def test_wash_tests_the_warmest_water_and_shows_what_is_published() -> None:
    stage = _bed(tank_diameter="12 in", media="sand")
    cleaning = stage.cleaning(make_water(**DIRTY), make_duty(cold=5.0, warm=15.0))
    # silica sand ES 0.50 UC 1.5: 14.6 gpm/ft2 at 15 degC, 11.3 at 5 degC by Wen and Yu at 1.3 v_mf(d90)
    area = np.pi * 0.25
    assert cleaning.flow / GPM == pytest.approx(14.6 * area, rel=0.02)
    assert cleaning.flow_cold / GPM == pytest.approx(11.3 * area, rel=0.02)
    assert cleaning.published is not None
    assert cleaning.published[0] / GPM == pytest.approx(12 * area)
    assert cleaning.every_days == 3.0
    assert cleaning.volume == pytest.approx(cleaning.flow * 900.0)


def test_sand_loses_what_ergun_says() -> None:
    # 24 in of 0.55 mm sand, sphericity 0.8, void 0.42, at 5 gpm/ft2 and 10 degC: 1.41 psi (Ergun 1952)
    stage = _bed(tank_diameter="12 in", bed_depth="24 in", media="sand")
    assert stage.tank.bed(10.0).loss(5 * np.pi * 0.25 * GPM) / PSI == pytest.approx(1.41, rel=0.01)


def test_finer_than_a_bed_strains_is_no_effect() -> None:
    _, _, remarks = run(_bed(), make_water(colloid=4.0), make_duty())
    assert codes(remarks) == {"no-effect": "caution"}
    _, _, remarks = run(_bed(), make_water(colloid=0.1), make_duty())
    assert codes(remarks) == {"no-effect": "note"}


def test_a_bed_that_fills_in_hours_is_short() -> None:
    _, _, remarks = run(_bed(), make_water(class_5=60.0), make_duty(daily=400.0))
    assert codes(remarks) == {"capacity-short": "caution"}
    stage = _bed(wash_every="5 d")
    assert stage.cleaning(make_water(class_5=60.0), make_duty(daily=400.0)).every_days == 1.0


def test_it_stands_as_wide_as_its_tank() -> None:
    figure = _bed(tank_diameter="13 in", bed_depth="30 in").figure()
    assert figure.width == pytest.approx(13 * INCH)
    assert 30 * INCH < figure.fill < figure.height < 8 * FOOT


@settings(max_examples=40, deadline=None)
@given(
    peak=st.floats(0.5, 30), more=st.floats(1, 4), depth=st.floats(12, 60), deeper=st.floats(1, 3),
    media=st.sampled_from(["sand", "multimedia"]), rows=st.lists(st.floats(0, 50), min_size=7, max_size=7),
)  # fmt: skip
def test_faster_never_holds_more_and_deeper_never_less(
    peak: float, more: float, depth: float, deeper: float, media: str, rows: list[float]
) -> None:
    water = make_water(**dict(zip(PARTICLE_ROWS, rows, strict=True)), iron_particulate=1.0)
    base, _, _ = run(_bed(bed_depth=f"{depth} in", media=media), water, make_duty(peak=peak))
    fast, _, _ = run(_bed(bed_depth=f"{depth} in", media=media), water, make_duty(peak=peak * more))
    deep, _, _ = run(_bed(bed_depth=f"{depth * deeper} in", media=media), water, make_duty(peak=peak))
    slack = 1e-9
    assert np.all(fast.particles >= base.particles - slack)
    assert np.all(deep.particles <= base.particles + slack)
    assert np.all(base.particles <= water.particles + slack)
    assert np.all(base.particles[:, 0] <= base.particles[:, 1] + slack)
    assert np.all(deep.get("iron") <= base.get("iron") + slack)
