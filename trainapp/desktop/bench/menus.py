"""The menu of what is selected: commands of the window's own table, those that make sense there."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPoint
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from trainapp.reports.drawing.display import Tag

#: Ids of commands by what is selected; None draws a line.
_STAGE = ("edit_card", "rename", None, "add_here", "twin", "bypass", "outdoor", "link", None, "earlier", "later", None, "copy", "cut",
          "paste", "duplicate", None, "remove", None, "fit_selected")  # fmt: skip
_SEVERAL = ("bypass", "twin", None, "evenly", "side_by_side", "to_left", "to_right", None, "copy", "cut", "duplicate", None, "remove",
            None, "fit_selected")  # fmt: skip
_LINK = ("edit_card", None, "add_here", "outdoor", "paste", None, "remove", None, "fit_selected")
_END = ("edit_card", "rename", None, "remove")
_SUPPLY = ("edit_card", "sample", None, "outdoor", "link")
_CELL = ("steps", None, "choose_rows")
_NOTHING = ("add_here", "paste", "select_all", None, "tidy", "own_floor", "clearances", None, "fit", "full_size", "overview")


def commands_for(tag: Tag, several: bool) -> tuple[str | None, ...]:
    """What the menu of a selection offers."""
    if several:
        return _SEVERAL
    kinds = {"stage": _STAGE, "link": _LINK, "end": _END, "supply": _SUPPLY, "cell": _CELL}
    return kinds.get(str(tag[0]), _NOTHING) if tag else _NOTHING


class BenchMenu(QMenu):
    """Holds actions of the window; it goes when it closes, they stay."""

    def __init__(self, actions: Mapping[str, QAction], ids: tuple[str | None, ...], parent: QWidget, cannot: Mapping[str, str]) -> None:
        """`cannot` says of commands that do not work on what is selected why: they stand there in grey, with the reason."""
        super().__init__(parent)
        for name in ids:
            if name is None:
                self.addSeparator()
            elif name in cannot:
                self.addAction(f"{actions[name].text()}: {cannot[name]}").setEnabled(False)
            elif name in actions:
                self.addAction(actions[name])
        self.setSeparatorsCollapsible(True)

    def open_at(self, at: QPoint) -> None:
        """Open where it was asked for."""
        self.aboutToHide.connect(self.deleteLater)
        self.popup(at)
