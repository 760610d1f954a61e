"""Goals: what the train is held to at the house, and the limit sets beside each other with their sources and years."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp import units
from trainapp.checks.limits import WaterLimit, limit_set, limit_set_keys
from trainapp.desktop.card_content import Group
from trainapp.desktop.editors.dialog import Editor, heading
from trainapp.desktop.editors.form import Form
from trainapp.desktop.editors.pick import Pick, SearchField
from trainapp.desktop.editors.result_text import interval
from trainapp.desktop.editors.said import findings_where
from trainapp.desktop.editors.sample_lines import label_of
from trainapp.desktop.editors.scroll import Sentences, column_area, side_area
from trainapp.desktop.editors.sheet import Cell, Column, Line, Sheet
from trainapp.desktop.editors.values import Value, choice, quantities
from trainapp.desktop.parts import wrapped
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.sources import source
from trainapp.train.edits import SetValue
from trainapp.water.analytes import ANALYTES, BY_KEY
from trainapp.water.sample import Result

_VALUES = (
    Value("outlet_pressure", "Pressure wanted", "pressure", "at the house main"),
    Value("house_loss", "Loss in the house", "pressure", "what is lost from there to the worst fixture"),
    Value("uv_dose", "UV dose", "dose", "dose of ultraviolet light that is wanted"),
)
_SHORT = {"us": "US", "canada": "Canada", "who": "WHO", "eu": "EU"}
#: Which sets are shown, the nearest neighbours of the program's first users leading.
_ORDER = ("us", "canada", "who", "eu")


class GoalsEditor(Editor):
    """The goals of a document."""

    opens = QSize(1180, 700)

    def build(self) -> None:
        self.form = Form(self, label=112)
        self.set = Pick("Limits", 112, 0)
        self.set.picked.connect(self._choose)
        self.about = wrapped("", "ink3", CAPTION)
        self.words = Sentences()
        self.find = SearchField("Find an analyte")
        self.find.textChanged.connect(self._show_lines)
        self.sheet = Sheet("Limits of the four sets")
        self.sheet.current.connect(self._tell)
        self.details = Sentences()
        right = self._right()
        self.put_beside(side_area("Goals", 404, self.form, self.set, self.about, self.words), right, grows=right)

    def _right(self) -> QWidget:
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        head = QHBoxLayout()
        head.addWidget(heading("Limits side by side"))
        head.addStretch(1)
        head.addWidget(self.find)
        column.addLayout(head)
        column.addWidget(self.sheet, 3)
        area = column_area(self.details, "Of this analyte")
        area.setFixedHeight(136)
        column.addWidget(area)
        return right

    # Showing ------------------------------------------------------------------------------------------------------------------

    def first(self) -> QWidget | None:
        return self.form.first()

    def refresh(self) -> None:
        goals = self.session.document.goals
        need = choice(goals, ("goals",), "disinfect", "Disinfect", "whether the water must be disinfected", ("auto", "yes", "no"))
        self.form.show_groups([Group("", (*quantities(goals, ("goals",), _VALUES), need))])
        chosen = limit_set(goals.word("limits"))
        self.set.show_choices([(key, f"{limit_set(key).label}, {limit_set(key).year}") for key in _keys()], chosen.key)
        self.about.setText(
            f"{len(chosen.rows)} limits as they stood in {chosen.year}. Local rules come first; a calculation never certifies water."
        )
        codes = ("health", "goal", "limit-missed", "pressure-low")
        self.words.show_sentences(findings_where(self.session, lambda finding: finding.code in codes or finding.stage == "house"))
        self._show_lines()

    def _show_lines(self, _text: str = "") -> None:
        chosen, system = self.session.document.goals.word("limits"), self.session.system
        raw = self.session.assessment.evaluation.plan.raw.sheet if self.session.assessment else {}
        columns = (
            Column("analyte", "Analyte", 176),
            Column("raw", "Raw water", 104, right=True),
            *(Column(key, f"{_SHORT.get(key, key)} {limit_set(key).year}", 0, right=True) for key in _keys()),
        )
        wanted = self.find.text().strip().casefold()
        named = [a.key for a in ANALYTES if any(limit_set(key).of(a.key) for key in _keys())]
        lines = [_line(key, raw.get(key), chosen, system) for key in named]
        lines = [line for line in lines if wanted in line.name.casefold()]
        self.sheet.show_lines(columns, lines)
        if not self.sheet.key and lines:
            self.sheet.go_to(lines[0].key, "analyte")
        self._tell(self.sheet.key)

    def _tell(self, analyte: str) -> None:
        """Every limit of the current analyte, with its reason and where it comes from."""
        rows = [(key, row) for key in _keys() for row in limit_set(key).of(analyte)] if analyte else []
        self.details.show_sentences([(None, _sentence(key, row, self.session.system)) for key, row in rows])

    def _choose(self, key: str) -> None:
        self.do(SetValue(path=("goals", "limits"), value=key))


def _keys() -> list[str]:
    known = limit_set_keys()
    return [*(key for key in _ORDER if key in known), *(key for key in known if key not in _ORDER)]


def _line(analyte: str, result: Result | None, chosen: str, system: units.System) -> Line:
    kind = BY_KEY[analyte]
    name, unit = label_of(kind), units.typeset(units.unit(kind.dimension, system))
    raw = _bare(interval(result.low, result.high, kind, system).partition(" = ")[0], unit) if result is not None else ""
    cells = [Cell(f"{name} {unit}".strip()), Cell(result.state if result is not None and result.state else raw, token="ink2")]
    for key in _keys():
        texts = dict.fromkeys(_bare(bounds(row, system), unit) for row in limit_set(key).of(analyte))
        text = ", ".join(texts)
        if all(part.startswith("≤ ") for part in texts) and texts:
            text = "≤ " + ", ".join(part.removeprefix("≤ ") for part in texts)
        cells.append(Cell(text, token="ink" if key == chosen else "ink2", bold=key == chosen))
    return Line(analyte, name, tuple(cells))


def _bare(text: str, unit: str) -> str:
    """Without its unit, which the first column says."""
    return text.replace(f"\u202f{unit}", "").replace(f" {unit}", "") if unit else text


def bounds(row: WaterLimit, system: units.System) -> str:
    """What a limit allows: "≤ 0.3 mg/L", "6.5 to 8.5"."""
    dimension = BY_KEY[row.analyte].dimension

    def shown(value: float) -> str:
        return units.typeset(units.show(value, dimension, system, analyte=row.analyte, limit=value))

    if row.minimum is not None and row.maximum is not None:
        return f"{shown(row.minimum)} to {shown(row.maximum)}"
    if row.maximum == 0.0:
        return "none"
    return f"≤ {shown(row.maximum)}" if row.maximum is not None else f"≥ {shown(row.minimum or 0.0)}"


def _sentence(key: str, row: WaterLimit, system: units.System) -> str:
    kind = {"reference": "for reference, never judged"}.get(row.kind, row.kind)
    where = source(row.source).label
    return f"{_SHORT.get(key, key)}: {bounds(row, system)}, {kind}: {row.reason}. {where}; set in {row.year}, {row.status}."


EDITOR = GoalsEditor
