"""The lessons that there are: the program's own, and those of other folders."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from trainapp import data
from trainapp.studies.lessons.errors import LessonError
from trainapp.studies.lessons.model import Lesson
from trainapp.studies.lessons.reading import ENDING, load


@dataclass(frozen=True, slots=True)
class Lessons:
    """All lessons that could be read, in their order, and what is wrong with the files of the others."""

    lessons: tuple[Lesson, ...]
    errors: tuple[LessonError, ...]


def lessons_path() -> Path:
    """Where the program's own lessons lie."""
    return data.resources_path("lessons")


def load_all(folders: Iterable[str | Path] = ()) -> Lessons:
    """The program's own lessons and those of further folders, in their order; a bad file does not keep the others away."""
    found, errors = [], []
    for folder in (lessons_path(), *map(Path, folders)):
        for path in sorted(folder.glob(f"*{ENDING}")) if folder.is_dir() else ():
            try:
                found.append(load(path))
            except LessonError as error:
                errors.append(error)
    return Lessons(tuple(sorted(found, key=lambda lesson: (lesson.order, lesson.title))), tuple(errors))


def find(name: str | os.PathLike[str]) -> Lesson:
    """A lesson by its name among the program's own, or by the path of its file.

    Raises:
        LessonError: there is none, or its file is bad.
    """
    own = lessons_path() / f"{os.fspath(name)}{ENDING}"
    plain = os.fspath(name)
    if os.sep not in plain and not plain.endswith(ENDING) and own.is_file():
        return load(own)
    if Path(plain).suffix or os.sep in plain or Path(plain).exists():
        return load(plain)
    names = ", ".join(path.name.removesuffix(ENDING) for path in sorted(lessons_path().glob(f"*{ENDING}")))
    raise LessonError("", f'"{plain}" is neither a file nor one of the lessons: {names}')
