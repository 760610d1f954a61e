"""How stages age, one by one, and a kind of one's own driven through a year."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from tests.stages.building import make_duty, make_stage, make_water
from tests.studies.year_cases import HARD, NEVER, document, site, stage, years
from trainapp.dimensions import DAY
from trainapp.hydraulics.elements import Element, Resistance
from trainapp.stages import registry
from trainapp.stages.ageing import Ageing, LampAgeing, Mode, Served, Service, Stock, constants, stacked, starved, treated
from trainapp.stages.base import Duty, Figure, Remark, Spec, Stage
from trainapp.stages.registry import kinds
from trainapp.stages.working import Array, Working
from trainapp.water.stream import ADVERSE, Stream

RAW = {
    "hardness": 300.0, "calcium": 90.0, "magnesium": 18.0, "alkalinity": 220.0, "ph": 7.4, "tds": 420.0, "iron_dissolved": 2.0,
    "manganese_dissolved": 0.2, "sulfate": 40.0, "nitrate": 2.0, "chloride": 20.0, "sodium": 12.0, "tannin": 1.0, "toc": 2.0,
    "colour": 10.0, "class_2": 1.0, "class_3": 1.5, "class_5": 1.0, "colloid": 0.4, "suspended_solids": 5.0,
    "free_chlorine": 0.0, "total_chlorine": 0.0,
    "dissolved_oxygen": 2.0, "ammonia": 0.0, "hydrogen_sulfide": 0.0, "absorbance": 0.08, "absorbance_particles": 0.01,
    "absorbance_iron": 0.01, "permanganate": 0.0, "peroxide": 0.0, "temperature": 10.0, "conductivity": 600.0, "potassium": 2.0,
    "carbon_dioxide": 20.0,
}  # fmt: skip
AGEING = [name for name, kind in kinds().items() if kind.ageing is not Stage.ageing]


def aged(kind: str, **settings: str) -> tuple[Ageing, Stream, Duty]:
    """A kind's ageing on an ordinary day."""
    water, duty = make_water(**RAW), make_duty()
    ageing = make_stage(kind, **settings).ageing(water, duty)
    assert ageing is not None
    return ageing, water, duty


def test_a_meter_is_set_by_the_load_of_the_water_that_is_drawn() -> None:
    """By hand: 300 mg/L of hardness, and 5 gpg for a mg/L of iron (0 in three litres, 2 in the fourth), 1 gpg being 17.118 mg/L."""
    ageing, _, _ = aged("softener", tanks="2", manganese_factor="0")
    drawn = make_water(**RAW | {"iron_dissolved": 0.0}).part(slice(1))
    ways = Stream(np.repeat(drawn.values, 2, axis=3), np.repeat(drawn.known, 2, axis=1))
    ways.set("iron_dissolved", np.array([0.0, 2.0]))
    # an average of 2 mg/L was more, and stays
    ageing.set_by(ways, np.array([3.0, 1.0]), ADVERSE)
    full, call = ageing.stocks[0].full, ageing.stocks[2].full
    assert call == pytest.approx(0.99 * full / 0.47118, rel=1e-4)
    ageing.set_by(ways, np.array([0.0, 1.0]), ADVERSE)
    assert ageing.stocks[2].full == pytest.approx(call)
    few, _, _ = aged("softener", tanks="2", iron_factor="0", manganese_factor="0")
    ways.set("hardness", np.array([300.0, 420.0]))
    few.set_by(ways, np.array([3.0, 1.0]), ADVERSE)
    # (3 · 300 + 420)/4
    assert few.stocks[2].full == pytest.approx(0.99 * few.stocks[0].full / 0.330, rel=1e-6)


def test_what_ages_is_what_fills_up_or_wears() -> None:
    assert set(AGEING) == {
        "sediment_cartridge", "sediment_bed", "iron_filter", "oxidant_feed", "neutralizer", "softener", "carbon_bed", "tannin_resin",
        "uv_chamber",
    }  # fmt: skip


@pytest.mark.parametrize("kind", AGEING)
def test_an_ageing_keeps_its_word(kind: str) -> None:
    ageing, water, duty = aged(kind)
    new = np.zeros(len(ageing.stocks))
    assert ageing.mode(new) == 0
    assert (ageing.limits(new) > 0.0).all()
    assert len({stock.key for stock in ageing.stocks}) == len(ageing.stocks)
    before = water.values.copy()
    for mode in range(len(ageing.modes)):
        out = ageing.leaving(mode, water, duty)
        growth = ageing.per_volume(mode, water, out), ageing.per_second(mode, water)
        for rows in growth:
            assert rows.shape == (len(ageing.stocks), *water.values.shape[1:])
            assert (rows >= 0.0).all() and np.isfinite(rows).all()
    assert np.array_equal(before, water.values, equal_nan=True)
    full = np.array([[0.0, 0.5 * stock.full, stock.full] for stock in ageing.stocks])
    linear, quadratic = ageing.added_loss(full, 10.0)
    assert (np.diff(linear) >= 0.0).all() and (np.diff(quadratic) >= 0.0).all() and linear[0] == quadratic[0] == 0.0
    for service in ageing.services:
        worn = np.array([0.7 * stock.full for stock in ageing.stocks])
        served = ageing.serve(worn, service.key)
        assert (served.state <= worn + 1e-12).all() and (served.state < worn).any()
        assert 0.0 <= served.thrown <= 1.0 and served.amount >= 0.0


