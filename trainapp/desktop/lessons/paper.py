"""Worksheet and answer sheet of a lesson, written away from the window: the lesson is worked out first, as its scene has it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from trainapp.desktop.background import Cancelled, Errands, Progress
from trainapp.reports.drawing.glyphs import with_unshown
from trainapp.reports.export_file import ExportError
from trainapp.reports.lesson_sheet import write_lesson_sheet
from trainapp.reports.print_paper import Paper
from trainapp.studies import lessons
from trainapp.studies.lessons import Lesson, LessonError
from trainapp.units import System

_TELL = 250


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is to be printed, where, and how; `meter` tells how far it is."""

    lesson: Lesson
    path: Path
    answers: bool
    system: System
    paper: Paper
    meter: Progress = field(default_factory=Progress)


def write(sheet: Sheet, cancelled: Cancelled) -> Path:
    """Write it; the file that was written.

    Raises:
        LessonError, ExportError: one sentence; there is no file then.
    """
    part = 0.3 if sheet.answers else 0.9

    def first(share: float) -> bool:
        sheet.meter.share = part * share
        return not cancelled()

    def then(share: float) -> bool:
        sheet.meter.share = part + (0.95 - part) * share
        return not cancelled()

    played = lessons.play(sheet.lesson, progress=first)
    tried = lessons.play_tries(played, progress=then) if sheet.answers else ()
    write_lesson_sheet(played, sheet.path, answers=sheet.answers, tried=tried, system=sheet.system, paper=sheet.paper)
    return sheet.path


class SheetWriter(QObject):
    """Writes sheets one at a time, says how far each is, and can be stopped."""

    #: Signal emitted with a sentence, whether it is of something that went wrong, and whether it goes on.
    told = Signal(str, bool, bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._sheet: Sheet | None = None
        self._errands = Errands(write, "lesson sheet", self)
        self._errands.answered.connect(self._written)
        self._errands.failed.connect(self._failed)
        self._tell = QTimer(self)
        self._tell.setInterval(_TELL)
        self._tell.timeout.connect(self._progress)

    def write(self, sheet: Sheet) -> None:
        """Write a sheet; one that is being written is given up."""
        self._sheet = sheet
        self._errands.ask(sheet)
        self._tell.start()
        self._progress()

    @Slot()
    def stop(self) -> None:
        """Give up what is being written; there is no file then."""
        if self._errands.busy:
            self._errands.drop()
            self._tell.stop()
            self.told.emit("Not written: stopped.", False, False)

    def _progress(self) -> None:
        if self._sheet is not None:
            self.told.emit(f"Writing {self._sheet.path.name}, {100 * self._sheet.meter.share:.0f}\u202f%", False, True)

    @Slot(object)
    def _written(self, path: Path) -> None:
        self._tell.stop()
        self.told.emit(with_unshown(f"Wrote {path}."), False, False)

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self._tell.stop()
        known = isinstance(error, ExportError | LessonError | OSError)
        text = f"{error}" if known else f"the program failed at it, {type(error).__name__}: {error}"
        self.told.emit(f"Not written: {text}", True, False)
