"""The figures of one evaluated train: of a pick before it is offered, of the train on the bench, of any train that a test builds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainapp.checks import alone, pressure, room
from trainapp.checks import findings as check_all
from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.studies.cost import Bill, PriceList, Use, Writer, bill_of, use_of
from trainapp.studies.options.hydraulics import WASH_SLACK, dry_below
from trainapp.studies.options.local import Verdict, first, judge, judge_ends, left_as_it_was
from trainapp.studies.options.site import Site
from trainapp.train.evaluation import Evaluation
from trainapp.train.zones import HOUSE, SUPPLY

_DRY = Finding("low-pressure", "fail", HOUSE, "No pressure at the house", "")


@dataclass(frozen=True, slots=True)
class Measured:
    """What an evaluated train comes to.

    Attributes:
        evaluation, findings: all there is to know of it.
        fails: failures of its own, those left out that nothing here can solve; and what makes it no option: a need that it leaves as it
            was, or an end at whose worst tap nothing is left.
        values: by criterion. unfit: cautions that say that equipment is the wrong one.
        bill: what it costs.
    """

    evaluation: Evaluation
    findings: tuple[Finding, ...]
    fails: tuple[Finding, ...]
    values: tuple[float, ...]
    unfit: int
    bill: Bill


def measure(site: Site, evaluation: Evaluation, prices: PriceList, years: int | None = None) -> Measured:
    """The figures of an evaluated train on a site.

    Cautions are counted where a choice of equipment can mend them: at each stage, at the taps, in wash, pressure and room.
    """
    found = tuple(check_all(evaluation, system=site.system))
    verdicts = list(_verdicts(site, evaluation))
    more = _of_the_whole(site, evaluation)
    uses = [use_of(evaluation, stage) for stage in evaluation.stages]
    water = sum(end.daily for name, end in evaluation.plan.demands.items() if name in evaluation.points)
    bill = bill_of(uses, Writer(prices, years), water)
    cautions = sum(verdict.cautions for verdict in verdicts) + more
    drain, salt = (float(sum(getattr(use, name) for use in uses)) for name in ("drained", "salt"))
    chores = _chores(Context(evaluation), uses)
    left = evaluation.points[HOUSE].pressure.lowest
    return Measured(
        evaluation,
        found,
        (*(f for f in found if f.severity == "fail" and site.is_own(f)), *_no_option(site, evaluation)),
        (float(bill.buy), float(bill.own), chores, left, drain, salt, float(cautions)),
        sum(len(verdict.unfit) for verdict in verdicts) + more,
        bill,
    )


def _no_option(site: Site, evaluation: Evaluation) -> Iterator[Finding]:
    yield from left_as_it_was(site, first(evaluation.points[HOUSE].water))
    ends = [name for name, demand in evaluation.plan.demands.items() if demand.drinking and name in evaluation.points]
    yield from (_DRY for end in ends if evaluation.points[end].pressure.lowest <= dry_below(evaluation.plan, end))


def _chores(context: Context, uses: Sequence[Use]) -> float:
    """How often a year someone has to do something: the same equipment side by side is seen to at one time, however it is drawn."""
    groups: list[list[Use]] = []
    for use in uses:
        same = (group for group in groups if _is_beside(context, group[-1], use))
        found = next(same, None)
        if found is None:
            groups.append([use])
        else:
            found.append(use)
    return float(sum(max(use.chores_a_year for use in group) for group in groups))


def _is_beside(context: Context, one: Use, other: Use) -> bool:
    """Whether two stages are the same equipment in parallel lanes."""
    alike = (one.stage.spec.kind, one.item, one.stage.count) == (other.stage.spec.kind, other.item, other.stage.count)
    first, second = one.stage.id, other.stage.id
    return alike and first not in context.before(second) and second not in context.before(first)


def _verdicts(site: Site, evaluation: Evaluation) -> Iterator[Verdict]:
    """What is found at each stage, and of the water at the taps."""
    raw = first(evaluation.points[SUPPLY].water)
    before = Context(evaluation).before
    for stage, result in evaluation.stages.items():
        cases = [case for other, case in evaluation.while_cleaning.items() if other in before(stage)]
        yield judge(site, evaluation.plan, raw, result, cases)
    yield judge_ends(site, evaluation.plan, raw, first(evaluation.points[HOUSE].water))


def _of_the_whole(site: Site, evaluation: Evaluation) -> int:
    """Cautions of wash, pressure and room, all of them on equipment that is the wrong one."""
    context = Context(evaluation, site.system)
    washes = [(r.cleaning, r.backwash_available) for r in evaluation.stages.values()]
    short = sum(1 for wash, given in washes if wash is not None and given is not None and given < wash.flow * WASH_SLACK)
    behind = {name for name, demand in evaluation.plan.demands.items() if demand.drinking}
    told = [*pressure.check(evaluation, context), *alone.check(evaluation, context)]
    low = sum(1 for f in told if f.code == "low-pressure" and f.severity == "caution" and f.stage in behind)
    low += sum(1 for f in told if f.code == "over-rating" and f.severity == "caution")
    wide = sum(1 for f in room.check(evaluation, context) if f.cause == "room-fit:width")
    return short + low + wide
