"""The raw water of a document: its design sample as a stream, and what follows from it for the whole train."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from trainapp.stages.working import FLOWS
from trainapp.train.document import Document
from trainapp.train.errors import DocumentError
from trainapp.train.policy import amount
from trainapp.water.analytes import BY_KEY
from trainapp.water.raw import Columns, raw_streams
from trainapp.water.sample import Result, SampleError, read_sheet, worst
from trainapp.water.stream import Stream

#: Sources that surface water or whatever lies on the ground can reach; they are disinfected whatever one sample says.
AT_RISK = frozenset({"surface", "spring", "dug_well", "rain"})
#: Sources that are surface water by their kind.
SURFACE = frozenset({"surface", "spring", "rain"})


@dataclass(frozen=True, slots=True)
class RawWater:
    """The water that enters the train.

    Attributes:
        stream: at three flows, one water.
        sheet: results of the design sample by analyte; `sheets` those of every sample by id.
        states: words of results that are no number ("absent", "present"), by analyte.
        behind: the worst result of each analyte of samples that were taken behind the supply, by the node whose water they are.
        unnamed: results whose name is no analyte, kept and listed.
        chlorinated: whether a residual arrives.
    """

    stream: Stream
    sheet: Mapping[str, Result]
    sheets: Mapping[str, Mapping[str, Result]]
    states: Mapping[str, str]
    behind: Mapping[str, Mapping[str, Result]]
    unnamed: tuple[str, ...]
    chlorinated: bool


def raw_water(document: Document) -> RawWater:
    """The design sample (or the worst of all taken at the supply) as a stream.

    Raises:
        DocumentError: a result that cannot be read, naming its place.
    """
    sheets = {sample.id: _sheet(sample.id, sample.results) for sample in document.samples}
    at_supply = [sample.id for sample in document.samples if sample.word("at") == "supply"]
    chosen = document.design_sample
    sheet = worst(sheets[i] for i in at_supply) if chosen == "worst" else sheets[chosen]
    cold, _ = document.supply.temperatures
    names = [name for sample in document.samples for name in sample.results if name not in BY_KEY]
    found = raw_of(document, sheet, raw_streams(Columns.of_sheet(sheet), len(FLOWS), cold))
    return replace(found, sheets=sheets, behind=_behind(document, sheets), unnamed=tuple(dict.fromkeys(names)))


def raw_of(document: Document, sheet: Mapping[str, Result], stream: Stream) -> RawWater:
    """A raw water that nothing else is known of than one sheet, and its stream."""
    return RawWater(
        stream=stream,
        sheet=sheet,
        sheets={},
        states={name: r.state for name, r in sheet.items() if r.kind == "state"},
        behind={},
        unnamed=(),
        chlorinated=_chlorinated(document, sheet),
    )


def _chlorinated(document: Document, sheet: Mapping[str, Result]) -> bool:
    """Whether a residual arrives, free or bound to ammonia: one that was measured, not one that a non-detect leaves room for."""
    residuals = [sheet[name].low for name in ("free_chlorine", "total_chlorine") if name in sheet]
    return max(residuals) > amount("residual_arrives") if residuals else document.supply.word("source") == "mains"


def _behind(document: Document, sheets: Mapping[str, Mapping[str, Result]]) -> Mapping[str, Mapping[str, Result]]:
    places: dict[str, list[Mapping[str, Result]]] = {}
    for sample in document.samples:
        if sample.word("at") != "supply":
            places.setdefault(sample.word("at"), []).append(sheets[sample.id])
    return {place: worst(taken) for place, taken in places.items()}


def _sheet(sample_id: str, results: Mapping[str, object]) -> Mapping[str, Result]:
    try:
        return read_sheet(results)
    except SampleError as error:
        place = ("samples", sample_id, "results", str(getattr(error, "analyte", "")))
        raise DocumentError(place, str(error)) from None


def needs_disinfection(document: Document, raw: RawWater) -> bool:
    """Whether this water must be disinfected: bacteria in any sample of it, a risk at the source, or the designer's word."""
    wish = document.goals.word("disinfect")
    if wish == "yes":
        return True
    taken = (raw.sheet, *raw.behind.values())
    found = any(sheet[name].low > 0.0 for sheet in taken for name in ("total_coliform", "e_coli") if name in sheet)
    at_risk = document.supply.word("source") in AT_RISK or document.supply.word("surface_influence") == "yes"
    return found or at_risk


__all__ = ["AT_RISK", "SURFACE", "RawWater", "needs_disinfection", "raw_of", "raw_water"]
