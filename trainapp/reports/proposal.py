"""The proposal: a document that a customer keeps. Their water, what could be done, what it costs and asks, and what it does not do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from trainapp.reports.drawing.page import gathered
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.print_bench import set_sources
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper, paper_here
from trainapp.reports.print_pdf import write_pages
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_table import PrintTable, set_table
from trainapp.reports.proposal_bills import set_bills
from trainapp.reports.proposal_costs import set_costs
from trainapp.reports.proposal_extras import Extras
from trainapp.reports.proposal_front import set_front, set_measured, set_shared
from trainapp.reports.proposal_offer import Asked, Offer, Told
from trainapp.reports.proposal_options import set_column, set_pictures
from trainapp.reports.proposal_rows import comparison
from trainapp.reports.proposal_short import short_form
from trainapp.reports.proposal_sides import set_sides
from trainapp.reports.proposal_words import not_included, safety_of, unjudged
from trainapp.studies.options import SearchCancelled

_NONE = Extras()
#: Room that is kept for what was not judged, so that most of it stands together.
_UNJUDGED = 120.0


def write_proposal(
    offer: Offer, path: str | Path, extras: Extras = _NONE, *, paper: Paper | None = None, short: bool = False,
    full_bill: bool = False, progress: Told | None = None, cancelled: Asked | None = None,
) -> None:  # fmt: skip
    """Write a proposal as a PDF; the file is whole or is not touched.

    Args:
        offer: what is laid before the customer.
        path: a name that ends in .pdf.
        extras: the dealer's own logo and terms. paper: by default that of this machine's locale.
        short: the short form, one page. full_bill: every line of every bill, behind all else.
        progress: told how far it is, 0 to 1. cancelled: asked again and again.

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence.
        SearchCancelled: `cancelled` said so; nothing was written.
    """
    sheet = paper or paper_here(offer.system)
    write_pages(path, "a report", lambda: proposal_job(offer, extras, sheet, short, full_bill, progress=progress, cancelled=cancelled))


def proposal_job(
    offer: Offer, extras: Extras, paper: Paper, short: bool = False, full_bill: bool = False, *,
    progress: Told | None = None, cancelled: Asked | None = None,
) -> PrintJob:  # fmt: skip
    """The pages of a proposal, all of it or its short form; every line of cost only where the full bill is asked for.

    Raises:
        SearchCancelled: `cancelled` said so.
    """
    if short:
        return short_form(offer, extras, paper)
    return _Proposal(offer, extras, paper, full_bill).job(progress or (lambda share: None), cancelled or (lambda: False))


class _Proposal:
    """Sets one proposal."""

    def __init__(self, offer: Offer, extras: Extras, paper: Paper, full_bill: bool) -> None:
        self.offer, self.extras, self.paper, self.full_bill = offer, extras, paper, full_bill
        self.citations = Citations()
        self.flow = Flow(paper, f"{offer.name}: proposal")

    def job(self, progress: Told, cancelled: Asked) -> PrintJob:
        steps: list[Callable[[], None]] = [self.front, self.pictures, self.sides, self.costs, self.shared]
        steps += [self.column(place) for place in range(len(self.offer.columns))]
        steps += [self.limits, self.terms, *([self.bills] if self.full_bill else []), self.sources]
        for done, step in enumerate(steps):
            if cancelled():
                raise SearchCancelled
            progress(done / len(steps))
            step()
        progress(1.0)
        return self.flow.finish(f"{self.offer.name}: proposal", "What could be done about this water, what it costs and what it asks")

    def front(self) -> None:
        set_front(self.flow, self.offer, self.extras, self.citations)

    def pictures(self) -> None:
        set_pictures(self.flow, self.offer)

    def sides(self) -> None:
        self.flow.new_page(self.paper.turned)
        set_sides(self.flow, self.offer, comparison(self.offer))

    def costs(self) -> None:
        set_costs(self.flow, self.offer, self.citations)

    def shared(self) -> None:
        self.flow.new_page(self.paper)
        set_shared(self.flow, self.offer, self.citations)

    def column(self, place: int) -> Callable[[], None]:
        def step() -> None:
            column = self.offer.columns[place]
            if column.kind != "left":
                set_column(self.flow, self.offer, column, self.citations)

        return step

    # What holds for all -------------------------------------------------------------------------------------------------------

    def limits(self) -> None:
        """What is not included, what was measured, what was not judged, and Safety."""
        flow, columns = self.flow, self.offer.columns
        flow.heading("What is not included")
        flow.points([self.cited(said.text, said.source, said.status) for said in not_included(columns)])
        set_measured(flow, self.offer, self.citations)
        flow.heading("Not judged", keep=_UNJUDGED)
        flow.text(" ".join(gathered(unjudged(columns))), token="ink2")
        flow.safety(safety_of(columns))

    def cited(self, text: str, source: str, status: str) -> str:
        return f"{text} [{self.citations.number(source, status)}]"

    def bills(self) -> None:
        self.flow.new_page(self.paper.turned)
        set_bills(self.flow, self.offer, self.citations)
        self.flow.new_page(self.paper)

    def sources(self) -> None:
        set_sources(self.flow, self.citations)

    def terms(self) -> None:
        """The dealer's terms as they were written, and lines to sign on."""
        flow = self.flow
        if self.extras.terms:
            flow.heading("Terms")
            for line in self.extras.terms.splitlines():
                if line.strip():
                    flow.text(line, size=CAPTION)
                else:
                    flow.skip(6.0)
        flow.heading("Chosen", keep=90.0)
        blank = ("option", "", "date", ""), ("customer", "", "dealer", "")
        set_table(flow, PrintTable(("", "", "", ""), (12, 43, 10, 35), blank, bold=frozenset({0, 2}), lines=2))


__all__ = ["Extras", "proposal_job", "write_proposal"]
