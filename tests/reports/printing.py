"""Evaluated trains that tests of exports and print share."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from tests.reports.drawing_checks import text_boxes
from trainapp.checks import findings
from trainapp.checks.finding import Finding
from trainapp.reports.drawing.display import Box, Text
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.print_pages import Placed, PrintJob
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan
from trainapp.units import System

SAMPLES = Path(__file__).resolve().parent.parent.parent / "samples"
SITES = tuple(sorted(path.name.removesuffix(".train.json") for path in SAMPLES.glob("*.train.json")))

#: Texts that a spreadsheet would take for a formula.
HOSTILE = ('=HYPERLINK("http://x")', "+1+1", "-2+3", "@SUM(A1)")


def tree_of(site: str) -> dict[str, Any]:
    """The plain tree of a sample site, to change."""
    tree: dict[str, Any] = json.loads((SAMPLES / f"{site}.train.json").read_text(encoding="utf-8"))
    return tree


def evaluated(tree: dict[str, Any], system: System = "us") -> tuple[Evaluation, list[Finding]]:
    """A tree, evaluated and checked."""
    evaluation = evaluate(open_plan(Document.of(tree)))
    return evaluation, findings(evaluation, system=system)


@cache
def site(name: str, system: System = "us") -> tuple[Evaluation, list[Finding]]:
    """A sample site, evaluated and checked once."""
    return evaluated(tree_of(name), system)


LONG_SITE = f"The Lower Riverside Extension of the Upper Longwater Community Orchard, {'Neverendingword' * 12}, Second Pump House"
LONG_OUTLET = "the_very_long_row_of_outdoor_taps_behind_the_old_cider_barn"
LONG_STAGE = "Reverse osmosis at the kitchen sink with its own tank, permeate pump and remineralising cartridge"


def long_names(tree: dict[str, Any]) -> dict[str, Any]:
    """The farm's train with names as long as people make them, one of them without a space."""
    tree["site"]["name"] = LONG_SITE
    tree["outlets"][LONG_OUTLET] = tree["outlets"].pop("garden")
    tree["stages"].append({"id": "kitchen", "kind": "declared", "settings": {"name": LONG_STAGE, "removal": {"nitrate": "90 %"}}})
    for link in tree["links"]:
        if link["to"] == "garden":
            link["to"] = LONG_OUTLET
        elif link["to"] == "house":
            link["to"] = "kitchen"
    tree["links"].append({"from": "kitchen", "to": "house"})
    return tree


def pdf_text(path: Path) -> str:
    """The text of a PDF as another program reads it, without any space."""
    from pypdf import PdfReader

    return squeezed(" ".join(page.extract_text() for page in PdfReader(path).pages))


def squeezed(text: str) -> str:
    """A text without any space: lines may break where they will."""
    return "".join(text.split())


def flowed(job: PrintJob) -> list[tuple[Placed, list[tuple[Text, Box]]]]:
    """Every placed drawing of a print, with its texts and their boxes."""
    return [(part, text_boxes(part.display, measure_dejavu)) for page in job.pages for part in page.parts]
