"""Runs asked for and waited for: one at a time, the last one counts, and how far it is once it takes long."""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal, Slot

from trainapp.desktop.background import Errands, Progress, Work

#: ms after which it is said how far something is, and between two sayings.
QUIET, EVERY = 500, 100


class Runner(QObject):
    """Sends questions that carry a gauge to a thread of its own.

    Args:
        work, name: as of :class:`~trainapp.desktop.background.Errands`.
    """

    #: Signal emitted with the answer to the last question.
    answered = Signal(object)
    #: Signal emitted with the exception that the last question ended in.
    failed = Signal(object)
    #: Signal emitted with the share that is done, once something takes long.
    progressed = Signal(float)
    #: Signal emitted when something begins or ends.
    turned = Signal()

    def __init__(self, work: Work, name: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._errands = Errands(work, name, self)
        self._errands.answered.connect(self._answered)
        self._errands.failed.connect(self._failed)
        self._gauge = Progress()
        self._since = QElapsedTimer()
        self._timer = QTimer(self)
        self._timer.setInterval(EVERY)
        self._timer.timeout.connect(self._look)

    @property
    def busy(self) -> bool:
        """Whether an answer is waited for."""
        return self._errands.busy

    def ask(self, question: object, gauge: Progress) -> None:
        """Ask; what was asked before is dropped."""
        self._gauge = gauge
        self._since.start()
        self._timer.start()
        self._errands.ask(question)
        self.turned.emit()

    def cancel(self) -> None:
        """Want no answer any more."""
        if self.busy:
            self._errands.drop()
            self._end()

    def _look(self) -> None:
        if self._since.elapsed() >= QUIET:
            self.progressed.emit(self._gauge.share)

    def _end(self) -> None:
        self._timer.stop()
        self.turned.emit()

    @Slot(object)
    def _answered(self, answer: object) -> None:
        self._end()
        self.answered.emit(answer)

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self._end()
        self.failed.emit(error)
