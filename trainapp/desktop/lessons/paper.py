"""Worksheet and answer sheet of a lesson, written away from the window: the lesson is worked out first, as its scene has it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from trainapp.desktop.background import Cancelled
from trainapp.reports.lesson_sheet import write_lesson_sheet
from trainapp.reports.print_paper import Paper
from trainapp.studies import lessons
from trainapp.studies.lessons import Lesson
from trainapp.units import System


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is to be printed, where, and how."""

    lesson: Lesson
    path: Path
    answers: bool
    system: System
    paper: Paper


def write(sheet: Sheet, cancelled: Cancelled) -> Path:
    """Write it; the file that was written.

    Raises:
        LessonError, ExportError: one sentence; there is no file then.
    """

    def progress(_share: float) -> bool:
        return not cancelled()

    played = lessons.play(sheet.lesson, progress=progress)
    tried = lessons.play_tries(played, progress=progress) if sheet.answers else ()
    write_lesson_sheet(played, sheet.path, answers=sheet.answers, tried=tried, system=sheet.system, paper=sheet.paper)
    return sheet.path
