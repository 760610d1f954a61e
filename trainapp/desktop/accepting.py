"""Accepting a finding with a reason, and taking that back: the edits, and whether a finding may be accepted at all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from trainapp import units
from trainapp.checks import may_accept
from trainapp.checks.finding import Amount, Finding
from trainapp.dimensions import DIMENSIONS
from trainapp.train.document import Acceptance, Document
from trainapp.train.edits import Batch, Edit, RemoveValue, SetValue
from trainapp.train.evaluation import Evaluation
from trainapp.train.writing import canonical

#: A note that an earlier acceptance no longer holds; it is cleared, not accepted.
LAPSED = "acceptance-lapsed"


def chambers(evaluation: Evaluation) -> frozenset[str]:
    """UV chambers of a train: more flow through one than it is rated for cannot be accepted."""
    return frozenset(name for name, result in evaluation.stages.items() if "disinfection" in result.stage.spec.tags)


def is_acceptable(finding: Finding, evaluation: Evaluation) -> bool:
    """Whether someone may accept a finding: never where health or the dose is at stake."""
    return finding.code != LAPSED and may_accept(finding, chambers(evaluation))


def accept(document: Document, finding: Finding, reason: str, by: str, today: date) -> Edit:
    """The edit that accepts a finding as it stands: with its value, so that the acceptance lapses once that gets worse."""
    entry: dict[str, Any] = {"code": finding.code}
    entry |= {"stage": finding.stage} if finding.stage else {}
    entry |= {"analyte": finding.analyte} if finding.analyte else {}
    entry |= {"value": agreed(finding)} if finding.value is not None else {}
    entry |= {"reason": reason} | ({"by": by} if by else {}) | {"date": today.isoformat()}
    kept = [canonical(other) for other in document.accepted if not _speaks_of(other, finding)]
    return _named(f"Accept {finding.title}", SetValue(path=("accepted",), value=[*kept, entry]))


def withdraw(document: Document, finding: Finding, findings: Sequence[Finding]) -> Edit | None:
    """The edit that takes acceptances of a finding back; of a note on lapsed ones those that it speaks of. None where there is none."""
    gone = [other for other in document.accepted if _speaks_of(other, finding)]
    if finding.code == LAPSED:
        holding = [other.accepted for other in findings if other.accepted]
        gone = [other for other in document.accepted if _same_place(other, finding) and not _holds(other, holding)]
    kept = [canonical(other) for other in document.accepted if other not in gone]
    if not gone:
        return None
    edit = SetValue(path=("accepted",), value=kept) if kept else RemoveValue(path=("accepted",))
    return _named(f"Withdraw acceptance of {finding.title}", edit)


def agreed(finding: Finding) -> str:
    """The bad end of a finding's value as a document writes it; `>` before it where it has no end."""
    value, limit = finding.value, finding.limit
    assert value is not None
    bad_is_low = limit is not None and value.low < limit.low
    if bad_is_low or value.high is not None:
        return _written(value.low if bad_is_low or value.high is None else value.high, value)
    return f">{_written(value.low, value)}"


def _written(number: float, amount: Amount) -> str:
    if amount.dimension not in DIMENSIONS or amount.dimension == "none":
        return f"{number:.6g} {amount.unit}".strip()
    return units.write(number, amount.dimension)


def _speaks_of(entry: Acceptance, finding: Finding) -> bool:
    return entry.code == finding.code and _same_place(entry, finding)


def _same_place(entry: Acceptance, finding: Finding) -> bool:
    return ((entry.stage or ""), (entry.analyte or "")) == (finding.stage, finding.analyte)


def _holds(entry: Acceptance, holding: Iterable[dict[str, Any] | None]) -> bool:
    told = {"code": entry.code, "stage": entry.stage, "analyte": entry.analyte}
    return any(other is not None and all(other.get(key) == value for key, value in told.items() if value) for other in holding)


def _named(label: str, edit: Edit) -> Edit:
    return Batch(edits=[edit], name=label)
