"""The kitchen-table start: a few answers, each of which may be left out, become a first train."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal, Slot
from PySide6.QtWidgets import QWidget

from trainapp import units
from trainapp.desktop.background import Cancelled, Errands
from trainapp.desktop.catalogues import catalogues
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.labelled import LabelledField
from trainapp.desktop.parts import BoxButton, ChoiceBox, LineField, wrapped
from trainapp.desktop.typed import document_text, understood
from trainapp.reports.drawing.tokens import BODY
from trainapp.studies.start import Answers, Started, source_words, start
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import DocumentError
from trainapp.units import System
from trainapp.water.analytes import BY_KEY

LEAD = (
    "What you know by heart is enough; leave empty what was never tested. "
    "A first train goes on the bench, says what it assumes, and prints what still needs testing."
)
_UNKNOWN = "not tested"
_LABEL = 220
WORKING = "Putting a first train together and trying it…"
#: Analytes that are asked about: key, question, and an example of an answer in US and in metric units.
_WATER = (
    ("hardness", "How hard is the water?", ("18 gpg", "310 mg/L")),
    ("iron", "How much iron is in it?", ("2.5 mg/L", "2.5 mg/L")),
    ("ph", "What is its pH?", ("7.2", "7.2")),
)


class Answer(LabelledField):
    """One question, its field, and a line that says what was understood or why it was not."""

    def __init__(self, question: str, field: LineField | ChoiceBox, hint: str = "", parent: QWidget | None = None) -> None:
        super().__init__(question, field, _LABEL, parent=parent)
        self.field = field
        self.hint = hint
        self.tell(hint)

    def tell(self, text: str, refused: bool = False) -> None:
        """Say something below the field."""
        self.line.setText(text)
        self.mark.setVisible(refused)
        self.field.setAccessibleDescription(text)


class WaterAnswer(Answer):
    """A result as someone knows it by heart: `18 gpg`, `<0.1 mg/L`, a number alone in the unit shown, or nothing."""

    def __init__(self, analyte: str, question: str, examples: tuple[str, str], parent: QWidget | None = None) -> None:
        self.system: System = "us"
        self.dimension, self._examples = BY_KEY[analyte].dimension, examples
        super().__init__(question, LineField(), "", parent)
        self.field.setPlaceholderText(_UNKNOWN)
        self.field.textChanged.connect(self._changed)

    def use_units(self, system: System) -> None:
        """Read a number alone in these units, and say so."""
        self.system = system
        unit = units.unit(self.dimension, system)
        example = self._examples[system == "metric"]
        self.hint = f"for instance {units.typeset(example)}" + (f"; a number alone is in {units.typeset(unit)}" if unit else "")
        self._changed("")

    def text(self) -> str | None:
        """What a document gets, None for not tested.

        Raises:
            UnitError: it cannot be read.
        """
        text = self.field.text().strip()
        if not text or text.casefold() == _UNKNOWN:
            return None
        sign = text[0] if text[0] in "<>" else ""
        return sign + document_text(text[len(sign) :], self.dimension, units.unit(self.dimension, self.system))

    def _changed(self, _text: str) -> None:
        try:
            text = self.text()
        except units.UnitError as error:
            self.tell(str(error), refused=not self.field.hasFocus())
            return
        sign = (text or "")[:1] if (text or "")[:1] in ("<", ">") else ""
        self.tell(self.hint if text is None else sign + understood(text[len(sign) :], self.dimension, self.system))


def _put_together(question: tuple[Answers, Catalogue], _cancelled: Cancelled) -> Started:
    answers, catalogue = question
    return start(answers, catalogue=catalogue)


class StartWindow(SideWindow):
    """Asks a few questions. Nothing has to be answered."""

    #: Signal emitted with the first train.
    started = Signal(object)

    def __init__(self, system: System, parent: QWidget | None = None) -> None:
        super().__init__("Start in a minute", QSize(620, 480), parent)
        self.name = Answer("What is the site called?", LineField(), "as it will stand on the bench; may be left out")
        self.source = Answer("Where does the water come from?", ChoiceBox(), "")
        self.people = Answer("How many people live there?", LineField(), "")
        self.water = {key: WaterAnswer(key, question, examples) for key, question, examples in _WATER}
        self.use_units(system)
        self._fill()
        self._arrange()
        self._errands = Errands(_put_together, "start", self)
        self._errands.answered.connect(self._started)
        self._errands.failed.connect(self._failed)
        self.source.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def use_units(self, system: System) -> None:
        """Ask and read in these units."""
        for answer in self.water.values():
            answer.use_units(system)

    def _fill(self) -> None:
        box = self.source.field
        assert isinstance(box, ChoiceBox)
        box.addItem("not known: taken as a drilled well", None)
        for source, words in source_words().items():
            box.addItem(words, source)
        assert isinstance(self.people.field, LineField) and isinstance(self.name.field, LineField)
        self.people.field.setPlaceholderText("nobody said: taken as 4")
        self.name.field.setPlaceholderText("New site")
        self.people.field.textChanged.connect(self._people_typed)

    def _arrange(self) -> None:
        lead = wrapped(LEAD, "ink2", BODY)
        self.column.addWidget(lead)
        for answer in (self.source, self.people, *self.water.values(), self.name):
            self.column.addWidget(answer)
            if isinstance(answer.field, LineField):
                answer.field.returnPressed.connect(self.begin)
        self.column.addStretch(1)
        self.button = BoxButton("Put a train on the bench")
        self.button.clicked.connect(self.begin)
        self.close_button.setText("Cancel")
        self.close_button.updateGeometry()
        self.add_button(self.button)

    def _people_typed(self, _text: str) -> None:
        self.people.tell("")

    def begin(self) -> None:
        """Take the answers, and have a first train put together; what is asked meanwhile waits."""
        if self._errands.busy:
            return
        answers = self._answers()
        if isinstance(answers, int):
            what = "one answer cannot" if answers == 1 else f"{answers} answers cannot"
            self.say(f"Not started: {what} be read.", refused=True)
            return
        self.say(WORKING)
        self.button.setEnabled(False)
        self._errands.ask((answers, catalogues().catalogue))

    @Slot(object)
    def _started(self, started: Started) -> None:
        self.started.emit(started)
        self.close()

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.button.setEnabled(True)
        if isinstance(error, DocumentError):
            self._refuse(error)
        else:
            self.say(f"Not started: the program failed at it, {type(error).__name__}: {error}.", refused=True)

    def _answers(self) -> Answers | int:
        """What was answered; how many of the answers cannot be read where some cannot, which their own lines then say."""
        told: dict[str, str | None] = {}
        bad: list[Answer] = []
        for key, answer in self.water.items():
            try:
                told[key] = answer.text()
            except units.UnitError as error:
                answer.tell(str(error), refused=True)
                bad.append(answer)
        people = self.people.field.text().strip()  # type: ignore[union-attr]
        if people and not (people.isascii() and people.isdigit()):
            self.people.tell(f'"{people}" is not a number of people', refused=True)
            bad.insert(0, self.people)
        if bad:
            bad[0].field.setFocus(Qt.FocusReason.OtherFocusReason)
            return len(bad)
        name = self.name.field.text().strip()  # type: ignore[union-attr]
        source = self.source.field.currentData()  # type: ignore[union-attr]
        return Answers(source, int(people) if people else None, told["hardness"], told["iron"], told["ph"], name)

    def _refuse(self, error: DocumentError) -> None:
        """Say at its question what the engine cannot take."""
        place, _, sentence = str(error).partition(": ")
        rows: dict[str, Answer] = {"start.people": self.people, "start.source": self.source}
        row = (rows | {f"start.{key}": answer for key, answer in self.water.items()}).get(place)
        self.say(f"Not started: {sentence if row else error}.", refused=True)
        if row is not None:
            row.tell(sentence, refused=True)
            row.field.setFocus(Qt.FocusReason.OtherFocusReason)
