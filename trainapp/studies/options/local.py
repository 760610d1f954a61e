"""One stage on one water: what leaves it, what it asks for, and what the checks say of it there.

What is found at a stage follows from the water that enters it and from the stage, not from how the train ahead was sized; so each stage
is run and judged once for each water that reaches it, however many trains hold the pair. The judging is that of the checks themselves, on
an evaluation that holds the one stage.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trainapp.checks import cleaning, goals, inlet_limits, ratings, remarks, ultraviolet, uv_pipes
from trainapp.checks.context import SUPPLY, Context, names_of
from trainapp.checks.finding import Finding
from trainapp.checks.readings import readable
from trainapp.stages.base import Cleaning, Remark
from trainapp.stages.working import Array, Working
from trainapp.studies.cost import Use, duty_of
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.site import Site
from trainapp.studies.options.traced import Trace, Traced
from trainapp.studies.options.treatments import treatments
from trainapp.train.evaluation import Capacity, Evaluation, PointResult, Pressures, StageResult
from trainapp.train.overrides import limits_in_force
from trainapp.train.plan import Plan
from trainapp.train.zones import HOUSE
from trainapp.water.stream import Stream

_NO_PRESSURE = Pressures(0.0, 0.0, 0.0)
#: Code of trains that do nothing for a need.
LEFT_CODE = "need-left"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the checks say: failures, how many cautions there are, and how many of those say that the equipment is the wrong one."""

    fails: tuple[Finding, ...]
    cautions: int
    unfit: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Carried:
    """What passes a place: m3/s at trickle, average and peak, shape (3,), and m3 a day."""

    flow: Array
    daily: float


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """A stage on a water.

    Attributes:
        outlet: what leaves, with a column for each stage so far that raw water passes by while it cleans itself.
        verdict: what is found there. use: what a bill needs. cleaning: how one unit cleans itself.
    """

    outlet: Stream
    verdict: Verdict
    use: Use
    cleaning: Cleaning | None


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A choice that was run on one water, and what it does to every water that is alike in the rows that it read.

    Attributes:
        treated: what left it. changed: rows whose values it may have changed, `marked` rows whose marks. read: rows that it looked at.
        verdict, use, cleaning: as in :class:`Outcome`.
    """

    treated: Stream
    changed: list[int]
    marked: list[int]
    read: frozenset[int]
    verdict: Verdict
    use: Use
    cleaning: Cleaning | None

    def on(self, inlet: Stream, *, passes_raw: bool) -> Outcome:
        """The outcome on such a water; raw water that passes by is followed where `passes_raw`."""
        outlet = Stream(inlet.values.copy(), inlet.known.copy())
        outlet.values[self.changed] = self.treated.values[self.changed]
        outlet.known[self.marked] = self.treated.known[self.marked]
        return Outcome(_with_raw(outlet, inlet) if passes_raw else outlet, self.verdict, self.use, self.cleaning)


def run(site: Site, plan: Plan, raw: Stream, choice: Choice, inlet: Stream, carried: Carried) -> Run:
    """Run a choice and judge it.

    Args:
        plan: of a train that holds its place. raw: the water at the supply, one column. inlet: columns as in :class:`Outcome`.
        carried: what passes all its units.
    """
    stage, trace = choice.stage, Trace()
    duty = duty_of(plan, carried.flow, carried.daily, stage.count)
    working, said, entering = Working(True), list[Remark](), Traced(inlet, trace)
    leaving = stage.treat(entering, duty, working, said)
    assert isinstance(leaving, Traced)  # what leaves a stage began as a copy of what enters it
    outlet, wash = leaving.plain, stage.cleaning(entering, duty)
    flow, daily = carried.flow, carried.daily
    result = StageResult(stage, inlet, outlet, flow, daily, _NO_PRESSURE, 0.0, 0.0, working, said, wash)
    use = Use.of(stage, choice.item, choice.row, wash, stage.chores(entering, duty), site.document)
    verdict = judge(site, plan, raw, result, range(1, inlet.waters))
    return Run(outlet, sorted(trace.read | trace.written), sorted(trace.marked), frozenset(trace.read), verdict, use, wash)


def _with_raw(outlet: Stream, inlet: Stream) -> Stream:
    """One more column: what enters, as it comes by while the stage cleans itself."""
    values = np.concatenate([np.broadcast_to(outlet.values, _shape(outlet, inlet)), inlet.values[..., :1]], axis=3)
    return Stream(values, np.concatenate([outlet.known, outlet.known[:, :1]], axis=1))


def _shape(outlet: Stream, inlet: Stream) -> tuple[int, ...]:
    return np.broadcast_shapes(outlet.values.shape, inlet.values.shape)


# Judging --------------------------------------------------------------------------------------------------------------------------


def judge(site: Site, plan: Plan, raw: Stream, result: StageResult, cases: Sequence[int] = ()) -> Verdict:
    """What the checks find at one stage of a train.

    Args:
        raw: the water at the supply, one column. cases: columns of its inlet that are waters while a stage ahead cleans itself.
    """
    lamp = "disinfection" in result.stage.spec.tags
    context = Context(_alone(plan, raw, result, whole=lamp), site.system)
    found = [remarks.finding_of(context, result.stage.id, said) for said in result.remarks if said.severity != "note"]
    found += ratings.check(context.evaluation, context)
    if result.cleaning is not None:
        found += [f for f in cleaning.check(context.evaluation, context) if f.code != "cleaning-together"]
    if not _is_within(context, result):
        found += inlet_limits.check(context.evaluation, context)
        found += _while_cleaning(context, result, list(cases)) if lamp and cases else ()
    if lamp:
        found += [f for check in (ultraviolet.check, uv_pipes.check) for f in check(context.evaluation, context)]
    if _is_too_tall(site, result):
        found.append(_TOO_TALL)
    return _verdict(site, found)


def _is_within(context: Context, result: StageResult) -> bool:
    """Whether every water that enters lies within every limit, so that none of them needs a judgement."""
    inlet = context.stages[result.stage.id].inlet
    bounds = [(limit.analyte, limit.minimum, limit.maximum) for limit in context.plan.limits[result.stage.id]]
    bounds.append(("uvt", result.stage.settings.get("rated_uvt"), None))
    for analyte, least, most in bounds:
        if (least is None and most is None) or not readable(analyte):
            continue
        values = inlet.get(analyte)
        # what is not known has to be judged, too
        if not ((least is None or (values >= least).all()) and (most is None or (values <= most).all())):
            return False
    return True


def judge_ends(site: Site, plan: Plan, raw: Stream, water: Stream) -> Verdict:
    """What the checks find of the water at the house and at every outlet that hangs where it does.

    A need of the site that this water does not meet counts as unfit, and as a caution where no finding speaks of it; one that it leaves as
    it was is a failure.
    """
    points = {SUPPLY: PointResult(SUPPLY, np.zeros(3), _NO_PRESSURE, raw, Working)}
    behind = [end for end, demand in plan.demands.items() if demand.drinking]
    points |= {end: PointResult(end, np.zeros(3), _NO_PRESSURE, first(water), Working) for end in behind}
    own = replace(plan)
    own.keep(names_of, plan.once(names_of))
    evaluation = Evaluation(own, points, {}, {}, Capacity(0.0, HOUSE, "rating"), {}, (), {}, 0.0)
    told = list(goals.check(evaluation, Context(evaluation, site.system)))
    found, unmet = _verdict(site, told), site.unmet(water)
    spoken_of = {finding.analyte for finding in told if finding.severity == "caution"}
    cautions = found.cautions + sum(need.rule.analyte not in spoken_of for need in unmet)
    fails = (*found.fails, *left_as_it_was(site, water))
    return Verdict(fails, cautions, (*found.unfit, *(_UNMET[need.rule.key] for need in unmet)))


def left_as_it_was(site: Site, water: Stream) -> tuple[Finding, ...]:
    """A failure for each need that a water at the house leaves as it was in the raw water."""
    return tuple(_LEFT[need.rule.key] for need in site.left(water))


def _verdict(site: Site, found: Iterable[Finding]) -> Verdict:
    listed = list(found)
    cautions = [f for f in listed if f.severity == "caution" and f.code not in site.rules.beside]
    fails = tuple(f for f in listed if f.severity == "fail" and site.is_own(f))
    return Verdict(fails, len(cautions), tuple(f for f in cautions if f.code in site.rules.unfit))


def _alone(plan: Plan, raw: Stream, result: StageResult, whole: bool) -> Evaluation:
    """An evaluation that holds one stage, with all columns of its inlet or the first alone.

    How much is left to wash it with is a matter of the whole train: here it is taken to be enough.
    """
    stage = result.stage
    own = replace(plan, stages={stage.id: stage}, limits={stage.id: limits_in_force(stage)})
    # a plan of its own asks for nothing that the whole train has an answer to: its names stand on flows, which take long to find
    own.keep(names_of, plan.once(names_of))
    inlet = result.inlet if whole else first(result.inlet)
    enough = None if result.cleaning is None else math.inf
    alone = replace(result, inlet=inlet, outlet=first(result.outlet), backwash_available=enough)
    there = Stream(np.broadcast_to(raw.values, (*raw.values.shape[:3], inlet.waters)), raw.known)
    points = {SUPPLY: PointResult(SUPPLY, np.zeros(3), _NO_PRESSURE, there, Working)}
    return Evaluation(own, points, {stage.id: alone}, {}, Capacity(0.0, HOUSE, "rating"), {}, (), {}, 0.0)


def first(water: Stream) -> Stream:
    """The first water of several."""
    return water.part(slice(1))


def _while_cleaning(context: Context, result: StageResult, cases: list[int]) -> Iterator[Finding]:
    """Raw water at a chamber while a stage ahead cleans itself, as one finding: a failure where the light does not reach it."""
    rows = context.table.of(result.stage.id)
    ranks = context.ranks[rows]
    then = ranks[:, cases]
    worse = (then > ranks[:, :1]) & (then >= 2) & context.table.known[rows][:, None]
    if not worse.any():
        return
    light = [i for i, row in enumerate(rows) if context.table.rows[row].limit.analyte == "uvt"]
    dark = any((then[i][worse[i]] == 3).any() for i in light)
    yield _DARK if dark and context.needs_disinfection else _RAW


_TITLE = "Raw water passes while a stage cleans itself"
_RAW = Finding("raw-while-cleaning", "caution", "", _TITLE, "")
_DARK = Finding("raw-while-cleaning", "fail", "", _TITLE, "")
_UNMET = {rule.key: Finding("unmet", "caution", HOUSE, f"Not enough against {rule.complaint}", "") for rule in treatments().needs}
_LEFT = {
    rule.key: Finding(LEFT_CODE, "fail", HOUSE, f"They leave {rule.complaint} as they were", "", rule.analyte)
    for rule in treatments().needs
}  # fmt: skip
_TOO_TALL = Finding("room-fit", "caution", "", "Too tall for the room", "")


def _is_too_tall(site: Site, result: StageResult) -> bool:
    height, figure = site.document.room.get("height"), result.stage.figure()
    top = figure.base + figure.height + figure.clear_above
    return height is not None and figure.shape != "inline" and top > height * (1 + 1e-9)
