"""What the commands do to a document and its workspace. A command `x` of the table is the method `do_x`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt

from trainapp import units
from trainapp.desktop.bench import placing
from trainapp.desktop.bench.doing import BenchDoing
from trainapp.desktop.doing_files import FileDoing
from trainapp.desktop.editors.doing import OpensEditors
from trainapp.desktop.finder import Choice, Finder
from trainapp.desktop.session import Session
from trainapp.desktop.workspace import Workspace
from trainapp.train.edits import Link, MoveStage

if TYPE_CHECKING:
    from trainapp.desktop.window import Window

#: A step of the flow that is tried, in the unit shown: a tenth of the peak.
_STEPS = 10.0


class Doing(QObject, BenchDoing, FileDoing, OpensEditors):
    """Carries the window's commands out."""

    def __init__(self, window: Window, session: Session, workspace: Workspace) -> None:
        super().__init__(window)
        self.window = window
        self.session = session
        self.workspace = workspace
        self.canvas = workspace.canvas
        self.listen_to_bench()

    # Edit ---------------------------------------------------------------------------------------------------------------------

    def do_undo(self) -> None:
        """Take the last step back."""
        self.session.stack.undo()

    def do_redo(self) -> None:
        """Do what was taken back again."""
        self.session.stack.redo()

    def do_rename(self) -> None:
        """Go to the name on the card."""
        self.workspace.right.show_page("Stage card")
        self.workspace.right.card.focus_name()

    def do_edit_card(self) -> None:
        """Go to the first setting of what is selected."""
        self.workspace.open_card()

    # Train --------------------------------------------------------------------------------------------------------------------

    def do_add(self) -> None:
        """Go to the shelf."""
        self.workspace.open_shelf()

    def do_earlier(self) -> None:
        """Change places with the stage ahead."""
        self._step(forward=False)

    def do_later(self) -> None:
        """Change places with the stage behind."""
        self._step(forward=True)

    def _step(self, forward: bool) -> None:
        node = self._stage()
        if node is None:
            return
        into = placing.step_along(self.session.document, node, forward)
        if into is None:
            self.session.refused.emit(f"Not done: {self.session.title_of(node)} is the {'last' if forward else 'first'} stage")
            return
        self.session.edit(MoveStage(id=node, into=into), select=("stage", node))

    def do_link(self) -> None:
        """Choose the other end of a pipe from what is selected."""
        source = placing.selected_node(self.session.selection)
        if source is None:
            return
        document = self.session.document
        laid = {ends[1] for ends in placing.out_of(document, source)}
        targets = [stage.id for stage in document.stages] + [*document.outlets, "house"]
        choices = [Choice(node, self.session.title_of(node)) for node in targets if node != source and node not in laid]
        self._source = source
        finder = Finder(f"Lay a pipe from {self.session.title_of(source)} to", choices, self.window)
        finder.taken.connect(self._link_to)
        finder.open_at_top()

    def _link_to(self, target: str) -> None:
        self.session.edit(Link(ends=(self._source, target)), select=("link", self._source, target))

    def do_sample(self) -> None:
        """Show the sample sheet and put the keyboard into it."""
        self.workspace.right.show_sample()
        first = next(iter(self.workspace.right.sample.rows.values()), None)
        if first is not None:
            first.editor.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _stage(self) -> str | None:
        tag = self.session.selection
        return str(tag[1]) if tag[:1] == ("stage",) else None

    # View ---------------------------------------------------------------------------------------------------------------------

    def do_bench(self) -> None:
        """Put the keyboard on the bench."""
        self.canvas.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def do_findings(self) -> None:
        """Put the keyboard on the findings."""
        self.workspace.right.findings.focus_list()

    def do_next_finding(self) -> None:
        """Open the next finding and select its place."""
        self._turn_finding(1)

    def do_previous_finding(self) -> None:
        """Open the finding before."""
        self._turn_finding(-1)

    def _turn_finding(self, step: int) -> None:
        count = len(self.session.assessment.findings) if self.session.assessment else 0
        if count:
            now = self.session.finding
            self.session.open_finding((now - 1 + step) % count + 1 if now is not None else 1 if step > 0 else count)

    def do_steps(self) -> None:
        """Show the worked steps."""
        self.workspace.right.show_page("Worked steps")
        self.workspace.right.steps.page.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def do_card(self) -> None:
        """Show the stage card."""
        self.workspace.open_card()

    def do_words(self) -> None:
        """Show or hide the train in words."""
        words = self.window.words
        words.setVisible(not words.isVisible())
        if words.isVisible():
            self.window.tree.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def do_fit(self) -> None:
        """Show the whole train."""
        self.canvas.fit()

    def do_more_flow(self) -> None:
        """Try a tenth of the peak more."""
        self._try(1.0)

    def do_less_flow(self) -> None:
        """Try a tenth of the peak less."""
        self._try(-1.0)

    def do_peak_flow(self) -> None:
        """Show the document's own peak again."""
        self.session.try_flow(None)

    def _try(self, direction: float) -> None:
        peak = self.session.document_peak
        slider = self.canvas.view.slider if self.canvas.view else None
        if slider is None or peak <= 0:
            return
        now = self.session.trial_flow if self.session.trial_flow is not None else peak
        least, most = (units.internal(end, "flow", self.session.system) for end in (slider.least, slider.most))
        flow = min(max(now + direction * peak / _STEPS, least), most)
        self.session.try_flow(None if abs(flow - peak) < 1e-9 else flow)

    def do_units(self) -> None:
        """Change between US and metric units, in every window at once."""
        self.window.units_chosen.emit("metric" if self.session.system == "us" else "us")
