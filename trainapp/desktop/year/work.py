"""A run through time away from the window: the question, its answer, and how far it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from trainapp.desktop.background import Cancelled, Progress
from trainapp.desktop.engine import System
from trainapp.spelling import inside

if TYPE_CHECKING:
    from trainapp.studies.year import Options, Pair, Year
    from trainapp.studies.year import Progress as Told
    from trainapp.train.document import Document


@dataclass(frozen=True, slots=True)
class Beside:
    """The train that runs beside the session's.

    Attributes:
        kind: none; without some `stages`; without pre-treatment; the train of a `file`.
    """

    kind: Literal["nothing", "without", "bare", "file"] = "nothing"
    stages: tuple[str, ...] = ()
    file: Path | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """One question. Nobody changes any of it but the gauge.

    Attributes:
        document, folder: the train, and where its own pattern is looked for.
        options: of the run. beside: what runs beside it. system: units that it will be shown in.
    """

    document: Document
    folder: Path | None
    options: Options
    beside: Beside = Beside()
    system: System = "us"
    gauge: Progress = field(default_factory=Progress, compare=False)


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of it: one run, or two on one clock.

    Attributes:
        asked: the question. years, labels: the runs and what each is called, as they are shown from the left.
        own: which of them is the session's train. pair: both, None for one alone.
        titles: number and name of each stage by its id, of each train as its own bench numbers them.
    """

    asked: Asked
    years: tuple[Year, ...]
    labels: tuple[str, ...]
    own: int = 0
    pair: Pair | None = None
    titles: tuple[Mapping[str, str], ...] = ()

    @property
    def year(self) -> Year:
        """The run of the session's train."""
        return self.years[self.own]

    def title(self, index: int, node: str) -> str:
        """Number and name of a place of one of the trains."""
        return self.titles[index].get(node) or node.replace("_", " ")

    @property
    def hours(self) -> int:
        """Length of the run."""
        return int(self.year.options.days) * 24


def answer(asked: Asked, cancelled: Cancelled) -> Answer:
    """Run what is asked.

    Raises:
        DocumentError, YearError: it cannot be; the text is a sentence. Cancelled: nobody waits any more.
    """
    # Loaded on the thread that works: the window stands without it.
    from trainapp.studies import year
    from trainapp.train.document import load

    progress = teller(asked.gauge, cancelled)
    beside = asked.beside
    if beside.kind == "nothing":
        made = year.run(asked.document, asked.options, folder=asked.folder, progress=progress)
        return _warmed(Answer(asked, (made,), ("",)))
    if beside.kind == "bare":
        pair = year.before_and_after(asked.document, asked.options, folder=asked.folder, progress=progress)
        return _warmed(Answer(asked, (pair.first, pair.second), pair.labels, 1, pair))
    other = load(beside.file) if beside.file is not None else year.without(asked.document, beside.stages)
    pair = year.compare(asked.document, other, asked.options, folder=asked.folder, progress=progress)
    pair = replace(pair, labels=("on the bench", _called(beside, pair.first)))
    return _warmed(Answer(asked, (pair.first, pair.second), pair.labels, 0, pair))


def _called(beside: Beside, own: Year) -> str:
    """What the train beside is called."""
    from trainapp.reports.year_series import place_name

    if beside.file is not None:
        return beside.file.name.removesuffix(".train.json")
    return f"without {', '.join(inside(place_name(own, stage)) for stage in beside.stages)}"


def _warmed(answer: Answer) -> Answer:
    """Let what is worked out once for every picture of a run be worked out here."""
    from trainapp.reports.year_bench import model_at

    models = [model_at(each, 0.0, answer.asked.system) for each in answer.years]
    return replace(answer, titles=tuple({stage.id: stage.title for stage in model.stages} for model in models))


def teller(gauge: Progress, cancelled: Cancelled) -> Told:
    """What a study tells its progress to: the gauge learns it, and the study whether anybody still waits."""

    def tell(share: float) -> bool:
        gauge.share = share
        return not cancelled()

    told: Callable[[float], bool] = tell
    return told
