"""The display list as SVG, PNG and PDF, and the picture of a real train in a file."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.reports import drawing_models as models
from tests.reports.drawing_checks import meetings, outside, text_boxes
from trainapp.checks import findings
from trainapp.reports import picture
from trainapp.reports.drawing import render_mpl, render_svg
from trainapp.reports.drawing.display import Display
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.page import page
from trainapp.reports.drawing.tokens import THEMES
from trainapp.reports.drawing.view import layout
from trainapp.train.document import load
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def display() -> Display:
    return layout(models.unlike_lanes(), Options(976, 872), measure_dejavu).display


@pytest.fixture(scope="module")
def evaluation(root: Path) -> Evaluation:
    return evaluate(open_plan(load(root / "samples" / "lone-alder-farm-uv-alone.train.json")))


@pytest.mark.parametrize("theme", list(THEMES))
def test_svg_is_well_formed_and_coloured_from_the_table(display: Display, theme: str) -> None:
    text = render_svg.svg(display, theme, "A & B")
    tree = ET.fromstring(text)
    assert tree.tag == f"{SVG}svg" and tree.get("width") == "976"
    assert set(re.findall(r"#[0-9A-Fa-f]{6}", text)) <= set(THEMES[theme].values())


def test_svg_holds_every_text(display: Display) -> None:
    tree = ET.fromstring(render_svg.svg(display))
    found = sorted(element.text or "" for element in tree.iter(f"{SVG}text"))
    assert found == sorted(_all_texts(display))


def test_svg_says_what_things_are(display: Display) -> None:
    text = render_svg.svg(display)
    assert 'aria-label="2a Iron filter, 10 × 54 in"' in text
    assert "<title>" in text


def test_svg_clips_what_scrolls() -> None:
    wide = layout(models.twelve(), Options(700, 732), measure_dejavu).display
    text = render_svg.svg(wide)
    ids = re.findall(r'<clipPath id="(\w+)"', text)
    assert ids and set(ids) == set(re.findall(r"url\(#(\w+)\)", text))


def test_png_has_the_asked_size(display: Display) -> None:
    file = io.BytesIO()
    render_mpl.write_png(display, file, "dark", scale=2.0)
    data = file.getvalue()
    assert data.startswith(b"\x89PNG")
    assert (int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")) == (1952, 1744)


def test_pdf_embeds_its_fonts_and_keeps_text(display: Display) -> None:
    from pypdf import PdfReader

    file = io.BytesIO()
    render_mpl.write_pdf(display, file, title="Seven Sorrel Lodge")
    reader = PdfReader(io.BytesIO(file.getvalue()))
    (sheet,) = reader.pages
    assert float(sheet.mediabox.width) == pytest.approx(976 * 0.75, abs=0.5)
    fonts = [font.get_object() for font in sheet["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        described = font["/DescendantFonts"][0] if "/DescendantFonts" in font else font
        descriptor = described.get_object()["/FontDescriptor"].get_object()
        assert any(key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3"))
    text = sheet.extract_text()
    assert "Manganese" in text and "3 fails, 1 caution, 1 note." in text
    assert reader.metadata is not None and reader.metadata.title == "Seven Sorrel Lodge"


def test_printed_text_is_at_least_eight_points(display: Display) -> None:
    assert min(text.size for text, _ in text_boxes(display, measure_dejavu)) * render_mpl.POINTS_PER_PX >= 8.0


def test_renderings_are_repeatable(display: Display) -> None:
    def pdf() -> bytes:
        file = io.BytesIO()
        render_mpl.write_pdf(display, file)
        return file.getvalue()

    assert pdf() == pdf()
    assert render_svg.svg(display) == render_svg.svg(display)


# Page -------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", list(models.ALL))
@pytest.mark.parametrize("size", [(1440.0, 900.0), (1000.0, 700.0)], ids=["wide", "narrow"])
def test_a_page_is_clean_and_whole(name: str, size: tuple[float, float]) -> None:
    model = models.ALL[name]()
    sheet = page(model, size, measure_dejavu)
    assert meetings(sheet, measure_dejavu) == [] and outside(sheet, measure_dejavu) == []
    assert sheet.width >= size[0] - 0.5 and sheet.height >= size[1] - 0.5
    shown = " ".join(_all_texts(sheet))
    for finding in model.findings:
        assert finding.title.split(" ")[0] in shown
        assert finding.message in shown
    assert all(sentence in shown for sentence in model.verdict.safety)
    assert "Not measured: fluoride, tannin." in shown
    assert "the vessels are to scale" in shown


def test_nothing_is_cut_on_a_page() -> None:
    """A page grows with its bench: what a window would scroll is all on it."""
    from trainapp.reports.drawing.display import walk

    sheet = page(models.twelve(), (900.0, 600.0), measure_dejavu)
    assert all(clip is None for _, clip in walk(sheet.items))


# Files ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
def test_a_picture_of_a_real_train(evaluation: Evaluation, tmp_path: Path, ending: str) -> None:
    target = tmp_path / f"bench.{ending}"
    picture.write_picture(evaluation, findings(evaluation), target)
    data = target.read_bytes()
    assert data.startswith({"svg": b"<svg", "png": b"\x89PNG", "pdf": b"%PDF"}[ending])
    assert [path.name for path in tmp_path.iterdir()] == [target.name]


def test_a_picture_names_every_finding_and_is_no_promise(evaluation: Evaluation, tmp_path: Path) -> None:
    found = findings(evaluation)
    target = tmp_path / "bench.svg"
    picture.write_picture(evaluation, found, target, system="metric")
    words = " ".join("".join(element.itertext()) for element in ET.parse(target).iter(f"{SVG}text"))
    assert f"{sum(f.severity == 'fail' for f in found)} fails" in words
    assert "Only tests after start-up show whether water is fit to drink." in words
    assert "A calculation never certifies that water is safe" in words
    assert "Not judged" in words and "Safety" in words
    for number in range(1, len(found) + 1):
        assert f" {number} " in f" {words} "
    assert not re.search(r"\b(pass(ed)?|approved|OK)\b", words)


@pytest.mark.parametrize(
    ("name", "words"),
    [("bench.bmp", "a picture ends in .svg, .png or .pdf"), ("bench", "a picture ends in"), ("missing/bench.svg", "there is no folder")],
)
def test_a_place_that_is_none_is_refused(evaluation: Evaluation, tmp_path: Path, name: str, words: str) -> None:
    with pytest.raises(picture.PictureError, match=re.escape(words)):
        picture.write_picture(evaluation, [], tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_is_refused(evaluation: Evaluation, tmp_path: Path) -> None:
    (tmp_path / "bench.svg").mkdir()
    with pytest.raises(picture.PictureError, match="is a folder"):
        picture.write_picture(evaluation, [], tmp_path / "bench.svg")


def test_a_failed_picture_leaves_the_old_one(display: Display, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "bench.png"
    target.write_bytes(b"old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(picture.render_mpl, "write_png", full)
    with pytest.raises(picture.PictureError, match="No space left on device"):
        picture.save(display, target)
    assert target.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["bench.png"]


def test_an_unknown_theme_is_refused(display: Display, tmp_path: Path) -> None:
    with pytest.raises(picture.PictureError, match="not a theme"):
        picture.save(display, tmp_path / "a.svg", theme="sepia")


def _all_texts(display: Display) -> Iterator[str]:
    from trainapp.reports.drawing.display import texts

    return (text.text for text, _ in texts(display.items))
