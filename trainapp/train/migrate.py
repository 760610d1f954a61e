"""Older documents: each change of meaning is a new version, and one step here that lifts the version before it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from trainapp.train.errors import DocumentError, quoted

FORMAT = "trainapp/train"
VERSION = 1

#: From a version to the next: a pure function of the tree.
STEPS: dict[int, Callable[[Mapping[str, Any]], dict[str, Any]]] = {}


def current(tree: dict[str, Any]) -> dict[str, Any]:
    """The tree in today's version.

    Raises:
        DocumentError: not a train document, or of a version that this program does not read.
    """
    if tree.get("format") != FORMAT:
        found = f"{quoted(tree['format'])} is not" if "format" in tree else "it is missing, so this is not"
        raise DocumentError("format", f'{found} "{FORMAT}"')
    version = tree.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise DocumentError("version", f"{quoted(version)} is not a version of a train document" if "version" in tree else "it is missing")
    if version > VERSION:
        raise DocumentError("version", f"{version} is newer than what this program reads, which is {VERSION}")
    while version < VERSION:
        tree = {**STEPS[version](tree), "version": version + 1}
        version += 1
    return tree
