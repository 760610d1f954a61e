"""What the commands do on the bench. A command `x` of the table is the method `do_x`; mixed into the window's own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint
from PySide6.QtGui import QGuiApplication

from trainapp.desktop.adding import OUTLET
from trainapp.desktop.bench import clipping, placing, several
from trainapp.desktop.bench.add_here import AddHere
from trainapp.desktop.bench.menus import BenchMenu, commands_for
from trainapp.desktop.bench.overview import Overview
from trainapp.desktop.bench.rounding import NotRound
from trainapp.desktop.bench.rows_menu import RowsMenu
from trainapp.desktop.bench.sight import STEP
from trainapp.train.document import DocumentError
from trainapp.train.edits import Edit, Stand

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas
    from trainapp.desktop.session import Session
    from trainapp.desktop.window import Window
    from trainapp.desktop.workspace import Workspace


class BenchDoing:
    """Commands that work on what is selected on the bench, one thing or several."""

    window: Window
    session: Session
    workspace: Workspace
    canvas: BenchCanvas
    overview: Overview | None = None

    def listen_to_bench(self) -> None:
        """Take up what the bench asks for."""
        self.canvas.menu_asked.connect(self.open_menu)
        self.canvas.add_asked.connect(self.do_add_here)
        self.workspace.verdict.overview_asked.connect(self.do_overview)
        self.workspace.verdict.tidy_asked.connect(self.do_tidy)

    def shown_on_bench(self) -> dict[str, bool]:
        """Which of the things that can be shown or hidden are shown."""
        return {
            "overview": self.overview is not None and self.overview.isVisible(),
            "clearances": self.canvas.options.clearances,
        }

    def open_menu(self, at: QPoint) -> None:
        """Open the menu of what is selected."""
        several_ = len(self.session.chosen) > 1
        self.window.follow()
        kept = self._kept(several.removal(self.session.document, self.session.chosen))
        cannot = {"remove": kept} if kept else {}
        BenchMenu(self.window.actions_by_id, commands_for(self.session.selection, several_), self.canvas, cannot).open_at(at)

    def _edit(self, edit: Edit | None, why_not: str) -> bool:
        """Do an edit; where there is none say why."""
        if edit is None:
            self.session.refused.emit(f"Not done: {why_not}")
            return False
        return self.session.edit(edit)

    # Several ------------------------------------------------------------------------------------------------------------------

    def do_select_all(self) -> None:
        """Select every stage."""
        if self.canvas.view is not None:
            order = [*self.canvas.view.route.nodes(), *self.canvas.view.route.loose]
            tags = tuple(("stage", node) for node in order)
            self.session.select(tags[-1] if tags else (), tags[:-1])

    def do_remove(self) -> None:
        """Remove everything that is selected; pipes close behind stages."""
        edit = several.removal(self.session.document, self.session.chosen)
        reason = self._kept(edit)
        if reason:
            self.session.refused.emit(f"Not done: {reason}")
        elif edit is not None:
            one = len(self.session.chosen) == 1 and self.session.selection[0] == "stage"
            self.session.edit(edit, select=None if one else ())

    def _kept(self, edit: Edit | None) -> str:
        """Why what is selected cannot be removed."""
        pipe = len(self.session.chosen) == 1 and self.session.selection[0] == "link"
        return several.why_kept(self.session.document, edit, pipe) if edit is not None else ""

    def do_twin(self) -> None:
        """Put a twin beside each selected stage."""
        self._edit(several.twins(self.session.document, self.session.chosen), "no stage is selected")

    def do_bypass(self) -> None:
        """Lay a bypass round the selected stages."""
        try:
            edit = several.bypass_round(self.session.document, self.session.chosen)
        except NotRound as error:
            self.session.refused.emit(f"Not done: {error}")
            return
        self._edit(edit, "select the stages that it should lead round first")

    def do_outdoor(self) -> None:
        """Let a branch to outdoor taps leave behind what is selected, at the supply where nothing is."""
        tag = self.session.selection
        link = (str(tag[1]), str(tag[2])) if len(tag) == 3 and tag[0] == "link" else None
        self.canvas.put(OUTLET, tag, link)

    # Clipboard ----------------------------------------------------------------------------------------------------------------

    def do_copy(self) -> bool:
        """Copy the selected stages as text; whether there were any."""
        text = clipping.copied(self.session.document, self.session.chosen)
        if text:
            QGuiApplication.clipboard().setText(text)
        return bool(text)

    def do_cut(self) -> None:
        """Copy the selected stages and remove them."""
        if self.do_copy():
            self.do_remove()

    def do_paste(self) -> None:
        """Paste stages at the pointer, else behind what is selected, else ahead of the house."""
        self._paste(QGuiApplication.clipboard().text(), self._paste_place())

    def do_duplicate(self) -> None:
        """Put copies of the selected stages behind the last of them."""
        text = clipping.copied(self.session.document, self.session.chosen)
        if text:
            self._paste(text, several.way_behind(self.session.document, self.session.chosen))

    def _paste(self, text: str, into: placing.Ends | None) -> None:
        try:
            edit = clipping.pasting(text, into)
        except DocumentError as error:
            self.session.refused.emit(f"Not done: {error.sentence}")
            return
        self.session.edit(edit)

    def _paste_place(self) -> placing.Ends | None:
        """The pipe at the pointer while it is over the bench, else the one that is selected or behind what is selected."""
        canvas, document = self.canvas, self.session.document
        at = canvas.pointer
        if at is not None and canvas.view is not None and at.y() < canvas.bench_bottom and canvas.viewport().underMouse():
            return placing.link_at(canvas.view, canvas.tag_at(at), canvas.on_bench(at).x())
        tag = self.session.selection
        if len(tag) == 3 and tag[0] == "link":
            return str(tag[1]), str(tag[2])
        node = placing.selected_node(tag)
        behind = placing.onward(document, node) if node is not None else None
        return behind or next(iter(placing.into(document, placing.HOUSE)), None)

    # Adding -------------------------------------------------------------------------------------------------------------------

    def do_add_here(self) -> None:
        """Open the shelf as a list at the pointer, or at what is selected."""
        canvas = self.canvas
        over = canvas.pointer is not None and canvas.pointer.y() < canvas.bench_bottom
        at = canvas.pointer if over else None
        AddHere(canvas, at).open_there(at)

    # Floor --------------------------------------------------------------------------------------------------------------------

    def _chosen_nodes(self) -> list[str]:
        return [node for tag in self.session.chosen if (node := placing.selected_node(tag)) is not None]

    def _stand(self, edit: Stand | None, why_not: str) -> None:
        """Let stages stand elsewhere; what is selected stays so."""
        if edit is None:
            self.session.refused.emit(f"Not done: {why_not}")
        else:
            self.session.edit(edit, select=self.session.selection, also=self.session.also)

    def do_evenly(self) -> None:
        """Leave the same gap between the selected stages."""
        floor = self.canvas.floor
        self._stand(floor.evenly(self._chosen_nodes()) if floor else None, "select three stages or more that stand on the floor")

    def do_side_by_side(self) -> None:
        """Leave the usual gap between the selected stages."""
        floor = self.canvas.floor
        self._stand(floor.side_by_side(self._chosen_nodes()) if floor else None, "select two stages or more that stand on the floor")

    def do_to_left(self) -> None:
        """Move the selected stages to the left wall."""
        floor = self.canvas.floor
        self._stand(floor.against(self._chosen_nodes(), "left") if floor else None, "select a stage that stands on the floor")

    def do_to_right(self) -> None:
        """Move the selected stages to the right wall."""
        floor = self.canvas.floor
        edit = floor.against(self._chosen_nodes(), "right") if floor else None
        self._stand(edit, "it needs a stage that stands on the floor, and a room whose width is known")

    def do_own_floor(self) -> None:
        """Take the floor over: every stage keeps the place where it stands."""
        floor = self.canvas.floor
        self._stand(floor.as_it_stands() if floor and floor.spots else None, "no stage stands on the floor")

    def do_tidy(self) -> None:
        """Give the floor back to the program."""
        self.canvas.tidy_up()

    # View ---------------------------------------------------------------------------------------------------------------------

    def do_zoom_in(self) -> None:
        """Show the bench larger."""
        self.canvas.sight.zoom_by(STEP)

    def do_zoom_out(self) -> None:
        """Show the bench smaller."""
        self.canvas.sight.zoom_by(1 / STEP)

    def do_full_size(self) -> None:
        """Show the bench at half an inch to the foot."""
        self.canvas.sight.full_size()

    def do_fit_selected(self) -> None:
        """Show what is selected as large as it fits."""
        self.canvas.sight.fit_selected()

    def do_overview(self) -> None:
        """Show or hide the whole train in small."""
        if self.overview is None:
            self.overview = Overview(self.canvas)
            self.overview.show()
        else:
            self.overview.setVisible(not self.overview.isVisible())

    def do_clearances(self) -> None:
        """Draw the free places that service needs at every stage, or only where there is not enough room."""
        self.canvas.show_clearances(not self.canvas.options.clearances)

    def do_choose_rows(self) -> None:
        """Choose the rows of the ledger."""
        RowsMenu(self.canvas).open_at(self.canvas.viewport().mapToGlobal(self.canvas.selected_at()))
