"""What holds between the parts of a lesson: every answer that the engine could give is there to choose, and every name is known."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainapp import units
from trainapp.dimensions import DIMENSIONS
from trainapp.studies.lessons.model import Answer, Lesson
from trainapp.studies.lessons.wording import BRACES, LIMIT
from trainapp.train.errors import Bad, Place, number, quoted

#: Words of the point in braces that the numbers take the place of.
NUMBERS = ("A", "B", "ratio")
#: `when` of the answer that nobody can tell.
OPEN = "open"


def outcomes(lesson: Lesson) -> tuple[str, ...]:
    """Every `when` that the engine could find, empty for a lesson of ranges."""
    if lesson.judge.by == "range":
        return ()
    if lesson.judge.by == "compare":
        return ("A", "B", "alike")
    return ("A", "B", "both", "neither") if len(lesson.benches) == 2 else ("yes", "no")


def check(lesson: Lesson) -> None:
    """Refuse a lesson whose parts do not fit each other.

    Raises:
        Bad: the first thing wrong.
    """
    for at, sentence in _problems(lesson):
        raise Bad(sentence, at)


def _problems(lesson: Lesson) -> Iterator[tuple[Place, str]]:
    yield from _judging(lesson)
    yield from _twice("controls", "key", [control.key for control in lesson.controls])
    yield from _twice("answers", "text", [answer.text for answer in lesson.answers])
    yield from _ranges(lesson) if lesson.judge.by == "range" else _whens(lesson)
    yield from _named(lesson)
    yield from _braces(lesson)


def _braces(lesson: Lesson) -> Iterator[tuple[Place, str]]:
    """Words in braces that nothing can take the place of."""
    usual = (*([LIMIT] if lesson.judge.limit else []), *(control.key for control in lesson.controls))
    texts: list[tuple[Place, str, tuple[str, ...]]] = [
        (("scene",), lesson.scene, usual),
        (("question",), lesson.question, usual),
        (("watch", "text"), lesson.watch.text, usual),
        (("point", "text"), lesson.point.text, (*usual, *NUMBERS[: len(lesson.benches)], *NUMBERS[2:])),
        *((("tries", number(i), "text"), attempt.text, usual) for i, attempt in enumerate(lesson.tries)),
    ]
    for at, text, known in texts:
        for word in BRACES.findall(text):
            if word not in known:
                yield at, f"nothing is known to put in the place of {{{word}}}; known are {', '.join(known) or 'none'}"


def _judging(lesson: Lesson) -> Iterator[tuple[Place, str]]:
    judge, two = lesson.judge, len(lesson.benches) == 2
    if judge.by == "compare" and not two:
        yield ("judge", "by"), "only two benches can be compared"
    if judge.by == "range" and judge.on != "A" and not two:
        yield ("judge", "on"), f"{judge.on} needs two benches"
    if judge.by == "limit" and not judge.limit:
        yield ("judge",), '"limit" is missing'
    if judge.limit and not any(units.fits(judge.limit, dimension) for dimension in DIMENSIONS) and not _bare(judge.limit):
        yield ("judge", "limit"), f"{quoted(judge.limit)} is not a quantity"


def _bare(text: str) -> bool:
    try:
        float(text.split()[0])
    except (ValueError, IndexError):
        return False
    return len(text.split()) == 2


def _whens(lesson: Lesson) -> Iterator[tuple[Place, str]]:
    possible = outcomes(lesson)
    seen = []
    for i, answer in enumerate(lesson.answers):
        at: Place = ("answers", number(i))
        if answer.at_least is not None or answer.below is not None:
            yield at, "only a lesson that is judged by range has answers with at_least and below"
        if answer.when not in (*possible, OPEN):
            yield (*at, "when"), f"{quoted(answer.when)} is none of {', '.join((*possible, OPEN))}"
        seen.append(answer.when)
    yield from _twice("answers", "when", seen)
    for missing in possible:
        if missing not in seen:
            yield ("answers",), f'no answer is there for "{missing}", which the engine may find'


def _ranges(lesson: Lesson) -> Iterator[tuple[Place, str]]:
    """Ranges follow one another without a gap, the first open below and the last open above."""
    answers = lesson.answers
    for i, answer in enumerate(answers):
        if answer.when:
            yield ("answers", number(i), "when"), "a lesson that is judged by range has at_least and below instead"
        if (answer.at_least is None) != (i == 0):
            yield ("answers", number(i)), "the first answer has no at_least, every other has one"
        if (answer.below is None) != (i == len(answers) - 1):
            yield ("answers", number(i)), "the last answer has no below, every other has one"
    for i, (one, other) in enumerate(pairwise(answers)):
        if one.below != other.at_least:
            yield ("answers", number(i + 1), "at_least"), f"this range does not begin where the one before ends ({one.below})"
    edges = [_edge(answer) for answer in answers[1:]]
    for i, (low, high) in enumerate(pairwise(edges)):
        if low is not None and high is not None and not low < high:
            yield ("answers", number(i + 2), "at_least"), "the ranges do not rise"


def _edge(answer: Answer) -> float | None:
    """A range's lower end as a bare number, whatever its unit."""
    if isinstance(answer.at_least, str):
        try:
            return float(answer.at_least.split()[0])
        except (ValueError, IndexError):
            return None
    return answer.at_least


def _named(lesson: Lesson) -> Iterator[tuple[Place, str]]:
    """Names that other parts of the lesson have to know."""
    texts = [answer.text for answer in lesson.answers]
    if lesson.point.answer not in texts:
        yield ("point", "answer"), f"{quoted(lesson.point.answer)} is not the text of an answer"
    keys = {control.key: control for control in lesson.controls}
    for i, attempt in enumerate(lesson.tries):
        at: Place = ("tries", number(i))
        if attempt.answer not in texts:
            yield (*at, "answer"), f"{quoted(attempt.answer)} is not the text of an answer"
        for key, value in attempt.set.items():
            if key not in keys:
                yield (*at, "set", key), f"{quoted(key)} is not the key of a control"
            else:
                try:
                    keys[key].checked(value)
                except Bad as bad:
                    yield (*at, "set", key), bad.sentence
    over = lesson.watch.over
    if over != "time" and (over not in keys or keys[over].choices):
        yield ("watch", "over"), f'{quoted(over)} is neither "time" nor the key of a control that is a number'
    if over == "time" and (lesson.watch.read or lesson.measure.read) == "check":
        yield ("watch", "over"), 'a chart over time needs a year: say read = "year" and a key, or over = the key of a control'
    if over != "time" and (lesson.watch.read or lesson.measure.read) != "check":
        yield ("watch", "over"), 'a chart over a control shows what a check reads: say read = "check", at and key'
    if lesson.watch.read and not lesson.watch.key:
        yield ("watch",), '"key" is missing'
    if lesson.measure.read == "total" and not lesson.watch.key:
        yield ("watch",), "a total has no course: say read, at and key of what the chart shows"


def _twice(part: str, key: str, words: list[str]) -> Iterator[tuple[Place, str]]:
    for i, word in enumerate(words):
        if word in words[:i]:
            yield (part, number(i), key), f"{quoted(word)} is there twice"


__all__ = ["OPEN", "check", "outcomes"]
