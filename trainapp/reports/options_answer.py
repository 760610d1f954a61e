"""What `trainapp options` answers: files read, trains sought, lines to print."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from trainapp.reports.export_file import ExportError, check_target
from trainapp.reports.json_text import json_text
from trainapp.reports.options_json import options_json
from trainapp.reports.options_text import options_lines
from trainapp.reports.proposal_offer import offer_of
from trainapp.reports.proposal_table import ENDINGS, write_comparison
from trainapp.studies.cost import PriceError, default_prices, read_prices
from trainapp.studies.options import Proposal, Proposer
from trainapp.train.catalogue import Catalogue, CatalogueError
from trainapp.train.document import DocumentError, load
from trainapp.units import System


class AnswerError(ValueError):
    """An input cannot be used; one sentence that names the place."""


def answer(
    file: Path, most: int, prices: Path | None, catalogue: Path | None, years: int | None, system: System, as_json: bool,
    told: Callable[[float], object], table: Path | None = None,
) -> tuple[list[str], bool]:  # fmt: skip
    """Lines to print, and whether there is no option, or a failure in each that nothing here solves.

    Args:
        most: options at the most. prices, catalogue: files of the user's own. told: how far it is, 0 to 1.
        table: a workbook or CSV that gets the comparison.

    Raises:
        AnswerError: one of the files cannot be used.
    """
    try:
        listed = default_prices() if prices is None else read_prices(prices)
        known = Catalogue.load() if catalogue is None else Catalogue.load(catalogue)
        if table is not None:
            check_target(table, ENDINGS, "a comparison")
        proposer = Proposer(load(file), known, system)
        proposal = proposer.propose(listed, years, most, progress=lambda share, text: told(share))
        if table is not None:
            write_comparison(offer_of(proposer, proposal, lived=True), table)
    except (DocumentError, ExportError, PriceError, CatalogueError) as error:
        raise AnswerError(str(error)) from None
    return _lines(proposal, as_json), _is_failing(proposal)


def _lines(proposal: Proposal, as_json: bool) -> list[str]:
    if not as_json:
        return list(options_lines(proposal))
    return [json_text(options_json(proposal))]


def _is_failing(proposal: Proposal) -> bool:
    if not proposal.options:
        return bool(proposal.site.asks or proposal.site.beyond) or any(f.severity == "fail" for f in proposal.unsolved)
    return any(f.severity == "fail" for option in proposal.options for f in option.findings)


__all__ = ["AnswerError", "answer"]
