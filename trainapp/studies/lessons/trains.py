"""The trains of a lesson: from a bench, and what the class changed, to a document."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import cast

from trainapp import data
from trainapp.studies.lessons.errors import LessonError
from trainapp.studies.lessons.model import LETTERS, Bench, Control, Lesson, Scalar, Spot
from trainapp.studies.year import Options, Upkeep, YearError, read_spike, usual_cuts, without
from trainapp.train.document import Document, load, loads
from trainapp.train.edits import AnyEdit, Batch, SetValue, edit_from_json, plan_edit
from trainapp.train.errors import DocumentError, quoted
from trainapp.train.patch import apply

RUN = "run."
#: Reports of a document on keys that nothing reads.
_UNKNOWN = ("unknown-key", "unknown-setting")
_OF_RUN = ("upkeep", "late_days", "days", "spike", "power_cuts")


def trains_path() -> Path:
    """Where the trains lie that a lesson may call by name."""
    return data.resources_path("lessons", "trains")


def train_names() -> tuple[str, ...]:
    """Those names."""
    return tuple(sorted(path.name.removesuffix(".train.json") for path in trains_path().glob("*.train.json")))


def document_of(lesson: Lesson, index: int, values: Mapping[str, Scalar]) -> Document:
    """The train of one bench with the controls at `values`.

    Raises:
        LessonError: it cannot be made; the place is that of the bench or of the control.
    """
    bench = lesson.benches[index]
    at = ("benches", f"#{index + 1}")
    document = _built(bench, lesson.folder, at)
    for key, value in bench.set.items():
        document = _edited(document, SetValue(path=key, value=value), (*at, "set", key))
    for i, control in enumerate(lesson.controls):
        for spot in control.paths:
            if not spot.path.startswith(RUN) and _has(document, spot.path):
                text = written(control, values[control.key], spot)
                document = _edited(document, SetValue(path=spot.path, value=text), ("controls", f"#{i + 1}", "paths"))
    return document


def _built(bench: Bench, folder: str, at: tuple[str, ...]) -> Document:
    """A bench's train before anything is set."""
    document = _base(bench, folder, at)
    if bench.leave_out:
        try:
            document = without(document, bench.leave_out)
        except DocumentError as error:
            raise LessonError((*at, "leave_out"), str(error)) from None
    edits: list[AnyEdit] = []
    for i, row in enumerate(bench.edits):
        try:
            edits.append(cast(AnyEdit, edit_from_json(row)))
        except DocumentError as error:
            raise LessonError((*at, "edits", f"#{i + 1}"), str(error)) from None
    return _edited(document, Batch(edits=edits), (*at, "edits")) if edits else document


def _base(bench: Bench, folder: str, at: tuple[str, ...]) -> Document:
    try:
        if bench.document:
            return loads(bench.document)
        if bench.train in train_names():
            return _named(bench.train)
        if not bench.train.endswith(".train.json"):
            raise LessonError((*at, "train"), f"{quoted(bench.train)} is none of the lessons' trains: {', '.join(train_names())}")
        return load(Path(folder, bench.train))
    except DocumentError as error:
        raise LessonError((*at, "document" if bench.document else "train"), str(error)) from None


@lru_cache(maxsize=32)
def _named(name: str) -> Document:
    return load(trains_path() / f"{name}.train.json")


def _edited(document: Document, edit: AnyEdit, at: tuple[str, ...]) -> Document:
    try:
        # in a batch the shape of what comes out is looked at before anything else reads it
        edited = apply(document, plan_edit(document, Batch(edits=[edit])))
    except DocumentError as error:
        raise LessonError(at, str(error)) from None
    known = {str(report) for report in document.reports}
    for report in edited.reports:
        if report.code in _UNKNOWN and str(report) not in known:
            raise LessonError(at, f"a document has no {report.place} that anything reads, so this would change nothing")
    return edited


def _has(document: Document, path: str) -> bool:
    """Whether a bench has what a control changes: the stage, outlet or sample that the path goes through."""
    first, _, rest = path.partition(".")
    name = rest.partition(".")[0]
    if first == "stages":
        return any(stage.id == name for stage in document.stages)
    if first == "outlets":
        return name in document.outlets
    return first != "samples" or any(sample.id == name for sample in document.samples)


def reaches(lesson: Lesson, control: Control, documents: tuple[Document, ...]) -> bool:
    """Whether a control changes anything in any of the trains or in the run."""
    return any(
        spot.path.removeprefix(RUN) in _OF_RUN if spot.path.startswith(RUN) else any(_has(document, spot.path) for document in documents)
        for spot in control.paths
    )


def written(control: Control, value: Scalar, spot: Spot) -> Scalar:
    """What a control writes into a place of a document."""
    if control.choices or isinstance(value, str | bool):
        return value
    return f"{value * spot.times:.9g} {spot.unit or control.unit}".rstrip()


def options_of(lesson: Lesson, index: int, values: Mapping[str, Scalar]) -> Options:
    """How the year of one bench runs with the controls at `values`.

    Raises:
        LessonError: it cannot run so.
    """
    run = lesson.run.model_dump()
    for i, control in enumerate(lesson.controls):
        for spot in control.paths:
            key = spot.path.removeprefix(RUN)
            if not spot.path.startswith(RUN):
                continue
            if key not in _OF_RUN:
                raise LessonError(
                    ("controls", f"#{i + 1}", "paths"), f"{quoted(spot.path)} is none of {', '.join(RUN + k for k in _OF_RUN)}"
                )
            value = values[control.key]
            run[key] = int(value) if key in ("days", "power_cuts") and not isinstance(value, str) else value
    run["upkeep"] = lesson.benches[index].upkeep or run["upkeep"]
    try:
        upkeep = Upkeep(run["upkeep"]) if run["late_days"] is None else Upkeep(run["upkeep"], float(run["late_days"]))
        spike = read_spike(run["spike"]) if run["spike"] else None
        cuts = usual_cuts()[: run["power_cuts"]]
        return Options(days=run["days"], detail=run["detail"], upkeep=upkeep, spike=spike, cuts=cuts)
    except (YearError, TypeError, ValueError) as error:
        raise LessonError("run", str(error)) from None


__all__ = ["LETTERS", "RUN", "document_of", "options_of", "reaches", "train_names", "trains_path", "written"]
