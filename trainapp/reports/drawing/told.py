"""Findings and verdict as the drawing shows them: numbers, places, sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from trainapp import units
from trainapp.checks import headline, safety, verdict
from trainapp.checks.drinking import warning as warning_of
from trainapp.checks.finding import Finding
from trainapp.reports.capacity_words import governing, lasting_told
from trainapp.reports.drawing.model import HOUSE, SUPPLY, FindingModel, Verdict
from trainapp.reports.in_units import in_units
from trainapp.reports.unjudged import unjudged
from trainapp.spelling import spelt
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

Names = Mapping[str, str]

#: Causes of findings about the free height above a stage.
ABOVE = ("room-fit:height", "room-fit:pipes")


def finding_models(evaluation: Evaluation, findings: Sequence[Finding], names: Names, system: System = "us") -> tuple[FindingModel, ...]:
    """The findings in list order; `names` gives the short name of every node ("5", "house")."""
    return tuple(_finding(evaluation, number, finding, names, system) for number, finding in enumerate(findings, 1))


def _finding(evaluation: Evaluation, number: int, finding: Finding, names: Names, system: System) -> FindingModel:
    nodes = [node for node in (finding.stage, *finding.also_at) if node]
    spots = [spot for node in nodes if (spot := _spot(evaluation, finding, node))]
    if finding.code == "room-fit" and not finding.stage:
        spots.append(("room",))
    return FindingModel(
        number=number,
        severity=finding.severity,
        title=units.typeset(in_units(finding.title, system)),
        message=units.typeset(in_units(finding.message, system)),
        place=_place(finding, names),
        spots=tuple(spots),
        cautions=tuple(units.typeset(in_units(text, system)) for text in finding.cautions),
        accepted=finding.accepted is not None,
    )


def _place(finding: Finding, names: Names) -> str:
    """Where, in a word or two."""
    if not finding.stage:
        return "whole train"
    short = ", ".join(names.get(node, node) for node in (finding.stage, *finding.also_at))
    prefix = "inlet of " if finding.code == "inlet-limit" else "above " if finding.cause in ABOVE else ""
    return f"{prefix}{short}"


def _spot(evaluation: Evaluation, finding: Finding, node: str) -> tuple[str, ...] | None:
    """Where the capsule may stand."""
    if node == SUPPLY:
        return ("supply", SUPPLY)
    if finding.code == "velocity":
        into = [link for link in evaluation.links.values() if link.target == node]
        if into:
            fastest = max(into, key=lambda link: link.velocity)
            return ("link", fastest.source, fastest.target)
    stage = evaluation.plan.stages.get(node)
    if stage is None:
        return ("end", node)
    if finding.cause in ABOVE and stage.figure().clear_above > 0:
        return ("above", node)
    return ("inlet" if finding.code == "inlet-limit" else "stage", node)


def verdict_model(evaluation: Evaluation, findings: Sequence[Finding], names: Names, system: System) -> Verdict:
    """Counts first; what gives in first and what only tests can show beside them; what to do now before everything."""
    sentence = headline(evaluation, findings)
    warning = warning_of(findings)
    sentence = sentence.removeprefix(warning).strip()
    counts, _, rest = sentence.partition(". ")
    worst = verdict(findings)
    return Verdict(
        mark="" if worst == "nothing-found" else worst,
        headline=f"{counts}.",
        rest=units.typeset(" ".join(filter(None, (gives_in_first(evaluation, names, system), rest)))),
        warning=warning,
        safety=tuple(spelt(text) for text in safety(evaluation)),
        not_judged=tuple(unjudged(evaluation)),
    )


def gives_in_first(evaluation: Evaluation, names: Names, system: System) -> str:
    """What limits the flow at the house, where that is less than the peak."""
    capacity = evaluation.capacity
    demand = evaluation.plan.demands.get(HOUSE)
    peak = float(demand.flows[PEAK]) if demand is not None else 0.0
    if peak <= 0 or capacity.flow >= peak * (1 - 1e-9):
        return ""
    if capacity.lasting:
        return lasting_told(evaluation, system)
    most = units.show_against_limit(capacity.flow, peak, "flow", system).split(" ")[0]
    state = {"dirty": ", when dirty,", "cut-in": ", at cut-in,", "dirty, cut-in": ", dirty and at cut-in,"}.get(governing(capacity), "")
    how = {"pressure": state, "rating": ", by its rating,"}.get(capacity.limited_by, "")
    return f"Gives in first: {names.get(capacity.at, capacity.at)}{how} at {most} of {units.show(peak, 'flow', system)}."
