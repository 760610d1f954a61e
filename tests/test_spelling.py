"""Words are spelt as their reader spells them; keys and numbers stay."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from types import SimpleNamespace

import pytest

from tests.checks.build import FINE, found, train, uv
from trainapp import units
from trainapp.reports.proposal_costs import how
from trainapp.spelling import american, inside, name_inside, spelt, with_article
from trainapp.studies.cost.prices import default_prices
from trainapp.water.sample import SampleError, read_sheet


@pytest.fixture(params=["en_US.UTF-8", "C.UTF-8", "en_GB.UTF-8", "de_DE"])
def reader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    monkeypatch.delenv("LC_MESSAGES", raising=False)
    monkeypatch.setenv("LC_ALL", request.param)
    american.cache_clear()
    yield str(request.param)
    american.cache_clear()


def test_words_are_spelt_as_the_reader_spells(reader: str) -> None:
    texts = ("Colour at the house", "rust-coloured stains", "Taste, color, chlorine", "the first litre", "a square metre", "Aluminium")
    american = ("Color at the house", "rust-colored stains", "Taste, color, chlorine", "the first liter", "a square meter", "Aluminum")
    british = (*texts[:2], "Taste, colour, chlorine", *texts[3:])
    assert tuple(map(spelt, texts)) == (american if reader in ("en_US.UTF-8", "C.UTF-8") else british)
    assert units.typeset("Colour: 12 CU") == f"{spelt('Colour')}: 12\u202fCU"


@pytest.mark.parametrize("text", ["parameter", "UV chamber 12 gpm", "perimeter", "a flow meter", "diameter", "discoverer"])
def test_what_only_looks_like_it_is_left(reader: str, text: str) -> None:
    assert spelt(text) == text


@pytest.mark.parametrize(("text", "wanted"), [
    ("Softener", "softener"), ("Iron, dissolved", "iron, dissolved"), ("UV chamber", "UV chamber"), ("pH", "pH"), ("TDS", "TDS"),
    ("UVT, filtered", "UVT, filtered"), ("E. coli", "E. coli"), ("ABC Water 2026", "ABC Water 2026"), ("NaCl feed", "NaCl feed"),
    ("X-ray", "X-ray"), ("Non-UV light", "non-UV light"), ("A weak well", "a weak well"), ("Invented prices", "invented prices"), ("", ""),
    ("5 µm", "5 µm"), ("CO2 stripper", "CO2 stripper"), ("\u201cSoft\u201d tank", "\u201cSoft\u201d tank"), ("Ölfilter", "ölfilter"),
])  # fmt: skip
def test_a_text_goes_on_inside_a_sentence(text: str, wanted: str) -> None:
    assert inside(text) == wanted


def test_names_and_articles_inside_a_sentence() -> None:
    assert [name_inside(n) for n in ("ABC Water 2026", "Lone Alder prices", "Invented prices")] == [
        "ABC Water 2026", "Lone Alder prices", "invented prices",
    ]  # fmt: skip
    assert [with_article(n) for n in ("Iron filter", "UV chamber", "Softener")] == ["an iron filter", "a UV chamber", "a softener"]


def test_sentences_keep_the_capitals_of_what_they_name() -> None:
    prices = dataclasses.replace(default_prices(), name="ABC Water 2026")
    assert "by ABC Water 2026." in how(SimpleNamespace(prices=prices, columns=()))  # type: ignore[arg-type]
    told = [f.message for f in found(train([FINE, uv(inlet_limits={"ph": {"min": "6.0"}, "iron": {"max": "1 mg/L"}})]), "override")]
    assert any("sets pH of 6.0" in text for text in told) and any("sets iron of 1.00 mg/L" in text for text in told)
    with pytest.raises(SampleError, match="pH is not counted as N"):
        read_sheet({"ph": "7 as N"})
