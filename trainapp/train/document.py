"""The train document: `NAME.train.json` to a validated, unchangeable object and back to the same text.

A :class:`Document` is always valid. What was typed is kept as it was typed, unknown keys are kept and reported, and nothing that was
not in the file (or was not edited) is written.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import Field, PrivateAttr

from trainapp.data import resources_path
from trainapp.hydraulics.demand import daily_use
from trainapp.stages import registry
from trainapp.stages.base import Settings
from trainapp.train import rules
from trainapp.train.catalogue import Catalogue, row_of
from trainapp.train.errors import Bad, DocumentError, Report
from trainapp.train.graph import flow_order, graph_of
from trainapp.train.migrate import current
from trainapp.train.model import (
    Acceptance,
    Demand,
    Goals,
    ItemRow,
    LinkEntry,
    MadeWith,
    Outlet,
    PipeSegment,
    Plumbing,
    Room,
    Sample,
    Section,
    Site,
    StageEntry,
    Supply,
    validated,
)
from trainapp.train.reading import inspect, parse_json, read_file
from trainapp.train.settings import merged_settings
from trainapp.train.writing import canonical, to_text

__all__ = [
    "Acceptance", "Demand", "Document", "DocumentError", "Goals", "ItemRow", "LinkEntry", "MadeWith", "Outlet", "PipeSegment", "Plumbing",
    "Report", "Room", "Sample", "Site", "StageEntry", "Supply", "blank", "dumps", "flow_order", "graph", "item_reports", "load", "loads",
    "settings_of",
]  # fmt: skip

Named = TypeVar("Named", StageEntry, Sample)

#: The graph of a document, see :func:`trainapp.train.graph.graph_of`.
graph = graph_of


class Document(Section):
    """A whole train document, valid in itself. Make one with :func:`loads` or :meth:`of`, change it with :mod:`trainapp.train.edits`."""

    section = "document"
    format: str
    version: int
    made_with: MadeWith = Field(default_factory=MadeWith)
    site: Site = Field(default_factory=Site)
    room: Room = Field(default_factory=Room)
    supply: Supply
    demand: Demand = Field(default_factory=Demand)
    outlets: dict[str, Outlet] = Field(default_factory=dict)
    goals: Goals = Field(default_factory=Goals)
    samples: list[Sample] = Field(default_factory=list)
    design_sample: str = "worst"
    plumbing: Plumbing = Field(default_factory=Plumbing)
    stages: list[StageEntry] = Field(default_factory=list)
    links: list[LinkEntry] = Field(default_factory=list)
    accepted: list[Acceptance] = Field(default_factory=list)
    items: dict[str, ItemRow] = Field(default_factory=dict)
    log: list[dict[str, Any]] = Field(default_factory=list)

    _tree: dict[str, Any] = PrivateAttr(default_factory=dict)
    _reports: tuple[Report, ...] = PrivateAttr(default=())

    @classmethod
    def of(cls, tree: Mapping[str, Any]) -> Document:
        """A document from a plain JSON tree, which is not kept.

        Raises:
            DocumentError: the first thing wrong.
        """
        inspect(tree)
        try:
            document = validated(cls, current(dict(tree)))
            document.demand._facts = {"use": document.site.word("use")}
            reports = tuple(rules.check(document))
        except Bad as bad:
            raise DocumentError(rules.named(bad.at, tree), bad.sentence) from None
        document._tree = canonical(document)
        document._reports = reports
        return document

    @property
    def tree(self) -> Mapping[str, Any]:
        """The document as plain JSON, keys in the order in which they are written. Shared: not to be changed."""
        return self._tree

    @property
    def reports(self) -> tuple[Report, ...]:
        """What is worth saying: unknown keys, stages that stand loose, outlets without a pipe."""
        return self._reports

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Document) and to_text(self._tree) == to_text(other._tree)

    __hash__ = None  # type: ignore[assignment]

    # What stands in it --------------------------------------------------------------------------------------------------------

    def stage(self, stage_id: str) -> StageEntry:
        """One stage by its id; KeyError where there is none."""
        return _named(self.stages, stage_id)

    def sample(self, sample_id: str) -> Sample:
        """One sample by its id; KeyError where there is none."""
        return _named(self.samples, sample_id)

    def item_of(self, entry: StageEntry, catalogue: Catalogue | None = None) -> ItemRow | None:
        """The row of the item that a stage names: the document's own, else the catalogue's; None where it names none."""
        return None if entry.item is None else row_of(entry.item, self.items, catalogue)

    def pipe_of(self, link: LinkEntry) -> tuple[PipeSegment, ...]:
        """The segments of a link in flow order.

        A link's own single segment takes what it does not say from `plumbing`; of a list of segments each takes material and size from
        there, has its own length, and only its own fittings.
        """
        if link.pipe is None:
            return (self.plumbing,)
        common = canonical(self.plumbing)
        if isinstance(link.pipe, PipeSegment):
            return (validated(PipeSegment, {**common, **canonical(link.pipe)}),)
        shared: dict[str, Any] = {key: common[key] for key in ("material", "size") if key in common} | {"fittings": {}}
        return tuple(validated(PipeSegment, {**shared, **canonical(part)}) for part in link.pipe)

    def outlet_pressure(self, end: str) -> float:
        """Pressure wanted at an end, Pa: an outlet's own, else the goal."""
        own = self.outlets[end].get("pressure") if end in self.outlets else None
        return self.goals.value("outlet_pressure") if own is None else own

    @property
    def people(self) -> int:
        """Head count: of the demand, else of the site, else the default."""
        return int(self.demand.raw("people") if self.demand.given("people") else self.site.raw("people"))

    @property
    def daily_volume(self) -> float:
        """m3 a day at the house: as given, else by head count."""
        given = self.demand.get("daily")
        if given is not None:
            return given
        return daily_use(self.people, self.supply.kind).volume


