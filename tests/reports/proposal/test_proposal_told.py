"""What a customer has to be told, in the whole proposal, its short form and the table alike: the demand, the taste, sodium, bacteria."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from PIL import Image

from tests.reports.printing import squeezed, tree_of
from tests.reports.proposal.offers import offer, sought
from tests.reports.proposal.test_proposal import FIVE, LETTER, page_text, whole_text
from tests.reports.proposal.test_proposal import made as pages
from trainapp import units
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.options_board import board
from trainapp.reports.options_cells import ILLUSTRATIVE
from trainapp.reports.options_health import NOBODY, PARTLY, severities
from trainapp.reports.options_text import options_lines
from trainapp.reports.options_treated import _SHORT
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_table import PrintTable, set_table
from trainapp.reports.proposal import proposal_job
from trainapp.reports.proposal_basis import basis, designed_for, supposed
from trainapp.reports.proposal_bills import _price, _quantity
from trainapp.reports.proposal_costs import how
from trainapp.reports.proposal_extras import Extras, read_logo
from trainapp.reports.proposal_front import keep_finding, set_sentences
from trainapp.reports.proposal_offer import Drawn, Offer, column_of, offer_of
from trainapp.reports.proposal_rows import comparison
from trainapp.reports.proposal_table import sides_table
from trainapp.reports.proposal_water import seen
from trainapp.reports.proposal_words import does_not_any, simulated
from trainapp.studies.cost import default_prices
from trainapp.studies.cost.lines import Priced, Writer
from trainapp.studies.options import Site
from trainapp.studies.options.contender import Served, left_as_it_is, of_option, on_the_bench
from trainapp.studies.options.what_if import WhatIf
from trainapp.studies.options.words import beside_limit
from trainapp.train.document import Document

PRICES, NONE = default_prices(), Extras()


def kept(name: str) -> tuple[str, str]:
    """Both forms of a site that other tests set, too."""
    return whole_text(pages(name)), whole_text(pages(f"{name}, short"))


def both(made: Offer, extras: Extras = NONE) -> tuple[str, str]:
    """The whole proposal and its short form, without any space."""
    whole, short = (whole_text(proposal_job(made, extras, LETTER, form)) for form in (False, True))
    return whole, short


def table(made: Offer) -> str:
    return " ".join(str(getattr(cell, "text", cell)) for row in sides_table(made).rows for cell in row)


@cache
def drawn(name: str, bench: bool = True, **results: str) -> Offer:
    """A site with the train of its file and no option."""
    tree = tree_of(name)
    tree["samples"][0]["results"] |= results
    site = Site(Document.of(tree))
    columns = [left_as_it_is(site, PRICES, 10), *([on_the_bench(site, PRICES, 10)] if bench else [])]
    return Offer(site, PRICES, 10, tuple(column_of(site, c) for c in columns), site.unsolved, (), 0, ())


# What it was designed for -------------------------------------------------------------------------------------------------------


def test_page_1_the_short_form_and_the_table_say_what_it_was_designed_for() -> None:
    made = offer("bare")
    said = designed_for(made)
    document = made.site.document
    assert said.startswith(f"Designed for {document.people} people, ") and said.endswith("\u202fpsi wanted at the house.")
    assert " gpm peak, " in said.replace("\u202f", " ") and " gal a day, " in said.replace("\u202f", " ")
    for name in ("bare", "bare, short"):
        first = page_text(pages(name), 0)
        assert all(squeezed(units.typeset(text)) in first for text in basis(made))
    assert all(text in table(made) for text in basis(made))


def test_what_was_supposed_is_told_beside_what_the_file_says() -> None:
    made = offer("bare")
    document = made.site.document
    tree = WhatIf(people=document.people + 5, peak=units.parse("12 gpm", "flow")).document(document)
    other = Offer(Site(tree), PRICES.with_(discount=Decimal("0.05")), 15, made.columns, (), (), 0, (), Drawn(document, PRICES))
    said = supposed(other).replace("\u202f", " ")
    assert f"{document.people + 5} people instead of {document.people}" in said and "12.0 gpm peak instead of" in said
    assert "15 years instead of 10" in said and "5 % less a year instead of" in said
    assert supposed(made) == "" and supposed(replace(made, drawn=Drawn(document, PRICES))) == ""


def test_the_day_of_issue_is_what_it_is_given() -> None:
    for text in both(drawn("pebble-court-3"), Extras(issued=datetime.date(2026, 3, 4))):
        assert "Issued2026-03-04." in text
    assert all("Issued" not in text for text in both(drawn("pebble-court-3")))


# Taste and sodium ---------------------------------------------------------------------------------------------------------------


def test_chlorine_that_is_tasted_and_sodium_stand_in_every_form() -> None:
    made = drawn("lone-alder-farm")
    whole, short = both(made)
    for text in (whole, short, squeezed(table(made))):
        assert squeezed("Tastes and smells of chlorine: ") in text and squeezed("no carbon stands behind the feed") in text
        assert squeezed("Sodium at the house") in text and squeezed(units.typeset("20 mg/L")) in text
    (row,) = (row for row in comparison(made) if row.label == "Sodium at the house")
    assert row.cells[0].text == "not softened" and row.cells[1].text.endswith("\u202fmg/L") and row.unit.startswith("guide 20")


def test_sodium_of_unmeasured_raw_water_is_told_as_the_least() -> None:
    tree = tree_of("lone-alder-farm")
    for sample in tree["samples"]:
        sample["results"].pop("sodium", None)
    site = Site(Document.of(tree))
    made = replace(drawn("lone-alder-farm"), site=site, columns=(column_of(site, on_the_bench(site, PRICES, 10)),))
    (row,) = (row for row in comparison(made) if row.label == "Sodium at the house")
    assert row.cells[0].text.startswith("more than ")


def test_each_option_that_softens_tells_sodium_at_the_prompt() -> None:
    _, proposal = sought(FIVE)
    told = [line for line in options_lines(proposal) if "sodium at the house:" in line]
    assert len(told) == len(proposal.options) and all("mg/L" in line for line in told)


# Money --------------------------------------------------------------------------------------------------------------------------


def test_board_and_proposal_take_one_figure_from_one_place_and_bands_like_for_like() -> None:
    """A train that a year was run of on the board is not counted anew, and options carry the band that the bench carries."""
    proposer, proposal = sought(FIVE)
    year = Served(100.0, {"ph": 100.0}, (Decimal(9), Decimal(57)))
    columns = [left_as_it_is(proposer.site, PRICES, 10), on_the_bench(proposer.site, PRICES, 10), *map(of_option, proposal.options)]
    columns = [replace(column, served=year) for column in columns]
    made = offer_of(proposer, proposal, columns)
    shown = board(proposer.site, columns, PRICES, 10, proposal).row("month")
    (row,) = (row for row in comparison(made) if row.label == "Each month")
    for cell, printed in zip(shown.cells, row.cells, strict=True):
        assert cell.word == ILLUSTRATIVE and cell.to is not None
        assert printed.text == f"{cell.text.removeprefix('$')}, {ILLUSTRATIVE}"
    assert "by the price list alone" in how(made) and "by the price list alone" not in how(offer(FIVE))


def test_water_that_is_left_as_it_is_is_not_for_nothing() -> None:
    made = offer("poisoned")
    still = replace(made.columns[0].contender, served=Served(100.0, {}, (Decimal(0), Decimal(0))))
    (row,) = (r for r in comparison(replace(made, columns=(column_of(made.site, still),))) if r.label == "Each month")
    assert row.cells[0].text == "not counted"
    assert squeezed("No health is counted in money.") in kept("poisoned")[1]


# Bacteria -----------------------------------------------------------------------------------------------------------------------


def test_bacteria_are_told_in_one_way_on_the_board_at_the_prompt_and_on_every_page() -> None:
    proposer, proposal = sought("surface")
    made = offer("surface")
    words = {answer.words for column in made.options for answer in column.answers if answer.need == "germs"}
    lines = " ".join(" ".join(options_lines(proposal)).split())
    assert words and all(f"against bacteria: ({word})" in lines for word in words)
    for text in kept("surface"):
        assert squeezed(PARTLY) in text and squeezed("Meant to be treated, and to be proven by test:") not in text
        assert squeezed("E. coli in the water (fail in the raw water, ") in text
    said = next(said.text for said in does_not_any(made) if said.text.startswith("Bacteria"))
    assert said.startswith("Bacteria: not enough by itself. ") and "never light alone" in said


def test_with_no_option_no_treatment_is_promised() -> None:
    made = drawn("pebble-court-3", False, e_coli="present", arsenic="0.03 mg/L")
    for text in both(made):
        assert squeezed(NOBODY) in text and squeezed("Meant to be treated, and") not in text
        assert squeezed("this train does not") not in text.lower() and squeezed("stage of this train") not in text.lower()
    assert squeezed("Nothing here treats it.") in both(made)[0]


# The water ----------------------------------------------------------------------------------------------------------------------


def test_bacteria_and_what_nothing_solves_have_their_figures_in_the_table_of_the_water() -> None:
    rows = {row.what: row for row in seen(offer("surface"))}
    assert "coli present" in rows["Bacteria"].value and rows["Bacteria"].wanted == "none found"
    assert all(row.value for row in rows.values())
    rows = {row.what: row for row in seen(offer("poisoned"))}
    assert rows["Arsenic"].value.endswith("0.031\u202fmg/L") and rows["Arsenic"].wanted == "\u2264\u202f0.01\u202fmg/L"
    assert rows["Nitrate"].value.endswith("14\u202fmg/L") and "blood of infants" in rows["Nitrate"].does.text


def test_a_simulated_year_is_told_in_a_sentence() -> None:
    told = simulated(offer(FIVE))
    assert "water is drawn for " in told and "in every one of them" not in told and told.count("in all of them") <= 1


def test_predicted_concentrations_have_no_more_than_two_decimals() -> None:
    assert beside_limit(0.0945, 0.5, "concentration", "us", "free_chlorine") == "0.09 mg/L"
    assert beside_limit(0.0045, 0.01, "concentration", "us", "arsenic") == "0.0045 mg/L"


# The short form -----------------------------------------------------------------------------------------------------------------


def test_the_short_form_says_what_each_train_is_made_of() -> None:
    text = kept(FIVE)[1]
    for column in offer(FIVE).columns[1:]:
        for result in column.measured.evaluation.stages.values():
            assert squeezed(result.stage.spec.label) in text


def test_terms_stand_on_the_short_form_or_are_named_as_missing() -> None:
    assert squeezed("Holds for 30 days.") in both(drawn("pebble-court-3"), Extras(terms="Holds for 30 days."))[1]
    long = both(drawn("pebble-court-3"), Extras(terms="One line of terms.\n" * 90))[1]
    assert "Onelineofterms." not in long and squeezed("the terms. The full proposal has it") in long


def test_a_logo_drives_nothing_off_the_short_form(tmp_path: Path) -> None:
    Image.new("RGB", (400, 160)).save(tmp_path / "logo.png")
    logo = Extras(read_logo(tmp_path / "logo.png"))
    plain, own = (proposal_job(drawn("pebble-court-3"), extras, LETTER, True) for extras in (NONE, logo))
    assert len(own.pages) == 1 and len(own.pages[0].pictures) == 1
    assert len(own.pages[0].parts) == len(plain.pages[0].parts) and page_text(own, 0) == page_text(plain, 0)
    (shown,) = own.pages[0].pictures
    assert shown.x + shown.width == pytest.approx(LETTER.width - 48.0) and shown.height <= 36.0


# Pages --------------------------------------------------------------------------------------------------------------------------


def test_no_page_holds_the_last_row_of_a_table_alone() -> None:
    flow = Flow(LETTER, "A table")
    rows = [(f"row {number}", "words") for number in range(60)]
    flow.y = 60.0
    set_table(flow, PrintTable(("a", "b"), (1, 1), rows))
    ends = [sum(getattr(item, "text", "").startswith("row ") for item in items) for items in flow._items]
    assert sum(ends) == 60 and ends[-1] >= 3
    for less in range(1, 4):
        again = Flow(LETTER, "A table")
        again.y = 60.0
        set_table(again, PrintTable(("a", "b"), (1, 1), rows[: ends[0] + less]))
        last = sum(getattr(item, "text", "").startswith("row ") for item in again._items[-1])
        assert last >= 3


# The full bill ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quantity", "unit", "us", "metric"),
    [
        # 1 lb is 0.45359237 kg, 1 ft3 0.028316846592 m3, 1 gal 3.785411784 L: NIST SP 811, Appendix B.8
        ("627.045", "lb", "627 lb", "284 kg"), ("4.609", "ft3", "4.61 ft\u00b3", "0.131 m\u00b3"),
        ("27.077", "1000 gal", "27.1 \u00d7 1,000 gal", "102 m\u00b3"), ("1105.192", "kWh", "1,110 kWh", "1,110 kWh"),
        ("2", "each", "2", "2"),
    ],
)  # fmt: skip
def test_quantities_of_the_bill_have_three_digits_in_the_units_of_the_page(quantity: str, unit: str, us: str, metric: str) -> None:
    priced = Priced("part", "Salt", "softener", Decimal(quantity), unit, Decimal("0.35"), "a list")
    told = [_quantity(priced, system).replace("\u202f", " ") for system in ("us", "metric")]
    assert told == [us, metric]
    per = {"each": "0.35", "1000 gal": "0.35 per 1,000 gal", "ft3": "0.35 per ft\u00b3"}
    assert _price(priced).replace("\u202f", " ") == per.get(unit, f"0.35 per {unit}"), "the list's own unit, so that it can be looked up"


def test_what_is_paid_within_the_years_is_told_with_separators_and_what_is_not_due_in_words() -> None:
    writer = Writer(PRICES, 10)
    salt = Priced("use", "Salt", "softener", Decimal(1000), "lb", Decimal("1.50"), "a list")
    assert writer.yearly(salt).working.startswith("1,500.00 \u00d7 10 times in 10 years; at 4 % a year worth 12,")
    assert writer.again(salt, 12 * 365.25).working == "not due within 10 years"
    assert " \u00d7 1 time in 10 years" in writer.again(salt, 7 * 365.25).working


def test_how_grave_a_finding_of_the_raw_water_is_with_trains_is_told_by_the_kinds() -> None:
    made = offer("surface")
    trains = [column.contender for column in made.columns]
    (surface,) = (finding for finding in made.site.findings if finding.cause == "health:surface")
    assert severities(surface, trains) == "fail in the raw water, fail with On the bench, caution with the others"
    assert severities(surface, trains[2:]) == "fail in the raw water, caution with every train"
    assert severities(surface, trains[2:3]) == "fail in the raw water, caution with Least to buy"
    assert severities(surface, trains[:2]) == "fail"


def test_a_finding_stands_with_its_sentences_on_one_page() -> None:
    finding = offer("surface").site.findings[0]
    for y in range(700, 960, 20):
        flow = Flow(LETTER, "A page")
        flow.y = float(y)
        keep_finding(flow, finding)
        before = flow.count
        flow.marked(finding.severity, finding.title)
        set_sentences(flow, finding)
        assert flow.count == before, y


def test_what_is_said_of_light_is_whole_in_a_column_of_the_board() -> None:
    assert all(measure_dejavu(text, 12.0, False) <= 200.0 - 18.0 for text in _SHORT.values())
