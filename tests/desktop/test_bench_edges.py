"""What the edges of the bench do: nothing is read in part, bars and keys reach everything, Fit shows all of it."""

from __future__ import annotations

from tests.desktop.test_bench_sight import view
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.session import Session


def seen_whole(canvas: BenchCanvas, layer: str) -> tuple[set[str], set[str]]:
    """Words of the items of a layer that hide when they are cut: of those that are shown, and of those that are not."""
    shown, hidden = set[str](), set[str]()
    for (name, tag, number), item in canvas.items_shown._items.items():
        if name == layer and item.whole is not None:
            (shown if item.isVisible() else hidden).add(f"{tag} {number}")
    return shown, hidden


def test_a_zoomed_ledger_hides_cells_that_heads_or_words_would_cut(canvas: BenchCanvas, session: Session) -> None:
    canvas.sight.zoom_by(1.9)
    clip = view(canvas).layer("bands").clip
    assert clip is not None
    ever: set[str] = set()
    for x in range(0, int(view(canvas).most.x) + 37, 37):
        canvas.scroll_to(float(x))
        for (name, _, _), item in canvas.items_shown._items.items():
            if name == "bands" and item.whole is not None and item.isVisible():
                left = item.whole.x - view(canvas).pan.x
                assert clip.x - 0.5 <= left and left + item.whole.w <= clip.right + 0.5
        ever |= seen_whole(canvas, "bands")[0]
    shown, hidden = seen_whole(canvas, "bands")
    assert hidden and hidden <= ever, "each is seen somewhere on the way"


def test_what_is_hidden_at_an_edge_comes_back(canvas: BenchCanvas, session: Session) -> None:
    canvas.sight.zoom_by(1.9)
    canvas.scroll_to(1e9)
    session.select(("cell", "iron", "screen"))
    item = next(i for i in canvas.items_shown.of(("cell", "iron", "screen")))
    assert item.isVisible()
    canvas.fit()
    assert not seen_whole(canvas, "bands")[1] and not seen_whole(canvas, "names")[1]
