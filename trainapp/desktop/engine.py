"""The road from a document to what the window shows. Loads the engine at the first call, so that the window stands before it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from trainapp.checks.finding import Finding
    from trainapp.reports.drawing.model import BenchModel
    from trainapp.train.document import Document
    from trainapp.train.evaluation import Evaluation

System = Literal["us", "metric"]


@dataclass(frozen=True, slots=True)
class Assessment:
    """Everything about one document, in one system of units.

    Attributes:
        document: what was evaluated. evaluation: its numbers. findings: worst first.
        verdict: "fail", "caution" or "nothing-found". not_judged: what was not measured or not modelled, a sentence each.
        model: what the bench shows.
    """

    document: Document
    evaluation: Evaluation
    findings: tuple[Finding, ...]
    verdict: str
    not_judged: tuple[str, ...]
    model: BenchModel


def assess(document: Document, system: System) -> Assessment:
    """Evaluate a document and judge it.

    Raises:
        DocumentError: it cannot be evaluated, with the place.
    """
    from trainapp.checks import findings, verdict
    from trainapp.reports.drawing.builder import bench_model
    from trainapp.reports.unjudged import unjudged
    from trainapp.train.evaluate import evaluate
    from trainapp.train.plan import open_plan

    evaluation = evaluate(open_plan(document))
    found = tuple(findings(evaluation, system=system))
    return Assessment(
        document,
        evaluation,
        found,
        verdict(found),
        tuple(unjudged(evaluation)),
        bench_model(evaluation, found, system=system),
    )
