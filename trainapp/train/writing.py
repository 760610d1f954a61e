"""A document back to text: known keys in the order of the schema, unknown ones after them by name, two spaces."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from trainapp.stages import registry
from trainapp.train.model import Sample, Section, StageEntry
from trainapp.train.settings import common_settings
from trainapp.water.analytes import BY_KEY

_LINE = 118


def canonical(section: Section) -> dict[str, Any]:
    """A section as a fresh JSON tree with its keys in order; only what was given."""
    tree = {}
    for name, field in type(section).model_fields.items():
        if name in section.model_fields_set:
            tree[field.alias or name] = _plain(getattr(section, name))
    extra = section.model_extra or {}
    if isinstance(section, StageEntry):
        return _stage(section, tree, extra)
    if isinstance(section, Sample) and "results" in tree:
        tree["results"] = _ordered(tree["results"], BY_KEY)
    return tree | {key: _plain(extra[key]) for key in sorted(extra)}


def _stage(entry: StageEntry, tree: dict[str, Any], extra: Mapping[str, Any]) -> dict[str, Any]:
    settings = tree.pop("settings", None)
    known = {key: _plain(extra[key]) for key in common_settings() if key in extra}
    kind = registry.kind(entry.kind)
    order: Iterable[str] = kind.spec.settings if kind else ()
    own = [key for key in order if key not in common_settings()]
    tree |= known
    if settings is not None:
        tree["settings"] = _ordered(settings, (*own, *common_settings()))
    return tree | {key: _plain(extra[key]) for key in sorted(extra) if key not in known}


def _ordered(table: Mapping[str, Any], order: Iterable[str]) -> dict[str, Any]:
    known = [key for key in order if key in table]
    return {key: table[key] for key in (*known, *sorted(table.keys() - set(known)))}


def _plain(value: Any) -> Any:
    if isinstance(value, Section):
        return canonical(value)
    if isinstance(value, dict):
        return {key: _plain(member) for key, member in value.items()}
    if isinstance(value, list):
        return [_plain(member) for member in value]
    return value


def to_text(tree: Mapping[str, Any]) -> str:
    """The text of a tree. A list of bare values, and an object of bare values inside a list, stays on one line where it fits: pump
    curves read as pairs, links as lines."""
    return _text(tree, "") + "\n"


def _text(value: Any, indent: str, listed: bool = False) -> str:
    if not isinstance(value, dict | list) or not value:
        return _scalar(value)
    if (listed or isinstance(value, list)) and not any(isinstance(m, dict | list) for m in _values(value)):
        line = _scalar(value)
        if len(line) + len(indent) <= _LINE:
            return line
    inner = indent + "  "
    if isinstance(value, dict):
        rows = [f"{inner}{_scalar(key)}: {_text(member, inner)}" for key, member in value.items()]
        return "{\n" + ",\n".join(rows) + f"\n{indent}}}"
    return "[\n" + ",\n".join(inner + _text(member, inner, True) for member in value) + f"\n{indent}]"


def _values(value: dict[str, Any] | list[Any]) -> Iterable[Any]:
    return value.values() if isinstance(value, dict) else value


def _scalar(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
