"""Files that were open before, pinned ones first. What is missing is found out off the window's thread, for a disk may not answer."""

from __future__ import annotations

import json
import os
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from time import monotonic
from typing import Any

from PySide6.QtCore import QObject, QSettings, Signal, Slot

from trainapp.desktop.background import Cancelled, Errands

#: Files that are remembered beside those that are pinned.
MOST = 12
#: How long a file's disk may take to answer before it is shown as missing, s.
_PATIENCE = 2.0
_KEY = "recent"

Exists = Callable[[str], bool]


@dataclass(frozen=True, slots=True)
class Recent:
    """One file. `missing`: it was looked for and not found, or its disk did not answer."""

    path: Path
    pinned: bool = False
    missing: bool = False


class RecentFiles(QObject):
    """The list, kept in the preferences."""

    #: Signal emitted when the list, or what is known of its files, is another.
    changed = Signal()

    def __init__(self, kept: QSettings, exists: Exists | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._kept = kept
        self._files = list(_read(kept.value(_KEY, "")))
        self._errands = Errands(_Looker(exists or os.path.exists), "recent files", self)
        self._errands.answered.connect(self._looked)
        self._errands.failed.connect(self._not_looked)

    @property
    def files(self) -> tuple[Recent, ...]:
        """Pinned files first, each group the latest first."""
        return tuple(sorted(self._files, key=lambda file: not file.pinned))

    def note(self, path: Path) -> None:
        """A file was opened or saved: it is the latest, and it is there."""
        old = self._file(path)
        latest = replace(old, missing=False) if old else Recent(path)
        self._keep([latest, *(file for file in self._files if file.path != path)])

    def pin(self, path: Path, pinned: bool) -> None:
        """Keep a file in the list whatever else is opened, or no longer."""
        self._keep([replace(file, pinned=pinned) if file.path == path else file for file in self._files])

    def forget(self, path: Path) -> None:
        """Take one file off the list."""
        self._keep([file for file in self._files if file.path != path])

    def clear(self) -> None:
        """Take all files off the list that are not pinned."""
        self._keep([file for file in self._files if file.pinned])

    def look(self) -> None:
        """Find out which files are still there; the answer comes by the signal."""
        if self._files:
            self._errands.ask([str(file.path) for file in self._files])

    @Slot(object)
    def _looked(self, missing: frozenset[str]) -> None:
        files = [replace(file, missing=str(file.path) in missing) for file in self._files]
        if files != self._files:
            self._files = files
            self.changed.emit()

    @Slot(object)
    def _not_looked(self, _error: Exception) -> None:
        """What could not be found out (the machine starts no more threads) marks nothing: opening a file tells the rest."""
        self._looked(frozenset())

    def _file(self, path: Path) -> Recent | None:
        return next((file for file in self._files if file.path == path), None)

    def _keep(self, files: list[Recent]) -> None:
        loose = [file for file in files if not file.pinned][:MOST]
        self._files = [file for file in files if file.pinned or file in loose]
        written = [{"path": str(file.path), "pinned": file.pinned} for file in self._files]
        self._kept.setValue(_KEY, json.dumps(written, ensure_ascii=False))
        self.changed.emit()


class _Looker:
    """Asks for every file on a thread of its own: a disk that does not answer holds up no other."""

    def __init__(self, exists: Exists) -> None:
        self._exists = exists

    def __call__(self, paths: Iterable[str], cancelled: Cancelled) -> frozenset[str]:
        found: dict[str, bool] = {}
        threads = [threading.Thread(target=self._look, args=(path, found), daemon=True) for path in paths]
        for thread in threads:
            thread.start()
        end = monotonic() + _PATIENCE
        for thread in threads:
            thread.join(max(end - monotonic(), 0.0))
        return frozenset(path for path in paths if not found.get(path, False))

    def _look(self, path: str, found: dict[str, bool]) -> None:
        try:
            found[path] = self._exists(path)
        except (OSError, ValueError):
            found[path] = False


def _read(text: Any) -> Iterator[Recent]:
    """What the preferences hold; what makes no sense is left out."""
    try:
        rows = json.loads(str(text)) if text else []
    except ValueError:
        return
    for row in rows if isinstance(rows, list) else []:
        if isinstance(row, dict) and isinstance(row.get("path"), str) and row["path"]:
            yield Recent(Path(row["path"]), row.get("pinned") is True)
