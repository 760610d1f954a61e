"""What nodes are called in sentences: by their kind, and where there are several of it by the number that the bench gives them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from trainapp.spelling import inside
from trainapp.stages import registry
from trainapp.train.document import Document, DocumentError
from trainapp.train.graph import flow_order, graph_of
from trainapp.train.numbering import UNNUMBERED, numbers
from trainapp.train.routes import route
from trainapp.train.zones import HOUSE, SUPPLY, Link


@dataclass(frozen=True, slots=True)
class _Pipe:
    source: str
    target: str
    flow: float

    @property
    def key(self) -> Link:
        return self.source, self.target


class Names:
    """Names of the nodes of a document.

    Args:
        flows: m3/s at the peak by link, where they are known: of two ways out the greater is the line that goes on.
    """

    def __init__(self, document: Document, flows: Mapping[Link, float] | None = None) -> None:
        self._document, self._flows = document, flows or {}
        self._kinds = {entry.id: entry.kind for entry in document.stages}
        self._inside: dict[str, str] = {}

    @cached_property
    def _counts(self) -> Counter[str]:
        return Counter(self._kinds.values())

    @cached_property
    def _numbers(self) -> Mapping[str, str]:
        document = self._document
        order = [node for node in flow_order(graph_of(document)) if node in self._kinds]
        order += [node for node in self._kinds if node not in order]
        pipes = [_Pipe(*link.ends, self._flows.get(link.ends, 0.0)) for link in document.links]
        unnumbered = {node for node in self._kinds if _tags(self._kinds[node]) & UNNUMBERED}
        return numbers(route(order, pipes, [HOUSE, *document.outlets]), unnumbered)

    def plain(self, node: str) -> str:
        """A node in a list: "softener", "softener 3a" where there are several, "house", "outdoor taps"; what is no node as it is."""
        kind = self._kinds.get(node)
        if kind is None:
            return node.replace("_", " ").replace("-", " ") if node in self._document.outlets else node
        label = inside(_label(kind))
        return label if self._counts[kind] == 1 else f"{label} {self._told_apart(node, kind)}"

    def inside(self, node: str) -> str:
        """A node inside a sentence: "the softener", "softener 3a" where there are several, "the house", 'the outlet "garden"'."""
        if node not in self._inside:
            self._inside[node] = self._called(node)
        return self._inside[node]

    def _called(self, node: str) -> str:
        if node in (HOUSE, SUPPLY):
            return f"the {node}"
        kind = self._kinds.get(node)
        if kind is None:
            return f'the outlet "{self.plain(node)}"'
        return f"the {self.plain(node)}" if self._counts[kind] == 1 or not self._numbers.get(node) else self.plain(node)

    def _told_apart(self, node: str, kind: str) -> str:
        """The number on the bench; a valve of a bypass or a tee by what it stands behind, a loose stage by its place among its like."""
        number = self._numbers.get(node)
        if number:
            return number
        sources = [link.from_ for link in self._document.links if link.to == node]
        if sources:
            return f"behind {self.inside(sources[0])}"
        alike = [other for other, its in self._kinds.items() if its == kind and not self._numbers.get(other)]
        return "beside the train" if len(alike) == 1 else f"beside the train, {alike.index(node) + 1} of {len(alike)}"


def _label(kind: str) -> str:
    known = registry.kind(kind)
    return known.spec.label if known else kind


def _tags(kind: str) -> frozenset[str]:
    known = registry.kind(kind)
    return known.spec.tags if known else frozenset()


def in_words(document: Document, error: DocumentError) -> tuple[str, str]:
    """Where and what a document error is, for a screen: the place as it is called there, "" for the whole, and the sentence."""
    names = Names(document)
    return place_in_words(document, names, error.place), _SAID.sub(lambda found: _said(document, names, found), error.sentence)


#: A name in quotation marks inside a sentence.
_SAID = re.compile(r'"([^"]+)"')


def _said(document: Document, names: Names, found: re.Match[str]) -> str:
    is_stage = any(entry.id == found[1] for entry in document.stages)
    return names.inside(found[1]) if is_stage or found[1] in (HOUSE, SUPPLY) else found[0]


def place_in_words(document: Document, names: Names, place: str) -> str:
    """`stages.iron.settings.count` as "the iron filter, count", `links.a>b` as "the pipe from … to …"."""
    head, _, rest = place.partition(".")
    if place == "links":
        # all pipes together: the sentence says it
        return ""
    if head == "links":
        source, _, target = rest.partition(">")
        if target:
            return f"the pipe from {names.inside(source)} to {names.inside(target.partition('.')[0])}"
    known = {"stages": [entry.id for entry in document.stages], "outlets": list(document.outlets)}.get(head, [])
    # an id may hold dots itself
    node = max((name for name in known if rest == name or rest.startswith(f"{name}.")), key=len, default="")
    if node:
        last = rest[len(node) :].rpartition(".")[2]
        return f"{names.inside(node)}, {last.replace('_', ' ')}" if last not in ("", "id") else names.inside(node)
    return place if head in ("stages", "links", "outlets") else place.replace(".", ", ").replace("_", " ")
