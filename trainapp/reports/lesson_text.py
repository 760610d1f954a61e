"""What `trainapp lesson` prints."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from trainapp.reports.lesson_words import control_rows, how_it_is_judged, outcome_rows, what_is_read
from trainapp.sources import source
from trainapp.studies.lessons import ENDING, Control, Lesson, LessonError, Lessons, Played, Scalar, disagreements, said
from trainapp.train.errors import quoted
from trainapp.units import System


def list_lines(found: Lessons) -> Iterator[str]:
    """Every lesson by its name, in order; files that cannot be used come last, with that word."""
    broken = [Path(error.file).name.removesuffix(ENDING) for error in found.errors]
    width = max((len(name) for name in (*(lesson.name for lesson in found.lessons), *broken)), default=0)
    for lesson in found.lessons:
        yield f"{lesson.name:<{width}}  {lesson.title}"
    for name in broken:
        yield f"{name:<{width}}  broken: cannot be used"


def show_lines(played: Played, system: System) -> Iterator[str]:
    """A lesson from its scene to its point, worked out."""
    lesson = played.lesson
    yield lesson.title
    yield ""
    yield said(lesson, lesson.scene, system, played.values)
    yield ""
    yield said(lesson, lesson.question, system, played.values)
    for answer in lesson.answers:
        yield f"  {'*' if answer is played.right else '-'} {answer.text}"
    yield ""
    for letter, label, number, verdict in outcome_rows(played, system):
        yield f"{letter}  {label}: {number}{f' ({verdict})' if verdict else ''}"
    yield what_is_read(played)
    yield how_it_is_judged(played, system)
    yield f"Right answer: {played.answer_text()}"
    yield f"Safety: {said(lesson, lesson.safety, system, played.values)}"
    yield ""
    yield f"Point: {played.point(system)}"
    yield from _rest(lesson, played, system)


def _rest(lesson: Lesson, played: Played, system: System) -> Iterator[str]:
    """What may be changed, and what the lesson rests on."""
    for (label, span, start), control in zip(control_rows(played, system), lesson.controls, strict=True):
        yield f"Change {control.key}: {label}, {span}; in the scene {start}"
    for fact in lesson.facts:
        row = source(fact.source)
        yield f"Fact: {fact.text} [{row.label}; {fact.status or row.status_default}]"


def check_lines(played: Played, tried: Sequence[Played]) -> tuple[list[str], bool]:
    """What `lesson check` has to say, and whether the lesson and the engine agree."""
    wrong = disagreements(played, tried)
    if wrong:
        return list(wrong), False
    tries = f", and so does everything to try ({len(tried)})" if tried else ""
    return [f"{played.lesson.title}: the right answer, {quoted(played.lesson.point.answer)}, follows from the numbers{tries}"], True


def read_changes(lesson: Lesson, words: Sequence[str]) -> dict[str, Scalar]:
    """Values of controls as they are typed, "iron=2.5".

    Raises:
        LessonError: no such control, or nothing that it could be set to.
    """
    changes: dict[str, Scalar] = {}
    for word in words:
        key, equals, text = word.partition("=")
        try:
            control = lesson.control(key.strip())
        except KeyError:
            known = ", ".join(control.key for control in lesson.controls) or "none"
            raise LessonError("", f"--set: {quoted(key)} is not one of what may be changed: {known}") from None
        if not equals:
            raise LessonError("", f"--set: {quoted(word)} is not written as {control.key}=VALUE")
        changes[control.key] = _value(control, text.strip())
    return changes


def _value(control: Control, text: str) -> Scalar:
    for choice in control.choices:
        if text in (choice.text, str(choice.value)):
            return choice.value
    try:
        return float(text.removesuffix(control.unit).strip() if control.unit else text)
    except ValueError:
        return text


__all__ = ["check_lines", "list_lines", "read_changes", "show_lines"]
