"""The rows of the lesson editor: which place of a lesson each shows. The form is made anew when the lesson has other parts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.editors.pick import Tick
from trainapp.desktop.lessons import suggest
from trainapp.desktop.lessons.editor_fields import LABEL, Known, Prose, Row, choice, fill
from trainapp.desktop.lessons.tree import At, Tree, dotted, get, whens
from trainapp.desktop.parts import BoxButton, ChoiceBox, FlatButton, LineField, Rule, TokenLabel, caption
from trainapp.reports.drawing.tokens import HEADING
from trainapp.studies.lessons import train_names
from trainapp.train.document import Document
from trainapp.train.naming import Names

_READS = (
    ("check", "at one moment"),
    ("year", "by the day, through a year"),
    ("total", "a sum over the year"),
)
_FLOWS = (("trickle", "a trickle, as at night"), ("average", "the average of the day"), ("peak", "the peak"))
_WHERES = (("out", "leaving it"), ("into", "going into it"))
_OF_DAY = (("least", "least of the day"), ("most", "most of the day"), ("mean", "mean of the day"), ("last", "at the day's end"))
_TAKES = (
    ("month", "at the end of that month"),
    ("least", "the least of all days"),
    ("most", "the most of all days"),
    ("mean", "the mean of all days"),
    ("last", "on the last day"),
)
_SHOWS = (("", "the number above"), ("check", "something else at one moment"), ("year", "something else by the day"))
_BYS = (("limit", "each number against a limit"), ("compare", "one number against the other"), ("range", "where a number falls"))
_SIDES = (("at_least", "good from there up"), ("at_most", "good up to there"))
_BETTERS = (("", "neither is better"), ("more", "more is better"), ("less", "less is better"))
#: The row that adds a slider: no place of a lesson.
NEW_CONTROL: At = ("", "new control")
#: Where fields begin, px.
_INDENT = LABEL + 12
#: Ticks of stages on one line.
_TICKS = 3
_UPKEEPS = (("on-time", "on time"), ("late", "late"), ("never", "never"))


class EditorForm(QWidget):
    """All rows, below one another under their headings.

    Args:
        tree: the lesson that is written. documents: its trains as far as they can be read.
    """

    #: Signal emitted with a row that was changed, and with what is asked for: "second", "control", "drop A", "drop control 0", ...
    changed = Signal(object)
    asked = Signal(str)
    #: Signal emitted with a bench's index, a stage, and whether it is left out.
    left_out = Signal(int, str, bool)

    def __init__(self, tree: Tree, documents: Sequence[Document | None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: list[Row] = []
        self._tree, self._documents = tree, documents
        self._known = [document for document in documents if document is not None]
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(24, 12, 24, 24)
        self._column.setSpacing(6)
        for make in (self._scene, self._benches, self._number, self._question, self._controls, self._watch, self._point):
            make()
        self._column.addStretch(1)
        for row in self.rows:
            row.show_value(get(tree, row.at, _default(row.at)))
            row.changed.connect(self.changed)

    # Parts --------------------------------------------------------------------------------------------------------------------

    def _head(self, text: str, said: str = "") -> None:
        if self.rows:
            self._column.addSpacing(10)
            self._column.addWidget(Rule())
        self._column.addWidget(TokenLabel(text, "ink", HEADING, bold=True))
        if said:
            self._column.addWidget(caption(said))

    def _row(self, at: At, label: str, editor: LineField | Prose | None = None, kind: str = "text", hint: str = "") -> Row:
        return self._add(Row(at, label, editor or LineField(), kind, hint))

    def _pick(self, at: At, label: str, choices: Sequence[tuple[Any, str]]) -> Row:
        return self._add(Row(at, label, choice(label, choices)))

    def _add(self, row: Row) -> Row:
        self.rows.append(row)
        self._column.addWidget(row)
        return row

    def _buttons(self, *buttons: tuple[str, str, str]) -> None:
        line = QHBoxLayout()
        line.setContentsMargins(_INDENT, 0, 0, 0)
        line.setSpacing(8)
        for key, text, name in buttons:
            button: FlatButton = BoxButton(text, name)
            button.setObjectName(key)
            button.clicked.connect(self._clicked)
            line.addWidget(button)
        line.addStretch(1)
        self._column.addLayout(line)

    def _clicked(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.asked.emit(sender.objectName())

    def _scene(self) -> None:
        self._head("Scene")
        self._row(("title",), "Title")
        self._row(("scene",), "Scene", Prose(4), hint="Who draws from which water, and what is the same in both trains.")

    def _benches(self) -> None:
        self._head("Trains", "One train, or two beside each other; the engine works out the numbers of each.")
        for i in range(len(self._tree["benches"])):
            self._bench(i)
        if len(self._tree["benches"]) == 1:
            self._buttons(("second", "Add a second train", "Add a second train"))

    def _bench(self, index: int) -> None:
        letter, bench = "AB"[index], self._tree["benches"][index]
        self._row(("benches", index, "label"), f"Name of train {letter}")
        names = [(name, name.replace("-", " ")) for name in train_names()]
        own = str(bench.get("train", ""))
        if bench.get("document"):
            document = self._documents[index]
            site = document.site.word("name") if document is not None else ""
            names.insert(0, ("", f"its own: {site or 'without a name'}"))
        elif own and own not in train_names():
            names.insert(0, (own, own))
        self._pick(("benches", index, "train"), f"Train {letter}", names)
        self._buttons(
            (f"bench {index}", "Take the train on the bench", f"Take the train on the bench as train {letter}"),
            (f"file {index}", "Take a train from a file\u2026", f"Take a train from a file as train {letter}"),
            *(((f"drop {index}", "Remove", f"Remove train {letter}"),) if len(self._tree["benches"]) > 1 else ()),
        )
        self._leave_out(index)

    def _leave_out(self, index: int) -> None:
        document = self._documents[index]
        if document is None or not document.stages:
            return
        names = Names(document)
        lines = QVBoxLayout()
        lines.setContentsMargins(_INDENT, 0, 0, 4)
        lines.setSpacing(2)
        lines.addWidget(caption(f"Taken out of train {'AB'[index]}, the pipes closed behind it:"))
        line = QHBoxLayout()
        for i, entry in enumerate(document.stages):
            if i % _TICKS == 0:
                line = QHBoxLayout()
                line.setSpacing(4)
                lines.addLayout(line)
            name = names.plain(entry.id)
            tick = Tick(f"{name[:1].upper()}{name[1:]}")
            tick.setAccessibleName(f"Leave {name} out of train {'AB'[index]}")
            tick.setObjectName(f"{index} {entry.id}")
            tick.setChecked(entry.id in self._tree["benches"][index].get("leave_out", ()))
            tick.toggled.connect(self._ticked)
            line.addWidget(tick)
            if i % _TICKS == _TICKS - 1 or i == len(document.stages) - 1:
                line.addStretch(1)
        self._column.addLayout(lines)

    def _ticked(self, on: bool) -> None:
        sender = self.sender()
        if sender is not None:
            index, _, stage = sender.objectName().partition(" ")
            self.left_out.emit(int(index), stage, on)

    def _number(self) -> None:
        tree = self._tree
        self._head("The number", "What the big number of each train is. The right answer follows from it; nobody types it.")
        self._pick(("measure", "read"), "Read", _READS)
        read, at = get(tree, ("measure", "read")), get(tree, ("measure", "at"))
        if read != "total":
            self._pick(("measure", "at"), "Where", suggest.places(self._known))
        known = Known()
        choices = suggest.quantities(read, at, self._known)
        known.know([key for key, _ in choices])
        words = dict(choices).get(get(tree, ("measure", "key")), "")
        self._row(("measure", "key"), "What", known, hint=words or "Down lists what is known.")
        if read == "check":
            self._pick(("measure", "flow"), "At a flow of", _FLOWS)
            self._pick(("measure", "where"), "Of the water", _WHERES)
        elif read == "year":
            self._pick(("measure", "of_day"), "Of each day", _OF_DAY)
            self._pick(("measure", "take"), "Which counts", _TAKES)
            if get(tree, ("measure", "take"), "month") == "month":
                self._row(("measure", "month"), "Month", kind="number")
        self._row(("measure", "label"), "Name of the number")
        self._row(("measure", "note"), "Said with it", hint="Such as \u201cafter 6 months\u201d; may be empty.")
        if "check" not in (read, get(tree, ("watch", "read")) or "year"):
            self._row(("run", "days"), "Days that it runs", kind="whole")
            self._pick(("run", "upkeep"), "Upkeep", _UPKEEPS)

    def _question(self) -> None:
        tree = self._tree
        self._head("Question and answers")
        self._row(("question",), "Question")
        self._pick(("judge", "by"), "Judged by", _BYS if len(tree["benches"]) > 1 else (_BYS[0], _BYS[2]))
        by = get(tree, ("judge", "by"))
        if by == "limit":
            self._row(("judge", "limit"), "Limit", hint="With its unit: 25 psi, 0.3 mg/L, 40 mJ/cm2, 80 %.")
            self._pick(("judge", "side"), "Which is", _SIDES)
        elif by == "compare":
            self._pick(("judge", "better"), "Of the two", _BETTERS)
        meanings = whens(tree)
        for i, answer in enumerate(tree["answers"]):
            self._row(("answers", i, "text"), meanings.get(answer.get("when", ""), f"Answer {i + 1}"))
            if by == "range" and i < len(tree["answers"]) - 1:
                self._row(("answers", i, "below"), "below", kind="quantity", hint="A quantity with its unit.")
        if by == "range":
            drop = (("less answers", "Remove the last", "Remove the last answer"),) if len(tree["answers"]) > 2 else ()
            self._buttons(("more answers", "Add an answer", "Add an answer"), *drop)

    def _controls(self) -> None:
        self._head("What the class may change", "Up to four sliders. What they change is worked out again before the class.")
        for i, control in enumerate(self._tree.get("controls", ())):
            self._control(i, bool(control.get("choices")))
        if len(self._tree.get("controls", ())) < 4:
            options = [(words, words) for words, _ in suggest.changes(self._known)]
            row = Row(NEW_CONTROL, "Let them change", choice("Let them change", options))
            self.rows.append(row)
            self._column.addWidget(row)

    def _control(self, index: int, is_choice: bool) -> None:
        at: At = ("controls", index)
        self._row((*at, "label"), f"Slider {index + 1}")
        if is_choice:
            pairs = [(c["value"], str(c["text"])) for c in get(self._tree, (*at, "choices"), [])]
            self._pick((*at, "start"), "In the scene", pairs)
        else:
            unit = get(self._tree, (*at, "unit"))
            for key, label in (("min", "least"), ("max", "most"), ("step", "in steps of"), ("start", "in the scene")):
                self._row((*at, key), f"{label}, {unit}" if unit else label, kind="number")
        self._buttons((f"drop control {index}", "Remove", f"Remove slider {index + 1}"))

    def _watch(self) -> None:
        tree = self._tree
        self._head("Watch")
        self._row(("watch", "text"), "What to watch", Prose(2))
        over = [("time", "the time of the run")]
        over += [(c["key"], c["label"]) for c in tree.get("controls", ()) if not c.get("choices")]
        self._pick(("watch", "over"), "The chart runs over", over)
        self._row(("watch", "label"), "Title of the chart", hint="Empty: the name of the number.")
        self._pick(("watch", "read"), "It shows", _SHOWS)
        read = get(tree, ("watch", "read"))
        if read:
            self._pick(("watch", "at"), "Where", suggest.places(self._known))
            known = Known()
            choices = suggest.quantities(read, get(tree, ("watch", "at")), self._known)
            known.know([key for key, _ in choices])
            words = dict(choices).get(get(tree, ("watch", "key")), "")
            self._row(("watch", "key"), "What", known, hint=words or "Down lists what is known.")
            self._row(("watch", "wanted"), "Dotted line at", hint="A quantity with its unit; may be empty.")

    def _point(self) -> None:
        self._head("Point and caution")
        said = "{A} and {B} stand for the numbers, {limit} for the limit."
        self._row(("point", "text"), "The point", Prose(4), hint=said)
        self._pick(("point", "answer"), "It explains the answer", [(a["text"], a["text"]) for a in self._tree["answers"]])
        self._row(("safety",), "Safety", Prose(3), hint="Stands directly under the numbers.")

    # Looking up ---------------------------------------------------------------------------------------------------------------

    def row_at(self, place: str) -> Row | None:
        """The row of a place as errors name it, or of what the place lies in."""
        best: Row | None = None
        for row in self.rows:
            own = dotted(row.at)
            if place == own or place.startswith(f"{own}."):
                best = row
        return best or next((row for row in self.rows if place and dotted(row.at).startswith(f"{place}.")), None)

    def follow_answers(self) -> None:
        """Offer the answers as they are worded now."""
        row = next(row for row in self.rows if row.at == ("point", "answer"))
        if isinstance(row.editor, ChoiceBox):
            texts = [answer["text"] for answer in self._tree["answers"]]
            fill(row.editor, [(text, text) for text in texts])
            row.show_value(self._tree["point"]["answer"])

    def named(self) -> Iterator[tuple[str, Row]]:
        """Every row with its place."""
        return ((dotted(row.at), row) for row in self.rows)


def _default(at: At) -> object:
    """What holds where a lesson says nothing."""
    return {
        ("measure", "flow"): "peak",
        ("measure", "where"): "out",
        ("measure", "of_day"): "least",
        ("measure", "take"): "month",
        ("measure", "month"): 12.0,
        ("run", "days"): 365,
        ("run", "upkeep"): "on-time",
        ("judge", "side"): "at_least",
        ("watch", "over"): "time",
    }.get(at, "")  # type: ignore[call-overload]
