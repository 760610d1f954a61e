"""The parts of a lesson, as `NAME.lesson.toml` says them. A :class:`Lesson` is valid in itself; its trains are looked at when it plays.

No part holds the right answer: it follows from a number that the engine works out (`measure`), and from how that number is judged.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PrivateAttr, StringConstraints, model_validator

from trainapp import units
from trainapp.dimensions import DIMENSIONS
from trainapp.sources import STATUSES, sources
from trainapp.studies.year.options import MOST_LATE_DAYS
from trainapp.train.errors import Bad, quoted

FORMAT, VERSION = "trainapp/lesson", 1
#: Names of the benches, in the order in which they stand in the file.
LETTERS = ("A", "B")
#: Kinds of quantity of a lesson's numbers beside those of :data:`trainapp.dimensions.DIMENSIONS`.
COUNTED: dict[str, str] = {"hours": "h", "days": "days", "energy": "kWh", "pieces": ""}

Line = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=160)]
Short = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60)]
Prose = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=1500)]
Key = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_-]{0,30}$")]
Scalar = str | int | float | bool
#: A number that a class could be asked about.
Sane = Annotated[float, Field(ge=-1e9, le=1e9)]

Read = Literal["check", "year", "total"]
OfDay = Literal["least", "most", "mean", "last"]
Take = Literal["month", "least", "most", "mean", "last"]
FlowName = Literal["trickle", "average", "peak"]
Where = Literal["into", "out"]
JudgedBy = Literal["limit", "compare", "range"]


class Part(BaseModel):
    """One part of a lesson: nothing in it that it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class Bench(Part):
    """One train of a lesson.

    Attributes:
        label: what is said of it ("Iron filter, softener, then UV").
        train: name of a train of resources/lessons/trains, or the path of a train document from the lesson's file.
        document: the train itself, the text of a train document; instead of `train`.
        leave_out: stages that are taken away, the pipes closed behind them.
        edits: edits of trainapp.train.edits as plain data (a stage moved, two in parallel), after that.
        set: values by their place in the document ("samples.well.results.iron"), last.
        upkeep: who looks after this one, where that is not as in `run`: on-time, late, never.
    """

    label: Short
    train: str = ""
    document: str = ""
    leave_out: list[str] = Field(default_factory=list)
    edits: list[dict[str, Any]] = Field(default_factory=list)
    set: dict[str, Any] = Field(default_factory=dict)
    upkeep: Literal["", "on-time", "late", "never"] = ""

    @model_validator(mode="after")
    def _one_train(self) -> Bench:
        if bool(self.train) == bool(self.document):
            raise Bad("a bench has either a train (its name) or a document (its text)")
        for key, value in self.set.items():
            if _holds_nothing(value):
                raise Bad("nothing (null) cannot be written into a lesson", ("set", key))
        if _holds_nothing(self.edits):
            raise Bad("nothing (null) cannot be written into a lesson", ("edits",))
        return self


def _holds_nothing(value: object) -> bool:
    """Whether a plain value is, or holds, what TOML has no word for."""
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return value is None or any(_holds_nothing(part) for part in inner)


class Run(Part):
    """How a year of service runs, for lessons that need one; see :class:`trainapp.studies.year.Options`. Power cuts only where asked."""

    days: Annotated[int, Field(ge=30, le=1095)] = 365
    upkeep: Literal["on-time", "late", "never"] = "on-time"
    late_days: Annotated[float, Field(ge=0.0, le=MOST_LATE_DAYS)] | None = None
    detail: Literal["minute", "hour"] = "hour"
    spike: str = ""
    power_cuts: Annotated[int, Field(ge=0, le=8)] = 0


class Measure(Part):
    """The number of each bench, worked out by the engine.

    Attributes:
        read: from a check (one moment), from a year of service by the day, or a total of that year.
        at: place in the train (stage, "supply", "house", an outlet); not for most totals.
        key: what of it: an analyte, "flow", "pressure_lowest", a result of the stage, a course of the year, a total; see measures.py.
        where: of a check, whether an analyte is read in the water going into a stage or leaving it.
        flow: of a check, at which flow. reading: of a check, the adverse reading of the sample alone, or both as the ends of a range.
        of_day: of a year, what one day's value is.
        take: of a year, which day's value counts; `month` with it (a day of the run by its month, 0 is the start).
        label: what the number is, in words of the class ("Dose in the chamber").
        note: what stands under the number ("after 6 months").
    """

    read: Read
    at: str = ""
    key: str
    where: Where = "out"
    flow: FlowName = "peak"
    reading: Literal["adverse", "both"] = "adverse"
    of_day: OfDay = "least"
    take: Take = "month"
    month: Annotated[float, Field(ge=0.0, le=36.0)] = 12.0
    label: Short
    note: Annotated[str, StringConstraints(max_length=60)] = ""


