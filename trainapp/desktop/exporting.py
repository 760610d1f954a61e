"""Exports: the bench as a picture or as pages, the ledger as tables. Written on another thread, whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Slot
from PySide6.QtWidgets import QFileDialog, QFormLayout, QWidget

from trainapp import units
from trainapp.checks.finding import Finding
from trainapp.desktop.background import Cancelled, Errands
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.parts import BoxButton, ChoiceBox, TokenLabel, wrapped
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.printing import paper_for
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import BODY, CAPTION
from trainapp.reports.export import write_ledger
from trainapp.reports.export_file import ExportError
from trainapp.reports.picture import write_picture
from trainapp.reports.print_bench import write_print
from trainapp.reports.print_paper import PAPERS, PX_PER_INCH
from trainapp.train.evaluation import Evaluation
from trainapp.units import System


@dataclass(frozen=True, slots=True)
class Format:
    """One thing that can be exported: its words, its ending, what is in it, and which choices it has."""

    key: str
    label: str
    ending: str
    holds: str
    choices: frozenset[str] = frozenset()


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


class ExportWindow(SideWindow):
    """Asks what to export and how, then where."""

    def __init__(self, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__("Export", QSize(560, 320), parent)
        self.session, self.prefs = session, prefs
        self.what = _box("What to export", [(each.key, each.label) for each in FORMATS])
        self.dots = _box("Resolution", [(str(each), f"{each} dots an inch") for each in DOTS], "300")
        self.colours = _box(units.spelt("Colours"), list(COLOURS))
        self.paper = _box("Paper", [("letter", "Letter"), ("a4", "A4")], paper_for(session.system).name)
        self.holds = wrapped("", "ink2", CAPTION)
        self._rows: dict[str, tuple[TokenLabel, ChoiceBox]] = {}
        form = QFormLayout()
        form.setHorizontalSpacing(12)
        form.setVerticalSpacing(8)
        for name, text, box in (
            ("what", "What", self.what),
            ("dots", "Resolution", self.dots),
            ("colours", units.spelt("Colours"), self.colours),
            ("paper", "Paper", self.paper),
        ):
            label = TokenLabel(text, "ink", BODY)
            form.addRow(label, box)
            self._rows[name] = label, box
            if name == "what":
                form.addRow(TokenLabel(), self.holds)
        self.column.addLayout(form)
        self.column.addStretch(1)
        self.button = BoxButton("Export…", "Choose the file and export")
        self.button.clicked.connect(self.do_export)
        self.add_button(self.button)
        self.what.currentIndexChanged.connect(self._chosen)
        self._errands = Errands(write, "export", self)
        self._errands.answered.connect(self._written)
        self._errands.failed.connect(self._failed)
        session.destroyed.connect(self.close)
        self._chosen()
        self.what.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def format(self) -> Format:
        """What is chosen."""
        return FORMATS[max(self.what.currentIndex(), 0)]

    @property
    def busy(self) -> bool:
        """Whether something is being written."""
        return self._errands.busy

    def _chosen(self, _index: int = 0) -> None:
        self.holds.setText(self.format.holds)
        for name, widgets in self._rows.items():
            for widget in widgets:
                widget.setVisible(name == "what" or name in self.format.choices)
        self.say("")

    def do_export(self) -> None:
        """Ask for a file, and write it."""
        session, assessment = self.session, self.session.assessment
        if assessment is None or session.stale:
            self.say(f"Not exported: the train cannot be worked out as it is: {session.stale}.", refused=True)
            return
        ending = self.format.ending
        folder = session.path.parent if session.path else Path(self.prefs.folder)
        kind = f"{ending[1:].upper()} (*{ending})"
        name, _ = QFileDialog.getSaveFileName(self, "Export", str(folder / f"{session.slug}{ending}"), kind)
        if not name:
            return
        path = Path(name) if Path(name).suffix else Path(f"{name}{ending}")
        if path.suffix.lower() != ending:
            self.say(f"Not exported: {path.name} does not end in {ending}.", refused=True)
            return
        self.button.setEnabled(False)
        self.say(f"Writing {path.name}…")
        self._errands.ask(
            Export(
                self.format.key,
                path,
                assessment.evaluation,
                assessment.findings,
                session.system,
                self.colours.currentData(),
                int(self.dots.currentData()),
                self.paper.currentData(),
            )  # fmt: skip
        )

    @Slot(object)
    def _written(self, path: Path) -> None:
        self.button.setEnabled(True)
        self.say(f"Wrote {path}.")

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.button.setEnabled(True)
        if isinstance(error, ExportError | OSError):
            self.say(f"Not exported: {error}.", refused=True)
        else:
            self.say(f"Not exported: the program failed at it, {type(error).__name__}: {error}.", refused=True)


def _box(name: str, choices: Sequence[tuple[str, str]], chosen: str = "") -> ChoiceBox:
    box = ChoiceBox()
    box.setAccessibleName(name)
    for key, text in choices:
        box.addItem(text, key)
    box.setCurrentIndex(max(box.findData(chosen), 0))
    return box
