"""What happens to a train in use: regeneration, washes, stores that run out, lamp and power, and what is told of it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.studies.year_cases import HARD, NEVER, RUSTY, chain, document, site, stage, uv, years
from tests.train.trains import MAIN, WELL
from trainapp.dimensions import DAY, GALLON
from trainapp.stages.working import AVERAGE, PEAK
from trainapp.studies.year import Cancelled, ExtraService, Options, PowerCut, Upkeep, Year, YearError, read_spike, run
from trainapp.water.stream import ADVERSE

CUT = (PowerCut(3.0, 18.0, 6.0),)
WELL_SITE = {"supply": WELL}


def codes(year: Year, stage_id: str = "") -> list[str]:
    """What goes wrong, at one stage or anywhere."""
    return [wrong.code for wrong in year.gone_wrong if stage_id in ("", wrong.stage)]


def first(year: Year, code: str) -> Any:
    """The first of its kind."""
    return next(wrong for wrong in year.gone_wrong if wrong.code == code)


def at(year: Year, code: str) -> list[float]:
    """Days at which something happened."""
    return [happening.day for happening in year.happenings if happening.code == code]


# Softener -------------------------------------------------------------------------------------------------------------------------


def test_a_single_tank_lets_hard_water_by_while_it_regenerates() -> None:
    one = years(site(stage("soft", "softener", resin_volume="2 ft3")), days=60)
    two = years(site(stage("soft", "softener", resin_volume="2 ft3", tanks="2")), days=60)
    assert all(day % 1.0 == pytest.approx(2.0 / 24.0) for day in at(one, "regeneration"))
    assert one.totals.hours_hard > 0.0 == two.totals.hours_hard
    told = first(one, "hard")
    assert "soft was cleaning itself and let water by" in told.sentence and told.day == pytest.approx(at(one, "regeneration")[0], abs=0.1)


def test_a_closed_valve_gives_no_water_instead() -> None:
    closed = years(site(stage("soft", "softener", during_cleaning="closed")), days=30)
    assert closed.totals.hours_hard == 0.0 and closed.totals.dry_hours > 0.0
    assert "a valve was closed" in first(closed, "no-water").sentence


def test_a_valve_at_the_wrong_hour_lets_more_hard_water_by() -> None:
    night, noon = (years(site(stage("soft", "softener", clean_at=hour)), days=60) for hour in ("2 h", "8 h"))
    assert noon.totals.hours_hard > 5.0 * night.totals.hours_hard


def test_a_meter_without_reserve_runs_out_before_the_night() -> None:
    kept, spent = (years(site(stage("soft", "softener", reserve=reserve)), days=60) for reserve in ("1 d", "0 d"))
    assert "hardness-slip" in codes(spent) and "hardness-slip" not in codes(kept)
    assert spent.totals.hours_hard > 3.0 * kept.totals.hours_hard


def test_two_tanks_let_no_hardness_by_though_iron_slips_through_at_the_peak() -> None:
    # a filter that is far too small for the peak: what comes at that flow is more than what comes in the average of a day
    iron = stage("iron", "iron_filter", tank_diameter="13 in", media="coated_silicate", oxidant="air", during_cleaning="other_tank")
    year = years(site(iron, stage("soft", "softener", tanks="2"), water={**RUSTY, "manganese": "0.1 mg/L"}, peak="9 gpm"), days=30)
    entering = year.machine.usual.stages["soft"].inlet.get("iron")[ADVERSE, :, 0]
    assert entering[PEAK] > 5.0 * entering[AVERAGE]
    assert len(at(year, "regeneration")) > 3
    assert "hardness-slip" not in codes(year) and year.totals.hours_hard == 0.0


def test_a_clock_regenerates_whatever_was_used() -> None:
    year = years(site(stage("soft", "softener", control="clock", regenerate_every="4 d")), days=41)
    assert np.allclose(np.diff(at(year, "regeneration")), 4.0)
    lazy = years(site(stage("soft", "softener", control="clock", regenerate_every="9 d")), days=41)
    assert first(lazy, "hardness-slip").day < 9.0
    half = lazy.course("soft", "hardness")
    assert half.max() == pytest.approx(342.36) and half.min() < 20.0


def test_salt_runs_out_where_nobody_fills_up() -> None:
    train = site(stage("soft", "softener"))
    kept, forgotten = years(train, days=200), years(train, days=200, upkeep=NEVER)
    assert "out-of-salt" not in codes(kept)
    ran_out = first(forgotten, "out-of-salt")
    # 200 lb at 9 lb each: the twenty-third finds too little
    assert at(forgotten, "regeneration")[22] < ran_out.day < at(forgotten, "regeneration")[23]
    assert forgotten.stage("soft").store[-1] == 0.0  # type: ignore[index]
    assert forgotten.course("soft", "hardness")[-1] == pytest.approx(342.36)
    used = kept.totals.used["soft", "salt", "mass"]
    assert used == pytest.approx(kept.totals.salt, rel=0.2)


def test_a_twin_that_has_no_time_to_make_brine_runs_out() -> None:
    small = years(site(stage("soft", "softener", resin_volume="0.2 ft3", tanks="2"), daily="1500 gal"), days=10)
    assert "hardness-slip" in codes(small)
    assert np.diff(at(small, "regeneration")).min() >= 6.0 / 24.0 - 1e-9


# Iron filter ----------------------------------------------------------------------------------------------------------------------


def test_an_iron_filter_is_washed_by_its_clock() -> None:
    year = years(site(stage("iron", "iron_filter"), water=RUSTY), days=31)
    assert np.allclose(np.diff(at(year, "backwash")), 3.0)
    clog = year.stage("iron").clog
    # due is what three average days bring
    assert clog is not None and clog.max() == pytest.approx(1.0, abs=0.15)
    assert year.stage("iron").cleaning.sum() * 60.0 == pytest.approx(len(at(year, "backwash")) * 15.0)
    assert year.totals.drained_water > 0.0


def test_a_small_well_leaves_the_bed_dirty() -> None:
    weak = {**WELL, "pump_curve": [["0 gpm", "70 psi"], ["3 gpm", "50 psi"], ["5 gpm", "25 psi"]], "yield": "5 gpm"}
    filter_ = stage("iron", "iron_filter", tank_diameter="13 in")
    small, large = (years(site(filter_, water=RUSTY, supply=supply, daily="200 gal", peak="3 gpm"), days=120) for supply in (weak, WELL))
    assert "wash-starved" in codes(small) and "wash-starved" not in codes(large)
    held = [year.course("iron", "stock_iron") for year in (small, large)]
    # what one wash leaves, the next adds to
    assert held[0].max() > 1.5 * held[1].max()
    assert small.totals.lowest_pressure < large.totals.lowest_pressure
    assert small.balances["iron"].held > large.balances["iron"].held


def test_a_batch_of_permanganate_is_used_up_and_its_pot_too() -> None:
    batch = stage("iron", "iron_filter", tank_diameter="18 in", oxidant="permanganate", regeneration="batch", wash_every="14 d")
    water = {**RUSTY, "dissolved_oxygen": "0 mg/L", "manganese": "0.3 mg/L", "manganese_dissolved": "0.3 mg/L"}
    forgotten = years(site(batch, water=water), days=200, upkeep=NEVER)
    kept = years(site(batch, water=water), days=200)
    assert "pot-empty" in codes(forgotten) and "pot-empty" not in codes(kept)
    assert first(forgotten, "store-spent").day < 200.0
    assert forgotten.course("iron", "manganese")[-1] > 0.25 > 0.1 > kept.course("iron", "manganese")[24]
    assert kept.totals.used["iron", "potassium permanganate", "mass"] > 0.0


def test_a_feed_that_nobody_fills_leaves_the_iron() -> None:
    water = {**RUSTY, "dissolved_oxygen": "0 mg/L"}
    train = site(stage("iron", "iron_filter", tank_diameter="18 in", oxidant="chlorine", during_cleaning="other_tank"), water=water)
    year = years(train, days=80, upkeep=NEVER)
    empty = first(year, "feed-empty")
    assert 40.0 < empty.day < 50.0
    iron = year.course("iron", "iron")
    assert iron[int(empty.day) * 24 - 24] < 0.2 and iron[-1] == pytest.approx(3.0, rel=0.05)
    assert "The feed's tank ran empty" in first(year, "rusty").sentence
    assert "feed-empty" not in codes(years(train, days=80))
    assert "More iron passed the filter." in empty.sentence


def test_a_feed_that_runs_empty_blames_no_iron_that_stays_out() -> None:
    # the air that the water brings takes its iron out without any chlorine
    water = {**RUSTY, "iron": "0.6 mg/L", "iron_dissolved": "0.6 mg/L", "dissolved_oxygen": "8 mg/L"}
    year = years(site(stage("iron", "iron_filter", tank_diameter="18 in", oxidant="chlorine"), water=water), days=60, upkeep=NEVER)
    empty = first(year, "feed-empty")
    iron = year.course("iron", "iron")
    assert np.nanmax(iron[int(empty.day) * 24 + 24 :]) < 0.1
    assert "no oxidant went into the water" in empty.sentence and "iron" not in empty.sentence


def test_a_dose_stays_as_it_was_set_through_a_spike() -> None:
    water = {**RUSTY, "dissolved_oxygen": "0 mg/L"}
    filter_ = stage("iron", "iron_filter", tank_diameter="24 in", media="manganese_dioxide", during_cleaning="other_tank")
    train = site(filter_, water=water)
    year = years(train, days=60, spike=read_spike("iron=7 mg/L@20+20"))
    iron = year.course("iron", "iron")
    assert iron[10 * 24] < 0.2 and iron[24 * 24 : 36 * 24].max() > 1.0
    assert "The raw water was in its spike" in first(year, "rusty").sentence


# Particles, calcite, carbon -------------------------------------------------------------------------------------------------------

DIRTY = {**HARD, "suspended_solids": "8 mg/L", "turbidity": "6 NTU", "turbidity_filtered_5um": "0.1 NTU"}


def test_a_cartridge_takes_pressure_until_it_is_changed() -> None:
    train = site(stage("fine", "sediment_cartridge", rating="5 um"), water=DIRTY)
    kept, forgotten = years(train, days=200), years(train, days=200, upkeep=NEVER)
    pressure = kept.course("house", "pressure")
    changed = int(at(kept, "cartridge")[0] * 24)
    assert pressure[changed + 1 : changed + 25].min() > pressure[changed - 24 : changed - 1].min()
    assert kept.stage("fine").clog.max() == pytest.approx(1.0, abs=0.02)  # type: ignore[union-attr]
    assert {"low-pressure", "flow-starved", "cartridge-blocked"} <= set(codes(forgotten))
    assert "Dirt in fine took the most of it" in first(forgotten, "low-pressure").sentence
    assert forgotten.totals.house_water < 0.8 * kept.totals.house_water
    assert forgotten.totals.lowest_pressure < kept.totals.lowest_pressure


def test_a_spike_of_turbidity_shortens_a_cartridges_life() -> None:
    train = site(stage("fine", "sediment_cartridge", rating="5 um"), water={**DIRTY, "suspended_solids": "1 mg/L", "turbidity": "1 NTU"})
    calm, spiked = years(train), years(train, spike=read_spike("turbidity=40 NTU"))
    assert spiked.totals.cartridges > calm.totals.cartridges
    turbid = spiked.course("supply", "turbidity")
    assert turbid.max() == pytest.approx(40.0) and turbid[0] == pytest.approx(1.0) and turbid[-1] == pytest.approx(1.0)
    assert spiked.course("supply", "uvt").min() < calm.course("supply", "uvt").min()


def test_a_bed_that_dissolves_is_topped_up_or_gone() -> None:
    acid = {**HARD, "hardness": "28 mg/L", "alkalinity": "30 mg/L", "ph": "6.0", "calcium": "8 mg/L", "magnesium": "2 mg/L"}
    train = site(stage("calcite", "neutralizer", bed_depth="10 in"), water=acid, daily="600 gal")
    kept, forgotten = years(train), years(train, upkeep=NEVER)
    assert "bed-low" in codes(forgotten) and "bed-low" not in codes(kept)
    fill, ph = forgotten.stage("calcite").fill, forgotten.course("calcite", "ph")
    # the less is left, the slower it goes
    assert fill is not None and (np.diff(fill) <= 1e-12).all() and fill[-1] < 0.2
    assert ph[-1] < ph[0] - 0.2 and ph[-1] < 6.4
    assert kept.totals.used["calcite", "calcite", "mass"] > 0.0


def test_carbon_is_spent_and_renewed() -> None:
    chlorinated = {**HARD, "free_chlorine": "2 mg/L", "total_chlorine": "2 mg/L", "toc": "1 mg/L"}
    train = site(stage("carbon", "carbon_bed", bed_depth="20 in"), water=chlorinated, supply=MAIN)
    year = years(train, days=500, upkeep=NEVER)
    chlorine = year.course("carbon", "free_chlorine")
    spent = int(first(year, "carbon-spent").day * 24)
    assert chlorine[spent - 48] < 0.5 and chlorine[spent + 48] == pytest.approx(2.0)
    renewed = years(train, days=500)
    assert "carbon-spent" not in codes(renewed) and at(renewed, "carbon") == [pytest.approx(365.0)]


# Lamp, film, power ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("shutoff", ["valve", "none"])
def test_a_power_cut_needs_a_valve(shutoff: str) -> None:
    year = run(site(uv(shutoff=shutoff), **WELL_SITE), Options(days=10, cuts=CUT))
    if shutoff == "valve":
        assert year.totals.hours_unlit == 0.0 and "unlit" not in codes(year)
        assert first(year, "no-water").day == pytest.approx(3.75, abs=0.05)
    else:
        assert year.totals.hours_unlit > 0.0
        assert first(year, "unlit").day == pytest.approx(3.75, abs=0.05)
    dose = year.course("uv", "dose_credited")
    assert (np.nanmin(dose) == 0.0) == (shutoff == "none")


def test_a_well_gives_what_its_tank_holds_and_a_main_goes_on() -> None:
    train = uv(shutoff="none")
    well = run(site(train, **WELL_SITE), Options(days=10, cuts=CUT))
    main = run(site(train, supply=MAIN), Options(days=10, cuts=CUT))
    assert main.totals.dry_hours == 0.0 < well.totals.dry_hours
    assert main.totals.hours_unlit > well.totals.hours_unlit
    # 44 gal at 38/40/60 psi: half a drawdown of 11.35 gal, and 1.6 gal below the cut-in
    hour = slice(3 * 24 + 18, 4 * 24)
    held = 0.5 * 11.35 + 44.0 * (1.0 - 52.696 / 54.696)
    assert (well.course("house", "flow")[hour] * 3600.0).sum() / GALLON == pytest.approx(held, rel=0.02)


def test_unsafe_water_past_an_unlit_lamp_fails() -> None:
    unsafe = {**HARD, "total_coliform": "12 /100mL"}
    severities = [
        first(run(site(uv(shutoff="none"), water=water, **WELL_SITE), Options(days=10, cuts=CUT)), "unlit").severity
        for water in (unsafe, HARD)
    ]
    assert severities == ["fail", "caution"]


@pytest.mark.parametrize("kept", ["on-time", "late", "never"])
def test_clocks_run_late_after_a_cut_until_someone_sets_them(kept: str) -> None:
    train = site(stage("soft", "softener", resin_volume="1 ft3"), **WELL_SITE)
    year = run(train, Options(days=60, cuts=CUT, upkeep=Upkeep(kept, 20.0)))  # type: ignore[arg-type]
    hours = {round(day % 1.0 * 24.0) for day in at(year, "regeneration") if day > 5.0}
    assert hours == {"on-time": {2}, "late": {2, 8}, "never": {8}}[kept]
    assert ("wrong-hour" in codes(year)) == (kept != "on-time")


def test_a_lamp_that_glows_is_old_after_two_years() -> None:
    year = years(site(uv(rating_basis="end_of_life")), days=600, upkeep=NEVER)
    old = first(year, "outside-rating-lamp")
    # 0.2 of its light goes in 9000 h
    assert old.day == pytest.approx(9000.0 / 24.0, abs=0.1) and "it glowed" in old.sentence
    kept = years(site(uv(rating_basis="end_of_life")), days=600)
    assert "outside-rating-lamp" not in codes(kept) and kept.totals.lamps == 1.0
    dead = first(year, "lamp-dead")
    assert dead.illustrative and dead.day is None
    # the valve of a class A chamber shuts when its lamp is dead
    assert year.course("house", "flow")[-24:].sum() == 0.0


def test_a_film_has_a_band_and_no_date() -> None:
    year = years(site(uv(), water=RUSTY))
    film = first(year, "outside-rating-film")
    assert film.illustrative and film.day is None and 0.0 < film.months[0] < film.months[1]
    slow, middle, fast = (year.course("uv", key) for key in ("film_slow", "film", "film_fast"))
    assert (fast <= middle).all() and (middle <= slow).all()
    assert all(q.illustrative for q in year.quantities() if q.at == "uv" and (q.key.startswith(("film", "dose")) or q.key == "stock_metal"))
    light = year.totals.lights["uv"]
    # iron far above the guide reaches the chamber as long as water does
    assert light.beyond_limits["iron"] == pytest.approx(light.passing) and "turbidity" not in light.beyond_limits
    assert light.band[0] < light.outside < light.band[1] and light.sure == 0.0


def test_a_cleaned_sleeve_keeps_some_of_its_iron() -> None:
    year = years(site(uv(), water=RUSTY), days=200)
    film, cleaned = year.course("uv", "film"), int(at(year, "sleeve")[0] * 24)
    assert film[cleaned + 2] > film[cleaned - 2] and film[cleaned + 2] < 1.0
    assert year.course("uv", "stock_metal")[cleaned + 2] == pytest.approx(0.2 * year.course("uv", "stock_metal")[cleaned - 2], rel=0.02)
    assert year.course("uv", "stock_scale")[cleaned + 2] < 0.01 * year.course("uv", "stock_scale")[cleaned - 2]


def test_water_that_stands_grows_warm_and_films_faster() -> None:
    cabin, house = (
        years(site(uv(), water=RUSTY, demand={"pattern": pattern}), days=60, start_day=120) for pattern in ("weekend_cabin", "household")
    )
    assert cabin.totals.lights["uv"].warmest == pytest.approx(25.0, abs=0.1)
    assert house.course("uv", "warmth").max() < 25.0
    assert cabin.course("uv", "stock_metal")[-1] > 1.1 * house.course("uv", "stock_metal")[-1]
    day = house.course("uv", "warmth")[24:48]
    assert day[5] > day[8]


def test_too_much_flow_for_the_chamber_and_what_a_control_does() -> None:
    chamber = {"rated_flow": "4 gpm", "rated_dose": "40 mJ/cm2"}
    loose = years(site(uv(**chamber, flow_control=None)), days=30)
    held = years(site(uv(**chamber, flow_control="4 gpm")), days=30)
    assert first(loose, "outside-rating-flow").severity == "caution"
    assert loose.totals.lights["uv"].least_credited == pytest.approx(40.0 * 4.0 / 7.0, rel=1e-3)
    assert "outside-rating-flow" not in codes(held)
    assert held.totals.lights["uv"].least_credited == pytest.approx(40.0)
    # what the control holds back is drawn for longer
    assert held.totals.house_water == pytest.approx(loose.totals.house_water, rel=1e-6)
    assert held.totals.drawn_hours > loose.totals.drawn_hours


def test_cold_water_dims_the_estimate_and_not_the_credit() -> None:
    supply = {**WELL, "temperature": ["2 degC", "24 degC"]}
    year = years(site(uv(), supply=supply), upkeep=NEVER)
    temperature = year.course("supply", "temperature")
    assert temperature.min() < 5.0 and temperature.max() > 21.0
    coldest = np.flatnonzero(temperature == temperature.min()) / 24
    assert 40 < np.median(coldest) < 50
    estimate = year.course("uv", "dose_estimate") / (year.course("uv", "lamp") * year.course("uv", "film"))
    assert np.nanmin(estimate[:24]) < 0.8 * np.nanmin(estimate[200 * 24 : 201 * 24])
    assert np.nanmin(year.course("uv", "dose_credited")[: 60 * 24]) == pytest.approx(40.0)


# The run itself -------------------------------------------------------------------------------------------------------------------


def test_progress_rises_and_can_stop_the_run() -> None:
    shares: list[float] = []

    def told(share: float) -> bool:
        shares.append(share)
        return len(shares) < 20

    with pytest.raises(Cancelled):
        run(site(stage("soft", "softener")), Options(days=100), progress=told)
    assert len(shares) == 20 and shares == sorted(shares) and shares[0] == 0.0
    seen: list[float] = []
    run(site(stage("soft", "softener")), Options(days=15), progress=lambda share: seen.append(share) is None)
    assert seen[-1] == 1.0 and len(seen) >= 15


def test_an_extra_service_must_be_one_that_there_is() -> None:
    for extra in (ExtraService("uv", "polish", 3.0), ExtraService("nowhere", "lamp", 3.0)):
        with pytest.raises(YearError, match="extra service"):
            years(site(uv()), upkeep=Upkeep(extra=(extra,)))


def test_a_course_that_there_is_not_is_a_key_error() -> None:
    year = years(site(uv()), days=2)
    for place in (("uv", "gold"), ("moon", "flow"), ("house", "stock_lamp")):
        with pytest.raises(KeyError):
            year.course(*place)
    with pytest.raises(KeyError):
        year.stage("house")


def test_a_run_begins_on_its_day() -> None:
    warm = years(site(uv(), supply={**WELL, "temperature": ["4 degC", "20 degC"]}), days=10, start_day=225)
    cold = years(site(uv(), supply={**WELL, "temperature": ["4 degC", "20 degC"]}), days=10, start_day=45)
    assert warm.course("supply", "temperature")[0] > 18.0 > 6.0 > cold.course("supply", "temperature")[0]


def test_two_filters_that_wash_at_once_share_the_well() -> None:
    weak = {**WELL, "pump_curve": [["0 gpm", "92 psi"], ["6 gpm", "78 psi"], ["12 gpm", "48 psi"]]}
    beds = [stage("one", "sediment_bed", tank_diameter="10 in"), stage("two", "sediment_bed", tank_diameter="10 in", clean_at="0 h")]
    apart = [beds[0], stage("two", "sediment_bed", tank_diameter="10 in", clean_at="1 h")]
    together, alone = (years(site(*two, water=DIRTY, supply=weak), days=20) for two in (beds, apart))
    assert "wash-starved" in codes(together) and "wash-starved" not in codes(alone)


def test_an_outdoor_tap_does_not_touch_the_house() -> None:
    links = [*chain("supply", "soft", "house"), {"from": "supply", "to": "garden"}]
    outlets = {"garden": {"peak": "5 gpm", "daily": "100 gal", "drinking": False, "with_house": False}}
    year = years(document([stage("soft", "softener")], links, water=HARD, outlets=outlets), days=30)
    assert year.balances["water"].delivered["garden"] == pytest.approx(30 * 100 * GALLON, rel=0.01)
    assert year.course("garden", "hardness").min() == pytest.approx(342.36)
    assert year.course("house", "hardness")[10] < 20.0
    assert year.machine.clock.end == 30 * DAY
