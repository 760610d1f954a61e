"""Remedies of a finding: small edits that were made on a copy, evaluated and checked before they are offered.

Modules of this package named ``remedies_TOPIC`` that define ``candidates(case) -> Iterable[Candidate]`` are asked; no list names them.
"""

from __future__ import annotations

import importlib
import json
import pkgutil
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache
from typing import Any

from trainapp import studies
from trainapp.checks import findings as check_all
from trainapp.checks.context import Context
from trainapp.checks.finding import SEVERITIES, Finding
from trainapp.studies.remedies_case import Candidate, Case, Site
from trainapp.studies.remedies_changes import changes_between
from trainapp.studies.remedies_cost import Cost, cost_between
from trainapp.studies.remedies_worth import STANDING, gives_up_treatment, size, weight, worse
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import Batch, Edit, apply, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan
from trainapp.units import System

#: Tries for one finding at the most: a train is evaluated for each.
MOST_TRIES = 28

Key = tuple[str, str, str]
Cancelled = Callable[[], bool]
#: What ranks a remedy, least first: what it leaves, what it brings, how much of the train it touches, known cost, whether more of it is
#: not known, edits, order of trying.
_Merit = tuple[int, int, int, Decimal, bool, int, int]


@dataclass(frozen=True, slots=True)
class Remedy:
    """An edit that clears a finding, or makes it less severe, without a new failure and without giving up treatment.

    Attributes:
        label: one sentence that says what is done.
        edits: to be made as one, see :attr:`edit`.
        leaves: severity that the finding still has after it; "" where it is gone.
        clears: titles of other findings, fails and cautions, that go with it.
        brings: titles of cautions that come with it: those that any such train carries until it is tested, and any other where nothing
            clears a failure without one; "worse than before" where it was there already.
        changes: what it changes, two or three figures in words.
        cost: what the bill grows by in the currency of the catalogue, less than zero where it shrinks; None where a price is not known.
        invented: whether a price in it is one of the program's own, all of which are invented.
        tried: what it is one of, without size, as :attr:`Tried.tried` says it.
    """

    label: str
    edits: tuple[Edit, ...]
    clears: tuple[str, ...] = ()
    brings: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    cost: Decimal | None = None
    leaves: str = ""
    invented: bool = False
    tried: str = ""

    @property
    def edit(self) -> Edit:
        """All edits as one, so that one undo takes it back."""
        return _together(self.edits, self.label.rstrip("."))

    def to_json(self) -> dict[str, Any]:
        """Plain data as a finding prints it."""
        return {
            "label": self.label,
            "edits": [edit.to_json() for edit in self.edits],
            "clears": list(self.clears),
            "brings": list(self.brings),
            "changes": list(self.changes),
            "cost": None if self.cost is None else str(self.cost),
            "invented_prices": self.invented,
        }


@dataclass(frozen=True, slots=True)
class Tried:
    """The answer for one finding.

    Attributes:
        offered: what clears it, best first. What brings another caution is refused, unless a failure can be cleared in no other way.
        tried: all that was tried, in a few words each.
        easing: where nothing clears it, what makes it less severe, best first.
        failed: of what was tried, what did not help in any size, each with the reason in a few words.
    """

    offered: tuple[Remedy, ...]
    tried: tuple[str, ...]
    easing: tuple[Remedy, ...] = ()
    failed: tuple[tuple[str, str], ...] = ()


@dataclass(slots=True)
class _Outcome:
    """What became of one candidate: its findings and figures; `after` is None where it could not be done."""

    after: Document | None = None
    evaluation: Evaluation | None = None
    findings: list[Finding] = field(default_factory=list)


