"""What a laboratory sheet says that does not fit together, and water that leaves a stage unlike its prediction: `sample-doubt`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from math import isfinite

from trainapp.checks.context import SUPPLY, Context, analyte_inside, analyte_label
from trainapp.checks.drinking import until
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import amount
from trainapp.stages.base import Severity
from trainapp.stages.working import AVERAGE
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY
from trainapp.water.doubts import Doubt, doubts_of
from trainapp.water.sample import Result
from trainapp.water.stream import Stream

#: A sheet as something that can be kept: results by analyte, in alphabetical order.
Sheet = tuple[tuple[str, Result], ...]


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each sheet taken at the supply for itself, then each taken behind a stage against its prediction."""
    raw = context.plan.raw
    yield from _other_germs(context)
    for sample in context.document.samples:
        at, sheet = sample.word("at"), raw.sheets[sample.id]
        if at == SUPPLY:
            for doubt in _doubts(tuple(sorted(sheet.items()))):
                yield _doubtful(sample.id, sheet, doubt)
            yield from _estimates(context, sample.id, sheet)
        elif at in evaluation.points:
            yield from _behind(evaluation, context, at, sample.id, sheet)


def _other_germs(context: Context) -> Iterator[Finding]:
    """A sample with E. coli beside a design sample without: one clear sample does not outweigh it."""
    if context.germs("e_coli") == "present":
        return
    raw = context.plan.raw
    named = [s.id for s in context.document.samples if s.word("at") == SUPPLY and (r := raw.sheets[s.id].get("e_coli")) and r.low > 0]
    if named:
        yield Finding(
            "sample-doubt", "caution", "", "Another sample holds E. coli",
            f'Sample "{named[0]}" holds E. coli and the design sample does not: '
            "design for it, or show by two clear samples that it is gone.",
            "e_coli", source="epa-private-wells", status="published", cause="sample-doubt:e_coli",
            cautions=(until(context, "then do not drink this water"),),
        )  # fmt: skip


@lru_cache(maxsize=256)
def _doubts(sheet: Sheet) -> tuple[Doubt, ...]:
    """All doubts about one sheet. Kept, because every edit of the train asks again about the same sheet."""
    return doubts_of(dict(sheet))


def _doubtful(sample: str, sheet: Mapping[str, Result], doubt: Doubt) -> Finding:
    first = doubt.analytes[0]
    # iron that was measured as dissolved explains why it does not darken the sample yet
    still_clear = doubt.analytes == ("uvt", "iron") and "iron_dissolved" in sheet
    severity: Severity = "note" if still_clear else "caution"
    named = " and ".join(analyte_inside(key) for key in doubt.analytes[:2])
    return Finding(
        "sample-doubt", severity, "", f"Results that do not fit: {named}", f'Sample "{sample}": {doubt.sentence}', first,
        Amount.of(doubt.value, doubt.dimension, doubt.unit), Amount.of(doubt.limit, doubt.dimension, doubt.unit), doubt.source,
        doubt.status, cause=f"sample-doubt:{','.join(doubt.analytes)}",
    )  # fmt: skip


def _estimates(context: Context, sample: str, sheet: Mapping[str, Result]) -> Iterator[Finding]:
    """Estimates: a UVT that was not measured never makes better than a caution where a chamber stands."""
    named = [name for name, result in sheet.items() if result.method == "estimate"]
    if named:
        labels = ", ".join(analyte_label(name) for name in named)
        dim = context.ultraviolet and {"uvt", "uvt_filtered"} & set(named)
        yield Finding(
            "sample-doubt", "caution" if dim else "note", "", "Estimated, not measured",
            f'Sample "{sample}": {labels} is an estimate; have it measured before anything is bought.',
            "uvt" if dim else "", source="document", cause=f"sample-doubt:estimate:{sample}",
        )  # fmt: skip


def _behind(evaluation: Evaluation, context: Context, at: str, sample: str, sheet: Mapping[str, Result]) -> Iterator[Finding]:
    """A sample of treated water that is worse than predicted: the stage does less than its model."""
    point = evaluation.points[at]
    water = point.predicted or point.water
    for name, result in sheet.items():
        analyte = BY_KEY[name]
        if analyte.adverse != "high" or analyte.states or not water.is_known(name)[0]:
            continue
        predicted = _high(water, name)
        if isfinite(predicted) and result.low > predicted * (1.0 + amount("model_accuracy")) and result.low > 0:
            told = context.show(result.low, analyte.dimension, name)
            yield Finding(
                "sample-doubt", "caution", at, f"{analyte.label} behind {context.name(at)} is more than predicted",
                f'Sample "{sample}" has {told} of {analyte_inside(name)} behind {context.name(at)}; '
                f"at most {context.show(predicted, analyte.dimension, name)} was predicted: the measurement counts, find out why.",
                name, Amount.of(result.low, analyte.dimension), Amount.of(predicted, analyte.dimension), "document",
                cause=f"sample-doubt:{at}:{name}",
            )  # fmt: skip


def _high(water: Stream, name: str) -> float:
    return float(water.high(name)[AVERAGE, 0])