class Words(Part):
    """What is said of a bench beside its mark; {limit} stands for the limit. Empty: the usual words."""

    met: str = ""
    missed: str = ""
    open: str = ""


class Judge(Part):
    """How the numbers become the right answer.

    Attributes:
        by: each number against a limit; the numbers of both benches against each other; or where one number falls.
        limit, side: with "limit"; at_least: good from there up, at_most: good to there.
        better: with "compare", whether the more or the less is the good one; "" where neither is.
        on: with "range", whose number: "A", "B", or "B/A", the second's over the first's.
        alike: share of the larger by which two numbers may differ and still count as alike.
    """

    by: JudgedBy
    limit: str = ""
    side: Literal["at_least", "at_most"] = "at_least"
    better: Literal["more", "less", ""] = ""
    on: Literal["A", "B", "B/A"] = "A"
    alike: Annotated[float, Field(ge=0.0, le=0.5)] = 0.02
    words: Words = Field(default_factory=Words)


class Answer(Part):
    """One answer to choose from.

    Attributes:
        text: as the class reads it.
        when: with "limit": A, B, both, neither (which benches meet it), or yes, no of a single bench; with "compare": A, B (which has
            more), alike; with either, "open" may be an answer, too: that nobody can tell. With "range" empty, and instead the range
            from `at_least` up to below `below` (quantities, or numbers for "B/A").
    """

    text: Short
    when: str = ""
    at_least: str | float | None = None
    below: str | float | None = None


class Spot(Part):
    """A place that a control changes: in the document of every bench that has it, or of the run ("run.upkeep").

    Attributes:
        path: the place. times, unit: a number is written so many times over, in a unit of its own.
    """

    path: str
    times: float = 1.0
    unit: str = ""


class Choice(Part):
    """One value of a control that is no number."""

    text: Short
    value: Scalar


def _spots(value: Any) -> Any:
    return [{"path": spot} if isinstance(spot, str) else spot for spot in value] if isinstance(value, list) else value


class Control(Part):
    """One thing that the class may change: a number with `min`, `max` and `step`, or one of `choices`.

    Attributes:
        key: name in `tries` and in :func:`trainapp.studies.lessons.play`.
        label: in the plain words of the class.
        paths: what it changes, see :class:`Spot`.
        unit, dimension: of the number as it is written into the document, and its kind (key of DIMENSIONS).
        start: number, or value of a choice, in the scene.
    """

    key: Key
    label: Short
    paths: Annotated[list[Spot], BeforeValidator(_spots), Field(min_length=1)]
    unit: str = ""
    dimension: str = "none"
    min: Sane | None = None
    max: Sane | None = None
    step: Sane | None = None
    choices: list[Choice] = Field(default_factory=list)
    start: Scalar

    @model_validator(mode="after")
    def _sound(self) -> Control:
        if self.dimension not in DIMENSIONS:
            raise Bad(f"{quoted(self.dimension)} is not a kind of quantity", ("dimension",))
        if bool(self.choices) == (self.min is not None):
            raise Bad("a control has either choices, or min, max and step")
        if not self.choices:
            if self.max is None or self.step is None or self.min is None:
                raise Bad("a number has min, max and step")
            if not (self.min < self.max and 0.0 < self.step <= self.max - self.min):
                raise Bad("min lies below max, and step between nothing and their difference", ("step",))
            for end in (self.min, self.max):
                try:
                    units.parse(f"{end:.9g} {self.unit}".rstrip(), self.dimension)
                except units.UnitError as error:
                    raise Bad(str(error), ("unit",)) from None
        self.checked(self.start, ("start",))
        return self

    def checked(self, value: Scalar, at: tuple[str, ...] = ()) -> Scalar:
        """The value, as long as the class could choose it.

        Raises:
            Bad: it cannot.
        """
        if self.choices:
            if not any(value == choice.value and isinstance(value, bool) == isinstance(choice.value, bool) for choice in self.choices):
                raise Bad(f"{quoted(value)} is none of its choices", at)
            return value
        if isinstance(value, bool | str) or self.min is None or self.max is None:
            raise Bad(f"{quoted(value)} is not a number", at)
        slack = 1e-9 * (self.max - self.min)
        if not self.min - slack <= value <= self.max + slack:
            raise Bad(f"{value:g} is not between {self.min:g} and {self.max:g}", at)
        return float(value)


