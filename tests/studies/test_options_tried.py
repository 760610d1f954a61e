"""Trains that work are built: a storage where the supply is scant, filled as slowly as a well asks, and a neutralizer for a medium."""

from __future__ import annotations

import re

from tests.studies.test_options import SOFT, raw, small
from tests.studies.test_options_said import HARD, flat, proposed
from tests.train.trains import MAIN, WELL
from trainapp.reports.proposal_words import does
from trainapp.studies.cost import default_prices
from trainapp.studies.options import Proposer, money
from trainapp.studies.options.layouts import Layouts
from trainapp.studies.options.site import Site
from trainapp.studies.options.treatments import treatments

_LOW = {
    **WELL,
    "pump_curve": [["0 gpm", "40 psi"], ["7 gpm", "26 psi"], ["12 gpm", "5 psi"]],
    "cut_in": "22 psi",
    "cut_out": "35 psi",
    "precharge": "20 psi",
}
_SLOW = {**WELL, "pump_curve": [["0 gpm", "60 psi"], ["2 gpm", "42 psi"], ["2.2 gpm", "40 psi"]], "yield": "2 gpm", "cut_out": "55 psi"}
_TANK = "storage-300 cartridge-50-20x4 softener-12x52"


def test_a_storage_is_tried_where_pressure_is_what_stands_in_the_way() -> None:
    proposal = proposed(raw(HARD, supply=_LOW, peak="6.5 gpm"), _TANK)
    assert proposal.options and all(option.parts[0][0] == "storage" for option in proposal.options)
    heads = {tuple(choice.place for choice in layout.heads) for layout in Layouts(proposal.site).all()}
    assert heads == {(), ("storage",)}, "a supply that is scant and no more may do without"


def test_a_storage_is_filled_as_slowly_as_the_well_asks() -> None:
    proposal = proposed(raw(HARD, supply=_SLOW, peak="6.5 gpm"), _TANK)
    labels = [label for option in proposal.options for place, label in option.parts if place == "storage"]
    assert labels and all("fill flow " in label for label in labels), proposal.obstacles
    assert all(not option.measured.fails for option in proposal.options)


def test_a_peak_beyond_the_yield_is_printed_and_a_storage_tried() -> None:
    proposal = proposed(raw(HARD, supply={**WELL, "yield": "1 gpm"}, peak="6 gpm"), _TANK)
    bare = [option for option in proposal.options if option.parts[0][0] != "storage"]
    assert bare and "note: The peak is more than the well yields. 6.0 gpm is drawn at the peak" in flat(proposal)
    assert any(layout.heads for layout in Layouts(proposal.site).all())


def test_a_strong_supply_gets_no_storage() -> None:
    site = Site(raw(HARD, supply=MAIN), small(_TANK.split()))
    assert not any(layout.heads for layout in Layouts(site).all())


def test_a_neutralizer_is_tried_for_a_medium() -> None:
    """At pH 6.7 nothing asks for a neutralizer but the medium, which takes manganese from a higher pH on."""
    water = {**SOFT, "manganese": "0.2 mg/L", "manganese_dissolved": "0.2 mg/L"}
    items = small(["iron-zeolite-14x65", "neutralizer-up-12x52", "cartridge-20-20x4"])
    for ph, tried in (("6.7", True), ("7.3", False)):
        sets = Layouts(Site(raw({**water, "ph": ph}, supply=MAIN), items)).place_sets()
        assert frozenset({"iron"}) in sets and (frozenset({"neutralizer", "iron"}) in sets) is tried, (ph, sets)


def test_carbon_stands_ahead_of_a_resin_and_is_asked_for_by_chloramine() -> None:
    """Chlorine eats resin, so carbon comes first; a main with hardly any free chlorine is tasted by what is combined."""
    water = {"hardness": "12 gpg", "free_chlorine": "0.2 mg/L", "total_chlorine": "2.5 mg/L", "ph": "8.0", "alkalinity": "100 mg/L"}
    proposal = proposed(raw(water, supply=MAIN, peak="5 gpm"), "carbon-14x65 carbon-catalytic-14x65 softener-9x48")
    assert [need.rule.key for need in proposal.site.needs] == ["hardness", "chloramine"]
    assert proposal.options and all([place for place, _ in option.parts] == ["carbon", "softener"] for option in proposal.options)
    for option in proposal.options:
        assert next(row for row in option.treats if row.need == "chloramine").met is not False


def test_one_year_is_one_year_and_a_taste_has_a_way_out() -> None:
    water = {**SOFT, "iron": "2 mg/L", "iron_dissolved": "1.9 mg/L", "ph": "7.5"}
    proposal = Proposer(raw(water, supply=MAIN, peak="4 gpm"), small(["iron-zeolite-12x52"])).propose(years=1)
    told = flat(proposal)
    assert "over 1 year." in told and "cost to own over 1 year:" in told and "1 years" not in told
    assert "Tastes and smells of chlorine" in told and "carbon takes it out, and asks for disinfection behind it" in told


def test_a_currency_without_decimals_shows_none() -> None:
    """Small sums are told in hundredths where the money has them, and whole where it has none."""
    prices = default_prices().with_(currency="JPY", decimals=0)
    proposal = Proposer(raw(HARD, supply=MAIN, peak="5 gpm"), small(["softener-12x52"])).propose(prices)
    assert money(7.25, "EUR") == "7.25 EUR" and money(0.0, "JPY", 0) == "0 JPY" and money(7.25, "USD") == "$7.25"
    assert " JPY" in flat(proposal) and not re.search(r"\d\.\d+ JPY", flat(proposal))


def test_a_proposal_says_what_every_need_does() -> None:
    for rule in treatments().needs:
        assert does(rule.key).text, rule.key
