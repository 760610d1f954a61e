"""The catalogue: items of every kind with their settings, the program's own and the user's, as TOML or CSV."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from trainapp.data import load_toml, resources_path
from trainapp.stages import registry
from trainapp.stages.base import Settings
from trainapp.train.catalogue_reading import CatalogueError, read_catalogue
from trainapp.train.errors import quoted
from trainapp.train.model import ItemRow, StageEntry
from trainapp.train.settings import merged_settings


class Catalogue:
    """Items by name. Immutable; the user's own stand beside the program's and win where they share a name."""

    def __init__(self, rows: Mapping[str, ItemRow]) -> None:
        self._rows = MappingProxyType(dict(rows))
        self._settings: dict[str, Settings] = {}

    @classmethod
    def load(cls, *own: Path) -> Catalogue:
        """The program's catalogue, and the user's own files (TOML or CSV).

        Raises:
            CatalogueError: with all that is wrong.
        """
        return cls({**_built_in(), **{name: row for path in own for name, row in read_catalogue(path).items()}})

    @property
    def rows(self) -> Mapping[str, ItemRow]:
        """Every item by its name."""
        return self._rows

    def row(self, item: str) -> ItemRow | None:
        """One item, None where it is not in the catalogue."""
        return self._rows.get(item)

    def of_kind(self, kind: str) -> dict[str, ItemRow]:
        """Items of one kind, in the order of their file (a ladder of sizes)."""
        return {name: row for name, row in self._rows.items() if row.kind == kind}

    def settings(self, item: str) -> Settings:
        """What an item is set to, defaults included, in internal units; KeyError where it is not in the catalogue."""
        if item not in self._settings:
            row = self._rows[item]
            kind = registry.kind(row.kind)
            assert kind is not None  # reading refuses unknown kinds
            self._settings[item] = merged_settings(kind.spec, StageEntry(id=item, kind=row.kind), row)
        return self._settings[item]

    def side_by_side(self, item: str, count: int) -> dict[str, Any]:
        """What so many units of an item are set to beside what the item is; nothing for one alone."""
        kind = registry.kind(self._rows[item].kind)
        assert kind is not None  # reading refuses unknown kinds
        return kind(item, self.settings(item)).side_by_side(count) if count > 1 else {}

    def ladder(self, kind: str, like: Settings) -> tuple[str, ...]:
        """Items of a kind that differ from these settings in size alone, smallest first."""
        sizes, same = _steps_of(kind)
        alike = [name for name in self.of_kind(kind) if all(self.settings(name).get(key) == like.get(key) for key in same)]
        return tuple(sorted(alike, key=lambda name: _size(self.settings(name), sizes)))

    def next_size(self, kind: str, like: Settings, up: bool = True) -> tuple[str, ...]:
        """Items of the ladder beyond these settings, the nearest first: larger ones, or smaller."""
        sizes, _ = _steps_of(kind)
        here = _size(like, sizes)
        found = [name for name in self.ladder(kind, like) if _beyond(_size(self.settings(name), sizes), here, up)]
        return tuple(found if up else reversed(found))

    def find(self, text: str) -> dict[str, ItemRow]:
        """Items whose name, label, kind or note hold every word of the text."""
        words = text.casefold().split()
        return {name: row for name, row in self._rows.items() if all(word in _haystack(name, row) for word in words)}


def row_of(item: str, items: Mapping[str, ItemRow] | None, catalogue: Catalogue | None) -> ItemRow | None:
    """The row of an item: the document's own, else the catalogue's (the program's own where none is given); None where it is in neither."""
    own = (items or {}).get(item)
    return own if own is not None else (catalogue or Catalogue.load()).row(item)


def size_keys(kind: str) -> tuple[str, ...]:
    """Settings that make an item of this kind larger, the first that differs deciding; () for a kind without sizes."""
    return _steps_of(kind)[0]


def ladder_keys(kind: str) -> tuple[str, ...]:
    """Settings that are alike on one ladder of sizes."""
    return _steps_of(kind)[1]


@cache
def _steps_of(kind: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Settings that order the ladders of a kind, and settings that are alike on one ladder."""
    if not resources_path("catalogue", f"{kind}.toml").exists():
        return (), ()
    head = load_toml(f"catalogue/{kind}.toml")
    return tuple(head["size"]), tuple(head["same"])


def _size(settings: Settings, keys: tuple[str, ...]) -> tuple[float, ...]:
    return tuple(float(settings.get(key) or 0.0) for key in keys)


def _beyond(size: tuple[float, ...], here: tuple[float, ...], up: bool) -> bool:
    """Whether one size is larger (or smaller) than another; a millionth is a unit's rounding, not a size."""
    for a, b in zip(size, here, strict=True):
        if abs(a - b) > 1e-6 * max(a, b):
            return (a > b) == up
    return False


def _haystack(name: str, row: ItemRow) -> str:
    kind = registry.kind(row.kind)
    return " ".join((name, row.word("label"), row.kind, kind.spec.label if kind else "", row.word("note"))).casefold()


@cache
def _built_in() -> Mapping[str, ItemRow]:
    rows: dict[str, ItemRow] = {}
    for path in sorted(resources_path("catalogue").glob("*.toml")):
        for name, row in read_catalogue(path).items():
            if name in rows:
                raise CatalogueError(f"{path.name}: {quoted(name)} is in another file, too")
            rows[name] = row
    return MappingProxyType(rows)


__all__ = ["Catalogue", "CatalogueError", "ladder_keys", "read_catalogue", "row_of", "size_keys"]
