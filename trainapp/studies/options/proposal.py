"""Proposing trains: search, pick, check each pick in full, and say what else was looked at."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trainapp.checks.finding import Finding
from trainapp.studies.cost import Bill, PriceList, default_prices
from trainapp.studies.options.criteria import criterion, index_of, steps_of
from trainapp.studies.options.layouts import Layouts
from trainapp.studies.options.measure import Measured, measure
from trainapp.studies.options.obstacles import Obstacle, beyond_obstacles, obstacles, room_obstacles
from trainapp.studies.options.picks import Pick, picks
from trainapp.studies.options.reach import out_of_reach
from trainapp.studies.options.search import Cancelled, Progress, Search, SearchCancelled
from trainapp.studies.options.site import Site
from trainapp.studies.options.trains import Tally, Train
from trainapp.studies.options.words import LeftOut, Treated, left_out, reason, treated, untied
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan
from trainapp.units import System


@dataclass(frozen=True, slots=True)
class Option:
    """One option.

    Attributes:
        key, name, also: what it is best by, what that is called, and names of all else that it is best by.
        reason: one sentence. document: the train, to be opened on the bench.
        measured: evaluation, findings, bill and figures, of the whole train and in full.
        treats: what it makes of what the site needs.
        parts: place and label of each stage in the order of flow.
    """

    key: str
    name: str
    also: tuple[str, ...]
    reason: str
    document: Document
    measured: Measured
    treats: tuple[Treated, ...]
    parts: tuple[tuple[str, str], ...]

    @property
    def bill(self) -> Bill:
        """What it costs."""
        return self.measured.bill

    @property
    def evaluation(self) -> Evaluation:
        """Every number about it."""
        return self.measured.evaluation

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that is found in it."""
        return self.measured.findings

    def value(self, key: str) -> float:
        """Its figure by one criterion."""
        return self.measured.values[index_of(key)]

    def renamed(self, name: str) -> Option:
        """The same under another name."""
        return replace(self, name=name)


@dataclass(frozen=True, slots=True)
class Proposal:
    """The answer.

    Attributes:
        site: what was searched for. prices, years: what cost was counted with.
        options: three to five, or as many as differ. front: every train that no other beats.
        unsolved: findings of the raw water and the site that no option acts on: they head every option.
        left_out: what is not among the options, and why. obstacles: what stands in the way: the room, where no
            train stands in it, and all else where there is no option.
        tally: how many trains there are and were judged. unfit: how many pieces of equipment every train has at the least that fall short.
    """

    site: Site
    prices: PriceList
    years: int
    options: tuple[Option, ...]
    front: tuple[Train, ...]
    unsolved: tuple[Finding, ...]
    left_out: tuple[LeftOut, ...]
    obstacles: tuple[Obstacle, ...]
    tally: Tally
    unfit: int

    @property
    def nothing_needed(self) -> bool:
        """Whether the water and the site ask for nothing: what no option here can solve asks, too."""
        return not self.site.asks and not self.unsolved

    @property
    def nothing_treats(self) -> bool:
        """Whether all that is wrong is what nothing in this program treats."""
        return not self.site.asks and bool(self.unsolved)