class Workshop:
    """One evaluated train in which remedies are tried. A candidate that several findings ask for is tried once."""

    def __init__(
        self,
        document: Document,
        evaluation: Evaluation,
        findings: Sequence[Finding],
        *,
        catalogue: Catalogue | None = None,
        system: System = "us",
    ) -> None:
        self.document, self.evaluation, self.findings, self.system = document, evaluation, tuple(findings), system
        self.catalogue = catalogue or _own_catalogue()
        self.site = Site(document, evaluation, self.catalogue, Context(evaluation, system))
        self._fails = {key_of(f) for f in findings if f.severity == "fail"}
        self._outcomes: dict[str, _Outcome] = {}

    def remedies(self, finding: Finding, *, limit: int = 3, cancelled: Cancelled | None = None) -> Tried:
        """Remedies of one of the findings.

        Args:
            limit: how many are offered at the most.
            cancelled: asked before each try; what was found until then is offered.
        """
        tried, helped = dict[str, str](), set[str]()
        clearing, trading, easing = (list[tuple[_Merit, Remedy]]() for _ in range(3))
        for place, candidate in enumerate(self._candidates(finding)):
            if place >= MOST_TRIES or (cancelled is not None and cancelled()):
                break
            outcome = self._try(candidate)
            left, reason = self._left(finding, outcome)
            tried.setdefault(candidate.tried, reason)
            if reason:
                continue
            brought = list(worse(self._told(outcome)))
            is_clean = all(f.code in STANDING for f in brought)
            if not is_clean and finding.severity != "fail":
                tried[candidate.tried] = tried[candidate.tried] or "brings a caution"
            else:
                helped.add(candidate.tried)
                remedy, outlay = self._remedy(finding, candidate, outcome, left, brought)
                merit = (left, len(brought), size(remedy.edits), outlay, remedy.cost is None, len(remedy.edits), place)
                (easing if left else clearing if is_clean else trading).append((merit, remedy))
        offered = _best(clearing or trading, limit)
        failed = tuple((words, reason) for words, reason in tried.items() if words not in helped)
        return Tried(offered, tuple(tried), () if offered else _best(easing, limit), failed)

    def _candidates(self, finding: Finding) -> Iterator[Candidate]:
        """Every candidate that the topics have, each edit once."""
        case, seen = Case(self.site, finding), set[str]()
        for topic in topics():
            for candidate in topic(case):
                text = _text(candidate)
                if text not in seen and candidate.edits:
                    seen.add(text)
                    yield candidate

    def _try(self, candidate: Candidate) -> _Outcome:
        text = _text(candidate)
        if text not in self._outcomes:
            self._outcomes[text] = self._evaluated(candidate)
        return self._outcomes[text]

    def _evaluated(self, candidate: Candidate) -> _Outcome:
        try:
            after = apply(self.document, plan_edit(self.document, _together(candidate.edits), self.catalogue))
            evaluation = evaluate(open_plan(after))
        except DocumentError:
            # a size that a pipe is not made in, a link that another edit has taken: it cannot be done
            return _Outcome()
        return _Outcome(after, evaluation, check_all(evaluation, system=self.system))

    def _left(self, finding: Finding, outcome: _Outcome) -> tuple[int, str]:
        """Weight of what is left of a finding, 0 where it is gone; and why the edit is no remedy, "" where it is one.

        It is none where it could not be done, leaves the finding as it is, makes fail what did not fail before, or makes the water at
        the house worse.
        """
        if outcome.evaluation is None:
            return 0, "cannot be built here"
        if any(f.severity == "fail" and key_of(f) not in self._fails for f in outcome.findings):
            return 0, "makes something else fail"
        if gives_up_treatment(self.evaluation, outcome.evaluation, self.site.context.limits):
            return 0, "gives up treatment"
        key, bad = key_of(finding), weight(finding)
        # another finding of the same place and code was there before and may stay: brine that soaks away is not an air gap
        others = {(key_of(f), f.cause) for f in self.findings if f is not finding}
        left = 0
        for other in outcome.findings:
            itself = key_of(other) == key and (key, other.cause) not in others
            # one cause that speaks under another name is left, too, where it is as bad as before
            renamed = finding.cause and other.cause == finding.cause and weight(other) >= bad
            if itself or renamed:
                left = max(left, weight(other))
        return left, "does not clear it" if left >= weight(finding) else ""

    def _told(self, outcome: _Outcome) -> list[tuple[Finding, Finding | None]]:
        """Fails and cautions after an edit, each with the same one before it."""
        # findings stand worst first: of several of one place and code the gravest is kept
        before = {key_of(f): f for f in reversed(self.findings)}
        alike = {(key_of(f), f.cause): f for f in self.findings}
        return [(f, alike.get((key_of(f), f.cause)) or before.get(key_of(f))) for f in outcome.findings if f.severity != "note"]

    def _remedy(
        self, finding: Finding, candidate: Candidate, outcome: _Outcome, left: int, brought: Sequence[Finding]
    ) -> tuple[Remedy, Decimal]:
        """The remedy, and what is known of its cost."""
        assert outcome.after is not None and outcome.evaluation is not None
        was, after = {key_of(f) for f in self.findings if f.severity != "note"}, {key_of(f) for f in outcome.findings}
        gone = [f for f in self.findings if f.severity != "note" and key_of(f) not in after and key_of(f) != key_of(finding)]
        # a cause that goes on under another name is not cleared
        going_on = {f.cause for f in outcome.findings if f.cause and f.severity != "note"}
        cost: Cost = cost_between(self.document, outcome.after, self.catalogue, candidate.works)
        remedy = Remedy(
            label=candidate.label,
            edits=candidate.edits,
            clears=tuple(f.title for f in gone if f.cause not in going_on),
            brings=tuple(f"{f.title}, worse than before" if key_of(f) in was else f.title for f in brought),
            changes=changes_between(self.evaluation, outcome.evaluation, self.system),
            cost=cost.amount if cost.whole else None,
            leaves=SEVERITIES[len(SEVERITIES) - left] if left else "",
            invented=cost.invented,
            tried=candidate.tried,
        )
        return remedy, cost.amount


