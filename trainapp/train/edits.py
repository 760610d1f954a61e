"""Edits of a document. Planning an edit may fail, with a sentence; applying the patch that it gives cannot.

Every edit is plain data (`to_json`, :func:`edit_from_json`), so that a remedy can be offered, tried, printed and taken back.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter, ValidationError

from trainapp.spelling import inside
from trainapp.stages import registry
from trainapp.train import steps, steps_bypass
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document, DocumentError
from trainapp.train.edit import Edit, Ends, Name
from trainapp.train.edits_bench import Paste, Stand
from trainapp.train.model import first_problem
from trainapp.train.naming import Names
from trainapp.train.patch import Patch, apply, invert, join
from trainapp.train.steps import Tree
from trainapp.train.writing import canonical

__all__ = [
    "AddBypass", "AddOutlet", "AddParallel", "AddStage", "Batch", "ChangeSetting", "Edit", "Link", "MoveStage", "Paste", "Patch",
    "RemoveOutlet", "RemoveStage", "RemoveValue", "Rename", "SetValue", "Stand", "Unlink", "apply", "edit_from_json", "invert", "join",
    "plan_edit",
]  # fmt: skip

Where = str | tuple[str | int, ...]


class AddStage(Edit):
    """Put a stage on the bench: into a link, which it splits; without one in front of the house; or loose, without pipes.

    `row` brings the row of its item along, for an item of the user's own.
    """

    edit: Literal["add_stage"] = "add_stage"
    kind: str
    settings: dict[str, Any] = Field(default_factory=dict)
    beside: dict[str, Any] = Field(default_factory=dict)
    item: str | None = None
    row: dict[str, Any] | None = None
    id: str | None = None
    into: Ends | None = None
    loose: bool = False

    def run(self, tree: Tree) -> None:
        if self.item is not None and self.row is not None:
            tree.setdefault("items", {}).setdefault(self.item, copy.deepcopy(self.row))
        entry = steps.entry(tree, self.kind, self.item, self.settings, self.beside, self.id)
        if self.loose:
            tree.setdefault("stages", []).append(entry)
        elif self.into is None:
            steps.add_at_end(tree, entry)
        else:
            steps.add_into(tree, entry, self.into)

    def told(self, name: Name) -> str:
        return f"Add {_kind_label(self.kind)}"


class RemoveStage(Edit):
    """Take a stage away; the pipe closes behind it, unless another way round is there already. A tee that joins nothing then goes, too."""

    edit: Literal["remove_stage"] = "remove_stage"
    id: str

    def run(self, tree: Tree) -> None:
        tees = steps_bypass.joining(tree, self.id)
        steps.remove(tree, self.id)
        steps_bypass.close(tree, tees)

    def told(self, name: Name) -> str:
        return f"Remove {name(self.id)}"


class MoveStage(Edit):
    """Move a stage along the train, into a link."""

    edit: Literal["move_stage"] = "move_stage"
    id: str
    into: Ends

    def run(self, tree: Tree) -> None:
        tees = [tee for tee in steps_bypass.joining(tree, self.id) if tee not in self.into]
        steps.move(tree, self.id, self.into)
        steps_bypass.close(tree, tees)

    def told(self, name: Name) -> str:
        return f"Move {name(self.id)}"


class Link(Edit):
    """Lay a pipe."""

    edit: Literal["link"] = "link"
    ends: Ends
    pipe: dict[str, Any] | list[dict[str, Any]] | None = None

    def run(self, tree: Tree) -> None:
        steps.link(tree, self.ends, self.pipe)

    def told(self, name: Name) -> str:
        return f"Link {name(self.ends[0])} to {name(self.ends[1])}"


class Unlink(Edit):
    """Take a pipe away."""

    edit: Literal["unlink"] = "unlink"
    ends: Ends

    def run(self, tree: Tree) -> None:
        steps.unlink(tree, self.ends)

    def told(self, name: Name) -> str:
        return f"Unlink {name(self.ends[0])} from {name(self.ends[1])}"


class ChangeSetting(Edit):
    """Set one setting of a stage where it is written already, else among its settings; null gives back the default."""

    edit: Literal["change_setting"] = "change_setting"
    stage: str
    key: str
    value: Any = None

    def run(self, tree: Tree) -> None:
        steps.change_setting(tree, self.stage, self.key, self.value)

    def told(self, name: Name) -> str:
        return f"Change {self.key.replace('_', ' ')} of {name(self.stage)}"


class Rename(Edit):
    """Give a stage, an outlet or a sample another id, everywhere."""

    edit: Literal["rename"] = "rename"
    what: Literal["stage", "outlet", "sample"]
    old: str
    new: str

    def run(self, tree: Tree) -> None:
        steps.rename(tree, self.what, self.old, self.new)

    def told(self, name: Name) -> str:
        return f"Rename {self.old} to {self.new}"


class SetValue(Edit):
    """Set what stands at a place: steps, or their text joined by dots. List members go by id, links by `from>to`, others by number.

    What is missing on the way is made; a member with a new id is added to its list.
    """

    edit: Literal["set_value"] = "set_value"
    path: Where
    value: Any

    def run(self, tree: Tree) -> None:
        steps.set_value(tree, _steps(self.path), self.value)

    def told(self, name: Name) -> str:
        return f"Change {_last(self.path)}"


class RemoveValue(Edit):
    """Take away what stands at a place."""

    edit: Literal["remove_value"] = "remove_value"
    path: Where

    def run(self, tree: Tree) -> None:
        steps.remove_value(tree, _steps(self.path))

    def told(self, name: Name) -> str:
        return f"Remove {_last(self.path)}"


class AddParallel(Edit):
    """Put a twin of a stage beside it: two in parallel."""

    edit: Literal["add_parallel"] = "add_parallel"
    beside: str
    id: str | None = None

    def run(self, tree: Tree) -> None:
        steps.add_twin(tree, self.beside, self.id)

    def told(self, name: Name) -> str:
        return f"Two in parallel: {name(self.beside)}"


class AddBypass(Edit):
    """Lay a bypass with its valve from one node to another further down.

    Where the pipe parts right ahead of the second, or pipes meet right behind the first, it goes by a tee: all lanes get the same water.
    """

    edit: Literal["add_bypass"] = "add_bypass"
    over: Ends
    settings: dict[str, Any] = Field(default_factory=dict)
    id: str | None = None

    def run(self, tree: Tree) -> None:
        entry = steps.entry(tree, "bypass", None, self.settings, {}, self.id)
        steps_bypass.lay(tree, entry, self.over)

    def told(self, name: Name) -> str:
        return f"Bypass from {name(self.over[0])} to {name(self.over[1])}"


class AddOutlet(Edit):
    """Add an end beside the house, fed from a node."""

    edit: Literal["add_outlet"] = "add_outlet"
    name: str
    outlet: dict[str, Any]
    after: str = "supply"

    def run(self, tree: Tree) -> None:
        steps.add_outlet(tree, self.name, self.outlet, self.after)

    def told(self, name: Name) -> str:
        return f"Add {self.name}"


class RemoveOutlet(Edit):
    """Take an end beside the house away, with its pipe."""

    edit: Literal["remove_outlet"] = "remove_outlet"
    name: str

    def run(self, tree: Tree) -> None:
        steps.remove_outlet(tree, self.name)

    def told(self, name: Name) -> str:
        return f"Remove {name(self.name)}"


class Batch(Edit):
    """Several edits as one; only the end has to be a valid document."""

    edit: Literal["batch"] = "batch"
    edits: list[AnyEdit]
    name: str = ""

    def run(self, tree: Tree) -> None:
        for part in self.edits:
            part.run(tree)
            steps.check_shape(tree)

    def told(self, name: Name) -> str:
        return self.name or (self.edits[0].told(name) if self.edits else "Nothing")

    def to_json(self) -> dict[str, Any]:
        named = {"name": self.name} if self.name else {}
        return {"edit": self.edit, "edits": [part.to_json() for part in self.edits], **named}


AnyEdit = Annotated[
    AddStage
    | RemoveStage
    | MoveStage
    | Link
    | Unlink
    | ChangeSetting
    | Rename
    | SetValue
    | RemoveValue
    | AddParallel
    | AddBypass
    | AddOutlet
    | RemoveOutlet
    | Paste
    | Stand
    | Batch,
    Field(discriminator="edit"),
]
Batch.model_rebuild()
_ANY: TypeAdapter[Any] = TypeAdapter(AnyEdit)


def edit_from_json(data: Mapping[str, Any]) -> Edit:
    """The edit of :meth:`Edit.to_json`.

    Raises:
        DocumentError: it is none.
    """
    try:
        edit: Edit = _ANY.validate_python(dict(data))
    except ValidationError as error:
        bad = first_problem(error)
        raise DocumentError(("edit", *bad.at), bad.sentence) from None
    return edit


def plan_edit(document: Document, edit: Edit, catalogue: Catalogue | None = None) -> Patch:
    """The patch that an edit makes; the document is not changed.

    Args:
        catalogue: where items that the edit names come from, the program's own by default.

    Raises:
        DocumentError: it cannot be done, or what it makes is no valid document.
    """
    tree: Tree = copy.deepcopy(dict(document.tree))
    edit.run(tree)
    _keep_items(tree, catalogue)
    return Patch.between(document, Document.of(tree), edit.told(Names(document).plain))


def _keep_items(tree: Tree, catalogue: Catalogue | None) -> None:
    """Keep the row of every item that a stage names, so that the document says all by itself."""
    named = {entry.get("item") for entry in tree.get("stages", []) if isinstance(entry, dict)} - {None}
    for item in sorted(str(name) for name in named):
        if item not in tree.get("items", {}):
            row = (catalogue or Catalogue.load()).row(item)
            if row is not None:
                tree.setdefault("items", {})[item] = canonical(row)


def _kind_label(kind: str) -> str:
    known = registry.kind(kind)
    label = known.spec.label if known else kind
    return inside(label)


def _steps(path: Where) -> tuple[str | int, ...]:
    return tuple(path.split(".")) if isinstance(path, str) else path


def _last(path: Where) -> str:
    steps_ = _steps(path)
    return str(steps_[-1]).replace("_", " ") if steps_ else "document"
