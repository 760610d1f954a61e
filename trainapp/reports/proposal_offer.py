"""What a proposal lays before a customer: the water as it is, the train on the bench and the options, each a column of the same rows."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from trainapp.checks.finding import Finding
from trainapp.reports.options_treated import treated_cell
from trainapp.spelling import spelt
from trainapp.studies.cost import PriceList
from trainapp.studies.options import Measured, Obstacle, Proposal, Proposer, SearchCancelled, Site
from trainapp.studies.options.contender import Contender, Kind, left_as_it_is, of_option, on_the_bench, served
from trainapp.studies.options.oxidant import with_oxidant
from trainapp.studies.options.treatments import NeedRule
from trainapp.studies.year import Cancelled as YearCancelled
from trainapp.studies.year import YearError
from trainapp.studies.year.goals import conditions
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document
from trainapp.units import System, typeset

#: What an answer says: it is treated, not enough, not at all, or there is a failure on it so that it does not count.
Verdict = Literal["treated", "short", "stays", "void"]
#: Told how far something is, 0 to 1. / Asked whether it is to be given up.
Told = Callable[[float], object]
Asked = Callable[[], bool]

#: How far the search is when nothing but the simulated year is left.
_SEARCHED = 0.95


@dataclass(frozen=True, slots=True)
class Answer:
    """What one column makes of one thing that the site needs.

    Attributes:
        need: key. complaint: what people see. verdict: see :data:`Verdict`.
        before, after: of the raw water and at the house, adverse end, with unit; "" where it has no number.
        words: the verdict as it is read; it never promises anything. note: more of it, in sentences.
    """

    need: str
    complaint: str
    verdict: Verdict
    before: str
    after: str
    words: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """One thing that can be done.

    Attributes:
        contender: the same that stands on a board of options. parts: place and label of each stage in the order of flow.
        answers: one a need of the site, in the words of the board.
    """

    contender: Contender
    parts: tuple[tuple[str, str], ...]
    answers: tuple[Answer, ...]

    @property
    def kind(self) -> Kind:
        """What it is."""
        return self.contender.kind

    @property
    def name(self) -> str:
        """What it is called."""
        return self.contender.name

    @property
    def reason(self) -> str:
        """Why it is there, one sentence."""
        return self.contender.reason

    @property
    def measured(self) -> Measured:
        """Evaluation, findings, bill and figures, of the whole train and in full."""
        return self.contender.measured

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that is found in it, worst first."""
        return self.measured.findings


@dataclass(frozen=True, slots=True)
class Simulated:
    """What a simulated year without treatment says: title of a condition, hours in which it held, and hours in which water was drawn."""

    title: str
    hours: float
    drawn: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """The document and the price list as they are, where an offer was counted with something else that was supposed."""

    document: Document
    prices: PriceList


@dataclass(frozen=True, slots=True)
class Offer:
    """What is laid before a customer.

    Attributes:
        site: its water, demand and needs. prices, years: what cost was counted with.
        columns: left as it is, on the bench (where a train stands there), options.
        unsolved: findings that no option acts on; they head everything.
        obstacles: what stands in the way where there is no option. unfit: how many pieces of equipment fall short in each option.
        simulated: of the water left as it is. drawn: what it was counted from, where it stood on a board that may suppose something else.
    """

    site: Site
    prices: PriceList
    years: int
    columns: tuple[Column, ...]
    unsolved: tuple[Finding, ...]
    obstacles: tuple[Obstacle, ...]
    unfit: int
    simulated: tuple[Simulated, ...]
    drawn: Drawn | None = None

    @property
    def system(self) -> System:
        """Units of every sentence."""
        return self.site.system

    @property
    def name(self) -> str:
        """Name of the site."""
        return self.site.document.site.word("name") or "This site"

    @property
    def options(self) -> tuple[Column, ...]:
        """The options alone."""
        return tuple(column for column in self.columns if column.kind == "option")

    @property
    def invented(self) -> bool:
        """Whether any price is invented, so that the word illustrative has to stand beside the money."""
        return any(column.measured.bill.invented for column in self.columns)


