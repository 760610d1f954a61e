"""The answer of `trainapp check` as text for a terminal: verdict, findings, what was not judged."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from trainapp import units
from trainapp.checks import Context, headline, safety
from trainapp.checks.context import analyte_inside
from trainapp.checks.finding import Finding
from trainapp.reports.capacity_words import capacity_told
from trainapp.reports.unjudged import unjudged
from trainapp.sources import source
from trainapp.spelling import spelt
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation, PointResult
from trainapp.water.analytes import BY_KEY
from trainapp.water.raw import assumptions

_WIDTH = 100


def _tests(evaluation: Evaluation, system: units.System) -> Iterator[str]:
    """Samples of treated water beside what was predicted."""
    context = Context(evaluation, system)
    for point in evaluation.points.values():
        told = [
            f"{spelt(analyte_inside(name))} {r.text.strip()} ({_predicted(context, point, name)})" for name, r in point.measured.items()
        ]
        if told:
            yield ""
            yield from textwrap.wrap(f"Measured, water leaving {context.name(point.at)}: " + "; ".join(told) + ".", _WIDTH)


def _predicted(context: Context, point: PointResult, name: str) -> str:
    """What the models say of an analyte at a place where a sample was taken."""
    analyte, water = BY_KEY[name], point.predicted or point.water
    if analyte.states or not water.is_known(name)[0]:
        return "not predicted"
    ends = dict.fromkeys(context.show(float(end[PEAK, 0]), analyte.dimension, name) for end in (water.low(name), water.high(name)))
    return f"predicted {' to '.join(ends)}"


def check_lines(evaluation: Evaluation, findings: Sequence[Finding], system: units.System) -> Iterator[str]:
    """Lines to print, no colour; each finding by number, severity, title, place and one sentence."""
    site = evaluation.plan.document.site
    yield from textwrap.wrap(f"{site.name or 'This train'}: {spelt(headline(evaluation, findings))}", _WIDTH)
    yield ""
    yield from _delivery(evaluation, system)
    for i, finding in enumerate(findings, 1):
        yield ""
        place = f" [{', '.join((finding.stage, *finding.also_at))}]" if finding.stage else ""
        yield f"{i:>2} {finding.severity:<8}{spelt(finding.title)}{place}"
        for text in (finding.message, *finding.cautions):
            yield from textwrap.wrap(spelt(text), _WIDTH, initial_indent=" " * 11, subsequent_indent=" " * 11)
        if finding.source:
            yield from textwrap.wrap(
                f"Source: {source(finding.source).label} ({finding.status})", _WIDTH, initial_indent=" " * 11, subsequent_indent=" " * 11
            )
        for remedy in finding.remedies:
            yield from textwrap.wrap(f"Try: {spelt(remedy['label'])}", _WIDTH, initial_indent=" " * 11, subsequent_indent=" " * 16)
        if finding.accepted:
            yield f"{'':11}Accepted by {finding.accepted.get('by', '')}: {finding.accepted.get('reason', '')}"
    yield from _tests(evaluation, system)
    read_in = assumptions(evaluation.plan.raw.sheet)
    if read_in:
        yield ""
        yield from textwrap.wrap(spelt("Read into the sample: " + "; ".join(a.sentence for a in read_in) + "."), _WIDTH)
    yield ""
    yield from textwrap.wrap("Not judged: " + "; ".join(unjudged(evaluation)) + ".", _WIDTH)
    yield ""
    for sentence in safety(evaluation):
        yield from textwrap.wrap(spelt(sentence), _WIDTH)


def _delivery(evaluation: Evaluation, system: units.System) -> Iterator[str]:
    house = evaluation.points["house"]

    def show(value: float, dimension: str) -> str:
        return units.show(value, dimension, system)

    yield (
        f"At the house main at {show(float(house.flow[PEAK]), 'flow')}: {show(house.pressure.clean, 'pressure')} clean, "
        f"{show(house.pressure.dirty, 'pressure')} dirty, {show(house.pressure.lowest, 'pressure')} lowest."
    )
    yield from textwrap.wrap(capacity_told(evaluation, system), _WIDTH)
