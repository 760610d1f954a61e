"""A lesson to its file."""

from __future__ import annotations

from pathlib import Path

from trainapp.studies.lessons.errors import LessonError
from trainapp.studies.lessons.model import Bench, Lesson
from trainapp.studies.lessons.reading import ENDING, dumps, placed
from trainapp.studies.lessons.trains import train_names
from trainapp.train.document import dumps as train_text
from trainapp.train.document import load as load_train
from trainapp.train.errors import DocumentError
from trainapp.train.whole_file import replace_file


def save(lesson: Lesson, path: str | Path) -> Lesson:
    """Write a lesson; its file is whole or is as it was. The lesson of that file is given back.

    Trains that it names by a path from another folder are written into it.

    Raises:
        LessonError: the name does not end in .lesson.toml, or the disk refuses.
    """
    target = Path(path)
    if not target.name.endswith(ENDING) or target.name == ENDING:
        raise LessonError("", f"a lesson's file ends in {ENDING}", file=target.name)
    if lesson.folder and Path(lesson.folder).resolve() != target.parent.resolve():
        lesson = lesson.model_copy(update={"benches": [_carried(bench, Path(lesson.folder), i) for i, bench in enumerate(lesson.benches)]})
    text = dumps(lesson).encode()
    try:
        replace_file(target, text)
    except OSError as error:
        raise LessonError("", f"cannot be written: {(error.strerror or 'unknown reason').lower()}", file=target.name) from None
    return placed(lesson, target, text.decode())


def _carried(bench: Bench, folder: Path, index: int) -> Bench:
    """A bench that needs no other file."""
    if not bench.train or bench.train in train_names():
        return bench
    try:
        document = load_train(folder / bench.train)
    except DocumentError as error:
        raise LessonError(("benches", f"#{index + 1}", "train"), str(error)) from None
    return bench.model_copy(update={"train": "", "document": train_text(document)})
