"""Tables of the job sheet: stages with settings and sizes, drains, sample taps, upkeep."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from trainapp import units
from trainapp.dimensions import INCH
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.in_units import nominal_size
from trainapp.reports.job_sheet_clocks import Slot, clock, days, slots, washing_of, whole_days
from trainapp.reports.job_sheet_names import place_names
from trainapp.reports.job_sheet_picture import length_text
from trainapp.reports.job_sheet_settings import StageSettings
from trainapp.reports.job_sheet_taps import TapTable
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_table import PrintTable, Row
from trainapp.reports.upkeep import upkeep
from trainapp.stages.base import Cleaning, Stage
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation
from trainapp.units import System


class SheetTables:
    """Reads one evaluation into the tables of its job sheet.

    Args:
        ledger: of the evaluation, which has its values, limits and names.
        citations: numbers the sources.
    """

    def __init__(self, ledger: Ledger, citations: Citations) -> None:
        self.ledger, self.citations = ledger, citations
        self.evaluation: Evaluation = ledger.evaluation
        self.model: BenchModel = ledger.model
        self.system: System = ledger.system
        self.names = place_names(self.model)

    def _show(self, value: float, dimension: str) -> str:
        return units.typeset(units.show(value, dimension, self.system))

    # Stages -------------------------------------------------------------------------------------------------------------------

    def stages(self) -> PrintTable:
        """What stands where: item, size, pressure that it takes, and what it is set to."""
        rows: list[Row] = []
        for shown in self.model.stages:
            stage = self.evaluation.plan.stages[shown.id]
            item = self.evaluation.plan.document.item_of(self.evaluation.plan.document.stage(shown.id))
            head = [self.names[shown.id]]
            head += [units.typeset(item.label)] if item is not None and item.label else []
            head += ["already there, kept"] if stage.settings.get("existing") else []
            rows.append(
                ("\n".join(head), "\n".join(self._size(stage, shown.size)), self._fall(shown.id), "\n".join(self._settings.lines(stage)))
            )
        return PrintTable(("stage", "size of one unit", "takes at the peak", "set to"), (25, 21, 15, 39), rows)

    def entered(self) -> PrintTable | None:
        """The numbers that controllers and feeds ask for; None where none does."""
        return self._settings.entered(self._name)

    @cached_property
    def _settings(self) -> StageSettings:
        return StageSettings(self.evaluation, self.system)

    def _size(self, stage: Stage, size: str) -> Iterator[str]:
        figure = stage.figure()
        if size:
            yield size
        width, height = length_text(figure.width, self.system), length_text(figure.height, self.system)
        yield f"{width} wide, {height} high"
        if figure.beside[0] > 0:
            yield f"tank beside it {' × '.join(length_text(side, self.system) for side in figure.beside)}"

    def _fall(self, stage_id: str) -> str:
        result = self.evaluation.stages.get(stage_id)
        if result is None:
            return "no water passes it"
        flow = self._show(float(result.flow[PEAK]), "flow")
        clean, dirty = (self._show(value, "pressure") for value in (result.headloss_clean, result.headloss_dirty))
        return f"{flow}\n{clean} clean\n{dirty} dirty"

    def _name(self, node: str) -> str:
        return self.names.get(node, node)

    # Drains -------------------------------------------------------------------------------------------------------------------

    def drains(self) -> PrintTable | None:
        """How each stage cleans itself, and where that water goes; None where none does."""
        rows: list[Row] = []
        for node, result in self.evaluation.stages.items():
            if result.cleaning is not None:
                rows.append(self._drain(node, result.stage, result.cleaning))
        heads = ("stage", "what and when", "most flow to drain", "each time", "drain line", "air gap at least")
        return PrintTable(heads, (19, 20, 17, 14, 20, 10), rows) if rows else None

    def _drain(self, node: str, stage: Stage, cleaning: Cleaning) -> Row:
        units_ = f", {stage.count} units in turn" if stage.count > 1 else ""
        when = f"{cleaning.name}{units_}\n{self._when(node, cleaning)}"
        flow = self._show(cleaning.flow, "flow")
        if cleaning.published is not None:
            low, high = (self._show(end, "flow") for end in cleaning.published)
            flow += f"\npublished practice {low} to {high}"
        together = "" if stage.count == 1 else ", both units" if stage.count == 2 else f", all {stage.count} units"
        each = f"{self._show(cleaning.volume * stage.count, 'volume')} in {cleaning.total_minutes * stage.count:.0f} min{together}"
        if cleaning.salt > 0:
            each += f"\n{self._show(cleaning.salt * stage.count, 'mass')} of salt"
        return self._name(node), when, flow, each, *self._line(stage)

    def _when(self, node: str, cleaning: Cleaning) -> str:
        """What calls for a cleaning, how often, and at which hour."""
        washing = washing_of(self.evaluation, self.evaluation.stages[node])
        if washing is None or not washing.metered:
            return f"every {whole_days(cleaning.every_days)} at {clock(self._slots[node].hour)}"
        often = f"about every {days(cleaning.every_days)}"
        if washing.at_once:
            return f"when its meter calls, {often}; at once, the other tank takes over"
        return f"at {clock(self._slots[node].hour)} after its meter calls, {often}"

    @cached_property
    def _slots(self) -> Mapping[str, Slot]:
        return slots(self.evaluation)

    def _line(self, stage: Stage) -> tuple[str, str]:
        """The drain line as the document gives it, and its air gap: twice the line's opening, an inch at least."""
        drain = stage.settings.get("drain")
        unknown = f"2 × its opening, {self._gap(INCH)} at least"
        if not drain:
            return "not given: settle it before work begins", unknown
        parts = [f"to {str(drain['to']).replace('_', ' ')}"] if drain.get("to") else []
        parts += [f"{units.typeset(nominal_size(drain['size'], self.system))} line"] if drain.get("size") else []
        parts += [f"{self._show(drain['length'], 'distance')} long"] if drain.get("length") else []
        parts += [f"rises {self._show(drain['height'], 'distance')}"] if drain.get("height") else []
        opening = drain.get("size")
        return ", ".join(parts), self._gap(max(2.0 * opening, INCH)) if opening else unknown

    def _gap(self, metres: float) -> str:
        """An air gap; in whole millimetres, as far as those can be told on a rule."""
        return units.typeset(f"{1e3 * metres:.0f} mm") if self.system == "metric" else self._show(metres, "length")

    def clocks(self) -> Iterator[str]:
        """The hour that each stage's clock is set to, in the order of the night."""
        for node, slot in self._slots.items():
            moved = f" instead of {clock(slot.asked)}" if slot.is_moved else ""
            yield f"{self._name(node)} at {clock(slot.hour)}{moved}, done by {clock(slot.hour + slot.hours)}"

    # Sample taps --------------------------------------------------------------------------------------------------------------

    def taps(self) -> PrintTable:
        """Where to take samples after start-up, what the design expects there, and room for what is found."""
        return TapTable(self.ledger, self.citations, self._name).table()

    # Upkeep -------------------------------------------------------------------------------------------------------------------

    def upkeep(self) -> PrintTable:
        """What is done, how often, what it uses, and where that comes from."""
        rows: list[Row] = []
        last = None
        for task in upkeep(self.evaluation):
            if task.stage != last:
                rows.append((self._name(task.stage) if task.stage else "The whole train",))
                last = task.stage
            rows.append((task.told, task.when, task.uses(self.system), self.citations.number(task.source, task.status)))
        return PrintTable(("what", "how often", "uses", "source"), (50, 18, 25, 7), rows, right=frozenset({3}))
