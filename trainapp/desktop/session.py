"""One open document: its file, its steps of undo, what it evaluates to and what is selected. Keeps no numbers of its own."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from trainapp.desktop.commands import Chosen, PatchCommand
from trainapp.desktop.engine import Assessment, System, assess
from trainapp.desktop.typed import Refusal
from trainapp.reports.drawing.display import Tag
from trainapp.reports.drawing.model import BenchModel
from trainapp.train import store
from trainapp.train.document import Document, DocumentError, load
from trainapp.train.edits import Edit, Patch, SetValue, apply, plan_edit
from trainapp.train.floor import places
from trainapp.units import write

if TYPE_CHECKING:
    from trainapp.studies.cost import PriceList

Assess = Callable[[Document, System], Assessment]
NOTHING: Tag = ()


class Session(QObject):
    """The document that a window works on.

    The document is always valid. Where it cannot be evaluated the last evaluation stays, marked stale, with the reason.
    """

    #: Signal emitted when the document or what it evaluates to is another; what is selected may be, too.
    changed = Signal()
    #: Signal emitted when only what is shown of it is another: a flow that is tried, the units.
    shown_changed = Signal()
    #: Signal emitted when something else is selected, or another finding is opened, and the document is the same.
    selection_changed = Signal()
    #: Signal emitted when something was not done, with one sentence.
    refused = Signal(str)
    #: Signal emitted when the document was written to its file.
    saved = Signal()

    def __init__(
        self, document: Document, path: Path | None = None, *, system: System = "us", assess: Assess = assess, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.stack = QUndoStack(self)
        self.path = path
        #: What tells it from another train of the same site, and the prices that it came with.
        self.called = ""
        self.prices: PriceList | None = None
        self.system: System = system
        self.saved_at: datetime | None = None
        self.assessment: Assessment | None = None
        self.trial: Assessment | None = None
        self.trial_flow: float | None = None
        self.stale = ""
        self.selection: Tag = NOTHING
        #: What is selected beside it, by rubber band or with Shift.
        self.also: tuple[Tag, ...] = ()
        self.finding: int | None = None
        self._document = document
        self._assess = assess
        self._gestures = 0
        #: Of the file as it was read or written last: where it is another one now, someone else has changed it.
        self.fingerprint = store.fingerprint(path) if path else None
        self.stack.indexChanged.connect(self._refresh)
        self._evaluate()

    # What it is ---------------------------------------------------------------------------------------------------------------

    @property
    def document(self) -> Document:
        """The document as it is now."""
        return self._document

    @property
    def shown(self) -> Assessment | None:
        """What the bands show: the flow that is tried, else the document; None before a first evaluation succeeded."""
        return self.trial or self.assessment

    @property
    def model(self) -> BenchModel | None:
        """What the bench shows: numbers of the flow that is tried, marks and findings of the document; None where nothing is."""
        if self.assessment is None or self.trial is None:
            return self.assessment.model if self.assessment else None
        own = self.assessment.model
        return replace(self.trial.model, findings=own.findings, verdict=own.verdict, try_flow=own.try_flow)

    @property
    def name(self) -> str:
        """Name of the site, else of the file."""
        return self._document.site.word("name") or (self.path.name.removesuffix(".train.json") if self.path else "New train")

    @property
    def title(self) -> str:
        """The name, and what tells this train of the site from another."""
        return f"{self.name} \u2013 {self.called}" if self.called else self.name

    @property
    def slug(self) -> str:
        """The title as the beginning of a file's name."""
        words = f"{self.name} {self.called}".strip()
        return "".join(c if c.isalnum() else "-" for c in words.lower()).strip("-") or "train"

    @property
    def placed(self) -> bool:
        """Whether anything has a place of its own on the floor."""
        return bool(places(self._document))

    @property
    def is_clean(self) -> bool:
        """Whether the file holds the document as it is."""
        return self.stack.isClean()

    @property
    def document_peak(self) -> float:
        """Peak flow at the house, m3/s, as evaluated; 0 where nothing is."""
        return float(self.assessment.evaluation.plan.demands["house"].flows[2]) if self.assessment else 0.0

    def title_of(self, node: str) -> str:
        """Number and name of a node as the bench shows them."""
        model = self.assessment.model if self.assessment else None
        stage = model.stage(node) if model is not None else None
        if stage is not None:
            return stage.title
        if model is not None and node == "supply":
            return model.supply.name
        return next((end.name for end in model.ends if end.id == node), node) if model is not None else node

    # Edits --------------------------------------------------------------------------------------------------------------------

    def edit(self, edit: Edit, *, select: Tag | None = None, also: tuple[Tag, ...] = (), gesture: str = "") -> bool:
        """Do an edit as one step of undo; where it cannot be done, say so and change nothing.

        Args:
            select: what is selected afterwards; None for the stages that came in, else what is selected now.
            also: what is selected beside it.
            gesture: from :meth:`begin_gesture`, for edits that are one step together.
        """
        reason = self.attempt(edit, select=select, also=also, gesture=gesture)
        if reason is None:
            return True
        if reason:
            self.refused.emit(f"Not done: {reason}")
        return False

    def attempt(self, edit: Edit, *, select: Tag | None = None, also: tuple[Tag, ...] = (), gesture: str = "") -> str | None:
        """Like :meth:`edit`, but gives the reason: None where it was done, "" where there was nothing to do."""
        try:
            patch = plan_edit(self._document, edit)
        except DocumentError as error:
            return Refusal.of(self._document, error)
        if not patch.changes:
            return ""
        after = self._selection_after(patch) if select is None else Chosen(select, also)
        self.stack.push(PatchCommand(self, patch, Chosen(self.selection, self.also), after, gesture))
        return None

    def begin_gesture(self, name: str) -> str:
        """A name of its own for a drag or for typing in a field."""
        self._gestures += 1
        return f"{name} {self._gestures}"

    def put(self, document: Document, select: Chosen) -> None:
        """Take a document over; for undo commands alone."""
        self._document = document
        self._choose(select.tag, select.also)

    def report(self, error: Exception) -> None:
        """Say that a step failed; the document is as it was."""
        self.refused.emit(f"Not done: {error}")

    def _selection_after(self, patch: Patch) -> Chosen:
        """The stages that come in, else what is selected, else the neighbour of what goes."""
        result = apply(self._document, patch)
        before = [stage.id for stage in self._document.stages]
        came = [stage.id for stage in result.stages if stage.id not in before]
        left = [name for name in before if result_lacks(result, name)]
        if came and not left:
            return Chosen(("stage", came[0]), tuple(("stage", name) for name in came[1:]))
        if came and self.selection == ("stage", left[0]):
            return Chosen(("stage", came[0]))
        if len(self.selection) == 2 and self.selection[0] == "stage" and self.selection[1] in left:
            feeding = [link.from_ for link in self._document.links if link.to == self.selection[1]]
            return Chosen(node_tag(result, feeding[0]) if feeding else NOTHING)
        return Chosen(self.selection, self.also)

    # Evaluation ---------------------------------------------------------------------------------------------------------------

    def _refresh(self, _index: int = 0) -> None:
        self._evaluate()
        self.changed.emit()

    def _evaluate(self) -> None:
        """Evaluate the document; where that fails keep what was, and why."""
        opened = self._opened_key()
        self.trial = self.trial_flow = None
        try:
            self.assessment = self._assess(self._document, self.system)
            self.stale = ""
        except DocumentError as error:
            self.stale = Refusal.of(self._document, error)
        except Exception as error:
            # A fault of the program, not of the document: what is on the screen stays usable, and the fault is shown for what it is.
            self.stale = f"the program failed at it, {type(error).__name__}: {error}"
            sys.excepthook(type(error), error, error.__traceback__)
        self.finding = self._find_key(opened)

    def set_system(self, system: System) -> None:
        """Show everything in other units."""
        if system != self.system:
            self.system = system
            flow = self.trial_flow
            self._evaluate()
            self.changed.emit()
            if flow is not None:
                self.try_flow(flow)

    def try_flow(self, flow: float | None) -> None:
        """Show the train at another peak flow, m3/s; None for the document's own. The document is not changed."""
        self.trial = self.trial_flow = None
        if flow is not None and not self.stale:
            try:
                patch = plan_edit(self._document, SetValue(path="demand.peak", value=write(flow, "flow")))
                self.trial = self._assess(apply(self._document, patch), self.system)
                self.trial_flow = flow
            except DocumentError as error:
                self.refused.emit(f"Not tried: {Refusal.of(self._document, error)}")
        self.shown_changed.emit()

    # Selection ----------------------------------------------------------------------------------------------------------------

    @property
    def chosen(self) -> tuple[Tag, ...]:
        """Everything that is selected; what the card shows stands last."""
        return (*self.also, self.selection) if self.selection else ()

    def _choose(self, tag: Tag, also: tuple[Tag, ...] = ()) -> None:
        """Let these be selected, as far as the document has them."""
        held = [each for each in dict.fromkeys((*also, tag)) if each and self.holds(each)]
        self.selection = tag if tag in held else held[-1] if held else NOTHING
        self.also = tuple(each for each in held if each != self.selection)

    def toggle(self, tag: Tag) -> None:
        """Select something beside what is selected, or not any more."""
        rest = tuple(each for each in self.chosen if each != tag)
        if len(rest) < len(self.chosen):
            self.select(rest[-1] if rest else NOTHING, rest[:-1])
        else:
            self.select(tag, rest)

    def select(self, tag: Tag, also: tuple[Tag, ...] = ()) -> None:
        """Select a place: ("stage", id), ("link", from, to), ("cell", analyte, node), ("end", id), ("supply",) or nothing.

        Args:
            also: what is selected beside it.
        """
        if tag and tag[0] == "finding":
            self.open_finding(int(tag[1]))
            return
        if (tag, also) != (self.selection, self.also) or self.finding is not None:
            self.selection, self.also, self.finding = tag, also, None
            self.selection_changed.emit()

    def open_finding(self, number: int | None) -> None:
        """Open the finding of that number in the list, counted from 1, and select its place; nothing where that is the whole train."""
        self.finding = number
        found = self.assessment.findings if self.assessment else ()
        if number is not None and 0 < number <= len(found):
            self.selection, self.also = node_tag(self._document, found[number - 1].stage), ()
        self.selection_changed.emit()

    def holds(self, tag: Tag) -> bool:
        """Whether the document has what a tag speaks of."""
        if len(tag) == 3 and tag[0] == "link":
            return any(link.ends == tag[1:] for link in self._document.links)
        if len(tag) == 3 and tag[0] == "cell":
            return bool(node_tag(self._document, str(tag[2])))
        if len(tag) == 2 and tag[0] in ("stage", "end"):
            return node_tag(self._document, str(tag[1])) == tag
        return tag in (NOTHING, ("supply",))

    def _opened_key(self) -> tuple[str, ...] | None:
        if self.finding is None or self.assessment is None or not 0 < self.finding <= len(self.assessment.findings):
            return None
        finding = self.assessment.findings[self.finding - 1]
        return finding.code, finding.stage, finding.analyte, finding.cause

    def _find_key(self, key: tuple[str, ...] | None) -> int | None:
        if key is None or self.assessment is None:
            return None
        keys = [(f.code, f.stage, f.analyte, f.cause) for f in self.assessment.findings]
        same = [i for i, found in enumerate(keys, 1) if found == key] or [i for i, found in enumerate(keys, 1) if found[:3] == key[:3]]
        return same[0] if same else None

    # File ---------------------------------------------------------------------------------------------------------------------

    def save(self, path: Path | None = None, *, force: bool = False) -> None:
        """Write the document to its file, or to another which becomes its file.

        Args:
            force: whatever another program has written there meanwhile.

        Raises:
            ChangedError: another program has changed the file since; nothing was written.
            StoreError: with the reason; nothing changed.
        """
        target = path or self.path
        if target is None:
            raise store.StoreError("no file was named")
        expected = self.fingerprint if target == self.path and not force else None
        self.fingerprint = store.save(self._document, target, expected)
        self.path = target
        self.saved_at = datetime.now()
        self.stack.setClean()
        self.saved.emit()

    def revert(self) -> None:
        """Go back to what the file holds now, as one step of undo.

        Raises:
            DocumentError, StoreError: the file cannot be read; nothing changed.
        """
        if self.path is None:
            raise store.StoreError("no file was named")
        mark = store.fingerprint(self.path)
        patch = Patch.between(self._document, load(self.path), f"Revert to {self.path.name}")
        if patch.changes:
            self.stack.push(PatchCommand(self, patch, Chosen(self.selection, self.also), Chosen(self.selection, self.also)))
        self.fingerprint = mark
        self.stack.setClean()
        self.saved.emit()


def result_lacks(document: Document, stage_id: str) -> bool:
    """Whether a document has no stage of that id."""
    return all(stage.id != stage_id for stage in document.stages)


def node_tag(document: Document, node: str) -> Tag:
    """The tag that selects a node, nothing where there is no such node."""
    if node == "supply":
        return ("supply",)
    if node == "house" or node in document.outlets:
        return ("end", node)
    return NOTHING if result_lacks(document, node) else ("stage", node)
