"""The job sheet, which an installer takes along: picture, stages, pipes, order of work, drains, electricity, start-up, taps, upkeep."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from trainapp import units
from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.checks.policy import rule
from trainapp.checks.room import needed_width
from trainapp.reports.capacity_words import capacity_told
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.job_sheet_lines import Section, lines
from trainapp.reports.job_sheet_picture import dimensioned, length_text
from trainapp.reports.job_sheet_pipes import NOT_COUNTED, PipeTables
from trainapp.reports.job_sheet_tables import SheetTables
from trainapp.reports.job_sheet_values import LineValues
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_bench import BLEED, set_sources, set_verdict
from trainapp.reports.print_flow import Flow
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import Paper, paper_here
from trainapp.reports.print_pdf import write_pages
from trainapp.reports.print_sources import Citations, label_of
from trainapp.reports.print_table import PrintTable, set_table
from trainapp.reports.upkeep_log import start_up
from trainapp.spelling import spelt
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

_DEFERENCE = (
    "Local codes, the makers' instructions and licensed practice come before this sheet. It was worked out from a document, not from a "
    "visit: check every dimension, pressure and place before work begins."
)

#: Room that the table of what the sheet counts on takes with the line to sign below it, px: they stand on one page.
_FACTS = 260.0


def write_job_sheet(
    evaluation: Evaluation, findings: Sequence[Finding], path: str | Path, system: System = "us", paper: Paper | None = None
) -> None:
    """Write the job sheet as a PDF; the file is whole or is not touched.

    Args:
        evaluation, findings: of the design sample, findings worst first.
        path: a name that ends in .pdf.
        system: "us" or "metric". paper: by default that of this machine's locale.

    Raises:
        ExportError: another ending, or a place that cannot be written to; one sentence.
    """
    write_pages(path, "a report", lambda: job_sheet(evaluation, findings, system, paper or paper_here(system)))


def job_sheet(evaluation: Evaluation, findings: Sequence[Finding], system: System, paper: Paper) -> PrintJob:
    """The pages of the job sheet: the picture lying, the rest standing."""
    return _JobSheet(evaluation, findings, system, paper).job()


class _JobSheet:
    """Sets one job sheet."""

    def __init__(self, evaluation: Evaluation, findings: Sequence[Finding], system: System, paper: Paper) -> None:
        self.evaluation, self.findings, self.system, self.paper = evaluation, findings, system, paper
        self.ledger = Ledger(evaluation, findings, system)
        self.model = self.ledger.model
        self.site = self.model.site or "This train"
        self.citations = Citations()
        self.tables = SheetTables(self.ledger, self.citations)
        self.values = LineValues(evaluation, self.model, self.tables.names, system).all()
        self.flow = Flow(paper.turned, f"{self.site}: job sheet")

    def job(self) -> PrintJob:
        self.first_page()
        self.flow.new_page(self.paper)
        self.before()
        self.flow.safety(self.model.verdict.safety)
        self.stages()
        self.pipes()
        self.section("Order of work", "work", "number")
        self.drains()
        self.section("Electrical", "electrical")
        self.start_up()
        self.taps()
        self.upkeep()
        set_sources(self.flow, self.citations)
        return self.flow.finish(f"{self.site}: job sheet", "What an installer takes along")

    def show(self, value: float, dimension: str) -> str:
        return units.typeset(units.show(value, dimension, self.system))

    # First page ---------------------------------------------------------------------------------------------------------------

    def first_page(self) -> None:
        """Site, verdict, and the picture with its dimensions."""
        flow = self.flow
        flow.title(self.site, "Job sheet")
        set_verdict(flow, self.model)
        drawings = dimensioned(self.model, flow.width + 2 * BLEED, flow.room - 40.0, flow.measure)
        for number, drawing in enumerate(drawings, 1):
            if number > 1:
                flow.new_page()
                flow.text(f"The train, part {number} of {len(drawings)}", bold=True)
            flow.drawing(drawing, BLEED)
        flow.text(self.fit(), token="ink2", size=CAPTION)

    def fit(self) -> str:
        """What the train takes along a wall, and what room there is."""
        needed, gap = needed_width(Context(self.evaluation, self.system)), rule("room_gap")
        room = self.evaluation.plan.document.room.get("width")
        has = f" The room has {self.show(room, 'distance')}." if room is not None else ""
        return (
            f"Vessels and heights are to scale; the distances between them are the drawing's. Side by side the stages take "
            f"{self.show(needed, 'distance')} with {length_text(gap.value, self.system)} between them ({gap.status}).{has}"
        )

    # Before work --------------------------------------------------------------------------------------------------------------

    def before(self) -> None:
        """Who comes before this sheet, what it found, what supply it counts on, and who does the work."""
        flow = self.flow
        flow.heading("Before work begins")
        flow.text(_DEFERENCE, bold=True)
        self.found()
        flow.skip(6.0)
        facts = PrintTable(("", ""), (30, 70), self.facts(), bold=frozenset({0}))
        begun = start_up(self.evaluation.plan.document)
        signed = (spelt("installer, licence"), "", "date of start-up", begun.isoformat() if begun else "")
        sign = PrintTable(("", "", "", ""), (20, 40, 18, 22), [signed], bold=frozenset({0, 2}), lines=2)
        flow.keep(_FACTS)
        set_table(flow, facts)
        set_table(flow, sign)
        notes = self.evaluation.plan.document.site.word("notes")
        if notes:
            flow.heading("Notes of the site", 1)
            flow.text(notes)

    def found(self) -> None:
        """Every finding whole, notes without their source."""
        flow = self.flow
        for shown, finding in zip(self.model.findings, self.findings, strict=True):
            flow.skip(6.0)
            flow.marked(shown.severity, f"{shown.number}  {shown.title} ({shown.severity}, {shown.place})", bold=True)
            for text in (shown.message, *shown.cautions):
                flow.text(spelt(text), indent=20.0)
            if shown.severity != "note":
                flow.text(f"Source: {label_of(finding.source)} ({finding.status})", token="ink2", size=CAPTION, indent=20.0)

    def facts(self) -> list[tuple[str, str]]:
        """What the sheet counts on: supply, flow, pressure, sample."""
        document, house = self.evaluation.plan.document, self.evaluation.points["house"]
        supply = self.evaluation.points["supply"]
        at = house.pressure
        samples = [f"{s.id}{f', {s.date}' if s.date else ''}" for s in document.samples]
        left = ", ".join(f"{self.show(getattr(at, name), 'pressure')} {name}" for name in ("clean", "dirty", "lowest"))
        chosen = document.design_sample
        designed = f"the worst of {', '.join(samples)}" if chosen == "worst" else f"sample {chosen}"
        return [
            ("supply", f"{self.model.supply.name}, {self.model.supply.size}; {self.show(supply.pressure.clean, 'pressure')} at the peak"),
            *self.tank(),
            ("peak at the house", self.show(float(house.flow[PEAK]), "flow")),
            ("at the house main then", left),
            ("the most it gives", units.typeset(capacity_told(self.evaluation, self.system))),
            ("water used a day", self.show(document.daily_volume, "volume")),
            ("designed for", designed),
        ]

    def tank(self) -> list[tuple[str, str]]:
        """The pressure tank of a well: its size, its air and its switch."""
        found = self.values
        if not found["tank"]:
            return []
        air = f"{found['tank']}, charged to {found['precharge']} while empty"
        return [("pressure tank", f"{air}; the pump starts at {found['cut_in']}, stops at {found['cut_out']}")]

    # Sections -----------------------------------------------------------------------------------------------------------------

    def stages(self) -> None:
        self.flow.heading("Stages in flow order")
        set_table(self.flow, self.tables.stages())
        entered = self.tables.entered()
        if entered is not None:
            self.flow.skip(6.0)
            set_table(self.flow, entered)

    def pipes(self) -> None:
        """The pipe schedule and everything together."""
        self.flow.heading("Pipe schedule")
        pipes = PipeTables(self.ledger, self.tables.names)
        self.flow.text(
            "Flow, speed and loss at the peak; speed in the narrowest segment, loss with lift. Metal at a chamber as order of work asks.",
            token="ink2", size=CAPTION,
        )  # fmt: skip
        set_table(self.flow, pipes.runs())
        set_table(self.flow, pipes.take_off())
        self.flow.text(NOT_COUNTED, token="ink2", size=CAPTION)

    def section(self, heading: str, section: Section, sign: str = "dot", computed: Sequence[str] = ()) -> None:
        """Standing lines of one section, each with the number of its source; what was computed for this train comes after the first."""
        told = ((line.text.format(**self.values), line) for line in lines(section, self.evaluation))
        first, *rest = (self.cited(text, line.source, line.status) for text, line in told)
        self.flow.heading(heading)
        self.flow.points([first, *computed, *rest], sign=sign)

    def cited(self, text: str, source: str, status: str) -> str:
        return f"{text} [{self.citations.number(source, status)}]"

    def drains(self) -> None:
        self.section("Drain and air gap", "drain")
        table = self.tables.drains()
        if table is not None:
            self.flow.skip(6.0)
            set_table(self.flow, table)

    def start_up(self) -> None:
        """The check list, and the hours that clocks are set to."""
        hours = "; ".join(self.tables.clocks())
        text = f"Clocks are set to the local time, and each stage to an hour at which no other cleans itself: {hours}."
        clocks = [self.cited(text, "common-practice", "common practice")] if hours else []
        self.section("Start-up check list", "start", "box", clocks)

    def taps(self) -> None:
        self.flow.heading("Sample taps and tests after start-up")
        self.flow.text(
            "What the design expects is a calculation; only what is found here shows what the water is. Values at the peak; both ends "
            "where they differ by much over the flows of the day.",
            token="ink2",
        )
        set_table(self.flow, self.tables.taps())

    def upkeep(self) -> None:
        self.flow.heading("Upkeep plan")
        set_table(self.flow, self.tables.upkeep())
