"""Outlets: the ends beside the house, what each draws, where it is fed, and what is said of it."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp import units
from trainapp.data import load_toml
from trainapp.desktop.card_content import Field, Group
from trainapp.desktop.editors.dialog import Editor, heading
from trainapp.desktop.editors.form import Form
from trainapp.desktop.editors.pick import Pick
from trainapp.desktop.editors.said import findings_at
from trainapp.desktop.editors.scroll import Sentences, column_area
from trainapp.desktop.editors.sheet import Cell, Column, Line, Sheet
from trainapp.desktop.editors.sheet_model import retold
from trainapp.desktop.editors.values import Value, choice, quantities
from trainapp.desktop.parts import BoxButton, wrapped
from trainapp.reports.drawing.display import Tag
from trainapp.stages.working import PEAK
from trainapp.train.document import Document
from trainapp.train.edits import AddOutlet, Batch, Edit, Link, RemoveOutlet, Rename, Unlink
from trainapp.train.naming import Names
from trainapp.train.zones import SUPPLY

_VALUES = (
    Value("peak", "Peak", "flow", "the most that is drawn there at once"),
    Value("daily", "Day's use", "volume", "what a day uses there"),
    Value("lift", "Lift", "distance", "height from the gauge up to it"),
)
_WORDS = {
    "drinking": ("Someone drinks", "whether someone drinks from it; if not, it needs a label"),
    "with_house": ("Drawn with the house", "whether it is drawn from while the house draws its peak"),
}
_COLUMNS = (
    Column("name", "Outlet"),
    Column("after", "Fed after", 132),
    Column("peak", "Peak", 84, right=True),
    Column("pressure", "Left at peak", 92, right=True),
)


class OutletsEditor(Editor):
    """The outlets of a document."""

    opens = QSize(880, 600)

    def build(self) -> None:
        self.name = self._renamed = ""
        self.sheet = Sheet("Outlets")
        self.sheet.current.connect(self._turn)
        self.add = BoxButton("Add an outlet", "Add an end beside the house, fed from the supply")
        self.add.clicked.connect(self._add)
        self.remove = BoxButton("Remove", "Remove this outlet with its pipe")
        self.remove.clicked.connect(self._remove)
        self.title = heading("")
        self.form = Form(self)
        self.after = Pick("Fed after", 148, 0)
        self.after.picked.connect(self._feed)
        self.passes = wrapped("", "ink3")
        self.words = Sentences()
        row = QHBoxLayout()
        row.setSpacing(20)
        row.addWidget(self._list(), 1)
        row.addWidget(self._card())
        self.column.addLayout(row, 1)

    def _list(self) -> QWidget:
        part = QWidget()
        column = QVBoxLayout(part)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(wrapped("The house is an end of its own; these are the others: a garden tap, a barn, a flat upstairs.", "ink3"))
        column.addWidget(self.sheet, 1)
        buttons = QHBoxLayout()
        buttons.addWidget(self.add)
        buttons.addStretch(1)
        column.addLayout(buttons)
        return part

    def _card(self) -> QWidget:
        self.card = QWidget()
        column = QVBoxLayout(self.card)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(8)
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.remove)
        column.addLayout(head)
        for widget in (self.form, self.after, self.passes, self.words):
            column.addWidget(widget)
        column.addStretch(1)
        area = column_area(self.card, "This outlet")
        area.setFixedWidth(380)
        return area

    # Showing ------------------------------------------------------------------------------------------------------------------

    def first(self) -> QWidget:
        return self.sheet if self.session.document.outlets else self.add

    def turn_to(self, selection: Tag) -> None:
        if selection[:1] == ("end",) and selection[1] in self.session.document.outlets:
            self.sheet.go_to(str(selection[1]), "name")

    def refresh(self) -> None:
        document = self.session.document
        if self.name not in document.outlets:
            self.name = self._renamed if self._renamed in document.outlets else next(iter(document.outlets), "")
        wanted = self.name
        self.sheet.show_lines(_COLUMNS, retold([self._line(name) for name in document.outlets], self.session.system))
        self.name = wanted  # new lines make an old one current again
        self.sheet.setVisible(bool(document.outlets))
        self.card.setVisible(bool(self.name))
        if self.name:
            if self.sheet.key != self.name:
                self.sheet.go_to(self.name, "name")
            self._show_card(self.name)

    def _line(self, name: str) -> Line:
        session, outlet = self.session, self.session.document.outlets[name]
        point = session.assessment.evaluation.points.get(name) if session.assessment else None
        left = units.typeset(units.show(point.pressure.dirty, "pressure", session.system)) if point and outlet.flag("with_house") else ""
        fed = feeder(session.document, name)
        cells = (
            Cell(name, bold=True),
            Cell(session.title_of(fed) if fed else "no pipe leads here", token="ink2"),
            Cell(units.typeset(str(outlet.peak)), token="ink2"),
            Cell(left, token="ink2", note="at the peak, filters dirty, beside the house" if left else ""),
        )
        return Line(name, name, cells)

    def _show_card(self, name: str) -> None:
        document = self.session.document
        outlet = document.outlets[name]
        self.title.setText(self.session.title_of(name))
        path = ("outlets", name)
        flags = tuple(choice(outlet, path, key, label, meaning, ("true", "false")) for key, (label, meaning) in _WORDS.items())
        self.form.show_groups([Group("", (self._name_field(name), *quantities(outlet, path, _VALUES), self._pressure(name), *flags))])
        nodes = [(SUPPLY, self.session.title_of(SUPPLY)), *((stage.id, self.session.title_of(stage.id)) for stage in document.stages)]
        self.after.show_choices(nodes, feeder(document, name))
        self.passes.setText(self._way(name))
        self.words.show_sentences(findings_at(self.session, (name,)))

    def _name_field(self, name: str) -> Field:
        def change(value: Any) -> Edit:
            self._renamed = str(value or "")
            return Rename(what="outlet", old=name, new=self._renamed)

        return Field("id", "Name", "how the outlet is called here and in files", "text", name, "", change)

    def _pressure(self, name: str) -> Field:
        """Pressure wanted there: its own, else the goal of the house."""
        document = self.session.document
        (field,) = quantities(
            document.outlets[name],
            ("outlets", name),
            (Value("pressure", "Pressure wanted", "pressure", "that of the house where not given"),),
        )
        stands = "" if field.written else str(document.goals.raw("outlet_pressure"))
        return Field(field.key, field.label, field.meaning, field.form, field.written, stands, field.change, field.dimension)

    def _way(self, name: str) -> str:
        """What the water passes on its way there."""
        assessment = self.session.assessment
        if assessment is None or name not in assessment.evaluation.points:
            return "No water comes here yet."
        way = [node for node in passed(self.session.document, name) if node != SUPPLY]
        wanted = float(assessment.evaluation.plan.demands[name].flows[PEAK])
        apart = "" if wanted else " It is not part of the peak."
        if not way:
            return f"Raw water: it passes no stage on its way here.{apart}"
        return f"It passes {', '.join(self.session.title_of(node) for node in way)}.{apart}"

    def _turn(self, name: str) -> None:
        if name and name != self.name:
            self.name = name
            self.say("")
            self._show_card(name)

    # Doing --------------------------------------------------------------------------------------------------------------------

    def _add(self) -> None:
        document = self.session.document
        taken = {*document.outlets, *(stage.id for stage in document.stages)}
        name = next(n for n in ("outlet", *(f"outlet-{i}" for i in range(2, len(taken) + 3))) if n not in taken)
        start = load_toml("train/starts.toml")["outlet"]
        before, self.name = self.name, name
        if not self.do(
            AddOutlet(name=name, outlet={"peak": start["peak"]}), f"A peak of {start['peak']} is assumed until you type another."
        ):
            self.name = before

    def _remove(self) -> None:
        if self.name:
            self.do(RemoveOutlet(name=self.name))

    def _feed(self, node: str) -> None:
        document = self.session.document
        if self.do(fed_after(document, self.name, node)):
            return
        self.refresh()


def feeder(document: Document, name: str) -> str:
    """The node that feeds an end, "" for none; of several the first."""
    return next((link.from_ for link in document.links if link.to == name), "")


def passed(document: Document, name: str) -> list[str]:
    """Every node that water to an end may pass, in the order of the document's stages."""
    behind: set[str] = set()
    pending = [name]
    while pending:
        node = pending.pop()
        for link in document.links:
            if link.to == node and link.from_ not in behind:
                behind.add(link.from_)
                pending.append(link.from_)
    return [node for node in (SUPPLY, *(stage.id for stage in document.stages)) if node in behind]


def fed_after(document: Document, name: str, node: str) -> Edit:
    """Feed an end from another node; its pipe stays what it is."""
    edits: list[Any] = []
    pipe: Any = None
    for link in document.tree.get("links", []):
        if link["to"] == name:
            pipe = pipe if pipe is not None else link.get("pipe")
            edits.append(Unlink(ends=(link["from"], name)))
    edits.append(Link(ends=(node, name), pipe=pipe))
    names = Names(document)
    return Batch(edits=edits, name=f"Feed {names.plain(name)} after {names.plain(node)}")


EDITOR = OutletsEditor
