"""The answer of `check --json` in the shapes that contract section 3 knows, and no number left empty."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.train.trains import WATER, chain, document, stage
from trainapp.checks import findings
from trainapp.data import samples_path
from trainapp.reports.check_json import check_json
from trainapp.stages.registry import kinds
from trainapp.train.document import Document, load
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

Json = dict[str, Any]

SAMPLES = sorted(Path(samples_path()).glob("*.train.json"))
#: Shapes of a value; `flow` beside it where it is a worst one.
SHAPES = ({"magnitude", "unit"}, {"low", "high", "unit"}, {"state"})
#: Where nothing is told by null: what a finding has no number for, what was not accepted, and an upper end that is open.
MAY_BE_EMPTY = {"accepted", "value", "limit", "high"}


def _answer(doc: Document) -> Json:
    evaluation = evaluate(open_plan(doc))
    answer: Json = json.loads(json.dumps(check_json(evaluation, findings(evaluation)), allow_nan=False))
    return answer


def _nulls(part: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if part is None:
        yield way
    for key, inside in part.items() if isinstance(part, dict) else enumerate(part) if isinstance(part, list) else ():
        yield from _nulls(inside, (*way, key))


def _holds(answer: Json) -> None:
    for way in _nulls(answer):
        assert way[-1] in MAY_BE_EMPTY and "working" not in way and "results" not in way, way
    values = [v for p in answer["points"] for part in ("water", "worst", "measured") for v in p.get(part, {}).values()]
    values += [f[key] for f in answer["findings"] for key in ("value", "limit") if f[key] is not None]
    values += [v for s in answer["stages"] for v in s["results"].values()]
    for value in values:
        assert value.keys() - {"flow"} in SHAPES, value
    steps = [step for part in (*answer["points"], *answer["stages"], answer["capacity"]) for step in part["working"]]
    assert steps and all(isinstance(step["value"], float | int) for step in steps)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.partition(".")[0])
def test_every_sample_keeps_to_the_contract(path: Path) -> None:
    _holds(_answer(load(path)))


@pytest.mark.parametrize("water", [WATER, {"ph": "6.2", "alkalinity": "20 mg/L", "hardness": "1 gpg"}, {}], ids=["rich", "soft", "none"])
@pytest.mark.parametrize("kind", kinds())
def test_a_train_of_every_kind_keeps_to_the_contract(kind: str, water: Json) -> None:
    links = [*chain("supply", "a", "house"), *(chain("supply", "house") if kind == "bypass" else [])]
    _holds(_answer(document([stage("a", kind)], links, water=water)))


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("TNTC", {"low": 200.0, "high": None, "unit": "/100mL"}), (">200 /100mL", {"low": 200.0, "high": None, "unit": "/100mL"}),
        ("present", {"state": "present"}), ("absent", {"state": "absent"}), ("12 /100mL", {"magnitude": 12.0, "unit": "/100mL"}),
    ],
)  # fmt: skip
def test_a_count_is_told_in_one_shape(written: str, told: Json) -> None:
    """Too numerous to count is an interval without an upper end, never a word with numbers beside it."""
    answer = _answer(document([], water={**WATER, "total_coliform": written}))
    assert answer["points"][0]["water"]["total_coliform"] == told
