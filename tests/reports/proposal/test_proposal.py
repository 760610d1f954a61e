"""The proposal: health first, nothing cut, nothing promised, every line of cost in it, and a short form of one page."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.reports.printing import LONG_SITE, flowed, squeezed, tree_of
from tests.reports.proposal.offers import LONG_OPTION, job, offer, overrun, renamed, sought
from trainapp import units
from trainapp.checks import not_judged, safety
from trainapp.data import load_toml
from trainapp.reports.drawing.display import Box, Text, texts
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS, Paper
from trainapp.reports.proposal import proposal_job, write_proposal
from trainapp.reports.proposal_costs import cost_rows, upkeep_labels
from trainapp.reports.proposal_extras import Extras
from trainapp.reports.proposal_front import NONE
from trainapp.reports.proposal_offer import column_of, offer_of
from trainapp.reports.proposal_rows import comparison
from trainapp.reports.proposal_words import ILLUSTRATIVE, not_included
from trainapp.reports.upkeep import upkeep
from trainapp.spelling import spelt
from trainapp.studies.cost import default_prices
from trainapp.studies.options import Proposer, SearchCancelled
from trainapp.studies.options.contender import of_option, on_the_bench
from trainapp.studies.options.words import TEST
from trainapp.train.document import Document

LETTER, A4 = PAPERS["letter"], PAPERS["a4"]
FIVE = "marzipan-moth-tea-room"

MADE: dict[str, Callable[[], PrintJob]] = {
    **{site: partial(job, site) for site in (FIVE, "poisoned", "surface", "bare")},
    "metric, a4": partial(job, FIVE, "metric", "a4"),
    "long names": lambda: proposal_job(renamed("long", LONG_OPTION), Extras(), LETTER),
    "overrun": lambda: proposal_job(overrun(), Extras(), A4),
    "full bill": lambda: proposal_job(offer(FIVE), Extras(), LETTER, full_bill=True),
    **{f"{site}, short": partial(job, site, short=True) for site in (FIVE, "poisoned", "surface", "bare")},
    "metric, a4, short": partial(job, FIVE, "metric", "a4", True),
    "long names, short": lambda: proposal_job(renamed("long", LONG_OPTION), Extras(), LETTER, True),
    "overrun, short": lambda: proposal_job(overrun(), Extras(), A4, True),
}


@cache
def made(name: str) -> PrintJob:
    return MADE[name]()


def page_text(pages: PrintJob, number: int) -> str:
    """All that stands on a page, without any space."""
    return squeezed(" ".join(text.text for part in pages.pages[number].parts for text, _ in texts(part.display.items)))


def whole_text(pages: PrintJob) -> str:
    return "".join(page_text(pages, number) for number in range(len(pages.pages)))


def overlapping(found: list[tuple[Text, Box]]) -> list[tuple[str, str]]:
    """Pairs of texts that overlap by more than half a pixel; sorted from the top, so that only neighbours are compared."""
    boxes = sorted(((box.grown(-0.5), text.text) for text, box in found), key=lambda pair: pair[0].y)
    met = []
    for i, (box, text) in enumerate(boxes):
        for other, beside in boxes[i + 1 :]:
            if other.y >= box.bottom:
                break
            met += [(text, beside)] if box.meets(other) else []
    return met


@pytest.fixture(scope="module")
def tea(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("proposal") / "tea.pdf"
    write_proposal(offer(FIVE), path, paper=LETTER)
    return path


# On paper ---------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in MADE if name not in ("poisoned", "surface", "bare")])
def test_nothing_is_cut_or_over_another_or_too_small(name: str) -> None:
    for page in made(name).pages:
        for part, found in flowed(PrintJob("", "", (page,))):
            assert overlapping(found) == []
            for text, box in found:
                assert text.size * part.scale * 0.75 > 7.9, text.text
                assert part.x + box.x * part.scale >= 23.0 and part.x + box.right * part.scale <= page.width - 23.0, text.text
                assert part.y + box.y * part.scale >= 23.0 and part.y + box.bottom * part.scale <= page.height - 23.0, text.text


@pytest.mark.parametrize("name", [name for name in MADE if name.endswith("short")])
def test_the_short_form_is_one_page(name: str) -> None:
    assert len(made(name).pages) == 1


def test_no_picture_reaches_over_the_edge_and_all_have_one_scale() -> None:
    pages = next(page for page in made(FIVE).pages if any(mark.text == "The choices, as they will stand" for mark in page.marks))
    pictures = [part for part in pages.parts if part.display.ground == "page" and part.display.height < 300]
    assert len(pictures) == 8, "seven trains and a person"
    assert len({part.scale for part in pictures}) == 1
    assert all(part.x + part.display.width * part.scale <= pages.width - 47.0 for part in pictures)


def test_the_pdf_has_embedded_fonts_bookmarks_and_its_size(tea: Path, tmp_path: Path) -> None:
    reader = PdfReader(tea)
    assert [float(side) for side in reader.pages[0].mediabox[2:]] == [612.0, 792.0]
    for font in reader.pages[0]["/Resources"]["/Font"].values():  # type: ignore[index]
        assert "/FontFile2" in font.get_object()["/FontDescriptor"], "embedded"
    flat = [entry for part in reader.outline for entry in (part if isinstance(part, list) else [part])]
    titles = [str(entry.title) for entry in flat]
    for title in ("Health first", "Side by side", "Least to buy", "What it costs", "Chores", "What is not included", "Safety", "Sources"):
        assert title in titles
    write_proposal(offer(FIVE), tmp_path / "a4.pdf", paper=A4)
    assert [round(float(side), 1) for side in PdfReader(tmp_path / "a4.pdf").pages[0].mediabox[2:]] == [595.3, 841.9]


def test_the_text_of_the_pdf_can_be_read(tea: Path) -> None:
    text = squeezed(" ".join(page.extract_text() for page in PdfReader(tea).pages))
    assert squeezed("Marzipan Moth tea room") in text and squeezed(ILLUSTRATIVE) in text


def test_the_same_offer_gives_the_same_bytes(tea: Path, tmp_path: Path) -> None:
    write_proposal(offer(FIVE), tmp_path / "again.pdf", paper=LETTER)
    assert (tmp_path / "again.pdf").read_bytes() == tea.read_bytes()


def test_long_names_are_whole() -> None:
    text = whole_text(made("long names"))
    assert squeezed(LONG_SITE) in text and squeezed(LONG_OPTION) in text


# What it says -----------------------------------------------------------------------------------------------------------------


def test_what_no_option_solves_stands_whole_on_the_first_page_and_heads_the_comparison() -> None:
    first = page_text(made("poisoned"), 0)
    for finding in offer("poisoned").unsolved:
        assert squeezed(units.typeset(finding.title)) in first and squeezed(units.typeset(finding.message)) in first
    assert squeezed("Not solved by any option here") in first
    sides = next(page_text(made("poisoned"), n) for n, page in enumerate(made("poisoned").pages) if page.width > page.height)
    assert sides.index(squeezed("Arsenic at the house")) < sides.index(squeezed("What it costs"))


@pytest.mark.parametrize("name", ["overrun", "overrun, short"])
def test_many_of_them_are_all_named_on_the_first_page(name: str) -> None:
    first = page_text(made(name), 0)
    unsolved = overrun().unsolved
    assert len(unsolved) == 9
    assert [f.title for f in unsolved if squeezed(units.typeset(f.title)) not in first] == []
    if name == "overrun":
        assert all(squeezed(units.typeset(f.message)) in whole_text(made(name)) for f in unsolved)


@pytest.mark.parametrize("name", ["surface", "surface, short"])
def test_with_e_coli_the_first_thing_said_is_not_to_drink(name: str) -> None:
    first = page_text(made(name), 0)
    assert first.index(squeezed("Do not drink this water now")) < first.index(squeezed("E. coli in the water"))
    assert squeezed("Needs licensed design beside any option") in first


def test_surface_water_is_never_answered_by_light_alone() -> None:
    for column in offer("surface").options:
        germs = next(answer for answer in column.answers if answer.need == "germs")
        assert germs.verdict == "short" and "licensed design" in germs.words


@pytest.mark.parametrize("name", [FIVE, "surface", "poisoned", f"{FIVE}, short", "surface, short"])
def test_nothing_is_promised(name: str) -> None:
    text = " ".join(t.text for page in made(name).pages for part in page.parts for t, _ in texts(part.display.items)).lower()
    for word in ("gone", "guarantee", "approved", "potable", " pass ", "100 %"):
        assert word not in text, word
    # the word "safe" stands only where something is denied
    text = re.sub(r"\s+", " ", text)
    for found in re.finditer(r"\bsafe\b", text):
        before = text[max(found.start() - 60, 0) : found.start()]
        assert "never certifies" in before or "no certificate of" in before, text[found.start() - 60 : found.end()]


def test_what_is_treated_is_to_be_proven() -> None:
    words = {answer.words for column in offer(FIVE).options for answer in column.answers if answer.verdict == "treated"}
    assert words <= {TEST, "UV, test to confirm", "close to its limit, test", "provided for"} and TEST in words
    assert squeezed("What it is meant to treat: prove by test") in whole_text(made(FIVE))


@pytest.mark.parametrize("name", [FIVE, f"{FIVE}, short"])
def test_what_was_not_judged_and_every_caution_of_safety_stand_in_it(name: str) -> None:
    text = whole_text(made(name)).lower()
    for column in offer(FIVE).columns:
        for sentence in safety(column.measured.evaluation):
            assert squeezed(units.typeset(sentence)).lower() in text, sentence
        for told in not_judged(column.measured.evaluation):
            bare = told.removesuffix(" was not measured").removesuffix(" were not measured")
            assert squeezed(spelt(bare)).lower() in text, told


def test_every_fail_and_caution_of_every_column_stands_in_both_forms() -> None:
    for name in ("surface", "surface, short"):
        text = whole_text(made(name))
        for column in offer("surface").columns:
            for finding in column.findings if column.kind != "left" else ():
                if finding.severity != "note":
                    assert squeezed(units.typeset(finding.title)) in text, finding.title


def test_the_raw_water_is_told_with_figures_and_in_plain_words() -> None:
    first = page_text(made(FIVE), 0)
    assert squeezed("Leaves scale in heaters, kettles and on glass") in first and squeezed("Hardness 21\u202fgpg") in first


def test_what_is_not_included_is_told() -> None:
    text = whole_text(made(FIVE))
    told = [said.text for said in not_included(offer(FIVE).columns)]
    assert len(told) >= 7 and all(squeezed(sentence) in text for sentence in told)


def test_only_a_simulated_year_speaks_of_leaving_it_and_says_illustrative() -> None:
    first = page_text(made(FIVE), 0)
    assert (
        squeezed("in a simulated year (illustrative)") in first
        and squeezed("What that may cost, illustrative, stands side by side.") in first
    )


def test_a_clean_site_says_what_was_not_tested_for_health() -> None:
    first = page_text(made("bare"), 0)
    assert squeezed("nothing is over a limit for health") in first and squeezed("Not tested, so nothing is known of it") in first


# Cost -------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", [LETTER, A4])
def test_five_options_are_told_on_ten_pages(paper: Paper) -> None:
    """A customer reads it: one line of cost for each thing that is paid for, every line of the bills only where it is asked for."""
    pages = proposal_job(offer(FIVE), Extras(terms="Offer holds for 30 days."), paper)
    assert len(offer(FIVE).options) == 5 and len(pages.pages) <= 10
    marks = [mark.text for page in pages.pages for mark in page.marks]
    assert "Every line of cost" not in marks
    full = [mark.text for page in made("full bill").pages for mark in page.marks]
    assert [text for text in full if text not in marks] == ["Every line of cost", *(f"Cost: {c.name}" for c in offer(FIVE).columns[1:])]


def test_what_is_paid_for_adds_up_to_the_bill() -> None:
    """Equipment, fittings, labour, the first visit and tax come to what it costs to buy; salt to visits to what a year costs."""
    rows = {row.label: row.cells for row in cost_rows(offer(FIVE))}
    for place, column in enumerate(offer(FIVE).columns[1:], 1):
        bill = column.measured.bill

        def of(label: str, place: int = place) -> float:
            number = rows[label][place].number if label in rows else None
            return number.value if number is not None else 0.0

        bought = ("Equipment", "Fittings", "Labour", "Visit at the start", "Tax")
        assert sum(map(of, bought)) == pytest.approx(float(bill.buy)) == of("To buy")
        assert sum(map(of, (*upkeep_labels(), "Visits"))) == pytest.approx(float(bill.yearly)) == of("Each year")
        assert of("Net present cost, in today's money") == float(bill.own)
        salt = sum(line.yearly for line in bill.lines if line.priced.what == "Salt")
        assert of("Salt") == float(salt) > 0


def test_each_thing_that_upkeep_is_paid_for_has_lines_in_some_bill() -> None:
    items = {row.item for row in default_prices().rows}
    named = [tuple(row["begins"]) for row in load_toml("reports/proposal.toml")["upkeep"]]
    for begins in named:
        parts = any(item[:1].upper() + item[1:] == word for item in items for word in begins)
        assert parts or begins[0] in ("other", "Water to clean ", "Sewer for ", "Power of "), begins


def test_every_chore_is_told_for_each_choice() -> None:
    text = whole_text(made(FIVE))
    for column in offer(FIVE).columns[1:]:
        for task in upkeep(column.measured.evaluation):
            assert squeezed(units.typeset(task.what)) in text and squeezed(task.when) in text


def test_every_line_of_every_bill_stands_in_the_full_bill_and_adds_up() -> None:
    text = whole_text(made("full bill"))
    for column in offer(FIVE).columns:
        bill = column.measured.bill
        for line in bill.lines:
            assert f"{line.present:,.2f}" in text
            assert line.bought or squeezed(line.working) in text
        assert sum(line.present for line in bill.lines) == bill.own
        assert sum(line.due for line in bill.lines if line.bought) == bill.buy


def test_the_sums_of_the_first_page_are_those_of_the_bills() -> None:
    first = page_text(made(FIVE), 0)
    for column in offer(FIVE).options:
        assert f"{column.measured.bill.buy:,.0f}" in first and f"{column.measured.bill.own:,.0f}" in first


# Columns ----------------------------------------------------------------------------------------------------------------------


def test_columns_are_left_as_it_is_the_bench_and_the_options() -> None:
    assert [column.kind for column in offer(FIVE).columns] == ["left", "bench", *["option"] * 5]
    assert [column.kind for column in offer("bare").columns][:2] == ["left", "option"], "an empty bench is no column"
    left = offer(FIVE).columns[0]
    assert left.measured.bill.buy == 0 and all(answer.verdict == "stays" for answer in left.answers)


def test_a_chamber_with_a_fail_counts_for_nothing() -> None:
    """A chamber that is rated for clearer water than it gets is not said to treat germs."""
    tree = tree_of(FIVE)
    chamber = next(stage for stage in tree["stages"] if stage["kind"] == "uv_chamber")
    chamber.setdefault("settings", {})["rated_uvt"] = "99 %/cm"
    proposer = Proposer(Document.of(tree))
    bench = column_of(proposer.site, on_the_bench(proposer.site, default_prices(), 10))
    assert bench.measured.fails and "still has" in bench.reason
    germs = next(answer for answer in bench.answers if answer.need == "germs")
    assert germs.verdict == "void" and germs.words.startswith("not counted:")


def test_where_there_is_no_option_both_forms_say_what_stands_in_the_way() -> None:
    """A flat on a weak main that wants more pressure than the main has."""
    made = offer("too much")
    assert not made.options and made.obstacles
    for short in (False, True):
        text = whole_text(proposal_job(made, Extras(), LETTER, short))
        assert squeezed(NONE) in text
        assert all(squeezed(units.typeset(obstacle.sentence)) in text for obstacle in made.obstacles)


def test_where_nothing_is_needed_nothing_is_proposed() -> None:
    made = offer("soft")
    assert not made.options and not made.site.asks
    assert squeezed("Nothing here asks for treatment.") in page_text(proposal_job(made, Extras(), LETTER), 0)
    assert len(proposal_job(made, Extras(), LETTER, True).pages) == 1


def test_more_options_than_a_page_is_wide_go_on_on_the_next() -> None:
    proposer, proposal = sought(FIVE)
    options = [of_option(option.renamed(f"{option.name} {i}")) for i in range(3) for option in proposal.options][:12]
    pages = proposal_job(offer_of(proposer, proposal, options), Extras(), A4)
    lying = [n for n, page in enumerate(pages.pages) if page.width > page.height]
    assert len(lying) == 6, "side by side, cost and chores, each on two"
    told = [squeezed(option.name) for option in options]
    assert all(sum(page_text(pages, n).count(name) for n in lying) >= 3 for name in told)


def test_money_a_volume_is_in_the_units_of_the_page() -> None:
    """7.85 for 1,000 gallons, 3.785 m3, is 2.07 for one: NIST SP 811, Appendix B.8."""
    us, metric = (
        next(row for row in comparison(offer(FIVE, system)) if row.label.startswith("Cost to own")) for system in ("us", "metric")
    )
    assert us.label.endswith("1,000 gallons used") and metric.label.endswith(spelt("a cubic metre used"))
    for gallons, cubic in zip(us.cells[1:], metric.cells[1:], strict=True):
        assert gallons.number and cubic.number and cubic.number.value == pytest.approx(gallons.number.value / 3.785411784, abs=0.01)


def test_it_can_be_given_up(tmp_path: Path) -> None:
    with pytest.raises(SearchCancelled):
        write_proposal(offer(FIVE), tmp_path / "never.pdf", paper=LETTER, cancelled=lambda: True)
    assert list(tmp_path.iterdir()) == []


def test_progress_is_told_from_nothing_to_all() -> None:
    shares: list[float] = []
    proposal_job(offer("bare"), Extras(), LETTER, progress=shares.append)
    assert shares[0] == 0.0 and shares[-1] == 1.0 and shares == sorted(shares)


def test_no_day_is_written_into_it() -> None:
    """The same offer is the same proposal on any day."""
    assert datetime.date.today().isoformat() not in whole_text(made(FIVE))
