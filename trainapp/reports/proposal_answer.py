"""What `trainapp report --kind proposal` does: files read, options sought, the proposal written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from pathlib import Path

from trainapp.reports.calendar import day_of
from trainapp.reports.export_file import ExportError, check_target
from trainapp.reports.print_paper import Paper
from trainapp.reports.proposal import write_proposal
from trainapp.reports.proposal_extras import Extras, read_logo, read_terms
from trainapp.reports.proposal_offer import find_offer
from trainapp.studies.cost import PriceError, default_prices, read_prices
from trainapp.train.document import DocumentError, load
from trainapp.units import System


@dataclass(frozen=True, slots=True)
class Asked:
    """The words of the command; see its help."""

    short: bool = False
    logo: Path | None = None
    terms: Path | None = None
    prices: Path | None = None
    years: int | None = None
    most: int = 5
    full_bill: bool = False
    day: str = ""

    @property
    def given(self) -> list[str]:
        """The options that were given, as they are typed."""
        names = {"day": "--date"}
        told = (field for field in fields(self) if getattr(self, field.name) != field.default)
        return [names.get(field.name, f"--{field.name.replace('_', '-')}") for field in told]


def propose_into(file: Path, out: Path, asked: Asked, system: System, paper: Paper, told: Callable[[float], object]) -> None:
    """Write the proposal of a document. What can be refused is refused before the search.

    Raises:
        ExportError: one of the files cannot be used, or the proposal cannot be written; one sentence.
    """
    try:
        check_target(out, (".pdf",), "a report")
        if asked.short and asked.full_bill:
            raise ExportError("--full-bill: the short form is one page and has no room for it; leave out one of both")
        extras = Extras(
            read_logo(asked.logo) if asked.logo is not None else None, read_terms(asked.terms) if asked.terms is not None else "",
            day_of(asked.day, "--date"),
        )  # fmt: skip
        prices = default_prices() if asked.prices is None else read_prices(asked.prices)
        offer = find_offer(load(file), prices, asked.years, asked.most, system, progress=told)
    except (DocumentError, PriceError) as error:
        raise ExportError(str(error)) from None
    write_proposal(offer, out, extras, paper=paper, short=asked.short, full_bill=asked.full_bill)


__all__ = ["Asked", "propose_into"]
