"""Stages as text: what is copied is plain JSON, so that it can be pasted into another window, another program or a mail."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from trainapp.desktop.bench.placing import Ends
from trainapp.desktop.bench.several import stages_of
from trainapp.reports.drawing.display import Tag
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import Paste
from trainapp.train.reading import inspect, parse_json

FORMAT, VERSION = "trainapp/stages", 1

#: A whole document on the clipboard is read as its stages.
_DOCUMENT = "trainapp/train"


def copied(document: Document, tags: Sequence[Tag]) -> str:
    """The stages among what is selected, the pipes between them and the catalogue rows that they name; "" for none."""
    wanted = stages_of(document, tags)
    tree = document.tree
    rows = {str(row["id"]): row for row in tree.get("stages", [])}
    links = [row for row in tree.get("links", []) if row["from"] in wanted and row["to"] in wanted]
    named = {rows[stage]["item"] for stage in wanted if "item" in rows[stage]}
    items = {name: row for name, row in tree.get("items", {}).items() if name in named}
    if not wanted:
        return ""
    clip = {"format": FORMAT, "version": VERSION, "stages": [rows[stage] for stage in wanted], "links": links, "items": items}
    return json.dumps(clip, ensure_ascii=False, indent=2)


def pasting(text: str, into: Ends | None) -> Paste:
    """The edit that pastes what a text holds: into a pipe where it is one row, else loose on the bench.

    Raises:
        DocumentError: the text holds no stages.
    """
    try:
        tree = parse_json(text)
        inspect(tree)
    except DocumentError:
        raise DocumentError("", "the clipboard does not hold stages") from None
    rows, links = tree.get("stages"), tree.get("links", [])
    if tree.get("format") not in (FORMAT, _DOCUMENT) or not isinstance(rows, list) or not rows or not isinstance(links, list):
        raise DocumentError("", "the clipboard does not hold stages")
    if not isinstance(tree.get("version"), int) or tree["version"] > VERSION:
        raise DocumentError("", "the clipboard holds stages of a newer version of this program")
    if not all(isinstance(row, dict) for row in (*rows, *links)):
        raise DocumentError("", "the clipboard does not hold stages")
    ids = [row.get("id") for row in rows]
    inner = [row for row in links if row.get("from") in ids and row.get("to") in ids]
    stages = [{key: value for key, value in row.items() if key != "place"} for row in rows]
    items = tree.get("items", {})
    kept: dict[str, Any] = {name: row for name, row in items.items() if isinstance(row, dict)} if isinstance(items, dict) else {}
    return Paste(stages=stages, links=inner, into=into if one_row(ids, inner) else None, items=kept)


def one_row(ids: Sequence[Any], links: Sequence[dict[str, Any]]) -> bool:
    """Whether stages begin and end at one place, so that they can stand in a pipe together."""
    first = [node for node in ids if all(row["to"] != node for row in links)]
    last = [node for node in ids if all(row["from"] != node for row in links)]
    return len(first) == 1 and len(last) == 1
