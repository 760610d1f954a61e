"""The clock of a lesson: it runs through the time of its trains in a few seconds, and can be held and set back."""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

#: How long the whole time takes, s; between two pictures, ms.
SECONDS = 12.0
_TICK = 40


class Clock(QObject):
    """Hours since the start. It runs by the time that has passed, so that a slow machine shows fewer pictures and not a longer year."""

    #: Signal emitted when it stands elsewhere, and when it starts or stops.
    moved = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.hour, self.hours, self._until = 0.0, 0.0, 0.0
        self.seconds = SECONDS
        self._since = QElapsedTimer()
        self._timer = QTimer(self)
        self._timer.setInterval(_TICK)
        self._timer.timeout.connect(self._tick)

    @property
    def playing(self) -> bool:
        """Whether it runs."""
        return self._timer.isActive()

    @property
    def at_end(self) -> bool:
        """Whether the time is over."""
        return self.hour >= self.hours

    def set_length(self, hours: float) -> None:
        """Run as long as that; it stands no later than its end."""
        self.hours = hours
        self.hour, self._until = min(self.hour, hours), min(self._until, hours)

    def play(self, until: float | None = None) -> None:
        """Run from where it stands to an hour, to the end where it is past that; from the start where the time is over."""
        if self.hours <= 0.0:
            return
        if self.at_end:
            self.hour = 0.0
        self._until = self.hours if until is None or self.hour >= until - 1e-9 else until
        self._since.start()
        self._timer.start()
        self.moved.emit()

    def hold(self) -> None:
        """Stand still."""
        if self.playing:
            self._timer.stop()
            self.moved.emit()

    def finish(self) -> None:
        """Stand where it was running to."""
        self.put(self._until)

    def put(self, hour: float) -> None:
        """Stand at an hour."""
        self._timer.stop()
        self.hour = min(max(hour, 0.0), self.hours)
        self.moved.emit()

    def _tick(self) -> None:
        passed = self._since.restart() / 1000.0
        self.hour = min(self.hour + passed * self.hours / self.seconds, self._until)
        if self.hour >= self._until:
            self._timer.stop()
        self.moved.emit()
