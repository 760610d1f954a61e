"""What every editor is: a window beside the bench that follows the document, says what it refuses, and can take back what it did."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent, QGuiApplication, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QDialog, QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.editors import title_of
from trainapp.desktop.fields import TypedField
from trainapp.desktop.parts import FlatButton, MarkLabel, Rule, TokenLabel, wrapped
from trainapp.desktop.session import Session
from trainapp.desktop.typed import tail
from trainapp.desktop.verdict import ElidedLabel
from trainapp.reports.drawing.display import Tag
from trainapp.reports.drawing.tokens import BODY, HEADING, MARK_LIST, PAD
from trainapp.train.edits import Edit


class Editor(QDialog):
    """Base of the editors. A subclass fills `column` in :meth:`build` and shows the document in :meth:`refresh`."""

    #: Size that it opens with, px at 100 %.
    opens = QSize(720, 560)

    def __init__(self, session: Session, what: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setObjectName(_name(what))
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setModal(False)
        self._title = title_of(what)
        self.column = QVBoxLayout()
        self.column.setContentsMargins(int(PAD), int(PAD), int(PAD), int(PAD))
        self.column.setSpacing(8)
        self.said_mark = MarkLabel("fail")
        self.said = wrapped("", "ink", BODY)
        self._arrange()
        self.build()
        self._shortcuts()
        session.changed.connect(self._follow)
        session.destroyed.connect(self.close)
        self.resize(_fitting(self.opens))
        self._follow()
        if (first := self.first()) is not None:
            first.setFocus(Qt.FocusReason.OtherFocusReason)

    # For subclasses -----------------------------------------------------------------------------------------------------------

    def build(self) -> None:
        """Fill `column` with widgets."""

    def refresh(self) -> None:
        """Show the document as it is now."""

    def first(self) -> QWidget | None:
        """What has the keyboard at first."""
        return None

    def turn_to(self, selection: Tag) -> None:
        """Turn to what is selected, where that is a thing of this editor."""

    def put_beside(self, left: QWidget, right: QWidget, grows: QWidget) -> None:
        """Fill the editor with two parts side by side, of which one takes the room there is."""
        row = QHBoxLayout()
        row.setSpacing(20)
        for part in (left, right):
            row.addWidget(part, int(part is grows))
        self.column.addLayout(row, 1)

    # Saying and doing ---------------------------------------------------------------------------------------------------------

    def attempt(self, edit: Edit, gesture: str = "") -> str:
        """Do an edit as one step of undo; why it was refused, "" where it was done or there was nothing to do."""
        reason = self.session.attempt(edit, select=self.session.selection, gesture=gesture)
        return tail(reason)

    def do(self, edit: Edit, done: str = "") -> bool:
        """Do an edit and say why it was refused, or what was done."""
        reason = self.attempt(edit)
        self.say(f"Not done: {reason}." if reason else done, refused=bool(reason))
        return not reason

    def say(self, text: str, refused: bool = False) -> None:
        """Say something below what is edited, "" for nothing."""
        self.said.setText(text)
        self.said_mark.setVisible(refused and bool(text))
        self._said_line.setVisible(bool(text))
        if text:
            QAccessible.updateAccessibility(QAccessibleEvent(self.said, QAccessible.Event.Alert))

    # Frame --------------------------------------------------------------------------------------------------------------------

    def _arrange(self) -> None:
        self._said_line = QWidget()
        line = QHBoxLayout(self._said_line)
        line.setContentsMargins(int(PAD), 4, int(PAD), 8)
        line.setSpacing(6)
        line.addWidget(self.said_mark, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(self.said, 1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(self.column, 1)
        whole.addWidget(self._said_line)
        whole.addWidget(Rule())
        whole.addLayout(self._foot())

    def _foot(self) -> QHBoxLayout:
        self.verdict_mark = MarkLabel(None, MARK_LIST)
        self.verdict = ElidedLabel("ink2")
        self.undo_button = FlatButton("Undo")
        self.undo_button.clicked.connect(self._undo)
        self.redo_button = FlatButton("Redo")
        self.redo_button.clicked.connect(self._redo)
        self.close_button = FlatButton("Close", f"Close {self._title}")
        self.close_button.clicked.connect(self.close)
        foot = QHBoxLayout()
        foot.setContentsMargins(int(PAD), 2, int(PAD), 2)
        foot.setSpacing(6)
        for widget, stretch in ((self.verdict_mark, 0), (self.verdict, 1), (self.undo_button, 0), (self.redo_button, 0)):
            foot.addWidget(widget, stretch)
        foot.addWidget(self.close_button)
        return foot

    def _shortcuts(self) -> None:
        standard = QKeySequence.StandardKey
        for keys, slot in ((standard.Undo, self._undo), (standard.Redo, self._redo), (standard.Close, self.close)):
            # the window promises Ctrl+Y on every system, Qt binds it on some
            also = [QKeySequence("Ctrl+Y")] if keys == standard.Redo else []
            for sequence in dict.fromkeys(s.toString() for s in (*QKeySequence.keyBindings(keys), *also)):
                shortcut = QShortcut(sequence, self)
                shortcut.activated.connect(slot)

    def _undo(self) -> None:
        self.session.stack.undo()

    def _redo(self) -> None:
        self.session.stack.redo()

    def _follow(self) -> None:
        # what was said was of the document as it was; who changes it says what there is to say afterwards
        self.say("")
        session, stack = self.session, self.session.stack
        self.setWindowTitle(f"{self._title}, {session.name}")
        verdict = session.model.verdict if session.model else None
        self.verdict_mark.show_mark("unknown" if session.stale else (verdict.mark or None) if verdict else None)
        told = f"Not worked out: {session.stale}" if session.stale else verdict.headline if verdict else "Not evaluated yet."
        self.verdict.show_text(told)
        for button, word, text, enabled in (
            (self.undo_button, "Undo", stack.undoText(), stack.canUndo()),
            (self.redo_button, "Redo", stack.redoText(), stack.canRedo()),
        ):
            button.setEnabled(enabled)
            button.setToolTip(f"{word}: {text}" if text else "")
            button.setAccessibleName(f"{word} {text}".strip())
        self.refresh()

    # Keys ---------------------------------------------------------------------------------------------------------------------

    def watch(self, field: TypedField) -> None:
        """Undo in a field that holds what the document holds takes back the last step; while typing, it takes back typing."""
        field.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and isinstance(watched, TypedField):
            undoing = event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo)
            if undoing and watched.text() == watched.shown:
                event.ignore()
                return True
        return super().eventFilter(watched, event)


def _name(what: str) -> str:
    return f"editor-{what}"


def opened(session: Session, what: str, parent: QWidget | None) -> Editor | None:
    """The editor of that id that is open already."""
    near = parent.findChildren(Editor, _name(what)) if parent is not None else QApplication.topLevelWidgets()
    editors = (widget for widget in near if isinstance(widget, Editor) and widget.objectName() == _name(what))
    return next((editor for editor in editors if editor.session is session and editor.isVisible()), None)


def _fitting(size: QSize) -> QSize:
    """A size that the screen has room for."""
    screen = QGuiApplication.primaryScreen()
    return size if screen is None else size.boundedTo(screen.availableSize() * 0.95)


class Columns(QWidget):
    """Widgets side by side, top aligned, without margins."""

    def __init__(self, *widgets: QWidget, spacing: int = 16, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(spacing)
        for widget in widgets:
            row.addWidget(widget, 0, Qt.AlignmentFlag.AlignTop)


def heading(text: str) -> TokenLabel:
    """A heading inside an editor."""
    return TokenLabel(text, "ink", HEADING, bold=True)
