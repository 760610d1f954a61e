"""Add here: the shelf as a list at the cursor, and under it what the line that is marked would do to the findings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF
from PySide6.QtWidgets import QListWidgetItem

from trainapp.desktop.adding import BESIDE_A_STAGE, ITEM, NotHere, ShelfEntry, adding, items_like, shelf
from trainapp.desktop.bench import placing
from trainapp.desktop.bench.forecast import Forecast, Outlook
from trainapp.desktop.finder import Choice, Finder
from trainapp.desktop.parts import TokenLabel
from trainapp.reports.drawing.display import Tag
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.train.edits import Edit

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas


class AddHere(Finder):
    """Opens at a point of the bench, or at what is selected where there is no pointer."""

    def __init__(self, canvas: BenchCanvas, at: QPointF | None) -> None:
        self.canvas = canvas
        self.beside: Tag = canvas.tag_at(at) if at is not None else canvas.session.selection
        self.link = self._link(at)
        where = canvas.hints.where(self.link)
        super().__init__(f"Add {where}" if where else "Add here", [_choice(entry) for entry in shelf()], canvas.window())
        self.outlook = TokenLabel("", "ink2", CAPTION)
        self.layout().addWidget(self.outlook)
        self._forecast = Forecast(canvas.session, self)
        self._forecast.ready.connect(self._foreseen)
        self.list.currentItemChanged.connect(self._marked)
        self.taken.connect(self._put)
        self._marked(self.list.currentItem(), None)

    def show_matching(self, text: str) -> None:
        """Lines of the shelf and, once something is typed, items of the catalogue that hold every word."""
        self.choices = [_choice(entry) for entry in (*shelf(), *(items_like(text) if text.strip() else ()))]
        super().show_matching(text)

    def _link(self, at: QPointF | None) -> placing.Ends | None:
        """The pipe at the pointer; without one the pipe that is selected."""
        view = self.canvas.view
        if at is not None and view is not None:
            return placing.link_at(view, self.canvas.tag_at(at), self.canvas.on_bench(at).x())
        tag = self.canvas.session.selection
        return (str(tag[1]), str(tag[2])) if len(tag) == 3 and tag[0] == "link" else None

    def edit(self, key: str) -> Edit:
        """The edit that puts a line of the shelf here.

        Raises:
            NotHere: it cannot go here.
        """
        link = None if key in BESIDE_A_STAGE else self.link
        return adding(self.canvas.session.document, key, self.beside, link)

    def open_there(self, at: QPointF | None) -> None:
        """Open at the pointer, else over what is selected."""
        canvas = self.canvas
        point = QPoint(round(at.x()), round(at.y())) if at is not None else canvas.selected_at()
        self.open_at(canvas.viewport().mapToGlobal(point))

    def _marked(self, item: QListWidgetItem | None, _before: QListWidgetItem | None) -> None:
        key = self.key_of(item)
        if key is None:
            self.outlook.setText("")
            return
        try:
            edit = self.edit(key)
        except NotHere as error:
            self._forecast.drop()
            self.outlook.setText(str(error))
            return
        self.outlook.setText("findings: working it out")
        self._forecast.ask(edit)

    def _foreseen(self, outlook: Outlook) -> None:
        self.outlook.setText(f"{outlook.words}: {outlook.worst}" if outlook.worst else outlook.words)

    def _put(self, key: str) -> None:
        try:
            self.canvas.session.edit(self.edit(key))
        except NotHere as error:
            self.canvas.session.refused.emit(f"Not done: {error}")


def _choice(entry: ShelfEntry) -> Choice:
    return Choice(entry.key, entry.label, "" if entry.key.startswith(ITEM) else entry.group)
