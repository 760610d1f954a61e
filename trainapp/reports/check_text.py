"""The answer of `trainapp check` as text for a terminal: verdict, findings, what was not judged."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from trainapp import units
from trainapp.checks import headline, not_judged, safety
from trainapp.checks.finding import Finding
from trainapp.sources import source
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation
from trainapp.water.raw import assumptions

_WIDTH = 100


def check_lines(evaluation: Evaluation, findings: Sequence[Finding], system: units.System) -> Iterator[str]:
    """Lines to print, no colour; each finding by number, severity, title, place and one sentence."""
    site = evaluation.plan.document.site
    yield from textwrap.wrap(f"{site.name or 'This train'}: {headline(evaluation, findings)}", _WIDTH)
    yield ""
    yield from _delivery(evaluation, system)
    for i, finding in enumerate(findings, 1):
        yield ""
        place = f" [{', '.join((finding.stage, *finding.also_at))}]" if finding.stage else ""
        yield f"{i:>2} {finding.severity:<8}{finding.title}{place}"
        for text in (finding.message, *finding.cautions):
            yield from textwrap.wrap(text, _WIDTH, initial_indent=" " * 11, subsequent_indent=" " * 11)
        if finding.source:
            yield from textwrap.wrap(
                f"Source: {source(finding.source).label} ({finding.status})", _WIDTH, initial_indent=" " * 11, subsequent_indent=" " * 11
            )
        if finding.accepted:
            yield f"{'':11}Accepted by {finding.accepted.get('by', '')}: {finding.accepted.get('reason', '')}"
    read_in = assumptions(evaluation.plan.raw.sheet)
    if read_in:
        yield ""
        yield from textwrap.wrap("Read into the sample: " + "; ".join(a.sentence for a in read_in) + ".", _WIDTH)
    yield ""
    yield from textwrap.wrap("Not judged: " + "; ".join(not_judged(evaluation)) + ".", _WIDTH)
    yield ""
    for sentence in safety(evaluation):
        yield from textwrap.wrap(sentence, _WIDTH)


def _delivery(evaluation: Evaluation, system: units.System) -> Iterator[str]:
    house = evaluation.points["house"]
    capacity = evaluation.capacity

    def show(value: float, dimension: str) -> str:
        return units.show(value, dimension, system)

    yield (
        f"At the house main at {show(float(house.flow[PEAK]), 'flow')}: {show(house.pressure.clean, 'pressure')} clean, "
        f"{show(house.pressure.dirty, 'pressure')} dirty, {show(house.pressure.lowest, 'pressure')} lowest."
    )
    yield f"The train gives at most {show(capacity.flow, 'flow')}; gives in first: {capacity.at}, by {capacity.limited_by}."