@pytest.mark.parametrize("kind", AGEING)
def test_a_limit_changes_the_mode_or_calls(kind: str) -> None:
    ageing, _, _ = aged(kind)
    for i in range(len(ageing.stocks)):
        state = np.zeros(len(ageing.stocks))
        limit = ageing.limits(state)[i]
        if not np.isfinite(limit):
            continue
        state[i] = limit
        assert ageing.mode(state) != 0 or ageing.calls(state)
        assert ageing.limits(state)[i] > limit


@pytest.mark.parametrize("kind", ["iron_filter", "sediment_bed"])
def test_a_weak_wash_leaves_what_it_does_not_reach(kind: str) -> None:
    ageing, _, _ = aged(kind)
    dirty = np.array([0.8 * stock.full for stock in ageing.stocks])
    left = [ageing.wash(dirty, cleaned).state[0] for cleaned in (0.0, 0.5, 1.0)]
    assert left == [pytest.approx(dirty[0]), pytest.approx(0.5 * dirty[0]), 0.0]


def test_a_wash_is_starved_in_proportion() -> None:
    assert [starved(flow, 10.0) for flow in (0.0, 4.0, 5.0, 7.5, 10.0, 20.0)] == [0.0, 0.0, 0.0, 0.5, 1.0, 1.0]
    assert starved(1.0, 0.0) == 1.0


def test_a_full_iron_bed_lets_its_floc_go_and_a_dry_feed_its_iron() -> None:
    ageing, water, duty = aged("iron_filter", tank_diameter="24 in", oxidant="chlorine", media="manganese_dioxide")
    dry_water = make_water(**{**RAW, "dissolved_oxygen": 0.0})
    working, full, unfed, both = (ageing.leaving(mode, dry_water, duty) for mode in range(4))
    assert working.get("iron")[ADVERSE].max() < 0.2
    assert np.allclose(full.get("iron"), dry_water.get("iron")) and full.row("iron_dissolved").max() < 0.2
    assert np.allclose(unfed.row("iron_dissolved"), 2.0) and np.allclose(both.get("iron"), 2.0)
    assert (full.row("absorbance") >= working.row("absorbance") - 1e-12).all()


def test_spent_carbon_passes_chlorine_and_still_strains() -> None:
    ageing, _, duty = aged("carbon_bed")
    water = make_water(**{**RAW, "free_chlorine": 1.0, "total_chlorine": 1.5})
    fresh, spent = (ageing.leaving(mode, water, duty) for mode in (0, 1))
    assert fresh.row("free_chlorine").max() < 1.0
    assert np.allclose(spent.row("free_chlorine"), 1.0) and np.allclose(spent.row("total_chlorine"), 1.5)
    assert np.allclose(spent.get("turbidity"), fresh.get("turbidity"))


def test_less_calcite_gives_less() -> None:
    acid = make_water(**{**RAW, "ph": 6.0, "alkalinity": 30.0, "calcium": 8.0, "magnesium": 2.0, "hardness": 28.0})
    duty = make_duty()
    ageing = make_stage("neutralizer").ageing(acid, duty)
    assert ageing is not None
    ph = [ageing.leaving(mode, acid, duty).row("ph")[ADVERSE, 2, 0] for mode in range(len(ageing.modes))]
    assert ph == sorted(ph, reverse=True) and ph[-1] == pytest.approx(6.0)


@pytest.mark.parametrize(("basis", "assumed"), [("alarm_point", 1.0), ("end_of_life", 0.8), ("new_lamp", 0.64)])
def test_the_rating_is_what_is_subtracted_from(basis: str, assumed: float) -> None:
    ageing, _, _ = aged("uv_chamber", rating_basis=basis, device_class="A")
    assert isinstance(ageing, LampAgeing)
    lamp, film = np.array([1.0, 0.9, 0.8, 0.7]), np.array([1.0, 0.9, 0.8, 0.7])
    left = ageing.standing(lamp, film)
    assert (left <= 1.0).all() and (np.diff(left) <= 0.0).all()
    expected = {"alarm_point": [1.0, 1.0, 1.0, 0.49 / 0.64], "end_of_life": [1.0, 0.9, 0.8, 0.6125], "new_lamp": [1.0, 0.81, 0.64, 0.49]}
    assert left == pytest.approx(expected[basis])
    assert ageing.assumed == pytest.approx(assumed)


