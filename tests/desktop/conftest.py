"""What the tests of the window share: the font and the colours of the application, and a document to work on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from trainapp.desktop import fonts
from trainapp.desktop.theme import look
from trainapp.train.document import Document, load


@pytest.fixture(scope="session", autouse=True)
def _application(qapp: QApplication) -> QApplication:
    """The application as the program sets it up."""
    qapp.setStyle("fusion")
    fonts.install(qapp)
    look().choose("light")
    return qapp


@pytest.fixture(autouse=True)
def _light() -> Iterator[None]:
    """Each test begins and ends in the light theme."""
    yield
    if look().name != "light":
        look().choose("light", high_contrast=False)


@pytest.fixture
def farm(farm_well: Path) -> Document:
    """A farm well with its full train."""
    return load(farm_well)
