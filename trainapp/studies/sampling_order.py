"""The sampling order: what still has to be tested before a verdict on a train means something, why, and into which bottle."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial
from typing import Any, Literal

from trainapp import data
from trainapp.checks.context import Context
from trainapp.checks.limits import limit_set
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY

#: How soon: before anyone drinks, before anything is bought, when convenient.
Urgency = Literal["drinking", "buying", "later"]
URGENCIES: tuple[Urgency, ...] = ("drinking", "buying", "later")
HEADINGS: Mapping[Urgency, str] = {
    "drinking": "Before anyone drinks it",
    "buying": "Before anything is bought",
    "later": "When the next bottle goes to the laboratory",
}
#: What a main delivers is tested by its supplier, all but what the house itself adds.
_OF_THE_HOUSE = frozenset({"lead", "copper"})
_CHLORINE = frozenset({"free_chlorine", "total_chlorine"})
_PUBLIC = "the supplier tests it; ask before paying for it again"


@dataclass(frozen=True, slots=True)
class Test:
    """One thing to test: analyte, how soon, and why as a clause with the source of that reason."""

    analyte: str
    urgency: Urgency
    why: str
    source: str
    status: str

    @property
    def label(self) -> str:
        """Plain name of the analyte."""
        return BY_KEY[self.analyte].label


@dataclass(frozen=True, slots=True)
class Bottle:
    """One bottle, or one trip to the tap: what it is, how it is filled, and what is tested in it, the most urgent first."""

    key: str
    label: str
    how: str
    tests: tuple[Test, ...]
    source: str
    status: str

    @property
    def urgency(self) -> Urgency:
        """Of its most urgent test."""
        return min((test.urgency for test in self.tests), key=URGENCIES.index)


@dataclass(frozen=True, slots=True)
class SamplingOrder:
    """What has to be tested at a site, by bottle; the most urgent bottles first."""

    site: str
    bottles: tuple[Bottle, ...]

    @property
    def tests(self) -> tuple[Test, ...]:
        """Every test, bottle by bottle."""
        return tuple(test for bottle in self.bottles for test in bottle.tests)

    def test(self, analyte: str) -> Test | None:
        """The test of an analyte, None where it needs none."""
        return next((test for test in self.tests if test.analyte == analyte), None)


def sampling_order(evaluation: Evaluation) -> SamplingOrder:
    """What the design sample of an evaluated document does not say and a limit of health, a stage or a check asks for."""
    wanted: dict[str, Test] = {}
    for test in (*_health(evaluation), *_of_stages(evaluation), *_splits(evaluation), *_taste(evaluation)):
        earlier = wanted.get(test.analyte)
        if earlier is None or URGENCIES.index(test.urgency) < URGENCIES.index(earlier.urgency):
            wanted[test.analyte] = test
    site = evaluation.plan.document.site.word("name") or "this site"
    return SamplingOrder(site, tuple(sorted(_bottles(evaluation, wanted), key=lambda bottle: URGENCIES.index(bottle.urgency))))


def order_lines(order: SamplingOrder, width: int = 100) -> Iterator[str]:
    """The order as lines to print: a heading for each urgency, then bottles with what goes into them and why."""
    yield f"Sampling order, {order.site}"
    if not order.bottles:
        yield from textwrap.wrap("Nothing that the limits or this train ask for is untested.", width)
        return
    number = 0
    for urgency in URGENCIES:
        bottles = [bottle for bottle in order.bottles if bottle.urgency == urgency]
        if bottles:
            yield ""
            yield HEADINGS[urgency]
        for bottle in bottles:
            number += 1
            yield f"{number:>2} {bottle.label}"
            yield from textwrap.wrap(bottle.how, width, initial_indent="   ", subsequent_indent="   ")
            for test in bottle.tests:
                yield from textwrap.wrap(f"{test.label}: {test.why}.", width, initial_indent="   - ", subsequent_indent="     ")
    yield ""
    yield from textwrap.wrap("The laboratory's own instructions come first; ask it which bottles it sends.", width)


# What is asked for ------------------------------------------------------------------------------------------------------------


def _untested(evaluation: Evaluation, analyte: str) -> bool:
    """Whether no sample of the supply has it as a measurement: an estimate is none."""
    document, sheet = evaluation.plan.document, evaluation.plan.raw.sheet
    if analyte not in sheet:
        return True
    results = [sample.results[analyte] for sample in document.samples if sample.word("at") == "supply" and analyte in sample.results]
    return bool(results) and all(isinstance(result, dict) and result.get("method") == "estimate" for result in results)


def _is_public(evaluation: Evaluation) -> bool:
    return evaluation.plan.source == "mains"


def _health(evaluation: Evaluation) -> Iterator[Test]:
    """Every health limit of the set in force, germs first."""
    public = _is_public(evaluation)
    rows = [row for row in limit_set(evaluation.plan.document.goals.word("limits") or "us").rows if row.kind == "health"]
    reasons = {row.analyte: (row.reason, row.source, row.status) for row in reversed(rows)}
    for analyte in dict.fromkeys(("total_coliform", "e_coli", *reasons)):
        if not _untested(evaluation, analyte) or (analyte in _CHLORINE and not evaluation.plan.chlorinated):
            continue
        told = _reasons().get(analyte)
        why, source, status = (told.why, told.source, told.status) if told else reasons[analyte]
        if public and analyte not in _OF_THE_HOUSE:
            yield Test(analyte, "later", f"{why}; {_PUBLIC}", source, status)
        else:
            yield Test(analyte, "drinking", why, source, status)


def _of_stages(evaluation: Evaluation) -> Iterator[Test]:
    """What models of the stages read and what their limits ask for."""
    context, ask = Context(evaluation), partial(_asked, evaluation)
    if context.ultraviolet or evaluation.plan.unsafe:
        yield from _reasons_of(evaluation, "uvt")
    for stage, result in evaluation.stages.items():
        name = context.name(stage)
        for analyte in result.stage.spec.needs:
            if ask(analyte) and not _follows(evaluation, analyte):
                yield Test(
                    analyte,
                    "buying",
                    f"until it is tested, {name} is sized and judged on what is usual for such a source",
                    "logic",
                    "computed",
                )
        for limit in evaluation.plan.limits.get(stage, ()):
            if ask(limit.analyte):
                reason = f" ({limit.reason})" if limit.reason else ""
                yield Test(limit.analyte, "buying", f"{name} stands only so much of it{reason}", limit.source, limit.status)


def _asked(evaluation: Evaluation, analyte: str) -> bool:
    """Whether a laboratory or a kit can tell what nobody has: a well that nothing feeds holds no chlorine."""
    beside = analyte in _CHLORINE and not evaluation.plan.chlorinated
    return analyte in BY_KEY and analyte != "temperature" and not beside and _untested(evaluation, analyte)


def _follows(evaluation: Evaluation, analyte: str) -> bool:
    """Whether it is known from other results, as hardness is from calcium and magnesium."""
    return bool(evaluation.points["supply"].water.is_known(analyte).all())


def _splits(evaluation: Evaluation) -> Iterator[Test]:
    """Second results that tell what a filter will do: dissolved beside total, filtered beside raw."""
    readings, public = Context(evaluation).readings, _is_public(evaluation)
    iron = readings.measured("supply", "iron") and readings.most("supply", "iron") > 0.3
    if iron and not public:
        yield from _reasons_of(evaluation, "iron_dissolved")
    chambers = any("disinfection" in result.stage.spec.tags for result in evaluation.stages.values())
    if chambers and len(evaluation.stages) > 1 and not _untested(evaluation, "uvt"):
        yield from _reasons_of(evaluation, "uvt_filtered")
    cloudy = readings.measured("supply", "turbidity") and readings.most("supply", "turbidity") > 1.0
    if cloudy and all(_untested(evaluation, name) for name in ("settles_overnight", "turbidity_filtered_5um")):
        yield from _reasons_of(evaluation, "settles_overnight", "turbidity_filtered_5um")


def _taste(evaluation: Evaluation) -> Iterator[Test]:
    """Limits for taste, stain and smell, and what is only advised."""
    for row in limit_set(evaluation.plan.document.goals.word("limits") or "us").rows:
        if row.kind in ("aesthetic", "advisory") and row.analyte != "temperature" and _untested(evaluation, row.analyte):
            why = f"{row.reason}; {_PUBLIC}" if _is_public(evaluation) else row.reason
            yield Test(row.analyte, "later", why, row.source, row.status)


# Reasons and bottles ----------------------------------------------------------------------------------------------------------


@cache
def _reasons() -> Mapping[str, Test]:
    return {row["analyte"]: Test(row["analyte"], row["urgency"], row["why"], row["source"], row["status"]) for row in _table("reason")}


def _reasons_of(evaluation: Evaluation, *analytes: str) -> Iterator[Test]:
    yield from (_reasons()[analyte] for analyte in analytes if _untested(evaluation, analyte))


def _table(name: str) -> list[Mapping[str, Any]]:
    rows: list[Mapping[str, Any]] = data.load_toml("start/sampling.toml")[name]
    return rows


def _bottles(evaluation: Evaluation, wanted: Mapping[str, Test]) -> Iterator[Bottle]:
    """Bottles in the order of their file; what the supplier of a main tests stands in its report."""
    left = dict(wanted)
    if _is_public(evaluation):
        public = [left.pop(analyte) for analyte, test in wanted.items() if test.why.endswith(_PUBLIC)]
        row = next(row for row in _table("bottle") if row["key"] == "report")
        yield from _bottle(row, (Test(t.analyte, t.urgency, t.why.removesuffix(f"; {_PUBLIC}"), t.source, t.status) for t in public))
    for row in _table("bottle"):
        yield from _bottle(row, [left[analyte] for analyte in row["analytes"] if analyte in left])


def _bottle(row: Mapping[str, Any], tests: Iterable[Test]) -> Iterator[Bottle]:
    ordered = tuple(sorted(tests, key=lambda test: URGENCIES.index(test.urgency)))
    if ordered:
        yield Bottle(row["key"], row["label"], row["how"], ordered, row["source"], row["status"])
