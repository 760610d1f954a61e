"""Sources and data files: found wherever the program runs, well formed, and every citation leads somewhere."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from trainapp.data import load_toml, resources_path, samples_path
from trainapp.sources import STATUSES, source, sources


def test_data_is_found_beside_the_package(root: Path) -> None:
    assert resources_path() == root / "resources"
    assert samples_path("x.json") == root / "samples" / "x.json"


def test_a_file_is_read_once_and_cannot_be_replaced_in() -> None:
    table = load_toml("sources.toml")
    assert load_toml("sources.toml") is table
    with pytest.raises(TypeError):
        table["40cfr143.3"] = {}  # type: ignore[index]


def test_every_source_is_complete() -> None:
    assert len(sources()) > 100
    for key, entry in sources().items():
        assert re.fullmatch(r"[a-z0-9][a-z0-9.-]*[a-z0-9]", key), key
        assert entry.key == key
        assert entry.title
        assert entry.status_default in STATUSES
        assert entry.label.startswith(entry.title)


def test_labels_name_document_issue_and_clause() -> None:
    assert source("ipc-e103.3-3").label == "International Plumbing Code, appendix E, 2018, Table E103.3(3)"
    assert source("40cfr143.3").label == "40 CFR 143.3, secondary maximum contaminant levels"


def test_an_unknown_source_is_named() -> None:
    with pytest.raises(KeyError, match="no-such-thing"):
        source("no-such-thing")


def _citations(node: Any, place: str) -> Iterator[tuple[str, str, str | None]]:
    """(place, source, status) of every entry that cites one."""
    if isinstance(node, dict):
        if isinstance(node.get("source"), str):
            yield place, node["source"], node.get("status")
        # "when" is a condition on a document, whose supply has a "source" of its own.
        for key, child in node.items():
            if key != "when":
                yield from _citations(child, f"{place}.{key}")
    elif isinstance(node, list):
        for number, child in enumerate(node):
            yield from _citations(child, f"{place}[{number}]")


def test_every_citation_in_the_data_leads_to_a_source(root: Path) -> None:
    cited = [
        citation
        for path in sorted((root / "resources").rglob("*.toml"))
        if path.name != "sources.toml"
        for citation in _citations(tomllib.loads(path.read_text(encoding="utf-8")), str(path.relative_to(root)))
    ]
    assert cited
    assert [(place, key) for place, key, _ in cited if key and key not in sources()] == []
    assert [(place, status) for place, _, status in cited if status is not None and status not in STATUSES] == []


def test_every_citation_in_the_code_leads_to_a_source(root: Path) -> None:
    cited = [
        (str(path.relative_to(root)), key)
        for path in sorted((root / "trainapp").rglob("*.py"))
        for key in re.findall(r'\bsource="([^"{}_]+)"', path.read_text(encoding="utf-8"))
    ]
    assert [(place, key) for place, key in cited if key not in sources()] == []
