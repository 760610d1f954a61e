"""One colour table: published hues, enough contrast wherever a pair is used, and no other colour anywhere in the program."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.reports import drawing_models as models
from trainapp.reports.drawing import marks
from trainapp.reports.drawing.display import walk
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.tokens import DARK, LIGHT, THEMES, contrast, luminance
from trainapp.reports.drawing.view import layout

#: M. Okabe and K. Ito, Color Universal Design, 2008, the set of eight (from memory).
OKABE_ITO = {"#000000", "#E69F00", "#56B4E9", "#009E73", "#F0E442", "#0072B2", "#D55E00", "#CC79A7"}
#: P. Tol, Colour schemes, SRON/EPS/TN/09-002, schemes muted, pale and dark (from memory).
TOL = {
    "#332288", "#88CCEE", "#44AA99", "#117733", "#999933", "#DDCC77", "#CC6677", "#882255", "#AA4499",
    "#BBCCEE", "#CCEEFF", "#CCDDAA", "#EEEEBB", "#FFCCCC", "#DDDDDD",
    "#222255", "#225555", "#225522", "#666633", "#663333", "#555555",
}  # fmt: skip

TEXT = 4.5
GRAPHIC = 3.0
ON_GROUND = ("page", "sheet")


def _is_grey(colour: str) -> bool:
    return len({colour[1:3], colour[3:5], colour[5:7]}) == 1


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_hues_are_of_the_published_sets(theme: dict[str, str]) -> None:
    for name, colour in theme.items():
        assert _is_grey(colour) or colour in OKABE_ITO | TOL, name


def test_no_colour_is_written_elsewhere(root: Path) -> None:
    pattern = re.compile(r"#[0-9A-Fa-f]{6}\b|#[0-9A-Fa-f]{3}\b(?=['\"])")
    for path in sorted((root / "trainapp").rglob("*.py")):
        if path.name != "tokens.py":
            assert not pattern.findall(path.read_text(encoding="utf-8")), path


def test_contrast_of_known_pairs() -> None:
    """Black on white is 21 and #777777 on white 4.48: W3C, Understanding Success Criterion 1.4.3 (from memory)."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.005)
    assert luminance("#FFFFFF") == pytest.approx(1.0)


@pytest.mark.parametrize("name", list(THEMES))
def test_texts_can_be_read(name: str) -> None:
    t = THEMES[name]
    pairs = [(text, ground) for text in ("ink", "ink2", "ink3") for ground in ON_GROUND]
    pairs += [("ink3", "well"), ("accent", "page"), ("accent", "sheet"), ("on_accent", "accent"), ("sign", "fail"), ("sign", "caution")]
    pairs += [("ink", tint) for tint in ("fail_t", "caution_t", "note_t", "ok_t", "body")]
    for text, ground in pairs:
        assert contrast(t[text], t[ground]) >= TEXT, (name, text, ground)


@pytest.mark.parametrize("name", list(THEMES))
def test_graphics_can_be_seen(name: str) -> None:
    t = THEMES[name]
    for graphic in ("pipe", "edge", "fail", "note", "ok", "ink", "ink2", "accent", *(f"series{i}" for i in range(1, 5))):
        for ground in ON_GROUND:
            assert contrast(t[graphic], t[ground]) >= GRAPHIC, (name, graphic, ground)
    # A caution is carried by the edge of its mark where its own hue is too light.
    assert max(contrast(t["caution"], t["sheet"]), contrast(t["mark_edge"], t["sheet"])) >= GRAPHIC


def test_themes_have_the_same_tokens() -> None:
    assert all(set(theme) == set(LIGHT) for theme in THEMES.values())


def test_every_token_that_is_drawn_is_in_the_table() -> None:
    for make in models.ALL.values():
        view = layout(make(), Options(1400, 1012, selected=("stage", "uv")), measure_dejavu)
        for shape, _ in walk(view.display.items):
            for field in ("token", "stroke", "fill"):
                token = getattr(shape, field, "")
                assert token == "" or token in LIGHT, token
        assert view.display.ground in LIGHT


def test_a_status_has_its_own_shape_and_word() -> None:
    """In grey, without any colour, the marks still differ."""
    shapes = {}
    for kind in marks.WORDS:
        drawn = marks.mark(kind, 0.0, 0.0)  # type: ignore[arg-type]
        shapes[kind] = tuple(
            (type(s).__name__, len(getattr(s, "points", ())), bool(getattr(s, "fill", "")), bool(getattr(s, "dash", ()))) for s in drawn
        )
    assert len(set(shapes.values())) == len(shapes)
    assert len(set(marks.WORDS.values())) == len(marks.WORDS)


def test_over_is_told_from_within_in_grey() -> None:
    """A cell over its limit has a mark and a bold value; one within has neither."""
    view = layout(models.six(), Options(976, 872), measure_dejavu)
    over, within = view.display.find(("cell", "iron", "iron")), view.display.find(("cell", "iron", "uv"))
    assert over is not None and within is not None
    assert any(getattr(s, "bold", False) for s in over.items) and any(getattr(s, "token", "") == "sign" for s in over.items)
    assert not any(getattr(s, "bold", False) for s in within.items) and not any(getattr(s, "token", "") == "sign" for s in within.items)
