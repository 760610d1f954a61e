"""Site and room: whose water it is, what it is used for, and the room that the train stands in."""

from __future__ import annotations

from typing import Any, get_args

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QFocusEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QPlainTextEdit, QVBoxLayout, QWidget

from trainapp.desktop.card_content import Field, Group
from trainapp.desktop.editors.dialog import Editor, heading
from trainapp.desktop.editors.form import Form
from trainapp.desktop.editors.said import findings_where
from trainapp.desktop.editors.scroll import Sentences
from trainapp.desktop.editors.values import Value, choice, quantities, setter, texts
from trainapp.desktop.parts import caption, outline, wrapped
from trainapp.train.edits import Edit, RemoveValue, SetValue
from trainapp.train.model import Use

_ROOM = (
    Value("width", "Width", "distance", "free width along the wall for the whole train"),
    Value("height", "Height", "distance", "free height under the ceiling or what hangs lowest"),
)


class SiteEditor(Editor):
    """Site and room of a document."""

    opens = QSize(760, 520)

    def build(self) -> None:
        self.site, self.room = Form(self, label=72), Form(self, label=72)
        self.fits = wrapped("", "ink2")
        self.words = Sentences()
        self.notes = Notes("Notes")
        self.notes.entered.connect(self._set_notes)
        left, right = QWidget(), QWidget()
        one, two = QVBoxLayout(left), QVBoxLayout(right)
        for column in (one, two):
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(8)
        one.addWidget(heading("Site"))
        one.addWidget(self.site)
        one.addWidget(caption("Notes"))
        one.addWidget(self.notes, 1)
        two.addWidget(heading("Room"))
        two.addWidget(self.room)
        two.addWidget(self.fits)
        two.addWidget(self.words)
        two.addStretch(1)
        row = QHBoxLayout()
        row.setSpacing(24)
        row.addWidget(left, 1)
        row.addWidget(right, 1)
        self.column.addLayout(row, 1)

    def first(self) -> QWidget | None:
        return self.site.first()

    def refresh(self) -> None:
        document = self.session.document
        site, room = document.site, document.room
        (name,) = texts(site, ("site",), (("name", "Name", "how the site is called"),))
        use = choice(site, ("site",), "use", "Use", "what the water is used for", get_args(Use))
        self.site.show_groups([Group("", (name, use, self._people()))])
        self.room.show_groups([Group("", quantities(room, ("room",), _ROOM))])
        said = findings_where(self.session, lambda finding: finding.code == "room-fit")
        self.words.show_sentences(said)
        missing = [key for key in ("width", "height") if room.get(key) is None]
        self.fits.setText(
            f"Without its {' and '.join(missing)} nothing is said of whether the train fits." if missing else "" if said else _FITS
        )
        self.fits.setVisible(bool(self.fits.text()))
        self.notes.show_text(site.word("notes"))

    def _people(self) -> Field:
        site = self.session.document.site
        given, row = site.given("people"), site.default_of("people")

        def change(value: Any) -> Edit:
            whole = int(value) if isinstance(value, str) and value.isascii() and value.isdigit() and len(value) < 9 else value
            return setter(("site", "people"))(whole)

        stands = "" if given or row is None else str(row.value)
        return Field("site.people", "People", "head count", "text", str(site.raw("people")) if given else None, stands, change)

    def _set_notes(self, text: str) -> None:
        path = ("site", "notes")
        if text or self.session.document.site.given("notes"):
            self.do(SetValue(path=path, value=text) if text else RemoveValue(path=path))


_FITS = "The train stands in this room, with room for filling tanks, changing cartridges and drawing a lamp out."


class Notes(QPlainTextEdit):
    """Lines of text that are taken when they are left: all typing is one step of undo."""

    #: Signal emitted with the text once it is another than was shown.
    entered = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = ""
        self.setAccessibleName(name)
        self.setTabChangesFocus(True)
        self.setFrameShape(QPlainTextEdit.Shape.NoFrame)
        self.document().setDocumentMargin(6.0)
        self.setMinimumHeight(96)

    def show_text(self, text: str) -> None:
        """Show what the document has, unless it is being typed over."""
        if text != self._shown or not self.hasFocus():
            self._shown = text
            if self.toPlainText() != text:
                self.setPlainText(text)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if self.toPlainText().strip() != self._shown:
            self._shown = self.toPlainText().strip()
            self.entered.emit(self._shown)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        outline(QPainter(self.viewport()), self.viewport())


EDITOR = SiteEditor
