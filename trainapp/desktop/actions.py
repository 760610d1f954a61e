"""Everything that can be done, in one table: menus, shortcuts and Find a command all read it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trainapp.desktop.editors import EDITORS

Menu = Literal["File", "Edit", "Train", "View", "Help"]
MENUS: tuple[Menu, ...] = ("File", "Edit", "Train", "View", "Help")


@dataclass(frozen=True, slots=True)
class Command:
    """One thing to do.

    Attributes:
        id: the window's method is called do_<id>.
        text: in menus and in Find a command; a sentence-case verb.
        menu: where it stands; `rule` draws a line above it.
        keys: shortcuts in Qt's portable text, the first one is shown.
        needs: what has to be there: "document", its "file", "stage", "several" stages, "node", "removable", a stage "placed" on
            the floor, "nothing".
        checkable: shows whether it is on.
    """

    id: str
    text: str
    menu: Menu
    keys: tuple[str, ...] = ()
    needs: Literal["nothing", "document", "file", "stage", "several", "removable", "node", "placed"] = "document"
    rule: bool = False
    checkable: bool = False


COMMANDS: tuple[Command, ...] = (
    Command("new", "New", "File", ("Ctrl+N",), "nothing"),
    Command("start", "Start in a minute…", "File", ("Ctrl+Shift+N",), "nothing"),
    Command("open", "Open…", "File", ("Ctrl+O",), "nothing"),
    Command("recent", "Recent files…", "File", ("Ctrl+Shift+A",), "nothing"),
    Command("save", "Save", "File", ("Ctrl+S",), rule=True),
    Command("save_as", "Save as…", "File", ("Ctrl+Shift+S",)),
    Command("revert", "Revert to the saved file", "File", (), "file"),
    Command("export", "Export…", "File", ("Ctrl+Shift+E",), rule=True),
    Command("print", "Print…", "File", ("Ctrl+P",)),
    Command("close", "Close", "File", ("Ctrl+W",), "nothing", rule=True),
    Command("quit", "Quit", "File", ("Ctrl+Q",), "nothing"),
    Command("undo", "Undo", "Edit", ("Ctrl+Z",)),
    Command("redo", "Redo", "Edit", ("Ctrl+Shift+Z", "Ctrl+Y")),
    Command("cut", "Cut", "Edit", ("Ctrl+X",), "stage", rule=True),
    Command("copy", "Copy", "Edit", ("Ctrl+C",), "stage"),
    Command("paste", "Paste", "Edit", ("Ctrl+V",)),
    Command("duplicate", "Duplicate", "Edit", ("Ctrl+D",), "stage"),
    Command("select_all", "Select all stages", "Edit", ("Ctrl+A",)),
    Command("remove", "Remove what is selected", "Edit", ("Del",), "removable", rule=True),
    Command("rename", "Rename…", "Edit", ("F2",), "stage"),
    Command("edit_card", "Change settings", "Edit", ("Ctrl+E",)),
    Command("own_floor", "Place all on the floor", "Edit", ("Ctrl+Shift+F",), rule=True),
    Command("evenly", "Space evenly", "Edit", (), "several"),
    Command("side_by_side", "Stand side by side", "Edit", (), "several"),
    Command("to_left", "Move to the left wall", "Edit", (), "stage"),
    Command("to_right", "Move to the right wall", "Edit", (), "stage"),
    Command("tidy", "Tidy up", "Edit", ("Ctrl+R",), "placed"),
    Command("add", "Add a stage…", "Train", ("Ctrl+F",)),
    Command("add_here", "Add here…", "Train", ("Ctrl+I",)),
    Command("twin", "Two in parallel", "Train", ("Ctrl+Shift+T",), "stage"),
    Command("bypass", "Bypass and blend", "Train", ("Ctrl+Shift+B",), "stage"),
    Command("outdoor", "Branch to outdoor taps", "Train"),
    Command("earlier", "Move earlier in the train", "Train", ("Ctrl+Left",), "stage", rule=True),
    Command("later", "Move later in the train", "Train", ("Ctrl+Right",), "stage"),
    Command("link", "Lay a pipe to…", "Train", ("Ctrl+L",), "node", rule=True),
    Command("sample", "Sample", "Train", ("Ctrl+M",), rule=True),
    Command("sampling", "Sampling order", "Train", ("Ctrl+J",)),
    Command("catalogues", "Own catalogues…", "Train", (), "nothing"),
    *(Command(name, f"{title}…", "Train", (keys,)) for name, title, keys in EDITORS),
    Command("bench", "Go to the bench", "View", ("Ctrl+B",)),
    Command("findings", "Go to the findings", "View", ("Ctrl+1",)),
    Command("next_finding", "Next finding", "View", ("F4",)),
    Command("previous_finding", "Previous finding", "View", ("Shift+F4",)),
    Command("steps", "Worked steps", "View", ("Ctrl+2",)),
    Command("card", "Stage card", "View", ("Ctrl+3",)),
    Command("words", "Train in words", "View", ("Ctrl+T",), checkable=True),
    Command("history", "Undo history", "View", ("Ctrl+H",), checkable=True),
    Command("fit", "Fit", "View", ("Ctrl+0",), rule=True),
    Command("zoom_in", "Zoom in", "View", ("Ctrl++", "Ctrl+=")),
    Command("zoom_out", "Zoom out", "View", ("Ctrl+-",)),
    Command("full_size", "100 % (1:24)", "View", ("Ctrl+9",)),
    Command("fit_selected", "Fit what is selected", "View", ("Ctrl+8",)),
    Command("overview", "Overview", "View", ("Ctrl+7",), checkable=True),
    Command("clearances", "Room that service needs", "View", ("Ctrl+6",), checkable=True),
    Command("choose_rows", "Choose rows…", "View"),
    Command("more_flow", "Try more flow", "View", ("Ctrl+.",)),
    Command("less_flow", "Try less flow", "View", ("Ctrl+,",)),
    Command("peak_flow", "Back to the peak flow", "View", ("Ctrl+/",)),
    Command("units", "US or metric units", "View", ("Ctrl+U",), rule=True),
    Command("light", "Light", "View", (), "nothing", rule=True, checkable=True),
    Command("dark", "Dark", "View", (), "nothing", checkable=True),
    Command("system", "As the system has it", "View", (), "nothing", checkable=True),
    Command("contrast", "High contrast", "View", (), "nothing", checkable=True),
    Command("find_command", "Find a command…", "Help", ("Ctrl+Shift+P", "F1"), "nothing"),
    Command("shortcuts", "Shortcuts", "Help", ("Shift+F1",), "nothing"),
    Command("about", "About trainapp", "Help", (), "nothing", rule=True),
)
