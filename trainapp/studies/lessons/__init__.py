"""Lessons: a scene, a question, one or two trains that the engine runs, and the point.

A lesson is data (`NAME.lesson.toml`): :func:`load`, :func:`load_all` and :func:`find` read it, :func:`lesson_of` makes one of what an
editor holds, :func:`save` writes it. :func:`play` works it out; nothing in a lesson says what the right answer is.
"""

from trainapp.studies.lessons.errors import LessonError
from trainapp.studies.lessons.model import (
    LETTERS,
    Answer,
    Bench,
    Choice,
    Control,
    Fact,
    Judge,
    Lesson,
    Measure,
    Point,
    Run,
    Scalar,
    Spot,
    Try,
    Watch,
    Words,
)
from trainapp.studies.lessons.numbers import Number, with_unit
from trainapp.studies.lessons.play import play, play_tries
from trainapp.studies.lessons.played import Chart, ChartLine, Played, PlayedBench, Standing
from trainapp.studies.lessons.proof import disagreements
from trainapp.studies.lessons.reading import ENDING, dumps, lesson_of, load, loads, tree_of
from trainapp.studies.lessons.saving import save
from trainapp.studies.lessons.shelf import Lessons, find, lessons_path, load_all
from trainapp.studies.lessons.trains import train_names
from trainapp.studies.lessons.wording import control_text, limit_text, said
from trainapp.studies.year import Cancelled, Progress

__all__ = [
    "ENDING", "LETTERS", "Answer", "Bench", "Cancelled", "Chart", "ChartLine", "Choice", "Control", "Fact", "Judge", "Lesson",
    "LessonError", "Lessons", "Measure", "Number", "Played", "PlayedBench", "Point", "Progress", "Run", "Scalar", "Spot", "Standing",
    "Try", "Watch", "Words", "control_text", "disagreements", "dumps", "find", "lesson_of", "lessons_path", "limit_text", "load",
    "load_all", "loads", "play", "play_tries", "said", "save", "train_names", "tree_of", "with_unit",
]  # fmt: skip
