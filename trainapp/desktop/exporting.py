"""Exports: the bench as a picture or as pages, the ledger as tables. Written on another thread, whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSize, Slot
from PySide6.QtWidgets import QWidget

from trainapp.checks.finding import Finding
from trainapp.desktop.background import Cancelled, Errands
from trainapp.desktop.export_form import ExportForm, Format, say_failed
from trainapp.desktop.parts import choice_box
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.printing import paper_for
from trainapp.desktop.session import Session
from trainapp.reports.drawing.glyphs import with_unshown
from trainapp.reports.export import write_ledger
from trainapp.reports.picture import write_picture
from trainapp.reports.print_bench import write_print
from trainapp.reports.print_paper import PAPERS, PX_PER_INCH
from trainapp.spelling import spelt
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

_VIEW = "The whole bench view with its bands, every finding in words, and the usual cautions; the same as `trainapp picture` draws."
FORMATS: tuple[Format, ...] = (
    Format("picture-pdf", "Bench, one page, PDF", ".pdf", _VIEW, frozenset({"colours"})),
    Format("picture-svg", "Bench, one page, SVG", ".svg", _VIEW, frozenset({"colours"})),
    Format("picture-png", "Bench, one page, PNG", ".png", _VIEW, frozenset({"colours", "dots"})),
    Format(
        "pages-pdf",
        "Bench with findings and worked steps, PDF",
        ".pdf",
        "Pages to print: the bench, findings with their sources, every value, the worked steps of each stage.",
        frozenset({"paper"}),
    ),
    Format("ledger-csv", "Ledger, CSV, a line for each point", ".csv", "Each point of the pipe with all that is known of its water."),
    Format("ledger-values", "Ledger, CSV, a line for each value", ".csv", "Each value with its limit, its source and what it means."),
    Format("ledger-xlsx", "Ledger, workbook (XLSX)", ".xlsx", "Both tables and the findings, with number formats.", frozenset({"paper"})),
)
DOTS = (96, 150, 300, 600)
COLOURS = (("light", "Light"), ("dark", "Dark"), ("light, high contrast", "High contrast"))


@dataclass(frozen=True, slots=True)
class Export:
    """One export to be written: what, of what, where, and how."""

    format: str
    path: Path
    evaluation: Evaluation
    findings: Sequence[Finding]
    system: System
    colours: str = "light"
    dots: int = 192
    paper: str = "letter"


def write(export: Export, _cancelled: Cancelled) -> Path:
    """Write an export; the file that was written.

    Raises:
        ExportError: one sentence.
    """
    whose = export.evaluation, export.findings, export.path, export.system
    if export.format.startswith("picture"):
        write_picture(*whose, theme=export.colours, dots=export.dots / PX_PER_INCH)
    elif export.format == "pages-pdf":
        write_print(*whose, paper=PAPERS[export.paper])
    else:
        write_ledger(*whose, shape="values" if export.format == "ledger-values" else "points", paper=export.paper)
    return export.path


class ExportWindow(ExportForm):
    """Asks what to export and how, then where."""

    refusal = "Not exported"

    def __init__(self, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        self.session, self.prefs = session, prefs
        self.dots = choice_box("Resolution", [(str(each), f"{each} dots an inch") for each in DOTS], "300")
        self.colours = choice_box(spelt("Colours"), COLOURS)
        self.paper = choice_box("Paper", (("letter", "Letter"), ("a4", "A4")), paper_for(session.system).name)
        boxes = (
            ("dots", "Resolution", self.dots), ("colours", spelt("Colours"), self.colours), ("paper", "Paper", self.paper),
        )  # fmt: skip
        super().__init__("Export", QSize(560, 320), FORMATS, boxes, "What to export", parent)
        self._errands = Errands(write, "export", self)
        self._errands.answered.connect(self._written)
        self._errands.failed.connect(self._failed)
        self.button.clicked.connect(self.do_export)
        session.destroyed.connect(self.close)
        self._chosen()

    @property
    def busy(self) -> bool:
        """Whether something is being written."""
        return self._errands.busy

    def do_export(self) -> None:
        """Ask for a file, and write it."""
        session, assessment = self.session, self.session.assessment
        if assessment is None or session.stale:
            self.say(f"Not exported: the train cannot be worked out as it is: {session.stale}.", refused=True)
            return
        path = self.path_for(session, self.prefs)
        if path is None:
            return
        self.button.setEnabled(False)
        self.say(f"Writing {path.name}…")
        whose = assessment.evaluation, assessment.findings, session.system
        how = self.colours.currentData(), int(self.dots.currentData()), self.paper.currentData()
        self._errands.ask(Export(self.format.key, path, *whose, *how))

    @Slot(object)
    def _written(self, path: Path) -> None:
        self.button.setEnabled(True)
        self.say(with_unshown(f"Wrote {path}."))

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.button.setEnabled(True)
        say_failed(self, self.refusal, error)
