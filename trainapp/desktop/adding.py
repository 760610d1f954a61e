"""What the shelf holds and the edit that each thing on it makes. A kind is found in the registry; arrangements are edits of their own."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from trainapp import units
from trainapp.desktop.bench.placing import Ends, into, out_of, place_for, selected_node
from trainapp.desktop.bench.rounding import NotRound, round_ends
from trainapp.desktop.catalogues import catalogues
from trainapp.reports.drawing.display import Tag
from trainapp.stages import registry
from trainapp.stages.base import Stage
from trainapp.train.document import Document, StageEntry, settings_of
from trainapp.train.edits import AddBypass, AddOutlet, AddParallel, AddStage, Edit
from trainapp.train.model import ItemRow
from trainapp.train.writing import canonical

Icon = Literal["tank", "cartridge", "chamber", "box", "inline", "bypass", "parallel", "outlet"]

PARALLEL, OUTLET, BYPASS = "arrange:parallel", "arrange:outlet", "bypass"

#: What the key of an item of the catalogue begins with; its name follows.
ITEM = "item:"

#: What goes beside or round a stage, and not into a pipe.
BESIDE_A_STAGE = (PARALLEL, BYPASS)


class NotHere(ValueError):
    """Something from the shelf cannot go there; one sentence."""


@dataclass(frozen=True, slots=True)
class ShelfEntry:
    """One line of the shelf: its key, name and heading, one line of help, and its icon."""

    key: str
    label: str
    group: str
    summary: str
    icon: Icon


def shelf() -> tuple[ShelfEntry, ...]:
    """Everything on the shelf, heading by heading, in the order of the registry; arrangements at the end of their heading."""
    return _shelf(tuple(registry.kinds().items()))


@cache
def _shelf(kinds: tuple[tuple[str, type[Stage]], ...]) -> tuple[ShelfEntry, ...]:
    """The shelf of these kinds: one that is registered later finds its place on it, too."""
    entries = [ShelfEntry(name, kind.spec.label, kind.spec.group, kind.spec.summary, _icon(name)) for name, kind in kinds]
    group = next((entry.group for entry in entries if entry.key == BYPASS), "Plumbing")
    arrangements = [
        ShelfEntry(PARALLEL, "Two in parallel", group, "Puts a twin beside the selected stage; the flow divides between them.", "parallel"),
        ShelfEntry(OUTLET, "Outdoor taps", group, "An end of its own for taps that nobody drinks from.", "outlet"),
    ]
    headings = list(dict.fromkeys(entry.group for entry in entries))
    return tuple(entry for heading in headings for entry in (*entries, *arrangements) if entry.group == heading)


def _icon(kind: str) -> Icon:
    if kind == BYPASS:
        return "bypass"
    made = registry.kinds()[kind]
    return made("icon", settings_of(StageEntry(id="icon", kind=kind))).figure().shape


def tags_of(kind: str) -> frozenset[str]:
    """The roles of a kind, none for what is not a kind."""
    known = registry.kind(kind)
    return known.spec.tags if known else frozenset()


def entry_of(key: str) -> ShelfEntry | None:
    """The line of the shelf with that key, or the item of the catalogue."""
    if key.startswith(ITEM):
        name = key.removeprefix(ITEM)
        row = catalogues().catalogue.row(name)
        return _item_entry(name, row) if row is not None else None
    return next((entry for entry in shelf() if entry.key == key), None)


def items_like(text: str) -> tuple[ShelfEntry, ...]:
    """Items of the catalogue that hold every word of the text, kind by kind, the user's own first; a bypass is an arrangement, no item."""
    own, found = catalogues().own, catalogues().catalogue.find(text)
    names = [name for name, row in found.items() if row.kind != BYPASS]
    kinds = list(dict.fromkeys(found[name].kind for name in names))
    return tuple(
        _item_entry(name, found[name]) for name in sorted(names, key=lambda name: (kinds.index(found[name].kind), name not in own))
    )


def _item_entry(name: str, row: ItemRow) -> ShelfEntry:
    own = name in catalogues().own
    kind = registry.kinds()[row.kind].spec
    summary = f"{row.word('note') or kind.summary.rstrip('.')}{' (own catalogue)' if own else ''}."
    return ShelfEntry(f"{ITEM}{name}", units.typeset(row.word("label") or name), kind.label, summary, _icon(row.kind))


def _item(document: Document, name: str, selection: Tag, link: Ends | None) -> Edit:
    row = catalogues().catalogue.row(name)
    if row is None:
        raise NotHere(f"{name} is no longer in the catalogue")
    place = link or place_for(document, selection, row.kind, tags_of)
    return AddStage(kind=row.kind, item=name, row=canonical(row) if name in catalogues().own else None, into=place)


def adding(document: Document, key: str, selection: Tag = (), link: Ends | None = None) -> Edit:
    """The edit that puts something from the shelf on the bench.

    Args:
        selection: what it goes beside where no pipe is named.
        link: the pipe that it goes into.

    Raises:
        NotHere: it needs another place.
    """
    if key.startswith(ITEM):
        return _item(document, key.removeprefix(ITEM), selection, link)
    if key == OUTLET:
        node = link[0] if link else selected_node(selection)
        return _outlet(document, node if node is not None and out_of(document, node) else "supply")
    if key in BESIDE_A_STAGE:
        node = selected_node(selection)
        if node is None or not into(document, node) or not out_of(document, node):
            what = "stand beside" if key == PARALLEL else "lead round"
            raise NotHere(f"select the stage that it should {what} first")
        if key == PARALLEL:
            return AddParallel(beside=node)
        return _bypass(document, node)
    return AddStage(kind=key, into=link or place_for(document, selection, key, tags_of))


def _bypass(document: Document, node: str) -> Edit:
    try:
        over = round_ends(document, [node])
    except NotRound as error:
        raise NotHere(str(error)) from None
    if over is None:
        raise NotHere("no pipe leads through it")
    return AddBypass(over=over)


def _outlet(document: Document, after: str) -> Edit:
    taken = {*document.outlets, *(stage.id for stage in document.stages)}
    name = next(n for n in ("outdoor", *(f"outdoor-{i}" for i in range(2, len(taken) + 3))) if n not in taken)
    return AddOutlet(name=name, outlet={"peak": "4 gpm", "drinking": False}, after=after)
