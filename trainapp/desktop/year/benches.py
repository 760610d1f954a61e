"""The bench of an hour, one train or two beside each other: state on the vessels, flow, water and pressure of that hour."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QPalette, QWheelEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.engine import System
from trainapp.desktop.fonts import font, measure
from trainapp.desktop.parts import ElidedLabel, Rule, SlimBar, TokenLabel, wrapped
from trainapp.desktop.year.picture import Picture
from trainapp.reports.drawing.budget import BENCH_LEAST
from trainapp.reports.drawing.display import Display, Tag
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.layers import Pan
from trainapp.reports.drawing.tokens import BODY, PAD
from trainapp.reports.drawing.view import View
from trainapp.reports.year_bench import view_at
from trainapp.reports.year_model import clock_words, warning_of, what_flows
from trainapp.reports.year_moment import Moment, moment, of_clock
from trainapp.reports.year_words import marked
from trainapp.studies.year import Year

#: px of a notch of the wheel.
_NOTCH = 48.0
#: Least height of a bench that stands beside another, so much lower that the ledger under it is in sight, or in a picture that is low
#: itself, px.
_LOW_BENCH, _LOW = 150.0, 300.0
#: Of two benches: columns that their heads and words are as wide as, and the share of the width that each has at the least.
_BESIDE_COLUMNS, _NARROWEST = 4, 0.41


class BenchPicture(Picture):
    """The bench of one train at an hour."""

    #: Signal emitted when how far it can be moved is another.
    extent_changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Bench at this hour", parent)
        self.year: Year | None = None
        self.slot = 0
        self.system: System = "us"
        self.selected: Tag = ()
        self.clock = ""
        self.stale = self.paired = False
        self.view: View | None = None
        self._pan = Pan()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(240, 96)

    def show_hour(self, slot: int) -> None:
        """Show another hour."""
        if slot != self.slot:
            self.slot = slot
            self.refresh()

    def draw(self, width: float, height: float) -> Display | None:
        if self.year is None:
            return None
        options = Options(
            width=width,
            height=height,
            pan_x=self._pan.x,
            scroll=self._pan.scroll,
            selected=self.selected,
            tier=self.view.grid.tier if self.view is not None else None,
            stale=self.stale,
            bench_least=_LOW_BENCH if self.paired or height < _LOW else BENCH_LEAST,
        )
        self.view = view_at(self.year, self.slot, options, system=self.system, measure=measure)
        self._pan = self.view.pan
        self.extent_changed.emit()
        return self.view.display

    def pan_to(self, x: float, scroll: float) -> None:
        """Move the drawing left and its bands up; held to what there is."""
        if self.view is not None and (x, scroll) != (self._pan.x, self._pan.scroll):
            self._pan = Pan(x, 0.0, scroll).within(self.view.most)
            self.refresh()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel moves what does not fit."""
        most = self.view.most if self.view is not None else Pan()
        notches = event.angleDelta().y() / 120.0
        sideways = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier) or most.scroll < 1.0
        if (most.x if sideways else most.scroll) < 1.0:
            event.ignore()
            return
        by = -notches * _NOTCH
        self.pan_to(self._pan.x + (by if sideways else 0.0), self._pan.scroll + (0.0 if sideways else by))

    def describe(self) -> None:
        """Say what it shows where a screen reader looks."""
        if self.year is None:
            self.setAccessibleDescription("nothing has run yet")
            return
        now = moment(self.year, self.slot)
        self.setAccessibleDescription(
            ". ".join([*filter(None, [self.clock]), *(f"{at.stage}: {', '.join(at.words)}" for at in now.stages.values() if at.words)])
        )


