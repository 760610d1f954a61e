"""What the Options view asks of its threads, and what they answer: plain data both ways, no object of Qt's."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from trainapp.desktop.background import Progress
from trainapp.desktop.catalogues import with_own
from trainapp.reports.options_board import board
from trainapp.reports.options_cells import Board
from trainapp.studies.confidence import Spreads, confidence
from trainapp.studies.cost import PriceList
from trainapp.studies.options import Proposal, Proposer, SearchCancelled
from trainapp.studies.options.contender import Contender, again, left_as_it_is, of_option, on_the_bench, served
from trainapp.studies.options.site import Site
from trainapp.studies.options.what_if import WhatIf
from trainapp.studies.year import Cancelled as YearCancelled
from trainapp.train.document import Document
from trainapp.train.model import ItemRow
from trainapp.train.zones import HOUSE, SUPPLY
from trainapp.units import System

Cancelled = Callable[[], bool]
#: Draws behind the row "How sure", and what they begin from: the same answer every time.
DRAWS, SEED = 1_024, 1


class GivenUp(Exception):
    """Nobody waits for the answer any more."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What every column stands on.

    Attributes:
        document: of the bench. what_if: what is supposed. prices: the list as it is loaded. system: units.
        own: the user's own items.
    """

    document: Document
    what_if: WhatIf
    prices: PriceList
    system: System
    own: Mapping[str, ItemRow] = field(default_factory=dict)

    @property
    def supposed_prices(self) -> PriceList:
        """The list with what is supposed."""
        return self.what_if.prices(self.prices)

    @property
    def years(self) -> int:
        """Counted."""
        return self.what_if.years or self.prices.years

    def site(self) -> Site:
        """The site with what is supposed.

        Raises:
            DocumentError: no house is like that.
        """
        return Site(self.what_if.document(self.document), with_own(self.own) if self.own else None, self.system)

    def is_as(self, other: Ground) -> bool:
        """Whether nothing at all is another."""
        same = self.document is other.document and self.prices is other.prices and self.own is other.own
        return same and self.what_if == other.what_if and self.system == other.system

    def asks_the_same(self, other: Ground) -> bool:
        """Whether a search would find the same."""
        return self.same_waters(other) and self.what_if == other.what_if and self.prices is other.prices

    def same_waters(self, other: Ground | None) -> bool:
        """Whether stages that were run on another need not be run again."""
        if other is None or self.system != other.system or self.own is not other.own:
            return False
        supposed = (self.what_if.people, self.what_if.peak) == (other.what_if.people, other.what_if.peak)
        return supposed and house_of(self.document) == house_of(other.document)


def house_of(document: Document) -> dict[str, Any]:
    """All of a document that options are sought by: not its train, but what of it stands there already, and the pipes at both ends."""
    tree = {key: value for key, value in document.tree.items() if key not in ("stages", "links", "accepted", "log")}
    kept = [row for row in document.tree.get("stages", []) if row.get("settings", {}).get("existing")]
    ends = {*document.outlets, HOUSE}
    links = document.tree.get("links", [])
    pipes = (
        [row.get("pipe") for row in links if row["from"] == SUPPLY],
        [(row["to"], row.get("pipe")) for row in links if row["to"] in ends],
    )
    return {**tree, "kept": kept, "pipes": pipes}


# Counting what is on the board ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Count:
    """Count these trains anew; without any the two columns that always stand there."""

    ground: Ground
    contenders: tuple[Contender, ...]
    proposal: Proposal | None = None


@dataclass(frozen=True, slots=True)
class Counted:
    """The answer: the site and the columns on it, with their board."""

    ground: Ground
    site: Site
    contenders: tuple[Contender, ...]
    board: Board


def count(question: Count, cancelled: Cancelled) -> Counted:
    """Count trains anew on a ground: a few hundredths of a second each."""
    ground, prices = question.ground, question.ground.supposed_prices
    site = ground.site()
    fixed = [left_as_it_is(site, prices, ground.years)]
    if ground.document.stages:
        fixed.append(on_the_bench(site, prices, ground.years))
    found = []
    for contender in question.contenders:
        if cancelled():
            raise GivenUp
        if contender.kind == "option":
            found.append(again(contender, site, prices, ground.years))
    columns = (*fixed, *found)
    return Counted(ground, site, columns, board(site, columns, prices, ground.years, question.proposal))


@dataclass(frozen=True, slots=True)
class Lay:
    """Lay out columns that are counted already."""

    ground: Ground
    site: Site
    contenders: tuple[Contender, ...]
    proposal: Proposal | None


def counted(question: Count | Lay, cancelled: Cancelled) -> Counted:
    """Answer either."""
    if isinstance(question, Count):
        return count(question, cancelled)
    ground, columns = question.ground, question.contenders
    shown = board(question.site, columns, ground.supposed_prices, ground.years, question.proposal)
    return Counted(ground, question.site, columns, shown)


# Seeking ----------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Seek:
    """Look for trains on a ground."""

    ground: Ground
    progress: Progress


class Seeker:
    """Answers on one thread. It keeps the last search: other prices do not run a stage a second time."""

    def __init__(self) -> None:
        self._proposer: Proposer | None = None
        self._ground: Ground | None = None

    def __call__(self, question: Seek, cancelled: Cancelled) -> tuple[Ground, Proposal]:
        ground = question.ground
        if self._proposer is None or not ground.same_waters(self._ground):
            catalogue = with_own(ground.own) if ground.own else None
            self._proposer = Proposer(ground.what_if.document(ground.document), catalogue, ground.system)
            self._ground = ground
        try:
            proposal = self._proposer.propose(ground.supposed_prices, ground.years, progress=question.progress.tell, cancelled=cancelled)
        except SearchCancelled:
            raise GivenUp from None
        return ground, proposal


def merged(columns: tuple[Contender, ...], proposal: Proposal, removed: frozenset[str]) -> tuple[Contender, ...]:
    """Columns after a search: what is kept stays as it is called, what was proposed before makes room, what was removed stays away."""
    proposed = {new.key: new for new in map(of_option, proposal.options)}
    kept = [_beside_new(c, proposed) for c in columns if c.kind != "option" or c.kept]
    known = {c.key for c in kept}
    names = {c.name for c in kept}
    for new in proposed.values():
        if new.key in removed or new.key in known:
            continue
        before = next((c for c in columns if c.key == new.key), None)
        new = new if before is None else replace(new, served=before.served, sure=before.sure)
        kept.append(replace(new, name=free_name(new.name, names)))
        names.add(kept[-1].name)
    return tuple(kept)


def _beside_new(column: Contender, proposed: Mapping[str, Contender]) -> Contender:
    """A column that stays when others are proposed: its reason is the new one, or none; a name that says what it is best by goes over."""
    if column.kind != "option":
        return column
    if column.key in proposed:
        return replace(column, reason=proposed[column.key].reason, why=proposed[column.key].why)
    named = any(column.name == new.name for new in proposed.values())
    return replace(column, reason="", name=f"{column.name}, earlier" if named else column.name)


def free_name(name: str, taken: set[str]) -> str:
    """A name that no other column has."""
    found, number = name, 2
    while found in taken:
        found, number = f"{name} {number}", number + 1
    return found


# A year, and how sure --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Deepen:
    """Run a year of a column, and draws."""

    ground: Ground
    contender: Contender
    spreads: Spreads
    draws: int = DRAWS
    seed: int = SEED
    progress: Progress = field(default_factory=Progress)


def deepen(question: Deepen, cancelled: Cancelled) -> Contender:
    """The column with its year and its draws."""
    contender = question.contender

    def told(share: float) -> None:
        question.progress.tell(0.3 + 0.7 * share)
        if cancelled():
            raise GivenUp

    try:
        year = contender.served or served(contender, question.ground.supposed_prices, cancelled)
    except YearCancelled:
        raise GivenUp from None
    sure = None
    if contender.measured.evaluation.stages:
        sure = confidence(contender.document, question.draws, question.seed, question.spreads, progress=told)
    return replace(contender, served=year, sure=sure)
