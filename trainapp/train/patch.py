"""A patch: what changes between two documents, as plain data that can be applied and taken back."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from trainapp.train.document import Document

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One place that changes. `before` and `after` hold the value there, or nothing where the key is absent."""

    path: Path
    before: tuple[Any, ...]
    after: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Patch:
    """From one document to the next.

    Attributes:
        changes: disjoint places, in document order; empty where nothing changes.
        label: what was done, for the list of undo ("Add softener").
    """

    changes: tuple[Change, ...]
    label: str
    _base: Document | None = field(default=None, repr=False, compare=False)
    _result: Document | None = field(default=None, repr=False, compare=False)

    @classmethod
    def between(cls, base: Document, result: Document, label: str) -> Patch:
        """The patch that leads from one document to another."""
        return cls(tuple(_changes(base.tree, result.tree, ())), label, base, result)


def apply(document: Document, patch: Patch) -> Document:
    """The document after a patch that was planned on it (or on one equal to it). Cannot fail."""
    if patch._base is document and patch._result is not None:
        return patch._result
    tree = copy.deepcopy(dict(document.tree))
    for change in patch.changes:
        tree = _put(tree, change)
    return Document.of(tree)


def invert(patch: Patch) -> Patch:
    """The patch that takes it back."""
    changes = tuple(Change(c.path, c.after, c.before) for c in reversed(patch.changes))
    return Patch(changes, patch.label, patch._result, patch._base)


def join(first: Patch, second: Patch) -> Patch:
    """One patch for two in a row, both still fresh from planning: typing five digits is one step back."""
    if first._base is None or second._result is None:
        raise ValueError("only patches that were planned in this session are joined")
    return Patch.between(first._base, second._result, first.label)


def _changes(before: Any, after: Any, path: Path) -> Iterator[Change]:
    if isinstance(before, dict) and isinstance(after, dict) and (not path or list(before) == list(after)):
        # At the top the schema gives the order of keys. Further down keys may be the user's own: there a change of keys replaces
        # the object, so that taking it back restores their order, too.
        for key in dict.fromkeys((*before, *after)):
            if key in before and key in after:
                yield from _changes(before[key], after[key], (*path, key))
            else:
                yield Change((*path, key), (before[key],) if key in before else (), (after[key],) if key in after else ())
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for index, (a, b) in enumerate(zip(before, after, strict=True)):
            yield from _changes(a, b, (*path, index))
    elif not _same(before, after):
        yield Change(path, (before,), (after,))


def _same(before: Any, after: Any) -> bool:
    """Equal as JSON: 1, 1.0 and true are three things."""
    if type(before) is not type(after):
        return False
    if isinstance(before, dict):
        return list(before) == list(after) and all(_same(before[key], after[key]) for key in before)
    if isinstance(before, list):
        return len(before) == len(after) and all(_same(a, b) for a, b in zip(before, after, strict=True))
    return bool(before == after)


def _put(tree: dict[str, Any], change: Change) -> dict[str, Any]:
    place: Any = tree
    for step in change.path[:-1]:
        place = place[step]
    if change.after:
        place[change.path[-1]] = copy.deepcopy(change.after[0])
    else:
        del place[change.path[-1]]
    return tree
