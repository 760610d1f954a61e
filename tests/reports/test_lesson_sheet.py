"""A lesson on paper: everything that a class and a trainer need stands on it, nothing of it is cut, and the worksheet keeps the answer."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.reports.drawing_checks import meetings, outside
from tests.reports.printing import flowed, pdf_text, squeezed
from tests.studies.lessons.shown import NAMES, played, quick, tried
from trainapp import units
from trainapp.reports.drawing.display import Text, walk
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.export_file import ExportError
from trainapp.reports.lesson_chart import lesson_chart
from trainapp.reports.lesson_sheet import lesson_sheet, write_lesson_sheet
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS
from trainapp.studies.lessons import Played, lesson_of, play, said

LETTER, A4 = PAPERS["letter"], PAPERS["a4"]


@cache
def job(name: str, answers: bool) -> PrintJob:
    """A sheet: the worksheet on Letter, the answers in metric units on A4."""
    shown = played(name)
    if answers:
        return lesson_sheet(shown, answers=True, tried=tried(name), system="metric", paper=A4)
    return lesson_sheet(shown, paper=LETTER)


def long_lesson() -> Played:
    """Texts as long as a lesson takes them."""
    tree: dict[str, Any] = quick()
    tree["title"] = "Longwordswithoutanend " * 2 + "and a class"
    tree["scene"] = ("Everything that a trainer could wish to say of a house at the end of a road. " * 19)[:1480]
    tree["question"] = ("Which of the two, and why, and since when, " * 4)[:158]
    tree["benches"][0]["label"] = "A bench with a label as long as a label may be, or nearly so"
    tree["safety"] = ("Nothing here says that water is fit to drink. " * 32)[:1490]
    tree["answers"] = [{"text": f"{answer['when']} {'x' * 45}", "when": answer["when"]} for answer in tree["answers"]]
    tree["point"]["answer"] = tree["answers"][1]["text"]
    tree["tries"] = []
    return play(lesson_of(tree))


@pytest.mark.parametrize("answers", [False, True])
@pytest.mark.parametrize("name", [*NAMES, "long"])
def test_nothing_is_cut_or_over_another_or_too_small(name: str, answers: bool) -> None:
    pages = (lesson_sheet(long_lesson(), answers=answers, paper=A4) if name == "long" else job(name, answers)).pages
    for page in pages:
        for part, texts in flowed(PrintJob("", "", (page,))):
            assert meetings(part.display, measure_dejavu) == []
            for text, box in texts:
                assert text.size * part.scale * 0.75 > 7.9, text.text
                assert part.x + box.x * part.scale >= 23.0 and part.x + box.right * part.scale <= page.width - 23.0, text.text
                assert part.y + box.y * part.scale >= 23.0 and part.y + box.bottom * part.scale <= page.height - 23.0, text.text


@pytest.mark.parametrize("name", NAMES)
def test_a_worksheet_is_two_pages_and_keeps_the_answer(name: str, tmp_path: Path) -> None:
    shown, path = played(name), tmp_path / "w.pdf"
    write_lesson_sheet(shown, path, paper=LETTER)
    text = pdf_text(path)
    lesson = shown.lesson
    for part in (lesson.title, said(lesson, lesson.scene, "us"), said(lesson, lesson.question, "us"), lesson.watch.text, lesson.safety):
        assert squeezed(units.typeset(part)) in text
    for part in (*(answer.text for answer in lesson.answers), *(bench.label for bench in lesson.benches), "Name", "tally", "Guess"):
        assert squeezed(part) in text
    verdicts = [shown.verdict(bench.letter, "us") for bench in shown.benches]
    told = [shown.point("us"), *(words for words in verdicts if words not in lesson.question), "(right)", "Worked answer"]
    assert [part for part in told if squeezed(part) in text] == []
    assert len(PdfReader(path).pages) == 2


@pytest.mark.parametrize("name", NAMES)
def test_an_answer_sheet_has_numbers_answer_point_and_caution(name: str, tmp_path: Path) -> None:
    shown, path = played(name), tmp_path / "a.pdf"
    write_lesson_sheet(shown, path, answers=True, tried=tried(name), paper=LETTER)
    text = pdf_text(path)
    assert shown.right is not None
    assert squeezed(f"{shown.right.text} (right)") in text and squeezed(units.typeset(shown.lesson.safety)) in text
    assert squeezed(shown.point("us")) in text
    for bench in shown.benches:
        assert squeezed(shown.number(bench.letter, "us")) in text and squeezed(shown.verdict(bench.letter, "us")) in text
    for play_of in tried(name):
        assert all(squeezed(bench.number.text("us")) in text for bench in play_of.benches)
    assert all(squeezed(units.typeset(fact.text)) in text for fact in shown.lesson.facts)
    assert text.count("(right)") == 1 and ("illustrative" in text) >= shown.illustrative


def test_paper_fonts_and_bytes(tmp_path: Path) -> None:
    for paper, size in ((LETTER, (612.0, 792.0)), (A4, (595.28, 841.89))):
        paths = [tmp_path / f"{paper.name}{i}.pdf" for i in range(2)]
        for path in paths:
            write_lesson_sheet(played("too-much-flow"), path, paper=paper)
        assert paths[0].read_bytes() == paths[1].read_bytes()
        for page in PdfReader(paths[0]).pages:
            assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.01)
            fonts = page["/Resources"]["/Font"]
            assert all(re.match(r"/[A-Z]{6}\+DejaVuSans", str(font.get_object()["/BaseFont"])) for font in fonts.values())
            assert all("/FontFile2" in font.get_object()["/FontDescriptor"].get_object() for font in fonts.values())


def test_another_ending_is_refused_and_leaves_nothing(tmp_path: Path) -> None:
    for name in ("x.png", "gone/x.pdf"):
        with pytest.raises(ExportError):
            write_lesson_sheet(played("too-much-flow"), tmp_path / name)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("name", NAMES)
def test_the_chart_says_what_is_illustrative_and_keeps_its_texts_apart(name: str, system: Any) -> None:
    shown = played(name)
    drawn = lesson_chart(shown.chart, width=700.0, height=210.0, system=system)
    texts = [shape.text for shape, _ in walk(drawn.items) if isinstance(shape, Text)]
    assert meetings(drawn, measure_dejavu) == [] and outside(drawn, measure_dejavu) == []
    assert ("illustrative" in texts) == shown.chart.illustrative
    assert [bench.letter for bench in shown.benches] == sorted(text[0] for text in texts if re.match(r"[AB]( |$)", text))
    assert not any(month in " ".join(texts) for month in ("Jan", "Feb", "Mar"))
