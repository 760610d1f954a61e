"""A new process is one module and one catalogue entry: checks, JSON, picture and window take it up without another edit.

The process is made up: a trap with magnets that holds part of the rust in the water, and does nothing else.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QEvent, QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from trainapp import cli
from trainapp.checks import findings
from trainapp.data import samples_path
from trainapp.desktop import fonts
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.steps_content import sheet_of
from trainapp.desktop.theme import look
from trainapp.desktop.window import Window
from trainapp.hydraulics.devices import rated_point
from trainapp.hydraulics.elements import Element
from trainapp.reports.calendar import calendar_text
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.job_sheet import write_job_sheet
from trainapp.reports.ledger import Ledger
from trainapp.reports.picture import write_picture
from trainapp.reports.print_bench import write_print
from trainapp.reports.upkeep import upkeep
from trainapp.stages import registry
from trainapp.stages.base import Chore, Duty, Figure, Limit, Rating, Remark, SettingSpec, Spec, Stage
from trainapp.stages.working import Working, pick
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document, dumps, load, loads
from trainapp.train.edits import AddStage, RemoveStage, SetValue, apply, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.water.stream import Stream

KIND = "rust_trap"

# The module -----------------------------------------------------------------------------------------------------------------

SPEC = Spec(
    kind=KIND,
    label="Rust trap",
    group="Particles",
    shelf=190,
    summary="Holds part of the rust in the water on magnets.",
    settings={
        **registry.common_settings(),
        "rated_flow": SettingSpec("rated_flow", "flow", "12 gpm", "flow that it is made for"),
        "share": SettingSpec("share", "fraction", "40 %", "share of the rust that it holds"),
    },
    limits=((Limit("turbidity", None, 0.9, "common-practice", "common practice", reason="mud covers the magnets"), {}),),
    needs=("iron",),
    tags=frozenset({"sediment"}),
)


class RustTrap(Stage):
    """Magnets in a housing."""

    spec = SPEC
    laws = {"iron": ("Fe_d + Fe_p · (1 − x)", "common-practice")}

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        share = w.step("x", "share of the rust that it holds", self.settings.number("share"), "fraction", result="share")
        out.scale(("iron_particulate",), 1.0 - share)
        w.step("m", "rust held in a day", water.row("iron_particulate") * share * duty.daily * 1e-3, "grams", formula="Fe_p · x · V_d",
               result="rust_per_day", at="average")  # fmt: skip
        if pick(water.row("iron_particulate")) < 0.2:
            remarks.append(Remark("no-effect", "note", "Little rust for the trap", "Most iron of this water is dissolved and passes."))
        return out

    def losses(self, cold: float) -> tuple[Element, Element]:
        ports = rated_point(self.settings.number("rated_flow"), 2.0 * 6894.757)
        return ports, ports

    def rating(self) -> Rating:
        return Rating(self.settings.number("rated_flow"), self.settings.number("rated_flow"))

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        return (Chore("Wipe the magnets", 30.0),)

    def figure(self) -> Figure:
        return Figure("cartridge", 0.15, 0.4, base=0.6, texture="pleat", fill=0.3)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("rated_flow", self.settings.number("rated_flow"), "flow"),)


# The catalogue entry --------------------------------------------------------------------------------------------------------

ENTRY = """
[[item]]
item = "rust-trap-6"
kind = "rust_trap"
label = "Rust trap 6 gpm"
price = 190

