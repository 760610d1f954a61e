"""The Lessons view: the list, the editor, and the player that it opens on the whole screen."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QEvent, QObject, Qt, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFileDialog, QStackedWidget, QVBoxLayout, QWidget

from trainapp.desktop.lessons.adapter import LessonWork, material_of
from trainapp.desktop.lessons.editor import LessonEditor
from trainapp.desktop.lessons.guesses import GuessBook
from trainapp.desktop.lessons.page import LessonsPage
from trainapp.desktop.lessons.paper import Sheet, SheetWriter
from trainapp.desktop.lessons.player import Player
from trainapp.desktop.lessons.said_line import SaidLine
from trainapp.desktop.lessons.shelf import Kept, found
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.printing import paper_for
from trainapp.desktop.session import Session
from trainapp.studies import lessons
from trainapp.studies.lessons import ENDING, Lesson, LessonError

_FILES = f"Lessons (*{ENDING});;All files (*)"


class LessonsView(QWidget):
    """Lessons on a document; the train on the bench can be the train of a lesson."""

    #: Signal emitted when the window is to turn to the bench.
    bench_asked = Signal()
    #: Signal emitted with a sentence for the foot of the window.
    told = Signal(str)

    def __init__(self, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.prefs = session, prefs
        self.book = GuessBook(prefs)
        self.player: Player | None = None
        self.page = LessonsPage()
        self.editor = LessonEditor(session, prefs)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.page)
        self.stack.addWidget(self.editor)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.stack, 1)
        self.said = SaidLine()
        column.addWidget(self.said)
        self.sheets = SheetWriter(self)
        self.sheets.told.connect(self.say)
        self.said.stop_asked.connect(self.sheets.stop)
        self._watched: QWidget | None = None
        self.page.chosen.connect(self._chosen)
        self.page.play_asked.connect(self.play)
        self.page.asked.connect(self._asked)
        self.page.bad_dropped.connect(self._forget_bad)
        self.editor.asked.connect(self._asked)
        self.editor.saved.connect(self._saved)
        session.shown_changed.connect(self._show)
        session.changed.connect(self._show)
        self.setFocusProxy(self.page.list)
        self.entered()

    # Turned to and away -------------------------------------------------------------------------------------------------------

    def entered(self) -> None:
        """Read the lessons again: files may have changed. The keyboard goes to them, or to where one writes."""
        self._list(self.page.key)
        if self.writing:
            self.editor.focus_first()
        else:
            self.page.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def left(self) -> None:
        """What was said is said."""
        self.said.clear()

    def showEvent(self, event: QShowEvent) -> None:
        """The window must not close over a lesson that was not saved."""
        super().showEvent(event)
        if self._watched is None:
            self._watched = self.window()
            self._watched.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Close and watched is self._watched and not self.editor.may_leave():
            event.ignore()
            return True
        return False

    def _list(self, chosen: str) -> None:
        self.page.show_found(found(self.prefs.lessons), self.book, chosen)
        self._show()

    def _show(self) -> None:
        self.page.show_lesson(self.kept, self.book, self.session.system)
        self.editor.use_units(self.session.system)

    @property
    def kept(self) -> Kept | None:
        """The lesson that is chosen."""
        return next((kept for kept in self.page.found.lessons if kept.key == self.page.key), None)

    @Slot(str)
    def _chosen(self, _key: str) -> None:
        self._show()

    @Slot(str)
    def _asked(self, command: str) -> None:
        getattr(self, f"do_{command}")()

    # Playing ------------------------------------------------------------------------------------------------------------------

    def do_lesson_play(self) -> None:
        """Play the lesson that is chosen, or the one that is written."""
        if self.writing:
            self.do_lesson_try()
        elif self.kept is not None:
            self.play(self.kept.key)

    @Slot(str)
    def play(self, key: str) -> None:
        """Play a lesson on the whole screen."""
        kept = next((kept for kept in self.page.found.lessons if kept.key == key), None)
        if kept is not None:
            self._play(kept.lesson, kept.key, kept.counted)

    def _play(self, lesson: Lesson, key: str, counted: str) -> None:
        if self.player is not None:
            self.player.close()
        system = self.session.system
        self.player = Player(material_of(lesson, key, counted, system), LessonWork(lesson, system), self.book, self)
        self.player.left.connect(self._left)
        self.player.showFullScreen()

    @Slot()
    def _left(self) -> None:
        self.player = None
        if not self.writing:
            self._list(self.page.key)
            self.page.list.setFocus()

    def do_lesson_new_class(self) -> None:
        """Forget what was guessed in the chosen lesson."""
        if self.kept is not None:
            self.book.forget(self.kept.key)
            self._list(self.kept.key)

    # Paper --------------------------------------------------------------------------------------------------------------------

    def do_lesson_worksheet(self) -> None:
        """Print the worksheet into a PDF."""
        self._print(answers=False)

    def do_lesson_answers(self) -> None:
        """Print the answer sheet into a PDF."""
        self._print(answers=True)

    def _print(self, answers: bool) -> None:
        lesson = self._lesson()
        if lesson is None:
            return
        what = "answer sheet" if answers else "worksheet"
        stem = lesson.name or "lesson"
        start = Path(self.prefs.folder) / f"{stem}-{what.replace(' ', '-')}.pdf"
        name, _ = QFileDialog.getSaveFileName(self, what.capitalize(), str(start), "PDF (*.pdf)")
        if name:
            path = Path(name) if Path(name).suffix else Path(f"{name}.pdf")
            system = self.session.system
            self.sheets.write(Sheet(lesson, path, answers, system, paper_for(system)))

    def _lesson(self) -> Lesson | None:
        """The lesson that is chosen, or written; None where the latter cannot be used yet."""
        if self.writing:
            return self.editor.checked()
        return self.kept.lesson if self.kept is not None else None

    @Slot(str, bool, bool)
    def say(self, text: str, refused: bool = False, goes_on: bool = False) -> None:
        """Say something under list and editor, and in the foot of the window."""
        self.said.say(text, refused, goes_on)
        if not goes_on:
            self.told.emit(text)

    # Writing ------------------------------------------------------------------------------------------------------------------

    @property
    def writing(self) -> bool:
        """Whether the editor is shown."""
        return self.stack.currentWidget() is self.editor

    def _write(self, ready: bool) -> None:
        if ready:
            self.stack.setCurrentWidget(self.editor)
            self.editor.focus_first()

    def do_lesson_write(self) -> None:
        """Write a lesson from scratch."""
        self._write(self.editor.start_new())

    def do_lesson_from_bench(self) -> None:
        """Write a lesson about the train on the bench."""
        self._write(self.editor.start_from_bench())

    def do_lesson_change(self) -> None:
        """Write a lesson like the chosen one; one's own is changed itself."""
        if self.writing:
            return
        kept = self.kept
        if kept is not None:
            self._write(self.editor.start_from(kept.lesson, kept.path))

    def do_lesson_open(self) -> None:
        """Open a lesson's file; a bad one is told in one sentence, and nothing else changes."""
        name, _ = QFileDialog.getOpenFileName(self, "Open a lesson", self.prefs.folder, _FILES)
        if name:
            self.open(Path(name))

    def open(self, path: Path) -> bool:
        """Take a lesson's file among the lessons."""
        try:
            lesson = lessons.load(path)
        except LessonError as error:
            self.say(str(error), refused=True)
            return False
        self.prefs.folder = str(path.parent)
        self._remember(path)
        if self.writing:
            self._write(self.editor.start_from(lesson, path))
        self._list(str(path))
        self.say(f"Opened {path.name}.")
        return True

    def _remember(self, path: Path) -> None:
        self.prefs.lessons = (*(known for known in self.prefs.lessons if known != path), path)

    def do_lesson_forget(self) -> None:
        """Take the chosen lesson off the list where it is the user's own, else those that cannot be read; files stay."""
        kept = self.kept
        self._forget((kept.path,) if kept is not None and kept.path is not None else self.page.found.bad)

    @Slot()
    def _forget_bad(self) -> None:
        self._forget(self.page.found.bad)

    def _forget(self, paths: tuple[Path, ...]) -> None:
        self.prefs.lessons = tuple(path for path in self.prefs.lessons if path not in paths)
        self._list(self.page.key)

    def do_lesson_try(self) -> None:
        """Play the lesson as it is written now; what is guessed then is not kept with another's."""
        if not self.writing:
            self.do_lesson_play()
            return
        lesson = self.editor.checked()
        if lesson is not None:
            self._play(lesson, f"try {self.editor.path or ''}", "Being written")

    def do_lesson_save(self) -> None:
        """Save the lesson that is written."""
        if self.writing:
            self.editor.save()

    def do_lesson_save_as(self) -> None:
        """Save the lesson that is written to another file."""
        if self.writing:
            self.editor.save_as()

    @Slot(object)
    def _saved(self, path: Path) -> None:
        self._remember(path)
        self._list(str(path))
        self.say(f"Saved {path.name}.")

    def do_lesson_list(self) -> None:
        """Back to the list; what is written stays until something else is."""
        if self.writing and self.editor.may_leave():
            self.stack.setCurrentWidget(self.page)
            self._list(self.page.key)
            self.page.list.setFocus()
