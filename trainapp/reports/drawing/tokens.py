"""The one table of colours, type sizes, spaces and line widths that window, print and charts are fed from.

Hues are the published colour-blind-safe sets of Okabe and Ito (2008, "Color Universal Design") and of Tol (SRON/EPS/TN/09-002,
schemes muted, pale and dark); the greys are neutral. No other colour is written anywhere in the program.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

Theme = Mapping[str, str]

LIGHT: Final[Theme] = {
    "page": "#FFFFFF", "sheet": "#F6F6F6", "well": "#EBEBEB",
    "ink": "#1F1F1F", "ink2": "#4D4D4D", "ink3": "#666666",
    "pipe": "#6E6E6E", "edge": "#8A8A8A", "hair": "#D6D6D6", "ghost": "#C4C4C4", "body": "#FFFFFF",
    "accent": "#882255", "on_accent": "#FFFFFF",
    "fail": "#D55E00", "caution": "#E69F00", "note": "#0072B2", "ok": "#009E73",
    "fail_t": "#FFCCCC", "caution_t": "#EEEEBB", "note_t": "#CCEEFF", "ok_t": "#CCDDAA",
    "sign": "#000000", "mark_edge": "#1F1F1F",
    "series1": "#1F1F1F", "series2": "#AA4499", "series3": "#117733", "series4": "#332288",
}  # fmt: skip

DARK: Final[Theme] = {
    "page": "#1C1C1C", "sheet": "#242424", "well": "#333333",
    "ink": "#F0F0F0", "ink2": "#C8C8C8", "ink3": "#A8A8A8",
    "pipe": "#A6A6A6", "edge": "#8F8F8F", "hair": "#4A4A4A", "ghost": "#5C5C5C", "body": "#2E2E2E",
    "accent": "#CC79A7", "on_accent": "#000000",
    "fail": "#D55E00", "caution": "#E69F00", "note": "#56B4E9", "ok": "#009E73",
    "fail_t": "#663333", "caution_t": "#666633", "note_t": "#222255", "ok_t": "#225522",
    "sign": "#000000", "mark_edge": "#1C1C1C",
    "series1": "#F0F0F0", "series2": "#CC79A7", "series3": "#999933", "series4": "#88CCEE",
}  # fmt: skip


def high_contrast(theme: Theme) -> Theme:
    """The theme with a pure page, decoration drawn as edges, edges as ink, and no tints."""
    page = "#FFFFFF" if theme is LIGHT else "#000000"
    changed = {name: theme["edge"] for name in ("hair", "ghost")} | {"edge": theme["ink"]}
    flat = {name: page for name in ("page", "sheet", "well", "body", "fail_t", "caution_t", "note_t", "ok_t")}
    return {**theme, **changed, **flat}


#: Themes by name. Print uses the light tokens.
THEMES: Final[Mapping[str, Theme]] = {
    "light": LIGHT,
    "dark": DARK,
    "print": LIGHT,
    "light, high contrast": high_contrast(LIGHT),
    "dark, high contrast": high_contrast(DARK),
}

#: The font of drawings and print, and what stands in for it.
FONT: Final = "DejaVu Sans"
FONT_STACK: Final = "DejaVu Sans, sans-serif"

# Type, px at 100 %.
CAPTION: Final = 11.0
BODY: Final = 12.0
HEADING: Final = 13.0
TITLE: Final = 16.0
LESSON_TEXT: Final = 20.0
LESSON_QUESTION: Final = 30.0
LESSON_NUMBER: Final = 52.0

# Space, px: a grid of 4.
GRID: Final = 4.0
GAP: Final = 8.0
PAD: Final = 12.0
ROW: Final = 24.0
ROW_TIGHT: Final = 22.0
TARGET: Final = 24.0
CORNER: Final = 3.0
CARD_CORNER: Final = 4.0

# Lines, px.
VESSEL: Final = 1.5
FLOOR: Final = 2.5
CLEAN: Final = 2.0
DIRTY: Final = 1.5
SELECTION: Final = 2.0
PATH: Final = 2.0
CASING: Final = 1.5

DIRTY_DASH: Final = (6.0, 3.0)
LOWEST_DASH: Final = (7.0, 2.0, 1.5, 2.0)
DOTTED: Final = (2.0, 3.0)
CEILING_DASH: Final = (8.0, 4.0)
UNPROTECTED_DASH: Final = (5.0, 3.0)
FINE_DASH: Final = (3.0, 3.0)
UNLIT_DASH: Final = (2.0, 4.0)

# Marks, px.
MARK_LIST: Final = 13.0
MARK_CELL: Final = 11.0
MARK_LEAST: Final = 9.0


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (W3C Web Content Accessibility Guidelines 2.2, definition of contrast ratio)."""
    lighter, darker = sorted((luminance(first), luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    """Relative luminance, 0 to 1, of an sRGB colour (same source)."""
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    red, green, blue = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
