"""The bench on paper: nothing cut or over another, every sentence there to be copied, fonts inside, bookmarks that lead there."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from tests.reports.drawing_checks import meetings
from tests.reports.printing import LONG_SITE, LONG_STAGE, SITES, evaluated, flowed, long_names, pdf_text, site, squeezed, tree_of
from tests.train.trains import document, stage, twelve_stages
from trainapp import units
from trainapp.checks import findings, not_judged, safety
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.export_file import ExportError
from trainapp.reports.in_units import in_units
from trainapp.reports.print_bench import bench_job, write_print
from trainapp.reports.print_flow import Flow, standing
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS, paper_here, paper_of
from trainapp.reports.print_pdf import write_job
from trainapp.reports.print_steps import value_of
from trainapp.reports.print_table import PrintTable, set_table
from trainapp.reports.print_text import broken, fold
from trainapp.spelling import spelt
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

LETTER = PAPERS["letter"]


def twenty() -> PrintJob:
    """A train that no page holds beside one another."""
    kinds = [stage(f"s{i}", "sediment_cartridge", rating="50 um") for i in range(20)]
    evaluation = evaluate(open_plan(document(kinds)))
    return bench_job(evaluation, findings(evaluation), "us", LETTER)


def twelve() -> PrintJob:
    """A train that is a little too wide for a page."""
    evaluation = evaluate(open_plan(twelve_stages()))
    return bench_job(evaluation, findings(evaluation), "us", LETTER)


#: Every sample site, long names, many stages; both systems and both papers.
MADE: dict[str, Callable[[], PrintJob]] = {
    **{name: partial(lambda name: bench_job(*site(name, "metric"), "metric", PAPERS["a4"]), name) for name in SITES},
    **{f"{name}, us": partial(lambda name: bench_job(*site(name), "us", LETTER), name) for name in SITES[:3]},
    "long names": lambda: bench_job(*evaluated(long_names(tree_of("lone-alder-farm"))), "us", LETTER),
    "twelve": twelve,
    "twenty": twenty,
}


@cache
def job_of(name: str) -> PrintJob:
    return MADE[name]()


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("print") / "farm.pdf"
    write_print(*site("lone-alder-farm"), path, paper=LETTER)
    return path


# Nothing is cut ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", list(MADE))
def test_no_text_leaves_the_paper(name: str) -> None:
    quarter_inch = 24.0  # what printers leave blank at the most (common practice, no source)
    for page in job_of(name).pages:
        for part, texts in flowed(PrintJob("", "", (page,))):
            for text, box in texts:
                left, right = part.x + box.x * part.scale, part.x + box.right * part.scale
                top, bottom = part.y + box.y * part.scale, part.y + box.bottom * part.scale
                assert left >= quarter_inch - 1 and right <= page.width - quarter_inch + 1, text.text
                assert top >= quarter_inch - 1 and bottom <= page.height - quarter_inch + 1, text.text


@pytest.mark.parametrize("name", list(MADE))
def test_no_text_lies_over_another(name: str) -> None:
    for page in job_of(name).pages:
        for part in page.parts:
            assert meetings(part.display, measure_dejavu) == []


@pytest.mark.parametrize("name", list(MADE))
def test_every_letter_is_at_least_eight_points(name: str) -> None:
    sizes = [text.size * part.scale * 0.75 for part, texts in flowed(job_of(name)) for text, _ in texts]
    assert min(sizes) > 7.9


def test_nothing_on_paper_asks_to_be_clicked() -> None:
    assert not any(
        text.text in ("Choose rows", "Tidy up", "Try a flow") for name in MADE for _, texts in flowed(job_of(name)) for text, _ in texts
    )


def test_long_names_are_whole(tmp_path: Path) -> None:
    evaluation, found = evaluated(long_names(tree_of("lone-alder-farm")))
    write_print(evaluation, found, tmp_path / "long.pdf", paper=LETTER)
    text = pdf_text(tmp_path / "long.pdf")
    assert squeezed(LONG_SITE) in text and squeezed(LONG_STAGE) in text


def test_a_wide_train_goes_on_over_pages_and_shows_every_stage() -> None:
    pages = [page for page in job_of("twenty").pages if page.width > page.height]
    assert len(pages) == 3
    shown = {text.text for page in pages for _, texts in flowed(PrintJob("", "", (page,))) for text, _ in texts}
    assert {str(number) for number in range(1, 21)} <= {text.split(" ")[0] for text in shown}


# What it says -----------------------------------------------------------------------------------------------------------------


def test_every_finding_stands_in_it_with_its_source(farm: Path) -> None:
    text = pdf_text(farm)
    for finding in site("lone-alder-farm")[1]:
        for sentence in (finding.title, finding.message, *finding.cautions):
            assert squeezed(units.typeset(sentence)) in text, sentence
    assert squeezed("Source: National Standard Plumbing Code, 10.18 (published)") in text


def test_verdict_not_judged_and_safety_stand_in_it(farm: Path) -> None:
    text, evaluation = pdf_text(farm), site("lone-alder-farm")[0]
    # at the foot of every page, and first among the cautions
    assert squeezed("1 caution, 7 notes.") in text and text.count(squeezed(standing())) == len(PdfReader(farm).pages) + 1
    for sentence in (*not_judged(evaluation), *safety(evaluation)):
        assert squeezed(spelt(sentence)) in text, sentence


def test_what_to_do_now_stands_on_the_first_page(tmp_path: Path) -> None:
    write_print(*site("inkwell-croft"), tmp_path / "a.pdf", paper=LETTER)
    first = PdfReader(tmp_path / "a.pdf").pages[0].extract_text()
    assert "Do not drink this water now" in first


@pytest.mark.parametrize("name", SITES)
def test_every_step_stands_in_it(name: str, tmp_path: Path) -> None:
    evaluation, found = site(name)
    write_print(evaluation, found, tmp_path / "a.pdf", paper=LETTER)
    text = pdf_text(tmp_path / "a.pdf")
    for result in evaluation.stages.values():
        for step in result.working.steps:
            meaning, formula = (units.typeset(in_units(text, "us")) for text in (step.meaning, step.formula))
            assert squeezed(meaning) in text and squeezed(formula) in text, step
            assert squeezed(value_of(step, "us")) in text, step


def test_all_values_stand_in_it_with_limit_and_word(farm: Path) -> None:
    text = pdf_text(farm)
    assert squeezed("154 (≤20, over)") in text and squeezed("test (cannot tell)") in text and squeezed("<0.005 (≤0.01)") in text


# The file ---------------------------------------------------------------------------------------------------------------------


def test_fonts_are_inside(farm: Path) -> None:
    fonts = [font.get_object() for page in PdfReader(farm).pages for font in page["/Resources"]["/Font"].values()]
    assert {font["/Subtype"] for font in fonts} == {"/TrueType"}
    assert all("/FontFile2" in font["/FontDescriptor"] and "/ToUnicode" in font for font in fonts)
    assert {str(font["/BaseFont"]).split("+")[1] for font in fonts} == {"DejaVuSans", "DejaVuSans-Bold"}


def test_bookmarks_lead_to_their_pages(farm: Path) -> None:
    reader = PdfReader(farm)
    flat = [entry for part in reader.outline for entry in (part if isinstance(part, list) else [part])]
    places = {str(entry.title): reader.get_destination_page_number(entry) for entry in flat}
    assert list(places)[:5] == ["Lone Alder Farm", "Findings", "Not judged", "Safety", "Water as it arrives at each point"]
    assert "5 UV chamber, class A, 12.0 gpm, 40.0 mJ/cm²".replace(" ", "") in {
        title.replace("\u202f", "").replace(" ", "") for title in places
    }
    for title, page in places.items():
        assert squeezed(title) in squeezed(reader.pages[page or 0].extract_text())


def test_title_and_language_stand_in_the_file(farm: Path) -> None:
    reader = PdfReader(farm)
    assert reader.metadata is not None and reader.metadata.title == "Lone Alder Farm: the bench"
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_the_same_pages_give_the_same_bytes() -> None:
    files = [io.BytesIO(), io.BytesIO()]
    for file in files:
        write_job(bench_job(*site("lone-alder-farm"), "us", LETTER), file)
    assert files[0].getvalue() == files[1].getvalue()


@pytest.mark.parametrize(("paper", "size"), [("letter", (792.0, 612.0)), ("a4", (841.89, 595.28))])
def test_the_first_page_lies_and_the_others_stand(tmp_path: Path, paper: str, size: tuple[float, float]) -> None:
    write_print(*site("lone-alder-farm"), tmp_path / "a.pdf", paper=PAPERS[paper])
    first, second, *_ = (tuple(map(float, page.mediabox[2:])) for page in PdfReader(tmp_path / "a.pdf").pages)
    assert first == pytest.approx(size, abs=0.01) and second == pytest.approx(size[::-1], abs=0.01)


def test_only_a_pdf_is_a_print(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match=r"a print ends in \.pdf"):
        write_print(*site("lone-alder-farm"), tmp_path / "a.png")


# Paper ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("locale", "system", "paper"),
    [
        ("en_US.UTF-8", "metric", "letter"), ("fr_CA", "metric", "letter"), ("es-MX", "metric", "letter"), ("de_DE.UTF-8", "us", "a4"),
        ("en_GB", "us", "a4"), ("zh_Hant_TW", "us", "a4"), ("C.UTF-8", "us", "letter"), ("C", "metric", "a4"), ("", "us", "letter"),
        ("POSIX", "metric", "a4"), ("eo", "metric", "a4"),
    ],
)  # fmt: skip
def test_paper_follows_the_locale_then_the_units(locale: str, system: units.System, paper: str) -> None:
    assert paper_of(locale, system).name == paper


def test_the_strongest_variable_decides() -> None:
    assert paper_here("us", {"LC_ALL": "", "LC_PAPER": "de_DE", "LANG": "en_US"}).name == "a4"
    assert paper_here("us", {"LC_ALL": "en_US", "LC_PAPER": "de_DE"}).name == "letter"
    assert paper_here("metric", {}).name == "a4"


# Setting ----------------------------------------------------------------------------------------------------------------------

_WORDS = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "Zs"]), max_size=60)


@given(_WORDS, st.floats(30.0, 400.0), st.booleans())
def test_folding_loses_no_letter_and_keeps_to_the_width(text: str, width: float, bold: bool) -> None:
    lines = fold(text, width, 12.0, bold, measure_dejavu)
    assert squeezed("".join(lines)) == squeezed(text)
    assert all(measure_dejavu(line, 12.0, bold) <= width or len(line) == 1 for line in lines)


def test_a_long_word_breaks_behind_a_sign() -> None:
    assert broken("well-head/north-east", 80.0, 12.0, False, measure_dejavu)[0] == "well-head/"


@given(st.lists(st.text("ab ", max_size=900), min_size=1, max_size=12))
def test_a_table_of_any_texts_keeps_every_letter(texts: list[str]) -> None:
    flow = Flow(LETTER, "running")
    set_table(flow, PrintTable(("n", "text"), (1, 3), [(str(i), text) for i, text in enumerate(texts)]))
    job = flow.finish("t")
    column = [text.text for _, boxes in flowed(job) for text, _ in boxes if set(text.text) <= set("ab ")]
    assert squeezed("".join(column)) == squeezed("".join(texts))
    assert all(meetings(part.display, measure_dejavu) == [] for page in job.pages for part in page.parts)


def test_a_row_higher_than_a_page_goes_on_over_the_next() -> None:
    flow = Flow(LETTER, "running")
    set_table(flow, PrintTable(("", "text"), (1, 1), [("1", "word " * 2000)]))
    assert len(flow.finish("t").pages) > 2


def test_heads_stand_on_every_page_of_a_table() -> None:
    flow = Flow(LETTER, "running")
    set_table(flow, PrintTable(("name", "number"), (1, 1), [(f"n{i}", f"{i}") for i in range(120)]))
    job = flow.finish("t")
    assert len(job.pages) == 3
    heads = [
        [text.text for _, boxes in flowed(PrintJob("", "", (page,))) for text, _ in boxes if text.text == "name"] for page in job.pages
    ]
    assert heads == [["name"]] * 3
