"""Remedies of one finding, worked out away from the window, and what is said of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from trainapp import units
from trainapp.checks import findings as check_all
from trainapp.checks.finding import Finding
from trainapp.desktop.background import Cancelled
from trainapp.desktop.catalogues import with_own
from trainapp.desktop.engine import System
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.model import ItemRow
from trainapp.train.plan import open_plan

if TYPE_CHECKING:
    from trainapp.studies.remedies import Remedy, Tried, Workshop

#: Money above it is shown without cents.
_WHOLE_ABOVE = Decimal(100)
_NO_CHANGE = "no figure of pressure, water or upkeep moves"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: remedies of a finding of a document, among the program's items and the user's own. Nobody changes any of it."""

    document: Document
    finding: Finding
    system: System
    own: Mapping[str, ItemRow]


class Trier:
    """Answers questions on one thread. It keeps the last train's workshop, so that what several findings ask for is tried once."""

    def __init__(self) -> None:
        self._shop: Workshop | None = None
        self._of: tuple[object, ...] = ()

    def __call__(self, question: Question, cancelled: Cancelled) -> Tried:
        # Loaded on the thread that works: the window stands without it.
        from trainapp.studies.remedies import Tried

        shop = self._workshop(question)
        finding = next((f for f in shop.findings if _key(f) == _key(question.finding)), None)
        if finding is None or cancelled():
            return Tried((), ())
        return shop.remedies(finding, cancelled=cancelled)

    def _workshop(self, question: Question) -> Workshop:
        from trainapp.studies.remedies import Workshop

        of = question.document, question.system, question.own
        if self._shop is None or any(a is not b for a, b in zip(of, self._of, strict=True)):
            evaluation = evaluate(open_plan(question.document))
            found = check_all(evaluation, system=question.system)
            shop = Workshop(question.document, evaluation, found, catalogue=with_own(question.own), system=question.system)
            self._shop, self._of = shop, of
        return self._shop


def _key(finding: Finding) -> tuple[str, str, str, str, str]:
    return finding.code, finding.stage, finding.analyte, finding.cause, finding.title


def told(remedy: Remedy) -> Iterator[str]:
    """What a remedy does, changes, brings and costs, a line each."""
    does = f"leaves a {remedy.leaves}" if remedy.leaves else "clears it"
    yield "; ".join((does, *(units.typeset(change) for change in remedy.changes or (_NO_CHANGE,))))
    if remedy.clears:
        yield f"also clears: {'; '.join(remedy.clears)}"
    if remedy.brings:
        yield f"brings: {'; '.join(remedy.brings)}"
    yield cost_words(remedy.cost)


def cost_words(cost: Decimal | None) -> str:
    """What the equipment on the bill grows by."""
    from trainapp.studies.cost.prices import default_prices

    if cost is None:
        return "its cost is not known"
    if cost == 0:
        return "costs nothing more"
    amount = f"{abs(cost):,.0f}" if abs(cost) > _WHOLE_ABOVE else f"{abs(cost):,.2f}"
    return units.typeset(f"equipment {default_prices().currency} {amount} {'more' if cost > 0 else 'less'}")


def tried_words(answer: Tried) -> str:
    """What is said where nothing clears a finding: which edits were tried."""
    if answer.offered:
        return ""
    if not answer.tried:
        return "No small edit of the train is known that could clear it."
    lead = "None clears it" if answer.easing else "None helps"
    return f"{lead}. Tried: {', '.join(answer.tried)}."