def test_the_credit_is_never_above_the_rating() -> None:
    ageing, _, _ = aged("uv_chamber", rated_flow="9 gpm", rated_dose="40 mJ/cm2", rated_uvt="75 %/cm")
    assert isinstance(ageing, LampAgeing)
    flows = ageing.rated_flow * np.array([0.1, 1.0, 2.0])
    assert ageing.credited(flows, np.full(3, 0.01)) == pytest.approx([40.0, 40.0, 20.0])
    assert ageing.credited(flows[:1], np.array([2.0 * ageing.rated_absorbance])) == pytest.approx([20.0])
    assert ageing.estimated(flows, np.full(3, 0.01), 22.0)[0] > 40.0


def test_every_figure_of_ageing_is_read() -> None:
    for table in ("washing", "resin", "feed", "carbon", "cartridge", "neutralizer", "uv", "pump"):
        assert constants(table)


# A kind of one's own ---------------------------------------------------------------------------------------------------------------------


class WoolAgeing(Ageing):
    """Sheep's wool that holds iron until it is full."""

    stocks = (Stock("felt", "Iron in the wool", "grams", 0.05, "clog"),)
    services = (Service("wool", "Change the wool", 120.0, "felt", 0.04, "wool"),)
    modes = (Mode("fresh"), Mode("felted", "wool-felted", "caution", "The wool is felted with iron.", passes=True))

    def mode(self, state: Array) -> int:
        return int(state[0] >= 0.05 * (1.0 - 1e-9))

    def limits(self, state: Array) -> Array:
        return np.array([np.inf if self.mode(state) else 0.05])

    def per_volume(self, mode: int, water: Stream, out: Stream) -> Array:
        return stacked(water, 1e-3 * (water.get("iron") - out.get("iron")))

    def added_loss(self, states: Array, temperature: float) -> tuple[Array, Array]:
        return states[0] / 0.05 * 2e8, np.zeros(states.shape[1])

    def serve(self, state: Array, key: str) -> Served:
        return Served(np.zeros_like(state), thrown=1.0)


class Wool(Stage):
    """A toy: wool in a box."""

    spec = Spec("wool", "Wool", "Particles", 999, "Wool that holds iron.", settings={**make_stage("flow_control").spec.settings})

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        out.scale(("iron_dissolved", "iron_particulate"), 0.25)
        return out

    def losses(self, cold: float) -> tuple[Element, Element]:
        return Resistance(1e7), Resistance(2e7)

    def figure(self) -> Figure:
        return Figure("box", 0.3, 0.3)

    def ageing(self, water: Stream, duty: Duty) -> WoolAgeing:
        return WoolAgeing(self, water, duty)


@pytest.fixture
def wool() -> Iterator[None]:
    """The toy kind, for the length of a test."""
    kinds()
    registry.register(Wool)
    yield
    del registry._kinds["wool"]


def test_a_new_process_ages_with_one_module(wool: None) -> None:
    water = {**HARD, "iron": "1 mg/L", "iron_dissolved": "1 mg/L"}
    train = site(stage("box", "wool", flow="20 gpm"), water=water)
    kept, forgotten = years(train, days=120), years(train, days=120, upkeep=NEVER)
    # 0.75 mg/L of 300 gal a day fill 40 g in 47 days, 50 g in 59
    changes = [h.day for h in kept.happenings if h.code == "wool"]
    assert np.diff([0.0, *changes]) == pytest.approx(0.04 / (0.75e-3 * 300 * 3.785411784e-3), rel=0.03)
    assert kept.totals.used["box", "wool", "none"] == len(changes)
    felted = next(wrong for wrong in forgotten.gone_wrong if wrong.code == "wool-felted")
    assert felted.day == pytest.approx(0.05 / (0.75e-3 * 300 * 3.785411784e-3), rel=0.03)
    assert "box: The wool is felted with iron." in next(w for w in forgotten.gone_wrong if w.code == "rusty").sentence
    assert forgotten.course("house", "pressure").min() < kept.course("house", "pressure").min()
    assert forgotten.balances["iron"].held == pytest.approx(0.05, rel=1e-6)
    assert abs(forgotten.balances["iron"].error) < 1e-9
    assert forgotten.stage("box").modes == ("fresh", "felted")
    assert any(q.key == "stock_felt" for q in kept.quantities())


class StuckAgeing(WoolAgeing):
    """Keeps a limit that it has come to."""

    def limits(self, state: Array) -> Array:
        return np.array([0.05])


def test_an_ageing_that_breaks_its_word_does_not_hang_a_run(wool: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Wool, "ageing", lambda self, water, duty: StuckAgeing(self, water, duty))
    train = site(stage("box", "wool", flow="20 gpm"), water={**HARD, "iron": "1 mg/L", "iron_dissolved": "1 mg/L"})
    with pytest.raises(AssertionError, match="stands at a limit"):
        years(train, days=120, upkeep=NEVER)


def test_a_stage_that_does_not_age_is_left_alone() -> None:
    year = years(document([stage("by", "flow_control", flow="6 gpm")], water=HARD), days=5)
    assert not year.machine.ageings and len(year.pieces.track.segments) >= 5
    assert year.machine.clock.end == 5 * DAY
    assert treated(year.machine.plan.stages["by"], make_water(**RAW), make_duty()).get("iron").max() == pytest.approx(2.0)