def remedies(
    document: Document,
    evaluation: Evaluation,
    findings: Sequence[Finding],
    finding: Finding,
    *,
    catalogue: Catalogue | None = None,
    limit: int = 3,
    system: System = "us",
    cancelled: Cancelled | None = None,
) -> Tried:
    """Remedies of one finding of an evaluated document, each tried.

    Args:
        findings: all that the checks found in it; `finding` is one of them.
        catalogue: where items come from, the program's own by default.
        limit: how many are offered at the most.
        system: units of the sentences.
        cancelled: asked before each try.
    """
    return Workshop(document, evaluation, findings, catalogue=catalogue, system=system).remedies(finding, limit=limit, cancelled=cancelled)


def with_remedies(
    document: Document,
    evaluation: Evaluation,
    findings: Sequence[Finding],
    *,
    catalogue: Catalogue | None = None,
    limit: int = 3,
    system: System = "us",
    severities: Iterable[str] = ("fail", "caution"),
) -> list[Finding]:
    """The findings, those of some severities with their remedies as plain data."""
    shop, wanted = Workshop(document, evaluation, findings, catalogue=catalogue, system=system), frozenset(severities)
    return [
        replace(f, remedies=tuple(r.to_json() for r in shop.remedies(f, limit=limit).offered)) if f.severity in wanted else f
        for f in findings
    ]


@cache
def topics() -> tuple[Callable[[Case], Iterable[Candidate]], ...]:
    """What generates candidates: every topic, by the name of its module."""
    names = sorted(found.name for found in pkgutil.iter_modules(studies.__path__) if found.name.startswith("remedies_"))
    modules = (importlib.import_module(f"{studies.__name__}.{name}") for name in names)
    return tuple(module.candidates for module in modules if hasattr(module, "candidates"))


@cache
def _own_catalogue() -> Catalogue:
    return Catalogue.load()


def key_of(finding: Finding) -> Key:
    """What makes a finding the same one in two evaluations."""
    return finding.code, finding.stage, finding.analyte


def _together(edits: Sequence[Edit], name: str = "") -> Edit:
    return Batch.model_validate({"edits": list(edits), "name": name})


def _text(candidate: Candidate) -> str:
    return json.dumps([edit.to_json() for edit in candidate.edits], sort_keys=True)


def _best(helped: list[tuple[_Merit, Remedy]], limit: int) -> tuple[Remedy, ...]:
    helped.sort(key=lambda pair: pair[0])
    return tuple(_without_excess(remedy for _, remedy in helped))[:limit]


def _without_excess(remedies: Iterable[Remedy]) -> Iterator[Remedy]:
    """Those that do not hold all edits of a better one and clear nothing more than that, and come to nothing that a better one does not."""
    kept: list[tuple[frozenset[str], Remedy]] = []
    for remedy in remedies:
        edits = frozenset(json.dumps(edit.to_json(), sort_keys=True) for edit in remedy.edits)
        more = not any(better <= edits and set(remedy.clears) <= set(its.clears) for better, its in kept)
        if more and not any(_comes_to(its, remedy) for _, its in kept):
            kept.append((edits, remedy))
            yield remedy


def _comes_to(better: Remedy, other: Remedy) -> bool:
    """Whether a better remedy moves the same figures, and clears as much or is the same thing in another make."""
    same = better.changes == other.changes and better.leaves == other.leaves
    return same and (better.tried == other.tried or set(other.clears) <= set(better.clears))
