"""Playing a lesson: its trains are made, run and judged."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from trainapp import units
from trainapp.dimensions import DAY, HOUR, YEAR
from trainapp.stages.working import Array
from trainapp.studies.lessons import judging, measures
from trainapp.studies.lessons.errors import Bad, LessonError
from trainapp.studies.lessons.model import LETTERS, Lesson, Measure, Scalar
from trainapp.studies.lessons.numbers import Number, parsed
from trainapp.studies.lessons.played import Chart, ChartLine, Played, PlayedBench
from trainapp.studies.lessons.reading import located
from trainapp.studies.lessons.trains import document_of, options_of, reaches
from trainapp.studies.year import Cancelled, Options, Progress, Year, YearError, run
from trainapp.train.document import Document
from trainapp.train.errors import DocumentError
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

#: Points of a chart over a control at the most.
_POINTS = 25


def play(
    lesson: Lesson, changes: Mapping[str, Scalar] | None = None, *, progress: Progress | None = None, before: Played | None = None
) -> Played:
    """Work a lesson out.

    Args:
        lesson: what is played.
        changes: values of controls by their key; the others stand where the scene has them.
        progress: told the share that is done, 0 to 1; where it answers False the play stops.
        before: an earlier play of the same lesson, of which what has not changed is taken over.

    Raises:
        LessonError: a train, a number or a change that cannot be; the place is that of the lesson.
        Cancelled: `progress` stopped it.
    """
    try:
        return _played(lesson, _values(lesson, changes or {}), progress, before)
    except LessonError as error:
        raise located(lesson, error) from None


def _played(lesson: Lesson, values: Mapping[str, Scalar], progress: Progress | None, before: Played | None) -> Played:
    """A lesson with all its controls at some values."""
    documents = tuple(document_of(lesson, i, values) for i in range(len(lesson.benches)))
    for i, control in enumerate(lesson.controls):
        if not reaches(lesson, control, documents):
            raise LessonError(("controls", f"#{i + 1}", "paths"), "neither bench has what this changes")
    options = [options_of(lesson, i, values) if _needs_year(lesson) else None for i in range(len(documents))]
    over = lesson.watch.over
    share = _Share(progress, (0.9 if over == "time" else 0.3) / len(documents))
    sides = [_side(lesson, i, document, options[i], share, before) for i, document in enumerate(documents)]
    numbers = [number for _, _, number, _ in sides]
    limit, stands, right = judging.judged(lesson, numbers)
    benches = tuple(
        PlayedBench(LETTERS[i], lesson.benches[i].label, documents[i], evaluation, year, number, stands[i])
        for i, (evaluation, year, number, _) in enumerate(sides)
    )
    day = sides[0][3]
    chart = _over_time(lesson, benches, limit, day) if over == "time" else _over_control(lesson, values, benches, limit, share)
    share.done()
    hour = None if options[0] is None else min((day + 1) * DAY / HOUR, options[0].days * 24.0) - 1.0
    return Played(lesson, values, benches, chart, limit, right, hour)


def play_tries(played: Played, *, progress: Progress | None = None) -> tuple[Played, ...]:
    """Everything that the lesson says to try, played one after the other.

    Raises:
        LessonError, Cancelled: as :func:`play`.
    """
    lesson, found = played.lesson, list[Played]()
    for i, attempt in enumerate(lesson.tries):
        told = None if progress is None else partial(_part, progress, i, len(lesson.tries))
        found.append(play(lesson, attempt.set, progress=told, before=played))
    return tuple(found)


def _part(progress: Progress, index: int, count: int, share: float) -> bool:
    return progress((index + share) / count)


def _values(lesson: Lesson, changes: Mapping[str, Scalar]) -> dict[str, Scalar]:
    values: dict[str, Scalar] = {control.key: control.checked(control.start) for control in lesson.controls}
    for key, value in changes.items():
        try:
            values[key] = lesson.control(key).checked(value)
        except KeyError:
            raise LessonError(("changes", key), "this lesson has no such control") from None
        except Bad as bad:
            raise LessonError(("changes", key), bad.sentence) from None
    return values


def _needs_year(lesson: Lesson) -> bool:
    return lesson.measure.read != "check" or (lesson.watch.read or "check") == "year"


class _Share:
    """Progress of several parts, one after the other, as one share."""

    def __init__(self, progress: Progress | None, part: float) -> None:
        self.progress, self.part, self.start = progress, part, 0.0

    def part_of(self, inner: float) -> bool:
        """Told by one part how far it is."""
        return self.tell(self.start + self.part * inner)

    def tell(self, share: float) -> bool:
        if self.progress is not None and not self.progress(min(share, 1.0)):
            raise Cancelled
        return True

    def next(self) -> None:
        self.start += self.part
        self.tell(self.start)

    def done(self) -> None:
        if self.progress is not None:
            self.progress(1.0)


# One bench ------------------------------------------------------------------------------------------------------------------------


def _side(
    lesson: Lesson, index: int, document: Document, options: Options | None, share: _Share, before: Played | None
) -> tuple[Evaluation, Year | None, Number, int]:
    """A bench's evaluation, year, number, and the day that it stands for."""
    at = ("benches", f"#{index + 1}")
    old = before.benches[index] if before is not None and before.lesson is lesson else None
    try:
        if old is not None and old.document == document and (None if old.year is None else old.year.options) == options:
            evaluation, year = old.evaluation, old.year
        else:
            evaluation = evaluate(open_plan(document))
            year = None if options is None else run(document, options, progress=share.part_of)
    except (DocumentError, YearError) as error:
        raise LessonError(at, str(error)) from None
    share.next()
    number, day = _number(lesson.measure, evaluation, year)
    return evaluation, year, number, day


