"""Commands of the Year view. A command `x` is the view's method `do_x`."""

from __future__ import annotations

from trainapp.desktop.command import Command

COMMANDS: tuple[Command, ...] = (
    Command("year_play", "Play or pause the year", "Year", ("Ctrl+Space",), view="year"),
    Command("year_start", "Go to the first hour", "Year", ("Alt+Home",), view="year"),
    Command("year_end", "Go to the last hour", "Year", ("Alt+End",), view="year"),
    Command("year_hour_back", "Back by an hour", "Year", ("Alt+Left",), rule=True, view="year"),
    Command("year_hour_on", "On by an hour", "Year", ("Alt+Right",), view="year"),
    Command("year_day_back", "Back by a day", "Year", ("Alt+Down",), view="year"),
    Command("year_day_on", "On by a day", "Year", ("Alt+Up",), view="year"),
    Command("year_month_back", "Back by a month", "Year", ("Alt+PgDown",), view="year"),
    Command("year_month_on", "On by a month", "Year", ("Alt+PgUp",), view="year"),
    Command("year_slower", "Play slower", "Year", ("Alt+,",), rule=True, view="year"),
    Command("year_faster", "Play faster", "Year", ("Alt+.",), view="year"),
    Command("year_next_wrong", "Go to what goes wrong next", "Year", ("Alt+N",), rule=True, view="year"),
    Command("year_last_wrong", "Go to what went wrong before", "Year", ("Alt+Shift+N",), view="year"),
    Command("year_wrong_list", "List of what goes wrong", "Year", ("Alt+1",), view="year"),
    Command("year_chart", "Add a chart…", "Year", ("Alt+C",), rule=True, view="year"),
    Command("year_upkeep", "Upkeep on time, late, never", "Year", ("Alt+U",), view="year"),
    Command("year_both", "Before and after", "Year", ("Alt+B",), rule=True, view="year"),
    Command("year_compare", "Compare…", "Year", ("Alt+W",), view="year"),
    Command("year_alone", "This train alone", "Year", (), view="year"),
    Command("year_run", "Run the year again", "Year", ("Alt+R",), rule=True, view="year"),
    Command("year_cancel", "Stop the run", "Year", (), view="year"),
    Command("year_export", "Export the year…", "Year", ("Alt+X",), rule=True, view="year"),
)
