"""Laws that a run through time obeys, whatever the train."""

from __future__ import annotations

import dataclasses
import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.studies.year_cases import HARD, NEVER, RUSTY, chain, document, site, stage, uv, years
from tests.train.trains import MAIN, WATER, full_train, twelve_stages
from trainapp.data import samples_path
from trainapp.studies.year import ExtraService, LightTotals, Options, Totals, Upkeep, Year, read_spike, run
from trainapp.studies.year.draws import Tap
from trainapp.train.document import Document, load

SAMPLES = sorted(path.name for path in samples_path().glob("*.train.json"))
CARTRIDGE = stage("fine", "sediment_cartridge", rating="5 um", dirt_capacity="400 g")
DIRTY = {**HARD, "suspended_solids": "4 mg/L", "turbidity": "3 NTU", "turbidity_filtered_5um": "0.1 NTU"}


def flat(value: object, name: str = "") -> dict[str, float]:
    """Every number of a run by its place."""
    if isinstance(value, Totals | LightTotals):
        fields = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
        return {key: number for part, inner in fields.items() for key, number in flat(inner, f"{name}.{part}").items()}
    if isinstance(value, dict):
        return {key: number for part, inner in value.items() for key, number in flat(inner, f"{name}.{part}").items()}
    if isinstance(value, tuple):
        return {key: number for part, inner in enumerate(value) for key, number in flat(inner, f"{name}.{part}").items()}
    return {} if value is None or name.endswith("day") else {name: float(value)}  # type: ignore[arg-type]


@pytest.mark.parametrize("name", SAMPLES)
def test_a_minute_and_an_hour_come_to_the_same(name: str) -> None:
    train = load(samples_path(name))
    spike = read_spike("iron=6 mg/L")
    both = [run(train, Options(detail=detail, days=200, upkeep=Upkeep("late"), spike=spike)) for detail in ("minute", "hour")]
    minute, hour = (flat(year.totals) for year in both)
    assert minute.keys() == hour.keys()
    for place, number in minute.items():
        assert hour[place] == pytest.approx(number, rel=0.02, abs=0.02), place
    for one, other in zip(both[0].gone_wrong, both[1].gone_wrong, strict=True):
        assert (one.code, one.stage) == (other.code, other.stage)
        assert one.day == pytest.approx(other.day, abs=0.1) if one.day is not None else other.day is None


LANES = document(
    [stage("a", "softener"), stage("by", "bypass", share="0.3"), uv()],
    [{"from": "supply", "to": "a"}, {"from": "supply", "to": "by"}, {"from": "a", "to": "uv"}, {"from": "by", "to": "uv"},
     {"from": "uv", "to": "house"}],
)  # fmt: skip
TANK = document([
    stage("screen", "sediment_cartridge", rating="50 um"),
    stage("tank", "storage_pump", volume="300 gal", fill_flow="4 gpm", set_pressure="55 psi"), stage("soft", "softener"), uv(),
])  # fmt: skip
OUTLETS = document(
    [stage("soft", "softener"), uv()], [*chain("supply", "soft", "uv", "house"), {"from": "soft", "to": "barn"}],
    outlets={"barn": {"peak": "3 gpm", "daily": "60 gal"}},
)  # fmt: skip
TRAINS = {
    "full": full_train(), "twelve": twelve_stages(), "lanes": LANES, "tank": TANK, "outlets": OUTLETS,
    "mains": document([stage("s", "softener"), stage("c", "carbon_bed")], supply=MAIN), "bare": document([]),
    "acid": document([stage("n", "neutralizer")], water={**WATER, "ph": "6.2", "alkalinity": "40 mg/L"}),
}  # fmt: skip


@pytest.mark.parametrize("name", TRAINS)
def test_what_comes_in_goes_somewhere(name: str) -> None:
    year = run(TRAINS[name], Options(days=90, upkeep=NEVER, spike=read_spike("turbidity=20 NTU@20+20")))
    assert {"water", "hardness", "iron", "manganese"} <= year.balances.keys()
    for substance, balance in year.balances.items():
        assert abs(balance.error) < 1e-6, substance
        parts = (balance.came, balance.added, balance.drained, balance.thrown, *balance.delivered.values())
        assert min(parts) >= 0.0 and balance.held >= -1e-9 * balance.came
    # counted apart from the balance: by the hours of the course at the house
    flow = year.course("house", "flow").sum() * 3600.0
    assert flow == pytest.approx(year.balances["water"].delivered["house"], rel=1e-6)
    assert flow == pytest.approx(year.totals.house_water, rel=1e-9)


