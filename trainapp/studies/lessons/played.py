"""A lesson that was played: numbers, verdicts, the right answer, and the chart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from trainapp.stages.working import Array
from trainapp.studies.lessons.model import Answer, Lesson, Scalar
from trainapp.studies.lessons.numbers import Number, with_unit
from trainapp.studies.lessons.wording import said
from trainapp.studies.year import Year
from trainapp.train.document import Document
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

#: Meets what is asked, misses it, too close to call (a band crosses the limit), or neither good nor bad. "missed" is shown with the mark
#: of a fail, "met" with a tick, "open" with the mark of what is not known, "" with none.
Standing = Literal["met", "missed", "open", ""]


@dataclass(frozen=True)
class PlayedBench:
    """One bench.

    Attributes:
        letter, label: "A" and what is said of it.
        document, evaluation: the train with the controls where they are. year: its run, None where the lesson needs none.
        number: what it comes to. standing: what that means.
    """

    letter: str
    label: str
    document: Document
    evaluation: Evaluation
    year: Year | None
    number: Number
    standing: Standing


@dataclass(frozen=True, slots=True)
class ChartLine:
    """One bench in the chart: x and y in internal units, shape (points,); `low` and `high` are the band of a teaching picture."""

    letter: str
    label: str
    x: Array
    y: Array
    low: Array | None
    high: Array | None


@dataclass(frozen=True, slots=True)
class Chart:
    """What to watch.

    Attributes:
        label, dimension: of what goes up. lines: one for each bench that has it.
        over: "time", x being months of the run, or the key of a control, x being its values in internal units.
        x_label, x_dimension: what goes right; "" for months.
        wanted: the dotted line, None without. now: x of the moment that the numbers stand for.
        illustrative: whether it is a teaching picture: drawn as bands, with that word inside, and without dates.
    """

    label: str
    dimension: str
    lines: tuple[ChartLine, ...]
    over: str
    x_label: str
    x_dimension: str
    wanted: float | None
    now: float
    illustrative: bool


@dataclass(frozen=True)
class Played:
    """A lesson with its controls at some values, worked out.

    Attributes:
        lesson, values: what was played; every control has its value.
        benches: in the order of the file. chart: what to watch.
        limit: of the judgement in internal units, None without.
        right: the right answer, None where a teaching picture leaves it open (its band crosses the limit).
        hour: of the run, that the numbers stand for; for the picture of the benches; None where no year runs.
    """

    lesson: Lesson
    values: Mapping[str, Scalar]
    benches: tuple[PlayedBench, ...]
    chart: Chart
    limit: float | None
    right: Answer | None
    hour: float | None

    @property
    def illustrative(self) -> bool:
        """Whether a number or the chart is a teaching picture; the word then stands beside it."""
        return self.chart.illustrative or any(bench.number.illustrative for bench in self.benches)

    @property
    def as_told(self) -> bool:
        """Whether the right answer is the one that the lesson's point explains."""
        return self.right is not None and self.right.text == self.lesson.point.answer

    def bench(self, letter: str) -> PlayedBench:
        """One bench by its letter; KeyError where there is none."""
        for bench in self.benches:
            if bench.letter == letter:
                return bench
        raise KeyError(letter)

    def number(self, letter: str, system: System) -> str:
        """The one number of a bench without its unit, never rounded onto or across the limit."""
        return self.bench(letter).number.text(system, self.limit)

    def limit_text(self, system: System) -> str:
        """The limit with its unit, "" without one."""
        return "" if self.limit is None else with_unit(self.limit, self.benches[0].number.dimension, system)

    def verdict(self, letter: str, system: System) -> str:
        """The words beside a bench's number ("short of 40 mJ/cm²"), "" where there is nothing to say."""
        words, judge = self.lesson.judge.words, self.lesson.judge
        standing = self.bench(letter).standing
        if not standing:
            return ""
        floor = judge.side == "at_least"
        usual = {
            "limit": {"met": "reaches {limit}" if floor else "within {limit}", "missed": "short of {limit}" if floor else "over {limit}"},
            "compare": {"met": "the better of the two", "missed": "the worse of the two"},
        }.get(judge.by, {})
        return (getattr(words, standing) or usual.get(standing, "too close to call")).replace("{limit}", self.limit_text(system))

    def answer_text(self) -> str:
        """The right answer as the class reads it, or that it stays open."""
        if self.right:
            return self.right.text
        if not all(bench.number.is_known for bench in self.benches):
            return "Nobody can tell: a bench has no such number."
        if any(bench.number.illustrative for bench in self.benches):
            return "Too close to call: what is drawn for teaching lies on both sides."
        return "Too close to call: what the sample leaves open lies on both sides."

    def point(self, system: System) -> str:
        """The point with the numbers of this play in it."""
        return filled(self, self.lesson.point.text, system)


def filled(played: Played, text: str, system: System) -> str:
    """A text with the numbers where it has {A}, {B}, {ratio}, and what :func:`trainapp.studies.lessons.wording.said` knows."""
    for bench in played.benches:
        number = f"{played.number(bench.letter, system)} {bench.number.unit(system)}".rstrip()
        text = text.replace(f"{{{bench.letter}}}", number)
    ratio = ratio_of(played.benches[0].number, played.benches[-1].number)
    known = ratio is not None and ratio.is_known
    text = text.replace("{ratio}", f"{ratio.value:.2g}" if ratio and known else "none")
    return said(played.lesson, text, system, played.values)


def ratio_of(first: Number, second: Number) -> Number | None:
    """The second over the first with what both bands allow; None where the first is nothing."""
    if not (first.low > 0.0 and first.is_known and second.is_known):
        return None
    ends = second.low / first.high, second.high / first.low
    return Number(second.value / first.value, *ends, "none", first.illustrative or second.illustrative)
