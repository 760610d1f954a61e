"""Everything that can be done, in one table: menus, shortcuts and Find a command all read it."""

from __future__ import annotations

from trainapp.desktop.command import Command, Menu
from trainapp.desktop.editors import EDITORS
from trainapp.desktop.views import KEYS, TITLES, VIEWS

#: Menus from left to right. That of a view shows only while the view does.
MENUS: tuple[Menu, ...] = ("File", "Edit", "Train", *(view.title for view in VIEWS), "View", "Help")

_COMMON: tuple[Command, ...] = (
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
    Command("cut", "Cut", "Edit", ("Ctrl+X",), "stage", rule=True, view="bench"),
    Command("copy", "Copy", "Edit", ("Ctrl+C",), "stage", view="bench"),
    Command("paste", "Paste", "Edit", ("Ctrl+V",), view="bench"),
    Command("duplicate", "Duplicate", "Edit", ("Ctrl+D",), "stage", view="bench"),
    Command("select_all", "Select all stages", "Edit", ("Ctrl+A",), view="bench"),
    Command("remove", "Remove what is selected", "Edit", ("Del",), "removable", rule=True, view="bench"),
    Command("rename", "Rename…", "Edit", ("F2",), "stage", view="bench"),
    Command("edit_card", "Change settings", "Edit", ("Ctrl+E",), view="bench"),
    Command("own_floor", "Place all on the floor", "Edit", ("Ctrl+Shift+F",), rule=True, view="bench"),
    Command("evenly", "Space evenly", "Edit", (), "several", view="bench"),
    Command("side_by_side", "Stand side by side", "Edit", (), "several", view="bench"),
    Command("to_left", "Move to the left wall", "Edit", (), "stage", view="bench"),
    Command("to_right", "Move to the right wall", "Edit", (), "stage", view="bench"),
    Command("tidy", "Tidy up", "Edit", ("Ctrl+R",), "placed", view="bench"),
    Command("add", "Add a stage…", "Train", ("Ctrl+F",), view="bench"),
    Command("add_here", "Add here…", "Train", ("Ctrl+I",), view="bench"),
    Command("twin", "Two in parallel", "Train", ("Ctrl+Shift+T",), "stage", view="bench"),
    Command("bypass", "Bypass and blend", "Train", ("Ctrl+Shift+B",), "stage", view="bench"),
    Command("outdoor", "Branch to outdoor taps", "Train", view="bench"),
    Command("earlier", "Move earlier in the train", "Train", ("Ctrl+Left",), "stage", rule=True, view="bench"),
    Command("later", "Move later in the train", "Train", ("Ctrl+Right",), "stage", view="bench"),
    Command("link", "Lay a pipe to…", "Train", ("Ctrl+L",), "node", rule=True, view="bench"),
    Command("sample", "Sample", "Train", ("Ctrl+M",), rule=True, view="bench"),
    Command("sampling", "Sampling order", "Train", ("Ctrl+J",)),
    Command("catalogues", "Own catalogues…", "Train", (), "nothing"),
    *(Command(name, f"{title}…", "Train", (keys,)) for name, title, keys in EDITORS),
    *(Command(f"view_{name}", title, "View", (KEYS[name],), checkable=True) for name, title in TITLES.items()),
    Command("bench", "Go to the bench", "View", ("Ctrl+B",), rule=True, view="bench"),
    Command("findings", "Go to the findings", "View", ("Ctrl+1",), view="bench"),
    Command("next_finding", "Next finding", "View", ("F4",), view="bench"),
    Command("previous_finding", "Previous finding", "View", ("Shift+F4",), view="bench"),
    Command("steps", "Worked steps", "View", ("Ctrl+2",), view="bench"),
    Command("card", "Stage card", "View", ("Ctrl+3",), view="bench"),
    Command("words", "Train in words", "View", ("Ctrl+T",), checkable=True),
    Command("history", "Undo history", "View", ("Ctrl+H",), checkable=True),
    Command("fit", "Fit", "View", ("Ctrl+0",), rule=True, view="bench"),
    Command("zoom_in", "Zoom in", "View", ("Ctrl++", "Ctrl+="), view="bench"),
    Command("zoom_out", "Zoom out", "View", ("Ctrl+-",), view="bench"),
    Command("full_size", "100 % (1:24)", "View", ("Ctrl+9",), view="bench"),
    Command("fit_selected", "Fit what is selected", "View", ("Ctrl+8",), view="bench"),
    Command("overview", "Overview", "View", ("Ctrl+7",), checkable=True, view="bench"),
    Command("clearances", "Room that service needs", "View", ("Ctrl+6",), checkable=True, view="bench"),
    Command("choose_rows", "Choose rows…", "View", view="bench"),
    Command("more_flow", "Try more flow", "View", ("Ctrl+.",), view="bench"),
    Command("less_flow", "Try less flow", "View", ("Ctrl+,",), view="bench"),
    Command("peak_flow", "Back to the peak flow", "View", ("Ctrl+/",), view="bench"),
    Command("units", "US or metric units", "View", ("Ctrl+U",), rule=True),
    Command("light", "Light", "View", (), "nothing", rule=True, checkable=True),
    Command("dark", "Dark", "View", (), "nothing", checkable=True),
    Command("system", "As the system has it", "View", (), "nothing", checkable=True),
    Command("contrast", "High contrast", "View", (), "nothing", checkable=True),
    Command("find_command", "Find a command…", "Help", ("Ctrl+Shift+P", "F1"), "nothing"),
    Command("shortcuts", "Shortcuts", "Help", ("Shift+F1",), "nothing"),
    Command("about", "About trainapp", "Help", (), "nothing", rule=True),
)

#: All of them; a menu has them in this order.
COMMANDS: tuple[Command, ...] = (*_COMMON, *(command for view in VIEWS for command in view.commands()))
