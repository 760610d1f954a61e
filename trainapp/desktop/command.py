"""One thing that can be done, as the tables of commands list it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Menu = Literal["File", "Edit", "Train", "Year", "Options", "Hand-over", "Lessons", "View", "Help"]


@dataclass(frozen=True, slots=True)
class Command:
    """One thing to do.

    Attributes:
        id: the method that does it is called do_<id>.
        text: in menus and in Find a command; a sentence-case verb.
        menu: where it stands; `rule` draws a line above it.
        keys: shortcuts in Qt's portable text, the first one is shown.
        needs: what has to be there: "document", its "file", "stage", "several" stages, "node", "removable", a stage "placed" on
            the floor, "nothing".
        checkable: shows whether it is on.
        view: the view that it belongs to; its keys work there alone, and Find a command turns to it first. Empty: everywhere.
    """

    id: str
    text: str
    menu: Menu
    keys: tuple[str, ...] = ()
    needs: Literal["nothing", "document", "file", "stage", "several", "removable", "node", "placed"] = "document"
    rule: bool = False
    checkable: bool = False
    view: str = ""
