"""Trains for the tests of checks: a good one, and what a test changes about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from tests.train.trains import WATER, WELL, chain, document, stage
from trainapp.checks import findings
from trainapp.checks.finding import Finding
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

#: A well that nothing reaches from above, with a tank and a pump that are large enough for anything here.
GOOD_WELL = {
    **WELL, "source": "drilled_well", "surface_influence": "no", "yield": "30 gpm", "tank_volume": "119 gal", "cut_in": "50 psi",
    "cut_out": "70 psi", "precharge": "48 psi", "pump_curve": [["0 gpm", "78 psi"], ["20 gpm", "72 psi"], ["30 gpm", "50 psi"]],
}  # fmt: skip

#: The raw water of most tests, nothing in it that a test does not put there.
CLEAN = {
    "hardness": "40 mg/L", "alkalinity": "80 mg/L", "ph": "7.5", "iron": "0.02 mg/L", "iron_dissolved": "0.01 mg/L",
    "manganese": "0.005 mg/L", "manganese_dissolved": "0.005 mg/L", "turbidity": "0.3 NTU", "turbidity_filtered_5um": "0.2 NTU",
    "uvt": "95 %/cm", "uvt_filtered": "96 %/cm", "tannin": "<0.05 mg/L", "toc": "0.5 mg/L", "hydrogen_sulfide": "<0.01 mg/L",
    "ammonia": "<0.05 mg/L", "nitrate": "1 mg/L as N", "sulfate": "10 mg/L", "chloride": "10 mg/L", "tds": "150 mg/L",
    "sodium": "10 mg/L", "dissolved_oxygen": "1 mg/L", "free_chlorine": "0 mg/L", "total_coliform": "absent", "e_coli": "absent",
    "suspended_solids": "0.5 mg/L",
}  # fmt: skip

FINE = stage("fine", "sediment_cartridge", rating="5 um", length="20 in", diameter="4.5 in")
METAL = {"material": "copper_l", "size": "1-1/4 in", "length": "3 ft"}


def uv(stage_id: str = "uv", **settings: Any) -> dict[str, Any]:
    """A class A chamber with everything that it should have."""
    usual = {
        "device_class": "A", "rated_flow": "12 gpm", "rated_dose": "40 mJ/cm2", "rated_uvt": "75 %/cm", "flow_control": "12 gpm",
        "metal_run": "12 in", "shutoff": "valve", "certificate": "its listing",
    }  # fmt: skip
    return stage(stage_id, "uv_chamber", **{key: value for key, value in {**usual, **settings}.items() if value is not None})


def train(
    stages: Sequence[Mapping[str, Any]] = (),
    water: Mapping[str, Any] | None = None,
    links: Sequence[Mapping[str, Any]] | None = None,
    **more: Any,
) -> Evaluation:
    """An evaluated train; `water` is laid over CLEAN, None takes a result out. The chamber with its cartridge where no stages are named."""
    sheet = {key: value for key, value in {**CLEAN, **(water or {})}.items() if value is not None}
    usual: dict[str, Any] = {"supply": GOOD_WELL, "plumbing": METAL, "peak": "6 gpm"}
    return evaluate(open_plan(document(stages or [FINE, uv()], links, water=sheet, **{**usual, **more})))


def found(evaluation: Evaluation, code: str, **fields: Any) -> list[Finding]:
    """Findings of a code whose fields are as named."""
    return [f for f in findings(evaluation) if f.code == code and all(getattr(f, key) == value for key, value in fields.items())]


def one(evaluation: Evaluation, code: str, **fields: Any) -> Finding:
    """The only such finding."""
    matching = found(evaluation, code, **fields)
    assert len(matching) == 1, [(f.code, f.severity, f.stage, f.analyte, f.title) for f in findings(evaluation)]
    return matching[0]


def severities(evaluation: Evaluation) -> dict[str, str]:
    """Worst severity by code."""
    worst: dict[str, str] = {}
    for finding in findings(evaluation):
        worst.setdefault(finding.code, finding.severity)
    return worst


def reopened(evaluation: Evaluation, **changes: Any) -> Evaluation:
    """The same document with top-level keys replaced."""
    return evaluate(open_plan(Document.of({**evaluation.plan.document.tree, **changes})))


__all__ = ["CLEAN", "FINE", "GOOD_WELL", "METAL", "WATER", "chain", "found", "one", "reopened", "severities", "stage", "train", "uv"]
