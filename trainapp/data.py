"""Where the program's own data lives: `resources` and `samples`, in a checkout, an editable install and a built wheel alike."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

_PACKAGE = Path(__file__).resolve().parent


@cache
def _root() -> Path:
    # A wheel carries both folders inside the package; a checkout keeps them beside it.
    packed = _PACKAGE / "_data"
    return packed if packed.is_dir() else _PACKAGE.parent


def resources_path(*parts: str) -> Path:
    """The folder of limits, tables, catalogue, icons and texts, or a path inside it."""
    return _root().joinpath("resources", *parts)


def samples_path(*parts: str) -> Path:
    """The folder of sample sites, or a path inside it."""
    return _root().joinpath("samples", *parts)


@cache
def load_toml(relative: str) -> MappingProxyType[str, Any]:
    """A TOML file of `resources` by its path there ("limits/us.toml"), read once.

    The top level is read-only; callers share what is inside and must not change it.

    Raises:
        FileNotFoundError: no such file.
        tomllib.TOMLDecodeError: not TOML.
    """
    with resources_path(*relative.split("/")).open("rb") as file:
        return MappingProxyType(tomllib.load(file))
