"""The board of options: the same list for the window and for print, and what it must never say."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from trainapp.reports.drawing import side_by_side
from trainapp.reports.drawing.display import Rect, Text
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.side_by_side import Look
from trainapp.reports.options_board import Board, board
from trainapp.reports.options_cells import Bar, Cell
from trainapp.reports.options_rows import rough, sure_cell
from trainapp.reports.proposal_offer import Offer
from trainapp.reports.proposal_words import health, licensed
from trainapp.studies.confidence import Confidence, confidence
from trainapp.studies.cost import default_prices
from trainapp.studies.options import Proposal, Proposer, criteria
from trainapp.studies.options import shown as text
from trainapp.studies.options.contender import Contender, again, left_as_it_is, of_option, on_the_bench, reason_now, served
from trainapp.studies.options.site import Site
from trainapp.studies.options.what_if import WhatIf, salt_price
from trainapp.train.document import Document, load

PRICES = default_prices()
_ROOT = Path(__file__).resolve().parents[2]


def document(**changes: str) -> Document:
    """The home on a main, with other results in its sample."""
    tree = json.loads((_ROOT / "samples" / "pebble-court-3.train.json").read_text(encoding="utf-8"))
    tree["samples"][0]["results"] |= changes
    return Document.of(tree)


@cache
def told(**changes: str) -> tuple[Proposer, Proposal, tuple[Contender, ...]]:
    proposer = Proposer(document(**changes))
    proposal = proposer.propose(PRICES)
    site = proposer.site
    fixed = [left_as_it_is(site, PRICES, 10), on_the_bench(site, PRICES, 10)]
    columns = [replace(column, served=served(column, PRICES)) for column in fixed]
    return proposer, proposal, (*columns, *(of_option(option) for option in proposal.options))


def shown(**changes: str) -> Board:
    proposer, proposal, columns = told(**changes)
    return board(proposer.site, columns, PRICES, 10, proposal)


def words(cell: Cell) -> str:
    return " ".join((cell.text, cell.note, cell.word, *(text for _, text in cell.lines)))


def test_rows_hold_a_cell_for_each_column() -> None:
    made = shown()
    assert [section.title for section in made.sections][:2] == ["What it does", "What it costs"]
    assert all(len(row.cells) == len(made.heads) == len(made.pictures) for section in made.sections for row in section.rows)
    buy = made.row("buy")
    options = [cell.value for cell in buy.cells[2:]]
    assert [cell.value for cell in buy.cells if cell.best] == [min(value for value in options if value is not None)]
    lengths = [cell.bar.share for cell in buy.cells if cell.bar is not None]
    assert max(lengths) == 1.0
    pressure = made.row("pressure")
    assert len({cell.bar.wanted for cell in pressure.cells if cell.bar is not None}) == 1
    assert pressure.cells[made.column("bench")].mark == "fail", "the train on the bench takes too much"
    assert made.safety and made.not_judged and "invented" in made.prices


def test_water_left_as_it_is_is_a_band_that_says_illustrative() -> None:
    made = shown()
    month = made.row("month").cells[0]
    # hard water in all hours: 0.02 to 0.10 fitter's hours a month for each of 3 people at 95, by hand; 28.5 to two figures is 28
    assert (month.value, month.to, month.word) == (5.7, 28.0, "illustrative")
    assert "illustrative" in made.illustrative
    assert not any(cell.word for cell in made.row("month").cells[1:])


def test_a_head_counts_cautions_beside_no_fail() -> None:
    made = shown(e_coli="present", total_coliform="present")
    cautions = [sum(mark == "caution" for mark, _ in cell.lines) for cell in made.row("settle").cells]
    for head, count in list(zip(made.heads, cautions, strict=True))[2:]:
        assert count and head.words == f"no fail, {count} caution{'s' * (count != 1)}" and head.mark == "caution"
    assert any(head.words == "no fail" and head.mark == "ok" for head in shown().heads[2:])


def test_surface_water_heads_the_board_and_what_was_not_tested_stands_there() -> None:
    tree = json.loads(json.dumps(document(e_coli="present").tree))
    tree["supply"]["surface_influence"] = "yes"
    site = Site(Document.of(tree))
    made = board(site, [left_as_it_is(site, PRICES, 10)], PRICES, 10)
    assert [row.title for row in made.licensed] == ["Surface water needs more than this program can judge"]
    assert "licensed designer" in made.licensed[0].message
    meant, untested = made.health
    assert meant == "Treated by no option here: E. coli in the water; No disinfection on the way to the house."
    # the proposal names the same, from the same list
    offer = Offer(site, PRICES, 10, (), site.unsolved, (), 0, ())
    assert [f.title for _, found in health(offer) for f in found] == ["E. coli in the water", "No disinfection on the way to the house"]
    assert [f.title for f in licensed(offer)] == [row.title for row in made.licensed]
    assert untested.startswith("Not tested, so nothing is known of it: ") and "uranium" in untested


@pytest.mark.parametrize("high", [21.0, 23.0, 31.0])
def test_the_word_illustrative_stands_under_its_band(high: float) -> None:
    shown = Cell("10–40", bar=Bar(0.1, 0.4), word="illustrative", value=10.0, to=40.0)
    items = side_by_side.cell(shown, 220.0, high, Look(px=16.0 if high > 30 else 12.0), measure_dejavu)
    band = next(item for item in items if isinstance(item, Rect))
    word = next(item for item in items if isinstance(item, Text) and item.text == "illustrative")
    assert band.y >= 0 and word.y - 0.8 * word.size >= band.y + band.h - 0.5 and word.y <= high


@pytest.mark.parametrize(("amount", "text"), [("0", "0"), ("5.71", "5.7"), ("28.4", "28"), ("36986.1", "37000"), ("0.44", "0.4")])
def test_what_is_illustrative_is_told_to_two_figures(amount: str, text: str) -> None:
    assert rough(Decimal(amount)) == Decimal(text)


def test_unsolved_health_comes_first_and_no_promise_is_made() -> None:
    made = shown(arsenic="0.025 mg/L", e_coli="present")
    assert any("Arsenic" in row.title for row in made.unsolved)
    assert made.warning.startswith("Do not drink this water now")
    for section in made.sections:
        for row in section.rows:
            for cell in row.cells:
                said = words(cell).lower()
                assert not any(word in said for word in ("safe", "gone", "approved", "guarantee")), said
                assert "%" not in said or not row.key.startswith("treats")
    germs = made.row("treats-germs")
    assert germs.cells[0].text == "not treated"
    # UVT was not measured, and E. coli says of the chamber that this has to be put right
    assert {cell.text for cell in germs.cells[2:]} == {"UV, its cautions first"}


def _sure(no_fail: int) -> Confidence:
    return replace(confidence(document(), 8), draws=1_000, no_fail=no_fail, fixed=())


def test_draws_are_counted_down_to_twentieths() -> None:
    answer = _sure(1_000)
    assert sure_cell(answer, True).blocks == (20, 20)
    assert sure_cell(replace(answer, no_fail=999), True).text == "19 of 20", "20 of 20 only where nothing fails"
    assert sure_cell(replace(answer, no_fail=30), True).text == "under 1 of 20"
    assert sure_cell(replace(answer, no_fail=0), True).text == "0 of 20"
    assert "says nothing about what was not sampled" in sure_cell(answer, True).note
    assert sure_cell(None, True).quiet and sure_cell(None, False).text == "nothing to meet"


def test_another_family_draws_in_proportion() -> None:
    home = load(_ROOT / "samples" / "sorrel-bank-cottage.train.json")
    six = WhatIf(people=2 * home.people).document(home)
    assert six.daily_volume == pytest.approx(2 * home.daily_volume, rel=1e-3)
    assert WhatIf().document(home) is home
    price = salt_price(WhatIf(salt=Decimal("0.5")).prices(PRICES))
    assert price == (Decimal("0.5"), "lb")


def test_a_train_counted_again_on_the_same_site_is_the_same() -> None:
    proposer, _, columns = told()
    first = columns[2]
    same = again(replace(first, name="Ours", kept=True), proposer.site, PRICES, 10)
    assert same.measured.values == first.measured.values and same.key == first.key
    assert (same.name, same.kept) == ("Ours", True)


def test_one_price_of_ones_own_leaves_the_others_invented() -> None:
    proposer, proposal, columns = told()
    place = next(i for i, row in enumerate(PRICES.rows) if row.section == "labour")
    own = PRICES.with_row(place, hours="3", source="document", status="common practice")
    assert "every figure invented" in shown().prices and "illustrative" in shown().prices
    mixed = board(proposer.site, columns, own, 10, proposal).prices
    assert "some figures invented" in mixed and "illustrative" in mixed
    ours = PRICES.with_rows(replace(row, status="common practice") for row in PRICES.rows)
    assert "some figures invented" in board(proposer.site, columns, ours, 10, proposal).prices, "prices of the catalogue are invented"


def test_a_train_counted_anew_says_what_holds_now() -> None:
    proposer, proposal, columns = told()
    first, second = columns[2:4]
    assert first.reason.startswith("It costs least to buy")
    kept = replace(again(first, proposer.site, PRICES, 10), kept=True)
    assert not kept.reason
    assert "no other option here costs less" in reason_now(kept, (kept, second))
    place = next(i for i, row in enumerate(PRICES.rows) if row.section == "visit" and row.per == "once")
    dear = PRICES.with_row(place, price="99000")
    dearer = replace(again(kept, proposer.site, dear, 10), kept=True)
    shown = board(proposer.site, (*columns[:2], dearer, second), dear, 10, proposal).heads[2].reason
    assert shown.startswith("Kept: it costs ") and f"more than {second.name}." in shown and "least" not in shown.split(second.name)[0]


def test_the_best_mark_minds_what_reads_alike() -> None:
    made = shown()
    for section in made.sections:
        for row in section.rows:
            best = {cell.text for cell in row.cells if cell.best}
            options = [cell for cell, head in zip(row.cells, made.heads, strict=True) if head.kind == "option" and cell.text in best]
            assert all(cell.best for cell in options if row.key not in ("sure", "settle")), row.key
            assert len(best) <= 1


def test_also_is_claimed_of_what_no_other_option_reads_alike_in() -> None:
    _, proposal, _ = told()
    for option in proposal.options:
        for name in option.also:
            by = next(by for by in criteria() if by.name == name)
            reads = [text(by, other.value(by.key), "USD", "us") for other in proposal.options if other is not option]
            assert text(by, option.value(by.key), "USD", "us") not in reads, (option.name, name)
