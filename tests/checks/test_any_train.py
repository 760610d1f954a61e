"""Whatever stands in whatever order on whatever water, checks answer with whole sentences and sources that exist."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.build import CLEAN, GOOD_WELL, METAL, train
from tests.checks.wells import well
from tests.train.trains import MAIN, chain, document, fifteen_stages, stage, twelve_stages
from tests.water.real_waters import REAL_WATERS
from trainapp.checks import checks, findings, headline, limit_ranks, not_judged, safety
from trainapp.checks.finding import SEVERITIES, Finding
from trainapp.checks.judge import RANK
from trainapp.sources import STATUSES, sources
from trainapp.stages.registry import kinds
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.water.stream import Stream

KINDS = sorted(kinds())
_BAD = re.compile(r"\bnan\b|\binf\b|None|\{|\}|  |\.\.|-0\.0 |True|False")


def assert_well_said(told: list[Finding]) -> None:
    seen = set()
    for f in told:
        assert f.severity in SEVERITIES and f.source in sources() and f.status in STATUSES, f
        assert f.title and (f.title[0].isupper() or f.title.startswith("pH")) and not f.title.endswith("."), f
        assert f.message.endswith((".", "!")) and not _BAD.search(f.message), f
        assert f.stage not in f.also_at and len(set(f.also_at)) == len(f.also_at), f
        for amount in (f.value, f.limit):
            assert amount is None or np.isfinite(amount.low), f
        key = (f.code, f.stage, f.analyte, f.title)
        assert key not in seen, key
        seen.add(key)
    ranks = [SEVERITIES.index(f.severity) for f in told]
    assert ranks == sorted(ranks)


@given(
    order=st.lists(st.sampled_from(KINDS), max_size=6),
    seed=st.integers(0, 10_000),
    missing=st.sets(st.sampled_from(sorted(CLEAN)), max_size=8),
    supply=st.sampled_from([GOOD_WELL, {**GOOD_WELL, "source": "spring"}, MAIN]),
    peak=st.sampled_from(["2 gpm", "7 gpm", "15 gpm"]),
)
def test_any_train_on_any_water(order: list[str], seed: int, missing: set[str], supply: dict[str, Any], peak: str) -> None:
    sheet = {**CLEAN, **well(np.random.default_rng(seed)).sheet}
    # a closed valve with no other way is no train
    stages = [stage(f"s{i}", kind, **({"position": "open"} if kind == "bypass" else {})) for i, kind in enumerate(order)]
    water = {key: value for key, value in sheet.items() if key not in missing}
    evaluation = evaluate(open_plan(document(stages, water=water, supply=supply, plumbing=METAL, peak=peak)))
    told = findings(evaluation)
    assert_well_said(told)
    assert headline(evaluation, told) and not_judged(evaluation) and list(safety(evaluation))


def test_long_trains_with_lanes_and_outlets() -> None:
    for document_ in (twelve_stages(), fifteen_stages()):
        evaluation = evaluate(open_plan(document_))
        for system in ("us", "metric", "json"):
            assert_well_said(findings(evaluation, system=system))


def test_the_real_waters_through_a_bare_pipe_and_a_chamber() -> None:
    for results in REAL_WATERS.values():
        assert_well_said(findings(evaluate(open_plan(document([stage("uv", "uv_chamber")], water=results)))))
        assert_well_said(findings(evaluate(open_plan(document([], chain("supply", "house"), water=results)))))


def test_no_sample_at_all() -> None:
    empty = document([stage("softener", "softener"), stage("uv", "uv_chamber")], water={})
    told = findings(evaluate(open_plan(empty)))
    assert_well_said(told)
    assert {f.analyte for f in told if f.code == "sample-gap" and f.severity == "caution"} >= {"hardness", "uvt"}


def test_findings_do_not_depend_on_the_order_of_the_document() -> None:
    base = twelve_stages()
    tree = dict(base.tree)
    turned = Document.of({**tree, "stages": list(reversed(tree["stages"])), "links": list(reversed(tree["links"]))})
    one, other = ([(f.code, f.severity, f.stage, f.analyte) for f in findings(evaluate(open_plan(d)))] for d in (base, turned))
    assert one == other


def test_checking_twice_says_the_same() -> None:
    evaluation = evaluate(open_plan(fifteen_stages()))
    assert findings(evaluation) == findings(evaluation)


def test_every_module_with_a_check_is_asked() -> None:
    names = {check.__module__.rpartition(".")[2] for check in checks()}
    assert {"inlet_limits", "goals", "remarks", "order", "paths", "cleaning", "samples", "germs"} <= names
    assert len(names) == len(checks()) >= 18


def test_many_waters_are_judged_as_one_at_a_time() -> None:
    """The matrix over many waters gives each water what it gets alone."""
    plan = train(water={"iron": "0.2 mg/L", "iron_dissolved": "0.2 mg/L"}).plan
    alone = evaluate(plan, plan.raw.stream)
    factors = np.array([0.5, 1.0, 1.8, 3.5])
    many = Stream(plan.raw.stream.values * factors, np.repeat(plan.raw.stream.known, len(factors), axis=1))
    together = limit_ranks(evaluate(plan, many))
    assert together.shape == (4,) and together[1] == limit_ranks(alone)[0]
    one_by_one = [
        int(limit_ranks(evaluate(plan, Stream(many.values[..., i : i + 1], many.known[:, i : i + 1])))[0]) for i in range(len(factors))
    ]
    assert together.tolist() == one_by_one and max(one_by_one) > min(one_by_one) and max(one_by_one) <= RANK.max()
