"""The foot line: the figures of the day, what is selected, and what was just refused."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QWidget

from trainapp import units
from trainapp.desktop.parts import ElidedLabel, MarkLabel
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import PAD
from trainapp.stages.uv_chamber import UvChamber
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

_SHOWN_MS = 12_000


class Foot(QWidget):
    """One light line."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setFixedHeight(28)
        self.figures = ElidedLabel("ink2")
        self.selected = ElidedLabel("ink2")
        self.mark = MarkLabel("caution")
        self.message = ElidedLabel("ink")
        line = QHBoxLayout(self)
        line.setContentsMargins(int(PAD), 0, int(PAD), 0)
        line.addWidget(self.mark)
        line.addWidget(self.message, 3)
        line.addWidget(self.figures, 3)
        line.addWidget(self.selected, 1)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.clear)
        session.changed.connect(self.clear)
        session.shown_changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        session.refused.connect(self.refuse)
        self.clear()

    def refresh(self) -> None:
        """Show the figures as they are now."""
        self.figures.show_text("      ".join(_figures(self.session)))
        title = _selected(self.session)
        self.selected.show_text(f"{title} selected" if title else "")

    def refuse(self, sentence: str) -> None:
        """Say why something was not done."""
        self._say(sentence, marked=True)

    def hint(self, text: str) -> None:
        """Say what would happen, while something is dragged."""
        if text:
            self._say(text, marked=False)
        elif self.mark.isHidden():
            self.clear()

    def tell(self, text: str) -> None:
        """Say that something was done."""
        self._say(text, marked=False)

    def _say(self, text: str, marked: bool) -> None:
        self.mark.setVisible(marked)
        self.message.setVisible(True)
        self.figures.setVisible(False)
        self.message.show_text(text)
        self._timer.start(_SHOWN_MS)

    def clear(self) -> None:
        """Show the figures again."""
        self.mark.setVisible(False)
        self.message.setVisible(False)
        self.figures.setVisible(True)
        self.refresh()


def _figures(session: Session) -> Iterator[str]:
    shown = session.shown
    if shown is None:
        return
    evaluation, system = shown.evaluation, session.system

    def show(value: float, dimension: str) -> str:
        return units.typeset(units.show(value, dimension, system))

    demand = evaluation.plan.demands.get("house")
    point = evaluation.points.get("house")
    if demand is not None:
        tried = " tried" if session.trial_flow is not None else ""
        yield f"Peak {show(float(demand.flows[PEAK]), 'flow')}{tried}"
        yield f"Day {show(demand.daily, 'volume')}"
    if point is not None:
        yield f"House main {show(point.pressure.clean, 'pressure')} clean, {show(point.pressure.dirty, 'pressure')} dirty"
    yield from _dose(evaluation, system)


def _dose(evaluation: Evaluation, system: System) -> Iterator[str]:
    """The least dose that counts in any chamber, with what is wanted of it; no figure unless all are inside their rating."""
    doses: list[tuple[float, float]] = []
    for result in evaluation.stages.values():
        dose = result.working.results.get("dose_credited")
        if not isinstance(result.stage, UvChamber) or dose is None:
            continue
        said = {remark.code for remark in result.remarks} | {remark.cause for remark in result.remarks}
        if "outside-rating" in said:
            yield "UV outside its rating: no dose counted"
            return
        if "sample-gap:uvt" in said:
            yield "UVT not measured: no UV dose counted"
            return
        doses.append((dose.shown, result.stage.dose_goal(evaluation.plan.duty)))
    if doses:
        counted, wanted = min(doses, key=lambda found: found[0] / found[1])
        figure = units.show_against_limit(counted, wanted, "dose", system)
        yield units.typeset(f"UV dose counted {figure}, wanted {units.show(wanted, 'dose', system)}")


def _selected(session: Session) -> str:
    tag = session.selection
    if session.also:
        return f"{len(session.chosen)} things"
    if tag == ("supply",):
        return session.title_of("supply")
    if len(tag) == 2:
        return session.title_of(str(tag[1]))
    if len(tag) == 3 and tag[0] == "link":
        return f"pipe {session.title_of(str(tag[1]))} to {session.title_of(str(tag[2]))}"
    return ""
