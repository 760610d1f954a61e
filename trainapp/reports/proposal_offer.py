"""What a proposal lays before a customer: the water as it is, the train on the bench and the options, each a column of the same rows."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from trainapp.checks.finding import Finding
from trainapp.studies.cost import PriceList
from trainapp.studies.options import Measured, Obstacle, Option, Proposal, Proposer, Site
from trainapp.studies.options.site import Need, adverse_end
from trainapp.studies.options.treatments import NeedRule
from trainapp.studies.options.words import PROVE, TEST
from trainapp.studies.year import Options as YearOptions
from trainapp.studies.year import YearError, run
from trainapp.studies.year.judged import conditions
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document
from trainapp.train.zones import HOUSE
from trainapp.units import System, show_against_limit, spelt
from trainapp.water.analytes import BY_KEY

Kind = Literal["left", "bench", "option"]
#: What an answer says: it is treated, not enough, not at all, or there is a failure on it so that it does not count.
Verdict = Literal["treated", "short", "stays", "void"]
#: Told how far something is, 0 to 1. / Asked whether it is to be given up.
Told = Callable[[float], object]
Asked = Callable[[], bool]

LEFT, BENCH = "Left as it is", "On the bench"
_GERMS = "germs"
#: How far the search is when nothing but the simulated year is left.
_SEARCHED = 0.95


@dataclass(frozen=True, slots=True)
class Answer:
    """What one column makes of one thing that the site needs.

    Attributes:
        need: key. complaint: what people see. verdict: see :data:`Verdict`.
        before, after: of the raw water and at the house, adverse end, with unit; "" where it has no number.
        words: the verdict as it is read; it never promises anything.
    """

    need: str
    complaint: str
    verdict: Verdict
    before: str
    after: str
    words: str


@dataclass(frozen=True, slots=True)
class Column:
    """One thing that can be done.

    Attributes:
        key: of an option what it is best by, else "left" or "bench". name, reason: in words.
        measured: evaluation, findings, bill and figures, of the whole train and in full.
        parts: place and label of each stage in the order of flow. answers: one a need of the site.
    """

    key: str
    kind: Kind
    name: str
    reason: str
    measured: Measured
    parts: tuple[tuple[str, str], ...]
    answers: tuple[Answer, ...]

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
class Offer:
    """What is laid before a customer.

    Attributes:
        site: its water, demand and needs. prices, years: what cost was counted with.
        columns: left as it is, on the bench (where a train stands there), options.
        unsolved: findings that no option acts on; they head everything.
        obstacles: what stands in the way where there is no option. unfit: how many pieces of equipment fall short in each option.
        simulated: of the water left as it is.
    """

    site: Site
    prices: PriceList
    years: int
    columns: tuple[Column, ...]
    unsolved: tuple[Finding, ...]
    obstacles: tuple[Obstacle, ...]
    unfit: int
    simulated: tuple[Simulated, ...]

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
        lines = (line for column in self.columns for line in column.measured.bill.lines)
        return any("invented" in line.priced.source or line.priced.source == "catalogue" for line in lines)


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
    offer = offer_of(proposer, proposal)
    told(1.0)
    return offer


def offer_of(proposer: Proposer, proposal: Proposal, options: Sequence[Option] | None = None, *, bench: bool = True) -> Offer:
    """Lay a proposal out.

    Args:
        proposer: whose answer it is. options: those that are kept, in order, under the names they were given; all where None.
        bench: whether the train of the document is shown, too; one without a stage never is.
    """
    site, prices, years = proposer.site, proposal.prices, proposal.years
    columns = [_left(proposer, proposal)]
    if bench and site.document.stages:
        columns.append(bench_column(proposer, prices, years))
    columns += [_option(site, option) for option in (proposal.options if options is None else options)]
    return Offer(
        site, prices, years, tuple(columns), proposal.unsolved, proposal.obstacles, proposal.unfit, tuple(_simulated(site)),
    )  # fmt: skip


def _left(proposer: Proposer, proposal: Proposal) -> Column:
    site = proposer.site
    measured = proposer.measured(site.bare.plan.document, proposal.prices, proposal.years)
    answers = tuple(_stays(site, need) for need in site.needs)
    return Column("left", "left", LEFT, "No treatment: the raw water goes to the house.", measured, (), answers)


def bench_column(proposer: Proposer, prices: PriceList, years: int) -> Column:
    """The train of the document, whatever is found in it."""
    site = proposer.site
    measured = proposer.measured(site.document, prices, years)
    fails = len(measured.fails)
    still = f" It still has {fails} fail{'s' * (fails != 1)} of its own." if fails else ""
    labels = {entry.id: site.document.item_of(entry) for entry in site.document.stages}
    parts = tuple(
        (node, (item.word("label") if (item := labels.get(node)) is not None else "") or result.stage.spec.label)
        for node, result in measured.evaluation.stages.items()
    )
    answers = tuple(_answer(site, need, measured) for need in site.needs)
    return Column("bench", "bench", BENCH, f"The train as it is drawn now.{still}", measured, parts, answers)


def _option(site: Site, option: Option) -> Column:
    answers = tuple(_answer(site, need, option.measured) for need in site.needs)
    return Column(option.key, "option", option.name, option.reason, option.measured, option.parts, answers)


def complaint_of(rule: NeedRule) -> str:
    """What people see, spelt as the reader does."""
    return spelt(rule.complaint)


# Answers ------------------------------------------------------------------------------------------------------------------------


def _stays(site: Site, need: Need) -> Answer:
    before, _ = _figures(site, need, need.value)
    return Answer(need.rule.key, complaint_of(need.rule), "stays", before, before, "stays" if before else "not treated")


def _answer(site: Site, need: Need, measured: Measured) -> Answer:
    rule = need.rule
    if need.value is None or need.limit is None:
        return _unnumbered(site, rule, measured)
    left = adverse_end(rule, measured.evaluation.points[HOUSE].water)
    before, after = _figures(site, need, left)
    if need.is_met(left):
        return Answer(rule.key, complaint_of(rule), "treated", before, after, PROVE)
    if before == after:
        return Answer(rule.key, complaint_of(rule), "stays", before, after, "stays")
    return Answer(rule.key, complaint_of(rule), "short", before, after, f"not enough; {PROVE}")


def _unnumbered(site: Site, rule: NeedRule, measured: Measured) -> Answer:
    """A need without a number: whether a stage stands there that is meant against it, and whether anything fails on it."""
    if not any(_has(site, way.places, measured) for way in rule.ways):
        return Answer(rule.key, complaint_of(rule), "stays", "", "", "not treated")
    if rule.key == _GERMS and measured.fails:
        fails = len(measured.fails)
        return Answer(rule.key, complaint_of(rule), "void", "", "", f"not counted: {fails} fail{'s' * (fails != 1)}")
    if rule.key == _GERMS and "surface" in site.facts:
        return Answer(rule.key, complaint_of(rule), "short", "", "", f"needs licensed design beside it; {TEST}")
    return Answer(rule.key, complaint_of(rule), "treated", "", "", TEST if rule.key == _GERMS else "meant for it")


def _has(site: Site, places: Sequence[str], measured: Measured) -> bool:
    """Whether a train has a stage for each of these places."""
    stages = [result.stage for result in measured.evaluation.stages.values()]
    known = {**site.rules.places, **site.rules.heads}
    wanted = [known[key] for key in places if key in known]
    return all(any(place.takes(stage.spec) and place.fits(stage.spec, stage.settings) for stage in stages) for place in wanted)


def _figures(site: Site, need: Need, left: float | None) -> tuple[str, str]:
    """Of the raw water and of what is left, with unit."""
    if need.value is None or need.limit is None or left is None:
        return "", ""
    dimension, analyte = BY_KEY[need.rule.analyte].dimension, need.rule.analyte
    first, second = (show_against_limit(value, need.limit, dimension, site.system, analyte=analyte) for value in (need.value, left))
    return first, second


def _simulated(site: Site) -> Iterator[Simulated]:
    """The hours of a year in which the house would notice its raw water. A year that cannot be run says nothing."""
    try:
        totals = run(site.bare.plan.document, YearOptions(detail="hour", cuts=())).totals
    except YearError:
        return
    drawn = totals.drawn_hours
    for condition in conditions():
        hours = totals.judged.get(condition.key)
        if hours is not None and hours > 0.05:
            yield Simulated(condition.title, hours, drawn)


__all__ = ["BENCH", "LEFT", "Answer", "Column", "Offer", "Simulated", "bench_column", "complaint_of", "find_offer", "offer_of"]
