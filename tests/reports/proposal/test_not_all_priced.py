"""A sum in which something without a price is missing never stands alone, wherever it is shown."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from tests.reports.drawing_checks import meetings
from tests.reports.proposal.offers import offer, sought
from trainapp.reports.drawing.display import Display, Text, texts
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.side_by_side import Look, cell
from trainapp.reports.options_cells import ILLUSTRATIVE, Bar, Cell
from trainapp.reports.options_json import options_json
from trainapp.reports.options_rows import cost_rows
from trainapp.reports.options_text import options_lines
from trainapp.reports.print_paper import PAPERS
from trainapp.reports.proposal import proposal_job
from trainapp.reports.proposal_extras import Extras
from trainapp.reports.proposal_offer import Column, Offer
from trainapp.reports.proposal_rows import UNPRICED, comparison
from trainapp.reports.proposal_table import sides_table
from trainapp.studies.cost import Bill
from trainapp.studies.cost.lines import NOT_ALL, Line
from trainapp.studies.options import Proposal

SITE = "pebble-court-3"
_NOTHING: dict[str, Any] = {"total": 0, "tax": 0, "present": 0, "yearly": 0}


def lacking(bill: Bill, section: str = "equipment") -> Bill:
    """The bill, where the list has no price for anything of a section."""

    def bare(line: Line) -> Line:
        return replace(line, priced=replace(line.priced, price=None), **_NOTHING) if line.priced.section == section else line

    return replace(bill, lines=tuple(map(bare, bill.lines)))


def _bare(column: Column) -> Column:
    measured = replace(column.measured, bill=lacking(column.measured.bill))
    return replace(column, contender=replace(column.contender, measured=measured)) if column.kind == "bench" else column


@cache
def partly() -> Offer:
    """An offer whose train on the bench has equipment without a price."""
    whole = offer(SITE)
    return replace(whole, columns=tuple(map(_bare, whole.columns)))


def bench() -> int:
    return next(place for place, column in enumerate(partly().columns) if column.kind == "bench")


def test_what_is_missing_is_told_of_the_sums_that_it_is_missing_in() -> None:
    whole = offer(SITE).columns[bench()].measured.bill
    assert whole.missing() == whole.unpriced == ()
    once, later = lacking(whole), lacking(whole, "part")
    assert once.missing(later=False) == once.missing() != () and once.missing(once=False) == ()
    assert later.missing(once=False) == later.missing() != () and later.missing(later=False) == ()


def test_the_board_says_it_in_words_beside_the_sum() -> None:
    rows = {row.key: row for row in cost_rows([c.contender for c in partly().columns], partly().prices, 10)}
    told = rows["buy"].cells[bench()]
    assert (told.mark, told.word, told.best) == ("unknown", NOT_ALL, False) and "not counted" in told.note
    assert NOT_ALL in rows["own"].cells[bench()].word and rows["month"].cells[bench()].word == ""
    assert not any(cell.word for place, cell in enumerate(rows["buy"].cells) if place != bench())
    drawn = [t.text for t, _ in texts(cell(told, 220.0, 32.0, Look(), measure_dejavu))]
    assert NOT_ALL in drawn and told.text in drawn


@pytest.mark.parametrize("width", [134.0, 160.0, 220.0])
@pytest.mark.parametrize("word", [NOT_ALL, f"{ILLUSTRATIVE}, {NOT_ALL}"])
def test_the_words_meet_no_figure_in_a_narrow_column(word: str, width: float) -> None:
    shown = Cell("$11,000\u201314,000", "unknown", Bar(0.5, 0.7), word=word, value=11000.0, to=14000.0)
    drawn = Display(width, 34.0, cell(shown, width, 34.0, Look(figures=0.56 * width), measure_dejavu))
    assert meetings(drawn, measure_dejavu) == []


def test_the_comparison_and_its_files_say_it_and_what_is_missing() -> None:
    shown = {row.label: row.cells[bench()] for row in comparison(partly())}
    sums = [text for label, cell in shown.items() if NOT_ALL in (text := cell.text) and label]
    assert len(sums) == 3  # to buy, over the years, for a volume
    assert "Carbon bed" in shown[UNPRICED].text
    table = sides_table(partly())
    buy = next(row for row in table.rows if row[1] == "To buy, fitted")[3 + bench()]
    assert NOT_ALL in str(getattr(buy, "text", buy))
    assert UNPRICED not in {row.label for row in comparison(offer(SITE))}


def test_the_proposal_and_its_short_form_say_it() -> None:
    for short, least in ((False, 6), (True, 2)):
        job = proposal_job(partly(), Extras(), PAPERS["a4"], short)
        found: list[Text] = [t for page in job.pages for part in page.parts for t, _ in texts(part.display.items)]
        told = " ".join(t.text for t in found)
        assert told.count("priced") >= least and UNPRICED in told


def test_the_answer_at_the_prompt_says_it() -> None:
    _, proposal = sought(SITE)
    first, *rest = proposal.options
    bare = replace(first, measured=replace(first.measured, bill=lacking(first.bill)))
    changed: Proposal = replace(proposal, options=(bare, *rest))
    lines = list(options_lines(changed))
    assert sum(NOT_ALL in line for line in lines) == 3 and any("without a price, and in no sum" in line for line in lines)
    answer = options_json(changed)["options"]
    assert set(answer[0]["not_all_priced"]) == {"buy", "own", "per_1000_gal"}
    assert all("not_all_priced" not in option for option in answer[1:])
    assert not any(NOT_ALL in line for line in options_lines(proposal))  # priced to the last line
