"""The toolkit's own dialogs: no colour but that of marks, whatever the theme."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QAction, QColor, QIcon, QImage
from PySide6.QtPrintSupport import QPrintPreviewDialog
from PySide6.QtWidgets import QApplication, QFileDialog, QGraphicsView, QMessageBox, QPushButton, QStyle, QToolButton
from pytestqt.qtbot import QtBot

from trainapp.desktop.printing import Preview, make_printer
from trainapp.desktop.style import Plain, dress, marked
from trainapp.desktop.theme import look, palette
from trainapp.reports.drawing.tokens import THEMES
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS

BUTTONS = QMessageBox.StandardButton


def colours(icon: QIcon) -> set[str]:
    """Opaque colours of an icon."""
    image = icon.pixmap(16).toImage().convertToFormat(QImage.Format.Format_ARGB32)
    points = (image.pixelColor(x, y) for x in range(image.width()) for y in range(image.height()))
    return {point.name() for point in points if point.alpha() == 255}


def is_grey(name: str) -> bool:
    """Whether a colour has no hue of its own; neutral tokens have none either."""
    colour = QColor(name)
    return max(colour.red(), colour.green(), colour.blue()) - min(colour.red(), colour.green(), colour.blue()) <= 2


@pytest.fixture(params=["light", "dark"])
def theme(request: pytest.FixtureRequest) -> str:
    look().choose(request.param)
    return str(request.param)


def test_a_question_has_words_on_its_buttons_and_the_colours_of_the_theme(theme: str, qtbot: QtBot) -> None:
    box = QMessageBox(QMessageBox.Icon.Question, "Save", "Save it?", BUTTONS.Save | BUTTONS.Discard | BUTTONS.Cancel)
    qtbot.addWidget(box)
    box.show()
    assert all(button.icon().isNull() for button in box.findChildren(QPushButton))
    assert box.palette().window().color() == QColor(THEMES[theme]["page"]) and box.palette() == palette(theme)


@pytest.mark.parametrize(("icon", "kind"), [("Critical", "fail"), ("Warning", "caution"), ("Information", "note")])
def test_a_message_carries_the_mark_of_what_it_says(theme: str, icon: str, kind: str, qtbot: QtBot) -> None:
    box = QMessageBox(QMessageBox.Icon[icon], "trainapp", "Something.")
    qtbot.addWidget(box)
    shown = {box.iconPixmap().toImage().pixelColor(x, y).name() for x in range(32) for y in range(32)}
    assert QColor(THEMES[theme][kind]).name() in shown
    assert marked("fail", 32).width() == 32


def test_files_are_picked_among_icons_in_ink(theme: str, qtbot: QtBot) -> None:
    dialog = QFileDialog(None, "Open")
    dialog.setOption(QFileDialog.Option.DontUseNativeDialog)
    qtbot.addWidget(dialog)
    dialog.show()
    icons = [button.icon() for button in dialog.findChildren(QToolButton) if not button.icon().isNull()]
    style = QApplication.style()
    assert isinstance(style, QStyle)
    kinds = (QStyle.StandardPixmap.SP_DirIcon, QStyle.StandardPixmap.SP_FileIcon, QStyle.StandardPixmap.SP_ComputerIcon)
    icons += [style.standardIcon(kind) for kind in kinds]
    assert len(icons) > 5
    assert [name for icon in icons for name in colours(icon) if not is_grey(name)] == []


def test_the_preview_is_as_plain(theme: str, qtbot: QtBot) -> None:
    preview = Preview(make_printer(PAPERS["letter"], "x"), "x", lambda paper: PrintJob("x", "", ()))
    qtbot.addWidget(preview)
    assert isinstance(preview, QPrintPreviewDialog)
    icons = [action.icon() for action in preview.findChildren(QAction) if not action.icon().isNull()]
    assert len(icons) > 8 and [name for icon in icons for name in colours(icon) if not is_grey(name)] == []
    (ground,) = {view.backgroundBrush().color().name() for view in preview.findChildren(QGraphicsView)}
    assert ground == QColor(THEMES[theme]["well"]).name()
    look().choose("light" if theme == "dark" else "dark")
    assert {view.backgroundBrush().color().name() for view in preview.findChildren(QGraphicsView)} != {ground}


def test_the_style_is_put_on_once() -> None:
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    worn = application.style()
    dress(application)
    assert isinstance(worn, Plain) and application.style() is worn and worn.baseStyle().name() == "fusion"
    assert worn.styleHint(QStyle.StyleHint.SH_DialogButtonBox_ButtonsHaveIcons) == 0