class Proposer:
    """Proposes trains for one document. Asked again with other prices or years, it does not run the stages a second time."""

    def __init__(self, document: Document, catalogue: Catalogue | None = None, system: System = "us") -> None:
        self.site = Site(document, catalogue, system)
        self._layouts = Layouts(self.site)
        self._search: Search | None = None

    def propose(
        self,
        prices: PriceList | None = None,
        years: int | None = None,
        most: int | None = None,
        *,
        progress: Progress | None = None,
        cancelled: Cancelled | None = None,
    ) -> Proposal:
        """Options for this site.

        Args:
            prices: the program's own list, which is invented, where none is given. years: those of the list where none are given.
            most: how many options at the most.
            progress: told how far it is (0 to 1) and at which places of a train. cancelled: asked again and again.

        Raises:
            SearchCancelled: `cancelled` said so.
            DocumentError: the document cannot be used.
        """
        prices = prices or default_prices()
        years = years or prices.years
        search = self._searching(progress, cancelled)
        found, tally = search.trains(prices, years) if self.site.asks else ([], Tally())
        options, found = self._options(found, prices, years, most)
        ways: tuple[Obstacle, ...] = ()
        if self.site.asks and not options:
            ways = tuple(obstacles(self.site, search.layouts, tally, lambda doc: self._finds(doc, prices, years)))
        return Proposal(
            site=self.site,
            prices=prices,
            years=years,
            options=tuple(options),
            front=tuple(found),
            unsolved=self.site.unsolved,
            left_out=tuple(left_out(self.site, self._layouts, search.layouts, tally, len(found))),
            obstacles=(*beyond_obstacles(self.site, self._layouts), *room_obstacles(self.site, search.layouts), *ways),
            tally=tally,
            unfit=min((train.unfit for train in found), default=0),
        )

    def measured(self, document: Document, prices: PriceList | None = None, years: int | None = None) -> Measured:
        """The same figures for any train on this site, such as the one on the bench."""
        return measure(self.site, evaluate(open_plan(document)), prices or default_prices(), years)

    def _searching(self, progress: Progress | None, cancelled: Cancelled | None) -> Search:
        if self._search is None:
            self._search = self._begun(progress, cancelled)
            gone = out_of_reach(self._search)
            if gone:
                self.site = self.site.giving_up(gone)
                self._layouts = Layouts(self.site)
                self._search = self._begun(progress, cancelled)
        return self._told(self._search, progress, cancelled)

    def _begun(self, progress: Progress | None, cancelled: Cancelled | None) -> Search:
        return self._told(Search(self.site, self._layouts.all() if self.site.asks else []), progress, cancelled)

    @staticmethod
    def _told(search: Search, progress: Progress | None, cancelled: Cancelled | None) -> Search:
        search.progress = progress or (lambda share, text: None)
        search.cancelled = cancelled or (lambda: False)
        return search

    def _options(self, found: list[Train], prices: PriceList, years: int, most: int | None) -> tuple[list[Option], list[Train]]:
        """Picks that stand up to the full check, and the trains left: where one does not, it is picked again without it."""
        while True:
            chosen = picks(found, most)
            checked = [self.measured(pick.train.document, prices, years) for pick in chosen]
            wrong = [pick.train for pick, full in zip(chosen, checked, strict=True) if not _agrees(pick.train, full)]
            if not wrong:
                chosen = [untied(pick, chosen, prices.currency, self.site.system) for pick in chosen]
                first = chosen[0] if chosen else None
                pairs = zip(chosen, checked, strict=True)
                return [self._option(pick, first, full, years) for pick, full in pairs if first is not None], found
            found = [train for train in found if not any(train is other for other in wrong)]

    def _option(self, pick: Pick, first: Pick, full: Measured, years: int) -> Option:
        stages = [*pick.train.layout.heads, *pick.train.choices]
        return Option(
            key=pick.key,
            name=criterion(pick.key).name,
            also=tuple(criterion(key).name for key in pick.also),
            reason=reason(pick, first, full.bill, years, self.site.system),
            document=full.evaluation.plan.document,
            measured=full,
            treats=tuple(treated(self.site, full.evaluation)),
            parts=tuple((choice.place, choice.label) for choice in stages),
        )

    def _finds(self, document: Document, prices: PriceList, years: int) -> bool:
        """Whether any train is found for another document."""
        other = Proposer(document, self.site.catalogue, self.site.system)
        search = other._searching(None, self._search.cancelled if self._search else None)
        return search.finds(prices, years)


def propose(document: Document, prices: PriceList | None = None, years: int | None = None, most: int | None = None) -> Proposal:
    """Options for a document; see :meth:`Proposer.propose`."""
    return Proposer(document).propose(prices, years, most)


def _agrees(train: Train, full: Measured) -> bool:
    """Whether a full evaluation finds no failure, and the same figures."""
    same = (np.abs(steps_of(np.array([train.values])) - steps_of(np.array([full.values]))) <= 1).all()
    return not full.fails and bool(same)


__all__ = ["Option", "Proposal", "Proposer", "SearchCancelled", "propose"]
