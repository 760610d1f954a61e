"""The list of lessons with what each is about, and what can be done with the one that is chosen."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QScrollArea, QVBoxLayout, QWidget

from trainapp.desktop.lessons.guesses import GuessBook, Guessed
from trainapp.desktop.lessons.shelf import Found, Kept
from trainapp.desktop.lessons.steps import reveals
from trainapp.desktop.parts import BoxButton, FlatButton, MainButton, MarkLabel, Rule, TokenLabel, beside_mark, caption, quiet, wrapped
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, TITLE
from trainapp.reports.lesson_words import fact_text
from trainapp.sources import source
from trainapp.studies.lessons import Fact, said
from trainapp.units import System

_LIST, _READ = 340, 760
#: What a trainer has to know before the class.
KEYS = (
    "On the whole screen the Right arrow or the forward key of a clicker brings the next thing, Left takes it away again. "
    "Number keys count what the class guesses, Backspace takes the last back. Space plays the clock, T shows something to try, "
    "Esc leaves; a class that left is taken up where it stood."
)
_ROW = 28


class LessonList(QListWidget):
    """The lessons; Return or a double click plays one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        quiet(self)
        self.setAccessibleName("Lessons")
        self.setUniformItemSizes(True)

    def show_lessons(self, found: Found, book: GuessBook, chosen: str) -> None:
        """List the lessons, and stand on the chosen one."""
        self.blockSignals(True)
        self.clear()
        for kept in found.lessons:
            item = QListWidgetItem(_row(kept, book))
            item.setData(Qt.ItemDataRole.UserRole, kept.key)
            item.setToolTip(kept.lesson.question)
            item.setSizeHint(QSize(0, _ROW))
            self.addItem(item)
        keys = [kept.key for kept in found.lessons]
        self.setCurrentRow(keys.index(chosen) if chosen in keys else 0)
        self.blockSignals(False)


def _row(kept: Kept, book: GuessBook) -> str:
    number = f"{kept.number}  " if kept.number else ""
    guessed = guesses_of(kept, book)
    return f"{number}{kept.lesson.title}" + (f"  \u00b7  {guessed.total} guesses" if guessed.total else "")


def guesses_of(kept: Kept, book: GuessBook) -> Guessed:
    """What a class guessed in a lesson."""
    return book.of(kept.key, [answer.text for answer in kept.lesson.answers])


