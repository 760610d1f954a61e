"""Commands of the Options view. A command `x` is the view's method `do_x`."""

from __future__ import annotations

from trainapp.desktop.command import Command

COMMANDS: tuple[Command, ...] = (
    Command("options_customer", "Customer side", "Options", ("F12",), view="options"),
    Command("options_prices", "Price list…", "Options", ("Alt+P",), view="options"),
    Command("options_print", "Print proposal…", "Options", ("Alt+Shift+P",), view="options"),
    Command("options_open", "Open the option on a bench of its own", "Options", ("Alt+W",), rule=True, view="options"),
    Command("options_take", "Take the option over to the bench", "Options", ("Alt+G",), view="options"),
    Command("options_keep", "Keep the option, or do not", "Options", ("Alt+K",), view="options"),
    Command("options_file", "Keep the option as a file…", "Options", ("Alt+Shift+K",), view="options"),
    Command("options_rename", "Rename the option…", "Options", ("Alt+N",), view="options"),
    Command("options_remove", "Remove the option", "Options", ("Alt+X",), view="options"),
    Command("options_take_back", "Take back what was removed", "Options", ("Alt+Z",), view="options"),
    Command("options_bill", "Open the bill", "Options", ("Alt+B",), rule=True, view="options"),
    Command("options_sure", "How sure…", "Options", ("Alt+S",), view="options"),
    Command("options_left_out", "What was left out, and why", "Options", ("Alt+A",), view="options"),
    Command("options_not_judged", "What was not judged", "Options", ("Alt+J",), view="options"),
    Command("options_again", "Look again", "Options", ("Alt+R",), rule=True, view="options"),
    Command("options_cancel", "Give up what runs", "Options", ("Alt+C",), view="options"),
)
