"""The sheets of a ledger that hold sentences: findings, sources, and what stands beside every verdict."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from trainapp import units
from trainapp.checks.finding import Amount, Finding
from trainapp.reports.capacity_words import capacity_told
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.export_table import Entry, ExportTable, Words, number_of
from trainapp.sources import sources
from trainapp.train.evaluation import Evaluation
from trainapp.units import System
from trainapp.water.raw import assumptions


def findings_table(model: BenchModel, findings: Sequence[Finding], system: System) -> ExportTable:
    """One row a finding, worst first, numbered as on the bench."""
    heads = (
        "number", "severity", "title", "where", "what it says", "cautions", "value", "to", "limit", "unit", "source", "source status",
        "accepted",
    )  # fmt: skip
    rows = tuple(
        (
            number_of(shown.number, str(shown.number)),
            Words(shown.severity, shown.severity),
            shown.title,
            shown.place,
            shown.message,
            " ".join(shown.cautions),
            *_amounts(finding, system),
            _label(finding.source),
            finding.status,
            _acceptance(finding),
        )
        for shown, finding in zip(model.findings, findings, strict=True)
    )
    return ExportTable("Findings", heads, (), rows, wide=frozenset({"what it says", "cautions", "source"}))


def _amounts(finding: Finding, system: System) -> tuple[Entry, Entry, Entry, Entry]:
    """Value, its upper end where it is an interval, limit and their unit."""
    amount = finding.value or finding.limit
    if amount is None:
        return "", "", "", ""
    unit = amount.unit if amount.dimension == "none" else units.typeset(units.unit(amount.dimension, system))
    edge = None if finding.limit is None else finding.limit.low
    low: Entry = "" if finding.value is None else _number(finding.value, finding.value.low, edge, system)
    high: Entry = ""
    if finding.value is not None and finding.value.high != finding.value.low:
        high = "no end" if finding.value.high is None else _number(finding.value, finding.value.high, edge, system)
    limit: Entry = "" if finding.limit is None else _number(finding.limit, finding.limit.low, None, system)
    return low, high, limit, unit


def _number(amount: Amount, value: float, edge: float | None, system: System) -> Entry:
    if not math.isfinite(value):
        return "no end"
    if amount.dimension == "none":
        return number_of(value, f"{value:.4g}", edge)
    convert = units.convert(float(value), amount.dimension, system)
    limit = None if edge is None else float(units.convert(edge, amount.dimension, system))
    return number_of(float(convert), units.show(value, amount.dimension, system), limit)


def _acceptance(finding: Finding) -> str:
    if not finding.accepted:
        return ""
    by, reason = str(finding.accepted.get("by") or ""), str(finding.accepted.get("reason") or "")
    return f"accepted{f' by {by}' if by else ''}: {reason}"


def sources_table(keys: Iterable[str]) -> ExportTable:
    """What is cited, each once, in the order of the table of sources; what a document itself names comes last."""
    cited = {key for key in keys if key}
    known = [source for key, source in sources().items() if key in cited]
    rows: list[tuple[Entry, ...]] = [(s.title, s.edition, s.where, s.status_default, s.seen) for s in known]
    rows += [(key, "", "", sources()["document"].title, "") for key in sorted(cited - sources().keys())]
    return ExportTable("Sources", ("source", "edition", "where", "status", "seen"), (), tuple(rows), wide=frozenset({"source", "seen"}))


def words_table(evaluation: Evaluation, model: BenchModel, system: System) -> ExportTable:
    """Verdict, what gives in first, what was read into the sample, what was not judged, and the usual cautions: a sentence a row."""
    rows = tuple((part, sentence) for part, sentence in _sentences(evaluation, model, system))
    return ExportTable("Not judged and safety", ("part", "sentence"), (), rows, wide=frozenset({"sentence"}))


def _sentences(evaluation: Evaluation, model: BenchModel, system: System) -> Iterator[tuple[str, str]]:
    verdict = model.verdict
    yield "Site", model.site or "This train"
    for sentence in (verdict.warning, verdict.headline, verdict.rest):
        if sentence:
            yield "Verdict", sentence
    yield "Capacity", units.typeset(capacity_told(evaluation, system))
    for assumption in assumptions(evaluation.plan.raw.sheet):
        yield "Read into the sample", units.typeset(assumption.sentence)
    for sentence in verdict.not_judged:
        yield "Not judged", sentence
    for sentence in verdict.safety:
        yield "Safety", sentence


def _label(key: str) -> str:
    return sources()[key].label if key in sources() else key
