"""The clock of the Year view: where it stands, and how it goes on by itself."""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

#: Speeds by the words that are shown: hours of the run in a second.
SPEEDS: tuple[tuple[str, float], ...] = (
    ("1 hour a second", 1.0),
    ("6 hours a second", 6.0),
    ("1 day a second", 24.0),
    ("3 days a second", 72.0),
    ("1 week a second", 168.0),
    ("1 month a second", 730.0),
)
USUAL = 4
#: ms between two pictures.
_FRAME = 50
#: s by which the clock goes on at the most for one picture, however long it took.
_LONGEST = 0.25


class Playback(QObject):
    """A clock of whole and part hours, from 0 to the last hour of the run."""

    #: Signal emitted when it stands elsewhere.
    moved = Signal(float)
    #: Signal emitted when it begins or stops going by itself.
    turned = Signal(bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.hour = 0.0
        self.last = 0.0
        self.speed = USUAL
        self._timer = QTimer(self)
        self._timer.setInterval(_FRAME)
        self._timer.timeout.connect(self._frame)
        self._since = QElapsedTimer()

    @property
    def playing(self) -> bool:
        """Whether it goes by itself."""
        return self._timer.isActive()

    @property
    def slot(self) -> int:
        """The whole hour that it stands in, an index into the courses of a run."""
        return int(self.hour)

    def set_length(self, hours: float) -> None:
        """Let the run be so many hours long."""
        self.last = max(hours - 1.0, 0.0)
        self.go(self.hour)

    def go(self, hour: float) -> None:
        """Stand at an hour; held to the run."""
        hour = min(max(hour, 0.0), self.last)
        if hour != self.hour:
            self.hour = hour
            self.moved.emit(hour)

    def step(self, hours: float) -> None:
        """Go on, or back, by whole hours."""
        self.go(self.slot + hours)

    def play(self) -> None:
        """Go by itself; from the beginning where it stands at the end."""
        if not self.playing:
            if self.hour >= self.last:
                self.go(0.0)
            self._since.start()
            self._timer.start()
            self.turned.emit(True)

    def pause(self) -> None:
        """Stand still."""
        if self.playing:
            self._timer.stop()
            self.turned.emit(False)

    def toggle(self) -> None:
        """Play, or pause."""
        (self.pause if self.playing else self.play)()

    def set_speed(self, index: int) -> None:
        """Go at another of :data:`SPEEDS`."""
        self.speed = min(max(index, 0), len(SPEEDS) - 1)

    def _frame(self) -> None:
        self.advance(min(self._since.restart() / 1000.0, _LONGEST))

    def advance(self, seconds: float) -> None:
        """Go on by what these seconds are at the speed; stop at the end."""
        self.go(self.hour + seconds * SPEEDS[self.speed][1])
        if self.hour >= self.last:
            self.pause()
