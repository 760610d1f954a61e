"""Pages of the smaller papers: the sampling order, the upkeep plan with its log, the options side by side."""

from __future__ import annotations

import datetime

from trainapp import units
from trainapp.checks import safety
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.print_bench import set_sources
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_table import PrintTable, Row, set_table
from trainapp.reports.proposal_basis import basis
from trainapp.reports.proposal_front import grave
from trainapp.reports.proposal_offer import Offer
from trainapp.reports.proposal_rows import comparison
from trainapp.reports.proposal_sides import set_sides
from trainapp.reports.proposal_words import ILLUSTRATIVE, NO_PROOF, not_now, safety_of, severity_of, unjudged
from trainapp.reports.upkeep_log import Due, due, entries, start_up
from trainapp.spelling import spelt
from trainapp.studies.sampling_order import HEADINGS, URGENCIES, Bottle, sampling_order
from trainapp.train.document import Document
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

_LABORATORY = "The laboratory's own instructions come first; ask it which bottles it sends."


def sampling_job(evaluation: Evaluation, paper: Paper) -> PrintJob:
    """The sampling order by bottle, the most urgent first, with room for who took it when."""
    order, citations = sampling_order(evaluation), Citations()
    flow = Flow(paper, f"{order.site}: sampling order")
    flow.title(order.site[:1].upper() + order.site[1:], "Sampling order")
    if not order.bottles:
        flow.text("Nothing that the limits or this train ask for is untested.")
    number = 0
    for urgency in URGENCIES:
        bottles = [bottle for bottle in order.bottles if bottle.urgency == urgency]
        if bottles:
            flow.heading(HEADINGS[urgency], keep=140.0)
        for bottle in bottles:
            number += 1
            _set_bottle(flow, number, bottle, citations)
    flow.skip(8.0)
    flow.text(_LABORATORY, bold=True)
    set_sources(flow, citations)
    return flow.finish(f"{order.site}: sampling order", "What still has to be tested, why, and into which bottle")


def _set_bottle(flow: Flow, number: int, bottle: Bottle, citations: Citations) -> None:
    flow.heading(units.typeset(f"{number}  {bottle.label}"), 1, keep=80.0)
    flow.text(units.typeset(f"{bottle.how} [{citations.number(bottle.source, bottle.status)}]"))
    flow.points(units.typeset(f"{test.label}: {test.why}. [{citations.number(test.source, test.status)}]") for test in bottle.tests)
    blank = ("taken on, at", "", "by", "")
    set_table(flow, PrintTable(("", "", "", ""), (14, 36, 6, 44), [blank], bold=frozenset({0, 2}), lines=2))


# Upkeep ---------------------------------------------------------------------------------------------------------------------------


def upkeep_job(evaluation: Evaluation, document: Document, system: System, paper: Paper, today: datetime.date) -> PrintJob:
    """What is due next, and what was done."""
    model, citations = bench_model(evaluation, (), system), Citations()
    site = model.site or "This train"
    names = {stage.id: stage.title for stage in model.stages}
    flow = Flow(paper, f"{site}: upkeep")
    flow.title(site, "Upkeep plan")
    begun = start_up(document)
    told = f"Counted from start-up on {begun.isoformat()}, or from when a chore was done last." if begun else None
    flow.text(told or f"No start-up stands in the upkeep log: what was never done is counted from {today.isoformat()}.", token="ink2")
    rows = [_due_row(item, names, system, citations) for item in due(evaluation, document, today)]
    heads = ("due", "stage", "what", "how often", "uses", "done last", "source")
    flow.heading("Due next")
    if rows:
        set_table(flow, PrintTable(heads, (11, 15, 30, 13, 13, 10, 8), rows, right=frozenset({6})))
    else:
        flow.text("This train asks for no upkeep.")
    flow.safety([spelt(units.typeset(text)) for text in safety(evaluation)])
    _set_log(flow, document, names)
    set_sources(flow, citations)
    return flow.finish(f"{site}: upkeep", "What is due next, and what was done")


def _due_row(item: Due, names: dict[str, str], system: System, citations: Citations) -> Row:
    task = item.task
    last = item.last.isoformat() if item.last else "never"
    cited = citations.number(task.source, task.status)
    return item.date.isoformat(), names.get(task.stage, "whole train"), task.told, task.when, task.uses(system), last, cited


def _set_log(flow: Flow, document: Document, names: dict[str, str]) -> None:
    """What was done, newest first, and lines to write on."""
    flow.heading("Upkeep log")
    rows: list[Row] = []
    for entry in entries(document):
        what = entry.what + (f"\n{entry.note}" if entry.note else "")
        day = entry.date.isoformat() if entry.date else ""
        rows.append((day, names.get(entry.stage, entry.stage or "whole train"), what, entry.by))
    rows += [("", "", "", "")] * 6
    set_table(flow, PrintTable(("date", "stage", "what was done", "by"), (13, 22, 43, 22), rows, lines=2))


# Comparison -----------------------------------------------------------------------------------------------------------------------


def comparison_job(offer: Offer, paper: Paper) -> PrintJob:
    """The options side by side on a page that lies, with what has to stand beside them."""
    flow = Flow(paper.turned, f"{offer.name}: comparison")
    flow.title(offer.name, "Comparison")
    now = not_now(offer)
    if now:
        flow.marked("fail", now, bold=True)
    for heading, found in grave(offer):
        for finding in found:
            flow.marked(finding.severity, units.typeset(f"{heading}: {finding.title} ({severity_of(offer, finding)})"))
    set_sides(flow, offer, comparison(offer))
    flow.skip(8.0)
    flow.text(" ".join(basis(offer)))
    flow.text(NO_PROOF)
    if offer.invented:
        flow.text(ILLUSTRATIVE, bold=True)
    flow.text(f"Not judged: {'; '.join(unjudged(offer.columns))}.", token="ink2", size=CAPTION)
    flow.safety(safety_of(offer.columns))
    return flow.finish(f"{offer.name}: comparison", "What could be done about this water, side by side")


__all__ = ["comparison_job", "sampling_job", "upkeep_job"]
