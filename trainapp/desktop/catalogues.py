"""The catalogue of the application: the program's own items, and those of the user's own files beside them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal

from trainapp.desktop.background import Cancelled, Errands
from trainapp.train.catalogue import Catalogue, CatalogueError, read_catalogue
from trainapp.train.catalogue_reading import Fault
from trainapp.train.document import Document
from trainapp.train.edits import Batch, Edit, SetValue
from trainapp.train.model import ItemRow
from trainapp.train.naming import Names
from trainapp.train.writing import canonical


class Catalogues(QObject):
    """Which items there are. Files are read off the window's thread, for a share may be slow or gone."""

    #: Signal emitted when the items are others.
    changed = Signal()
    #: Signal emitted with a path and one sentence where a file cannot be used; "" where it can.
    told = Signal(object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._catalogue: Catalogue | None = None
        #: Items of the user's own files by name, a later file wins; another object once they are others.
        self.own: Mapping[str, ItemRow] = {}
        self._rows: dict[Path, dict[str, ItemRow]] = {}
        #: What is wrong with files that could not be used, by file.
        self.faults: dict[Path, tuple[Fault, ...]] = {}
        self._waiting: list[Path] = []
        self._asked = Path()
        self._errands = Errands(_read, "catalogues", self)
        self._errands.answered.connect(self._came)
        self._errands.failed.connect(self._failed)

    @property
    def catalogue(self) -> Catalogue:
        """All items. Read when they are asked for first: the window stands before that."""
        if self._catalogue is None:
            self._catalogue = with_own(self.own)
        return self._catalogue

    @property
    def files(self) -> tuple[Path, ...]:
        """The user's own files that are in use."""
        return tuple(self._rows)

    def count(self, path: Path) -> int:
        """How many items a file holds."""
        return len(self._rows.get(path, {}))

    def add(self, paths: Iterable[Path]) -> None:
        """Read files and take their items in; what came of each is told by a signal."""
        self._waiting += [path for path in paths if path not in self._waiting]
        if not self._errands.busy:
            self._next()

    def remove(self, path: Path) -> None:
        """Leave a file out again. Documents keep the items that they use."""
        if self._rows.pop(path, None) is not None:
            self._gather()

    def _next(self) -> None:
        if self._waiting:
            self._asked = self._waiting.pop(0)
            self._errands.ask(self._asked)

    def _came(self, answer: tuple[Path, dict[str, ItemRow], str, tuple[Fault, ...]]) -> None:
        path, rows, problem, self.faults[path] = answer
        if not problem:
            self._rows[path] = rows
            self._gather()
        self.told.emit(path, problem)
        self._next()

    def _failed(self, error: Exception) -> None:
        """A fault of the program at one file keeps the others from nothing."""
        self._came((self._asked, {}, f"the program failed at reading {self._asked.name}, {type(error).__name__}: {error}", ()))

    def _gather(self) -> None:
        self._catalogue = None
        self.own = {name: row for rows in self._rows.values() for name, row in rows.items()}
        self.changed.emit()


def with_own(own: Mapping[str, ItemRow]) -> Catalogue:
    """The program's catalogue with items of the user's own beside it."""
    built_in = Catalogue.load()
    return Catalogue({**built_in.rows, **own}) if own else built_in


def _read(path: Path, _cancelled: Cancelled) -> tuple[Path, dict[str, ItemRow], str, tuple[Fault, ...]]:
    try:
        return path, read_catalogue(path), "", ()
    except CatalogueError as error:
        return path, {}, str(error), error.faults
    except OSError as error:
        return path, {}, str(error), ()


@cache
def catalogues() -> Catalogues:
    """The application's."""
    return Catalogues()


def carrying(document: Document, edit: Edit) -> Edit:
    """The edit together with the rows of items of the user's own that it names and the document has not: it keeps every item it uses."""
    own = catalogues().own
    named = dict.fromkeys(_named(edit.to_json()))
    missing = [name for name in named if name in own and name not in document.items]
    if not missing:
        return edit
    rows = [SetValue(path=("items", name), value=canonical(own[name])) for name in missing]
    return Batch(edits=[*rows, edit], name=edit.told(Names(document).plain))


def _named(data: Any) -> Iterator[str]:
    """Names of items anywhere in an edit."""
    if isinstance(data, dict):
        if data.get("edit") == "set_value" and _ends_in_item(data["path"]) and isinstance(data["value"], str):
            yield data["value"]
        for key, value in data.items():
            if key == "item" and isinstance(value, str):
                yield value
            else:
                yield from _named(value)
    elif isinstance(data, list):
        for value in data:
            yield from _named(value)


def _ends_in_item(path: Any) -> bool:
    steps = path.split(".") if isinstance(path, str) else path
    return bool(steps) and steps[-1] == "item"
