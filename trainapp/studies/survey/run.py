"""A train on each water of a table: the same evaluation and the same findings as `trainapp check` has for a document with that sample."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trainapp.checks import findings, verdict
from trainapp.checks.context import Context
from trainapp.checks.readings import readable
from trainapp.stages.leaving import badness
from trainapp.stages.working import FLOWS
from trainapp.studies.survey.samples import Samples, Water
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.hydraulics import hydraulics_of
from trainapp.train.model import Sample
from trainapp.train.plan import Plan, open_plan
from trainapp.train.raw import needs_disinfection, raw_of
from trainapp.train.zones import HOUSE
from trainapp.units import System
from trainapp.water.analytes import ANALYTES, Analyte
from trainapp.water.raw import Columns, raw_streams
from trainapp.water.stream import Stream

#: Waters that are read into one matrix.
_CHUNK = 512

Progress = Callable[[float], object]


@dataclass(frozen=True, slots=True)
class Said:
    """A finding of one water: severity, title, message."""

    severity: str
    title: str
    message: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the train makes of one water.

    Attributes:
        water: it. verdict: of its findings; "" where it could not be read.
        said: failures and cautions, worst first. notes: how many notes.
        values: adverse ends at the house by analyte, internal units; infinite where nothing bounds it.
        assumed: analytes that a stage needs, the sample lacks, and the program assumed.
    """

    water: Water
    verdict: str = ""
    said: tuple[Said, ...] = ()
    notes: int = 0
    values: Mapping[str, float] | None = None
    assumed: tuple[str, ...] = ()

    def count(self, severity: str) -> int:
        """How many findings of a severity."""
        return self.notes if severity == "note" else sum(said.severity == severity for said in self.said)


@dataclass(frozen=True, slots=True)
class Survey:
    """A train on many waters.

    Attributes:
        document: the train. samples: the table. outcomes: one a water, in the order of the table.
        analytes: those with a value at the house in one water at least, in the program's order.
    """

    document: Document
    samples: Samples
    outcomes: tuple[Outcome, ...]
    analytes: tuple[str, ...]

    def count(self, verdict: str) -> int:
        """Waters with a verdict; "" for those that could not be read."""
        return sum(outcome.verdict == verdict for outcome in self.outcomes)

    def often(self, severity: str) -> list[tuple[str, int]]:
        """Titles of findings with the number of waters that have them, the most frequent first."""
        met = Counter(title for o in self.outcomes for title in {s.title for s in o.said if s.severity == severity})
        return sorted(met.items(), key=lambda item: (-item[1], item[0]))


def survey(document: Document, samples: Samples, system: System = "us", progress: Progress | None = None) -> Survey:
    """Run a train on every water of a table.

    Args:
        document: its own samples are left aside. progress: told the share that is done.
    """
    plan = open_plan(document)
    told = _told(plan, samples)
    outcomes: list[Outcome] = []
    for begin in range(0, len(samples.waters), _CHUNK):
        for water, other in _plans(plan, samples.waters[begin : begin + _CHUNK]):
            outcomes.append(Outcome(water) if other is None else _outcome(other, water, told, system))
            if progress is not None:
                progress(len(outcomes) / len(samples.waters))
    met = {key for outcome in outcomes for key in outcome.values or ()}
    return Survey(document, samples, tuple(outcomes), tuple(a.key for a in ANALYTES if a.key in met))


def _outcome(plan: Plan, water: Water, told: tuple[Analyte, ...], system: System) -> Outcome:
    evaluation = evaluate(plan)
    found = findings(evaluation, system=system)
    said = tuple(Said(f.severity, f.title, f.message) for f in found if f.severity != "note")
    return Outcome(water, verdict(found), said, len(found) - len(said), _values(evaluation, told), _assumed(evaluation))


def _plans(plan: Plan, waters: Sequence[Water]) -> Iterator[tuple[Water, Plan | None]]:
    """The same train with each water as its one sample, None where it cannot be read. What does not depend on the water is kept."""
    sheets = {i: water.sheet for i, water in enumerate(waters) if not water.trouble}
    streams = raw_streams(Columns.of_sheets(list(sheets.values())), len(FLOWS), plan.cold)
    places = {i: place for place, i in enumerate(sheets)}
    for i, water in enumerate(waters):
        if water.trouble:
            yield water, None
            continue
        one = slice(places[i], places[i] + 1)
        yield water, _with(plan, water, streams.part(one).copy())


def _with(plan: Plan, water: Water, stream: Stream) -> Plan:
    sample = Sample(id=f"line-{water.line}", at="supply", results=dict(water.results))
    # A document of its own would be checked anew, which takes a third as long as its evaluation does. Fields alone are read below: its
    # tree, its text and what it equals still tell the samples of the train's own file.
    document = plan.document.model_copy(update={"samples": [sample], "design_sample": sample.id})
    raw = replace(raw_of(document, water.sheet, stream), sheets={sample.id: water.sheet})
    other = replace(plan, document=document, raw=raw, unsafe=needs_disinfection(document, raw), chlorinated=raw.chlorinated)
    other.keep(hydraulics_of, plan.once(hydraulics_of))
    return other


def _told(plan: Plan, samples: Samples) -> tuple[Analyte, ...]:
    """Analytes to tell at the house: those of the table, and those that the house has a limit for."""
    limited = {row.limit.analyte for row in Context(evaluate(plan, keep_working=False)).table.rows if row.at == HOUSE}
    return tuple(a for a in ANALYTES if a.key in limited.union(samples.analytes) and readable(a.key) and not a.states)


def _values(evaluation: Evaluation, told: tuple[Analyte, ...]) -> dict[str, float]:
    """What arrives at the house: of each that is known the adverse end, at the flow where it is worst."""
    arriving = evaluation.points[HOUSE].water
    known = ((a, arriving.get(a.key)[..., 0]) for a in told if arriving.is_known(a.key)[0])
    return {a.key: float(ends.flat[badness(ends, a).argmax()]) for a, ends in known if not np.isnan(ends).any()}


def _assumed(evaluation: Evaluation) -> tuple[str, ...]:
    sheet = evaluation.plan.raw.sheet
    arriving = evaluation.points["supply"].water
    return tuple(a.key for a in ANALYTES if a.key in evaluation.plan.assumed and a.key not in sheet and not arriving.is_known(a.key)[0])
