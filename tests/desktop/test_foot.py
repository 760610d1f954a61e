"""The foot line never contradicts a finding."""

from __future__ import annotations

from typing import Any

import pytest

from trainapp.desktop.foot import _figures
from trainapp.desktop.session import Session
from trainapp.train.document import Document
from trainapp.train.edits import Batch, SetValue, apply, plan_edit


def told(farm: Document, **values: Any) -> tuple[str, Session]:
    """What the foot says of the dose."""
    edits = [SetValue(path=("stages", "uv", "settings", key), value=value) for key, value in values.items()]
    session = Session(apply(farm, plan_edit(farm, Batch(edits=edits))))
    return next(text for text in _figures(session) if "UV" in text).replace("\u202f", " "), session


def findings(session: Session, code: str) -> list[Any]:
    assert session.assessment is not None
    return [found for found in session.assessment.findings if found.code == code]


@pytest.mark.parametrize(("values", "goals"), [({"rated_dose": "30 mJ/cm2"}, {}), ({"rated_dose": "50 mJ/cm2"}, {"uv_dose": "60 mJ/cm2"})])
def test_what_is_wanted_of_the_dose_is_what_its_finding_says(farm: Document, values: dict[str, str], goals: dict[str, str]) -> None:
    tree = {**farm.tree, "goals": {**farm.tree["goals"], **goals}}
    text, session = told(Document.of(tree), **values)
    (found,) = findings(session, "dose-short")
    assert text == f"UV dose counted {found.value.low:.1f} mJ/cm², wanted {found.limit.low:.1f} mJ/cm²"


def test_a_supplementary_chamber_is_held_to_its_own_dose(farm: Document) -> None:
    """The goal of a document holds for class A; the chamber's finding and the foot both go by its class."""
    tree = {key: part for key, part in farm.tree.items() if key not in ("samples", "design_sample")}
    tree["supply"] = {**tree["supply"], "surface_influence": "no"}
    tree["goals"] = {**tree["goals"], "disinfect": "no"}
    tree["samples"] = [{"id": "s", "at": "supply", "results": {"uvt": "95 %/cm", "total_coliform": "absent", "e_coli": "absent"}}]
    tree["design_sample"] = "s"
    text, session = told(Document.of(tree), device_class="B", rated_dose="20 mJ/cm2", rating_basis="new_lamp", rated_flow="20 gpm")
    (found,) = findings(session, "dose-short")
    assert found.limit.low == 16.0 and text.endswith("wanted 16.0 mJ/cm²")


def test_outside_its_rating_no_dose_is_told(farm: Document) -> None:
    text, session = told(farm, rated_flow="3 gpm")
    assert findings(session, "outside-rating") and text == "UV outside its rating: no dose counted"


def test_no_dose_is_told_where_nobody_measured_the_light(farm: Document) -> None:
    results = [
        {**sheet, "results": {k: v for k, v in sheet["results"].items() if not k.startswith("uvt")}} for sheet in farm.tree["samples"]
    ]
    text, _ = told(Document.of({**farm.tree, "samples": results}), rated_uvt="70 %/cm")
    assert text == "UVT not measured: no UV dose counted"