def find_offer(
    document: Document, prices: PriceList | None = None, years: int | None = None, most: int | None = None, system: System = "us", *,
    catalogue: Catalogue | None = None, progress: Told | None = None, cancelled: Asked | None = None,
) -> Offer:  # fmt: skip
    """Search the options of a document and lay them out.

    Args:
        prices, catalogue: the program's own where none is given. years: those of the list. most: options at the most.
        progress: told how far it is, 0 to 1. cancelled: asked again and again.

    Raises:
        DocumentError: the document cannot be used. SearchCancelled: `cancelled` said so.
    """
    told = progress or (lambda share: None)
    proposer = Proposer(document, catalogue, system)
    proposal = proposer.propose(prices, years, most, progress=lambda share, text: told(_SEARCHED * share), cancelled=cancelled)
    offer = offer_of(proposer, proposal, lived=True, cancelled=cancelled)
    told(1.0)
    return offer


def offer_of(
    proposer: Proposer, proposal: Proposal, contenders: Sequence[Contender] | None = None, *, bench: bool = True,
    drawn: Drawn | None = None, lived: bool = False, cancelled: Asked | None = None,
) -> Offer:  # fmt: skip
    """Lay a proposal out.

    Args:
        proposer: whose answer it is. contenders: options that are kept, in order, under the names they were given, and the water left as
            it is where a year of it was run already; every option that was proposed where None.
        bench: whether the train of the document is shown, too; one without a stage never is.
    """
    site, prices, years = proposer.site, proposal.prices, proposal.years
    given = [of_option(option) for option in proposal.options] if contenders is None else contenders
    left = _lived(_of_kind(given, "left") or left_as_it_is(site, prices, years), prices, cancelled)
    others = []
    if bench and site.document.stages:
        others.append(_of_kind(given, "bench") or on_the_bench(site, prices, years))
    others += [contender for contender in given if contender.kind == "option"]
    shown = [left, *(_lived(other, prices, cancelled) if lived else other for other in others)]
    columns = tuple(column_of(site, contender) for contender in shown)
    return Offer(
        site, prices, years, columns, proposal.unsolved, proposal.obstacles, proposal.unfit, tuple(_simulated(left)), drawn,
    )  # fmt: skip


def _of_kind(given: Sequence[Contender], kind: Kind) -> Contender | None:
    return next((contender for contender in given if contender.kind == kind), None)


def _lived(contender: Contender, prices: PriceList, cancelled: Asked | None) -> Contender:
    """A column with a year of it. A year that cannot be run says nothing."""
    if contender.served is not None:
        return contender
    try:
        return replace(contender, served=served(contender, prices, cancelled))
    except YearCancelled:
        raise SearchCancelled from None
    except YearError:
        return contender


def column_of(site: Site, contender: Contender) -> Column:
    """A column with the parts of its train, and what it makes of each thing that the site needs."""
    document = contender.document
    items = {entry.id: document.item_of(entry) for entry in document.stages}
    parts = tuple(
        (node, with_oxidant((item.word("label") if (item := items.get(node)) is not None else "") or result.stage.spec.label, result.stage))
        for node, result in contender.measured.evaluation.stages.items()
    )
    return Column(contender, parts, tuple(_answers(site, contender)))


def complaint_of(rule: NeedRule) -> str:
    """What people see, spelt as the reader does."""
    return spelt(rule.complaint)


def _answers(site: Site, contender: Contender) -> Iterator[Answer]:
    by_need = {row.need: row for row in contender.treats}
    for need in site.needs:
        told = by_need.get(need.rule.key)
        if told is None:  # counted on a site on which this need was given up
            continue
        cell = treated_cell(site, need, contender)
        verdict: Verdict = "stays"
        if cell.mark in ("ok", "fail"):
            verdict = "treated" if cell.mark == "ok" else "void"
        elif cell.mark == "near":
            verdict = "treated" if told.met else "short"
        yield Answer(need.rule.key, complaint_of(need.rule), verdict, typeset(told.before), typeset(told.after), cell.text, cell.note)


def _simulated(left: Contender) -> Iterator[Simulated]:
    """The hours of a year in which the house would notice its raw water."""
    for condition in conditions():
        hours = left.served.wrong.get(condition.analyte, 0.0) if left.served is not None else 0.0
        if left.served is not None and hours > 0.05:
            yield Simulated(condition.title, hours, left.served.drawn)


__all__ = ["Answer", "Column", "Drawn", "Offer", "Simulated", "column_of", "complaint_of", "find_offer", "offer_of"]
