"""What an edit is worth: whether it gives up treatment, what it brings that is new, and how much of the train it touches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from trainapp.checks.finding import SEVERITIES, Finding
from trainapp.checks.limits import LimitSet
from trainapp.train.edits import AddStage, ChangeSetting, Edit, RemoveValue, SetValue
from trainapp.train.evaluation import Evaluation
from trainapp.train.zones import HOUSE, SUPPLY

#: Cautions that ask for a test or a paper whatever is built: they may come with a stage that treats, and are told.
STANDING = frozenset({"after-start-up", "sample-gap", "no-certificate", "regulated", "health"})
#: What a train is there to take out.
_TAKEN_OUT = (
    "hardness", "iron", "manganese", "turbidity", "hydrogen_sulfide", "tannin", "colour", "free_chlorine", "total_chlorine", "ammonia",
    "arsenic", "nitrate", "total_coliform", "e_coli",
)  # fmt: skip
#: Water counts as worse where more than this share of what the supply holds comes back.
_BACK = 0.1
#: Share of its limit below which what comes back is not missed.
_MISSED = 0.5
#: A value that moves by less than this share of its limit is as good as before.
_SLIGHT = 0.05


def asks_for_a_test(finding: Finding) -> bool:
    """Whether a caution asks for a test, a paper or a licence that no choice of stages could spare."""
    return finding.severity == "caution" and (finding.code in STANDING or finding.title.endswith("cannot tell"))


def gives_up_treatment(before: Evaluation, after: Evaluation, limits: LimitSet) -> bool:
    """Whether less is taken out of the water at the house than before: adverse reading, worst of the three flows, design sample.

    What stays below half of its limit even so is not missed.
    """
    return any(_returned(before, after, analyte, limits) for analyte in _TAKEN_OUT)


def _returned(before: Evaluation, after: Evaluation, analyte: str, limits: LimitSet) -> bool:
    least = _MISSED * min((row.maximum for row in limits.of(analyte) if row.maximum is not None), default=0.0)
    raw, old, new = (
        float(water.get(analyte)[1, :, 0].max())
        for water in (before.points[SUPPLY].water, before.points[HOUSE].water, after.points[HOUSE].water)
    )
    if not before.points[SUPPLY].water.get(analyte)[0, 0, 0] > 0.0:
        return False  # not found in the supply, or not looked for
    # what was not measured says nothing; what a stage itself adds (hardness by calcite) was not taken out before
    return bool(np.isfinite([raw, old, new]).all()) and old < raw and new > least and new - old > _BACK * raw


def size(edits: Sequence[Edit]) -> int:
    """How much of a train an edit touches: one setting, several, a move or pipes, another item or unit, stages put in."""
    added = sum(isinstance(edit, AddStage) for edit in edits)
    if added:
        return 3 + added
    if any(_buys(edit) for edit in edits):
        return 3
    if not all(isinstance(edit, ChangeSetting | SetValue | RemoveValue) for edit in edits):
        return 2
    return int(len(edits) > 1)


def _buys(edit: Edit) -> bool:
    """Whether it takes another item, or one more unit."""
    if isinstance(edit, ChangeSetting):
        return edit.key == "count"
    return isinstance(edit, SetValue) and not isinstance(edit.path, str) and edit.path[-1:] == ("item",)


def weight(finding: Finding) -> int:
    """3 for a fail, 2 for a caution, 1 for a note."""
    return len(SEVERITIES) - SEVERITIES.index(finding.severity)


def worse(told: Sequence[tuple[Finding, Finding | None]]) -> Iterator[Finding]:
    """Findings that an edit brings or makes worse, each given with what it was in the train before."""
    for after, before in told:
        if before is None or weight(after) > weight(before) or _farther(before, after):
            yield after


def _farther(before: Finding, after: Finding) -> bool:
    """Whether a finding lies farther from its limit than it did."""
    if before.limit is None or after.limit is None:
        return False
    return _distance(after) > _distance(before) + _SLIGHT * abs(before.limit.low)


def _distance(finding: Finding) -> float:
    """How far the worse end of its value lies from its limit."""
    if finding.value is None or finding.limit is None:
        return 0.0
    ends = (finding.value.low, finding.value.low if finding.value.high is None else finding.value.high)
    return max(abs(end - finding.limit.low) for end in ends)