class Watch(Part):
    """What to look at while it plays, and the chart.

    Attributes:
        text: what to watch, a clause or two.
        read, at, key, where, flow, of_day: the chart's quantity as in :class:`Measure`; empty `key`: that of the measure.
        over: "time", or the key of a control that is a number: the chart then runs from its least to its most.
        label: title of the chart.
        wanted: a dotted line, a quantity; empty: the limit, where the chart shows the measure.
    """

    text: Prose
    read: Literal["check", "year", ""] = ""
    at: str = ""
    key: str = ""
    where: Where = "out"
    flow: FlowName = "peak"
    of_day: OfDay = "least"
    over: str = "time"
    label: Annotated[str, StringConstraints(max_length=60)] = ""
    wanted: str = ""


class Point(Part):
    """What the lesson is for.

    Attributes:
        text: the point; {A} and {B} stand for the numbers, {ratio} for B over A.
        answer: the answer that the text explains. It judges nothing: `trainapp lesson check` tells when the engine no longer agrees.
    """

    text: Prose
    answer: Short


class Try(Part):
    """Something to try: values of controls, what is told of it, and the answer that it must lead to (checked like the point's)."""

    set: dict[str, Scalar]
    text: Line
    answer: Short


class Fact(Part):
    """A fact of the trade that the lesson rests on, with the key of its source and how sure that is."""

    text: Line
    source: str
    status: str = ""

    @model_validator(mode="after")
    def _known(self) -> Fact:
        if self.source not in sources():
            raise Bad(f"{quoted(self.source)} is not a key of resources/sources.toml", ("source",))
        if self.status and self.status not in STATUSES:
            raise Bad(f"{quoted(self.status)} is not one of {', '.join(STATUSES)}", ("status",))
        return self


class Lesson(Part):
    """A whole lesson. Make one with :func:`trainapp.studies.lessons.load` or `lesson_of`.

    Attributes:
        order: place among the lessons.
        title, scene, question: as the class reads them, in the steps Scene and Guess. In these and in the texts of watch, point and tries
            {limit} stands for the limit and {KEY} for the value of a control, see :func:`trainapp.studies.lessons.said`.
        benches: one or two trains. run: how a year runs. measure, judge, answers: how the right answer comes about.
        controls: what the class may change. watch, point: the steps of those names. tries: what to try. safety: the line under the numbers.
        facts: trade facts with their sources.
    """

    format: Literal["trainapp/lesson"]
    version: Literal[1]
    order: int = 100
    title: Short
    scene: Prose
    question: Line
    benches: Annotated[list[Bench], Field(min_length=1, max_length=2)]
    run: Run = Field(default_factory=Run)
    measure: Measure
    judge: Judge
    answers: Annotated[list[Answer], Field(min_length=2, max_length=5)]
    controls: Annotated[list[Control], Field(max_length=4)] = Field(default_factory=list)
    watch: Watch
    point: Point
    tries: Annotated[list[Try], Field(max_length=4)] = Field(default_factory=list)
    safety: Prose
    facts: list[Fact] = Field(default_factory=list)

    _name: str = PrivateAttr(default="")
    _folder: str = PrivateAttr(default="")
    _text: str = PrivateAttr(default="")
    _file: str = PrivateAttr(default="")

    def __eq__(self, other: object) -> bool:
        """Whether both say the same, wherever their files lie."""
        return isinstance(other, Lesson) and self.model_dump() == other.model_dump()

    __hash__ = None  # type: ignore[assignment]

    @property
    def name(self) -> str:
        """Name of its file without the endings; "" for one that was never saved."""
        return self._name

    @property
    def folder(self) -> str:
        """Where its file lies; trains that it names by a path are looked for there."""
        return self._folder

    def control(self, key: str) -> Control:
        """One control by its key; KeyError where there is none."""
        for control in self.controls:
            if control.key == key:
                return control
        raise KeyError(key)

    def answer(self, text: str) -> Answer | None:
        """The answer of that text."""
        return next((answer for answer in self.answers if answer.text == text), None)
