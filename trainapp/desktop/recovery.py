"""Copies of what was edited and not saved, beside the preferences: offered at the next start where the program ended without closing."""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import cast

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QWidget

from trainapp.desktop.engine import System
from trainapp.desktop.offer import Offer
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.train.document import Document, dumps, loads
from trainapp.train.store import StoreError
from trainapp.train.whole_file import here, is_alive, replace_file

#: How long editing has to rest before a copy is written, ms.
REST = 1500
_ENDING, _FORMAT = ".recovery.json", "trainapp/recovery"
#: This run of the program: numbers of processes come again.
_RUN = secrets.token_hex(4)
_numbers = itertools.count()


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy that was left behind.

    Attributes:
        file: where it stands. at: when it was written.
        path: the file of the document, None where it had none. fingerprint: of that file as it was.
    """

    file: Path
    at: datetime
    document: Document
    path: Path | None
    fingerprint: str | None

    @property
    def told(self) -> str:
        """What it is, in a sentence."""
        name = self.document.site.word("name") or (self.path.name if self.path else "A new train")
        return f"{name} was changed and not saved when the program ended. A copy of how it stood at {self.at:%Y-%m-%d %H:%M} is here."

    def remove(self) -> None:
        """Throw it away."""
        with contextlib.suppress(OSError):
            self.file.unlink(missing_ok=True)


class Keeper(QObject):
    """Keeps a copy of one document as long as its file does not hold it."""

    def __init__(self, session: Session, folder: Path, parent: QObject) -> None:
        super().__init__(parent)
        self.file = folder / f"{here()}-{_RUN}-{next(_numbers)}{_ENDING}"
        self._session = session
        self._kept: Document | None = None
        self._has_failed = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(REST)
        self._timer.timeout.connect(self.keep)
        session.changed.connect(self._timer.start)
        session.saved.connect(self.keep)

    @property
    def has_copy(self) -> bool:
        """Whether the document as it is now is kept."""
        return self._kept is self._session.document

    def keep(self) -> None:
        """Write the copy now; none where the file holds the document as it is."""
        session = self._session
        if session.is_clean:
            self.forget()
        elif session.document is not self._kept:
            try:
                self.file.parent.mkdir(parents=True, exist_ok=True)
                replace_file(self.file, _written(session))
                self._kept = session.document
            except OSError as error:
                if not self._has_failed:
                    session.refused.emit(f"No copy is kept for the case that the program ends: {error.strerror or error}")
                self._has_failed = True

    def forget(self) -> None:
        """Take the copy away: what was edited is saved, or nobody wants it."""
        self._timer.stop()
        self._kept = None
        with contextlib.suppress(OSError):
            self.file.unlink(missing_ok=True)


class CopyLine(Offer):
    """One line over the bench for a copy that was left behind."""

    #: Signal emitted with the copy when it is to be opened.
    opened = Signal(object)

    def __init__(self, copy: Copy, parent: QWidget | None = None) -> None:
        super().__init__(copy.told, ("Open the copy", "Go on with what was not saved"), ("Throw it away", "Delete the copy"), parent)
        self.copy = copy
        self.wanted.connect(self._open)
        self.leave.clicked.connect(self._throw)

    def _open(self) -> None:
        self.hide()
        self.opened.emit(self.copy)

    def _throw(self) -> None:
        self.copy.remove()


def left_behind(folder: Path) -> Iterator[Copy]:
    """Copies of runs of this machine that are no more, the latest first; what cannot be read is passed over."""
    machine = here().partition("-")[0]
    for file in sorted(folder.glob(f"{machine}-*{_ENDING}"), key=_age):
        parts = file.name.split("-")
        if len(parts) != 4 or parts[2] == _RUN or not parts[1].isdecimal():
            continue
        process = int(parts[1])
        # a number of our own in another run is one that came again
        if process == os.getpid() or not is_alive(process):
            with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
                yield _read(file)


def reopened(copy: Copy, prefs: Prefs) -> Session:
    """The session of a copy, not saved yet; its file is the one that it had."""
    system = cast(System, prefs.units)
    try:
        session = Session(copy.document, copy.path, system=system)
        session.fingerprint = copy.fingerprint
    except StoreError:
        session = Session(copy.document, system=system)
    session.stack.resetClean()
    return session


def _written(session: Session) -> bytes:
    told = {
        "format": _FORMAT,
        "version": 1,
        "path": str(session.path) if session.path else "",
        "fingerprint": session.fingerprint,
        "document": dumps(session.document),
    }
    return json.dumps(told).encode()


def _read(file: Path) -> Copy:
    told = json.loads(file.read_text("utf-8"))
    if told["format"] != _FORMAT or told["version"] != 1:
        raise ValueError("another format")
    path = Path(told["path"]) if told["path"] else None
    return Copy(file, datetime.fromtimestamp(file.stat().st_mtime), loads(told["document"]), path, told["fingerprint"])


def _age(file: Path) -> float:
    try:
        return -file.stat().st_mtime
    except OSError:
        return 0.0


__all__ = ["Copy", "CopyLine", "Keeper", "left_behind", "reopened"]
