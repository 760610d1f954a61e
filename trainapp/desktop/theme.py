"""The colours of the window: the token table as a palette, light, dark or as the system has it. No colour is written anywhere else."""

from __future__ import annotations

from functools import cache
from typing import Literal

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from trainapp.reports.drawing.tokens import THEMES, Theme

Choice = Literal["system", "light", "dark"]
CHOICES: tuple[Choice, ...] = ("system", "light", "dark")

_ROLES: dict[QPalette.ColorRole, str] = {
    QPalette.ColorRole.Window: "page",
    QPalette.ColorRole.WindowText: "ink",
    QPalette.ColorRole.Base: "page",
    QPalette.ColorRole.AlternateBase: "sheet",
    QPalette.ColorRole.Text: "ink",
    QPalette.ColorRole.Button: "page",
    QPalette.ColorRole.ButtonText: "ink",
    QPalette.ColorRole.BrightText: "ink",
    QPalette.ColorRole.Light: "page",
    QPalette.ColorRole.Midlight: "well",
    QPalette.ColorRole.Mid: "hair",
    QPalette.ColorRole.Dark: "edge",
    QPalette.ColorRole.Shadow: "edge",
    QPalette.ColorRole.Highlight: "accent",
    QPalette.ColorRole.HighlightedText: "on_accent",
    QPalette.ColorRole.Accent: "accent",
    QPalette.ColorRole.Link: "accent",
    QPalette.ColorRole.LinkVisited: "accent",
    QPalette.ColorRole.ToolTipBase: "page",
    QPalette.ColorRole.ToolTipText: "ink",
    QPalette.ColorRole.PlaceholderText: "ink3",
}
_FADED = (QPalette.ColorRole.WindowText, QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText)


class Look(QObject):
    """Which theme the application shows."""

    #: Signal emitted when the colours are others.
    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._choice: Choice = "system"
        self._contrast = False
        self._name = "light"
        self._colours: dict[str, QColor] = {}

    @property
    def name(self) -> str:
        """Name of the theme shown, a key of the token table."""
        return self._name

    @property
    def choice(self) -> Choice:
        """What the user asked for."""
        return self._choice

    @property
    def high_contrast(self) -> bool:
        """Whether decoration is drawn as edges and tints are left out."""
        return self._contrast

    @property
    def tokens(self) -> Theme:
        """The colours by token."""
        return THEMES[self._name]

    def colour(self, token: str) -> QColor:
        """The colour of a token."""
        found = self._colours.get(token)
        if found is None:
            found = self._colours[token] = QColor(self.tokens[token])
        return found

    def choose(self, choice: Choice, high_contrast: bool | None = None) -> None:
        """Show another theme; every widget follows through the application's palette."""
        self._choice = choice
        if high_contrast is not None:
            self._contrast = high_contrast
        self.refresh()

    def refresh(self) -> None:
        """Read the system's scheme again and apply what follows."""
        base = self._choice if self._choice != "system" else _system_scheme()
        self._name = f"{base}, high contrast" if self._contrast else base
        self._colours.clear()
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.setPalette(palette(self._name))
        self.changed.emit()


def _system_scheme() -> Choice:
    hints = QGuiApplication.styleHints()
    return "dark" if hints is not None and hints.colorScheme() == Qt.ColorScheme.Dark else "light"


def palette(name: str) -> QPalette:
    """The palette of a theme by its name in the token table."""
    tokens = THEMES[name]
    made = QPalette()
    for role, token in _ROLES.items():
        made.setColor(role, QColor(tokens[token]))
    for role in _FADED:
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(tokens["ink3"]))
    made.setColor(QPalette.ColorGroup.Disabled, QPalette.ColorRole.Highlight, QColor(tokens["edge"]))
    return made


@cache
def look() -> Look:
    """The application's look; colours are as application-wide as its palette."""
    return Look()
