"""What the commands print and draw is spelt as its reader spells, all of it; names of the reader's own stay."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

import pytest

from tests.checks.build import CLEAN, FINE, uv
from tests.studies.year_cases import site
from trainapp.checks import findings
from trainapp.desktop.engine import assess
from trainapp.desktop.findings import figures_of
from trainapp.reports.check_text import check_lines
from trainapp.reports.confidence_text import confidence_lines
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.options_board import board
from trainapp.reports.year_text import pair_lines
from trainapp.spelling import american
from trainapp.studies.confidence import confidence
from trainapp.studies.cost import default_prices
from trainapp.studies.options.contender import left_as_it_is
from trainapp.studies.options.site import Site
from trainapp.studies.year import Options, before_and_after
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

#: Brown water, a test of it behind the chamber, a name that nobody knows.
BROWN = {**CLEAN, "colour": "40 CU", "tannin": "1.6 mg/L", "uvt": "60 %/cm", "uvt_filtered": "61 %/cm", "colour_of_hats": "grey"}
OTHER = {"en_US.UTF-8": r"colour|litre|\bmetre|grey|aluminium|odour", "en_GB.UTF-8": r"color|aluminum|odor\b"}


@pytest.fixture(params=OTHER)
def other(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """What a reader never wants to see."""
    monkeypatch.setenv("LC_ALL", request.param)
    american.cache_clear()
    yield OTHER[request.param]
    american.cache_clear()


def brown() -> Document:
    document = site(FINE, uv(), water=BROWN)
    treated = {"id": "tap", "date": "2026-06-01", "at": "uv", "results": {"colour": "35 CU"}}
    return Document.of({**document.tree, "samples": [*document.tree["samples"], treated], "design_sample": "s"})


def told(lines: Iterable[str]) -> str:
    """The text as it is before it is broken into lines."""
    return " ".join(" ".join(lines).split())


def test_every_answer_is_spelt_in_one_way(other: str) -> None:
    document = brown()
    evaluation = evaluate(open_plan(document))
    check = told(check_lines(evaluation, findings(evaluation), "us"))
    assert "colour_of_hats is not among the analytes that are judged" in check
    assert re.search(r"alumini?um was not measured", check) and re.search(r"colou?red", check), "both lists are printed"
    year = told(pair_lines(before_and_after(document, Options(days=1)), "us"))
    sure = told(confidence_lines(confidence(document, draws=64)))
    assert re.search(r"Colou?r", year) and re.search(r"Colou?r", sure)
    verdict = bench_model(evaluation, findings(evaluation), "us").verdict
    site_of = Site(document)
    options = board(site_of, [left_as_it_is(site_of, default_prices(), 10)], default_prices(), 10)
    figures = [figures_of(finding, "us") for finding in findings(evaluation)]
    assert any(re.match(r"colou?r 40", figure) for figure in figures), figures
    drawn = told([*figures, *verdict.not_judged, *verdict.safety, *options.not_judged, *options.safety, *assess(document, "us").not_judged])
    assert "colour_of_hats is not" in drawn
    for text in (check.replace("colour_of_hats", ""), year, sure, drawn.replace("colour_of_hats", "")):
        assert not re.findall(rf"(?i){other}", text)
