"""A dealer's own logo and terms, and the command that takes them: what cannot be used is refused in a sentence, before any search."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader
from typer.testing import CliRunner

from tests.reports.printing import SAMPLES, squeezed
from tests.reports.proposal.offers import offer
from trainapp.cli import app
from trainapp.reports.export_file import ExportError
from trainapp.reports.print_paper import PAPERS
from trainapp.reports.proposal import proposal_job, write_proposal
from trainapp.reports.proposal_extras import LOGO_HEIGHT, LOGO_WIDTH, Extras, read_logo, read_terms

COURT = str(SAMPLES / "pebble-court-3.train.json")
LETTER = PAPERS["letter"]


def picture(path: Path, mode: str = "RGB", size: tuple[int, int] = (400, 100), kind: str = "PNG") -> Path:
    Image.new(mode, size, 0).save(path, kind)
    return path


@pytest.mark.parametrize(("mode", "kind"), [("RGB", "PNG"), ("RGBA", "PNG"), ("P", "PNG"), ("L", "JPEG"), ("CMYK", "JPEG")])
def test_a_png_or_jpeg_becomes_a_logo_of_its_own_shape(tmp_path: Path, mode: str, kind: str) -> None:
    """The file says what it is, not its name."""
    logo = read_logo(picture(tmp_path / "logo.anything", mode, (400, 100), kind))
    assert logo.width <= LOGO_WIDTH and logo.height <= LOGO_HEIGHT and logo.width / logo.height == pytest.approx(4.0)
    assert Image.open(io.BytesIO(logo.png)).format == "PNG"


def test_a_huge_logo_is_made_small(tmp_path: Path) -> None:
    logo = read_logo(picture(tmp_path / "logo.png", size=(5000, 3000)))
    assert max(Image.open(io.BytesIO(logo.png)).size) <= 1300


def test_the_logo_stands_on_the_first_page_alone_and_pushes_nothing_off(tmp_path: Path) -> None:
    logo = read_logo(picture(tmp_path / "logo.png"))
    job = proposal_job(offer("bare"), Extras(logo), LETTER)
    (shown,) = job.pages[0].pictures
    assert (shown.x, shown.width) == (48.0, logo.width) and not any(page.pictures for page in job.pages[1:])
    tops = [text.y - text.size for part in job.pages[0].parts for text in part.display.items if hasattr(text, "anchor")]
    assert min(tops) >= shown.y + shown.height
    write_proposal(offer("bare"), tmp_path / "a.pdf", Extras(logo), paper=LETTER)
    assert len(PdfReader(tmp_path / "a.pdf").pages[0].images) == 1
    write_proposal(offer("bare"), tmp_path / "b.pdf", Extras(logo), paper=LETTER)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_terms_stand_in_it_line_by_line(tmp_path: Path) -> None:
    (tmp_path / "terms.txt").write_bytes("\ufeffFirst line.\r\n\r\nSecond\tline, =1+1 \u00e4\u0007.\n".encode())
    terms = read_terms(tmp_path / "terms.txt")
    assert terms == "First line.\n\nSecond  line, =1+1 \u00e4 ."
    write_proposal(offer("bare"), tmp_path / "a.pdf", Extras(terms=terms), paper=LETTER)
    text = squeezed(" ".join(page.extract_text() for page in PdfReader(tmp_path / "a.pdf").pages))
    assert "Firstline.Secondline,=1+1\u00e4." in text


def test_very_long_terms_go_on_over_pages() -> None:
    terms = "\n".join(f"Paragraph {i}: {'words that nobody reads to the end ' * 8}" for i in range(120))
    job = proposal_job(offer("bare"), Extras(terms=terms), LETTER)
    bottoms = [text.y for page in job.pages for part in page.parts for text in part.display.items if hasattr(text, "anchor")]
    assert max(bottoms) <= LETTER.height - 47.0
    assert len(job.pages) > len(proposal_job(offer("bare"), Extras(), LETTER).pages) + 2


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is neither a PNG nor a JPEG"), (b"GIF89a" + b"\0" * 40, "is neither a PNG nor a JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is neither a PNG nor a JPEG"), (b"\x89PNG\r\n\x1a\n" + b"\0" * 9, "logo"),
    ],
)  # fmt: skip
def test_what_is_no_picture_is_refused(tmp_path: Path, content: bytes, words: str) -> None:
    (tmp_path / "logo.png").write_bytes(content)
    with pytest.raises(ExportError, match=words):
        read_logo(tmp_path / "logo.png")


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_a_damaged_picture_is_refused_or_read_never_a_traceback(tmp_path: Path, share: float) -> None:
    whole = io.BytesIO()
    Image.effect_noise((300, 90), 80).convert("RGB").save(whole, "JPEG")
    (tmp_path / "logo.jpg").write_bytes(whole.getvalue()[: int(len(whole.getvalue()) * share)])
    with pytest.raises(ExportError, match="logo.jpg is damaged"):
        read_logo(tmp_path / "logo.jpg")


def test_a_picture_that_would_fill_the_memory_is_refused(tmp_path: Path) -> None:
    """Its head alone is looked at."""
    head = b"\x89PNG\r\n\x1a\n" + bytes.fromhex("0000000d49484452") + (90_000).to_bytes(4, "big") * 2 + bytes.fromhex("0800000000")
    import zlib

    crc = zlib.crc32(head[12:29]).to_bytes(4, "big")
    idat = b"\0\0\0\x0aIDATx\x9c\x03\0\0\0\0\x01"
    (tmp_path / "logo.png").write_bytes(head + crc + idat)
    with pytest.raises(ExportError):
        read_logo(tmp_path / "logo.png")


@pytest.mark.parametrize(("content", "words"), [(b"\xff\xfe\x00", "is not a text in UTF-8"), (b"x" * 200_001, "too much for terms")])
def test_terms_that_are_no_text_are_refused(tmp_path: Path, content: bytes, words: str) -> None:
    (tmp_path / "terms.txt").write_bytes(content)
    with pytest.raises(ExportError, match=words):
        read_terms(tmp_path / "terms.txt")


# At the prompt ----------------------------------------------------------------------------------------------------------------


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["report", COURT, "--kind", "proposal", *words])
    return result.exit_code, result.output


def test_the_command_writes_it_with_logo_and_terms(tmp_path: Path) -> None:
    picture(tmp_path / "logo.png")
    (tmp_path / "terms.txt").write_text("Offer holds for 30 days.")
    out = tmp_path / "p.pdf"
    code, told = run(
        "--out", str(out), "--paper", "a4", "--units", "metric", "--years", "7", "--most", "2", "--logo", str(tmp_path / "logo.png"),
        "--terms", str(tmp_path / "terms.txt"),
    )  # fmt: skip
    assert code == 0 and f"Wrote {out}" in told.splitlines()
    reader = PdfReader(out)
    text = squeezed(" ".join(page.extract_text() for page in reader.pages))
    assert "Over7years" in text and "Offerholdsfor30days." in text and len(reader.pages[0].images) == 1
    assert round(float(reader.pages[0].mediabox[3]), 1) == 841.9


def test_the_short_form_by_the_command(tmp_path: Path) -> None:
    code, _ = run("--out", str(tmp_path / "p.pdf"), "--short", "--paper", "letter")
    assert code == 0 and len(PdfReader(tmp_path / "p.pdf").pages) == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--out", "p.png"), "p.png: a report ends in .pdf"), (("--out", "p.pdf", "--paper", "a5"), '"a5" is neither letter nor a4'),
        (("--out", "p.pdf", "--logo", "none.png"), "none.png cannot be read"),
        (("--out", "p.pdf", "--terms", "none.txt"), "none.txt cannot be read"),
        (("--out", "p.pdf", "--prices", "none.toml"), "none.toml"), (("--out", "nowhere/p.pdf"), "there is no folder nowhere"),
        (("--out", "p.pdf", "--kind", "leaflet"), "neither job-sheet nor proposal"),
        (("--out", "p.pdf", "--short", "--full-bill"), "--full-bill: the short form is one page"),
        (("--out", "p.pdf", "--kind", "job-sheet", "--logo", "none.png"), "--logo belongs to --kind proposal"),
        (("--out", "p.pdf", "--date", "soon"), '--date: "soon" is not a day'),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence_and_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    code, output = run(*words)
    assert code == 2 and told in output and len(output.strip().splitlines()) == 1 and "Traceback" not in output
    assert list(tmp_path.iterdir()) == []
