"""The bar over everything: menus, whose train it is, the views, and what is done most."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QMenuBar, QSizePolicy, QStyle, QStyleOptionMenuItem, QStylePainter, QVBoxLayout, QWidget

from trainapp.desktop.parts import ElidedLabel, FlatButton, Rule, TabButton, caption
from trainapp.reports.drawing.tokens import TITLE

HEIGHT = 40

#: Width that the name of the site keeps, px: a few letters and an ellipsis.
_SITE_LEAST = 64


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


class Menus(QMenuBar):
    """Menus that are never folded away: what stands beside them gives way. They stand on the bar without an edge of their own."""

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QStylePainter(self)
        for action in self.actions():
            option = QStyleOptionMenuItem()
            self.initStyleOption(option, action)
            option.rect = self.actionGeometry(action)
            # The toolkit draws an edge under each, on the last row of its place.
            painter.setClipRect(option.rect.adjusted(0, 0, 0, -2))
            if action.isVisible():
                painter.drawControl(QStyle.ControlElement.CE_MenuBarItem, option)


class Strip(QWidget):
    """The bar. Where it is narrow the name of the site is shortened first, then buttons leave that menus have, too."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.menus = Menus()
        self.menus.setNativeMenuBar(False)
        self.menus.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self.site = ElidedLabel("ink", TITLE, bold=True)
        self.site.figures = False
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
        self.buttons: list[ActionButton] = []

    def add_view(self, name: str, title: str, action: QAction) -> ViewTab:
        """Add a view's tab behind the name of the site; it does what the action does, and is checked with it."""
        tab = ViewTab(action, title)
        self.views[name] = tab
        self.line.insertWidget(3 + len(self.views) - 1, tab, 0, Qt.AlignmentFlag.AlignBottom)
        return tab

    def add_action(self, action: QAction, text: str) -> ActionButton:
        """Add a button for an action at the right."""
        button = ActionButton(action, text)
        self.buttons.append(button)
        self.line.addWidget(button)
        return button

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._give_way()

    def _give_way(self) -> None:
        """Leave out what there is no room for: the saved time, then buttons, the last of which finds every command."""
        margins, gap = self.line.contentsMargins(), self.line.spacing()
        kept = [self.menus, *self.views.values()]
        room = self.width() - margins.left() - margins.right() - sum(widget.sizeHint().width() + gap for widget in kept) - _SITE_LEAST
        for widget in (*self.buttons[-1:], *self.buttons[:-1], self.saved):
            room -= widget.sizeHint().width() + gap
            widget.setVisible(room >= 0)

    def show_site(self, name: str, saved: str) -> None:
        """Whose train it is, and when it was saved."""
        self.site.show_text(name)
        self.saved.setText(saved)
        self._give_way()