def _named(rows: Iterable[Named], name: str) -> Named:
    for row in rows:
        if row.id == name:
            return row
    raise KeyError(name)


def loads(text: str) -> Document:
    """A document from its text.

    Raises:
        DocumentError: with the place.
    """
    return Document.of(parse_json(text))


def load(path: str | Path) -> Document:
    """A document from its file.

    Raises:
        DocumentError: with the place; also where the file cannot be read.
    """
    return loads(read_file(Path(path)))


def dumps(document: Document) -> str:
    """The one text of a document: keys in the order of the schema, two spaces, a line end at the end; the same on every machine."""
    return to_text(document.tree)


def blank() -> Document:
    """A new document: an assumed well, one person's worth of nothing on the bench."""
    return load(resources_path("train", "blank.train.json"))


# Settings ---------------------------------------------------------------------------------------------------------------------


def settings_of(entry: StageEntry, catalogue: Catalogue | None = None, items: Mapping[str, ItemRow] | None = None) -> Settings:
    """Settings of a stage in internal units: its own, then its item's (the document's row before the catalogue's), then defaults.

    Raises:
        DocumentError: a catalogue row holds something that its setting refuses, or the item is not there.
    """
    kind = registry.kind(entry.kind)
    if kind is None:
        raise DocumentError(f"stages.{entry.id}.kind", f'"{entry.kind}" is not a kind of stage')
    row = None
    if entry.item is not None:
        row = row_of(entry.item, items, catalogue)
        if row is None:
            raise DocumentError(f"stages.{entry.id}.item", f'"{entry.item}" is neither an item of the document nor in the catalogue')
    try:
        return merged_settings(kind.spec, entry, row)
    except Bad as bad:
        raise DocumentError(("stages", entry.id, *bad.at), bad.sentence) from None


def item_reports(document: Document, catalogue: Catalogue) -> Iterator[Report]:
    """Items whose row in the document is no longer what the catalogue says; the document's row decides."""
    for name, row in document.items.items():
        now = catalogue.row(name)
        if now is not None and canonical(now)["settings"] != canonical(row).get("settings", {}):
            label = row.label or name
            yield Report("item-differs", f"items.{name}", f"the catalogue now has other figures for {label}; this document keeps its own")
