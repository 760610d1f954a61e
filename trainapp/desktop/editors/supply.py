"""Supply: a well with its pump, switch and tank, or a main, beside the chart of what it gives and what the train asks for."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.card_content import Field
from trainapp.desktop.editors.chart import ChartView
from trainapp.desktop.editors.dialog import Editor, heading
from trainapp.desktop.editors.form import Form
from trainapp.desktop.editors.pairs import NEW, PairSheet
from trainapp.desktop.editors.scroll import Sentences, column_area, side_area, stacked
from trainapp.desktop.editors.supply_chart import chart_of, facts_of, words_of
from trainapp.desktop.editors.supply_fields import assumed_words, groups_of, to_control
from trainapp.desktop.parts import BoxButton, caption
from trainapp.desktop.safety import SafetyBlock
from trainapp.hydraulics.supply import Well
from trainapp.train.edits import SetValue

_FORM = 336


class SupplyEditor(Editor):
    """The supply of a document."""

    opens = QSize(1060, 760)

    def build(self) -> None:
        self.form = SupplyForm(self)
        self.chart = ChartView("Pressure against flow: supply and train")
        self.words = Sentences()
        self.curve = PairSheet("Pump curve", ("Flow", "Pressure at the gauge"), ("flow", "pressure"))
        self.curve.setMinimumHeight(124)
        self.curve.changed.connect(self._set_curve)
        self.curve.refused.connect(self._curve_refused)
        self.remove = BoxButton("Remove point", "Remove the point of the current line")
        self.remove.clicked.connect(self._remove_point)
        self.curve_part = QWidget()
        self._arrange_curve()
        right = self._right()
        self.put_beside(side_area("Supply", _FORM, self.form, spacing=10), right, grows=right)

    def _right(self) -> QWidget:
        inside = stacked(self.words, SafetyBlock(self.session), spacing=10)
        lower = QHBoxLayout()
        lower.setSpacing(20)
        lower.addWidget(self.curve_part)
        lower.addWidget(column_area(inside, "What follows"), 1)
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addWidget(self.chart, 3)
        column.addLayout(lower, 2)
        return right

    def _arrange_curve(self) -> None:
        column = QVBoxLayout(self.curve_part)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        head = QHBoxLayout()
        head.addWidget(heading("Pump curve"))
        head.addStretch(1)
        head.addWidget(self.remove)
        column.addLayout(head)
        column.addWidget(self.curve, 1)
        column.addWidget(caption("Two columns can be pasted from a spreadsheet."))
        self.curve_part.setFixedWidth(296)

    def first(self) -> QWidget | None:
        return self.form.first()

    # Showing ------------------------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        session = self.session
        supply = session.document.supply
        self.form.show_groups(groups_of(session.document))
        self.curve_part.setVisible(supply.kind == "well")
        self.curve.show_pairs(supply.pump_curve or (), session.system)
        if session.assessment is None:
            return
        facts = facts_of(session.assessment.evaluation, session.system)
        said = words_of(facts)
        self.words.show_sentences(said)
        self.chart.show_chart(chart_of(facts), [sentence for _, sentence in said])
        self.remove.setEnabled(isinstance(facts.supply, Well) and len(self.curve.pairs) > 2)

    # Doing --------------------------------------------------------------------------------------------------------------------

    def _set_curve(self, pairs: list[list[str]]) -> None:
        reason = self.attempt(SetValue(path=("supply", "pump_curve"), value=pairs))
        if reason:
            self.curve.give_up()
            self._curve_refused(reason)
        else:
            self.say("")

    def _curve_refused(self, reason: str) -> None:
        self.say(f"Pump curve: {reason}; it stays as it was.", refused=True)

    def _remove_point(self) -> None:
        if self.curve.key not in ("", NEW):
            self.curve.cleared.emit(self.curve.key, self.curve.column)


class SupplyForm(Form):
    """The fields of the supply; another kind or control says what it assumed."""

    def _attempt(self, field: Field, value: Any) -> str:
        document = self.editor.session.document
        asked = {"supply.kind": value, "supply.control": "constant" if value == "constant" else ""}.get(field.key)
        words = assumed_words(document, str(asked)) if asked else ""
        edit = to_control(document, value) if field.key == "supply.control" else field.change(value)
        reason = self.editor.attempt(edit)
        if not reason:
            self.editor.say(words)
        return reason


EDITOR = SupplyEditor
