"""A lesson's file to a lesson and back."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from trainapp.spelling import inside
from trainapp.studies.lessons import sound, toml
from trainapp.studies.lessons.errors import Bad, LessonError
from trainapp.studies.lessons.model import FORMAT, VERSION, Lesson
from trainapp.train.errors import DocumentError, quoted
from trainapp.train.model import first_problem
from trainapp.train.reading import decode, inspect, read_file

ENDING = ".lesson.toml"
_AT = re.compile(r" \(at line (\d+), column \d+\)")
#: What pydantic finds in a lesson beyond what it may find in a document.
_PLAIN = {
    "extra_forbidden": "a lesson has no such key",
    "string_too_long": "{} is too long: at most {max_length} letters",
    "string_too_short": "nothing stands here",
    "string_pattern_mismatch": "{} is not a short name of small letters, digits, - and _",
    "int_type": "{} is not a whole number",
    "int_from_float": "{} is not a whole number",
    "float_type": "{} is not a number",
    "finite_number": "{} is not a number",
    "too_long": "these are too many: at most {max_length}",
    "too_short": "these are too few: at least {min_length}",
    "greater_than_equal": "{} is below {ge:g}",
    "less_than_equal": "{} is above {le:g}",
}


def load(path: str | Path) -> Lesson:
    """A lesson from its file.

    Raises:
        LessonError: the first thing wrong, with file and line.
    """
    path = Path(path)
    try:
        text = read_file(path)
    except DocumentError as error:
        raise LessonError("", error.sentence, file=path.name) from None
    try:
        lesson = loads(text)
    except LessonError as error:
        raise error.in_file(path.name) from None
    return placed(lesson, path, text)


def loads(text: str | bytes) -> Lesson:
    """A lesson from its text.

    Raises:
        LessonError: with the line.
    """
    try:
        text = (decode(text) if isinstance(text, bytes) else text.removeprefix("\ufeff")).replace("\r\n", "\n")
        tree = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(str(error), text) from None
    except DocumentError as error:
        raise LessonError(error.place, error.sentence) from None
    except (RecursionError, ValueError):
        raise LessonError("", "this is not TOML that a lesson can be made of") from None
    try:
        return lesson_of(tree)
    except LessonError as error:
        steps = tuple(error.place.split(".")) if error.place else ()
        raise LessonError(error.place, error.sentence, line=toml.line_of(text, steps)) from None


def lesson_of(tree: Mapping[str, Any]) -> Lesson:
    """A lesson from a plain tree, as a file or an editor has it.

    Raises:
        LessonError: the first thing wrong; list members are counted from 1 ("answers.#2.when").
    """
    if tree.get("format") != FORMAT:
        raise LessonError("format", f"this is not a lesson: its format is not {quoted(FORMAT)}")
    if tree.get("version") != VERSION or isinstance(tree.get("version"), bool):
        raise LessonError("version", f"{quoted(tree.get('version'))} is not a version that this program reads ({VERSION})")
    try:
        inspect(tree)
        lesson = Lesson.model_validate(dict(tree))
        sound.check(lesson)
    except ValidationError as error:
        bad = _problem(error)
        raise LessonError(bad.at, bad.sentence) from None
    except Bad as bad:
        raise LessonError(bad.at, bad.sentence) from None
    except DocumentError as error:
        raise LessonError(error.place, error.sentence) from None
    return lesson


def tree_of(lesson: Lesson) -> dict[str, Any]:
    """The plain tree of a lesson: what :func:`lesson_of` makes it of; defaults are left out."""
    tree = lesson.model_dump(exclude_defaults=True)
    for control in tree.get("controls", ()):
        control["paths"] = [spot["path"] if spot.keys() == {"path"} else spot for spot in control["paths"]]
    return tree


def dumps(lesson: Lesson) -> str:
    """The text of a lesson's file."""
    return toml.written(tree_of(lesson))


def placed(lesson: Lesson, path: Path, text: str | None = None) -> Lesson:
    """The same lesson, of that file; `text` is what stands in it, where that is not how it would be written."""
    copy = lesson.model_copy()
    copy._file, copy._text = path.name, dumps(lesson) if text is None else text
    copy._name = path.name.removesuffix(ENDING) if path.name.endswith(ENDING) else path.stem
    copy._folder = str(path.parent)
    return copy


def located(lesson: Lesson, error: LessonError) -> LessonError:
    """What is wrong with a lesson, with the file and the line that it was read from; as it is where there is none."""
    if not lesson._file or error.file or error.place.startswith("changes"):
        return error
    return error.in_file(lesson._file, toml.line_of(lesson._text, tuple(error.place.split("."))))


def _problem(error: ValidationError) -> Bad:
    problem = error.errors(include_url=False)[0]
    at = first_problem(error).at
    sentence = _PLAIN.get(problem["type"])
    if sentence is None:
        return first_problem(error)
    # the arms of a union have names of their own, which no file has
    at = tuple(step for step in at if step not in ("str", "int", "float", "bool"))
    return Bad(sentence.format(quoted(problem["input"]), **problem.get("ctx", {})), at)


def _not_toml(told: str, text: str | bytes) -> LessonError:
    """What the parser says, its line made ours."""
    found = _AT.search(told)
    end = max(text.count("\n"), 1) if isinstance(text, str) else None
    reason = _AT.sub("", told) if found else told.removesuffix(" (at end of document)")
    return LessonError("", f"this is not TOML: {inside(reason)}", line=int(found[1]) if found else end)
