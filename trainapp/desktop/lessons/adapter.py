"""From a lesson as the engine knows it to what the player shows. Runs on the thread that works; only plain data crosses over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from trainapp.desktop.background import Cancelled
from trainapp.desktop.engine import System
from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.bench import Film, picture, scale_that_fits
from trainapp.desktop.lessons.board import Figure
from trainapp.desktop.lessons.material import Ask, Hint, Material, Side
from trainapp.desktop.lessons.tries import Change
from trainapp.dimensions import HOUR, YEAR
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Box, Display
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.lesson_chart import SHORT_MONTHS, LessonChart
from trainapp.reports.print_pages import Placed
from trainapp.reports.year_bench import model_at
from trainapp.reports.year_moment import moment
from trainapp.studies import lessons
from trainapp.studies.lessons import Chart, ChartLine, Lesson, Number, Played
from trainapp.studies.lessons.model import Control, Scalar, Try
from trainapp.studies.lessons.trains import document_of
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

_MONTH = YEAR / 12 / HOUR
_DAY = 24.0
_MARKS: dict[str, Mark | None] = {"met": "ok", "missed": "fail", "open": "unknown", "": None}
#: Numbers and courses of a sleeve's film: a lesson of one shows the sleeve cut through.
_OF_FILM = frozenset({"film", "dose_estimate", "dose_mean", "dose_credited"})
#: Stands for a number that only the end of the clock gives.
_UNTOLD = "?"


def stops(control: Control) -> tuple[Scalar, ...]:
    """The values that a class may choose, in order."""
    if control.choices:
        return tuple(choice.value for choice in control.choices)
    assert control.min is not None and control.max is not None and control.step is not None
    count = int(round((control.max - control.min) / control.step + 1e-9))
    values = {float(f"{min(control.min + i * control.step, control.max):.9g}") for i in range(count + 1)}
    # The scene's own value is one of them wherever it lies.
    return tuple(sorted(values | {float(control.start)}))


def place_of(control: Control, value: Scalar) -> int:
    """Index of the value that is nearest to one."""
    found = stops(control)
    if control.choices:
        return next((i for i, each in enumerate(found) if each == value), 0)
    return int(np.argmin([abs(float(each) - float(value)) for each in found]))


def change_of(control: Control, system: System) -> Change:
    """A control as a slider."""
    texts = tuple(lessons.control_text(control, value, system) for value in stops(control))
    return Change(control.key, control.label, texts, place_of(control, control.start))


def material_of(lesson: Lesson, key: str, counted: str, system: System) -> Material:
    """The texts of a lesson as they are shown."""
    two = len(lesson.benches) > 1
    return Material(
        key=key,
        counted=counted,
        title=lesson.title,
        scene=lessons.said(lesson, lesson.scene, system),
        question=lessons.said(lesson, lesson.question, system),
        answers=tuple(answer.text for answer in lesson.answers),
        watch=lessons.said(lesson, lesson.watch.text, system),
        point=lessons.said(lesson, lesson.point.text, system),
        caution=f"Safety: {lesson.safety}",
        sides=tuple(Side("AB"[i] if two else "", bench.label) for i, bench in enumerate(lesson.benches)),
        changes=tuple(change_of(control, system) for control in lesson.controls),
        hints=tuple(_hint(lesson, attempt, system) for attempt in lesson.tries),
        runs=lesson.watch.over == "time",
    )


def _hint(lesson: Lesson, attempt: Try, system: System) -> Hint:
    chosen = {key: place_of(lesson.control(key), value) for key, value in attempt.set.items()}
    return Hint(lessons.said(lesson, attempt.text, system, attempt.set), chosen)


class LessonWork:
    """Works one lesson out. It keeps the last play, of which what has not changed is not run again."""

    def __init__(self, lesson: Lesson, system: System) -> None:
        self.lesson, self.system = lesson, system
        self._before: Played | None = None

    def __call__(self, ask: Ask, cancelled: Cancelled) -> Shown | Standing:
        values = {control.key: stops(control)[ask.chosen[control.key]] for control in self.lesson.controls}
        if ask.still:
            documents = [document_of(self.lesson, i, values) for i in range(len(self.lesson.benches))]
            return Standing(self.lesson, [evaluate(open_plan(document)) for document in documents], self.system)

        def progress(share: float) -> bool:
            ask.meter.share = share
            return not cancelled()

        changed = {control.key: values[control.key] for control in self.lesson.controls if values[control.key] != control.start}
        played = lessons.play(self.lesson, changed, progress=progress, before=self._before)
        self._before = played
        return Shown(played, self.system)


class Standing:
    """The trains as they stand, before any clock."""

    def __init__(self, lesson: Lesson, evaluations: Sequence[Evaluation], system: System) -> None:
        self.system = system
        self.models = tuple(bench_model(evaluation, (), system) for evaluation in evaluations)
        keys = {lesson.measure.key, lesson.watch.key}
        self.sleeves = bool(keys & _OF_FILM) and _needs_year(lesson)
        self._picture = lru_cache(maxsize=64)(self._drawn)
        self._scale = lru_cache(maxsize=8)(self._scale_in)

    def bench(self, side: int, hour: float, boxes: Sequence[Box]) -> tuple[Placed, ...]:
        """A train in its box, px at 100 %, all trains to one scale."""
        return self._picture(side, int(hour // _DAY) * _DAY, tuple(boxes))

    def _drawn(self, side: int, hour: float, boxes: tuple[Box, ...]) -> tuple[Placed, ...]:
        box = boxes[side]
        uv = self._chamber(side)
        film = self._film(side, uv, hour) if uv and self.sleeves else None
        return picture(self._model(side, hour), box.w, box.h, measure, scale=self._scale(boxes), film=film, uv=uv)

    def _scale_in(self, boxes: tuple[Box, ...]) -> float:
        found = []
        for side, box in enumerate(boxes):
            sleeve = bool(self._chamber(side)) and self.sleeves
            found.append(scale_that_fits(self._model(side, 0.0), box.w, box.h, measure, sleeve=sleeve))
        return min(found)

    def _chamber(self, side: int) -> str:
        return next((stage.id for stage in self.models[side].stages if stage.figure.shape == "chamber"), "")

    def _model(self, side: int, hour: float) -> BenchModel:
        return self.models[side]

    def _film(self, side: int, uv: str, hour: float) -> Film:
        return Film(0.0, 0.0)


class Shown(Standing):
    """A lesson that was worked out, in one system of units."""

    def __init__(self, played: Played, system: System) -> None:
        super().__init__(played.lesson, [bench.evaluation for bench in played.benches], system)
        self.played = played
        lesson = played.lesson
        over_time = played.chart.over == "time"
        years = [bench.year for bench in played.benches if bench.year is not None]
        self.hours = years[0].options.days * _DAY if over_time and years else 0.0
        self.asked = min(played.chart.now * _MONTH, self.hours) if over_time else 0.0
        self._moves = over_time and not lesson.watch.key and lesson.measure.read == "year" and lesson.measure.take == "month"
        if self._moves:
            # the numbers move with the clock: it stands still where the question is asked, not at numbers of another day
            self.hours = self.asked
        self.chart_of = LessonChart(_until(played.chart) if self._moves else played.chart, system)
        self._told_late = over_time and lesson.measure.read != "check" and not self._moves
        self.right = None if played.right is None else lesson.answers.index(played.right)
        self.answer = played.answer_text()
        self.point = played.point(system)
        for side in range(len(self.models)):
            # What every picture of a run reads is read once, on the thread that works.
            self._model(side, 0.0)

    # Numbers ------------------------------------------------------------------------------------------------------------------

    def figures(self, hour: float) -> tuple[Figure, ...]:
        """The big number of each train at an hour; at the hour that is asked for it is the lesson's own."""
        at_asked = not self.hours or abs(hour - self.asked) < 0.75 * _DAY
        if at_asked or (self._told_late and hour > self.asked) or not (self._moves or self._told_late):
            return tuple(self._own(i) for i in range(len(self.played.benches)))
        if self._told_late:
            return tuple(
                replace(self._own(i), number=_UNTOLD, mark=None, words="", illustrative=False) for i in range(len(self.played.benches))
            )
        return tuple(self._moving(i, hour) for i in range(len(self.played.benches)))

    def _own(self, side: int) -> Figure:
        bench, measured = self.played.benches[side], self.played.lesson.measure
        return Figure(
            bench.number.text(self.system, self.played.limit),
            bench.number.unit(self.system),
            measured.label,
            measured.note,
            _MARKS[bench.standing],
            self._short(self.played.verdict(bench.letter, self.system), bench.number),
            bench.number.illustrative,
        )

    def _moving(self, side: int, hour: float) -> Figure:
        """The number at another hour, read from the chart."""
        bench = self.played.benches[side]
        line = next((line for line in self.played.chart.lines if line.letter == bench.letter), None)
        own = replace(self._own(side), when="", mark=None, words="")
        if line is None:
            return own
        place = min(int(np.searchsorted(line.x, hour / _MONTH)), len(line.x) - 1)
        value = float(line.y[place])
        low, high = (value if course is None else float(course[place]) for course in (line.low, line.high))
        number = replace(bench.number, value=value, low=min(low, high), high=max(low, high))
        mark, words = self._judged(number)
        return replace(own, number=number.text(self.system, self.played.limit), mark=mark, words=words)

    def _short(self, words: str, number: Number) -> str:
        """Words without the unit, which stands beside the number already."""
        unit = number.unit(self.system)
        return words.removesuffix(unit).rstrip() if unit else words

    def _judged(self, number: Number) -> tuple[Mark | None, str]:
        """How a number stands to the limit, where each is judged by one."""
        judge, limit = self.played.lesson.judge, self.played.limit
        if judge.by != "limit" or limit is None or not number.is_known:
            return None, ""
        floor = judge.side == "at_least"
        met = number.low >= limit if floor else number.high <= limit
        missed = number.high < limit if floor else number.low > limit
        if not met and not missed:
            return "unknown", judge.words.open or "too close to call"
        usual = {(True, True): "reaches", (True, False): "short of", (False, True): "within", (False, False): "over"}[floor, met]
        own = judge.words.met if met else judge.words.missed
        shown = self.played.limit_text(self.system)
        return "ok" if met else "fail", self._short((own or f"{usual} {{limit}}").replace("{limit}", shown), number)

    # Pictures -----------------------------------------------------------------------------------------------------------------

    def chart(self, hour: float, width: float, height: float) -> Display:
        """The chart up to an hour."""
        return self.chart_of.draw(hour / _MONTH if self.hours else self.chart_of.now, width, height, measure)

    def clock(self, hour: float) -> str:
        """The time in words; no date, for films have none."""
        if self.hours / _MONTH <= SHORT_MONTHS:
            return f"day {hour / _DAY:.0f} of {self.hours / _DAY:.0f}"
        return f"month {hour / _MONTH:.0f} of {self.hours / _MONTH:.0f}"

    def _model(self, side: int, hour: float) -> BenchModel:
        year = self.played.benches[side].year
        return self.models[side] if year is None else model_at(year, min(hour, self.hours - 1.0), self.system)

    def _film(self, side: int, uv: str, hour: float) -> Film:
        year = self.played.benches[side].year
        at = None if year is None else moment(year, min(hour, self.hours - 1.0)).stages.get(uv)
        return Film(*at.film) if at is not None and at.film is not None else Film(0.0, 0.0)


def _until(chart: Chart) -> Chart:
    """The chart as far as the clock goes, so that both tell the same time."""
    return replace(chart, lines=tuple(_cut(line, int(np.searchsorted(line.x, chart.now + 0.5 * _DAY / _MONTH))) for line in chart.lines))


def _cut(line: ChartLine, count: int) -> ChartLine:
    low, high = (None if course is None else course[:count] for course in (line.low, line.high))
    return replace(line, x=line.x[:count], y=line.y[:count], low=low, high=high)


def _needs_year(lesson: Lesson) -> bool:
    return "year" in (lesson.measure.read, lesson.watch.read) or lesson.measure.read == "total"