class BenchOfHour(QWidget):
    """A bench with the name of its train over it and scroll bars where something is out of sight."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = ""
        self.head = TokenLabel("", "ink", BODY, bold=True)
        self.flows = ElidedLabel("ink2", BODY)
        self.warning = wrapped("", "ink", BODY)
        self.warning.setFont(font(BODY, True))
        self.picture = BenchPicture()
        self.sideways = SlimBar(Qt.Orientation.Horizontal)
        self.down = SlimBar(Qt.Orientation.Vertical)
        self.sideways.setAccessibleName("Scroll the bench sideways")
        self.down.setAccessibleName("Scroll the bands")
        line = QHBoxLayout()
        line.setSpacing(8)
        line.addWidget(self.head)
        line.addWidget(self.flows, 1)
        above = QVBoxLayout()
        above.setContentsMargins(int(PAD), 4, int(PAD), 2)
        above.setSpacing(2)
        above.addWidget(self.warning)
        above.addLayout(line)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        grid.addLayout(above, 0, 0, 1, 2)
        grid.addWidget(self.picture, 1, 0)
        grid.addWidget(self.down, 1, 1)
        grid.addWidget(self.sideways, 2, 0)
        self.setAutoFillBackground(True)
        self.setBackgroundRole(QPalette.ColorRole.AlternateBase)
        # Queued: bars that come and go change the size of the picture that has just been drawn.
        self.picture.extent_changed.connect(self._fit, Qt.ConnectionType.QueuedConnection)
        self.sideways.valueChanged.connect(self._scrolled)
        self.down.valueChanged.connect(self._scrolled)
        self.warning.setVisible(False)
        self._fit()

    def _fit(self) -> None:
        view = self.picture.view
        most, at = (view.most, view.pan) if view is not None else (Pan(), Pan())
        for bar, reach, place, page in (
            (self.sideways, most.x, at.x, self.picture.width()),
            (self.down, most.scroll, at.scroll, self.picture.height()),
        ):
            bar.blockSignals(True)
            bar.setRange(0, round(reach))
            bar.setPageStep(page)
            bar.setSingleStep(24)
            bar.setValue(round(place))
            bar.setVisible(reach >= 1.0)
            bar.blockSignals(False)

    def _scrolled(self, _value: int) -> None:
        self.picture.pan_to(self.sideways.value(), self.down.value())

    def name(self, name: str) -> None:
        """Name its train, "" where it is the only one."""
        self._name = name
        self.picture.setAccessibleName(f"Bench at this hour, {name}" if name else "Bench at this hour")

    def say(self, now: Moment, clock: str) -> None:
        """Say when it is, by the clock of all that is shown, what flows, and what goes wrong in this hour."""
        year = self.picture.year
        if year is None:
            return
        self.picture.clock = clock
        self.head.setText("   ".join(filter(None, (self._name, f"{clock}."))))
        wrongs = [f"{wrong.number} {wrong.told.severity}: {marked(wrong.told)}." for wrong in now.worst_first]
        self.flows.show_text(" ".join([what_flows(now, self.picture.system), *wrongs]))
        told = warning_of(year)
        self.warning.setText(told)
        self.warning.setVisible(bool(told))


class Benches(QWidget):
    """One bench, or two on one clock."""

    #: Signal emitted with the number of a bench, the tag that was clicked on it, and where on the screen.
    clicked = Signal(int, tuple, QPointF)
    #: Signal emitted with the tag of what was clicked twice.
    opened = Signal(tuple)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.benches = (BenchOfHour(), BenchOfHour())
        self.rule = Rule(upright=True)
        self._line = line = QHBoxLayout()
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(0)
        line.addWidget(self.benches[0], 1)
        line.addWidget(self.rule)
        line.addWidget(self.benches[1], 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(line)
        self.benches[0].picture.clicked.connect(self._first)
        self.benches[1].picture.clicked.connect(self._second)
        for bench in self.benches:
            bench.picture.opened.connect(self.opened)
        self.clock = ""
        self._beside(False)

    @property
    def pictures(self) -> tuple[BenchPicture, ...]:
        """The pictures that are shown."""
        return tuple(bench.picture for bench in self.benches if not bench.isHidden())

    def _beside(self, both: bool) -> None:
        self.rule.setVisible(both)
        self.benches[1].setVisible(both)

    def show_years(self, years: Sequence[Year], heads: Sequence[str], system: System, selected: Sequence[Tag]) -> None:
        """Show one run or two."""
        self._beside(len(years) > 1)
        self._share_width(years)
        for bench, year, head, tag in zip(self.benches, years, heads, selected, strict=False):
            bench.name(head)
            bench.picture.paired = len(years) > 1
            bench.picture.year, bench.picture.system, bench.picture.selected = year, system, tag
            bench.picture.refresh()
        self._say()

    def _share_width(self, years: Sequence[Year]) -> None:
        """A longer train has more columns, so it takes more of the width."""
        counts = [len(year.document.stages) + _BESIDE_COLUMNS for year in years]
        first = min(max(counts[0] / sum(counts), _NARROWEST), 1.0 - _NARROWEST) if len(counts) > 1 else 0.5
        self._line.setStretch(0, round(100 * first))
        self._line.setStretch(2, 100 - round(100 * first))

    def show_hour(self, slot: int) -> None:
        """Show another hour."""
        if any(picture.slot != slot for picture in self.pictures):
            for picture in self.pictures:
                picture.show_hour(slot)
            self._say()

    def _say(self) -> None:
        """Let all tell one clock: beside a picture without a date none shows one."""
        shown = [bench for bench in self.benches if not bench.isHidden() and bench.picture.year is not None]
        moments = [moment(bench.picture.year, bench.picture.slot) for bench in shown if bench.picture.year is not None]
        self.clock = clock_words(of_clock(moments)) if moments else ""
        for bench, now in zip(shown, moments, strict=True):
            bench.say(now, self.clock)

    def show_stale(self, stale: bool) -> None:
        """Show numbers as those of before, or as they are."""
        for bench in self.benches:
            if bench.picture.stale != stale:
                bench.picture.stale = stale
                bench.picture.refresh()

    def describe(self) -> None:
        """Say what is shown where a screen reader looks."""
        for picture in self.pictures:
            picture.describe()

    def _first(self, tag: Tag, at: QPointF) -> None:
        self.clicked.emit(0, tag, at)

    def _second(self, tag: Tag, at: QPointF) -> None:
        self.clicked.emit(1, tag, at)
