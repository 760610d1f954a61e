"""A lesson being worked out away from the window: how far it is, what came of it, and giving it up."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal, Slot

from trainapp.desktop.background import Errands, Progress
from trainapp.desktop.lessons.material import Ask, Still, Work, Worked

#: A slider that is still being moved is waited for, ms; how often the progress is told, ms; from when on it is told, ms.
_SETTLE, _TELL, _PATIENCE = 180, 250, 400


class WorkingOut(QObject):
    """Asks for the trains as they stand, then for the whole lesson, and again whenever something is changed.

    Attributes:
        still: the trains as they stand, None before they are known. first: the lesson as it is written, worked out; None before.
        played: the last one worked out, with what the class changed; None before the first.
        failed: why it could not be worked out, "" where it could.
    """

    #: Signal emitted when something was worked out, or could not be.
    changed = Signal()
    #: Signal emitted when it is further on.
    moved = Signal()

    def __init__(self, work: Work, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.still: Still | None = None
        self.first: Worked | None = None
        self.played: Worked | None = None
        self.failed = ""
        self._own: dict[str, int] = {}
        self._chosen: dict[str, int] = {}
        self._shown: dict[str, int] = {}
        self._meter = Progress()
        self._since = QElapsedTimer()
        self._errands = Errands(work, "lesson", self)
        self._errands.answered.connect(self._answered)
        self._errands.failed.connect(self._failed)
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(_SETTLE)
        self._settle.timeout.connect(self._ask)
        self._tell = QTimer(self)
        self._tell.setInterval(_TELL)
        self._tell.timeout.connect(self.moved)

    @property
    def busy(self) -> bool:
        """Whether something is being worked out, or will be at once."""
        return self._errands.busy or self._settle.isActive()

    @property
    def told(self) -> str:
        """How far it is, or why it could not be; "" where there is nothing to say."""
        if self.busy:
            return f"Working it out, {100 * self._meter.share:.0f}\u202f%" if self._since.elapsed() > _PATIENCE else ""
        return self.failed

    def begin(self, chosen: Mapping[str, int]) -> None:
        """Ask for the trains as they stand; the whole lesson follows."""
        self._chosen, self._shown, self._own = dict(chosen), dict(chosen), dict(chosen)
        self._since.start()
        self._errands.ask(Ask(self._chosen, still=True))

    def again(self, chosen: Mapping[str, int], *, wait: bool = False) -> None:
        """Ask for the lesson with other changes; `wait` for more of them. As it is written it is there already."""
        self._chosen = dict(chosen)
        if self._chosen == self._own and self.first is not None:
            self.stop()
            self.played, self._shown = self.first, dict(self._own)
            self._chosen = dict(self._own)
            self.changed.emit()
            return
        self._since.start()
        if wait:
            self._settle.start()
        else:
            self._ask()

    def stop(self) -> dict[str, int]:
        """Give up what is being worked out; the changes that what is shown was worked out with."""
        self._settle.stop()
        self._tell.stop()
        self._errands.drop()
        self._chosen = dict(self._shown)
        return self._shown

    @Slot()
    def _ask(self) -> None:
        self._settle.stop()
        self._meter = Progress()
        self._errands.ask(Ask(self._chosen, meter=self._meter))
        self._tell.start()

    @Slot(object)
    def _answered(self, answer: Still | Worked) -> None:
        self._tell.stop()
        self.failed = ""
        if self.still is None:
            self.still = answer
            self._ask()
        elif not self._settle.isActive():
            self.played = answer  # type: ignore[assignment]
            self.first = self.first or self.played
            self._shown = dict(self._chosen)
        self.changed.emit()

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self._tell.stop()
        self.failed = f"Not worked out: {error}"
        self.changed.emit()
