"""Where a number comes from: the worked steps behind what is selected. Knows no widgets."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from trainapp import units
from trainapp.desktop.engine import Assessment
from trainapp.reports.drawing.display import Tag
from trainapp.reports.drawing.model import Cell
from trainapp.reports.in_units import in_units
from trainapp.reports.print_steps import shown
from trainapp.sources import source
from trainapp.stages.working import PEAK, Step, Working
from trainapp.train.evaluation import Evaluation, StageResult
from trainapp.units import System
from trainapp.water.analytes import BY_KEY
from trainapp.water.stream import Stream

#: A value moves where it changes by more than this fraction.
_MOVED = 1e-6


@dataclass(frozen=True, slots=True)
class Line:
    """One line: symbol, what it is, how it follows, value with unit, number of its source (0 for none), a note."""

    symbol: str
    meaning: str
    formula: str
    value: str
    source: int = 0
    note: str = ""


@dataclass(slots=True)
class Sheet:
    """Worked steps.

    Attributes:
        title: what they are the steps of. intro: sentences above them.
        lines: the steps. sources: their sources by number, from 1, with how sure each is.
    """

    title: str
    intro: list[str] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)

    def add(self, steps: Iterable[Step], system: System) -> None:
        """Add the steps of a working."""
        for step in steps:
            meaning, formula, note = (units.typeset(in_units(text, system)) for text in (step.meaning, step.formula, step.note))
            value = shown(step, step.value, system)
            self.lines.append(Line(step.symbol, meaning, formula, value, self._number(step.source), note))

    def _number(self, key: str) -> int:
        if not key:
            return 0
        text = cited(key)
        if text not in self.sources:
            self.sources.append(text)
        return self.sources.index(text) + 1

    def as_text(self) -> str:
        """The sheet as plain text, for the clipboard."""
        rows = [self.title, *self.intro]
        for line in self.lines:
            formula = f" = {line.formula}" if line.formula else ""
            mark = f" [{line.source}]" if line.source else ""
            rows.append(f"{line.symbol}{formula} = {line.value}  {line.meaning}{mark}" + (f" ({line.note})" if line.note else ""))
        return "\n".join([*rows, *(f"[{i}] {text}" for i, text in enumerate(self.sources, 1))])


def cited(key: str) -> str:
    """A source and how sure it is."""
    try:
        found = source(key)
    except KeyError:
        return key
    return f"{found.label} ({found.status_default})"


# What is selected -------------------------------------------------------------------------------------------------------------


def sheet_of(assessment: Assessment, selection: Tag, system: System) -> Sheet | None:
    """The worked steps behind a selection, None where nothing is selected."""
    evaluation, model = assessment.evaluation, assessment.model
    if len(selection) == 3 and selection[0] == "cell":
        return _cell_sheet(assessment, str(selection[1]), str(selection[2]), system)
    if len(selection) == 2 and selection[0] == "stage":
        node = str(selection[1])
        stage = model.stage(node)
        sheet = Sheet(stage.title if stage else node)
        if node not in evaluation.stages:
            sheet.intro.append("No water passes this stage, so there is nothing to work out.")
            return sheet
        return _with(sheet, evaluation.stages[node].working, system)
    if selection == ("supply",):
        sheet = Sheet(f"{model.supply.name}, {model.supply.size}", ["What it pushes, and the most the train delivers at the house."])
        return _with(_with(sheet, evaluation.points["supply"].working, system), evaluation.capacity.working, system)
    if len(selection) == 2 and selection[0] == "end":
        return _end_sheet(assessment, str(selection[1]), system)
    if len(selection) == 3 and selection[0] == "link":
        return _link_sheet(assessment, (str(selection[1]), str(selection[2])), system)
    return None


def _with(sheet: Sheet, working: Working, system: System) -> Sheet:
    sheet.add(working.steps, system)
    return sheet


def _end_sheet(assessment: Assessment, end: str, system: System) -> Sheet:
    evaluation = assessment.evaluation
    title = next((e.name for e in assessment.model.ends if e.id == end), end)
    sheet = Sheet(f"Pressure at the {title}")
    if end not in evaluation.points:
        sheet.intro.append("No water reaches it.")
        return sheet
    _with(sheet, evaluation.points[end].working, system)
    return _with(sheet, evaluation.capacity.working, system) if end == "house" else sheet


def _link_sheet(assessment: Assessment, ends: tuple[str, str], system: System) -> Sheet:
    link = assessment.evaluation.links.get(ends)
    names = [_title(assessment, node) for node in ends]
    sheet = Sheet(f"{names[0]} to {names[1]}")
    if link is None:
        sheet.intro.append("No water passes this pipe.")
        return sheet
    told = (
        ("", "pipe, narrowest run", in_units(link.label, system)),
        ("Q", "flow at the peak", _show(float(link.flow[PEAK]), "flow", system)),
        ("d", "bore", _show(link.bore, "length", system)),
        ("v", "speed at the peak", _show(link.velocity, "velocity", system)),
        ("Δp", "pressure it loses at the peak, lift included", _show(link.loss, "pressure", system)),
    )
    sheet.lines += [Line(symbol, meaning, "", value) for symbol, meaning, value in told]
    return sheet


def _title(assessment: Assessment, node: str) -> str:
    stage = assessment.model.stage(node)
    if stage is not None:
        return stage.title
    return assessment.model.supply.name if node == "supply" else node


def _show(value: float, dimension: str, system: System) -> str:
    return units.typeset(units.show(value, dimension, system))


# One number of the ledger -----------------------------------------------------------------------------------------------------


def _cell_sheet(assessment: Assessment, key: str, node: str, system: System) -> Sheet:
    """From the sample to one number: what each stage on the way made of it, its limit, and the steps of the last that changed it."""
    analyte = BY_KEY[key]
    stage = assessment.model.stage(node)
    sheet = Sheet(f"{analyte.label} {'into ' + stage.title if stage else 'to the ' + node}")
    result = assessment.evaluation.plan.raw.sheet.get(key)
    named = assessment.document.design_sample
    where = "worst of the samples" if named == "worst" else f"sample {named}"
    if result is None:
        sheet.intro.append(f"{analyte.label} was not measured.")
        water = assessment.evaluation.points["supply"].water
        raw = _range(water, key, system)
        if raw:
            from_where = "worked out from other results" if bool(water.is_known(key).all()) else "assumed within what is usual"
            sheet.lines.append(Line("", f"raw water, {from_where}", "", raw))
    else:
        method = f", {result.method}" if result.method else ""
        sheet.lines.append(Line("", f"{where}, as typed{method}", "", units.typeset(result.text)))
    way = _upstream(assessment.evaluation, node)
    sheet.lines += [line for line in (_passed(assessment, passed, key, system) for passed in way) if line is not None]
    cell = _cell(assessment, key, node)
    if cell is not None and cell.tooltip:
        sheet.intro.append(cell.tooltip)
    last = next((r for r in reversed(way) if _changed(r, key)), None)
    if last is not None:
        sheet.intro.append(f"Last changed by {_title(assessment, last.stage.id)}, whose steps follow.")
        _with(sheet, last.working, system)
    return sheet


def _cell(assessment: Assessment, key: str, node: str) -> Cell | None:
    row = next((row for row in assessment.model.rows if row.key == key), None)
    return row.cells.get(node) if row else None


def _upstream(evaluation: Evaluation, node: str) -> list[StageResult]:
    """Stages that the water passes on its way to a node, in flow order; of several ways in the one that carries most."""
    way: list[StageResult] = []
    at = node
    while True:
        into = [link for key, link in evaluation.links.items() if key[1] == at]
        if not into:
            return way
        at = max(into, key=lambda link: float(link.flow[PEAK])).source
        if at in evaluation.stages:
            way.insert(0, evaluation.stages[at])


def _changed(result: StageResult, key: str) -> bool:
    try:
        before, after = (stream.get(key)[..., 0] for stream in (result.inlet, result.outlet))
    except KeyError:
        return False
    return not np.allclose(before, after, rtol=_MOVED, atol=0.0, equal_nan=True)


def _passed(assessment: Assessment, result: StageResult, key: str, system: System) -> Line | None:
    """What leaves one stage at the peak, where it changed the number."""
    if not _changed(result, key):
        return None
    value = _range(result.outlet, key, system)
    return Line("", f"after {_title(assessment, result.stage.id)}", "", value) if value else None


def _range(water: Stream, key: str, system: System) -> str:
    """An analyte of a water at the peak as text: a value or its two ends, "" where nothing is known."""
    try:
        low, high = (float(np.broadcast_to(end(key), (3, end(key).shape[-1]))[PEAK, 0]) for end in (water.low, water.high))
    except KeyError:
        return ""
    if not np.isfinite(low):
        return ""
    finite = [value for value in (low, high) if np.isfinite(value)]
    texts = list(dict.fromkeys(units.show(value, BY_KEY[key].dimension, system, analyte=key) for value in finite))
    if not np.isfinite(high):
        return units.typeset(f"more than {texts[0]}")
    return units.typeset(texts[0] if len(texts) == 1 else f"{texts[0].split(' ')[0]} to {texts[1]}")
