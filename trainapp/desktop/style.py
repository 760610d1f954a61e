"""The toolkit's own dialogs in the program's look: icons in the ink of the theme, marks for what they say, no pictures on buttons."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QSize
from PySide6.QtGui import QColor, QIcon, QImage, QPainter, QPixmap
from PySide6.QtWidgets import QApplication, QProxyStyle, QStyle, QStyleHintReturn, QStyleOption, QWidget

from trainapp.desktop.painter import paint
from trainapp.desktop.theme import look
from trainapp.reports.drawing.marks import Mark, mark

_Pixmap = QStyle.StandardPixmap
#: What a message box says, by its icon.
_MARKS: dict[QStyle.StandardPixmap, Mark] = {
    _Pixmap.SP_MessageBoxCritical: "fail",
    _Pixmap.SP_MessageBoxWarning: "caution",
    _Pixmap.SP_MessageBoxInformation: "note",
    _Pixmap.SP_MessageBoxQuestion: "note",
}
_LEVELS = 256


class Plain(QProxyStyle):
    """The style of every widget: that of the toolkit with its colours taken out, for colour is kept for status and selection."""

    def __init__(self) -> None:
        super().__init__("fusion")

    def styleHint(
        self,
        hint: QStyle.StyleHint,
        option: QStyleOption | None = None,
        widget: QWidget | None = None,
        returnData: QStyleHintReturn | None = None,
    ) -> int:
        if hint == QStyle.StyleHint.SH_DialogButtonBox_ButtonsHaveIcons:
            return 0
        return super().styleHint(hint, option, widget, returnData)

    def standardIcon(self, which: QStyle.StandardPixmap, option: QStyleOption | None = None, widget: QWidget | None = None) -> QIcon:
        if which in _MARKS:
            return QIcon(marked(_MARKS[which], 32, widget))
        return inked(super().standardIcon(which, option, widget))

    def standardPixmap(self, which: QStyle.StandardPixmap, option: QStyleOption | None = None, widget: QWidget | None = None) -> QPixmap:
        if which in _MARKS:
            return marked(_MARKS[which], 32, widget)
        return inked_pixmap(super().standardPixmap(which, option, widget))


def dress(application: QApplication) -> None:
    """Give the application its style, once."""
    if not isinstance(application.style(), Plain):
        application.setStyle(Plain())


def marked(kind: Mark, side: int, widget: QWidget | None = None) -> QPixmap:
    """A status mark as a picture of so many px."""
    ratio = widget.devicePixelRatioF() if widget is not None else 1.0
    pixmap = QPixmap(QSize(round(side * ratio), round(side * ratio)))
    pixmap.setDevicePixelRatio(ratio)
    clear = QColor(look().colour("page"))
    clear.setAlpha(0)
    pixmap.fill(clear)
    painter = QPainter(pixmap)
    paint(painter, mark(kind, side / 2, side / 2, side * 0.8), look().colour)
    painter.end()
    return pixmap


def inked(icon: QIcon) -> QIcon:
    """An icon in the ink of the theme."""
    made = QIcon()
    for size in icon.availableSizes() or ([QSize(16, 16)] if not icon.isNull() else []):
        made.addPixmap(inked_pixmap(icon.pixmap(size)))
    return made


def inked_pixmap(pixmap: QPixmap) -> QPixmap:
    """A picture with dark as the ink and bright as the page of the theme."""
    if pixmap.isNull():
        return pixmap
    source = pixmap.toImage()
    grey = source.convertToFormat(QImage.Format.Format_Grayscale8)
    grey.reinterpretAsFormat(QImage.Format.Format_Indexed8)
    grey.setColorTable(_ramp())
    image = grey.convertToFormat(QImage.Format.Format_ARGB32_Premultiplied)
    painter = QPainter(image)
    painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_DestinationIn)
    painter.drawImage(0, 0, source)
    painter.end()
    made = QPixmap.fromImage(image)
    made.setDevicePixelRatio(pixmap.devicePixelRatio())
    return made


def _ramp() -> list[int]:
    ink, page = look().colour("ink2"), look().colour("page")
    return [_between(ink, page, level / (_LEVELS - 1)).rgb() for level in range(_LEVELS)]


def _between(ink: QColor, page: QColor, share: float) -> QColor:
    parts: Iterable[tuple[int, int]] = zip((ink.red(), ink.green(), ink.blue()), (page.red(), page.green(), page.blue()), strict=True)
    return QColor(*(round(a + (b - a) * share) for a, b in parts))