class LessonCard(QScrollArea):
    """What the chosen lesson is about."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        quiet(self)
        self.setWidgetResizable(True)
        self.setAccessibleName("The lesson")
        self.inner = QWidget()
        self.inner.setMaximumWidth(_READ)
        self.counted = caption()
        self.title = wrapped("", "ink", TITLE)
        self.title.setFont(TokenLabel("", "ink", TITLE, bold=True).font())
        self.question = wrapped("", "ink", HEADING)
        self.question.setFont(TokenLabel("", "ink", HEADING, bold=True).font())
        self.kept = wrapped("", "ink2", BODY)
        self.lines = {
            name: wrapped("", "ink" if name == "Scene" else "ink2", BODY)
            for name in ("Scene", "To choose from", "What the class may change", "What it rests on", "Safety")
        }
        column = QVBoxLayout(self.inner)
        column.setContentsMargins(24, 16, 24, 16)
        column.setSpacing(6)
        for widget in (self.counted, self.title, self.question):
            column.addWidget(widget)
        column.addSpacing(6)
        self.heads = {}
        for name, line in self.lines.items():
            self.heads[name] = TokenLabel(name, "ink", BODY, bold=True)
            column.addWidget(self.heads[name])
            column.addWidget(line)
            column.addSpacing(4)
        column.addWidget(wrapped(KEYS, "ink3", CAPTION))
        column.addStretch(1)
        self.setWidget(self.inner)

    def show_lesson(self, kept: Kept, system: System) -> None:
        """Show another lesson."""
        lesson = kept.lesson
        self.counted.setText(f"{kept.counted}, {kept.path}" if kept.path else kept.counted)
        self.title.setText(lesson.title)
        self.question.setText(said(lesson, lesson.question, system))
        texts = {
            "Scene": said(lesson, lesson.scene, system),
            "To choose from": "; ".join(answer.text for answer in lesson.answers),
            "What the class may change": "; ".join(control.label for control in lesson.controls),
            "What it rests on": "\n".join(_fact(fact, system) for fact in lesson.facts),
            "Safety": lesson.safety,
        }
        for name, text in texts.items():
            self.lines[name].setText(text)
            self.lines[name].setVisible(bool(text))
            self.heads[name].setVisible(bool(text))
        self.verticalScrollBar().setValue(0)


def _fact(fact: Fact, system: System) -> str:
    """A fact of the trade with its source and how sure that is."""
    told = ", ".join(filter(None, (source(fact.source).title, fact.status)))
    return f"{fact_text(fact, system)} ({told})"


class LessonsPage(QWidget):
    """The list at the left, the chosen lesson at the right, what can be done with it below that."""

    #: Signal emitted with the key of a lesson when it is chosen, and when it is to be played.
    chosen = Signal(str)
    play_asked = Signal(str)
    #: Signal emitted with the id of a command.
    asked = Signal(str)
    #: Signal emitted when lessons that cannot be read are to leave the list.
    bad_dropped = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.found = Found((), ())
        self.list = LessonList()
        self.card = LessonCard()
        self.play = MainButton("Play", "Play the lesson on the whole screen (Ctrl+Return)", tall=True)
        self.state = wrapped("", "ink2", CAPTION)
        self.mark = MarkLabel("fail")
        self.problem = wrapped("", "ink", BODY)
        self.buttons: dict[str, FlatButton] = {}
        self._arrange()
        self.list.currentRowChanged.connect(self._row_changed)
        self.list.itemActivated.connect(self._play)
        self.play.clicked.connect(self._play)

    def _button(self, command: str, text: str, name: str) -> FlatButton:
        button = BoxButton(text, name)
        button.setObjectName(command)
        button.clicked.connect(self._clicked)
        self.buttons[command] = button
        return button

    def _arrange(self) -> None:
        left = QVBoxLayout()
        left.setContentsMargins(12, 12, 0, 12)
        left.setSpacing(8)
        left.addWidget(TokenLabel("Lessons", "ink", HEADING, bold=True))
        left.addWidget(self.list, 1)
        left.addLayout(beside_mark(self.mark, self.problem))
        self.drop_bad = BoxButton("Take off the list", "Take lessons that cannot be read off the list; their files stay")
        self.drop_bad.clicked.connect(self.bad_dropped)
        left.addWidget(self.drop_bad)
        for row in (
            (("lesson_write", "Write a lesson", "Write a lesson"), ("lesson_open", "Open\u2026", "Open a lesson from its file")),
            (("lesson_from_bench", "Lesson about the train on the bench", "Write a lesson about the train on the bench"),),
        ):
            line = QHBoxLayout()
            for button in row:
                line.addWidget(self._button(*button))
            line.addStretch(1)
            left.addLayout(line)
        holder = QWidget()
        holder.setLayout(left)
        holder.setFixedWidth(_LIST)
        right = QVBoxLayout()
        right.setSpacing(0)
        right.addWidget(self.card, 1)
        right.addWidget(Rule())
        right.addLayout(self._foot())
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(12)
        whole.addWidget(holder)
        whole.addWidget(Rule(upright=True))
        whole.addLayout(right, 1)

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        foot.setContentsMargins(24, 8, 12, 8)
        foot.setSpacing(8)
        foot.addWidget(self.play)
        foot.addWidget(self._button("lesson_new_class", "New class", "New class: forget what was guessed"))
        self.drop_own = self._button("lesson_forget", "Take off the list", "Take this lesson off the list; its file stays")
        foot.addWidget(self.drop_own)
        foot.addWidget(self.state, 1)
        foot.addWidget(self._button("lesson_worksheet", "Worksheet, PDF\u2026", "Print the worksheet into a PDF"))
        foot.addWidget(self._button("lesson_answers", "Answer sheet, PDF\u2026", "Print the answer sheet into a PDF"))
        foot.addWidget(self._button("lesson_change", "Write one like it", "Write a lesson like this one"))
        return foot

    # What is shown ------------------------------------------------------------------------------------------------------------

    def show_found(self, found: Found, book: GuessBook, chosen: str) -> None:
        """Show other lessons."""
        self.found = found
        self.list.show_lessons(found, book, chosen)
        self.problem.setText("\n".join(found.problems))
        self.problem.setVisible(bool(found.problems))
        self.mark.setVisible(bool(found.problems))
        self.drop_bad.setVisible(bool(found.bad))

    def show_lesson(self, kept: Kept | None, book: GuessBook, system: System) -> None:
        """Show what the chosen lesson is about, and where its class stands."""
        for widget in (self.play, *(self.buttons[name] for name in ("lesson_worksheet", "lesson_answers", "lesson_change"))):
            widget.setEnabled(kept is not None)
        self.card.inner.setVisible(kept is not None)
        if kept is None:
            return
        self.card.show_lesson(kept, system)
        self.drop_own.setVisible(kept.path is not None)
        guessed = guesses_of(kept, book)
        started = bool(guessed.reached or guessed.total)
        self.buttons["lesson_new_class"].setVisible(started)
        self.play.setText("Go on" if started else "Play")
        self.play.updateGeometry()
        self.state.setText(_state(kept, guessed) if started else "")

    @property
    def key(self) -> str:
        """Key of the chosen lesson, "" for none."""
        item = self.list.currentItem()
        return str(item.data(Qt.ItemDataRole.UserRole)) if item is not None else ""

    def _row_changed(self, _row: int) -> None:
        self.chosen.emit(self.key)

    def _play(self) -> None:
        if self.key:
            self.play_asked.emit(self.key)

    def _clicked(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.asked.emit(sender.objectName())


def _state(kept: Kept, guessed: Guessed) -> str:
    """Where a class stands."""
    lesson = kept.lesson
    way = reveals(two=len(lesson.benches) > 1, runs=lesson.watch.over == "time", tries=bool(lesson.controls))
    step = way[min(guessed.reached, len(way) - 1)].step
    return f"A class stands at {step}; {guessed.total} {'guess is' if guessed.total == 1 else 'guesses are'} kept."
