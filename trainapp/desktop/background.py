"""Work off the window's thread: plain data in, plain data out, and only the answer to the last question is passed on."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from itertools import count
from queue import SimpleQueue
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot

#: Asked by the work now and then: whether nobody waits for its answer any more.
Cancelled = Callable[[], bool]
#: Takes a question, gives its answer; runs on another thread, so that it touches no object of Qt's and no data that the window changes.
Work = Callable[[Any, Cancelled], Any]


@dataclass(slots=True)
class Progress:
    """How far something is, 0 to 1; written by a thread, read by the window."""

    share: float = 0.0

    def tell(self, share: float, _text: str = "") -> None:
        """Take a share."""
        self.share = share


@dataclass(slots=True)
class _Job:
    """One question on its way to the thread."""

    address: int
    revision: int
    question: Any
    dropped: threading.Event = field(default_factory=threading.Event)


@dataclass(frozen=True, slots=True)
class _Letter:
    """One answer, or what went wrong, on its way back."""

    address: int
    revision: int
    answer: Any = None
    error: Exception | None = None


class _Post(QObject):
    """Carries letters from the threads to the window's. It is never deleted, so that a thread may speak at any time."""

    arrived = Signal(object)


#: Never given twice: a letter to who is gone must not reach who came after.
_addresses = count()


@cache
def _post() -> _Post:
    return _Post()


class _Hand:
    """The thread. It knows neither who asks nor any other object of Qt's."""

    def __init__(self, work: Work, name: str) -> None:
        self._work, self._name = work, name
        self._jobs: SimpleQueue[_Job | None] = SimpleQueue()
        self._thread: threading.Thread | None = None
        self._last: _Job | None = None

    def give(self, job: _Job) -> None:
        """Queue a job; those before it are dropped."""
        self.drop()
        self._last = job
        if self._thread is None:
            # A daemon: a share that does not answer must not keep the program from ending.
            self._thread = threading.Thread(target=self._run, name=self._name, daemon=True)
            self._thread.start()
        self._jobs.put(job)

    def drop(self) -> None:
        """Let what runs or waits know that nobody wants it."""
        if self._last is not None:
            self._last.dropped.set()

    def stop(self, _object: QObject | None = None) -> None:
        """End the thread once what it does is done or given up."""
        self.drop()
        self._jobs.put(None)

    def _run(self) -> None:
        post = _post()
        while (job := self._jobs.get()) is not None:
            if not job.dropped.is_set():
                letter = self._answered(job)
                if not job.dropped.is_set():
                    post.arrived.emit(letter)

    def _answered(self, job: _Job) -> _Letter:
        try:
            return _Letter(job.address, job.revision, self._work(job.question, job.dropped.is_set))
        except Exception as error:
            return _Letter(job.address, job.revision, error=error)


class Errands(QObject):
    """Sends questions to a thread of its own, one at a time. A new question makes the ones before it void.

    Args:
        work: what answers them.
        name: of the thread.
    """

    #: Signal emitted with the answer to the last question.
    answered = Signal(object)
    #: Signal emitted with the exception that the last question ended in.
    failed = Signal(object)

    def __init__(self, work: Work, name: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.revision = 0
        self.busy = False
        self._hand = _Hand(work, name)
        self._address = next(_addresses)
        _post().arrived.connect(self._arrived)
        self.destroyed.connect(self._hand.stop)

    def ask(self, question: Any) -> None:
        """Ask; the answer comes by a signal, unless another question follows or this one is dropped."""
        self.revision += 1
        self.busy = True
        self._hand.give(_Job(self._address, self.revision, question))

    def drop(self) -> None:
        """Want no answer any more."""
        self.revision += 1
        self.busy = False
        self._hand.drop()

    @Slot(object)
    def _arrived(self, letter: _Letter) -> None:
        """Take a letter in; an old one, or another's, is left."""
        if letter.address != self._address or letter.revision != self.revision:
            return
        self.busy = False
        if letter.error is not None:
            self.failed.emit(letter.error)
        else:
            self.answered.emit(letter.answer)
