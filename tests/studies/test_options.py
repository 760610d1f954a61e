"""Options: what the search finds is what brute force finds, and what is laid before a customer is true."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import numpy as np
import pytest

from tests.studies.brute import best, every_train
from tests.train.trains import MAIN, WATER, WELL, chain, document, stage
from trainapp.checks import findings
from trainapp.data import samples_path
from trainapp.studies.cost import default_prices
from trainapp.studies.options import Proposal, Proposer, SearchCancelled, Train, criteria, propose
from trainapp.studies.options.criteria import index_of, steps_of
from trainapp.studies.options.layouts import Layouts
from trainapp.studies.options.search import Search
from trainapp.studies.options.site import Site
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document, load, loads
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

GERMS = {"total_coliform": "12 /100mL"}
SOFT = {**WATER, "hardness": "2 gpg", "iron": "0.05 mg/L", "iron_dissolved": "0.02 mg/L", "manganese": "0.01 mg/L", "turbidity": "0.4 NTU",
        "turbidity_filtered_5um": "0.2 NTU", "uvt": "92 %/cm", "uvt_filtered": "93 %/cm"}  # fmt: skip
WIDE = {"material": "copper_l", "size": "1 in", "length": "6 ft", "fittings": {"elbow_90": 2}}


def sample(name: str) -> Document:
    """One of the invented sites."""
    return load(samples_path(f"{name}.train.json"))


def small(items: Iterable[str]) -> Catalogue:
    """A catalogue of a few items."""
    rows = Catalogue.load().rows
    return Catalogue({name: rows[name] for name in items})


def raw(water: dict[str, Any], **more: Any) -> Document:
    """A site without a train."""
    return document([], chain("supply", "house"), water=water, plumbing=WIDE, **more)


def _weak() -> Document:
    well = {**WELL, "pump_curve": [["0 gpm", "92 psi"], ["4 gpm", "60 psi"], ["5 gpm", "38 psi"]], "yield": "4 gpm"}
    return raw({**SOFT, "hardness": "15 gpg"}, supply=well, peak="6 gpm")


def _strong() -> Document:
    main = {**MAIN, "static": "96 psi", "residual": "88 psi"}
    return raw({**SOFT, "hardness": "14 gpg", "free_chlorine": "0.9 mg/L"}, supply=main)


def _kitchenette() -> Document:
    """A second tap behind the train, drawn at a time of its own, harder than the house."""
    annex = {"annex": {"peak": "8 gpm", "daily": "40 gal", "with_house": False, "lift": "6 ft"}}
    links = [{"from": "supply", "to": "house"}, {"from": "supply", "to": "annex"}]
    return document([], links, water={**SOFT, **GERMS}, outlets=annex, peak="5 gpm", plumbing=WIDE)


def _kept() -> Document:
    softener = {"id": "old", "kind": "softener", "item": "softener-10x54", "existing": True, "settings": {"salt_dose": "8 lb/ft3"}}
    return document([softener], water={**SOFT, "hardness": "16 gpg"}, peak="6 gpm", plumbing=WIDE)


#: (site, items of the catalogue): small enough for every train to be evaluated.
CASES: dict[str, tuple[Document, str]] = {
    "farm well": (
        sample("lone-alder-farm"),
        "cartridge-20-20x4 cartridge-5-20x4 iron-greensand-13x54 iron-zeolite-12x52 softener-12x52-two uv-a-12 uv-a-12-valve",
    ),
    "acid water": (sample("sorrel-bank-cottage"), "cartridge-20-20x4 cartridge-5-20x4 neutralizer-up-12x52 softener-8x44 uv-a-12-valve"),
    "town main": (sample("pebble-court-3"), "carbon-14x65 carbon-10x54 carbon-16x65 softener-12x52 softener-9x48"),
    "tea room": (
        sample("marzipan-moth-tea-room"),
        "cartridge-20-20x4 cartridge-5-20x4 softener-12x52 uv-a-16-valve uv-b-12 flow-control-12",
    ),
    "dug well": (
        sample("inkwell-croft"),
        "cartridge-20-20x4 sediment-bed-10x54 softener-9x48 tannin-9x48 cartridge-1a-20x4 uv-a-8 uv-a-12-dark",
    ),
    "weak well": (_weak(), "storage-160 storage-1100 cartridge-20-20x4 softener-12x52 softener-10x54"),
    "strong main": (_strong(), "regulator-50 regulator-60 carbon-12x52 softener-9x48 softener-10x54"),
    "a tap of its own": (_kitchenette(), "cartridge-5-20x4 cartridge-5-10x4 uv-a-8 uv-a-12 uv-a-12-valve"),
    "kept softener": (_kept(), "softener-10x54 softener-12x52 cartridge-20-20x4 cartridge-50-10x4"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_the_search_finds_what_brute_force_finds(name: str) -> None:
    """Every train written, evaluated and checked in full: the same figures are left as in the search, and as unfit."""
    train, items = CASES[name]
    site = Site(train, small(items.split()))
    layouts = Layouts(site).all()
    front, tally = Search(site, layouts).trains(default_prices())
    every = every_train(site, default_prices())
    wanted, unfit = best(every)
    assert len(every) == tally.considered == sum(layout.trains for layout in layouts)
    assert {tuple(map(int, row)) for row in steps_of(np.array([t.values for t in front]).reshape(len(front), -1))} == wanted
    assert {t.unfit for t in front} == ({unfit} if wanted else set())
    assert wanted, "a case in which nothing is found shows nothing"


def test_what_does_not_stand_up_is_left_out_of_the_answer_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    train, items = CASES["farm well"]
    proposer = Proposer(train, small(items.split()))
    found = Search(proposer.site, Layouts(proposer.site).all()).trains(default_prices())[0]
    before, fallen = list(found), list[Train]()

    def agrees(one: Train, _full: object) -> bool:
        fallen.extend([] if fallen else [one])
        return one is not fallen[0]

    monkeypatch.setattr("trainapp.studies.options.proposal._agrees", agrees)
    _, left = proposer._options(found, default_prices(), 10, 3)
    assert found == before and left == [one for one in before if one is not fallen[0]]


def test_a_front_is_no_worse_for_a_larger_catalogue() -> None:
    """Of more items nothing is lost: each train of the small catalogue is still there, or beaten."""
    train, items = CASES["farm well"]
    few = Search(site := Site(train, small(items.split())), Layouts(site).all()).trains(default_prices())[0]
    more = small([*items.split(), "softener-12x52", "iron-air-13x54"])
    many = Search(wide := Site(train, more), Layouts(wide).all()).trains(default_prices())[0]
    if {t.unfit for t in few} == {t.unfit for t in many}:
        rows = steps_of(np.array([t.values for t in many]))
        for row in steps_of(np.array([t.values for t in few])):
            assert (rows <= row).all(axis=1).any()


@pytest.fixture(scope="module")
def tea_room() -> Proposal:
    """Options of a sample site from the whole catalogue."""
    return propose(sample("marzipan-moth-tea-room"))


@pytest.fixture(scope="module")
def town() -> Proposal:
    """Options of another."""
    return propose(sample("pebble-court-3"))


def test_options_are_three_to_five_and_differ(tea_room: Proposal, town: Proposal) -> None:
    for proposal in (tea_room, town):
        assert 3 <= len(proposal.options) <= 5
        assert len({option.name for option in proposal.options}) == len(proposal.options)
        assert proposal.options[0].name == "Least to buy"
        assert len({json.dumps(option.document.tree["stages"]) for option in proposal.options}) == len(proposal.options)
        for option in proposal.options:
            assert option.reason.endswith(".") and option.reason.count(".") - option.reason.count(" psi") <= 4


def test_an_option_makes_no_failure_of_its_own(tea_room: Proposal, town: Proposal) -> None:
    for proposal in (tea_room, town):
        for option in proposal.options:
            found = findings(evaluate(open_plan(loads(json.dumps(dict(option.document.tree))))))
            assert not [f for f in found if f.severity == "fail"]


def test_an_option_is_the_best_by_what_it_is_named_for(tea_room: Proposal, town: Proposal) -> None:
    for proposal in (tea_room, town):
        for option in proposal.options:
            by = next(c for c in criteria() if c.key == option.key)
            values = [other.value(by.key) for other in proposal.options]
            best_value = max(values) if by.more else min(values)
            assert abs(option.value(by.key) - best_value) <= by.step, (option.name, values)


def test_the_bill_of_an_option_is_its_figure(town: Proposal) -> None:
    for option in town.options:
        assert option.value("buy") == float(option.bill.buy)
        assert option.value("own") == float(option.bill.own)
        assert option.bill.own == sum(line.present for line in option.bill.lines)


def test_it_says_what_was_left_out_and_why(tea_room: Proposal) -> None:
    whys = {(row.what, row.why) for row in tea_room.left_out}
    held = next(why for what, why in whys if what == "UV chamber" and "the largest of the catalogue lets " in why)
    assert held.startswith("those for less than the peak of ") and held.endswith(" through"), held
    assert not any("It holds back" in why for _, why in whys)
    assert ("All others", "another train is nowhere worse and somewhere better") in whys
    assert sum(row.trains for row in tea_room.left_out) + len(tea_room.front) == tea_room.tally.considered


def test_the_same_document_gets_the_same_options(town: Proposal) -> None:
    again = propose(sample("pebble-court-3"))
    told = [[(o.name, o.reason, json.dumps(o.document.tree)) for o in p.options] for p in (town, again)]
    assert told[0] == told[1]
    assert [t.values for t in town.front] == [t.values for t in again.front]


def test_another_price_is_followed_without_running_stages_again() -> None:
    proposer = Proposer(sample("pebble-court-3"))
    first = proposer.propose()
    assert proposer._search is not None
    runs = proposer._search.runs
    prices = default_prices()
    index = next(i for i, row in enumerate(prices.rows) if row.item == "salt")
    dear = proposer.propose(prices.with_row(index, price="5.00"))
    assert proposer._search.runs == runs
    assert min(o.value("own") for o in dear.options) > min(o.value("own") for o in first.options)
    cheapest = [min(p.front, key=lambda train: train.value("own")) for p in (first, dear)]
    assert cheapest[1].value("salt") < cheapest[0].value("salt")


def test_what_exists_is_kept_at_no_cost_to_buy() -> None:
    train, _ = CASES["kept softener"]
    proposal = propose(train)
    kept = [option for option in proposal.options if any("there already" in label for _, label in option.parts)]
    assert kept and kept[0].key == "buy"
    assert not [line for line in kept[0].bill.lines if line.bought and line.priced.stage == "old"]
    assert any(row["id"] == "old" and row["existing"] for row in kept[0].document.tree["stages"])


def test_health_that_nothing_treats_heads_every_option_and_forbids_none() -> None:
    train = raw({**SOFT, "hardness": "15 gpg", "nitrate": "24 mg/L", "arsenic": "0.03 mg/L"})
    proposal = propose(train)
    assert {f.analyte for f in proposal.unsolved} == {"nitrate", "arsenic"}
    assert proposal.options
    for option in proposal.options:
        assert {f.analyte for f in option.findings if f.severity == "fail"} == {"nitrate", "arsenic"}
        assert not option.measured.fails


def test_surface_water_gets_a_cartridge_that_holds_cysts() -> None:
    site, items = CASES["dug well"]
    proposal = Proposer(site, small(items.split())).propose()
    assert proposal.options
    for option in proposal.options:
        places = [place for place, _ in option.parts]
        assert places[-2:] == ["cyst", "uv"]


def test_nothing_is_proposed_where_nothing_is_needed() -> None:
    proposal = propose(raw(SOFT))
    assert proposal.nothing_needed and not proposal.options and not proposal.obstacles


def test_what_stands_in_the_way_is_said() -> None:
    """A main too weak for any train at this peak: the reason, and the peak at which one would do."""
    main = {**MAIN, "static": "31 psi", "residual": "26 psi", "at_flow": "10 gpm"}
    site = raw({**SOFT, "hardness": "18 gpg"}, supply=main, peak="9 gpm")
    proposal = Proposer(site, small(["softener-9x48", "softener-10x54", "softener-12x52"])).propose()
    assert not proposal.options
    sentences = [obstacle.sentence for obstacle in proposal.obstacles]
    assert any(text.startswith("Supply: without any equipment ") and "when 9.0 gpm is drawn" in text for text in sentences), sentences
    assert any(text.startswith("With a peak of ") and text.endswith(" there are trains.") for text in sentences), sentences


def test_a_room_that_nothing_stands_in_is_named_and_costs_no_further_pass() -> None:
    """1 ft by 4 ft: every tank is too tall, so passes that allow for fewer misfits than any train has are not made."""
    catalogue = small(["softener-9x48", "softener-10x54", "softener-12x52"])
    water = {**SOFT, "hardness": "18 gpg"}
    told: list[float] = []
    wide = Proposer(raw(water, supply=MAIN), catalogue)
    narrow = Proposer(raw(water, supply=MAIN, room={"width": "1 ft", "height": "4 ft"}), catalogue)
    free, held = wide.propose(), narrow.propose(progress=lambda share, text: told.append(share))
    assert free.unfit == 0 and not free.obstacles
    assert held.options and held.unfit >= 2 and told == sorted(told)
    assert narrow._search is not None and wide._search is not None and narrow._search.runs <= wide._search.runs
    sentences = [obstacle.sentence for obstacle in held.obstacles]
    assert sentences[0].startswith("The room is too low: it is 4 ft high, and the lowest train takes "), sentences
    assert sentences[1].startswith("The room is too narrow: it is 1 ft wide, and the narrowest train takes "), sentences


def test_a_catalogue_without_a_chamber_is_named() -> None:
    proposal = Proposer(raw({**SOFT, **GERMS}), small(["cartridge-5-20x4", "softener-9x48"])).propose()
    assert not proposal.options
    assert ("UV chamber", "the catalogue has none") in {(row.what, row.why) for row in proposal.left_out}


def test_it_can_be_given_up_and_begun_again() -> None:
    proposer = Proposer(sample("pebble-court-3"))
    asked = 0

    def enough() -> bool:
        nonlocal asked
        asked += 1
        return asked > 40

    with pytest.raises(SearchCancelled):
        proposer.propose(cancelled=enough)
    assert proposer.propose().options


def test_progress_rises() -> None:
    told: list[float] = []
    Proposer(sample("pebble-court-3")).propose(progress=lambda share, text: told.append(share))
    assert told == sorted(told) and told and told[0] >= 0.0 and told[-1] <= 1.0


def test_the_train_on_the_bench_is_measured_alike() -> None:
    bench = sample("pebble-court-3")
    proposer = Proposer(bench)
    measured = proposer.measured(bench)
    assert len(measured.values) == len(criteria())
    assert {f.code for f in measured.fails} == {"low-pressure"}
    assert measured.values[0] == float(measured.bill.buy)


def test_two_stages_side_by_side_ask_no_more_chores_than_one_stage_of_two_units() -> None:
    def of(stages: list[dict[str, Any]], links: list[dict[str, str]]) -> float:
        told = document(stages, links, water={**SOFT, "hardness": "15 gpg"}, plumbing=WIDE)
        return Proposer(told).measured(told).values[index_of("chores")]

    lanes = [{"from": "supply", "to": "a"}, {"from": "supply", "to": "b"}, {"from": "a", "to": "house"}, {"from": "b", "to": "house"}]
    single = {"kind": "softener", "item": "softener-10x54", "settings": {}}
    twin = of([{"id": "a", "count": 2, **single}], chain("supply", "a", "house"))
    assert of([{"id": "a", **single}, {"id": "b", **single}], lanes) == pytest.approx(twin, rel=1e-3) and twin > 0
    behind = chain("supply", "a", "b", "house")
    assert of([{"id": "a", **single}, {"id": "b", **single}], behind) > of([{"id": "a", **single}], chain("supply", "a", "house"))


def test_a_stage_of_no_price_is_not_the_cheapest() -> None:
    catalogue = small(["softener-9x48", "softener-10x54", "softener-12x52", "cartridge-20-20x4"])
    rows = {name: row.model_copy(update={"price": None}) if name == "softener-10x54" else row for name, row in catalogue.rows.items()}
    proposal = Proposer(raw({**SOFT, "hardness": "16 gpg"}), Catalogue(rows)).propose()
    labels = {label for option in proposal.options for _, label in option.parts}
    assert not any("1.5 ft3" in label for label in labels)
    assert ("Softener", "its price is not known") in {(row.what, row.why) for row in proposal.left_out}


def test_outlets_hang_where_they_belong() -> None:
    garden = {"peak": "5 gpm", "daily": "60 gal", "drinking": False, "with_house": False}
    outlets = {"garden": garden, "annex": {"peak": "2 gpm", "daily": "40 gal"}}
    links = [{"from": "supply", "to": "house"}, {"from": "supply", "to": "garden"}, {"from": "supply", "to": "annex"}]
    site = document([], links, water={**SOFT, **GERMS}, outlets=outlets, plumbing=WIDE)
    for option in propose(site).options:
        ends = {link["to"]: link["from"] for link in option.document.tree["links"]}
        assert ends["garden"] == "supply" and ends["annex"] == ends["house"] == "uv"


def test_nothing_follows_the_chamber_and_order_is_that_of_the_trade() -> None:
    site = Site(sample("lone-alder-farm"))
    for layout in Layouts(site).all():
        places = layout.places
        assert places[-1] == "uv" and places[-2] == "fine"
        for first, then in (("screen", "iron"), ("iron", "softener"), ("softener", "fine"), ("feed", "contact"), ("contact", "rust-bed")):
            if first in places and then in places:
                assert places.index(first) < places.index(then)


def test_a_stage_of_the_document_that_is_not_kept_is_not_in_an_option(town: Proposal) -> None:
    for option in town.options:
        ids = [row["id"] for row in option.document.tree["stages"]]
        assert "screen" not in ids and set(ids) <= {"carbon", "softener"}
        assert stage("x", "softener")["id"] not in ids
