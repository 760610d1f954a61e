"""One cause, one finding; the worst first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from trainapp.checks.finding import SEVERITIES, Finding

_RANK = {severity: i for i, severity in enumerate(SEVERITIES)}

#: Within one severity, what can hurt someone stands before what stains, what stains before what costs.
_ORDER = (
    "health", "unprotected-path", "uv-class", "outside-rating", "dose-short", "no-flow-control", "after-start-up", "no-shutoff",
    "raw-while-cleaning", "regulated", "order", "inlet-limit", "override", "corrosion", "outlet-goal", "sample-gap", "sample-doubt",
    "flow-short", "low-pressure", "high-pressure", "backwash-short", "contact-short", "over-rating", "capacity-short",
)  # fmt: skip
#: Of findings of one cause and equally bad, one that names the cause itself leads the ones that name where it shows.
_NAMES_CAUSE = frozenset({"order", "corrosion"})
_WEIGHT = {code: i for i, code in enumerate(_ORDER)}


def merged(findings: Iterable[Finding], rank: Mapping[str, int], chambers: Iterable[str] = ()) -> list[Finding]:
    """Findings of one cause become the worst of them, the others' places in `also_at`; sorted, worst first.

    Args:
        findings: in any order.
        chambers: the UV chambers: an inlet limit of one leads its cause, as bad as the worst, because other programs look for it there.
        rank: place in flow order by node; of two findings as bad the one that names the cause leads, then the one further upstream.
    """
    chambers = frozenset(chambers)
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(finding.cause or f"{finding.code}|{finding.stage}|{finding.analyte}", []).append(finding)
    return ordered((_one(group, rank, chambers) for group in groups.values()), rank)


def ordered(findings: Iterable[Finding], rank: Mapping[str, int]) -> list[Finding]:
    """Worst first; of findings as bad what hurts people leads, then what stands further upstream.

    What is alike in all that goes by its words, so that a document tells the same in the same order saved or being edited.
    """
    return sorted(findings, key=lambda finding: _key(finding, rank))


def _one(group: Sequence[Finding], rank: Mapping[str, int], chambers: frozenset[str]) -> Finding:
    if len(group) == 1:
        return group[0]
    by_weight = sorted(
        group, key=lambda f: (_RANK[f.severity], f.code not in _NAMES_CAUSE, rank.get(f.stage, -1), _WEIGHT.get(f.code, len(_ORDER)))
    )
    head = worst = by_weight[0]
    at_chamber = [f for f in by_weight if f.code == "inlet-limit" and f.stage in chambers and f.severity != "note"]
    if at_chamber and head.code not in _NAMES_CAUSE and not (head.code == "inlet-limit" and head.stage in chambers):
        message = at_chamber[0].message if at_chamber[0].severity == worst.severity else f"{at_chamber[0].message} {worst.message}"
        head = replace(at_chamber[0], severity=worst.severity, message=message)
    places = dict.fromkeys(place for f in by_weight for place in (f.stage, *f.also_at) if place and place != head.stage)
    cautions = tuple(dict.fromkeys(caution for f in by_weight for caution in f.cautions))
    return replace(head, also_at=tuple(sorted(places, key=lambda p: rank.get(p, -1))), cautions=cautions)


def _key(finding: Finding, rank: Mapping[str, int]) -> tuple[int, int, int, str, str, str]:
    weight = -1 if finding.code == "health" and finding.analyte == "e_coli" else _WEIGHT.get(finding.code, len(_ORDER))
    return _RANK[finding.severity], weight, rank.get(finding.stage, -1), finding.code, finding.analyte, finding.message
