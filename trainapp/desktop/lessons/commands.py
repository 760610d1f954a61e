"""What can be done in the Lessons view."""

from __future__ import annotations

from trainapp.desktop.command import Command

COMMANDS: tuple[Command, ...] = (
    Command("lesson_play", "Play the lesson", "Lessons", ("Ctrl+Return",), "nothing", view="lessons"),
    Command("lesson_new_class", "New class: forget what was guessed", "Lessons", (), "nothing", view="lessons"),
    Command("lesson_worksheet", "Worksheet, PDF…", "Lessons", ("Ctrl+Alt+P",), "nothing", rule=True, view="lessons"),
    Command("lesson_answers", "Answer sheet, PDF…", "Lessons", (), "nothing", view="lessons"),
    Command("lesson_write", "Write a lesson", "Lessons", ("Ctrl+Alt+N",), "nothing", rule=True, view="lessons"),
    Command("lesson_from_bench", "Write a lesson about the train on the bench", "Lessons", (), "document", view="lessons"),
    Command("lesson_change", "Write a lesson like this one", "Lessons", (), "nothing", view="lessons"),
    Command("lesson_open", "Open a lesson…", "Lessons", ("Ctrl+Alt+O",), "nothing", view="lessons"),
    Command("lesson_forget", "Take an own lesson off the list", "Lessons", (), "nothing", view="lessons"),
    Command("lesson_try", "Try the lesson that is written", "Lessons", ("Ctrl+Alt+T",), "nothing", rule=True, view="lessons"),
    Command("lesson_save", "Save the lesson", "Lessons", ("Ctrl+Alt+S",), "nothing", view="lessons"),
    Command("lesson_save_as", "Save the lesson as…", "Lessons", (), "nothing", view="lessons"),
    Command("lesson_list", "Back to the list of lessons", "Lessons", ("Ctrl+Alt+L",), "nothing", view="lessons"),
)
