"""The lines of a sample sheet: each analyte with its result as typed, what it was read as, and what stands beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from trainapp import units
from trainapp.checks.policy import amount
from trainapp.desktop.editors.result_text import hint_of, interval, read_as
from trainapp.desktop.editors.sample_edits import parts_of
from trainapp.desktop.editors.sheet import Cell, Column, Line
from trainapp.spelling import spelt
from trainapp.train.document import Sample
from trainapp.train.evaluation import PointResult
from trainapp.water.analytes import ANALYTES, BY_KEY, Analyte
from trainapp.water.doubts import Doubt
from trainapp.water.sample import METHODS, Result

_METHODS = (("", "not said"), *((word, word) for word in METHODS))
#: Germs, and what a stage does to them, are never predicted: only a test says so.
_ONLY_TESTED = frozenset({"total_coliform", "e_coli", "iron_bacteria"})


@dataclass(frozen=True, slots=True)
class Beside:
    """What stands beside the results: the design water of several samples, or what is predicted where the sample was taken."""

    kind: Literal["nothing", "design", "predicted"] = "nothing"
    design: Mapping[str, Result] | None = None
    point: PointResult | None = None

    @property
    def title(self) -> str:
        return {"nothing": "", "design": "Design water", "predicted": "Predicted"}[self.kind]


def columns_of(beside: Beside) -> tuple[Column, ...]:
    """The columns of a sheet."""
    extra = (Column("beside", beside.title, 148, right=True),) if beside.title else ()
    return (
        Column("analyte", "Analyte", 172),
        Column("result", "Result", 112, right=True),
        Column("read", "Read as", 148, right=True),
        *extra,
        Column("method", "Method", 84),
        Column("note", "Note"),
    )


def lines_of(
    sample: Sample | None,
    sheet: Mapping[str, Result],
    doubts: tuple[Doubt, ...],
    beside: Beside,
    system: units.System,
    only_tested: bool = False,
) -> list[Line]:
    """A line for every analyte, and for every name of the sample that is none."""
    results = sample.results if sample is not None else {}
    keys = [a.key for a in ANALYTES if not only_tested or a.key in results]
    lines = [_line(BY_KEY[key], results.get(key), sheet.get(key), doubts, beside, system) for key in keys]
    return lines + [_unknown(name, raw, beside) for name, raw in results.items() if name not in BY_KEY]


def _line(analyte: Analyte, raw: object, result: Result | None, doubts: tuple[Doubt, ...], beside: Beside, system: units.System) -> Line:
    text, method, note = parts_of(raw)
    doubt = next((d for d in doubts if analyte.key in d.analytes[:1]), None)
    name = label_of(analyte)
    states = (("", "not tested"), *((word, word) for word in analyte.states)) if analyte.states else ()
    cells = (
        Cell(name, bold=bool(text), token="ink" if text else "ink2"),
        Cell(
            units.typeset(text), text, True, states, analyte.dimension != "state", hint=hint_of(analyte, system), bold=bool(text),
            mark="caution" if doubt else None, note=doubt.sentence if doubt else "",
        ),
        Cell(read_as(result, analyte, system) if result is not None else "", token="ink2"),
        *_beside(analyte, result, beside, system),
        Cell(method, method, bool(text), _METHODS if text else (), token="ink2"),
        Cell(note, note, bool(text), token="ink2", note=note),
    )  # fmt: skip
    return Line(analyte.key, name, cells)


def _unknown(name: str, raw: object, beside: Beside) -> Line:
    text, method, note = parts_of(raw)
    cells = (
        Cell(name, bold=True), Cell(text, text, True, bold=True), Cell("not judged", token="ink3"), *([Cell()] if beside.title else []),
        Cell(method, method, True, _METHODS, token="ink2"), Cell(note, note, True, token="ink2", note=note),
    )  # fmt: skip
    return Line(name, name, cells)


def _beside(analyte: Analyte, result: Result | None, beside: Beside, system: units.System) -> tuple[Cell, ...]:
    if beside.kind == "design" and beside.design is not None:
        used = beside.design.get(analyte.key)
        return (Cell(read_as(used, analyte, system) if used is not None else "", token="ink2"),)
    if beside.kind == "predicted" and beside.point is not None:
        return (_predicted(analyte, result, beside.point, system),)
    return (Cell(),) if beside.title else ()


def _predicted(analyte: Analyte, result: Result | None, point: PointResult, system: units.System) -> Cell:
    """What leaves the stage at any flow and reading, and whether the result lies outside by more than the models claim."""
    if analyte.dimension == "state" or analyte.key in _ONLY_TESTED:
        return Cell("only a test says", token="ink3") if analyte.key in _ONLY_TESTED else Cell()
    # A test that counts is in the water itself: what it is held against is what the models said without it.
    water = point.predicted or point.water
    low, high = float(water.low(analyte.key)[:, 0].min()), float(water.high(analyte.key)[:, 0].max())
    if low != low or high != high:
        return Cell()
    text = interval(low, high, analyte, system)
    if not bool(water.is_known(analyte.key)[0]):
        return Cell(text, token="ink3", note="Not measured in the raw water: this is what is assumed of it.")
    verdict = compared(analyte, result, low, high)
    return Cell(text, token="ink2", mark="caution" if verdict else None, note=verdict)


def compared(analyte: Analyte, result: Result | None, low: float, high: float) -> str:
    """A sentence where a result lies outside what is predicted by more than the model claims, "" where it does not."""
    if result is None or result.state:
        return ""
    if analyte.dimension == "ph":
        reach = amount("ph_accuracy")
        most, least = high + reach, low - reach
    else:
        reach = amount("model_accuracy")
        most, least = high * (1.0 + reach), low / (1.0 + reach)
    if result.low > most:
        return "More was found than is predicted here: sample again, and look at this stage and those before it."
    if result.high < least:
        return "Less was found than is predicted here: the raw water may have been better that day."
    return ""


def label_of(analyte: Analyte) -> str:
    """Name of an analyte as screens spell it."""
    return spelt(analyte.label)
