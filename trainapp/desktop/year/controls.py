"""The controls over the Year view: for how long, from when, what befalls the train, and who looks after it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import cast

from PySide6.QtCore import QPoint, QSize, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QMenu, QSizePolicy, QVBoxLayout, QWidget

from trainapp import data
from trainapp.desktop.fields import TypedField
from trainapp.desktop.parts import ChoiceBox, FlatButton, caption, choice_box
from trainapp.desktop.session import Session
from trainapp.desktop.year import settings as reading
from trainapp.desktop.year.settings import MONTHS, SEASONS, RunSettings
from trainapp.desktop.year.spike_panel import SpikeButton, SpikePanel
from trainapp.desktop.year.stops import StopSlider
from trainapp.desktop.year.wrapping import WrapRow
from trainapp.studies.year.options import UPKEEP, Spiked, YearError, season, usual_cuts
from trainapp.studies.year.patterns import BUILT_IN
from trainapp.train.edits import SetValue

KEPT = ("on time", "late", "never")
OWN_CSV = "own"


class Control(QWidget):
    """A small head over a field of a fixed width."""

    def __init__(self, head: str, editor: QWidget, width: float, tip: str, beside: QWidget | None = None) -> None:
        super().__init__()
        self._width = int(width)
        self.head = caption(head)
        self.editor, self.beside = editor, beside
        editor.setAccessibleName(head)
        for widget in (self.head, editor):
            widget.setToolTip(tip)
        editor.setAccessibleDescription(tip)
        line = QHBoxLayout()
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(0)
        line.addWidget(editor, 1)
        if beside is not None:
            line.addWidget(beside)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(1)
        column.addWidget(self.head)
        column.addLayout(line)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(self._width, super().sizeHint().height())


class Controls(WrapRow):
    """What a run is asked, live: every change counts at once. The pattern is the document's and is changed there."""

    #: Signal emitted with other :class:`RunSettings`.
    changed = Signal(object)
    #: Signal emitted when a pattern of one's own is to be chosen.
    pattern_asked = Signal()
    #: Signal emitted with the reason for which something was not taken.
    refused = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.settings = RunSettings()
        self._make_fields()
        self._add_all()
        session.changed.connect(self.refresh)
        self.refresh()

    def _make_fields(self) -> None:
        self.days, self.start, self.peak, self.spike_day, self.spike_days = (TypedField() for _ in range(5))
        self.days.entered.connect(self._days)
        self.start.entered.connect(self._start)
        self.peak.entered.connect(self._peak)
        self.spike_day.entered.connect(self._spike_day)
        self.spike_days.entered.connect(self._spike_days)
        self.seasons = FlatButton("▾", "Choose a season or a month")
        self.seasons.clicked.connect(self._show_seasons)
        self.pattern = choice_box("Pattern", [*((key, _pattern_label(key)) for key in BUILT_IN), (OWN_CSV, "own, a CSV…")])
        self.pattern.activated.connect(self._pattern)
        self.spike = choice_box("Spring spike", [("", "none"), ("turbidity", "turbidity"), ("iron", "iron")])
        self.spike.activated.connect(self._spike)
        self.spike_more = SpikeButton()
        self.spike_more.clicked.connect(self._show_spike)
        most = len(usual_cuts())
        self.cuts = choice_box("Power cuts", [(str(n), "none" if n == 0 else f"{n} a year") for n in range(most + 1)])
        self.cuts.activated.connect(self._cuts)
        self.reading = choice_box("Sample read", [("adverse", "adverse"), ("favourable", "favourable")])
        self.reading.activated.connect(self._reading)
        self.upkeep = StopSlider("Upkeep", KEPT)
        self.upkeep.moved.connect(self._upkeep)

    def _add_all(self) -> None:
        late = f"{season('upkeep')['late_days']:.0f}"
        made = {
            "days": Control("Days", self.days, 84, "How long the run is: 365 days, 18 months, 2 years; ten years at the most"),
            "start": Control(
                "From", self.start, 122, "First day of the run: 5 March, a month, or winter, spring, summer, autumn", self.seasons
            ),
            "pattern": Control(
                "Pattern", self.pattern, 120, "How the house draws through its days. It is the document's own: changing it can be undone"
            ),
            "spike": Control(
                "Spring spike", self.spike, 90 + self.spike_more.width(),
                "A rise of the raw water after snow melt. Illustrative, nobody's data", self.spike_more,
            ),
            "cuts": Control("Power cuts", self.cuts, 92, "How many power cuts of some hours come each year. Illustrative"),
            "reading": Control("Sample read", self.reading, 104, "Which end of what the sample leaves open: the adverse, or the other"),
            "upkeep": Control(
                "Upkeep", self.upkeep, self.upkeep.sizeHint().width(),
                f"Who looks after the train: on time; late, by {late} days; or nobody at all",
            ),
        }  # fmt: skip
        self.controls = made
        before: QWidget | None = None
        for control in made.values():
            self.add(control)
            for widget in filter(None, (control.editor, control.beside)):
                if before is not None:
                    QWidget.setTabOrder(before, widget)
                before = widget
        parts = (
            Control("Peak", self.peak, 84, "Height of the spike"),
            Control("Begins", self.spike_day, 96, "First day of the spike"),
            Control("Lasts", self.spike_days, 72, "How long the spike lasts"),
        )
        self.spike_panel = SpikePanel(parts, self)

    # Shown ------------------------------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the settings, and the document's pattern."""
        asked, system = self.settings, self.session.system
        self.days.show_text(reading.days_text(asked.days))
        self.start.show_text(reading.date_text(asked.start_day))
        self.peak.show_text(reading.peak_text(asked, system))
        self.spike_day.show_text(reading.date_text(asked.spike_day))
        self.spike_days.show_text(reading.days_text(asked.spike_days))
        self.spike_more.show_settings(asked, system)
        _choose(self.spike, asked.spike or "")
        _choose(self.cuts, str(asked.cuts))
        _choose(self.reading, "adverse" if asked.adverse else "favourable")
        self.upkeep.show_stop(UPKEEP.index(asked.kept))
        self._show_pattern()
        self.arrange()

    def _show_pattern(self) -> None:
        name = self.session.document.demand.word("pattern") or BUILT_IN[0]
        own = self.pattern.findData(OWN_CSV)
        self.pattern.setItemText(own, "own, a CSV…" if name in BUILT_IN else name)
        _choose(self.pattern, name if name in BUILT_IN else OWN_CSV)

    def take(self, settings: RunSettings) -> None:
        """Ask for other settings; those that cannot be are refused and nothing changes."""
        try:
            asked = settings.options
        except YearError as error:
            self._refuse(str(error))
            return
        changed = asked != self.settings.options
        self.settings = settings
        self.refresh()
        if changed:
            self.changed.emit(settings)

    def _refuse(self, reason: str) -> None:
        for field in (self.days, self.start, self.peak, self.spike_day, self.spike_days):
            field.put_back()
        self.refused.emit(f"Not taken: {reason}")

    def _typed(self, name: str, read: Callable[[str], float], text: str) -> None:
        try:
            value = read(text)
        except YearError as error:
            self._refuse(str(error))
            return
        self.take(replace(self.settings, **{name: value}))

    # Changed ------------------------------------------------------------------------------------------------------------------------

    def _days(self, text: str) -> None:
        self._typed("days", reading.read_days, text)

    def _start(self, text: str) -> None:
        self._typed("start_day", reading.read_date, text)

    def _peak(self, text: str) -> None:
        if self.settings.spike is not None:
            self._typed("peak", partial(reading.read_peak, analyte=self.settings.spike), text)

    def _spike_day(self, text: str) -> None:
        self._typed("spike_day", reading.read_date, text)

    def _spike_days(self, text: str) -> None:
        self._typed("spike_days", reading.read_spike_days, text)

    def _spike(self, _index: int) -> None:
        self.take(self.settings.with_spike(cast("Spiked | None", self.spike.currentData() or None)))

    def _show_spike(self) -> None:
        self.spike_panel.open_under(self.spike_more, self.peak)

    def _cuts(self, _index: int) -> None:
        self.take(replace(self.settings, cuts=int(self.cuts.currentData())))

    def _reading(self, _index: int) -> None:
        self.take(replace(self.settings, adverse=self.reading.currentData() == "adverse"))

    def _upkeep(self, index: int) -> None:
        self.take(replace(self.settings, kept=UPKEEP[index]))

    def _pattern(self, _index: int) -> None:
        key = self.pattern.currentData()
        if key == OWN_CSV:
            self.pattern_asked.emit()
        else:
            self.set_pattern(key)
        self._show_pattern()

    def set_pattern(self, name: str) -> None:
        """Let the document have another pattern, as one step of undo."""
        if name != self.session.document.demand.word("pattern"):
            self.session.edit(SetValue(path="demand.pattern", value=name))

    def _show_seasons(self) -> None:
        menu = QMenu(self)
        for name, month in SEASONS:
            menu.addAction(f"{name.capitalize()}, 1 {month}").setData(reading.first_of(month))
        menu.addSeparator()
        for month, _ in MONTHS:
            menu.addAction(f"1 {month}").setData(reading.first_of(month))
        menu.triggered.connect(self._season)
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.seasons.mapToGlobal(QPoint(0, self.seasons.height())))

    def _season(self, action: QAction) -> None:
        self.take(replace(self.settings, start_day=int(action.data())))


def _choose(box: ChoiceBox, key: str) -> None:
    box.setCurrentIndex(max(box.findData(key), 0))


def _pattern_label(key: str) -> str:
    return str(data.load_toml(f"year/{key}.toml")["label"]).lower()
