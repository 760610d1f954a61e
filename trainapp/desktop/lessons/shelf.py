"""The lessons that there are: the program's own and the user's, read again whenever the view is turned to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from trainapp.studies import lessons
from trainapp.studies.lessons import Lesson, LessonError


@dataclass(frozen=True, slots=True)
class Kept:
    """One lesson.

    Attributes:
        key: what its guesses are kept by: its name, or the path of the user's own file.
        number: place among the program's own, from 1; 0 for the user's. of: how many those are.
        path: of the user's own file.
    """

    key: str
    lesson: Lesson
    number: int = 0
    of: int = 0
    path: Path | None = None

    @property
    def counted(self) -> str:
        """ "Lesson 1 of 8", or that it is one's own."""
        return f"Lesson {self.number} of {self.of}" if self.number else "Own lesson"


@dataclass(frozen=True, slots=True)
class Found:
    """All lessons that could be read, a sentence about each file that could not, and the user's own files among those."""

    lessons: tuple[Kept, ...]
    problems: tuple[str, ...]
    bad: tuple[Path, ...] = ()


def found(own: Sequence[Path]) -> Found:
    """The program's own lessons, then the user's."""
    there = lessons.load_all()
    kept = [Kept(lesson.name, lesson, i + 1, len(there.lessons)) for i, lesson in enumerate(there.lessons)]
    problems, bad = [str(error) for error in there.errors], []
    for path in own:
        try:
            kept.append(Kept(str(path), lessons.load(path), path=path))
        except LessonError as error:
            problems.append(str(error))
            bad.append(path)
    return Found(tuple(kept), tuple(problems), tuple(bad))
