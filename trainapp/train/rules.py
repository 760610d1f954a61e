"""What must hold between the parts of a document, beyond what each value must be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from trainapp.hydraulics.demand import fixture_labels
from trainapp.hydraulics.pipes import PipeError, fitting_kinds, pipe_size
from trainapp.stages import registry
from trainapp.train.errors import Bad, DocumentError, Place, Report, dotted, number, numbered, quoted
from trainapp.train.graph import build, check_id, idle_reports, link_place
from trainapp.train.model import ItemRow, LinkEntry, PipeSegment, Sample, Section, StageEntry, Supply
from trainapp.train.settings import check_settings
from trainapp.water.analytes import BY_KEY
from trainapp.water.sample import SampleError, read_result

if TYPE_CHECKING:
    from trainapp.train.document import Document

MOST_STAGES = 1000
_WORST = "worst"
#: Metres; beyond it a place on the floor is a slip of the unit.
_WIDEST_ROOM = 100.0
_NEEDED = {"well": ("pump_curve",), "mains": ("static", "residual", "at_flow")}


def check(document: Document) -> Iterator[Report]:
    """Check a document whose values are valid each for itself, and say what is worth saying.

    Raises:
        DocumentError, Bad: what makes it unusable; the place of a Bad counts list members from 1.
    """
    if len(document.stages) > MOST_STAGES or len(document.links) > 4 * MOST_STAGES:
        raise DocumentError("stages", f"a train has at most {MOST_STAGES} stages and {4 * MOST_STAGES} links")
    _refuse_nulls(document, ())
    _check_supply(document)
    _check_demand(document)
    graph = build(document.stages, document.outlets, document.links)
    reports = [*unknown_keys(document, ())]
    for index, stage in enumerate(document.stages):
        reports += _check_stage(document, stage, ("stages", number(index)))
    for name, row in document.items.items():
        reports += _check_item(row, ("items", name))
    reports += _check_samples(document, graph.nodes)
    _check_pipes(document)
    yield from reports
    yield from idle_reports(graph)
    yield from _gone(document, graph.nodes)


def named(at: Place, tree: Mapping[str, Any]) -> str:
    """A place with ids (for a link its ends) instead of the numbers of list members."""
    steps: list[str] = []
    value: Any = tree
    for step in at:
        index = numbered(step)
        if isinstance(value, list) and index is not None and index < len(value):
            value = value[index]
            step = _name(value) or step
        elif isinstance(value, Mapping):
            value = value.get(step)
        else:
            value = None
        steps.append(step)
    return dotted(tuple(steps))


def _name(member: object) -> str:
    if not isinstance(member, Mapping):
        return ""
    own, ends = member.get("id"), (member.get("from"), member.get("to"))
    if isinstance(own, str):
        return own
    return f"{ends[0]}>{ends[1]}" if all(isinstance(end, str) and end for end in ends) else ""


# Keys -------------------------------------------------------------------------------------------------------------------------


def _sections(value: Any, at: Place) -> Iterator[tuple[Section, Place]]:
    """Every section inside a value, itself included."""
    if isinstance(value, Section):
        yield value, at
        for name, field in type(value).model_fields.items():
            yield from _sections(getattr(value, name), (*at, field.alias or name))
    elif isinstance(value, list):
        for index, member in enumerate(value):
            yield from _sections(member, (*at, _name_of(member) or number(index)))
    elif isinstance(value, dict):
        for key, member in value.items():
            yield from _sections(member, (*at, key))


def _name_of(member: object) -> str:
    if isinstance(member, LinkEntry):
        return link_place(member).removeprefix("links.")
    return str(getattr(member, "id", ""))


def unknown_keys(document: Document, at: Place) -> Iterator[Report]:
    """Keys that the schema does not know (those of a stage are judged by its kind)."""
    for section, place in _sections(document, at):
        if not isinstance(section, StageEntry):
            for key in sorted(section.model_extra or {}):
                yield Report("unknown-key", dotted((*place, key)), "this key is not known; it is kept")


def _refuse_nulls(document: Document, at: Place) -> None:
    for section, place in _sections(document, at):
        for name, field in type(section).model_fields.items():
            if name in section.model_fields_set and getattr(section, name) is None and field.annotation is not Any:
                raise DocumentError((*place, field.alias or name), "null says nothing: leave the key out")


# Parts ------------------------------------------------------------------------------------------------------------------------


def _check_supply(document: Document) -> None:
    supply = document.supply
    for key in _NEEDED[supply.kind]:
        if not supply.given(key):
            raise DocumentError("supply", f'"{key}" is missing: a {"well" if supply.kind == "well" else "main"} needs it')
    if supply.kind == "mains":
        if supply.value("residual") >= supply.value("static"):
            raise DocumentError("supply.residual", f"{quoted(supply.residual)} is not below the static pressure {quoted(supply.static)}")
    elif supply.word("control") == "constant":
        if not supply.given("set_pressure"):
            raise DocumentError("supply", '"set_pressure" is missing: a constant pressure control needs it')
    elif supply.value("cut_in") >= supply.value("cut_out"):
        key = "cut_in" if supply.given("cut_in") else "cut_out"
        low, high = quoted(supply.raw("cut_in")), quoted(supply.raw("cut_out"))
        raise DocumentError(f"supply.{key}", f"the cut-in {low} is not below the cut-out {high}")
    _check_place(supply, ("supply",))
    cold, warm = supply.temperatures
    if cold < -2.0 or warm > 60.0:
        raise DocumentError("supply.temperature", "water between -2 and 60 degC is what this program knows")


def _check_place(section: Supply | StageEntry, at: Place) -> None:
    """Refuse a place that no room reaches to."""
    if section.place is not None and section.place.value("x") > _WIDEST_ROOM:
        raise Bad(f"{quoted(section.place.x)} is farther from the wall than any room is wide", (*at, "place", "x"))


def _check_demand(document: Document) -> None:
    if not document.demand.given("peak") and not document.demand.given("fixtures"):
        raise DocumentError("demand", '"peak" is missing (or "fixtures", a count of each)')
    for fixture in document.demand.fixture_counts:
        if fixture not in fixture_labels():
            raise DocumentError(("demand", "fixtures", fixture), f"this is not a fixture; use one of {', '.join(fixture_labels())}")


def _check_stage(document: Document, entry: StageEntry, at: Place) -> Iterator[Report]:
    kind = registry.kind(entry.kind)
    if kind is None:
        raise Bad(f"{quoted(entry.kind)} is not a kind of stage; the kinds are {', '.join(registry.kinds())}", (*at, "kind"))
    _check_place(entry, at)
    place = ("stages", entry.id)
    yield from _placed(check_settings(kind.spec, entry.beside, at, beside=True), at, place)
    yield from _placed(check_settings(kind.spec, entry.settings, (*at, "settings")), at, place)
    if entry.item is not None:
        row = document.item_of(entry)
        if row is None:
            raise Bad(f"{quoted(entry.item)} is neither an item of the document nor in the catalogue", (*at, "item"))
        if row.kind != entry.kind:
            raise Bad(f"{quoted(entry.item)} is a {row.kind}, not a {entry.kind}", (*at, "item"))


def _placed(reports: Iterator[Report], at: Place, place: Place) -> Iterator[Report]:
    """Reports with the id of the stage instead of its number."""
    for report in reports:
        yield Report(report.code, dotted(place) + report.place.removeprefix(dotted(at)), report.message)


def _check_item(row: ItemRow, at: Place) -> Iterator[Report]:
    kind = registry.kind(row.kind)
    if kind is None:
        yield Report("unknown-key", dotted((*at, "kind")), f"{quoted(row.kind)} is not a kind of stage; the item is kept")
    else:
        yield from check_settings(kind.spec, row.settings, (*at, "settings"))


def _check_samples(document: Document, nodes: Mapping[str, Any]) -> Iterator[Report]:
    seen = set[str]()
    for sample in document.samples:
        check_id(sample.id, f"samples.{sample.id}.id")
        if sample.id in seen or sample.id == _WORST:
            why = "stands for the worst of all samples" if sample.id == _WORST else "names two samples"
            raise DocumentError(f"samples.{sample.id}.id", f"{quoted(sample.id)} {why}")
        seen.add(sample.id)
        _check_results(sample)
        if sample.word("at") not in nodes:
            yield Report("gone", f"samples.{sample.id}.at", f"{quoted(sample.at)} does not stand here; the sample is kept, not shown")
    chosen = document.design_sample
    if chosen == _WORST:
        return
    if chosen not in seen:
        raise DocumentError("design_sample", f"{quoted(chosen)} is not a sample")
    if document.sample(chosen).word("at") != "supply":
        raise DocumentError("design_sample", f"{quoted(chosen)} was not taken at the supply")


def _check_results(sample: Sample) -> None:
    for analyte in (name for name in sample.results if name in BY_KEY):
        try:
            read_result(analyte, sample.results[analyte])
        except SampleError as error:
            raise DocumentError(("samples", sample.id, "results", analyte), str(error)) from None


def _check_pipes(document: Document) -> None:
    _check_pipe(document.plumbing, ("plumbing",))
    for link in document.links:
        if link.pipe is None:
            continue
        listed = isinstance(link.pipe, list)
        for index, segment in enumerate(document.pipe_of(link)):
            place = (*link_place(link).split(".", 1), "pipe", *((number(index),) if listed else ()))
            if listed and not segment.given("length"):
                raise DocumentError(place, '"length" is missing')
            _check_pipe(segment, place)


def _check_pipe(segment: PipeSegment, place: Place) -> None:
    try:
        pipe_size(segment.word("material"), segment.value("size"))
    except PipeError as error:
        key = "material" if "material" in str(error).partition(";")[0] else "size"
        raise DocumentError((*place, key), str(error)) from None
    for fitting in segment.fitting_counts:
        if fitting not in fitting_kinds():
            raise DocumentError((*place, "fittings"), f"{quoted(fitting)} is not a fitting; use one of {', '.join(fitting_kinds())}")


def _gone(document: Document, nodes: Mapping[str, Any]) -> Iterator[Report]:
    for index, row in enumerate(document.accepted):
        if row.stage and row.stage not in nodes:
            yield Report("gone", f"accepted.{number(index)}.stage", f"{quoted(row.stage)} no longer stands; this acceptance has no effect")
