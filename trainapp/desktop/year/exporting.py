"""The window that asks what of the year to write to a file, shows how far that is, and lets it be stopped."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QSize, Slot
from PySide6.QtWidgets import QHBoxLayout, QWidget

from trainapp.desktop.export_form import ExportForm, say_failed
from trainapp.desktop.parts import BoxButton, choice_box
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.desktop.year.head import ProgressLine
from trainapp.desktop.year.runner import Runner
from trainapp.desktop.year.work import Answer
from trainapp.desktop.year.writing import FORMATS, Export, write
from trainapp.reports.drawing.glyphs import with_unshown
from trainapp.reports.year_series import ChartError, Line
from trainapp.spelling import spelt

#: Pictures of an animation by words; at 20 a second.
PICTURES = (("60", "60, small"), ("120", "120"), ("240", "240"), ("365", "365, large"))
WIDTHS = (("640", "640 px"), ("960", "960 px"), ("1280", "1280 px"))
DOTS = (("96", "96 dots an inch"), ("192", "192 dots an inch"), ("300", "300 dots an inch"))
COLOURS = (("", "as on the screen"), ("light", "light"), ("dark", "dark"), ("light, high contrast", "high contrast"))
ALL = "all"


class YearExport(ExportForm):
    """Asks what to write and how, then where."""

    def __init__(self, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        self.session, self.prefs = session, prefs
        self.answer: Answer | None = None
        self.charts: Sequence[Sequence[Line]] = ()
        self.span: tuple[int, int] | None = None
        self.chart = choice_box("Which chart", ())
        self.pictures = choice_box("Pictures", PICTURES, "120")
        self.width_box = choice_box("Width", WIDTHS, "960")
        self.dots = choice_box("Resolution", DOTS, "192")
        self.colours = choice_box(spelt("Colours"), COLOURS)
        boxes = (
            ("chart", "Which chart", self.chart), ("pictures", "Pictures", self.pictures), ("width", "Width", self.width_box),
            ("dots", "Resolution", self.dots), ("colours", spelt("Colours"), self.colours),
        )  # fmt: skip
        super().__init__("Export the year", QSize(560, 330), FORMATS, boxes, "What to write", parent)
        self._add_progress()
        self._runner = Runner(write, "year export", self)
        self._runner.answered.connect(self._written)
        self._runner.failed.connect(self._failed)
        self._runner.progressed.connect(self._show_progress)
        self._runner.turned.connect(self._turned)
        self.button.clicked.connect(self.do_export)
        session.destroyed.connect(self.close)
        self._turned()

    def _add_progress(self) -> None:
        self.progress = ProgressLine("Progress of the export")
        self.cancel = BoxButton("Cancel", "Stop writing")
        self.cancel.clicked.connect(self.stop)
        line = QHBoxLayout()
        line.addWidget(self.progress)
        line.addWidget(self.cancel)
        line.addStretch(1)
        self.column.addLayout(line)

    @property
    def busy(self) -> bool:
        """Whether something is being written."""
        return self._runner.busy

    def take(self, answer: Answer, charts: Sequence[Sequence[Line]], span: tuple[int, int] | None) -> None:
        """Write of this answer from now on, and of these charts."""
        self.answer, self.charts, self.span = answer, [lines for lines in charts if lines], span
        kept = self.chart.currentData()
        self.chart.clear()
        self.chart.addItem("all that are shown", ALL)
        for i, lines in enumerate(self.charts):
            self.chart.addItem(", ".join(dict.fromkeys(f"{line.quantity.label}, {line.name}" for line in lines)), str(i))
        self.chart.setCurrentIndex(max(self.chart.findData(kept), 0))
        self._chosen()

    # Written ----------------------------------------------------------------------------------------------------------------------

    def _why_not(self) -> str:
        if self.answer is None:
            return "nothing has run yet"
        if self.format.key.startswith("charts") and not self.charts:
            return "no chart is shown"
        if self.format.key.startswith("pair") and self.answer.pair is None:
            return "one train runs alone; choose Before and after, or Compare, first"
        return ""

    def do_export(self) -> None:
        """Ask for a file, and write it."""
        why = self._why_not()
        if why or self.answer is None:
            self.say(f"Not written: {why}.", refused=True)
            return
        path = self.path_for(self.session, self.prefs, "-year")
        if path is None:
            return
        export = Export(
            self.format.key, path, self.answer, self._chosen_charts(), self.span, self.session.system,
            theme=self.colours.currentData() or look().name,
            dots=int(self.dots.currentData()),
            pictures=int(self.pictures.currentData()),
            width=int(self.width_box.currentData()),
        )  # fmt: skip
        self.say(f"Writing {path.name}…")
        self._runner.ask(export, export.gauge)

    def _chosen_charts(self) -> Sequence[Sequence[Line]]:
        key = self.chart.currentData()
        return self.charts if key in (None, ALL) else [self.charts[int(key)]]

    def stop(self) -> None:
        """Stop writing; the file stays as it was."""
        if self.busy:
            self._runner.cancel()
            self.say("Stopped; nothing was written.")

    def _turned(self) -> None:
        self.button.setEnabled(not self.busy)
        for widget in (self.progress, self.cancel):
            widget.setVisible(False)

    def _show_progress(self, share: float) -> None:
        self.progress.show_share(share)
        for widget in (self.progress, self.cancel):
            widget.setVisible(True)

    @Slot(object)
    def _written(self, path: Path) -> None:
        self.say(with_unshown(f"Wrote {path}."))

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        say_failed(self, self.refusal, error, ChartError)
