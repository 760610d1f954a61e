"""What the Hand-over view asks of its thread, and what it answers: plain data both ways, no object of Qt's."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from trainapp.desktop.background import Cancelled, Progress
from trainapp.desktop.catalogues import with_own
from trainapp.reports.export_file import ExportError
from trainapp.reports.handover import Papers, kind_of, pages_of, write_paper
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper
from trainapp.reports.proposal_extras import Extras, read_logo, read_terms
from trainapp.reports.proposal_offer import Offer, find_offer
from trainapp.reports.upkeep_log import start_up
from trainapp.studies.cost import PriceError, default_prices, read_prices
from trainapp.train.document import Document
from trainapp.train.model import ItemRow
from trainapp.units import System

#: Of a paper with options, how much of the work the search is.
_SEARCH = 0.9


@dataclass(frozen=True, slots=True)
class Files:
    """Files of the dealer's own: logo, terms, price list; None for none."""

    logo: Path | None = None
    terms: Path | None = None
    prices: Path | None = None


@dataclass(frozen=True, slots=True)
class Ask:
    """One question: the pages of a paper to be shown, or files to be written.

    Attributes:
        key: of the paper that is shown. into: papers to be written with their files; empty to show pages.
        own: the user's own items. today: from which upkeep is counted.
    """

    key: str
    document: Document
    system: System
    paper: Paper
    files: Files
    today: datetime.date
    own: Mapping[str, ItemRow] = field(default_factory=dict)
    into: tuple[tuple[str, Path], ...] = ()
    progress: Progress = field(default_factory=Progress)


@dataclass(frozen=True, slots=True)
class Shown:
    """The pages of a paper."""

    key: str
    job: PrintJob


@dataclass(frozen=True, slots=True)
class Written:
    """Files that were written."""

    paths: tuple[Path, ...]


class Maker:
    """Makes papers. The last search is kept: another paper of the same train costs none."""

    def __init__(self) -> None:
        self._found: tuple[object, Offer] | None = None

    def __call__(self, ask: Ask, cancelled: Cancelled) -> Shown | Written:
        """The answer.

        Raises:
            ExportError, DocumentError: one sentence. SearchCancelled: nobody waits any more.
        """
        keys = [key for key, _ in ask.into] or [ask.key]
        offer = self._offer(ask, cancelled) if any(kind_of(key).offer for key in keys) else None
        papers = Papers.of(ask.document, ask.system, ask.paper, ask.today, start_up(ask.document), _extras(ask, keys), offer)
        if not ask.into:
            return Shown(ask.key, pages_of(ask.key, papers, cancelled=cancelled))
        for done, (key, path) in enumerate(ask.into):
            ask.progress.tell(_SEARCH + (1 - _SEARCH) * done / len(ask.into))
            write_paper(key, papers, path, cancelled=cancelled)
        return Written(tuple(path for _, path in ask.into))

    def _offer(self, ask: Ask, cancelled: Cancelled) -> Offer:
        """The options, sought anew only where what they depend on is another."""
        tree = {key: value for key, value in ask.document.tree.items() if key != "log"}
        try:
            prices = default_prices() if ask.files.prices is None else read_prices(ask.files.prices)
        except PriceError as error:
            raise ExportError(str(error)) from None
        asked = (tree, ask.system, prices, dict(ask.own))
        if self._found is None or self._found[0] != asked:
            told = ask.progress
            offer = find_offer(
                ask.document, prices, system=ask.system, catalogue=with_own(ask.own),
                progress=lambda share: told.tell(_SEARCH * share), cancelled=cancelled,
            )  # fmt: skip
            self._found = asked, offer
        return self._found[1]


def _extras(ask: Ask, keys: list[str]) -> Extras:
    """Logo and terms, read where a paper shows them."""
    if not any(key in ("proposal", "short") for key in keys):
        return Extras()
    logo, terms = ask.files.logo, ask.files.terms
    return Extras(read_logo(logo) if logo is not None else None, read_terms(terms) if terms is not None else "")


__all__ = ["Ask", "Files", "Maker", "Shown", "Written"]
