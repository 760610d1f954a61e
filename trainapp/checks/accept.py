"""Findings that someone has accepted. It is written beside them and changes nothing: not severity, not verdict, not exit status."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from trainapp import units
from trainapp.checks.finding import Amount, Finding
from trainapp.train.model import Acceptance

#: What nobody can accept.
NEVER = frozenset({"health", "uv-class", "outside-rating", "dose-short", "unprotected-path"})


def may_accept(finding: Finding, chambers: Iterable[str] = ()) -> bool:
    """Whether a finding may be accepted at all; `chambers` are the UV chambers of the train."""
    return finding.code not in NEVER and not (finding.code == "over-rating" and finding.stage in set(chambers))


def with_acceptances(findings: Sequence[Finding], entries: Sequence[Acceptance], chambers: Iterable[str] = ()) -> list[Finding]:
    """The findings, each with the entry that holds for it; a note for every entry that no longer holds."""
    chambers, answered = set(chambers), list(findings)
    lapsed = []
    for entry in entries:
        for i, finding in enumerate(answered):
            if not _names(entry, finding):
                continue
            reason = _why_not(entry, finding, chambers)
            if reason:
                lapsed.append(_lapsed(entry, finding, reason))
            else:
                answered[i] = replace(finding, accepted=_record(entry))
    return [*answered, *lapsed]


def _names(entry: Acceptance, finding: Finding) -> bool:
    return (entry.code, entry.stage or "", entry.analyte or "") == (finding.code, finding.stage, finding.analyte)


def _why_not(entry: Acceptance, finding: Finding, chambers: set[str]) -> str:
    """Why an entry does not hold, "" where it does."""
    if not may_accept(finding, chambers):
        return "a finding of this kind cannot be accepted"
    if finding.value is None:
        return ""
    agreed = _agreed(entry, finding.value)
    if agreed is None:
        return "it does not say which value was accepted"
    return "the value is worse than the one that was accepted" if _worse(finding, agreed) else ""


def _agreed(entry: Acceptance, value: Amount) -> float | None:
    """The value that was accepted: without end where it was written as more than something; None where it cannot be read."""
    if entry.value_ is None:
        return None
    text = str(entry.value_).strip()
    if text.startswith(">"):
        return math.inf
    if value.dimension == "none":
        try:
            agreed = float(text.split(" ", 1)[0])
        except ValueError:
            return None
        return agreed if math.isfinite(agreed) else None
    try:
        return units.parse(text, value.dimension)
    except units.UnitError:
        return None


def _worse(finding: Finding, agreed: float) -> bool:
    """Whether the value now lies further on its bad side than the agreed one; half a percent is rounding."""
    value, limit = finding.value, finding.limit
    assert value is not None
    high = math.inf if value.high is None else value.high
    bad_is_low = limit is not None and value.low < limit.low
    if math.isinf(agreed):
        return False
    return value.low < agreed - 0.005 * abs(agreed) if bad_is_low else high > agreed + 0.005 * abs(agreed)


def _record(entry: Acceptance) -> dict[str, Any]:
    fields = {name: getattr(entry, name) for name in ("code", "stage", "analyte", "reason", "by", "date")}
    return {name: value for name, value in {**fields, "value": entry.value_}.items() if value not in (None, "")}


def _lapsed(entry: Acceptance, finding: Finding, reason: str) -> Finding:
    by = f" by {entry.by}" if entry.by else ""
    return Finding(
        "acceptance-lapsed", "note", finding.stage, "An acceptance does not hold",
        f'"{finding.title}" was accepted{by} ("{entry.reason}"), but {reason}: it stands.',
        analyte=finding.analyte, source="document",
    )  # fmt: skip
