"""Evaluated trains that tests of exports and print share."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from trainapp.checks import findings
from trainapp.checks.finding import Finding
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


def long_names(tree: dict[str, Any]) -> dict[str, Any]:
    """The same train with names as long as people make them, one of them without a space."""
    tree["site"]["name"] = (
        "The Lower Riverside Extension of the Upper Longwater Community Orchard and Farm Shop, Building 14 West, Second Pump House"
    )
    tree["site"]["notes"] = "Neverendingwordwithoutanyspaceinit" * 5
    tree["outlets"]["the_very_long_row_of_outdoor_taps_behind_the_old_cider_barn"] = tree["outlets"].pop("garden")
    for link in tree["links"]:
        if link["to"] == "garden":
            link["to"] = "the_very_long_row_of_outdoor_taps_behind_the_old_cider_barn"
    return tree
