"""The program's own items: each builds a stage that evaluates, and along a ladder of sizes nothing gets worse."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import pytest

from tests.train.trains import WATER, chain, document, stage
from trainapp.dimensions import GPM
from trainapp.stages import registry
from trainapp.stages.base import Stage
from trainapp.train.catalogue import Catalogue, size_keys
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import StageResult
from trainapp.train.model import ItemRow
from trainapp.train.plan import open_plan
from trainapp.units import parse

CATALOGUE = Catalogue.load()
#: What a larger item must not hold less of: a result of its working.
CAPACITY = {
    "softener": "capacity", "tannin_resin": "capacity", "sediment_cartridge": "dirt_capacity", "contact_tank": "mean_time",
    "carbon_bed": "ebct", "neutralizer": "refill_time",
}  # fmt: skip
#: What a label names beside the tank.
SIZED = {"softener": "resin_volume", "uv_chamber": "rated_flow", "flow_control": "flow", "pressure_regulator": "set_pressure"}
#: The trade's own sizes of tanks, inches.
TANKS = {"8 x 44", "9 x 48", "10 x 54", "12 x 52", "13 x 54", "14 x 65", "16 x 65", "18 x 65", "21 x 62"}


def stage_of(item: str) -> Stage:
    kind = registry.kind(CATALOGUE.rows[item].kind)
    assert kind is not None
    return kind(item, CATALOGUE.settings(item))


@cache
def evaluated(item: str) -> StageResult:
    row = CATALOGUE.rows[item]
    sour = {**WATER, "ph": "6.4", "alkalinity": "60 mg/L", "hardness": "5 gpg", "tannin": "2 mg/L", "free_chlorine": "0.4 mg/L"}
    # water passes no bypass that is closed
    entry = {"id": "x", "kind": row.kind, "item": item, "settings": {"position": "open"} if row.kind == "bypass" else {}}
    beside = chain("supply", "screen", "house") if row.kind == "bypass" else chain("supply", "screen", "x", "house")
    links = [*beside, *(chain("supply", "x", "house") if row.kind == "bypass" else [])]
    kept = {item: {"kind": row.kind, "settings": row.settings}}
    plan = open_plan(document([stage("screen", "sediment_cartridge", rating="50 um"), entry], links, water=sour, peak="3 gpm", items=kept))
    return evaluate(plan).stages["x"]


def ladders() -> Iterator[tuple[str, ...]]:
    seen = set()
    for item, row in CATALOGUE.rows.items():
        ladder = CATALOGUE.ladder(row.kind, CATALOGUE.settings(item))
        assert item in ladder
        if ladder not in seen:
            seen.add(ladder)
            yield ladder


LADDERS = list(ladders())


def test_there_are_enough_of_every_kind() -> None:
    assert len(CATALOGUE.rows) >= 70
    counts = {kind: len(CATALOGUE.of_kind(kind)) for kind in registry.kinds()}
    assert all(counts[kind] >= 2 for kind in counts if kind != "tee"), counts
    longest = {kind: max(len(ladder) for ladder in LADDERS if CATALOGUE.rows[ladder[0]].kind == kind) for kind in registry.kinds()}
    assert all(longest[kind] >= 3 for kind in registry.kinds() if kind not in ("oxidant_feed", "bypass", "tee", "declared")), longest
    # every item stands on exactly one ladder
    assert sorted(item for ladder in LADDERS for item in ladder) == sorted(CATALOGUE.rows)


@pytest.mark.parametrize("item", CATALOGUE.rows)
def test_every_item_builds_a_stage_and_evaluates(item: str) -> None:
    result = evaluated(item)
    assert result.stage.figure().width > 0 and result.headloss_clean >= 0.0
    assert result.outlet.get("hardness").shape[0] == 2


@pytest.mark.parametrize("ladder", LADDERS, ids=lambda ladder: str(ladder[0]))
def test_a_larger_item_loses_no_more_and_holds_no_less(ladder: tuple[str, ...]) -> None:
    kind = CATALOGUE.rows[ladder[0]].kind
    for small, large in zip(ladder, ladder[1:], strict=False):
        a, b = stage_of(small), stage_of(large)
        for before, after in zip(a.elements(8.0), b.elements(8.0), strict=True):
            for flow in (0.5 * GPM, 4 * GPM, 12 * GPM):
                assert after.loss(flow) <= before.loss(flow) * (1 + 1e-9), (small, large, flow)
        for key in ("service", "peak"):
            less, more = getattr(a.rating(), key), getattr(b.rating(), key)
            assert (less is None) == (more is None) and (less is None or more >= less * (1 - 1e-9)), (small, large, key)
        if kind in CAPACITY:
            held = [float(evaluated(item).working.results[CAPACITY[kind]].value.min()) for item in (small, large)]
            assert held[1] >= held[0] * (1 - 1e-9), (small, large)
        prices = [CATALOGUE.rows[item].amount or 0.0 for item in (small, large)]
        assert 0 < prices[0] <= prices[1], (small, large)


def test_labels_say_the_size_and_no_make() -> None:
    sized: set[str] = set()
    for item, row in CATALOGUE.rows.items():
        label = row.word("label")
        assert re.fullmatch(r"[A-Za-z0-9 ,./%-]+", label), item
        diameter = row.settings.get("tank_diameter")
        if diameter is not None:
            (tank,) = re.findall(r"\d+ x \d+(?= in)", label)
            assert tank in TANKS and diameter == f"{tank.split(' x ')[0]} in", item
            sized.add(tank)
        assert row.kind not in SIZED or row.settings[SIZED[row.kind]] in label, item
        # nothing that reads as a model number: letters and digits in one word
        assert not re.search(r"\b(?=\w*[A-Za-z]{2})(?=\w*\d)\w+\b", label.replace("ft3", "")), item
    assert sized == TANKS


# The next size ----------------------------------------------------------------------------------------------------------------


def test_next_size_goes_along_one_ladder() -> None:
    here = CATALOGUE.settings("softener-10x54")
    assert CATALOGUE.next_size("softener", here)[:2] == ("softener-12x52", "softener-13x54")
    assert CATALOGUE.next_size("softener", here, up=False) == ("softener-9x48", "softener-8x44")
    twin = CATALOGUE.settings("softener-10x54-two")
    assert CATALOGUE.next_size("softener", twin)[0] == "softener-12x52-two"
    assert CATALOGUE.next_size("softener", CATALOGUE.settings("softener-21x62")) == ()
    assert CATALOGUE.next_size("uv_chamber", CATALOGUE.settings("uv-a-8-valve"))[0] == "uv-a-12-valve"


def test_next_size_of_settings_that_are_no_item() -> None:
    found = document([stage("i", "iron_filter", tank_diameter="11 in", media="coated_silicate", oxidant="air")])
    like = open_plan(found).stages["i"].settings
    assert CATALOGUE.next_size("iron_filter", like)[0] == "iron-air-12x52"
    assert CATALOGUE.next_size("iron_filter", like, up=False)[0] == "iron-air-10x54"


def test_ladders_take_in_the_users_own_items() -> None:
    own = ItemRow.model_validate({"kind": "softener", "label": "Own", "settings": {"resin_volume": "1.7 ft3", "tank_diameter": "11 in"}})
    both = Catalogue({**CATALOGUE.rows, "own": own})
    assert both.next_size("softener", both.settings("softener-10x54"))[0] == "own"
    assert both.settings("own").number("resin_volume") == pytest.approx(parse("1.7 ft3", "bulk_volume"))
    with pytest.raises(KeyError):
        both.settings("nothing")


def test_a_kind_without_sizes_has_a_ladder_without_steps() -> None:
    assert size_keys("declared") == () and size_keys("no_such_kind") == ()
    assert CATALOGUE.next_size("declared", CATALOGUE.settings("arsenic-media")) == ()
