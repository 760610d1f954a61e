"""The lesson editor: a lesson is written in a form, tried before nobody, and saved to a file that anybody can open."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from PySide6.QtCore import QTimer, Signal, Slot
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from trainapp.desktop.background import Cancelled, Errands, Progress
from trainapp.desktop.dialogs import ask
from trainapp.desktop.lessons import rewrite, suggest
from trainapp.desktop.lessons.editor_fields import Row
from trainapp.desktop.lessons.editor_form import NEW_CONTROL, EditorForm
from trainapp.desktop.lessons.editor_outcome import OutcomePanel
from trainapp.desktop.lessons.tree import At, Tree, blank, document_of, dotted, from_document, from_lesson, get, put
from trainapp.desktop.parts import Rule, quiet
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.studies import lessons
from trainapp.studies.lessons import ENDING, Lesson, LessonError, Played
from trainapp.train.document import Document, DocumentError, dumps, load
from trainapp.units import System

_FORM = 760
_PAUSE, _TELL = 200, 250
#: Where the keyboard goes after a button between the rows.
_AFTER = {"second": "benches.#2.label", "more": "answers.#1.text", "less": "answers.#1.text", "drop control": "watch.text"}
#: Places that decide which rows there are.
_SHAPING = {("measure", "read"), ("measure", "at"), ("measure", "take"), ("judge", "by"), ("watch", "read"), ("watch", "at")}


def _worked_out(question: tuple[Lesson, Progress], cancelled: Cancelled) -> Played:
    lesson, meter = question

    def progress(share: float) -> bool:
        meter.share = share
        return not cancelled()

    return lessons.play(lesson, progress=progress)


class LessonEditor(QWidget):
    """Writes one lesson at a time.

    Attributes:
        tree: the lesson as it is written. path: its file, None before it was saved.
    """

    #: Signal emitted with the id of a command, and with the file that was saved.
    asked = Signal(str)
    saved = Signal(object)

    def __init__(self, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.prefs = session, prefs
        self.tree: Tree = blank()
        self.path: Path | None = None
        self._folder: Path | None = None
        self._written = ""
        self.form: EditorForm | None = None
        self._said = ""
        self._unplayable: LessonError | None = None
        self.area = QScrollArea()
        quiet(self.area)
        self.area.setWidgetResizable(True)
        self.area.setAccessibleName("The lesson that is written")
        self.outcome = OutcomePanel()
        self.outcome.asked.connect(self._outcome_asked)
        row = QHBoxLayout()
        row.setSpacing(0)
        row.addWidget(self.area, 1)
        row.addWidget(Rule(upright=True))
        row.addWidget(self.outcome)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(row)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE)
        self._pause.timeout.connect(self._check)
        self._meter = Progress()
        self._telling = QTimer(self)
        self._telling.setInterval(_TELL)
        self._telling.timeout.connect(self._tell)
        self._errands = Errands(_worked_out, "lesson that is written", self)
        self._errands.answered.connect(self._answered)
        self._errands.failed.connect(self._failed)

    # Which lesson -------------------------------------------------------------------------------------------------------------

    @property
    def changed(self) -> bool:
        """Whether something was written that no file has."""
        return self.form is not None and _text(self.tree) != self._written

    def _start(self, tree: Tree, path: Path | None, folder: Path | None) -> bool:
        """Write another lesson, where the one before may go; whether that is so."""
        if not self.may_leave():
            return False
        self.tree, self.path, self._folder = tree, path, folder
        self._written = _text(tree)
        self.outcome.show_played(None, self.session.system)
        self._make()
        return True

    def start_new(self) -> bool:
        """A lesson of which nothing is written."""
        return self._start(blank(), None, None)

    def start_from_bench(self) -> bool:
        """A lesson about the train on the bench."""
        return self._start(from_document(self.session.document), None, None)

    def start_from(self, lesson: Lesson, path: Path | None) -> bool:
        """A lesson to go on with, or a copy of one of the program's own."""
        return self._start(from_lesson(lesson, own=path is not None), path, Path(lesson.folder) if lesson.folder else None)

    def use_units(self, system: System) -> None:
        """Tell numbers in these units."""
        self.outcome.use_units(system)

    def may_leave(self) -> bool:
        """Ask whether what was not saved may go; save it where that is wanted."""
        if not self.changed:
            return True
        title = str(self.tree.get("title") or "The lesson")
        answers = (("save", "Save"), ("discard", "Discard"), ("cancel", "Cancel"))
        answer = ask(self, "Lesson", f"{title} was changed and not saved. Save it?", answers, "save")
        if answer == "discard":
            self.forget_changes()
        return answer == "discard" or (answer == "save" and self.save())

    def forget_changes(self) -> None:
        """What was not saved may go from now on."""
        self._written = _text(self.tree)

    # Form ---------------------------------------------------------------------------------------------------------------------

    def _make(self, focus: str = "") -> None:
        """Make the form anew, and put the keyboard where it was."""
        scrolled = self.area.verticalScrollBar().value()
        form = EditorForm(self.tree, self._documents())
        form.setMaximumWidth(_FORM)
        form.changed.connect(self._row_changed)
        form.asked.connect(self._form_asked)
        form.left_out.connect(self._left_out)
        self._retire()
        self.form = form
        self.area.setWidget(form)
        form.show()
        self.area.verticalScrollBar().setValue(scrolled if focus else 0)
        for place, row in form.named():
            if place == focus:
                row.focus()
        self._check()
        if self._said:
            self.say(self._said, refused=True)
            self._said = ""

    def _retire(self) -> None:
        """Let the old form go once nobody stands in it: what asks for another may be one of its own controls."""
        old = self.area.takeWidget()
        if old is not None:
            old.setParent(self)
            old.hide()
            old.deleteLater()

    def focus_first(self) -> None:
        """Put the keyboard into the first field."""
        if self.form is not None:
            self.form.rows[0].focus()

    @Slot(object)
    def _row_changed(self, row: Row) -> None:
        value, at = row.value(), row.at
        if at == NEW_CONTROL:
            self._add_control(str(value))
        elif at[0] == "benches" and at[-1] == "train":
            if value:
                rewrite.take_train(self.tree, int(at[1]), str(value))
                self._make(focus=dotted(at))
        elif at in _SHAPING:
            self._reshape(at, value)
        else:
            rewrite.set_value(self.tree, at, value)
            self._unplayable = None
            if at[0] == "answers" and self.form is not None:
                self.form.follow_answers()
            self._pause.start()

    def _reshape(self, at: At, value: Any) -> None:
        """Other rows are wanted now; what no longer fits goes."""
        if at == ("judge", "by"):
            rewrite.judge_by(self.tree, str(value))
        else:
            rewrite.set_value(self.tree, at, value)
        if at == ("measure", "read") and value == "total":
            self.tree["measure"].pop("at", None)
        elif at == ("watch", "read") and not value:
            for key in ("read", "at", "key", "wanted"):
                self.tree["watch"].pop(key, None)
        self._make(focus=dotted(at))

    @Slot(int, str, bool)
    def _left_out(self, index: int, stage: str, on: bool) -> None:
        rewrite.leave_out(self.tree, index, stage, on)
        self._pause.start()

    def _documents(self) -> list[Document | None]:
        return [document_of(self.tree, i, self._folder) for i in range(len(self.tree["benches"]))]

    def _add_control(self, words: str) -> None:
        known = [document for document in self._documents() if document is not None]
        control = dict(suggest.changes(known)).get(words)
        if control is None:
            return
        if rewrite.add_control(self.tree, control):
            self._make(focus=f"controls.#{len(self.tree['controls'])}.label")
        else:
            self.say(f"{words} can be changed already.", refused=True)

    @Slot(str)
    def _form_asked(self, what: str) -> None:
        """A button between the rows."""
        verb, _, rest = what.rpartition(" ")
        if what == "second":
            rewrite.add_second(self.tree)
        elif what in ("more answers", "less answers"):
            rewrite.count_answers(self.tree, what.startswith("more"))
        elif verb == "drop":
            rewrite.drop_bench(self.tree, int(rest))
        elif verb == "bench":
            rewrite.take_document(self.tree, int(rest), dumps(self.session.document))
        elif verb == "file":
            self._take_file(int(rest))
        elif verb == "drop control":
            rewrite.drop_control(self.tree, int(rest))
        self._make(focus=_AFTER.get(verb or what, "benches.#1.label"))

    def _take_file(self, index: int) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Take a train", self.prefs.folder, "Trains (*.train.json);;All files (*)")
        if not name:
            return
        try:
            rewrite.take_document(self.tree, index, dumps(load(Path(name))))
            self.prefs.folder = str(Path(name).parent)
        except DocumentError as error:
            self._said = f"{Path(name).name}: {error}"

    # What comes of it ---------------------------------------------------------------------------------------------------------

    def checked(self) -> Lesson | None:
        """The lesson as it is written; None where it is not one yet, and the place that is wrong is shown and gone to."""
        try:
            lesson = self._lesson()
            if self._unplayable is not None:
                raise self._unplayable
            return lesson
        except LessonError as error:
            row = self._show_problem(error)
            if row is not None:
                row.focus()
                self.area.ensureWidgetVisible(row)
            return None

    def _lesson(self) -> Lesson:
        lesson = lessons.lesson_of(rewrite.plain(self.tree))
        if self._folder is not None:
            lesson = lessons.reading.placed(lesson, self.path or self._folder / f"new{ENDING}")
        return lesson

    def _check(self) -> None:
        """Say what is wrong, at its place and in the panel."""
        self._pause.stop()
        self._errands.drop()
        self._unplayable = None
        for row in self.form.rows if self.form is not None else ():
            row.tell("")
        try:
            lesson = self._lesson()
        except LessonError as error:
            self._show_problem(error)
            return
        self._meter = Progress()
        self._errands.ask((lesson, self._meter))
        self._telling.start()
        self._tell()

    def _tell(self) -> None:
        """Say how far the working out is; what is written next makes it void."""
        if self._errands.busy:
            self.outcome.wait(self._meter.share)
        else:
            self._telling.stop()

    def _show_problem(self, error: LessonError) -> Row | None:
        row = self.form.row_at(error.place) if self.form is not None else None
        where = row.label.text() if row is not None else error.place
        if row is not None and not get(self.tree, row.at):
            # What is still to be written is not wrong.
            self.outcome.show_played(None, self.session.system)
            self.outcome.say(f"Still to write: {where}.")
            return row
        if row is not None:
            row.tell(f"{error.sentence[:1].upper()}{error.sentence[1:]}.")
        self.outcome.say(f"{where}: {error.sentence}." if where else f"{error.sentence}.", refused=True)
        return row

    @Slot(object)
    def _answered(self, played: Played) -> None:
        self.outcome.show_played(played, self.session.system)

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        if isinstance(error, LessonError):
            self._unplayable = error
            self._show_problem(error)
        else:
            self.outcome.say(f"The program failed at it, {type(error).__name__}: {error}.", refused=True)

    def say(self, text: str, refused: bool = False) -> None:
        """Say something in the panel."""
        self.outcome.say(text, refused)

    @Slot(str)
    def _outcome_asked(self, what: str) -> None:
        if what == "explain":
            self._explain()
        elif what == "stop":
            self._errands.drop()
            self.outcome.say("Stopped; it is worked out again when you write on.")
        else:
            self.asked.emit(what)

    def _explain(self) -> None:
        """Let the point explain the answer that comes of it."""
        played = self.outcome.played
        if played is not None and played.right is not None:
            put(self.tree, ("point", "answer"), played.right.text)
            self._make(focus="point.answer")

    # File ---------------------------------------------------------------------------------------------------------------------

    def save(self) -> bool:
        """Save to its file, or ask for one; whether it was saved."""
        return self._save(self.path) if self.path is not None else self.save_as()

    def save_as(self) -> bool:
        """Save to another file."""
        if self.checked() is None:
            return False
        start = self.path or Path(self.prefs.folder) / f"{_slug(str(self.tree.get('title', '')))}{ENDING}"
        name, _ = QFileDialog.getSaveFileName(self, "Save the lesson", str(start), f"Lessons (*{ENDING})")
        if not name:
            return False
        return self._save(Path(name if name.endswith(ENDING) else f"{name.removesuffix('.toml')}{ENDING}"))

    def _save(self, path: Path) -> bool:
        lesson = self.checked()
        if lesson is None:
            return False
        try:
            kept = lessons.save(lesson, path)
        except LessonError as error:
            self.say(f"Not saved: {error}", refused=True)
            return False
        self.path, self._folder = path, path.parent
        self.tree = from_lesson(kept, own=True)
        self._written = _text(self.tree)
        self.prefs.folder = str(path.parent)
        self._make()
        self.saved.emit(path)
        return True


def _text(tree: Tree) -> str:
    return repr(rewrite.plain(tree))


def _slug(title: str) -> str:
    return "-".join("".join(c if c.isalnum() else " " for c in title.lower()).split()) or "lesson"
