"""The six sites that ship, as an experienced designer would read them: what each is loud about, and nothing else.

Together they show every severity and at least twenty kinds of finding. Whoever changes a sample, a model or a check sees here what it
does to the stories.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from trainapp import units
from trainapp.checks import findings, headline, verdict
from trainapp.checks.finding import SEVERITIES, Finding
from trainapp.data import samples_path
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import dumps, item_reports, load
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

PATHS = {path.name.removesuffix(".train.json"): path for path in sorted(samples_path().glob("*.train.json"))}

#: What each site is loud about: (severity, code, place, analyte); and the notes that belong to its story.
STORIES: dict[str, tuple[set[tuple[str, str, str, str]], set[str]]] = {
    # passes with its full train: only what stands whatever is built
    "lone-alder-farm": (
        {("caution", "after-start-up", "uv", "total_coliform")},
        {"outlet-goal", "sample-doubt", "high-pressure", "drain", "label", "order"},
    ),
    # the same water, UV alone
    "lone-alder-farm-uv-alone": (
        {
            ("fail", "health", "uv", "total_coliform"), ("fail", "no-flow-control", "uv", ""), ("fail", "inlet-limit", "uv", "hardness"),
            ("fail", "inlet-limit", "uv", "iron"), ("fail", "inlet-limit", "uv", "manganese"), ("fail", "inlet-limit", "uv", "turbidity"),
            ("caution", "no-shutoff", "uv", ""), ("caution", "order", "uv", ""),
        },
        {"sample-doubt", "high-pressure", "label"},
    ),
    # a chlorinated main that has no pressure to give
    "pebble-court-3": (
        {("fail", "low-pressure", "house", ""), ("caution", "over-rating", "carbon", "")},
        {"order", "outlet-goal", "sample-gap", "over-rating", "velocity", "drain"},
    ),
    # a tea room: two softeners side by side, a raw tap in the yard
    "marzipan-moth-tea-room": ({("caution", "regulated", "", "")}, {"outlet-goal", "sample-gap", "high-pressure", "drain", "label"}),
    # calcite behind the softener
    "sorrel-bank-cottage": (
        {
            ("caution", "after-start-up", "uv", "total_coliform"), ("caution", "raw-while-cleaning", "neutralizer", "ph"),
            ("caution", "order", "neutralizer", "hardness"), ("caution", "contact-short", "neutralizer", "ph"),
        },
        {"outlet-goal", "sample-gap", "sample-doubt", "high-pressure", "drain", "no-effect", "over-rating"},
    ),
    # brown water of a bog
    "inkwell-croft": (
        {
            ("fail", "raw-while-cleaning", "tannin", "uvt"), ("caution", "health", "house", "e_coli"), ("caution", "health", "house", ""),
            ("caution", "outside-rating", "uv", "uvt"), ("caution", "no-shutoff", "uv", ""), ("caution", "inlet-limit", "uv", "ph"),
            ("caution", "inlet-limit", "uv", "tannin"), ("caution", "backwash-short", "bed", ""),
        },
        {"outlet-goal", "high-pressure", "over-rating", "drain", "cleaning-together"},
    ),
}  # fmt: skip


@cache
def told(name: str) -> tuple[Evaluation, list[Finding]]:
    evaluation = evaluate(open_plan(load(PATHS[name])))
    return evaluation, findings(evaluation)


def test_every_site_has_its_story() -> None:
    assert PATHS.keys() == STORIES.keys()


@pytest.mark.parametrize("name", STORIES)
def test_it_is_loud_about_its_story_and_nothing_else(name: str) -> None:
    _, found = told(name)
    loud, notes = STORIES[name]
    assert {(f.severity, f.code, f.stage, f.analyte) for f in found if f.severity != "note"} == loud
    assert {f.code for f in found if f.severity == "note"} == notes


def test_together_they_show_every_severity_and_twenty_kinds() -> None:
    found = [finding for name in STORIES for finding in told(name)[1]]
    assert {finding.severity for finding in found} == set(SEVERITIES)
    kinds = sorted({finding.code for finding in found})
    assert len(kinds) >= 20, kinds


def test_the_farm_passes_with_its_full_train() -> None:
    evaluation, found = told("lone-alder-farm")
    assert verdict(found) == "caution" and [f.code for f in found if f.severity == "caution"] == ["after-start-up"]
    assert "treated by design" in found[0].title and "no proof" in found[0].message
    capacity = units.convert(evaluation.capacity.flow, "flow", "us")
    peak = units.convert(float(evaluation.points["house"].flow[2]), "flow", "us")
    assert capacity >= peak == pytest.approx(7.0)
    assert float(evaluation.points["house"].water.high("iron").max()) < 0.3
    assert float(evaluation.stages["uv"].inlet.low("uvt").min()) > 75.0


def test_the_same_water_with_uv_alone_fails() -> None:
    assert verdict(told("lone-alder-farm-uv-alone")[1]) == "fail"
    whole, alone = (told(name)[0].plan.raw.sheet for name in ("lone-alder-farm", "lone-alder-farm-uv-alone"))
    assert whole == alone


def test_the_bog_says_first_what_to_do_now() -> None:
    assert headline(*told("inkwell-croft")).startswith("Do not drink this water now")


@pytest.mark.parametrize("name", STORIES)
def test_no_pressure_is_absurd(name: str) -> None:
    """Low pressure is a story, water that is sucked backwards is none."""
    evaluation, _ = told(name)
    for point in evaluation.points.values():
        for state in ("clean", "dirty", "lowest"):
            assert getattr(point.pressure, state) > 0.0, (point.at, state)


@pytest.mark.parametrize("name", STORIES)
def test_findings_read_well(name: str) -> None:
    for finding in told(name)[1]:
        text = finding.message
        assert text[0].isupper() or text[0].isdigit() or text.startswith("pH"), text
        assert text.endswith(".") and 20 < len(text) < 330, text
        assert not re.search(r"\b(nan|None|inf|True|False)\b|[{}_]|  |\.\.", text), text
        assert len(finding.title) < 70 and not finding.title.endswith("."), finding.title
        assert not any(len(caution) > 200 for caution in finding.cautions)


@pytest.mark.parametrize("path", PATHS.values(), ids=lambda path: path.name.partition(".")[0])
def test_items_are_those_of_the_catalogue_and_the_text_is_canonical(path: Path) -> None:
    document = load(path)
    assert not list(item_reports(document, Catalogue.load())) and not document.reports
    assert set(document.items) == {entry.item for entry in document.stages if entry.item}
    assert path.read_text("utf-8") == dumps(document)
