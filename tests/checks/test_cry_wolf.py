"""Findings people keep reading: on real and on plausible waters with a sensible train, few are loud, and each fail is one."""

from __future__ import annotations

import statistics
from collections import Counter

from tests.checks.crying import DRAWN, designs
from trainapp.checks import findings
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

#: What an experienced designer would call a fail of these designs: a contaminant over its health limit that nothing takes out, organic
#: matter of bog water on an iron medium, acid or brackish water that the train cannot turn, a bed that the well cannot wash.
FAILS = {
    ("health", "nitrate"), ("health", "manganese"), ("inlet-limit", "toc"), ("inlet-limit", "ph"), ("inlet-limit", "hardness"),
    ("backwash-short", ""),
}  # fmt: skip


def test_few_findings_are_loud_and_every_fail_is_one() -> None:
    loud, fails, kinds = [], Counter[tuple[str, str]](), Counter[tuple[str, str, str]]()
    for _, document in designs():
        told = [f for f in findings(evaluate(open_plan(document))) if f.severity != "note"]
        loud.append(len(told))
        fails.update((f.code, f.analyte) for f in told if f.severity == "fail")
        kinds.update((f.severity, f.code, f.analyte) for f in told)
    assert len(loud) == 17 + DRAWN
    assert statistics.median(loud) <= 4, kinds.most_common()
    assert statistics.quantiles(loud, n=20)[-1] <= 8, kinds.most_common()
    assert fails.keys() <= FAILS, fails
    assert sum(fails.values()) < 0.1 * len(loud), fails
