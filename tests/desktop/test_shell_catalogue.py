"""Catalogues of the user's own: picked or dropped, refused by row and column, searched beside the program's, kept by documents."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from tests.desktop.hands import LEFT, Carried, between, key
from tests.desktop.test_shell_files import drop
from trainapp.desktop import catalogues as own_files
from trainapp.desktop.adding import ITEM, entry_of, items_like
from trainapp.desktop.app import Documents
from trainapp.desktop.bench.add_here import AddHere
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.catalogue_window import CatalogueWindow
from trainapp.desktop.catalogues import carrying, catalogues
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.remedies_panel import FindingTools
from trainapp.desktop.session import Session
from trainapp.desktop.shelf import Shelf
from trainapp.desktop.window import Window
from trainapp.stages import registry
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import dumps, load, loads
from trainapp.train.edits import AddStage, Batch, ChangeSetting, SetValue

GOOD = "item,kind,label,price,resin_volume,tank_diameter,salt_dose\nours-2,softener,Our softener 2.2 ft3,700,2.2 ft3,12 in,6 lb/ft3\n"
TOML = '[[item]]\nitem = "ours-uv"\nkind = "uv_chamber"\nlabel = "Our chamber"\n[item.settings]\nrated_flow = "11 gpm"\n'


@pytest.fixture(autouse=True)
def _own() -> Iterator[None]:
    """No test leaves items of its own behind."""
    yield
    for path in catalogues().files:
        catalogues().remove(path)


@pytest.fixture
def good(tmp_path: Path) -> Path:
    path = tmp_path / "ours.csv"
    path.write_text(GOOD, encoding="utf-8")
    return path


@pytest.fixture
def take(qtbot: QtBot) -> Callable[..., list[str]]:
    """Takes files in and waits; what was said of each."""

    def taken(*paths: Path) -> list[str]:
        said: list[str] = []
        catalogues().told.connect(lambda _path, sentence: said.append(sentence))
        catalogues().add(paths)
        qtbot.waitUntil(lambda: len(said) == len(paths))
        return said

    return taken


def dialog() -> CatalogueWindow:
    found = [w for w in QApplication.topLevelWidgets() if isinstance(w, CatalogueWindow) and w.isVisible()]
    assert len(found) == 1
    return found[0]


# Taking in --------------------------------------------------------------------------------------------------------------------------


def test_a_file_is_picked_and_remembered(window: Window, prefs: Prefs, good: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    window.run("catalogues")
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *a: ([str(good)], ""))
    with qtbot.waitSignal(catalogues().told):
        QTest.mouseClick(dialog().pick, LEFT)
    assert dialog().said.text() == "Took in 1 item of ours.csv." and dialog().list.item(0).text() == "ours.csv: 1 item"
    assert prefs.catalogues == (good,) and catalogues().catalogue.row("ours-2") is not None
    QTest.mouseClick(dialog().leave, LEFT)
    assert prefs.catalogues == () and catalogues().catalogue.row("ours-2") is None and dialog().none.isVisible()


def test_files_are_dropped_on_the_window(window: Window, good: Path, tmp_path: Path, qtbot: QtBot) -> None:
    other = tmp_path / "ours.toml"
    other.write_text(TOML, encoding="utf-8")
    with qtbot.waitSignals([catalogues().told] * 2):
        assert drop(window, good, other)
    assert {path.name for path in catalogues().files} == {"ours.csv", "ours.toml"} and dialog().isVisible()
    assert {"ours-2", "ours-uv"} <= set(catalogues().catalogue.rows)
    with qtbot.waitSignal(catalogues().told):
        assert drop(dialog(), good)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (GOOD.replace("2.2 ft3,12", "2.2 furlongs,12"), 'bad.csv, row 2, column "resin_volume": "2.2 furlongs" is not a volume'),
        (GOOD + "ours-3,kettle,Kettle,1,,,\n", 'bad.csv, row 3, column "kind": "kettle" is not a kind of stage'),
        (GOOD + "ours-2,softener,Twice,1,1 ft3,9 in,6 lb/ft3\n", 'bad.csv, row 3, column "item": "ours-2" names two items'),
        (GOOD.replace("salt_dose", "colour"), 'bad.csv, row 2, column "colour": a softener has no such setting'),
        ("label,price\nx,1\n", 'bad.csv, row 1: the heading needs one column "item"'),
        ("", "bad.csv: it is empty"),
    ],
)
def test_what_is_wrong_is_said_with_row_and_column_and_nothing_is_taken(
    window: Window, tmp_path: Path, qtbot: QtBot, text: str, sentence: str
) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text(text, encoding="utf-8")
    before = catalogues().catalogue
    with qtbot.waitSignal(catalogues().told):
        assert drop(window, bad)
    assert dialog().said.text().startswith(f"Not taken in: {sentence}") and not dialog().mark.isHidden()
    assert catalogues().catalogue is before


def test_all_that_is_wrong_is_listed_with_what_would_be_right(window: Window, tmp_path: Path, qtbot: QtBot, good: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text(GOOD.replace("700,2.2 ft3", "dear,2 furlongs") + "ours-3,kettle,Kettle,1,,,\n", encoding="utf-8")
    with qtbot.waitSignal(catalogues().told):
        assert drop(window, bad)
    its = dialog()
    assert its.said.text() == "Not taken in: bad.csv, 3 faults." and its.wrong.isVisible() and its.wrong.count() == 3
    rows = [its.wrong.item(row).text() for row in range(3)]
    assert all(f'column "{key}"' in row for key, row in zip(("price", "resin_volume", "kind"), rows, strict=True))
    assert '"2 furlongs"' in rows[1] and "wanted is a number with its unit" in rows[1] and "kinds are" in rows[2]
    with qtbot.waitSignal(catalogues().told):
        its.take([good])
    assert its.wrong.isHidden()


def test_a_fault_at_one_file_is_said_and_the_next_is_read(
    tmp_path: Path, good: Path, take: Callable[..., list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    read = own_files.read_catalogue

    def fault(path: Path) -> object:
        if path == good:
            return read(path)
        raise ZeroDivisionError("no row")

    monkeypatch.setattr(own_files, "read_catalogue", fault)
    said = take(tmp_path / "odd.csv", good)
    assert said == ["the program failed at reading odd.csv, ZeroDivisionError: no row", ""] and catalogues().files == (good,)


def test_a_template_is_saved_and_can_be_taken_in_as_it_is(
    window: Window, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "mine.csv"
    window.run("catalogues")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(target), ""))
    QTest.mouseClick(dialog().save, LEFT)
    with qtbot.waitSignal(catalogues().told):
        dialog().take([target])
    assert {row.kind for row in catalogues().own.values()} == set(registry.kinds())
    assert dialog().said.text().startswith("Took in") and dialog().wrong.isHidden()


def test_a_file_that_is_gone_is_said(take: Callable[..., list[str]], tmp_path: Path) -> None:
    [said] = take(tmp_path / "gone.toml")
    assert said.startswith("gone.toml") and catalogues().files == ()


def test_files_of_last_time_are_read_once_the_first_window_stands(prefs: Prefs, good: Path, qtbot: QtBot) -> None:
    prefs.catalogues = (good,)
    documents = Documents(prefs)
    with qtbot.waitSignal(catalogues().told):
        window = documents.open(None)
        assert window.isVisible() and catalogues().files == ()
    assert catalogues().files == (good,)
    qtbot.waitUntil(lambda: window.session is not None)
    window.close()


def test_a_file_of_last_time_that_is_gone_is_said_and_stays_remembered(prefs: Prefs, good: Path, tmp_path: Path, qtbot: QtBot) -> None:
    gone = tmp_path / "gone.csv"
    prefs.catalogues = (gone, good)
    documents = Documents(prefs)
    window = documents.open(None)
    qtbot.waitUntil(lambda: catalogues().files == (good,))
    assert window.workspace is not None
    said = window.workspace.foot.message.accessibleName()
    assert said.startswith("An own catalogue is left out: gone.csv") and prefs.catalogues == (gone, good)
    window.run("catalogues")
    QTest.mouseClick(dialog().leave, LEFT)
    assert prefs.catalogues == (gone,)
    window.close()


# Finding and adding -----------------------------------------------------------------------------------------------------------------


def shown(shelf: Shelf) -> list[str]:
    """Texts of the lines that are shown, headings too."""
    return [shelf.list.item(row).text() for row in range(shelf.list.count()) if not shelf.list.item(row).isHidden()]


def test_find_a_stage_finds_items_of_both(window: Window, good: Path, take: Callable[..., list[str]]) -> None:
    assert window.workspace is not None
    shelf, kinds = window.workspace.shelf, window.workspace.shelf.list.count()
    take(good)
    QTest.keyClicks(shelf.find, "softener")
    lines = shown(shelf)
    assert lines[:2] == ["Hardness", "Softener"] and "Softener, catalogue" in lines
    first = lines.index("Softener, catalogue") + 1
    assert lines[first] == "Our softener 2.2\u202fft³" and any(line.startswith("Softener 1") for line in lines[first:])
    QTest.keyClicks(shelf.find, " 12 x 52")
    assert all("12 x 52" in line for line in shown(shelf) if line.startswith("Softener ") and "," in line and "catalogue" not in line)
    shelf.find.clear()
    assert shelf.list.count() == kinds, "nothing is looked for: the shelf holds kinds alone"


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("carbon", "Carbon bed"),
        ("feed", "Oxidant feed"),
        ("sediment", "Sediment cartridge"),
        ("iron", "Iron filter"),
        ("flow", "Flow control"),
    ],
)
def test_a_stage_of_that_name_stands_before_what_its_heading_or_help_says(window: Window, session: Session, typed: str, first: str) -> None:
    assert window.workspace is not None
    shelf = window.workspace.shelf
    before = [stage.id for stage in session.document.stages]
    QTest.keyClicks(shelf.find, typed)
    lines = [shelf.list.item(row) for row in range(shelf.list.count())]
    assert next(line.text() for line in lines if line.data(Qt.ItemDataRole.UserRole)) == first
    key(shelf.find, Qt.Key.Key_Return)
    (came,) = [stage for stage in session.document.stages if stage.id not in before]
    assert registry.kinds()[came.kind].spec.label == first


def test_add_here_finds_items_of_both_catalogues(canvas: BenchCanvas, session: Session, good: Path, take: Callable[..., list[str]]) -> None:
    take(good)
    session.select(("link", "iron", "softener"))
    here = AddHere(canvas, None)
    here.open_there(None)
    QTest.keyClicks(here.field, "softener 2")
    lines = [here.list.item(row).text() for row in range(here.list.count())]
    assert "Our softener 2.2\u202fft³" in lines and any(line.startswith("Softener 2\u202fft³") for line in lines)
    # what begins with the words stands before what holds them
    assert lines[0].startswith("Softener 2") and not lines[-1].startswith("Softener 2")
    here.field.clear()
    QTest.keyClicks(here.field, "our softener")
    key(here.field, Qt.Key.Key_Return)
    (came,) = [stage for stage in session.document.stages if stage.item == "ours-2"]
    assert [link.to for link in session.document.links if link.from_ == "iron"] == [came.id]


def test_items_that_come_while_something_is_looked_for_are_found(window: Window, good: Path, take: Callable[..., list[str]]) -> None:
    assert window.workspace is not None
    shelf = window.workspace.shelf
    QTest.keyClicks(shelf.find, "our softener")
    assert shown(shelf) == []
    take(good)
    assert shown(shelf) == ["Softener, catalogue", "Our softener 2.2\u202fft³"]


def test_an_item_is_added_by_return_and_the_document_keeps_it(
    window: Window, session: Session, good: Path, take: Callable[..., list[str]], tmp_path: Path
) -> None:
    assert window.workspace is not None
    take(good)
    window.run("add")
    QTest.keyClicks(window.workspace.shelf.find, "our softener")
    key(window.workspace.shelf.find, Qt.Key.Key_Return)
    [stage] = [stage for stage in session.document.stages if stage.item == "ours-2"]
    assert stage.kind == "softener" and session.document.items["ours-2"].settings["resin_volume"] == "2.2 ft3"
    assert session.stack.count() == 1 and session.stale == ""
    session.save(tmp_path / "site.train.json")
    catalogues().remove(good)
    alone = Session(load(tmp_path / "site.train.json"))
    assert alone.stale == "" and alone.assessment is not None
    session.stack.undo()
    assert "ours-2" not in session.document.items


def test_an_item_is_dragged_onto_the_floor(canvas: BenchCanvas, session: Session) -> None:
    Carried(canvas, f"{ITEM}softener-9x48").drop(between(canvas, "iron", "softener"))
    added = next(stage for stage in session.document.stages if stage.item == "softener-9x48")
    assert {("iron", added.id), (added.id, "softener")} <= {link.ends for link in session.document.links}


def test_an_item_that_is_gone_is_refused_in_a_sentence(canvas: BenchCanvas, session: Session, qtbot: QtBot) -> None:
    with qtbot.waitSignal(session.refused) as refused:
        canvas.put(f"{ITEM}ours-2", ())
    assert refused.args == ["Not done: ours-2 is no longer in the catalogue"] and entry_of(f"{ITEM}ours-2") is None


def test_every_item_of_the_programs_own_has_its_line() -> None:
    listed = {entry.key.removeprefix(ITEM) for entry in items_like("")}
    rows = Catalogue.load().rows
    assert listed == {name for name, row in rows.items() if row.kind != "bypass"}
    assert all(entry_of(f"{ITEM}{name}") for name in listed)


# Edits that name items --------------------------------------------------------------------------------------------------------------


def test_edits_bring_rows_of_ones_own_items_along(session: Session, good: Path, take: Callable[..., list[str]]) -> None:
    take(good)
    swap = SetValue(path=("stages", "softener", "item"), value="ours-2")
    for edit in (swap, AddStage(kind="softener", item="ours-2"), Batch(edits=[swap], name="Swap")):
        made = carrying(session.document, edit)
        assert made is not edit and made.label == edit.label
        assert session.edit(made) and "ours-2" in session.document.items
        assert loads(dumps(session.document)) == session.document
        session.stack.undo()
    for edit in (AddStage(kind="softener", item="softener-9x48"), ChangeSetting(stage="softener", key="salt_dose", value="9 lb/ft3")):
        assert carrying(session.document, edit) is edit


def test_remedies_choose_among_ones_own_items(root: Path, take: Callable[..., list[str]], qtbot: QtBot, tmp_path: Path) -> None:
    """A cartridge of one's own that is smaller than the program's and does is offered, and the document keeps it."""
    own = tmp_path / "own.toml"
    own.write_text(
        '[[item]]\nitem = "ours-fine"\nkind = "sediment_cartridge"\nlabel = "Our fine cartridge"\nprice = 1\n'
        '[item.settings]\nrating = "5 um"\nlength = "18 in"\ndiameter = "4.5 in"\n',
        encoding="utf-8",
    )
    take(own)
    alone = Session(load(root / "samples" / "lone-alder-farm-uv-alone.train.json"))
    tools = FindingTools(alone)
    qtbot.addWidget(tools)
    assert alone.assessment is not None
    finding = next(f for f in alone.assessment.findings if f.code == "inlet-limit" and f.analyte == "turbidity")
    tools.show_finding(finding)
    qtbot.waitUntil(lambda: not tools.busy, timeout=20_000)
    tools.apply(next(i for i, remedy in enumerate(tools.remedies) if "our fine cartridge" in remedy.label.lower()))
    assert "ours-fine" in alone.document.items and alone.stale == ""
