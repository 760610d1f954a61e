"""Edits of pipes: what every pipe is, and what one is of its own, in one segment or several."""

from __future__ import annotations

import copy
from typing import Any

from trainapp.train.document import Document, LinkEntry, PipeSegment
from trainapp.train.edits import Batch, Edit, RemoveValue, SetValue

#: Stands for the pipe that every link has which has none of its own.
EVERY = ""
KEYS = ("material", "size", "length")


def link_named(document: Document, name: str) -> LinkEntry | None:
    """The link of that name, such as supply>screen; None for every pipe."""
    return next((link for link in document.links if name_of(link) == name), None)


def name_of(link: LinkEntry) -> str:
    """How edits and sheets call a link."""
    return f"{link.from_}>{link.to}"


def segments_of(document: Document, name: str) -> tuple[PipeSegment, ...]:
    """The segments of a pipe as they hold; of every pipe the one there is."""
    link = link_named(document, name)
    return (document.plumbing,) if link is None else document.pipe_of(link)


def own_segment(document: Document, name: str, index: int) -> PipeSegment | None:
    """The segment as the pipe itself has it written; None where it has none of its own."""
    link = link_named(document, name)
    if link is None:
        return document.plumbing
    if isinstance(link.pipe, list):
        return link.pipe[index]
    return link.pipe


def set_part(document: Document, name: str, index: int, key: str, value: Any) -> Edit:
    """Change material, size, length or fittings of a segment, or take it away for None. A pipe without its own gets one."""
    own = own_segment(document, name, index)
    path = (*_path(document, name, index), key)
    if value is None:
        return RemoveValue(path=path) if own is not None and own.given(key) else Batch(edits=[], name="")
    return SetValue(path=path, value=value)


def _path(document: Document, name: str, index: int) -> tuple[str | int, ...]:
    if name == EVERY:
        return ("plumbing",)
    link = link_named(document, name)
    listed = link is not None and isinstance(link.pipe, list)
    return ("links", name, "pipe", index) if listed else ("links", name, "pipe")


def add_segment(document: Document, name: str, after: int) -> Edit:
    """Put a segment behind another: the whole pipe is written out, and the new one is like the one before it, without fittings."""
    written = [_whole(segment) for segment in segments_of(document, name)]
    new = {**written[after], "fittings": {}}
    return _put(name, [*written[: after + 1], new, *written[after + 1 :]], "Add a segment")


def remove_segment(document: Document, name: str, index: int) -> Edit:
    """Take a segment away."""
    written = [_whole(segment) for segment in segments_of(document, name)]
    return _put(name, written[:index] + written[index + 1 :], "Remove a segment")


def like_every(name: str) -> Edit:
    """Make a pipe like every other again."""
    return Batch(edits=[RemoveValue(path=("links", name, "pipe"))], name="Pipe like every other")


def _put(name: str, segments: list[dict[str, Any]], label: str) -> Edit:
    return Batch(edits=[SetValue(path=("links", name, "pipe"), value=segments)], name=label)


def _whole(segment: PipeSegment) -> dict[str, Any]:
    """A segment that says all by itself."""
    return {key: copy.deepcopy(segment.raw(key)) for key in KEYS} | {"fittings": dict(segment.fitting_counts)}
