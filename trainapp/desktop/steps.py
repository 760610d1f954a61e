"""The worked steps of what is selected, as a page that can be read, walked with the keyboard and copied."""

from __future__ import annotations

import re
from html import escape

from PySide6.QtGui import QFontMetrics, QGuiApplication, QShowEvent, QTextOption
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QTextBrowser, QVBoxLayout, QWidget

from trainapp.desktop.figures import local
from trainapp.desktop.parts import FlatButton, quiet
from trainapp.desktop.session import Session
from trainapp.desktop.steps_content import Line, Sheet, sheet_of
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import CAPTION, GAP

#: An index: letters, digits, the sign of no end, several behind commas without a blank.
_INDEX = re.compile(r"(?<=[\w₀-₉])_((?:[\w₀-₉]|∞)+(?:,[\w₀-₉]+)*)")
_NOTHING = "Click a number, a stage or a pipe: the steps behind it stand here."

#: Width of the column of symbols, px.
_SYMBOL = 34
_LONGEST_SYMBOL = 7
#: Letters of a value up to which it stands on one line: a longer one would push the column out of sight.
_WHOLE = 12


class StepsPanel(QWidget):
    """Shows the worked steps behind the selection."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.sheet: Sheet | None = None
        self.page = QTextBrowser()
        quiet(self.page)
        self.page.setAccessibleName("Worked steps")
        self.page.setOpenLinks(False)
        # Between words only: a symbol is never broken.
        self.page.setWordWrapMode(QTextOption.WrapMode.WordWrap)
        self.page.document().setDocumentMargin(GAP)
        self.page.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)
        self.copy = FlatButton("Copy", "Copy the worked steps as text", CAPTION)
        self.copy.clicked.connect(self._copy)
        foot = QHBoxLayout()
        foot.setContentsMargins(int(GAP), 0, int(GAP), 0)
        foot.addStretch(1)
        foot.addWidget(self.copy)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.page, 1)
        column.addLayout(foot)
        session.changed.connect(self.refresh)
        session.shown_changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        look().changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the steps of what is selected now; out of sight they are set once they are seen."""
        if not self.isVisible():
            return
        shown = self.session.shown
        self.sheet = sheet_of(shown, self.session.selection, self.session.system) if shown is not None else None
        at = self.page.verticalScrollBar().value()
        before = self.page.property("tag")
        self.page.setHtml(_page(self.sheet, self.page.fontMetrics()))
        self.page.setProperty("tag", repr(self.session.selection))
        if before == repr(self.session.selection):
            self.page.verticalScrollBar().setValue(at)
        self.copy.setEnabled(self.sheet is not None)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def _copy(self) -> None:
        if self.sheet is not None:
            QGuiApplication.clipboard().setText(self.sheet.as_text())


def _page(sheet: Sheet | None, metrics: QFontMetrics) -> str:
    if sheet is None:
        return f'<p style="color:{look().tokens["ink3"]}">{escape(_NOTHING)}</p>'
    parts = [f"<p><b>{escape(local(sheet.title))}</b></p>"]
    parts += [f"<p>{_set(text)}</p>" for text in sheet.intro]
    if sheet.lines:
        rows = "".join(_row(line, metrics) for line in sheet.lines)
        parts.append(f'<table width="100%" cellspacing="0" cellpadding="0"><tr><td>{rows}</td></tr></table>')
    if sheet.sources:
        items = "".join(f"<br/>{i}&nbsp;&nbsp;{escape(text)}" for i, text in enumerate(sheet.sources, 1))
        parts.append(f'<p style="color:{look().tokens["ink3"]}; font-size:{CAPTION:.0f}px">Sources{items}</p>')
    return "".join(parts)


def _set(text: str) -> str:
    """A symbol, a formula or words about them with their indices set low: Δp_d, c_∞, Fe_d_in."""
    return _INDEX.sub(_lowered, escape(local(text)))


def _lowered(match: re.Match[str]) -> str:
    return f"<sub>{match[1].replace('_', ',&#8288;')}</sub>"


def _row(line: Line, metrics: QFontMetrics) -> str:
    """A table of one row, so that a wide value takes room from its own words alone; the formula goes on below all of it."""
    grey = look().tokens["ink3"]
    small = f'style="color:{grey}; font-size:{CAPTION:.0f}px"'
    below = "<br/>".join(_set(text) for text in (line.formula, line.note) if text)
    mark = f"&nbsp;<span {small}><sup>{line.source}</sup></span>" if line.source else ""
    border = f'style="border-top:1px solid {look().tokens["hair"]}"'
    value = escape(local(line.value))
    if len(line.value) <= _WHOLE:
        # nor does a unit break at its slash
        value = value.replace(" ", "&nbsp;").replace("/", "/&#8288;")
    value += mark
    # a long symbol would widen its column and squeeze the numbers: it stands above its meaning instead
    symbol = f"<b>{_set(line.symbol)}</b>"
    beside, above = (symbol, "") if len(line.symbol) <= _LONGEST_SYMBOL else ("", f"{symbol}<br/>")
    wide = metrics.horizontalAdvance(line.value if len(line.value) <= _WHOLE else "0" * _WHOLE) + metrics.averageCharWidth() * 3
    row = (
        f'<table width="100%" cellspacing="0" cellpadding="2"><tr><td {border} width="{_SYMBOL}" valign="top">{beside}</td>'
        f'<td {border} valign="top">{above}{_set(line.meaning)}</td>'
        f'<td {border} width="{wide}" valign="top" align="right">{value}</td></tr></table>'
    )
    indent = f"margin:0 0 3px {_SYMBOL + 2}px; color:{grey}; font-size:{CAPTION:.0f}px"
    return row + (f'<p style="{indent}">{below}</p>' if below else "")
