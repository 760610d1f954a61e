"""A kind of stage that nobody has heard of, with one item of the catalogue, is proposed where its tag is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from tests.studies.test_options import SOFT, raw, small
from trainapp.checks import findings
from trainapp.stages import registry
from trainapp.stages.softener import Softener
from trainapp.studies.options import Proposer
from trainapp.train.catalogue import Catalogue
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

KIND = "ion_box"


class IonBox(Softener):
    """A softener under another name, which only its tags tell."""

    spec = replace(Softener.spec, kind=KIND, label="Ion box")


@pytest.fixture
def catalogue() -> Iterator[Catalogue]:
    """A small catalogue in which the only item that softens is of the new kind."""
    registry.kinds()
    registry.register(IonBox)
    rows = dict(small(["softener-10x54", "cartridge-20-20x4"]).rows)
    softener = rows.pop("softener-10x54")
    rows["ion-box-6"] = softener.model_copy(update={"kind": KIND, "label": "Ion box 6", "price": 640})
    yield Catalogue(rows)
    registry._kinds.pop(KIND)


def test_a_kind_that_is_registered_is_proposed(catalogue: Catalogue) -> None:
    proposal = Proposer(raw({**SOFT, "hardness": "16 gpg"}), catalogue).propose()
    assert proposal.options
    for option in proposal.options:
        assert [stage.kind for stage in option.document.stages].count(KIND) == 1
        assert any("Ion box 6" in label for _, label in option.parts) and not option.measured.fails
        assert any(line.priced.price == 640 for line in option.bill.lines)
        assert [f.code for f in findings(evaluate(open_plan(option.document)))] == [f.code for f in option.findings]
