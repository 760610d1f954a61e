"""What all commands share: words that are read alike, and how a bad input is refused."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from trainapp.reports.print_paper import Paper
    from trainapp.units import System

UNUSABLE = 2
Units = Annotated[str, typer.Option("--units", help="us or metric")]


def system_of(text: str) -> System:
    """What `--units` says."""
    if text == "us":
        return "us"
    if text == "metric":
        return "metric"
    refuse(f'--units: "{text}" is neither us nor metric')


def paper_of(text: str | None, system: System) -> Paper:
    """What `--paper` says; without it the paper of this machine."""
    from trainapp.reports.print_paper import PAPERS, paper_here

    if text and text not in PAPERS:
        refuse(f'--paper: "{text}" is neither letter nor a4')
    return PAPERS[text] if text else paper_here(system)


def refuse(sentence: str) -> NoReturn:
    """One sentence on standard error, exit status 2."""
    typer.echo(sentence, err=True)
    raise typer.Exit(UNUSABLE)


def flush() -> None:
    """Have all of standard output written; there is none where a process is started without.

    Raises:
        OSError: it takes no more.
    """
    if sys.stdout is not None:
        sys.stdout.flush()


def silence() -> None:
    """Let standard output lead nowhere, so that leaving does not fail at it again."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