def _number(measure: Measure, evaluation: Evaluation, year: Year | None) -> tuple[Number, int]:
    try:
        if measure.read == "check" or year is None:
            return measures.of_check(evaluation, measure), 0 if year is None else measures.day_of(measure.month, year.options.days)
        if measure.read == "total":
            return measures.of_total(year, measure.key), year.options.days - 1
        return measures.taken(measures.of_year(year, measure), measure.take, measure.month)
    except LessonError as error:
        raise LessonError(("measure", error.place), error.sentence) from None


# The chart ------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Of:
    """What the chart reads: the watch's own words, or those of the measure."""

    at: str
    key: str
    where: str
    flow: str
    of_day: str


def _watched(lesson: Lesson) -> tuple[_Of, str, str]:
    """What the chart reads, its label, and the part of the lesson that says so."""
    part = lesson.watch if lesson.watch.key else lesson.measure
    label = lesson.watch.label or lesson.measure.label
    return _Of(part.at, part.key, part.where, part.flow, part.of_day), label, "watch" if lesson.watch.key else "measure"


def _wanted(lesson: Lesson, limit: float | None, dimension: str) -> float | None:
    """The dotted line."""
    if lesson.watch.wanted:
        try:
            return parsed(lesson.watch.wanted, dimension)
        except units.UnitError as error:
            raise LessonError("watch.wanted", str(error)) from None
    measure, watch = lesson.measure, lesson.watch
    same = not watch.key or (watch.at, watch.key, watch.where) == (measure.at, measure.key, measure.where)
    return limit if same and measure.read != "total" else None


def _over_time(lesson: Lesson, benches: tuple[PlayedBench, ...], limit: float | None, day: int) -> Chart:
    of, label, part = _watched(lesson)
    courses = [(bench, course) for bench in benches if (course := _course(bench, of, part, len(benches) == 1)) is not None]
    if not courses:
        raise LessonError((part, "at"), "neither bench has what the chart shows")
    dimension = courses[0][1].dimension
    lines = tuple(
        ChartLine(bench.letter, bench.label, _months(len(c.values)), c.values, c.low, c.high) for bench, c in courses
    )  # fmt: skip
    now = float(_months(len(courses[0][1].values))[day])
    return Chart(label, dimension, lines, "time", "", "", _wanted(lesson, limit, dimension), now, any(c.illustrative for _, c in courses))


def _course(bench: PlayedBench, of: _Of, part: str, needed: bool) -> measures.Course | None:
    """A bench's course; None where it has no such place and another bench may."""
    assert bench.year is not None
    if not needed and of.at not in bench.year.machine.plan.order:
        return None
    try:
        return measures.of_year(bench.year, of)
    except LessonError as error:
        raise LessonError((part, error.place), error.sentence) from None


def _months(days: int) -> Array:
    """Months of the run at the end of each day."""
    return np.asarray(np.arange(1, days + 1) * DAY / (YEAR / 12))


def _over_control(
    lesson: Lesson, values: Mapping[str, Scalar], benches: tuple[PlayedBench, ...], limit: float | None, share: _Share
) -> Chart:
    of, label, part = _watched(lesson)
    control = lesson.control(lesson.watch.over)
    assert control.min is not None and control.max is not None and control.step is not None
    steps = max(round((control.max - control.min) / control.step), 1)
    stride = int(np.ceil(steps / (_POINTS - 1)))
    points = [min(control.min + i * control.step, control.max) for i in range(0, steps + 1, stride)]
    points += [control.max] if points[-1] < control.max else []
    share.part = 0.7 / (len(points) * len(benches))
    lines, dimension = [], ""
    for i, bench in enumerate(benches):
        found = list(_swept(lesson, i, of, part, [{**values, control.key: point} for point in points], share.next))
        dimension = found[0].dimension
        y = np.array([number.value for number in found])
        x = np.array([_internal(control.dimension, control.unit, point) for point in points])
        lines.append(ChartLine(bench.letter, bench.label, x, y, None, None))
    now = _internal(control.dimension, control.unit, float(values[control.key]))
    wanted = _wanted(lesson, limit, dimension)
    return Chart(label, dimension, tuple(lines), control.key, control.label, control.dimension, wanted, now, False)


def _swept(
    lesson: Lesson, index: int, of: _Of, part: str, at: list[dict[str, Scalar]], told: Callable[[], None]
) -> Iterator[Number]:  # fmt: skip
    for values in at:
        try:
            yield measures.of_check(evaluate(open_plan(document_of(lesson, index, values))), of)
        except LessonError as error:
            raise error if error.place not in ("at", "key") else LessonError((part, error.place), error.sentence) from None
        except DocumentError as error:
            raise LessonError("watch.over", str(error)) from None
        told()


def _internal(dimension: str, unit: str, value: float) -> float:
    return units.parse(f"{value:.9g} {unit}".rstrip(), dimension)
