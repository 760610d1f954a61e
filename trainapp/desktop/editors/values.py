"""Rows of an editor for what stands in a section of a document, each with its default, where that comes from, and the edit it makes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from trainapp.desktop.card_content import Field
from trainapp.train.edits import Edit, RemoveValue, SetValue
from trainapp.train.model import Section

Path = tuple[str | int, ...]


class Value(NamedTuple):
    """One quantity of a section: its key, its label, its dimension, and one phrase of help."""

    key: str
    label: str
    dimension: str
    meaning: str


def quantities(section: Section, path: Path, values: Iterable[Value]) -> tuple[Field, ...]:
    """A field for each of several quantities of a section that stands at `path`."""
    return tuple(_field(section, path, v.key, v.label, v.meaning, "quantity", dimension=v.dimension) for v in values)


def texts(section: Section, path: Path, values: Iterable[tuple[str, str, str]]) -> tuple[Field, ...]:
    """A field for each of several texts: key, label, meaning."""
    return tuple(_field(section, path, key, label, meaning, "text") for key, label, meaning in values)


def choice(section: Section, path: Path, key: str, label: str, meaning: str, choices: tuple[str, ...]) -> Field:
    """A field for a word of a section; of ("true", "false") for a flag."""
    return _field(section, path, key, label, meaning, "choice", choices=choices)


def setter(path: Path, flag: bool = False) -> Callable[[Any], Edit]:
    """What writes a value at a place, or takes it away for None."""

    def change(value: Any) -> Edit:
        if value is None:
            return RemoveValue(path=path)
        return SetValue(path=path, value=value == "true" if flag else value)

    return change


def _field(
    section: Section,
    path: Path,
    key: str,
    label: str,
    meaning: str,
    form: Any,
    dimension: str = "none",
    choices: tuple[str, ...] = (),
) -> Field:
    given, row = section.given(key), section.default_of(key)
    default = "" if row is None else told(row.value)
    comes = f"; {default} where it is not given ({row.status})" if row is not None and default else ""
    flag = choices == ("true", "false")
    place = (*path, key)
    return Field(
        ".".join(str(step) for step in place),
        label,
        f"{meaning}{comes}",
        form,
        told(section.raw(key)) if given else None,
        "" if given else default,
        setter(place, flag),
        dimension,
        choices,
    )


def told(value: Any) -> str:
    """A value of a document as a field shows it."""
    return str(value).lower() if isinstance(value, bool) else str(value)
