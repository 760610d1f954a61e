"""What edits of the bench do to the plain tree of a document: rows that are pasted into a pipe, and places on the floor."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from typing import Any

from trainapp.train import steps
from trainapp.train.errors import DocumentError, quoted
from trainapp.train.graph import SUPPLY
from trainapp.train.steps import Ends, Tree


def join(tree: Tree, pasted: Sequence[str], into: Ends) -> None:
    """Lay stages that stand in one row into a link: the pipe that was there leads to the first, a common one leads on.

    Raises:
        DocumentError: they do not stand in one row, or there is no such pipe.
    """
    inside = [row for row in tree.get("links", []) if row["from"] in pasted and row["to"] in pasted]
    first = [node for node in pasted if all(row["to"] != node for row in inside)]
    last = [node for node in pasted if all(row["from"] != node for row in inside)]
    if len(first) != 1 or len(last) != 1:
        raise DocumentError(("links", f"{into[0]}>{into[1]}"), "only stages that begin and end at one place go into a pipe together")
    index = steps.link_index(tree, into)
    links = tree["links"]
    links[index : index + 1] = [{**links[index], "to": first[0]}, {"from": last[0], "to": into[1]}]
    _bring_behind(tree, pasted, into)


def _bring_behind(tree: Tree, pasted: Sequence[str], into: Ends) -> None:
    """Write stages after the one that feeds them, so that a file reads in the order of flow."""
    rows = tree["stages"]
    moved = [row for row in rows if row["id"] in pasted]
    rest = [row for row in rows if row["id"] not in pasted]
    ids = [row["id"] for row in rest]
    at = ids.index(into[0]) + 1 if into[0] in ids else ids.index(into[1]) if into[1] in ids else len(rest)
    rows[:] = [*rest[:at], *moved, *rest[at:]]


def bring_items(tree: Tree, stages: Sequence[Mapping[str, Any]], items: Mapping[str, Mapping[str, Any]]) -> None:
    """Keep the rows of items that copies name where the document has none of that name."""
    for name in sorted({str(stage["item"]) for stage in stages if "item" in stage}):
        if name in items and name not in tree.get("items", {}):
            tree.setdefault("items", {})[name] = copy.deepcopy(dict(items[name]))


def stand(tree: Tree, node: str, distance: str | None) -> None:
    """Give a stage or the supply a place on the floor, or take it back.

    Raises:
        DocumentError: it is neither.
    """
    row = tree.get("supply", {}) if node == SUPPLY else next((s for s in tree.get("stages", []) if s["id"] == node), None)
    if row is None:
        raise DocumentError(("stages", node), f"{quoted(node)} is not a stage of this train")
    if distance is not None:
        place = row.get("place")
        row["place"] = {**(place if isinstance(place, dict) else {}), "x": distance}
    else:
        row.pop("place", None)
