"""Letters that the bundled font has not: taken from a font of the machine and embedded, or told of in one sentence."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from pypdf import PdfReader

from tests.train.trains import chain, document
from trainapp import cli
from trainapp.reports.drawing import fallback, glyphs
from trainapp.reports.drawing.display import Display, Text
from trainapp.reports.drawing.measure import _advance, measure_dejavu
from trainapp.reports.drawing.render_mpl import write_pdf, write_png
from trainapp.reports.drawing.render_raster import image
from trainapp.reports.print_pages import Page, Placed, PrintJob
from trainapp.reports.print_pdf import write_job
from trainapp.train.document import dumps

#: Well water; both letters are of no use to the bundled font, the second is of another plane.
NAME, LETTER, FAR = "Well \u6c34 1", "\u6c34", "\U00020089"
_CACHES = (glyphs.installed, glyphs.covering, _advance, measure_dejavu)


def _font(path: Path, letters: str, kind: str) -> Path:
    """A font of a few letters, each a square of three quarters of its em, with outlines of one kind or the other."""
    names = [".notdef", *(f"u{ord(letter):X}" for letter in letters)]
    built = FontBuilder(1000, isTTF=kind == "glyf")
    built.setupGlyphOrder(names)
    built.setupCharacterMap({ord(letter): name for letter, name in zip(letters, names[1:], strict=True)})
    drawn: dict[str, Any] = {}
    for name in names:
        pen: Any = TTGlyphPen(None) if kind == "glyf" else T2CharStringPen(900, None)
        pen.moveTo((50, 0))
        for point in ((50, 750), (800, 750), (800, 0)):
            pen.lineTo(point)
        pen.closePath()
        drawn[name] = pen.glyph() if kind == "glyf" else pen.getCharString()
    if kind == "glyf":
        built.setupGlyf(drawn)
    else:
        built.setupCFF(path.stem, {}, drawn, {})
    built.setupHorizontalMetrics({name: (900, 50) for name in names})
    built.setupHorizontalHeader(ascent=880, descent=-120)
    built.setupNameTable({"familyName": path.stem, "styleName": "Regular"})
    built.setupOS2()
    built.setupPost()
    built.save(path)
    return path


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., None]]:
    """A machine with the fonts that are named: (letters, kind) each."""

    def has(*fonts: tuple[str, str]) -> None:
        files = [
            _font(tmp_path / f"own{i}.{'ttf' if kind == 'glyf' else 'otf'}", *font) for i, font in enumerate(fonts) for kind in font[1:]
        ]
        (tmp_path / "damaged.ttf").write_bytes(b"no font at all")
        monkeypatch.setattr("matplotlib.font_manager.findSystemFonts", lambda: [str(tmp_path / "damaged.ttf"), *map(str, files)])
        for cached in _CACHES:
            cached.cache_clear()

    yield has
    glyphs.take_unshown()
    for cached in _CACHES:
        cached.cache_clear()


def _display(text: str = NAME) -> Display:
    return Display(120.0, 30.0, [Text(4.0, 20.0, text, "ink", 12.0, "start", True), Text(116.0, 20.0, "plain", "ink", 12.0, "end")], "page")


def _pdf(text: str = NAME) -> PdfReader:
    file = io.BytesIO()
    write_job(PrintJob("t", "", (Page(120.0, 30.0, [Placed(_display(text), 0.0, 0.0)]),)), file)
    return PdfReader(file)


def _embedded(reader: PdfReader) -> int:
    """How many fonts a page has; each has its file."""
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]  # type: ignore[index]
    for font in fonts:
        described = font if "/FontDescriptor" in font else font["/DescendantFonts"][0].get_object()
        assert "/FontFile2" in described["/FontDescriptor"], "embedded"
    return len(fonts)


@pytest.mark.parametrize("kind", ["glyf", "CFF"])
def test_a_letter_is_taken_from_a_font_of_the_machine_and_stays_text(machine: Callable[..., None], kind: str) -> None:
    machine((LETTER + FAR, kind))
    reader = _pdf(f"{NAME} {FAR}")
    assert f"{NAME} {FAR}" in reader.pages[0].extract_text() and _embedded(reader) == 3
    drawn = io.BytesIO()
    write_pdf(_display(), drawn)
    page = PdfReader(drawn)
    assert NAME in page.pages[0].extract_text().replace("\n", "") and _embedded(page) >= 2
    assert glyphs.take_unshown() == ""


def test_it_is_as_wide_as_it_is_drawn_and_changes_pictures(machine: Callable[..., None]) -> None:
    machine()
    box = [image(_display()).tobytes(), _png()]
    glyphs.take_unshown()
    machine((LETTER, "glyf"))
    assert measure_dejavu(LETTER, 100.0) == pytest.approx(90.0)
    now = [image(_display()).tobytes(), _png()]
    assert all(a != b for a, b in zip(now, box, strict=True))


def _png() -> bytes:
    file = io.BytesIO()
    write_png(_display(), file)
    return file.getvalue()


def test_letters_that_no_font_has_are_told_once_in_one_sentence(machine: Callable[..., None]) -> None:
    machine((LETTER, "glyf"))
    _pdf(f"{NAME} {FAR}{FAR}\u200d")
    sentence = glyphs.take_unshown()
    assert sentence.endswith("install a font that has them.") and FAR in sentence and LETTER not in sentence and sentence.count(".") == 1
    assert glyphs.take_unshown() == ""


def test_a_font_that_may_not_be_embedded_is_passed_over(machine: Callable[..., None], tmp_path: Path) -> None:
    machine((LETTER, "glyf"))
    with TTFont(tmp_path / "own0.ttf") as font:
        font["OS/2"].fsType = 0x0002
        font.save(tmp_path / "own0.ttf")
    glyphs.may_embed.cache_clear()
    assert fallback.fallbacks([NAME]) == () and LETTER in glyphs.take_unshown()
    glyphs.may_embed.cache_clear()


def test_fonts_are_not_looked_for_where_no_letter_asks_for_one(monkeypatch: pytest.MonkeyPatch) -> None:
    def never() -> list[str]:
        raise AssertionError("looked for")

    glyphs.installed.cache_clear()
    monkeypatch.setattr("matplotlib.font_manager.findSystemFonts", never)
    _pdf("Gr\u00fcn \u2265 3 \u00b5m, \u0416\u0434\u0438, \u03a9")
    assert fallback.fallbacks(["\u03b1 \u2192 5 \u202f% e\u0301"]) == ()


def test_the_command_tells_it_on_standard_error(
    machine: Callable[..., None],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    caplog: pytest.LogCaptureFixture,
) -> None:
    machine()
    path, out = tmp_path / "a.train.json", tmp_path / "a.png"
    path.write_text(dumps(document([], chain("supply", "house"), site={"name": NAME})), encoding="utf-8")
    monkeypatch.setattr(sys, "argv", ["trainapp", "picture", str(path), "--out", str(out)])

    def told_by() -> str:
        with pytest.raises(SystemExit) as ended:
            cli.main()
        assert not ended.value.code and out.exists()
        return capsys.readouterr().err

    told = told_by()
    machine((LETTER, "glyf"))
    monkeypatch.setattr(sys, "argv", ["trainapp", "picture", str(path), "--out", str(out)])
    assert told_by() == "" and not caplog.records, "nothing to tell where a font has it"
    assert told.count("\n") == 1 and told.startswith("No font of this machine has this letter") and LETTER in told
