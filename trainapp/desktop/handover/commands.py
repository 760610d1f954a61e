"""Commands of the Hand-over view. A command `x` is the view's method `do_x`."""

from __future__ import annotations

from trainapp.desktop.command import Command

COMMANDS: tuple[Command, ...] = (
    Command("handover_save", "Save the paper…", "Hand-over", ("Alt+S",), view="handover"),
    Command("handover_save_all", "Save all papers into a folder…", "Hand-over", ("Alt+Shift+S",), view="handover"),
    Command("handover_print", "Print the paper…", "Hand-over", ("Alt+P",), view="handover"),
    Command("handover_next", "Next page", "Hand-over", ("Alt+PgDown",), rule=True, view="handover"),
    Command("handover_previous", "Previous page", "Hand-over", ("Alt+PgUp",), view="handover"),
    Command("handover_larger", "Larger pages", "Hand-over", ("Alt++", "Alt+="), view="handover"),
    Command("handover_smaller", "Smaller pages", "Hand-over", ("Alt+-",), view="handover"),
    Command("handover_width", "As wide as there is room", "Hand-over", ("Alt+0",), view="handover"),
    Command("handover_logo", "Pick a logo…", "Hand-over", ("Alt+G",), rule=True, view="handover"),
    Command("handover_terms", "Pick terms…", "Hand-over", ("Alt+M",), view="handover"),
    Command("handover_prices", "Pick a price list…", "Hand-over", ("Alt+R",), view="handover"),
    Command("handover_log", "Add to the upkeep log", "Hand-over", ("Alt+U",), rule=True, view="handover"),
    Command("handover_cancel", "Give up what runs", "Hand-over", ("Alt+C",), view="handover"),
)
