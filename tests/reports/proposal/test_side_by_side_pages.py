"""Grids of a proposal on their pages: rows that belong together stay so, and none is left alone on a page."""

from __future__ import annotations

import pytest

from tests.reports.proposal.offers import offer
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_paper import PAPERS
from trainapp.reports.proposal_rows import Cell, Row
from trainapp.reports.proposal_sides import keep_grid, set_grid

SITE = "pebble-court-3"
#: Rows of one line, under one heading, that a page of A4 that lies holds at the usual pitch.
FULL = 30


def pages(count: int, section: int = 0) -> list[list[str]]:
    """Words at the left of each page of a grid of so many rows, the last `section` of them under a second heading."""
    columns = range(len(offer(SITE).columns))
    rows = [Row("first" if n < count - section else "second", f"row {n}", "", tuple(Cell("x") for _ in columns)) for n in range(count)]
    flow = Flow(PAPERS["a4"].turned, "a grid")
    flow.heading("A grid")
    set_grid(flow, offer(SITE), rows, columns)
    return [[t.text for t in items if hasattr(t, "text") and t.text.startswith(("row", "first", "second"))] for items in flow._items]


def rows_of(page: list[str]) -> int:
    return sum(text.startswith("row") for text in page)


def test_a_few_rows_too_many_stand_closer_on_one_page() -> None:
    (page,) = pages(FULL)
    assert rows_of(page) == FULL
    (page,) = pages(FULL + 4)
    assert rows_of(page) == FULL + 4


@pytest.mark.parametrize("count", range(60, 68))
def test_no_row_is_left_alone_on_the_last_page(count: int) -> None:
    found = pages(count)
    assert sum(map(rows_of, found)) == count
    assert rows_of(found[-1]) >= 3 and found[-1][0] == "first, continued"


@pytest.mark.parametrize("section", [4, 10])
@pytest.mark.parametrize("count", range(36, 44))
def test_a_heading_goes_over_with_its_rows(count: int, section: int) -> None:
    for page in pages(count, section):
        heading = page.index("second") if "second" in page else None
        assert heading is None or len(page) > heading + 2


@pytest.mark.parametrize(("used", "turned"), [(0.0, False), (0.3, False), (0.6, True)])
def test_a_grid_that_a_new_page_holds_whole_begins_on_one(used: float, turned: bool) -> None:
    """But for a page that is hardly begun: nothing is left as empty as that."""
    columns = range(len(offer(SITE).columns))
    rows = [Row("first", f"row {n}", "", tuple(Cell("x") for _ in columns)) for n in range(FULL)]
    flow = Flow(PAPERS["a4"].turned, "a grid")
    flow.new_page()
    flow.y += used * flow.whole
    keep_grid(flow, offer(SITE), rows, columns, above=40.0)
    assert (flow.count == 3) == turned
