"""What is given to the customer: the proposal as a PDF, whole or on one page, and the comparison as a table."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Slot
from PySide6.QtWidgets import QFileDialog, QFormLayout, QHBoxLayout, QWidget

from trainapp.desktop.background import Cancelled, Errands, Progress
from trainapp.desktop.busy import Busy
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.export_form import ask_path, folder_of, say_failed
from trainapp.desktop.options.desk import GivenUp, Ground
from trainapp.desktop.parts import BoxButton, TokenLabel, choice_box, wrapped
from trainapp.desktop.printing import paper_for
from trainapp.desktop.tick_box import TickBox
from trainapp.reports.drawing.glyphs import with_unshown
from trainapp.reports.drawing.tokens import BODY, CAPTION
from trainapp.studies.options import Proposal, Proposer, SearchCancelled
from trainapp.studies.options.contender import Contender, reason_now

if TYPE_CHECKING:
    from trainapp.desktop.options.view import OptionsView

WHAT = (
    ("whole", "Proposal, PDF", ".pdf"), ("short", "Proposal on one page, PDF", ".pdf"), ("xlsx", "Comparison, workbook (XLSX)", ".xlsx"),
    ("csv", "Comparison, CSV", ".csv"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Job:
    """One thing to be written: what, where, of which columns, with whose logo and terms."""

    what: str
    path: Path
    paper: str
    ground: Ground
    columns: tuple[Contender, ...]
    proposal: Proposal
    logo: Path | None
    terms: Path | None
    full_bill: bool
    progress: Progress


def write(job: Job, cancelled: Cancelled) -> Path:
    """Write it; the file that was written.

    Raises:
        ExportError: one sentence.
    """
    from trainapp.reports.print_paper import PAPERS
    from trainapp.reports.proposal import write_proposal
    from trainapp.reports.proposal_extras import Extras, read_logo, read_terms
    from trainapp.reports.proposal_offer import Drawn, offer_of

    ground = job.ground
    proposer = Proposer(ground.what_if.document(ground.document), None, ground.system)
    columns = [replace(column, reason=reason_now(column, job.columns)) for column in job.columns]
    drawn = Drawn(ground.document, ground.prices)
    try:
        offer = offer_of(proposer, job.proposal, columns, drawn=drawn, lived=True, cancelled=cancelled)
    except SearchCancelled:
        raise GivenUp from None
    if job.what in ("xlsx", "csv"):
        from trainapp.reports.proposal_table import write_comparison

        write_comparison(offer, job.path, paper=job.paper)
        return job.path
    logo = read_logo(job.logo) if job.logo is not None else None
    extras = Extras(logo, read_terms(job.terms) if job.terms is not None else "", datetime.date.today())
    try:
        write_proposal(
            offer, job.path, extras, paper=PAPERS[job.paper], short=job.what == "short", full_bill=job.full_bill,
            progress=job.progress.tell, cancelled=cancelled,
        )  # fmt: skip
    except SearchCancelled:
        raise GivenUp from None
    return job.path


class ProposalWindow(SideWindow):
    """Asks what, on which paper, with whose logo and terms, then where."""

    def __init__(self, view: OptionsView, parent: QWidget | None = None) -> None:
        super().__init__("Print proposal", QSize(560, 350), parent)
        self.view = view
        self.files: dict[str, Path | None] = {"logo": None, "terms": None}
        self.what = choice_box("What to print", [(key, text) for key, text, _ in WHAT])
        self.paper = choice_box("Paper", (("letter", "Letter"), ("a4", "A4")), paper_for(view.session.system).name)
        form = QFormLayout()
        form.setHorizontalSpacing(12)
        form.setVerticalSpacing(8)
        form.addRow(TokenLabel("What", "ink", BODY), self.what)
        form.addRow(TokenLabel("Paper", "ink", BODY), self.paper)
        self.bill = TickBox("Every line of cost, as an appendix")
        self.what.currentIndexChanged.connect(self._fit)
        form.addRow(TokenLabel("Full bill", "ink", BODY), self.bill)
        self.named: dict[str, TokenLabel] = {}
        for key, text in (("logo", "Own logo"), ("terms", "Own terms")):
            form.addRow(TokenLabel(text, "ink", BODY), self._file(key, text))
        self.column.addLayout(form)
        kept = "The columns of the board as they stand, under the names that they have, with every caution and all that was not judged."
        self.column.addWidget(wrapped(kept, "ink2", CAPTION))
        self.column.addStretch(1)
        self.busy = Busy()
        self.busy.given_up.connect(self._given_up)
        self.column.addWidget(self.busy)
        self.button = BoxButton("Write…", "Choose the file and write")
        self.button.clicked.connect(self.do_write)
        self.add_button(self.button)
        self._errands = Errands(write, "proposal", self)
        self._errands.answered.connect(self._written)
        self._errands.failed.connect(self._failed)
        self.what.setFocus(Qt.FocusReason.OtherFocusReason)

    @Slot()
    def _fit(self) -> None:
        """The comparison has every line anyway, and one page has no room for them."""
        self.bill.setEnabled(self.what.currentData() == "whole")

    def _file(self, key: str, name: str) -> QWidget:
        line = QWidget()
        row = QHBoxLayout(line)
        row.setContentsMargins(0, 0, 0, 0)
        self.named[key] = TokenLabel("none", "ink3", BODY)
        pick = BoxButton("Pick…", f"Pick a file: {name}")
        pick.setObjectName(key)
        pick.clicked.connect(self._pick)
        row.addWidget(self.named[key], 1)
        row.addWidget(pick)
        return line

    def _pick(self) -> None:
        sender = self.sender()
        key = sender.objectName() if sender is not None else ""
        kinds = {"logo": "Pictures (*.png *.jpg *.jpeg);;All files (*)", "terms": "Texts (*.txt);;All files (*)"}
        name, _ = QFileDialog.getOpenFileName(self, "Pick a file", self.view.prefs.folder, kinds[key])
        self.files[key] = Path(name) if name else None
        self.named[key].setText(Path(name).name if name else "none")

    def do_write(self) -> None:
        """Ask for a file, and write it."""
        key, ending = str(self.what.currentData()), WHAT[max(self.what.currentIndex(), 0)][2]
        session = self.view.session
        path = ask_path(self, "Print proposal", folder_of(session, self.view.prefs) / f"{session.slug}-options{ending}")
        if path is not None:
            self.write_to(key, path)

    def write_to(self, what: str, path: Path) -> None:
        """Write to a file."""
        view = self.view
        if view.ground is None or view.proposal is None or view.stale:
            self.say("Not written: the board is still being counted.", refused=True)
            return
        self.button.setEnabled(False)
        self.say(f"Writing {path.name}…")
        progress = Progress()
        paper = str(self.paper.currentData())
        proposal = view.proposal_now()
        job = Job(
            what, path, paper, view.ground, view.columns, proposal, self.files["logo"], self.files["terms"], self.bill.isChecked(), progress
        )
        self._errands.ask(job)
        self.busy.begin("Writing", progress)

    def _given_up(self) -> None:
        self._errands.drop()
        self.busy.end()
        self.button.setEnabled(True)
        self.say("Given up: nothing was written.")

    @Slot(object)
    def _written(self, path: Path) -> None:
        self.busy.end()
        self.button.setEnabled(True)
        self.say(with_unshown(f"Wrote {path}."))

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.busy.end()
        self.button.setEnabled(True)
        say_failed(self, "Not written", error, ValueError)
