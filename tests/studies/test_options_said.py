"""What options say stands in the way: the cause, not the next best equipment."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.studies.brute import best, every_train
from tests.studies.test_options import GERMS, SOFT, raw, small
from tests.train.trains import MAIN, WELL
from trainapp.reports.options_board import _looked, board
from trainapp.reports.options_text import options_lines
from trainapp.reports.proposal_offer import column_of
from trainapp.studies.cost import default_prices
from trainapp.studies.options import Proposal, Proposer
from trainapp.studies.options.contender import left_as_it_is, of_option
from trainapp.studies.options.criteria import criterion, steps_of
from trainapp.studies.options.hydraulics import dry_below
from trainapp.studies.options.layouts import Layouts
from trainapp.studies.options.local import judge_ends
from trainapp.studies.options.reasons import why
from trainapp.studies.options.search import Search
from trainapp.studies.options.site import Site
from trainapp.train.document import Document

HARD = {**SOFT, "hardness": "18 gpg"}


def proposed(document: Document, items: str) -> Proposal:
    """Options of a site from a few items."""
    return Proposer(document, small(items.split())).propose()


def flat(proposal: Proposal) -> str:
    """All that is printed, as one line."""
    return " ".join(" ".join(options_lines(proposal)).split())


def with_goal(document: Document, **goals: Any) -> Document:
    """The same site with other goals."""
    return Document.of({**document.tree, "goals": {**document.tree.get("goals", {}), **goals}})


def test_a_goal_beyond_the_supply_is_no_fault_of_a_filter() -> None:
    told = flat(proposed(with_goal(raw(HARD, peak="5 gpm"), outlet_pressure="90 psi"), "softener-12x52 cartridge-20-20x4"))
    assert "Supply: without any equipment " in told and " when 5.0 gpm is drawn, and 90.0 psi is wanted" in told
    assert "Coarse filter: with it" not in told


def test_a_house_that_stands_high_is_named() -> None:
    told = flat(proposed(raw(HARD, supply={**WELL, "lift": "160 ft"}), "softener-12x52 cartridge-20-20x4"))
    assert "is left at the house, which stands 160 ft higher, when " in told


def test_a_room_that_the_lowest_fits_into_is_no_riddle() -> None:
    site = Site(raw(HARD, supply=MAIN, room={"height": "6 ft"}), small(["softener-9x48", "softener-16x65"]))
    said = why(site, Layouts(site).all(), ("softener", "room-fit", "Too tall for the room"))
    assert said.startswith("those that take more than the room's height of 6 ft are left out; the lowest of the catalogue takes "), said


def test_what_has_no_room_is_not_too_wide_for_it() -> None:
    site = Site(raw(HARD, supply=MAIN), small(["softener-9x48", "softener-16x65"]))
    said = why(site, Layouts(site).all(), ("softener", "room-fit", "Too wide for the room"))
    assert said == "in trains with it more falls short than in others"


def test_iron_beyond_every_filter_is_told_with_both_figures() -> None:
    iron = {"iron": "60 mg/L", "iron_dissolved": "58 mg/L", "manganese": "0.02 mg/L", "ph": "7.6"}
    site = raw({**HARD, **iron}, supply=MAIN, peak="4 gpm")
    said = why(Site(site), Layouts(Site(site)).all(), ("softener", "iron-on-resin", "Iron on the softener's resin"))
    assert said.startswith("the raw water holds 60.00 mg/L of iron, an iron filter of the catalogue takes 15.00 mg/L at the most"), said


def test_poison_that_nothing_treats_is_not_called_nothing() -> None:
    proposal = proposed(raw({**SOFT, "arsenic": "0.2 mg/L", "nitrate": "50 mg/L"}), "softener-9x48")
    told = flat(proposal)
    assert "what is wrong here nothing in this program treats, so nothing is proposed." in told and "nothing asks" not in told
    assert told.index("nothing in this program treats") < told.index("Arsenic at the house") < told.index("Not judged")
    assert _looked(proposal) == "What is wrong here nothing in this program treats, so nothing is proposed."
    assert not proposal.nothing_needed and proposed(raw(SOFT), "softener-9x48").nothing_needed


def test_germs_alone_are_still_asked_for() -> None:
    assert not proposed(raw({**SOFT, **GERMS}), "cartridge-5-20x4 uv-a-12-valve").nothing_treats


# Trains that do nothing -----------------------------------------------------------------------------------------------------------

_BLACK = {**SOFT, "manganese": "0.28 mg/L", "manganese_dissolved": "0.28 mg/L", "ph": "7.2", "dissolved_oxygen": "5 mg/L"}


@pytest.mark.parametrize(
    ("site", "items", "title"),
    [
        (
            raw(_BLACK, supply=MAIN, peak="4 gpm"),
            "iron-air-12x52 iron-zeolite-14x65 cartridge-20-20x4",
            "They leave black stains as they were",
        ),
        (raw(HARD, peak="10 gpm"), "softener-9x48 cartridge-20-10x4", "No pressure at the house"),
    ],
)
def test_a_train_that_does_nothing_is_no_option(site: Document, items: str, title: str) -> None:
    """Air and silicate, by its least pH, leaves manganese as it comes; a dirty small cartridge leaves no tap running at 10 gpm. Brute force
    leaves out the same trains."""
    known = Site(site, small(items.split()))
    every = every_train(known, default_prices())
    idle = [train for train in every.values() if title in {f.title for f in train.fails}]
    front, _ = Search(known, Layouts(known).all()).trains(default_prices())
    wanted, _ = best(every)
    assert idle and wanted and len(idle) < len(every)
    assert {tuple(map(int, row)) for row in steps_of(np.array([t.values for t in front]))} == wanted
    assert known.left(idle[0].evaluation.points["house"].water) or idle[0].values[3] <= dry_below(idle[0].evaluation.plan, "house")


def test_what_nothing_in_the_catalogue_helps_is_not_solved() -> None:
    """Manganese beyond every filter heads the answer, softeners go on being proposed for hardness; alone nothing is proposed."""
    black = {**HARD, "manganese": "9 mg/L", "manganese_dissolved": "9 mg/L", "ph": "7.4"}
    items = "iron-air-12x52 softener-12x52 cartridge-20-20x4"
    both = proposed(raw(black, supply=MAIN, peak="5 gpm"), items)
    assert both.site.given_up == {"manganese"} and {f.analyte for f in both.unsolved} == {"manganese"}
    assert all(option.treats[0].need == "hardness" for option in both.options)
    alone = proposed(raw({**black, "hardness": "2 gpg"}, supply=MAIN, peak="5 gpm"), items)
    assert alone.nothing_treats and not alone.options and "Manganese at the house" in flat(alone)


def test_hardness_that_no_softener_bears_is_told_without_a_limit() -> None:
    iron = {"iron": "60 mg/L", "iron_dissolved": "58 mg/L", "manganese": "0.02 mg/L", "ph": "7.6"}
    told = flat(proposed(raw({**HARD, **iron}, supply=MAIN, peak="4 gpm"), "iron-zeolite-12x52 softener-12x52 cartridge-20-20x4"))
    assert "Nothing in the catalogue solves this: scale. Hardness is 18 gpg, and 7.0 gpg is wanted" in told
    assert "Iron filter: it takes 15.00 mg/L of iron at the most, and the raw water holds 60.00 mg/L." in told


def test_a_need_that_is_not_met_counts_as_a_caution() -> None:
    """No limit speaks of hardness: a train that leaves it is none of fewer cautions all the same."""
    known = Site(raw(HARD, supply=MAIN), small(["softener-12x52"]))
    layout = Layouts(known).all()[0]
    verdict = judge_ends(known, layout.sample.plan, layout.raw, layout.raw)
    assert (verdict.cautions, len(verdict.unfit)) == (1, 1)
    assert criterion("cautions").name == "Least left to mend"


def test_the_board_and_the_offer_bear_a_need_that_was_given_up() -> None:
    """Columns that were counted before anything was sought know the need still: it heads the board, and its row is gone."""
    black = raw({**HARD, "manganese": "9 mg/L", "manganese_dissolved": "9 mg/L", "ph": "7.4"}, supply=MAIN, peak="5 gpm")
    proposer = Proposer(black, small(["iron-air-12x52", "softener-12x52", "cartridge-20-20x4"]))
    before, prices = proposer.site, default_prices()
    left = left_as_it_is(before, prices, 10)
    proposal = proposer.propose()
    assert proposer.site.given_up == {"manganese"} and before.giving_up(frozenset()) is before
    laid = board(before, [left, *map(of_option, proposal.options)], prices, 10, proposal)
    assert any("Manganese" in row.title for row in laid.unsolved)
    rows = {row.key: row for row in next(section for section in laid.sections if section.key == "does").rows}
    assert "treats-hardness" in rows and "treats-manganese" not in rows and rows["treats-hardness"].note == "Raw water: 18 gpg."
    assert [answer.need for answer in column_of(proposer.site, left).answers] == ["hardness"]
    assert "hardness" in {answer.need for answer in column_of(before, of_option(proposal.options[0])).answers}
