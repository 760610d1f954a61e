"""What the back of a room can read: letters large enough, nothing over anything, Safety under the numbers, at every step."""

from __future__ import annotations

from itertools import pairwise

import pytest
from PySide6.QtCore import Qt

from tests.desktop.lessons.conftest import CARTRIDGE, FLOW, Open, numbers
from tests.desktop.lessons.seen import press, to, written
from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.places import HEIGHT, LEAST, WIDTH, Wanted, place, scale_of
from trainapp.desktop.lessons.player import Player
from trainapp.desktop.theme import look

SIZES = ((1280, 800), (1920, 1080), (1024, 768))


@pytest.mark.parametrize("name", [FLOW, CARTRIDGE, "uv-on-iron-water"])
def test_every_letter_is_large_and_none_lies_on_another(play: Open, name: str) -> None:
    player = play(name)
    player.clock.seconds = 0.01
    while True:
        for size in SIZES:
            player.resize(*size)
            _readable(player, size)
            _apart(player)
        if player.walk.at_end:
            break
        press(player, Qt.Key.Key_Right)
        if player.clock.playing:
            press(player, Qt.Key.Key_Right)


def _readable(player: Player, size: tuple[int, int]) -> None:
    texts = written(player)
    assert min(px for _, px, _ in texts) >= LEAST - 0.01
    for text, _, box in texts:
        assert box.x >= 0 and box.y >= 0 and box.right <= size[0] + 0.5 and box.bottom <= size[1], (player.walk.thing, size, text)
    met = [(a, b) for i, (a, _, one) in enumerate(texts) for b, _, other in texts[i + 1 :] if one.grown(-2.0).meets(other.grown(-2.0))]
    assert met == [], (player.walk.thing, size)


def _apart(player: Player) -> None:
    """The column's panels keep above the bar, and none lies on another."""
    panels = [panel for panel in (player.guesses, player.tries, player.watch) if panel.isVisible()]
    for one, other in pairwise([*panels, player.bar]):
        assert one.geometry().bottom() <= other.geometry().top() + 1, player.walk.thing


def test_question_and_number_have_the_sizes_of_a_lesson(play: Open) -> None:
    player = play(size=(1920, 1080))
    to(player, "numbers")
    assert player.places is not None and player.places.scale == pytest.approx(1.5)
    sizes = {text: px / player.places.scale for text, px, _ in written(player)}
    assert sizes[numbers(FLOW)[0]] == pytest.approx(52.0)
    assert next(px for text, px in sizes.items() if player.material.question.startswith(text)) == pytest.approx(30.0)


def test_safety_stands_directly_under_the_numbers_and_only_with_them(play: Open) -> None:
    player = play()
    to(player, "watch")
    assert not any(text.startswith("Safety") for text, _, _ in written(player))
    press(player, Qt.Key.Key_Right)
    assert player.places is not None
    places = player.places
    line = next(box for text, _, box in written(player) if text.startswith("Safety"))
    card = places.cards[0].bottom * places.scale
    assert card <= line.y <= card + 24 * places.scale
    assert line.bottom <= places.chart.y * places.scale + 1


def test_a_larger_screen_shows_everything_larger_and_a_smaller_one_never_less() -> None:
    assert scale_of(WIDTH, HEIGHT) == 1.0
    assert scale_of(2 * WIDTH, 2 * HEIGHT) == 2.0
    assert scale_of(800, 600) == 1.0
    assert scale_of(20 * WIDTH, 20 * HEIGHT) == 3.0
    # shown at 200 % a px has two dots: all of it fits, in letters that are larger than at 100 %
    assert scale_of(960, 540, 2.0) == 0.75 and scale_of(480, 270, 2.0) == 0.5


@pytest.mark.parametrize("size", [*SIZES, (2560, 1440), (800, 1200)])
@pytest.mark.parametrize("sides", [1, 2])
def test_parts_never_lie_on_each_other(size: tuple[int, int], sides: int) -> None:
    long = "Same well, same lamp, same flow. " * 4
    made = place(*size, Wanted("A title", long, long * 2, long, sides), measure)
    stack = [made.slot, made.cards[0], made.safety, made.chart, made.foot]
    assert all(one.bottom <= other.y + 0.01 for one, other in pairwise(stack))
    assert all(one.right <= other.x for one, other in pairwise([*made.cards, made.column]))
    assert made.column.right <= made.width and made.foot.bottom == pytest.approx(made.height)


def test_the_other_theme_paints_the_same_in_other_colours(play: Open) -> None:
    player = play()
    to(player, "chart")
    light = player.grab().toImage()
    look().choose("dark")
    dark = player.grab().toImage()
    middle = light.width() // 3, light.height() // 3
    assert light.pixelColor(5, 300) == look_of("light", "sheet") and dark.pixelColor(5, 300) == look_of("dark", "sheet")
    assert light.pixelColor(*middle) != dark.pixelColor(*middle)


def look_of(theme: str, token: str):  # type: ignore[no-untyped-def]
    from PySide6.QtGui import QColor

    from trainapp.reports.drawing.tokens import THEMES

    return QColor(THEMES[theme][token])
