"""Undo commands: each carries a patch that is ready both ways, and the ids to select. Nothing in them can fail."""

from __future__ import annotations

import weakref
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtGui import QUndoCommand

from trainapp.reports.drawing.display import Tag
from trainapp.train.edits import Patch, apply, invert, join

if TYPE_CHECKING:
    from trainapp.desktop.session import Session

#: Id of commands that may be merged; Qt asks only neighbours of one id.
_GESTURE = 1


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is selected: the tag that the card shows, and those beside it."""

    tag: Tag = ()
    also: tuple[Tag, ...] = ()


class PatchCommand(QUndoCommand):
    """One step of undo.

    Args:
        session: whose document it changes.
        patch: planned on the document as it is now.
        before, after: what is selected once it is undone, and once it is done.
        gesture: names the drag or the typing that it belongs to; commands of one gesture become one step. Empty for a step of its own.
    """

    def __init__(self, session: Session, patch: Patch, before: Chosen, after: Chosen, gesture: str = "") -> None:
        super().__init__(patch.label)
        # The session owns the stack that owns this: a strong reference back would close a circle through C++, which Python's collector
        # takes apart in the wrong order (it crashed in QUndoStack::clear).
        self._session = weakref.ref(session)
        self.patch = patch
        self.before, self.after = before, after
        self.gesture = gesture

    def redo(self) -> None:
        self._put(self.patch, self.after)

    def undo(self) -> None:
        self._put(invert(self.patch), self.before)

    def id(self) -> int:
        return _GESTURE if self.gesture else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, PatchCommand) or not self.gesture or other.gesture != self.gesture:
            return False
        self.patch = join(self.patch, other.patch)
        self.after = other.after
        # Typed and typed back: there is nothing to undo.
        self.setObsolete(not self.patch.changes)
        return True

    def _put(self, patch: Patch, select: Chosen) -> None:
        session = self._session()
        assert session is not None  # nothing else runs its commands
        old = session.document
        try:
            session.put(apply(old, patch), select)
        except Exception as error:
            # QUndoStack moves on even where redo() raises, and is then one step off for good: a step that fails is dropped instead.
            self.setObsolete(True)
            session.put(old, Chosen(session.selection, session.also))
            session.report(error)
