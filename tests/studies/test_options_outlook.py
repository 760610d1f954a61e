"""What stands in the way of every train, told without filling one: brute force finds the same in each train."""

from __future__ import annotations

from typing import Any

import pytest

from tests.studies.brute import every_train
from tests.studies.test_options import CASES, GERMS, SOFT, raw, small
from tests.train.trains import MAIN, WELL
from trainapp.studies.cost import default_prices
from trainapp.studies.options import Proposer
from trainapp.studies.options.layouts import Layouts
from trainapp.studies.options.search import Search
from trainapp.studies.options.site import Site
from trainapp.train.document import Document

_IRON = {"iron": "6 mg/L", "iron_dissolved": "5.6 mg/L", "manganese": "0.2 mg/L", "ph": "7.6"}
_TRICKLE = {
    **WELL,
    "pump_curve": [["0 gpm", "62 psi"], ["2.5 gpm", "50 psi"], ["3.2 gpm", "41 psi"]],
    "yield": "3 gpm",
    "cut_out": "50 psi",
}
_DRY = {**WELL, "pump_curve": [["0 gpm", "70 psi"], ["0.5 gpm", "50 psi"], ["0.8 gpm", "41 psi"]], "yield": "2 gpm"}


def _goal(document: Document, pressure: str) -> Document:
    tree = dict(document.tree)
    return Document.of({**tree, "goals": {**tree.get("goals", {}), "outlet_pressure": pressure}})


#: (site, items of the catalogue, place and code of what stands in the way): small enough for every train to be evaluated.
BLOCKED: dict[str, tuple[Document, str, str, str]] = {
    "peak beyond every chamber": (raw({**SOFT, **GERMS}, supply=MAIN, peak="25 gpm"),
                                  "cartridge-5-20x4 uv-a-8 uv-a-12", "uv", "flow-short"),
    "pressure goal": (_goal(raw({**SOFT, "hardness": "18 gpg"}, peak="5 gpm"), "80 psi"), "softener-9x48 softener-10x54 cartridge-20-20x4",
                      "screen", "low-pressure"),
    "water too dark": (raw({**SOFT, **GERMS, "uvt": "30 %/cm", "uvt_filtered": "31 %/cm", "hardness": "18 gpg"}, supply=MAIN),
                       "cartridge-5-20x4 softener-9x48 softener-12x52 uv-a-8 uv-a-12-dark", "uv", "outside-rating"),
    "iron beyond every filter": (raw({**SOFT, **_IRON, **GERMS, "iron": "90 mg/L", "iron_dissolved": "88 mg/L"}, supply=MAIN, peak="4 gpm"),
                                 "iron-zeolite-12x52 iron-greensand-13x54 cartridge-5-20x4 uv-a-12", "uv", "inlet-limit"),
    "no flow to wash with": (raw({**SOFT, **_IRON}, supply=_TRICKLE, peak="2 gpm"),
                             "iron-zeolite-12x52 iron-greensand-13x54 cartridge-20-20x4", "iron", "backwash-short"),
    "no flow to fill a tank": (raw({**SOFT, "hardness": "18 gpg"}, supply=_DRY, peak="6 gpm"),
                               "storage-160 storage-300 cartridge-20-20x4 softener-9x48", "storage", "flow-short"),
}  # fmt: skip


@pytest.mark.parametrize("name", BLOCKED)
def test_what_stands_in_the_way_stands_in_the_way_of_every_train(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Brute force finds no train that stands up, and in each what is told; so does the search that fills every train."""
    document, items, place, code = BLOCKED[name]
    proposer = Proposer(document, small(items.split()))
    proposal = proposer.propose()
    assert not proposal.options and proposal.tally.weighed == 0, "nothing was filled"
    told = proposal.tally.left_out
    assert (place, code) in {(at, why) for at, why, _ in told}
    assert sum(told.values()) == proposal.tally.considered > 0
    codes = {why for _, why, _ in told}
    for train in every_train(proposer.site, default_prices()).values():
        assert codes & {f.code for f in train.fails}, "each train fails by what is told"
    monkeypatch.setattr(Search, "hopeless", lambda *_: None)
    found, tally = Search(proposer.site, Layouts(proposer.site).all()).trains(default_prices())
    assert not found and (place, code) in {(at, why) for at, why, _ in tally.left_out}


@pytest.mark.parametrize("name", CASES)
def test_nothing_is_called_hopeless_that_has_a_train(name: str) -> None:
    document, items = CASES[name]
    site = Site(document, small(items.split()))
    search = Search(site, Layouts(site).all())
    assert search.hopeless(default_prices()) is None and search.finds(default_prices())


@pytest.mark.parametrize(
    "changed", [{"uvt_filtered": "64 %/cm"}, {"uvt_filtered": "66 %/cm"}, {"iron": "0.7 mg/L"}, {"turbidity": "6 NTU"}]
)
def test_at_the_edge_the_quick_answer_is_that_of_the_full_search(changed: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    """Water about as bad as equipment bears: whatever the quick look says, filling every train says the same."""
    water = {**SOFT, **GERMS, "hardness": "12 gpg", "uvt": "60 %/cm", "uvt_filtered": "75 %/cm", **changed}
    site = Site(raw(water, supply=MAIN), small(["cartridge-5-20x4", "softener-9x48", "softener-12x52", "uv-a-8", "uv-a-12-dark"]))
    search = Search(site, Layouts(site).all())
    hopeless, finds = search.hopeless(default_prices()), search.finds(default_prices())
    monkeypatch.setattr(Search, "hopeless", lambda *_: None)
    found = bool(search.trains(default_prices())[0])
    assert finds == found and (hopeless is None or not found)


def test_dark_water_is_told_with_its_figure_and_no_small_chamber_stands_in_the_way() -> None:
    document, items, _, _ = BLOCKED["water too dark"]
    told = [obstacle.sentence for obstacle in Proposer(document, small(items.split())).propose().obstacles]
    assert len(told) == 1 and told[0].startswith("UV chamber: the raw water has a UVT of 30"), told
    assert "the chamber of the catalogue for the darkest water is rated for 65" in told[0]
    peak, items, _, _ = BLOCKED["peak beyond every chamber"]
    told = [obstacle.sentence for obstacle in Proposer(peak, small(items.split())).propose().obstacles]
    assert any("the peak is 25.0 gpm and the largest of the catalogue lets " in sentence for sentence in told), told