[item.settings]
rated_flow = "6 gpm"
share = "50 %"
"""


@pytest.fixture(autouse=True)
def _known() -> Iterator[None]:
    """The module is there for the length of a test."""
    registry.kinds()
    registry.register(RustTrap)
    yield
    registry._kinds.pop(KIND)


@pytest.fixture
def catalogue(tmp_path: Path) -> Catalogue:
    """The program's catalogue with the user's own file."""
    path = tmp_path / "own.toml"
    path.write_text(ENTRY, "utf-8")
    return Catalogue.load(path)


@pytest.fixture
def site(catalogue: Catalogue) -> Document:
    """The farm well with the trap of the catalogue ahead of its screen."""
    edit = AddStage(kind=KIND, item="rust-trap-6", id="trap", into=("supply", "screen"))
    farm = load(samples_path("lone-alder-farm.train.json"))
    return apply(farm, plan_edit(farm, edit, catalogue))


def test_catalogue_and_document_know_it(site: Document, catalogue: Catalogue) -> None:
    assert list(catalogue.of_kind(KIND)) == ["rust-trap-6"] and "rust-trap-6" in catalogue.find("rust trap")
    assert site.items["rust-trap-6"].kind == KIND and site.reports == ()
    assert loads(dumps(site)) == site
    assert ("supply", "trap") in {link.ends for link in site.links}


def test_it_runs_with_its_settings_limit_rating_and_remark(site: Document) -> None:
    evaluation = evaluate(open_plan(site))
    result = evaluation.stages["trap"]
    assert result.working.results["share"].shown == 0.5 and result.headloss_clean > 0.0
    told = {(f.code, f.severity) for f in findings(evaluation) if f.stage == "trap"}
    assert told == {("over-rating", "caution"), ("no-effect", "note"), ("inlet-limit", "caution")}


def test_check_prints_it(site: Document, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "site.train.json"
    path.write_text(dumps(site), "utf-8")

    def run(*words: str) -> str:
        monkeypatch.setattr(sys, "argv", ["trainapp", *words, str(path)])
        with pytest.raises(SystemExit):
            cli.main()
        return capsys.readouterr().out

    answer = json.loads(run("check", "--json"))
    shown = next(stage for stage in answer["stages"] if stage["id"] == "trap")
    assert shown["kind"] == KIND and shown["results"]["rust_per_day"]["magnitude"] > 0.0
    steps = {step["result"]: step for step in shown["working"] if "result" in step}
    point = next(point for point in answer["points"] if point["at"] == "trap")
    assert steps["iron_out"]["formula"] == "Fe_d + Fe_p · (1 − x)"
    assert steps["iron_out"]["value"] == pytest.approx(point["water"]["iron"]["magnitude"])
    assert steps["headloss_clean"]["value"] == pytest.approx(shown["headloss_clean"]["magnitude"])
    text = run("check")
    assert "More flow than the rust trap is made for" in text and "Little rust for the trap" in text


def test_the_drawing_holds_it(site: Document, tmp_path: Path) -> None:
    evaluation = evaluate(open_plan(site))
    found = findings(evaluation)
    model = bench_model(evaluation, found)
    drawn = model.stage("trap")
    assert drawn is not None and "Rust trap" in drawn.title
    write_picture(evaluation, found, tmp_path / "bench.svg")
    assert "Rust trap" in (tmp_path / "bench.svg").read_text("utf-8")


def test_job_sheet_print_calendar_and_ledger_hold_it(site: Document, tmp_path: Path) -> None:
    evaluation = evaluate(open_plan(site))
    found = findings(evaluation)
    write_job_sheet(evaluation, found, tmp_path / "sheet.pdf")
    write_print(evaluation, found, tmp_path / "bench.pdf")
    for name in ("sheet.pdf", "bench.pdf"):
        assert "Rust trap" in "".join(page.extract_text() for page in PdfReader(tmp_path / name).pages)
    chore = next(task for task in upkeep(evaluation) if task.stage == "trap")
    assert chore.short[1:] in calendar_text(evaluation, date(2026, 5, 4)).replace("\r\n ", "")
    assert any(record.at == "trap" and record.quantity == "Iron" for record in Ledger(evaluation, found).records)


@pytest.mark.qt_log_ignore("does not support propagateSizeHints")
def test_the_window_takes_it_up(qtbot: QtBot, qapp: QApplication, site: Document, tmp_path: Path) -> None:
    qapp.setStyle("fusion")
    fonts.install(qapp)
    look().choose("light")
    window = Window(Prefs(QSettings(str(tmp_path / "prefs.ini"), QSettings.Format.IniFormat)))
    session = Session(site)
    window.resize(1440, 900)
    window.show()
    window.show_session(session)
    QApplication.processEvents()
    assert window.workspace is not None and session.assessment is not None
    canvas, shelf = window.workspace.canvas, window.workspace.shelf
    assert "Rust trap" in [shelf.list.item(row).text() for row in range(shelf.list.count())]
    assert canvas.view is not None and ("stage", "trap") in {group.tag for group in canvas.view.display.groups()}
    session.select(("stage", "trap"))
    QApplication.processEvents()
    sheet = sheet_of(session.assessment, session.selection, "us")
    assert sheet is not None and "Rust trap" in sheet.title and "rust held in a day" in sheet.as_text()
    session.edit(SetValue(path=("stages", "trap", "settings", "share"), value="80 %"))
    assert session.assessment.evaluation.stages["trap"].working.results["share"].shown == 0.8
    session.edit(AddStage(kind=KIND, id="second"))
    assert session.assessment.evaluation.plan.stages["second"].spec.kind == KIND
    session.edit(RemoveStage(id="second"))
    session.stack.undo()
    assert "second" in {stage.id for stage in session.document.stages}
    session.stack.setClean()
    window.close()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
