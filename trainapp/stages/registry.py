"""The kinds of stage there are. A module of this package that defines a Stage subclass with a `spec` is a kind; no list names it."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from trainapp import data, units
from trainapp.stages.base import Limit, SettingSpec, Spec, Stage
from trainapp.water.analytes import BY_KEY

_kinds: dict[str, type[Stage]] = {}
_NOT_KINDS = {"base", "leaving", "registry", "working"}


def register(stage: type[Stage]) -> type[Stage]:
    """Make a kind known; a class decorator. A second kind of the same name replaces the first."""
    _kinds[stage.spec.kind] = stage
    return stage


@cache
def _discover() -> None:
    package = importlib.import_module("trainapp.stages")
    for module in pkgutil.iter_modules(package.__path__):
        if module.name not in _NOT_KINDS and not module.name.startswith("_"):
            importlib.import_module(f"trainapp.stages.{module.name}")


def kinds() -> Mapping[str, type[Stage]]:
    """Every kind by its name in files, in shelf order."""
    _discover()
    return dict(sorted(_kinds.items(), key=lambda item: (item[1].spec.shelf, item[0])))


def kind(name: str) -> type[Stage] | None:
    """One kind, or None where the name is not one."""
    _discover()
    return _kinds.get(name)


def common_settings() -> dict[str, SettingSpec]:
    """The settings that any stage may carry, for the `settings` of a Spec."""
    return {key: _setting(key, row) for key, row in data.load_toml("stages/_common.toml")["settings"].items()}


def load_spec(name: str) -> Spec:
    """The fixed part of a kind from resources/stages/NAME.toml, quantities in internal units."""
    raw = data.load_toml(f"stages/{name}.toml")
    settings = {**common_settings(), **{key: _setting(key, row) for key, row in raw.get("settings", {}).items()}}
    return Spec(
        kind=name,
        label=raw["label"],
        group=raw["group"],
        shelf=raw["shelf"],
        summary=raw["summary"],
        settings=settings,
        limits=tuple(_limits(raw.get("limits", []))),
        needs=tuple(raw.get("needs", [])),
        constants={key: _number(row) for key, row in raw.get("constants", {}).items()},
        media={medium: {key: _number(row) for key, row in table.items()} for medium, table in raw.get("media", {}).items()},
        tags=frozenset(raw.get("tags", [])),
    )


def _setting(key: str, row: Mapping[str, Any]) -> SettingSpec:
    return SettingSpec(
        key,
        row["dimension"],
        row.get("default"),
        row["meaning"],
        tuple(row.get("choices", ())),
        row.get("positive", True),
        row["source"],
        row["status"],
        row.get("when", {}),
    )


def _limits(rows: list[Mapping[str, Any]]) -> Iterator[tuple[Limit, Mapping[str, str]]]:
    for row in rows:
        dimension = BY_KEY[row["analyte"]].dimension
        least, most = (units.parse(row[end], dimension) if end in row else None for end in ("minimum", "maximum"))
        limit = Limit(row["analyte"], least, most, row["source"], row["status"], row.get("strict", False), row["reason"],
                      row.get("code", "inlet-limit"))  # fmt: skip
        yield limit, row.get("when", {})


def _number(row: Any) -> Any:
    """A constant: {value = "3 gpm/ft2", dimension = "rate"} in internal units, {value = 0.03} or a word as it stands."""
    if isinstance(row, Mapping) and "value" in row:
        return units.parse(row["value"], row["dimension"]) if "dimension" in row else row["value"]
    return row
