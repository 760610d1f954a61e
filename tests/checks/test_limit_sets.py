"""The limit sets as data, and that every number in resources says where it comes from."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from trainapp.checks.limits import limit_set, limit_set_keys
from trainapp.checks.policy import rules
from trainapp.checks.safety import cautions
from trainapp.data import resources_path
from trainapp.sources import STATUSES, sources
from trainapp.water.analytes import BY_KEY

#: A table that holds one of these states a number or a default, and has to say where it comes from.
_STATES = frozenset({"value", "minimum", "maximum", "default", "low", "high", "limit", "ratio_25_20"})


def holds_tables(value: Any) -> bool:
    """Whether a value is a table or a list of tables."""
    return isinstance(value, dict) or (isinstance(value, list) and any(isinstance(member, dict) for member in value))


def rows(tree: Any, place: str, inherited: frozenset[str] = frozenset()) -> Iterator[tuple[str, dict[str, Any], frozenset[str]]]:
    """Every table of a TOML tree that states a number, with what its parents already say of the source."""
    if isinstance(tree, list):
        for i, member in enumerate(tree):
            yield from rows(member, f"{place}[{i}]", inherited)
    elif isinstance(tree, dict):
        said = inherited | ({"source", "status"} & tree.keys())
        if any(key in _STATES and not holds_tables(tree[key]) for key in tree):
            yield place, tree, said
        for key, value in tree.items():
            yield from rows(value, f"{place}.{key}", said)


def stated() -> list[tuple[str, dict[str, Any], frozenset[str]]]:
    """All of them, over every TOML file of resources but the catalogue, whose sizes are the shop's."""
    found = []
    for path in sorted(resources_path().rglob("*.toml")):
        if path.name != "sources.toml" and path.parent.name not in ("catalogue", "lessons", "icons"):
            found += list(rows(tomllib.loads(path.read_text()), str(path.relative_to(resources_path()))))
    return found


def test_every_number_in_resources_has_source_and_status() -> None:
    found = stated()
    assert len(found) > 300, "the walk over resources finds nothing"
    bare = [place for place, _, said in found if said != {"source", "status"}]
    assert not bare, bare


def test_every_source_is_listed_and_every_status_is_a_word_of_the_house() -> None:
    wrong = [
        (place, row.get("source"), row.get("status"))
        for place, row, _ in stated()
        if ("source" in row and row["source"] not in sources()) or ("status" in row and row["status"] not in STATUSES)
    ]
    assert not wrong, wrong


def test_the_walk_sees_a_row_without_a_source() -> None:
    tree = {"limits": [{"analyte": "iron", "maximum": "0.3 mg/L", "status": "published"}]}
    assert [said for _, _, said in rows(tree, "x")] == [{"status"}]


def test_four_sets_and_their_rows() -> None:
    assert limit_set_keys() == ("canada", "eu", "us", "who")
    for key in limit_set_keys():
        assert limit_set(key).key == key
        assert len({(r.analyte, r.kind, r.maximum) for r in limit_set(key).rows}) == len(limit_set(key).rows)
        for row in limit_set(key).rows:
            assert row.analyte in BY_KEY and row.reason and 1970 <= row.year <= 2030
            assert row.kind in ("health", "aesthetic", "advisory", "reference")
            assert row.maximum is not None or row.minimum is not None
    with pytest.raises(KeyError):
        limit_set("mars")


def test_what_the_directive_says_is_from_memory() -> None:
    assert {row.status for row in limit_set("eu").rows} == {"from memory"}


def test_rules_and_cautions_have_known_sources() -> None:
    assert {r.source for r in rules().values()} | {c.source for c in cautions()} <= sources().keys()


def test_every_source_that_checks_name_in_code_is_listed(root: Path) -> None:
    """A literal source= or the fifth word of an order finding that is not a key would only fail when it fires."""
    import re

    named = set()
    for path in (root / "trainapp" / "checks").glob("*.py"):
        text = path.read_text()
        named |= set(re.findall(r'source="([a-z0-9.-]+)"', text))
        named |= set(re.findall(r'^\s+"([a-z0-9.-]+)", "(?:published|secondary|from memory|common practice|computed)"', text, re.M))
    assert len(named) > 20
    assert not named - sources().keys(), named - sources().keys()
