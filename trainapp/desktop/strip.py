"""The bar over everything: menus, whose train it is, the views, and what is done most."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QMenuBar, QSizePolicy, QVBoxLayout, QWidget

from trainapp.desktop.parts import ElidedLabel, FlatButton, Rule, TabButton, caption
from trainapp.reports.drawing.tokens import TITLE

HEIGHT = 40


class ActionButton(FlatButton):
    """A flat button that does what an action does, and is enabled as it is."""

    def __init__(self, action: QAction, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, action.toolTip(), parent=parent)
        self._action = action
        self._fixed = text
        self.clicked.connect(action.trigger)
        action.changed.connect(self.follow)
        self.follow()

    def follow(self) -> None:
        """Take over the action's state."""
        self.setEnabled(self._action.isEnabled())
        keys = self._action.shortcut().toString()
        name = self._action.text().replace("&", "").replace("…", "")
        self.setAccessibleName(name)
        self.setToolTip(f"{name} ({keys})" if keys else name)


class ViewTab(TabButton):
    """The tab of a view."""

    def __init__(self, action: QAction, title: str, parent: QWidget | None = None) -> None:
        super().__init__(title, parent=parent)
        self._action = action
        self.setAccessibleName(title)
        self.clicked.connect(action.trigger)
        action.changed.connect(self.follow)
        self.follow()

    def follow(self) -> None:
        """Take over the action's state."""
        self.setEnabled(self._action.isEnabled())
        self.setChecked(self._action.isChecked())
        keys = self._action.shortcut().toString()
        self.setToolTip(f"{self.text()} ({keys})" if keys else self.text())


class Strip(QWidget):
    """The bar."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.menus = QMenuBar()
        self.menus.setNativeMenuBar(False)
        self.menus.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self.site = ElidedLabel("ink", TITLE, bold=True)
        self.site.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.saved = caption()
        self.line = QHBoxLayout()
        self.line.setContentsMargins(4, 0, 12, 0)
        self.line.setSpacing(10)
        self.line.addWidget(self.menus, 0, Qt.AlignmentFlag.AlignVCenter)
        self.line.addWidget(self.site)
        self.line.addWidget(self.saved)
        self.line.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(self.line, 1)
        column.addWidget(Rule())
        self.setFixedHeight(HEIGHT)
        self.views: dict[str, ViewTab] = {}

    def add_view(self, name: str, title: str, action: QAction) -> ViewTab:
        """Add a view's tab behind the name of the site; it does what the action does, and is checked with it."""
        tab = ViewTab(action, title)
        self.views[name] = tab
        self.line.insertWidget(3 + len(self.views) - 1, tab, 0, Qt.AlignmentFlag.AlignBottom)
        return tab

    def add_action(self, action: QAction, text: str) -> ActionButton:
        """Add a button for an action at the right."""
        button = ActionButton(action, text)
        self.line.addWidget(button)
        return button

    def show_site(self, name: str, saved: str) -> None:
        """Whose train it is, and when it was saved."""
        self.site.show_text(name)
        self.saved.setText(saved)
