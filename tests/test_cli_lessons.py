"""`trainapp lesson`: what it prints, and its exit status."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from tests.studies.lessons.shown import NAMES, quick, text_of
from trainapp.cli import app
from trainapp.studies.lessons import lesson_of, save


def ran(*words: str) -> tuple[int, str, str]:
    answer = CliRunner().invoke(app, ["lesson", *words])
    assert answer.exception is None or isinstance(answer.exception, SystemExit)
    return answer.exit_code, answer.stdout, answer.stderr


def test_list_names_every_lesson(tmp_path: Path) -> None:
    status, out, err = ran("list")
    assert status == 0 and not err and {line.split()[0] for line in out.splitlines()} == set(NAMES)
    (tmp_path / "bad.lesson.toml").write_text("x = ", encoding="utf-8")
    status, out, err = ran("list", "--folder", str(tmp_path))
    assert status == 2 and len(out.splitlines()) == len(NAMES) + 1 and err.startswith("bad.lesson.toml, line 1: ")
    assert any(line.split() == ["bad", "broken:", "cannot", "be", "used"] for line in out.splitlines())
    assert ran("list", "--folder", str(tmp_path / "no"))[0] == 2


def test_show_works_a_lesson_out() -> None:
    status, out, _ = ran("show", "too-much-flow")
    assert status == 0 and "Right answer: B only" in out and "  * B only" in out and "Safety: The certificate decides" in out
    status, out, _ = ran("show", "too-much-flow", "--set", "peak=6", "--units", "metric")
    assert status == 0 and "Right answer: both" in out and "22.7 L/min" in out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("show", "nothing-of-the-kind"), "neither a file nor one of the lessons"),
        (("show", "no.lesson.toml"), "there is no such file"),
        (("show", "too-much-flow", "--set", "pump=1"), "not one of what may be changed: peak, control"),
        (("show", "too-much-flow", "--set", "peak"), "peak=VALUE"),
        (("show", "too-much-flow", "--set", "peak=lots"), "is not a number"),
        (("show", "too-much-flow", "--units", "roman"), "neither us nor metric"),
        (("print", "too-much-flow", "--out", "x.doc"), "ends in .pdf"),
        (("print", "too-much-flow", "--out", "x.pdf", "--paper", "a3"), "neither letter nor a4"),
    ],
)
def test_what_cannot_be_is_one_sentence(words: tuple[str, ...], sentence: str) -> None:
    status, out, err = ran(*words)
    assert status == 2 and not out and sentence in err and len(err.strip().splitlines()) == 1


def test_check_tells_where_a_lesson_and_the_engine_part(tmp_path: Path) -> None:
    assert ran("check", "too-much-flow")[0] == 0
    tree = quick()
    tree["point"]["answer"] = "both"
    tree["tries"][0]["answer"] = "neither"
    save(lesson_of(tree), tmp_path / "x.lesson.toml")
    status, out, _ = ran("check", str(tmp_path / "x.lesson.toml"))
    assert status == 1 and out.splitlines() == [
        'point.answer: the lesson tells "both", the engine finds "B only"',
        'tries.#1.answer: the lesson tells "neither", the engine finds "both"',
    ]
    (tmp_path / "y.lesson.toml").write_text(text_of().replace("min = 4.0", 'min = "few"', 1), encoding="utf-8")
    status, out, err = ran("check", str(tmp_path / "y.lesson.toml"))
    line = next(i for i, row in enumerate((tmp_path / "y.lesson.toml").read_text().splitlines(), 1) if '"few"' in row)
    assert (status, out, err) == (2, "", f'y.lesson.toml, line {line}, controls.#1.min: "few" is not a number\n')


def test_what_only_shows_when_it_plays_names_file_and_line(tmp_path: Path) -> None:
    text = text_of().replace('limit = "9 gpm"', 'limit = "9 psi"', 1)
    (tmp_path / "z.lesson.toml").write_text(text, encoding="utf-8")
    line = text.splitlines().index('limit = "9 psi"') + 1
    assert ran("check", str(tmp_path / "z.lesson.toml")) == (2, "", f'z.lesson.toml, line {line}, judge.limit: "9 psi" is not a flow\n')


def test_print_writes_both_sheets(tmp_path: Path) -> None:
    for answers in ((), ("--answers",)):
        path = tmp_path / f"x{len(answers)}.pdf"
        assert ran("print", "too-much-flow", "--out", str(path), "--paper", "a4", *answers)[:2] == (0, f"Wrote {path}\n")
        assert ("Worked answer" in PdfReader(path).pages[0].extract_text()) == bool(answers)
