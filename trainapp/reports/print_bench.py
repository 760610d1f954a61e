"""The bench as a document: the drawing with its bands, findings with their sources, every value, worked steps of each stage."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from trainapp.checks.finding import Finding
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Display, Shape
from trainapp.reports.drawing.model import BenchModel, Row
from trainapp.reports.drawing.page import gauge_key, scale_bar
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.drawing.view import View
from trainapp.reports.print_drawing import paper_parts
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper, paper_here
from trainapp.reports.print_pdf import write_pages
from trainapp.reports.print_sources import Citations, label_of
from trainapp.reports.print_steps import steps_table
from trainapp.reports.print_table import PrintTable, set_table
from trainapp.reports.print_text import fold
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

#: Height of scale bar and key under the drawing, and how far the drawing reaches into the margins, px.
KEY, BLEED = 30.0, 24.0
#: Points beside one another in the table of values, at the most; its parts are of like width.
_POINTS = 6


def write_print(
    evaluation: Evaluation, findings: Sequence[Finding], path: str | Path, system: System = "us", paper: Paper | None = None
) -> None:
    """Print the bench into a PDF; the file is whole or is not touched.

    Args:
        evaluation, findings: of the design sample, findings worst first.
        path: a name that ends in .pdf.
        system: "us" or "metric". paper: by default that of this machine's locale.

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence.
    """
    write_pages(path, "a print", lambda: bench_job(evaluation, findings, system, paper or paper_here(system)))


def bench_job(evaluation: Evaluation, findings: Sequence[Finding], system: System, paper: Paper, bench: Paper | None = None) -> PrintJob:
    """The pages: bench with bands, values at every point, findings, worked steps, sources.

    Args:
        paper: sheet of the pages of text. bench: that of the drawing; by default the same, turned.
    """
    model = bench_model(evaluation, findings, system)
    site = model.site or "This train"
    flow = Flow(bench or paper.turned, f"{site}: the bench")
    flow.title(site)
    set_bench(flow, model)
    flow.new_page(paper)
    set_findings(flow, model, findings)
    set_values(flow, model)
    flow.new_page()
    citations = Citations()
    set_steps(flow, evaluation, model, system, citations)
    set_sources(flow, citations)
    return flow.finish(f"{site}: the bench", "Train, water, pressure, findings and worked steps")


# The drawing --------------------------------------------------------------------------------------------------------------------


def set_bench(flow: Flow, model: BenchModel) -> None:
    """The bench with its bands at full size; a train that is much wider than the page goes on over the next ones."""
    listed = "; ".join(stage.title + (f", {stage.size}" if stage.size else "") for stage in model.stages)
    lines = fold(listed, flow.width, CAPTION, False, flow.measure)
    height = flow.room - KEY - 15.0 * len(lines) - 8.0
    parts = paper_parts(model, flow.width + 2 * BLEED, height, flow.measure)
    for number, (view, display) in enumerate(parts, 1):
        if number > 1:
            flow.new_page()
            flow.text(f"The train, part {number} of {len(parts)}", bold=True)
        flow.drawing(display, BLEED)
        flow.drawing(_key(flow, model, view))
    flow.text(listed, token="ink2", size=CAPTION)


def _key(flow: Flow, model: BenchModel, view: View) -> Display:
    items: list[Shape] = []
    end = scale_bar(items, model, view, 20.0, flow.measure)
    gauge_key(items, end + 32.0, 20.0)
    return Display(flow.width, KEY, items)


# Values -------------------------------------------------------------------------------------------------------------------------


def set_values(flow: Flow, model: BenchModel) -> None:
    """Every row of the ledger at every point, with its limit and the word for it."""
    flow.heading("Water as it arrives at each point")
    heads = [_head(model, column.node) for column in model.columns]
    step = -(-len(heads) // -(-len(heads) // _POINTS)) if heads else 1
    for start in range(0, len(heads), step):
        shown = model.columns[start : start + step]
        rows = [(_row_name(row), *(_cell_text(row, column.node) for column in shown)) for row in model.rows]
        names = ("analyte", *heads[start : start + step])
        set_table(flow, PrintTable(names, (20.0, *(11.0 for _ in shown)), rows, bold=frozenset({0})))
        flow.skip(12.0)


def _head(model: BenchModel, node: str) -> str:
    stage = model.stage(node)
    return f"into {stage.title}" if stage else next((end.label for end in model.ends if end.id == node), node)


def _row_name(row: Row) -> str:
    return f"{row.label}, {row.unit}" if row.unit else row.label


def _cell_text(row: Row, node: str) -> str:
    """Value, limit and word of one cell."""
    cell = row.cells.get(node)
    if cell is None:
        return ""
    if cell.status == "missing":
        return "not measured"
    word = {"over": "over", "near": "near", "unknown": "cannot tell"}.get(cell.status, "")
    beside = ", ".join(part for part in (cell.limit, word) if part)
    return f"{cell.values[0]} ({beside})" if beside else cell.values[0]


# Findings -----------------------------------------------------------------------------------------------------------------------


def set_findings(flow: Flow, model: BenchModel, findings: Sequence[Finding]) -> None:
    """Verdict, every finding with its cautions and source, what was not judged, and Safety."""
    flow.heading("Findings")
    set_verdict(flow, model)
    for shown, finding in zip(model.findings, findings, strict=True):
        flow.rule()
        word = f"{shown.severity}, accepted" if shown.accepted else shown.severity
        place = f", {shown.place}" if shown.place else ""
        flow.marked(shown.severity, f"{shown.number}  {shown.title} ({word}{place})", bold=True)
        for text in (shown.message, *shown.cautions):
            flow.text(text, indent=20.0)
        if finding.accepted:
            by = f" by {finding.accepted['by']}" if finding.accepted.get("by") else ""
            flow.text(f"Accepted{by}: {finding.accepted.get('reason', '')}", indent=20.0)
        if finding.source:
            flow.text(f"Source: {label_of(finding.source)} ({finding.status})", token="ink2", size=11.0, indent=20.0)
    flow.heading("Not judged")
    flow.text("; ".join(model.verdict.not_judged) + ".", token="ink2")
    flow.safety(model.verdict.safety)


def set_verdict(flow: Flow, model: BenchModel) -> None:
    """What to do now, the counts, and what stands beside them."""
    verdict = model.verdict
    if verdict.warning:
        flow.text(verdict.warning, bold=True, size=13.0)
    if verdict.mark:
        flow.marked(verdict.mark, verdict.headline, bold=True)
    else:
        flow.text(verdict.headline, bold=True)
    if verdict.rest:
        flow.text(verdict.rest)


# Steps --------------------------------------------------------------------------------------------------------------------------


def set_steps(flow: Flow, evaluation: Evaluation, model: BenchModel, system: System, citations: Citations) -> None:
    """Worked steps of every stage that water passes, and of the pressure at the house."""
    flow.heading("Worked steps")
    flow.text("Values are those of the adverse reading of the sample at the peak; in brackets what both readings span.", token="ink2")
    for stage in model.stages:
        result = evaluation.stages.get(stage.id)
        if result is not None and result.working.steps:
            flow.heading(stage.title + (f", {stage.size}" if stage.size else ""), 1, keep=110.0)
            set_table(flow, steps_table(result.working.steps, system, citations))
    for heading, steps in (
        ("Pressure at the house", evaluation.points["house"].working.steps),
        ("The most that the train delivers", evaluation.capacity.working.steps),
    ):
        if steps:
            flow.heading(heading, 1, keep=110.0)
            set_table(flow, steps_table(steps, system, citations))


def set_sources(flow: Flow, citations: Citations) -> None:
    """The sources by the numbers under which they were cited."""
    if citations:
        flow.heading("Sources")
        set_table(flow, PrintTable(("", "source", "how sure"), (6, 76, 18), list(citations.lines())))


__all__ = ["bench_job", "set_bench", "set_findings", "set_sources", "set_steps", "set_values", "set_verdict", "write_print"]
