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
#: Things tried that are named for each reason.
_NAMED = 2


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


def told(remedy: Remedy) -> tuple[str, str]:
    """A remedy in short, below what is done: what it changes most, and what it costs. What it brings is never left out."""
    does = f"leaves a {remedy.leaves}" if remedy.leaves else "clears it"
    change = units.typeset(remedy.changes[0]) if remedy.changes else _NO_CHANGE
    brings = (f"brings: {'; '.join(remedy.brings)}",) if remedy.brings else ()
    others = len(remedy.clears)
    more = (f"clears {others} other{'' if others == 1 else 's'}",) if others else ()
    return "; ".join((does, *(brings or (change,)))), "; ".join((cost_words(remedy), *more))


def told_whole(remedy: Remedy) -> Iterator[str]:
    """All that a remedy does, changes, brings and costs, a line each."""
    yield f"leaves a {remedy.leaves}" if remedy.leaves else "clears it"
    yield from (units.typeset(change) for change in remedy.changes or (_NO_CHANGE,))
    if remedy.clears:
        yield f"also clears: {'; '.join(remedy.clears)}"
    if remedy.brings:
        yield f"brings: {'; '.join(remedy.brings)}"
    yield cost_words(remedy)


def cost_words(remedy: Remedy) -> str:
    """What the bill grows by, and whether its prices are invented."""
    from trainapp.studies.cost.prices import default_prices

    cost = remedy.cost
    if cost is None:
        return "no price in the list for what is bought"
    if cost == 0:
        return "costs no more" if remedy.invented else "nothing to buy"
    amount = f"{abs(cost):,.0f}" if abs(cost) > _WHOLE_ABOVE else f"{abs(cost):,.2f}"
    source = ", invented prices" if remedy.invented else ""
    return units.typeset(f"{default_prices().currency} {amount} {'more' if cost > 0 else 'less'}{source}")


def tried_words(answer: Tried) -> str:
    """What else was tried, and why it is not offered; of each reason the first few."""
    if not answer.tried:
        return "No small edit of the train is known that could clear it."
    lead = "" if answer.offered else "None clears it. " if answer.easing else "None helps. "
    if not answer.failed:
        return f"{lead}Tried: {', '.join(answer.tried)}." if lead else ""
    return f"{lead}{'Also tried' if answer.offered or answer.easing else 'Tried'}: {_reasons(answer, _NAMED)}."


def tried_whole(answer: Tried) -> str:
    """The same with all that was tried."""
    return f"Tried and left out: {_reasons(answer, len(answer.failed))}." if answer.failed else ""


def _reasons(answer: Tried, most: int) -> str:
    groups: dict[str, list[str]] = {}
    for words, reason in answer.failed:
        groups.setdefault(reason, []).append(words)
    return "; ".join(f"{_listed(words, most)} ({reason})" for reason, words in groups.items())


def _listed(words: list[str], most: int) -> str:
    left = len(words) - most
    return ", ".join(words[:most]) + (f" and {left} more" if left > 0 else "")
