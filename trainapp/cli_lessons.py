"""`trainapp lesson`: what lessons there are, one worked out, one checked, one printed.

Every command loads what it needs when it runs, as in :mod:`trainapp.cli`.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trainapp.cli_words import UNUSABLE, Units, paper_of, refuse, system_of

if TYPE_CHECKING:
    from trainapp.reports.progress import Progress
    from trainapp.studies.lessons import Played

lesson_app = typer.Typer(help="Lessons: a question, two trains, and what the engine finds.", rich_markup_mode=None)
_Name = Annotated[str, typer.Argument(metavar="NAME", help="the name of a lesson, or its file, NAME.lesson.toml")]


@lesson_app.command("list")
def list_lessons(
    folder: Annotated[list[Path] | None, typer.Option("--folder", help="a folder with lessons of your own beside the program's")] = None,
) -> None:
    """The lessons that there are."""
    from trainapp.reports.lesson_text import list_lines
    from trainapp.studies.lessons import load_all

    for place in folder or ():
        if not place.is_dir():
            refuse(f"--folder: {place} is not a folder")
    found = load_all(folder or ())
    for line in list_lines(found):
        typer.echo(line)
    for error in found.errors:
        typer.echo(str(error), err=True)
    raise typer.Exit(UNUSABLE if found.errors else 0)


@lesson_app.command()
def show(
    name: _Name,
    changes: Annotated[list[str] | None, typer.Option("--set", help="change what the class may change: iron=0.5")] = None,
    system: Units = "us",
) -> None:
    """Work a lesson out and print it, from its scene to its point."""
    from trainapp.reports.lesson_text import show_lines

    chosen = system_of(system)
    for line in show_lines(_played(name, changes or ()), chosen):
        typer.echo(line)


@lesson_app.command()
def check(name: _Name) -> None:
    """Whether a lesson is sound, and its point is what the engine finds. Exit status 1 where it is not."""
    from trainapp.reports.lesson_text import check_lines

    played = _played(name)
    with _told("Trying what is to be tried") as told:
        from trainapp.studies.lessons import play_tries

        lines, agrees = check_lines(played, play_tries(played, progress=told))
    for line in lines:
        typer.echo(line)
    raise typer.Exit(0 if agrees else 1)


@lesson_app.command("print")
def print_lesson(
    name: _Name,
    out: Annotated[Path, typer.Option("--out", help="OUT.pdf")],
    answers: Annotated[bool, typer.Option("--answers", help="the answer sheet instead of the worksheet")] = False,
    paper: Annotated[str, typer.Option("--paper", help="letter or a4; by default what is usual where you are")] = "",
    system: Units = "us",
) -> None:
    """Print a lesson's worksheet, or its answer sheet."""
    from trainapp.reports.export_file import ExportError
    from trainapp.reports.lesson_sheet import check_sheet_target, write_lesson_sheet

    chosen = system_of(system)
    sheet = paper_of(paper, chosen)
    try:
        check_sheet_target(out)
        played = _played(name)
        tried: tuple[Played, ...] = ()
        if answers:
            from trainapp.studies.lessons import play_tries

            with _told("Trying what is to be tried") as told:
                tried = play_tries(played, progress=told)
        write_lesson_sheet(played, out, answers=answers, tried=tried, system=chosen, paper=sheet)
    except ExportError as error:
        refuse(str(error))
    typer.echo(f"Wrote {out}")


def _played(name: str, changes: list[str] | tuple[str, ...] = ()) -> Played:
    from trainapp.reports.lesson_text import read_changes
    from trainapp.studies.lessons import find, play

    with _told("Playing the lesson") as told:
        lesson = find(name)
        return play(lesson, read_changes(lesson, changes), progress=told)


@contextmanager
def _told(what: str) -> Iterator[Progress]:
    """Progress, and a bad lesson as one sentence."""
    from trainapp.reports.progress import Progress
    from trainapp.studies.lessons import LessonError

    try:
        with Progress(what) as told:
            yield told
    except LessonError as error:
        refuse(str(error))
