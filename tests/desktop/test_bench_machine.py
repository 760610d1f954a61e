"""Any edits in any order: undone to the start they leave the first document, redone to the end the last; and at the end file, bench and
command line agree.

Steps compare documents; a train is evaluated and drawn once, at the end of a run, so that many runs fit into the time there is.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test
from PySide6.QtWidgets import QApplication
from shiboken6 import delete

from trainapp import cli
from trainapp.data import samples_path
from trainapp.desktop.bench import clipping, several
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.rounding import NotRound
from trainapp.desktop.engine import Assessment, assess
from trainapp.desktop.session import Session
from trainapp.reports.drawing.display import Tag
from trainapp.stages import registry
from trainapp.train.document import Document, DocumentError, dumps, load
from trainapp.train.edits import (
    AddBypass,
    AddOutlet,
    AddParallel,
    AddStage,
    Batch,
    ChangeSetting,
    Edit,
    Link,
    MoveStage,
    Paste,
    RemoveOutlet,
    RemoveStage,
    RemoveValue,
    Rename,
    SetValue,
    Stand,
    Unlink,
    plan_edit,
)

#: Runs and steps of one run; the issue of the bench asks for these.
RUNS, STEPS = 300, 50
MOST_STAGES = 9

SITES = ("lone-alder-farm", "lone-alder-farm-uv-alone", "marzipan-moth-tea-room", "sorrel-bank-cottage")
NAMES = st.sampled_from(("a", "left", "softener", "iron", "yard", "uv-2", "kitchen tap"))
NUMBERS = st.integers(0, 10_000)
SETTINGS = (
    ("tank_diameter", ("10 in", "330 mm", "0 in")),
    ("salt_dose", ("6 lb/ft3", "9 lb/ft3", "salty")),
    ("count", (1, 2, "3")),
    ("rated_flow", ("8 gpm", "12 gpm")),
    ("rating", ("5 um", "50 um")),
    ("drain", ({"height": "4 ft", "length": "12 ft", "size": "0.75 in", "to": "septic"},)),
    ("nonsense", ("kept",)),
)
VALUES = (
    ("demand.peak", ("5 gpm", "9 gpm", "fast")),
    ("room", ({"width": "12 ft", "height": "7 ft"}, {"width": "3 m"})),
    ("site.notes", ("a note", "zwei\nZeilen")),
    ("goals.outlet_pressure", ("30 psi", "2 bar")),
    ("samples.spring.results.iron", ("2 mg/L", "<0.05 mg/L", "rusty")),
    ("plumbing.size", ("0.75 in", "1 in")),
    ("accepted", ([{"code": "velocity", "reason": "short run", "by": "J"}],)),
)


@cache
def site_of(name: str) -> tuple[Document, Assessment]:
    """A sample site and what it evaluates to."""
    document = load(samples_path(f"{name}.train.json"))
    return document, assess(document, "us")


class Once:
    """Gives what the first document evaluates to, whatever has become of it: what steps do to numbers is looked at in the end."""

    def __init__(self, kept: Assessment) -> None:
        self.kept = kept

    def __call__(self, document: Document, system: Any) -> Assessment:
        return self.kept


class Bench(RuleBasedStateMachine):
    """A session under every edit, with the list of documents that it should have gone through."""

    session: Session

    @initialize(site=st.sampled_from(SITES))
    def begin(self, site: str) -> None:
        document, kept = site_of(site)
        self.session = Session(document, assess=Once(kept))
        self.past: list[Document] = [self.session.document]
        self.at = 0

    # Choosing what there is ---------------------------------------------------------------------------------------------------

    @property
    def document(self) -> Document:
        return self.session.document

    def stage(self, number: int) -> str:
        stages = self.document.stages
        return stages[number % len(stages)].id if stages else "nobody"

    def link(self, number: int) -> tuple[str, str]:
        return self.document.links[number % len(self.document.links)].ends

    def node(self, number: int) -> str:
        nodes = ["supply", "house", *self.document.outlets, *(stage.id for stage in self.document.stages)]
        return nodes[number % len(nodes)]

    def several(self, numbers: list[int]) -> list[Tag]:
        tags: list[Tag] = []
        for number in numbers:
            kinds: list[Tag] = [("stage", self.stage(number)), ("link", *self.link(number)), ("end", self.node(number))]
            tags.append(kinds[number % 7 % 3])
        return tags

    def do(self, edit: Edit | None, gesture: str = "") -> None:
        """Do an edit. What is refused changes nothing, not even what can be undone."""
        before, count, index = self.document, self.session.stack.count(), self.session.stack.index()
        if edit is None or not self.session.edit(edit, gesture=gesture):
            assert self.document is before
            assert (self.session.stack.count(), self.session.stack.index()) == (count, index)
            return
        # A step more; in one gesture the same step, or none at all where it is typed back.
        step = self.session.stack.index() - index
        assert step == 1 or (gesture and step in (0, -1))
        self.past = [*self.past[: self.at + step], self.document]
        self.at += step

    @invariant()
    def the_document_is_the_one_expected(self) -> None:
        if not hasattr(self, "session"):
            return
        assert self.session.stack.index() == self.at
        assert self.document is self.past[self.at] or self.document == self.past[self.at]
        assert all(self.session.holds(tag) for tag in self.session.chosen)

    # Every edit ---------------------------------------------------------------------------------------------------------------

    @rule(kind=st.sampled_from(sorted(registry.kinds())), number=NUMBERS, where=st.sampled_from(("into", "end", "loose")))
    def add(self, kind: str, number: int, where: str) -> None:
        if len(self.document.stages) < MOST_STAGES:
            self.do(AddStage(kind=kind, into=self.link(number) if where == "into" else None, loose=where == "loose"))

    @rule(number=NUMBERS)
    def remove(self, number: int) -> None:
        self.do(RemoveStage(id=self.stage(number)))

    @rule(number=NUMBERS, other=NUMBERS)
    def move(self, number: int, other: int) -> None:
        self.do(MoveStage(id=self.stage(number), into=self.link(other)))

    @rule(numbers=st.lists(NUMBERS, min_size=2, max_size=3), other=NUMBERS)
    def move_several(self, numbers: list[int], other: int) -> None:
        stages = several.stages_of(self.document, [("stage", self.stage(number)) for number in numbers])
        if stages:
            self.do(several.moved(self.document, stages, self.link(other)))

    @rule(number=NUMBERS, other=NUMBERS)
    def lay(self, number: int, other: int) -> None:
        self.do(Link(ends=(self.node(number), self.node(other))))

    @rule(number=NUMBERS)
    def take_up(self, number: int) -> None:
        self.do(Unlink(ends=self.link(number)))

    @rule(number=NUMBERS, setting=st.sampled_from(SETTINGS), pick=NUMBERS)
    def set(self, number: int, setting: tuple[str, tuple[Any, ...]], pick: int) -> None:
        key, values = setting
        self.do(ChangeSetting(stage=self.stage(number), key=key, value=(*values, None)[pick % (len(values) + 1)]))

    @rule(value=st.sampled_from(VALUES), pick=NUMBERS)
    def value(self, value: tuple[str, tuple[Any, ...]], pick: int) -> None:
        path, values = value
        self.do(SetValue(path=path, value=values[pick % len(values)]))

    @rule(value=st.sampled_from(VALUES))
    def take_value(self, value: tuple[str, tuple[Any, ...]]) -> None:
        self.do(RemoveValue(path=value[0]))

    @rule(number=NUMBERS, new=NAMES, what=st.sampled_from(("stage", "outlet")))
    def rename(self, number: int, new: str, what: Any) -> None:
        self.do(Rename(what=what, old=self.stage(number) if what == "stage" else self.node(number), new=new))

    @rule(number=NUMBERS)
    def twin(self, number: int) -> None:
        if len(self.document.stages) < MOST_STAGES:
            self.do(AddParallel(beside=self.stage(number)))

    @rule(number=NUMBERS, other=NUMBERS)
    def lead_round(self, number: int, other: int) -> None:
        if len(self.document.stages) < MOST_STAGES:
            self.do(AddBypass(over=(self.node(number), self.node(other))))

    @rule(number=NUMBERS, name=NAMES)
    def branch(self, number: int, name: str) -> None:
        if len(self.document.outlets) < 3:
            self.do(AddOutlet(name=name, outlet={"peak": "3 gpm", "drinking": False}, after=self.node(number)))

    @rule(number=NUMBERS)
    def close_branch(self, number: int) -> None:
        self.do(RemoveOutlet(name=self.node(number)))

    @rule(numbers=st.lists(NUMBERS, min_size=1, max_size=3), other=NUMBERS, loose=st.booleans())
    def copy_and_paste(self, numbers: list[int], other: int, loose: bool) -> None:
        text = clipping.copied(self.document, [("stage", self.stage(number)) for number in numbers])
        if text and len(self.document.stages) < MOST_STAGES:
            self.do(clipping.pasting(text, None if loose else self.link(other)))

    @rule(kind=st.sampled_from(("softener", "no such kind", 7)))
    def paste_what_is_no_stage(self, kind: Any) -> None:
        if len(self.document.stages) < MOST_STAGES:
            self.do(Paste(stages=[{"id": "pasted", "kind": kind}]))

    @rule(number=NUMBERS, inches=st.integers(0, 200), back=st.booleans())
    def place(self, number: int, inches: int, back: bool) -> None:
        self.do(Stand(x={self.node(number): None if back else f"{inches} in"}))

    @rule(numbers=st.lists(NUMBERS, min_size=1, max_size=4))
    def remove_several(self, numbers: list[int]) -> None:
        self.do(several.removal(self.document, self.several(numbers)))

    @rule(numbers=st.lists(NUMBERS, min_size=1, max_size=2))
    def twins(self, numbers: list[int]) -> None:
        if len(self.document.stages) < MOST_STAGES - 1:
            self.do(several.twins(self.document, [("stage", self.stage(number)) for number in numbers]))

    @rule(numbers=st.lists(NUMBERS, min_size=1, max_size=2))
    def bypass_several(self, numbers: list[int]) -> None:
        if len(self.document.stages) < MOST_STAGES:
            # Beside lanes it is refused before it is an edit.
            with contextlib.suppress(NotRound):
                self.do(several.bypass_round(self.document, [("stage", self.stage(number)) for number in numbers]))

    @rule(number=NUMBERS, other=NUMBERS)
    def several_as_one(self, number: int, other: int) -> None:
        edits = [RemoveStage(id=self.stage(number)), AddStage(kind="carbon_bed", into=self.link(other))]
        self.do(Batch(edits=edits, name="Swap"))

    @rule(number=NUMBERS, doses=st.lists(st.integers(5, 12), min_size=2, max_size=4))
    def type_in_one_gesture(self, number: int, doses: list[int]) -> None:
        gesture, start = self.session.begin_gesture("type"), self.session.stack.index()
        for dose in doses:
            self.do(ChangeSetting(stage=self.stage(number), key="peak_flow", value=f"{dose} gpm"), gesture)
        assert self.session.stack.index() <= start + 1

    # Back and forth -----------------------------------------------------------------------------------------------------------

    @rule(steps=st.integers(1, 5))
    def undo(self, steps: int) -> None:
        for _ in range(min(steps, self.at)):
            self.session.stack.undo()
            self.at -= 1

    @rule(steps=st.integers(1, 5))
    def redo(self, steps: int) -> None:
        for _ in range(min(steps, len(self.past) - 1 - self.at)):
            self.session.stack.redo()
            self.at += 1

    @rule(numbers=st.lists(NUMBERS, max_size=3))
    def select(self, numbers: list[int]) -> None:
        tags = [tag for tag in self.several(numbers) if self.session.holds(tag)]
        self.session.select(tags[-1] if tags else (), tuple(tags[:-1]))

    # The end ------------------------------------------------------------------------------------------------------------------

    def teardown(self) -> None:
        if not hasattr(self, "session"):
            return
        last = self.past[-1]
        while self.session.stack.canUndo():
            self.session.stack.undo()
        assert self.document == self.past[0]
        while self.session.stack.canRedo():
            self.session.stack.redo()
        assert self.document == last and dumps(self.document) == dumps(last)
        delete(self.session)
        with tempfile.TemporaryDirectory() as folder:
            agree(last, Path(folder, "last.train.json"))


def agree(document: Document, path: Path) -> None:
    """File, bench and command line say the same of a document."""
    session = Session(document)
    session.save(path)
    assert load(path) == document
    canvas = BenchCanvas(session)
    canvas.resize(960, 700)
    canvas.relayout()
    if not session.stale:
        tags = canvas.items_shown.tags()
        assert {tag for tag in tags if tag[0] == "stage"} == {("stage", stage.id) for stage in document.stages}
        assert {tag for tag in tags if tag[0] == "link"} == {("link", *link.ends) for link in document.links}
    status, out, err = checked(path)
    if session.stale:
        assert (status, out) == (2, "") and err.strip() == session.stale
    else:
        assert session.assessment is not None
        told = [(f["code"], f["severity"], f["stage"], f["analyte"], f["message"]) for f in json.loads(out)["findings"]]
        assert told == [(f.code, f.severity, f.stage, f.analyte, f.message) for f in session.assessment.findings]
        assert status == (1 if session.assessment.verdict == "fail" else 0)
    delete(canvas)
    delete(session)


def checked(path: Path) -> tuple[int, str, str]:
    """`trainapp check FILE --json` in this process."""
    out, err, words = io.StringIO(), io.StringIO(), sys.argv
    sys.argv = ["trainapp", "check", str(path), "--json"]
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), pytest.raises(SystemExit) as ended:
            cli.main()
    finally:
        sys.argv = words
    return int(ended.value.code or 0), out.getvalue(), err.getvalue()  # type: ignore[arg-type]


def test_any_edits_in_any_order(qapp: QApplication) -> None:
    # Without shrinking: a failing run is told as it was, within the time that a test has.
    chosen = settings(
        max_examples=int(os.environ.get("TRAINAPP_RUNS", RUNS)),
        stateful_step_count=STEPS,
        phases=(Phase.explicit, Phase.generate),
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
    run_state_machine_as_test(Bench, settings=chosen)


def test_what_the_machine_would_catch(qapp: QApplication) -> None:
    """A bench that lost an item, and a command line that says something else, are seen."""
    document = load(samples_path("lone-alder-farm.train.json"))
    with pytest.raises(DocumentError):
        plan_edit(document, RemoveStage(id="nobody"))
    machine = Bench()
    machine.begin("lone-alder-farm")
    machine.past = [document, document]
    machine.at = 1
    with pytest.raises(AssertionError):
        machine.the_document_is_the_one_expected()
