"""The foot of the Year view: play and pause, steps, the speed, where the clock stands, and the slider over the run."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.parts import BoxButton, ChoiceBox, FlatButton, TokenLabel, caption
from trainapp.desktop.year.calendar import DAY_HOURS, MONTH_STEP, day_text
from trainapp.desktop.year.playback import SPEEDS, Playback
from trainapp.desktop.year.scrub import Scrub
from trainapp.reports.drawing.tokens import BODY, HEADING, PAD

_STEPS = (("‹ Month", -MONTH_STEP), ("‹ Day", -DAY_HOURS), ("‹ Hour", -1), ("Hour ›", 1), ("Day ›", DAY_HOURS), ("Month ›", MONTH_STEP))


class Transport(QWidget):
    """Works the clock and shows where it stands."""

    def __init__(self, playback: Playback, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.playback = playback
        self.scrub = Scrub()
        self.play = BoxButton("Play", "Play the year")
        self.play.setFixedWidth(int(measure("Pause", BODY) + 28))
        self.moment = TokenLabel("", "ink", HEADING, bold=True)
        self.moment.setFixedWidth(int(measure("30 September of year 10, 23:00", HEADING, True)) + 4)
        self.day = caption()
        self.day.setFixedWidth(int(measure("day 3650", BODY)))
        self.speed = ChoiceBox()
        self.speed.setAccessibleName("Speed")
        self.speed.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.speed.setFixedWidth(int(measure("1 month a second", BODY)) + 34)
        for words, _ in SPEEDS:
            self.speed.addItem(words)
        self.speed.setCurrentIndex(playback.speed)
        self.steps: list[FlatButton] = []
        self._arrange()
        self._connect()
        self._show(playback.hour)

    def _arrange(self) -> None:
        line = QHBoxLayout()
        line.setContentsMargins(int(PAD), 4, int(PAD), 0)
        line.setSpacing(6)
        line.addWidget(self.play)
        line.addWidget(self.speed)
        line.addSpacing(8)
        line.addWidget(self.moment)
        line.addWidget(self.day)
        line.addStretch(1)
        for words, hours in _STEPS:
            unit = words.strip("‹ ›").lower()
            button = FlatButton(words, f"{'Back' if hours < 0 else 'On'} by {'an' if unit == 'hour' else 'a'} {unit}")
            button.setProperty("hours", float(hours))
            button.clicked.connect(self._stepped)
            self.steps.append(button)
            line.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 2)
        column.setSpacing(0)
        column.addLayout(line)
        column.addWidget(self.scrub)

    def _connect(self) -> None:
        self.play.clicked.connect(self.playback.toggle)
        self.speed.activated.connect(self.playback.set_speed)
        self.playback.turned.connect(self._turned)
        self.playback.moved.connect(self._show)
        self.scrub.wanted.connect(self._wanted)
        self.scrub.stepped.connect(self.playback.step)
        self.scrub.play_asked.connect(self.playback.toggle)

    def show_run(self, hours: int) -> None:
        """Stand for a run of another length."""
        self.playback.set_length(hours)
        self._show(self.playback.hour)

    def tell(self, when: str) -> None:
        """Say when it is, as the pictures do."""
        self.moment.setText(when)
        self.scrub.tell(when)

    def use_speed(self, index: int) -> None:
        """Play at another speed."""
        self.playback.set_speed(index)
        self.speed.setCurrentIndex(self.playback.speed)

    def _turned(self, playing: bool) -> None:
        self.play.setText("Pause" if playing else "Play")
        self.play.setAccessibleName("Pause the year" if playing else "Play the year")
        self.play.update()

    def _wanted(self, hour: float) -> None:
        """Whoever takes hold of the slider stops the playing."""
        self.playback.pause()
        self.playback.go(hour)

    def _stepped(self) -> None:
        button = self.sender()
        if isinstance(button, FlatButton):
            self.playback.pause()
            self.playback.step(float(button.property("hours")))

    def _show(self, hour: float) -> None:
        self.scrub.show_hour(hour)
        slot = int(hour)
        self.day.setText(day_text(slot))

    def set_narrow(self, narrow: bool) -> None:
        """Leave the steps by button away where there is no room for them; the slider has keys for them."""
        for button in self.steps:
            button.setVisible(not narrow)
