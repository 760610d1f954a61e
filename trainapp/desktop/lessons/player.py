"""A lesson on the whole screen: predict first, then see. By keyboard or clicker; each press brings one new thing."""

from __future__ import annotations

from collections.abc import Callable, Collection

from PySide6.QtCore import QRect, Qt, Signal, Slot
from PySide6.QtGui import QCloseEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.answers import GuessPanel
from trainapp.desktop.lessons.bar import StepBar
from trainapp.desktop.lessons.canvas import Board
from trainapp.desktop.lessons.clock import Clock
from trainapp.desktop.lessons.guesses import GuessBook
from trainapp.desktop.lessons.in_sight import In, benches, hint, screen
from trainapp.desktop.lessons.material import Material, Work
from trainapp.desktop.lessons.places import Places, Wanted, place
from trainapp.desktop.lessons.steps import Step, Walk, reveals
from trainapp.desktop.lessons.told import ToldPanel
from trainapp.desktop.lessons.tries import TryPanel
from trainapp.desktop.lessons.working_out import WorkingOut
from trainapp.desktop.theme import look
from trainapp.desktop.views import LEAST

_FIRST_DIGIT = int(Qt.Key.Key_1)
#: Between the parts of the column at the right, px at 100 %.
_GAP = 18.0


class Player(QWidget):
    """One lesson, from its scene to its point.

    Args:
        material: its texts. work: works it out on another thread. book: where guesses are kept.
    """

    #: Signal emitted when the class leaves.
    left = Signal()

    def __init__(self, material: Material, work: Work, book: GuessBook, parent: QWidget | None = None) -> None:
        super().__init__(parent, Qt.WindowType.Window)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setObjectName("lesson")
        self.setWindowTitle(material.title)
        self.setAccessibleName(f"Lesson: {material.title}")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(*LEAST)
        self.material, self.book = material, book
        self.guessed = book.of(material.key, material.answers)
        way = reveals(two=len(material.sides) > 1, runs=material.runs, tries=bool(material.changes))
        self.walk = Walk(way, self.guessed.reached)
        self.places: Places | None = None
        self._note, self._hinted = "", -1
        self.board = Board(self)
        self.guesses = GuessPanel(self)
        self.tries = TryPanel(self)
        self.watch = ToldPanel(self)
        self.bar = StepBar(self)
        self.clock = Clock(self)
        self.working = WorkingOut(work, self)
        self.guesses.ask(material.answers)
        self.tries.offer(material.changes)
        self._connect()
        self.working.begin(self.tries.chosen)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _connect(self) -> None:
        self.guesses.guessed.connect(self.count)
        self.guesses.taken_back.connect(self.take_back)
        self.tries.moved.connect(self._tried)
        self.tries.stop_asked.connect(self.stop)
        self.bar.step_asked.connect(self.turn_to)
        self.bar.play_asked.connect(self.play)
        self.clock.moved.connect(self._follow)
        self.working.changed.connect(self._worked_out)
        self.working.moved.connect(self._tell)
        look().changed.connect(self._follow)

    # Steps --------------------------------------------------------------------------------------------------------------------

    def forward(self) -> None:
        """Bring the next thing into sight. While the clock runs, let it be over first."""
        if self.clock.playing:
            self.clock.finish()
            return
        if not self.walk.forward():
            self._say("This is the end of the lesson; Esc leaves it")
            return
        if self.walk.thing == "run":
            self.clock.put(0.0)
            self._run()
        self._stepped()

    def back(self) -> None:
        """Take the last thing out of sight again."""
        if self.walk.thing == "run":
            self.clock.put(0.0)
        if self.walk.back():
            self._stepped()

    @Slot(str)
    def turn_to(self, step: Step) -> None:
        """Go to the beginning of a step."""
        self.walk.turn_to(step)
        self.clock.put(self._asked if self.walk.shows("run") else 0.0)
        self._stepped()

    def _stepped(self) -> None:
        if not self.walk.shows("numbers"):
            self.clock.hold()
        if not self.walk.shows("try") or self.walk.thing == "answer":
            # The answer, and what is seen before the class may change anything, are of the lesson as it is written.
            self._hinted = -1
            if self.tries.put_back():
                self.working.again(self.tries.chosen)
        self.guessed = self.guessed.at(self.walk.at)
        self.book.keep(self.material.key, self.guessed)
        self._say("")
        self._arrange()

    # Guesses ------------------------------------------------------------------------------------------------------------------

    @property
    def counting(self) -> bool:
        """Whether guesses are counted now: the question is in sight, and the answer is not."""
        return self.walk.shows("question") and not self.walk.shows("answer")

    @Slot(int)
    def count(self, answer: int) -> None:
        """Count a guess."""
        if not self.counting:
            shown = self.walk.shows("question")
            self._say("The answer is out; Left arrow goes back to count more" if shown else "Guesses are counted once the question stands")
            return
        self.guessed = self.guessed.counted(answer)
        self._keep_guesses()

    @Slot(int)
    def take_back(self, answer: int | None = None) -> None:
        """Take the last guess back, or the last for an answer."""
        if self.counting:
            self.guessed = self.guessed.taken_back(answer)
            self._keep_guesses()

    def _keep_guesses(self) -> None:
        self.book.keep(self.material.key, self.guessed)
        self._say("")
        self._arrange()

    # Clock and changes --------------------------------------------------------------------------------------------------------

    @property
    def _asked(self) -> float:
        return self.working.played.asked if self.working.played is not None else 0.0

    def _run(self) -> None:
        """To the hour that the question asks for; from there to the end."""
        self.clock.play(self._asked)

    @Slot()
    def play(self) -> None:
        """Let the clock run, or hold it."""
        if not self.material.runs or not self.walk.shows("chart"):
            self._say("The clock starts once the chart is in sight" if self.material.runs else "No clock runs in this lesson")
        elif self.clock.playing:
            self.clock.hold()
        else:
            self._run()
            if self.walk.thing == "chart":
                self.walk.forward()
                self._stepped()

    @Slot(str, int)
    def _tried(self, _key: str, _at: int) -> None:
        self._hinted = -1
        self._work_again()

    def _work_again(self) -> None:
        self.clock.hold()
        self.working.again(self.tries.chosen, wait=True)
        self._arrange()

    def try_next(self) -> None:
        """Change what the lesson says is worth trying next; after the last, all as it was."""
        if not self.walk.shows("try") or not self.material.hints:
            return
        self._hinted = self._hinted + 1 if self._hinted + 1 < len(self.material.hints) else -1
        self.tries.put_back()
        if self._hinted >= 0:
            self.tries.put(self.material.hints[self._hinted].chosen)
        self._work_again()

    @Slot()
    def stop(self) -> None:
        """Give up what is being worked out; what was shown before stays."""
        self.tries.put(self.working.stop())
        self._hinted = -1
        self._arrange()

    @Slot()
    def _worked_out(self) -> None:
        played = self.working.played
        if played is not None:
            self.clock.set_length(played.hours)
            if self.walk.shows("run") and self.clock.hour == 0.0 and not self.clock.playing:
                if self.walk.thing == "run":
                    self._run()
                else:
                    self.clock.put(played.asked)
        self._arrange()

    # What is in sight ---------------------------------------------------------------------------------------------------------

    def _say(self, note: str) -> None:
        self._note = note
        self._follow()

    def _arrange(self) -> None:
        """Give every part its place for the size that the window has."""
        material, first = self.material, self.working.first
        point = first.point if first is not None else material.point
        wanted = Wanted(material.title, material.question, point, material.caution, len(material.sides))
        places = self.places = place(self.width(), self.height(), wanted, measure, max(self.devicePixelRatioF(), 1.0))
        scale = places.scale
        top = round(places.foot.y * scale)
        self.board.setGeometry(self.rect())
        self.bar.setGeometry(QRect(0, top, self.width(), self.height() - top))
        self.bar.set_scale(scale)
        self._follow()
        self._column(places)

    def _column(self, places: Places) -> None:
        """Guesses, changes and what to watch below one another; what was watched leaves where there is no room for it."""
        box, scale, walk = places.column, places.scale, self.walk
        shown: dict[GuessPanel | TryPanel | ToldPanel, bool] = {
            self.guesses: walk.shows("question"),
            self.tries: walk.shows("try"),
            self.watch: walk.shows("watch") and not (walk.shows("point") and self._hinted < 0),
        }
        self.guesses.set_tight(False)
        heights = {panel: panel.wanted_height(box.w) for panel, on in shown.items() if on}
        if self.guesses in heights and not _fits(heights.values(), box.h):
            self.guesses.set_tight(True)
            heights[self.guesses] = self.guesses.wanted_height(box.w)
        if self.watch in heights and walk.shows("run") and not _fits(heights.values(), box.h):
            heights.pop(self.watch)
        y = box.y
        for panel in shown:
            panel.setVisible(panel in heights)
            if panel in heights:
                area = (box.x * scale, y * scale, box.w * scale, heights[panel] * scale)
                panel.setGeometry(QRect(*(round(side) for side in area)))
                panel.set_scale(scale)
                y += heights[panel] + _GAP

    @property
    def _in(self) -> In:
        return In(self.material, self.walk, self.working, self.clock, self._hinted)

    def _tell(self) -> None:
        """Say how far the working out is; the board is left alone unless it waits, so that the thread that works has the time."""
        self.tries.tell(self._in.tried, self.working.busy and bool(self.working.told))
        if self.working.played is None and self.walk.shows("numbers"):
            self._follow()

    def _follow(self) -> None:
        """Bring board, panels and bar up to what is so now."""
        places, walk, played = self.places, self.walk, self.working.played
        if places is None:
            return
        now = self._in
        self.guesses.show_guesses(self.guessed, now.right, now.open_answer)
        self.tries.tell(now.tried, self.working.busy and bool(self.working.told))
        self.watch.tell(*now.watched)
        self.bar.show_walk(walk)
        can = self.material.runs and walk.shows("chart")
        self.bar.show_clock(played.clock(self.clock.hour) if can and played is not None else "", self.clock.playing, can)
        self.bar.hint(self._note or hint(now))
        chart = None
        if walk.shows("chart") and played is not None:
            chart = played.chart(self.clock.hour, places.chart.w, places.chart.h)
        self.board.show_screen(screen(now), places, benches(now, places), chart)

    # Events -------------------------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        done = self._key(Qt.Key(event.key()))
        if done is not None:
            done()
        elif 0 <= event.key() - _FIRST_DIGIT < 9:
            self._digit(event.key() - _FIRST_DIGIT)
        else:
            super().keyPressEvent(event)

    def _key(self, key: Qt.Key) -> Callable[[], None] | None:
        """What a key does."""
        return {
            Qt.Key.Key_Right: self.forward,
            Qt.Key.Key_PageDown: self.forward,
            Qt.Key.Key_Left: self.back,
            Qt.Key.Key_PageUp: self.back,
            Qt.Key.Key_Space: self.play,
            Qt.Key.Key_T: self.try_next,
            Qt.Key.Key_Escape: self._escape,
            Qt.Key.Key_Backspace: self.take_back,
        }.get(key)

    def _digit(self, answer: int) -> None:
        if answer < len(self.material.answers):
            self.count(answer)
        else:
            self._say(f"There are {len(self.material.answers)} answers")

    def _escape(self) -> None:
        if self.working.busy and self.walk.shows("try"):
            self.stop()
        else:
            self.close()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def closeEvent(self, event: QCloseEvent) -> None:
        self.clock.hold()
        self.working.stop()
        super().closeEvent(event)
        self.left.emit()


def _fits(heights: Collection[float], room: float) -> bool:
    return sum(heights) + _GAP * (len(heights) - 1) <= room
