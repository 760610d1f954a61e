"""What this program is, on what it stands, under which licences, and which published sources its numbers cite."""

from __future__ import annotations

import platform
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib import metadata

import PySide6
from PySide6.QtCore import QSize, Qt, qVersion
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QTextBrowser, QWidget

from trainapp import __version__
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.parts import BoxButton, TabButton, quiet
from trainapp.sources import sources

#: Packages that the program stands on, as they are called where they are installed.
PACKAGES = (
    "PySide6-Essentials", "shiboken6", "pydantic", "numpy", "networkx", "fluids", "chemicals", "pint", "matplotlib", "typer",
    "XlsxWriter", "reportlab", "pillow", "fonttools",
)  # fmt: skip
PURPOSE = (
    "Designs and checks water treatment trains that end in ultraviolet disinfection. A calculation never certifies water: only tests after "
    "start-up show whether it is fit to drink. Local codes and licensed trades come first. Nothing is sent anywhere."
)
_QT = (
    "Qt is used under the GNU Lesser General Public License, version 3, as the libraries that come with PySide6: they can be replaced by "
    "others of the same interface. Its source is at https://code.qt.io."
)
_FONT = "The font DejaVu Sans comes with matplotlib, under the licence of Bitstream Vera and that of the DejaVu changes, which are free."


@dataclass(frozen=True, slots=True)
class Package:
    """One package: name, version, and its licence in its own words."""

    name: str
    version: str
    licence: str


@cache
def packages() -> tuple[Package, ...]:
    """What is installed of :data:`PACKAGES`."""
    return tuple(_packages())


def _packages() -> Iterator[Package]:
    for name in PACKAGES:
        try:
            told = metadata.metadata(name)
        except metadata.PackageNotFoundError:
            continue
        yield Package(name, told["Version"] or "", _licence(told))


def _licence(told: metadata.PackageMetadata) -> str:
    """The licence as the package declares it: an expression, classifiers, or the first line of a text."""
    expression = told.get("License-Expression")
    if expression:
        return str(expression)
    classifiers = [line.rpartition(" :: ")[2] for line in told.get_all("Classifier") or () if line.startswith("License ::")]
    first = str(told.get("License") or "").strip().partition("\n")[0]
    return ", ".join(classifiers) or (first if len(first) <= 80 else "") or "see the package"


def versions() -> str:
    """Versions as text, to go with a question or a report of a fault."""
    lines = [
        f"trainapp {__version__}",
        f"Python {platform.python_version()} ({sys.platform}, {platform.machine()})",
        f"Qt {qVersion()}, PySide6 {PySide6.__version__}, platform {QGuiApplication.platformName()}",
    ]
    return "\n".join([*lines, *(f"{package.name} {package.version}" for package in packages())])


class AboutWindow(SideWindow):
    """Three pages: versions, licences, sources."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("About trainapp", QSize(640, 560), parent)
        self.stack = QStackedWidget()
        self.tabs: dict[str, TabButton] = {}
        line = QHBoxLayout()
        line.setSpacing(4)
        for name, html in (("Versions", _versions_page()), ("Licences", _licences_page()), ("Sources", _sources_page())):
            page = QTextBrowser()
            quiet(page)
            page.setOpenLinks(False)
            page.setAccessibleName(name)
            page.setHtml(html)
            self.stack.addWidget(page)
            tab = TabButton(name)
            tab.toggled.connect(self._turned)
            self.tabs[name] = tab
            line.addWidget(tab)
        line.addStretch(1)
        self.column.addLayout(line)
        self.column.addWidget(self.stack, 1)
        self.copy = BoxButton("Copy versions", "Copy the versions as text")
        self.copy.clicked.connect(self.do_copy)
        self.add_button(self.copy)
        self.tabs["Versions"].setChecked(True)
        self.copy.setFocus(Qt.FocusReason.OtherFocusReason)

    def _turned(self, on: bool) -> None:
        if on:
            self.stack.setCurrentIndex(next(i for i, tab in enumerate(self.tabs.values()) if tab.isChecked()))

    def do_copy(self) -> None:
        """Put the versions on the clipboard."""
        QGuiApplication.clipboard().setText(versions())
        self.say("Copied.")


def _versions_page() -> str:
    rows = "".join(f"<li>{escape(line)}</li>" for line in versions().split("\n")[1:])
    return f"<h3>trainapp {escape(__version__)}</h3><p>{escape(PURPOSE)}</p><ul>{rows}</ul>"


def _licences_page() -> str:
    rows = "".join(f"<li><b>{escape(p.name)} {escape(p.version)}</b>: {escape(p.licence)}</li>" for p in packages())
    return f"<p>trainapp stands on the work of others, under their licences:</p><ul>{rows}</ul><p>{escape(_QT)}</p><p>{escape(_FONT)}</p>"


def _sources_page() -> str:
    rows = "".join(
        f"<li>{escape(source.label)} ({escape(source.status_default)}{f'; seen: {escape(source.seen)}' if source.seen else ''})</li>"
        for source in sorted(sources().values(), key=lambda source: source.label.casefold())
    )
    lead = "Every limit, table, formula and default cites one of these, with how sure that is. Where none is published, it says so."
    return f"<p>{escape(lead)}</p><ul>{rows}</ul>"
