"""Words are spelt as their reader spells them; keys and numbers stay."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from trainapp import units
from trainapp.spelling import american, spelt


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
