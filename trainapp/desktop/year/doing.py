"""What the commands of the Year view do. A command `x` of its table is the method `do_x`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QFileDialog, QWidget

from trainapp.desktop.dialogs import shown
from trainapp.desktop.year.calendar import DAY_HOURS, MONTH_STEP
from trainapp.desktop.year.comparing import CompareMenu
from trainapp.desktop.year.work import Beside

if TYPE_CHECKING:
    from trainapp.desktop.year.view import YearView


class YearDoing:
    """The part of the view that carries out commands."""

    # The clock ----------------------------------------------------------------------------------------------------------------------

    def do_year_play(self: YearView) -> None:
        """Play, or pause."""
        self.playback.toggle()

    def do_year_start(self: YearView) -> None:
        """Go to the first hour."""
        self._go(0.0)

    def do_year_end(self: YearView) -> None:
        """Go to the last hour."""
        self._go(self.playback.last)

    def do_year_hour_back(self: YearView) -> None:
        """Back by an hour."""
        self._go(self.playback.slot - 1)

    def do_year_hour_on(self: YearView) -> None:
        """On by an hour."""
        self._go(self.playback.slot + 1)

    def do_year_day_back(self: YearView) -> None:
        """Back by a day."""
        self._go(self.playback.slot - DAY_HOURS)

    def do_year_day_on(self: YearView) -> None:
        """On by a day."""
        self._go(self.playback.slot + DAY_HOURS)

    def do_year_month_back(self: YearView) -> None:
        """Back by a month."""
        self._go(self.playback.slot - MONTH_STEP)

    def do_year_month_on(self: YearView) -> None:
        """On by a month."""
        self._go(self.playback.slot + MONTH_STEP)

    def do_year_slower(self: YearView) -> None:
        """Play slower."""
        self.transport.use_speed(self.playback.speed - 1)

    def do_year_faster(self: YearView) -> None:
        """Play faster."""
        self.transport.use_speed(self.playback.speed + 1)

    def do_year_next_wrong(self: YearView) -> None:
        """Go to what goes wrong next."""
        later = [m.hour for m in self.transport.scrub.milestones if m.hour > self.playback.slot]
        if later:
            self._go(min(later))
        else:
            self.told.emit("Nothing goes wrong for the first time after this hour")

    def do_year_last_wrong(self: YearView) -> None:
        """Go to what went wrong before."""
        earlier = [m.hour for m in self.transport.scrub.milestones if m.hour < self.playback.slot]
        if earlier:
            self._go(max(earlier))
        else:
            self.told.emit("Nothing goes wrong for the first time before this hour")

    def do_year_wrong_list(self: YearView) -> None:
        """Go to the list of what goes wrong."""
        self.lower.show_wrongs()
        self.column.wrongs.focus_list()

    # What runs ----------------------------------------------------------------------------------------------------------------------

    def do_year_chart(self: YearView) -> None:
        """Pick a quantity and add its chart."""
        self.charts.pick()

    def do_year_upkeep(self: YearView) -> None:
        """Take the next stop of the upkeep."""
        slider = self.controls.upkeep
        slider.move_to((slider.index + 1) % len(slider.stops))

    def do_year_both(self: YearView) -> None:
        """Lay the year without pre-treatment beside the year with it."""
        self.set_beside(Beside("bare"))
        self.lower.show_wrongs()
        # the button rests while it runs; Space plays both
        self.transport.scrub.setFocus(Qt.FocusReason.OtherFocusReason)

    def do_year_alone(self: YearView) -> None:
        """Run the train alone."""
        self.set_beside(Beside())

    def do_year_compare(self: YearView) -> None:
        """Ask what runs beside the train."""
        stages = [(entry.id, self.session.title_of(entry.id)) for entry in self.session.document.stages]
        menu = CompareMenu(self.beside, stages, self.folder, self)
        menu.chosen.connect(self.set_beside)
        button = self.head.compare
        # Under the button, its right side in line with it: beside the window's edge there may be no screen.
        menu.popup(button.mapToGlobal(QPoint(button.width() - menu.sizeHint().width(), button.height())))

    def set_beside(self: YearView, beside: Beside) -> None:
        """Let another train run beside this one."""
        if beside != self.beside:
            self.beside = beside
            self._ask()

    def do_year_pattern(self: YearView) -> None:
        """Ask for a pattern of one's own, a CSV; the document names it from where it lies itself."""
        name, _ = QFileDialog.getOpenFileName(self, "Pattern of the house's draws", str(self.folder), "Tables (*.csv)")
        if name:
            path = Path(name)
            near = path.is_relative_to(self.folder) and self.session.path is not None
            self.controls.set_pattern(path.relative_to(self.folder).as_posix() if near else str(path))
        self.controls.refresh()

    def do_year_run(self: YearView) -> None:
        """Run once more."""
        self._ask()

    def do_year_cancel(self: YearView) -> None:
        """Stop the run; what was shown before stays."""
        if self.runner.busy:
            self.runner.cancel()
            self.head.end(again=True)
            before = " Shown: as it was before" if self.answer is not None else ""
            self.head.say(f"Stopped.{before}", "unknown")

    # Out ----------------------------------------------------------------------------------------------------------------------------

    def do_year_export(self: YearView) -> None:
        """Ask what to write to a file."""
        from trainapp.desktop.year.exporting import YearExport

        if self.answer is None:
            self.told.emit("Nothing has run yet")
            return
        window: QWidget = self.window()
        export = shown(YearExport, window) or YearExport(self.session, self.prefs, window)
        export.take(self.answer, self.charts.shown_lines(), self.charts.day_window())
        export.open_beside()

    def refresh_export(self: YearView) -> None:
        """Let the window of exports, where it is open, write what is shown now."""
        from trainapp.desktop.year.exporting import YearExport

        export = shown(YearExport, self.window())
        if export is not None and self.answer is not None:
            export.take(self.answer, self.charts.shown_lines(), self.charts.day_window())