def test_hardness_that_a_resin_took_is_what_its_meter_says() -> None:
    # without iron the load on the resin is the hardness that it takes, but for leakage
    year = years(site(stage("soft", "softener", tanks="2")), days=60)
    balance, leak = year.balances["hardness"], year.course("soft", "hardness").mean()
    # the water of its washes is hard, too
    taken = balance.drained + balance.held - year.totals.drained_water * 0.34236
    runs = year.totals.regenerations * year.machine.ageings["soft"].stocks[0].full * 0.99  # what a meter is set to
    left = year.course("soft", "stock_used")[-1]
    assert taken == pytest.approx((runs + left) * (1.0 - leak / 342.36), rel=0.01)


def test_a_zoom_by_the_minute_adds_up_to_its_hours() -> None:
    year = run(full_train(), Options(days=20))
    close = year.zoom(5, 2)
    minutes = close.of("house", "flow")
    assert len(minutes) == 2 * 1440
    assert np.allclose(minutes.reshape(-1, 60).mean(axis=1), year.course("house", "flow")[120:168], rtol=1e-9, atol=1e-15)
    least = np.where(np.isnan(close.of("uv", "dose_credited")), np.inf, close.of("uv", "dose_credited")).reshape(-1, 60).min(axis=1)
    hours = year.course("uv", "dose_credited")[120:168]
    drawn = np.isfinite(hours)
    # a lamp loses a little within the hour
    assert np.allclose(least[drawn], hours[drawn], rtol=1e-4)
    assert close.of("house", "pressure").min() == pytest.approx(year.course("house", "pressure")[120:168].min(), rel=1e-3)


# Laws -------------------------------------------------------------------------------------------------------------------------------


@settings(max_examples=8, deadline=None)
@given(st.floats(5.0, 400.0), st.sampled_from(["on-time", "never"]))
def test_without_iron_no_film_of_iron(hardness: float, kept: str) -> None:
    water = {**HARD, "hardness": f"{hardness} mg/L"}
    year = years(site(uv(), water=water), days=60, upkeep=Upkeep(kept))  # type: ignore[arg-type]
    assert not year.course("uv", "stock_metal").any()
    rusty = years(site(uv(), water={**RUSTY, "hardness": f"{hardness} mg/L"}), days=60)
    assert rusty.course("uv", "stock_metal")[-1] > 0.0
    assert (rusty.course("uv", "film") <= year.course("uv", "film") + 1e-12).all()


@settings(max_examples=8, deadline=None)
@given(st.floats(100.0, 400.0), st.sampled_from(["1 ft3", "1.5 ft3"]))
def test_twice_the_hardness_halves_the_interval(hardness: float, resin: str) -> None:
    def interval(grade: float) -> float:
        water = {**HARD, "hardness": f"{grade} mg/L"}
        year = years(site(stage("soft", "softener", tanks="2", resin_volume=resin), water=water, daily="600 gal"), days=180)
        return float(np.diff([h.time for h in year.happenings if h.code == "regeneration"]).mean())

    assert interval(hardness) == pytest.approx(2.0 * interval(2.0 * hardness), rel=0.02)


@settings(max_examples=10, deadline=None)
@given(st.sampled_from(["lamp", "sleeve"]), st.integers(1, 199), st.sampled_from(["on-time", "late", "never"]))
def test_an_extra_service_never_lowers_the_dose(service: str, day: int, kept: str) -> None:
    train = site(uv(rating_basis="new_lamp"), water=RUSTY)
    plain = years(train, days=200, upkeep=Upkeep(kept))  # type: ignore[arg-type]
    extra = years(train, days=200, upkeep=Upkeep(kept, extra=(ExtraService("uv", service, float(day)),)))  # type: ignore[arg-type]
    for key in ("dose_credited", "dose_credited_slow", "dose_credited_fast", "dose_estimate", "dose_mean"):
        before, after = plain.course("uv", key), extra.course("uv", key)
        assert np.nanmin(after - before) >= -1e-9, key
    assert np.nanmax(extra.course("uv", "dose_credited") - plain.course("uv", "dose_credited")) > 0.0


