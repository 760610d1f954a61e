"""What the tests of the window share: the font and the colours of the application, and a document to work on."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QLocale, QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.desktop.opening import window_on
from trainapp.desktop import fonts
from trainapp.desktop.app import Documents
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.collector import tidy
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.style import dress
from trainapp.desktop.theme import look
from trainapp.desktop.window import Window
from trainapp.train.document import Document, load


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The platform without a screen says what of windows it cannot do: pass on their least size, raise them, grab the keyboard."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.qt_log_ignore("This plugin does not support"))


@pytest.fixture(scope="session", autouse=True)
def _application(qapp: QApplication) -> QApplication:
    """The application as the program sets it up."""
    dress(qapp)
    fonts.install(qapp)
    look().choose("light")
    return qapp


@pytest.fixture(autouse=True)
def _collector() -> Iterator[None]:
    """Circles are collected on this thread alone, as in the program."""
    gc.disable()
    yield
    tidy()
    gc.enable()


@pytest.fixture(autouse=True)
def _light() -> Iterator[None]:
    """Each test begins and ends in the light theme."""
    yield
    if look().name != "light":
        look().choose("light", high_contrast=False)


@pytest.fixture
def german() -> Iterator[None]:
    """A reader in Germany, whose numbers have a comma."""
    before = QLocale()
    QLocale.setDefault(QLocale(QLocale.Language.German, QLocale.Country.Germany))
    yield
    QLocale.setDefault(before)


@pytest.fixture
def farm(farm_well: Path) -> Document:
    """A farm well with its full train."""
    return load(farm_well)


@pytest.fixture
def prefs(tmp_path: Path) -> Prefs:
    """Preferences that are nobody's."""
    return Prefs(QSettings(str(tmp_path / "prefs.ini"), QSettings.Format.IniFormat))


@pytest.fixture
def session(farm: Document) -> Session:
    """The farm well, really evaluated."""
    return Session(farm)


@pytest.fixture
def window(qtbot: QtBot, prefs: Prefs, session: Session) -> Iterator[Window]:
    """The program's window on the farm well."""
    with window_on(qtbot, prefs, session) as made:
        yield made


@pytest.fixture
def canvas(window: Window) -> BenchCanvas:
    """Its bench."""
    assert window.workspace is not None
    return window.workspace.canvas


@pytest.fixture
def documents(prefs: Prefs) -> Iterator[Documents]:
    """The program with no window yet; its windows are closed behind the test, saved or not."""
    made = Documents(prefs)
    yield made
    for window in list(made.windows):
        if window.session is not None:
            window.session.stack.setClean()
    made.quit()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