@settings(max_examples=10, deadline=None)
@given(st.integers(1, 199), st.sampled_from(["on-time", "late", "never"]))
def test_an_extra_cartridge_never_lowers_the_pressure(day: int, kept: str) -> None:
    train = site(CARTRIDGE, water=DIRTY)
    plain = years(train, days=200, upkeep=Upkeep(kept, 5.0))  # type: ignore[arg-type]
    extra = years(train, days=200, upkeep=Upkeep(kept, 5.0, (ExtraService("fine", "cartridge", float(day)),)))  # type: ignore[arg-type]
    before, after = plain.course("house", "pressure"), extra.course("house", "pressure")
    assert (after >= before - 1e-6).all()
    assert extra.totals.lowest_pressure >= plain.totals.lowest_pressure - 1e-6
    assert (after > before + 1.0).any()


def test_the_later_the_upkeep_the_worse() -> None:
    train = site(CARTRIDGE, uv(), water={**DIRTY, "iron": "1 mg/L", "iron_dissolved": "0.9 mg/L"})
    on_time, late, never = (years(train, upkeep=Upkeep(kept)) for kept in ("on-time", "late", "never"))  # type: ignore[arg-type]
    assert on_time.totals.lowest_pressure > late.totals.lowest_pressure >= never.totals.lowest_pressure
    # not the dose: where a filter clogs, less water passes the lamp
    light = [(year.course("uv", "lamp") * year.course("uv", "film")).min() for year in (on_time, late, never)]
    assert light[0] > light[1] > light[2]
    assert on_time.totals.cartridges > late.totals.cartridges > never.totals.cartridges == 0.0


# Against steps ------------------------------------------------------------------------------------------------------------------------


def stepped(year: Year, days: int) -> tuple[float, int, float]:
    """A softener and a cartridge stepped by the minute, by hand: hours of hard water, regenerations, dirt on the cartridge at the end."""
    softener, cartridge = (year.machine.ageings[node] for node in ("soft", "fine"))
    assert softener.washing is not None
    run_of = softener.washing.cleaning
    capacity, call = softener.stocks[0].full, softener.stocks[2].full
    used = metered = dirt = hard = 0.0
    washing, count = -1.0, 0
    seconds = year.machine.clock.at_all(np.arange(days * 1440 + 1) * 60.0)
    each = np.diff(seconds[:, : year.machine.layout.draws], axis=0)
    volume = each @ year.machine.demand.columns[:, 0]
    load = 342.36e-3
    solids = 4e-3 * float(_held(year))
    for minute in range(days * 1440):
        of_day = minute % 1440
        if of_day == int(run_of.hour * 60) and metered >= call:
            washing = run_of.total_minutes
        passes = washing > 0.0 or used >= capacity
        hard += each[minute].sum() / 3600.0 * passes
        if not passes:
            used += volume[minute] * load
        metered += volume[minute]
        dirt += volume[minute] * solids
        washing -= 1.0
        if -1.0 < washing <= 0.0:
            used = metered = 0.0
            count += 1
    assert cartridge.stocks[0].full > 0.0
    return hard, count, dirt


def _held(year: Year) -> float:
    """Share of the solids that the cartridge holds, adverse reading."""
    result = year.machine.usual.stages["fine"]
    before, after = (water.particles[1:, 1, 0, 0].sum() for water in (result.inlet, result.outlet))
    return 1.0 - float(after / before)


def test_events_and_steps_agree() -> None:
    train = site(stage("soft", "softener", resin_volume="1 ft3"), CARTRIDGE, water=DIRTY)
    days = 60
    year = years(train, days=days, upkeep=NEVER)
    hard, count, dirt = stepped(year, days)
    # ten nights of 200 lb of salt: it lasts
    assert year.totals.regenerations == count
    assert year.totals.hours_hard == pytest.approx(hard, rel=0.02, abs=0.02)
    assert year.course("fine", "stock_dirt")[-1] == pytest.approx(dirt, rel=0.02)


def test_a_tap_is_three_numbers() -> None:
    assert Tap(1.0, 2.0, True)._asdict() == {"daily": 1.0, "peak": 2.0, "with_house": True}


def test_a_document_is_not_changed_by_a_run() -> None:
    train: Document = full_train()
    before = json.dumps(train.tree, sort_keys=True)
    run(train, Options(days=10))
    assert json.dumps(train.tree, sort_keys=True) == before
