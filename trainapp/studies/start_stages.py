"""Which stages a first train gets, and which items: each way is tried where it would stand, and the one with fewest findings is taken."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from trainapp import data, units
from trainapp.checks import findings as check_all
from trainapp.studies.remedies_sizing import Choice, best, spot_in
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import AddStage, ChangeSetting, apply, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.train.raw import AT_RISK
from trainapp.train.zones import HOUSE
from trainapp.water.analytes import BY_KEY

_WEIGHT = {"fail": 100, "caution": 3, "note": 0}
#: Local hour at which the first stage cleans itself, and hours from one to the next: none takes two (common practice, no source).
_FIRST_HOUR, _HOURS_APART = 0, 2


@dataclass(frozen=True, slots=True)
class Called:
    """A stage that an answer calls for.

    Attributes:
        kind: of stage. ways: settings (internal units) of the items that may be it, the one with least upkeep first.
        why: one clause.
        above: mg/L of hardness that must reach the house for it to be laid at all; 0 where that does not matter.
        stage: id that it got; "" until it is laid, and where the catalogue has no such item.
        item: label of its item, and `units` of it.
    """

    kind: str
    ways: tuple[Mapping[str, Choice], ...]
    why: str
    above: float = 0.0
    stage: str = ""
    item: str = ""
    units: int = 1

    @property
    def sentence(self) -> str:
        """Why it stands there."""
        if not self.stage:
            return f"No {self.kind.replace('_', ' ')} of the catalogue was found, although {self.why}."
        count = f"{self.units} units, " if self.units > 1 else ""
        return f"{self.item}: {count}{self.why}."


class Draft:
    """A train in the making: stages are laid in front of the house, one behind the other."""

    def __init__(self, document: Document, catalogue: Catalogue) -> None:
        self.document, self.catalogue = document, catalogue

    @property
    def last(self) -> str:
        """The node that feeds the house."""
        return next(link.from_ for link in self.document.links if link.to == HOUSE)


def calls(source: str, results: Mapping[str, Any]) -> Iterator[Called]:
    """Stages that the answers call for, in the order of flow."""
    table = data.load_toml("start/start.toml")
    open_to = f"{table['words'][source]} meets what lies on the ground"
    answered = list(_answered(table, results))
    kinds = {call.kind for call in answered}
    if source in AT_RISK and "sediment_bed" not in kinds:
        yield Called("sediment_bed", tuple(table["ways"]["sediment_bed"]), f"{open_to}, and grit comes with it")
    yield from answered
    if source in AT_RISK:
        if "neutralizer" in kinds and "softener" not in kinds:
            hard = next(units.parse(row["above"], "hardness") for row in table["call"] if row["stage"] == "softener")
            why = "the neutralizer gives hardness that would scale the lamp"
            yield Called("softener", tuple(table["ways"]["softener"]), why, above=hard)
        fine: Mapping[str, Choice] = {"rating": _um(1), "rating_basis": "absolute"}
        yield Called("sediment_cartridge", (fine,), "cysts and cloudiness must not reach the lamp")
        chamber: Mapping[str, Choice] = {"device_class": "A", "shutoff": "valve", "rated_uvt": 75.0}
        yield Called("uv_chamber", (chamber,), f"{open_to}: it is disinfected whatever one sample says")
    elif not kinds and source != "mains":
        coarse: Mapping[str, Choice] = {"rating": _um(20), "build": "depth"}
        yield Called("sediment_cartridge", (coarse,), "a well brings sand and rust, and nothing that was told asks for more")


def _answered(table: Mapping[str, Any], results: Mapping[str, Any]) -> Iterator[Called]:
    """Stages that the results call for."""
    told = [(row, why) for row in table["call"] if (why := _called(row, results))]
    kinds, acid_iron = {row["stage"] for row, _ in told}, table["acid_iron"]
    strained = {"neutralizer", "iron_filter"} <= kinds and bool(_called({**acid_iron, "analyte": "iron"}, results))
    if strained:
        why = next(why for row, why in told if row["stage"] == "iron_filter").partition(";")[0]
        yield from (Called(stage, tuple(table["ways"][stage]), f"{why}; {acid_iron['because']}") for stage in acid_iron["stages"])
    for row, why in told:
        if not (strained and row["stage"] == "iron_filter"):
            yield Called(row["stage"], tuple(table["ways"][row["stage"]]), why)
        else:
            floc: Mapping[str, Choice] = {"rating": _um(5), "build": "depth"}
            yield Called("sediment_cartridge", (floc,), "the finest of the rust passes a bed")


def not_called(results: Mapping[str, Any], laid: Collection[str]) -> Iterator[str]:
    """Why an answer calls for no stage, a sentence each; nothing of kinds that are laid for another reason."""
    for row in data.load_toml("start/start.toml")["call"]:
        told = results.get(row["analyte"])
        if told is not None and row["stage"] not in laid and not _called(row, results):
            yield f"{BY_KEY[row['analyte']].label} is {told['value']}: {row['enough']}."


def _um(micrometres: float) -> float:
    return units.parse(f"{micrometres:g} um", "particle_size")


def _called(row: Mapping[str, Any], results: Mapping[str, Any]) -> str:
    """Why an answer calls for a stage; "" where it does not, or was not given."""
    told = results.get(row["analyte"])
    if told is None:
        return ""
    text, dimension = told["value"], BY_KEY[row["analyte"]].dimension
    value = units.parse(text.lstrip("<>").strip(), dimension)
    over = "above" in row and value > units.parse(row["above"], dimension) and not text.startswith("<")
    under = "below" in row and value < units.parse(row["below"], dimension) and not text.startswith(">")
    if not (over or under):
        return ""
    beyond = f"; {row['beyond']}" if "most" in row and value > units.parse(row["most"], dimension) else ""
    side = f"above {_as_told(row['above'], text, dimension)}" if over else f"below {row['below']}"
    return f"{BY_KEY[row['analyte']].label} is {text}, {side}; {row['because']}{beyond}"


def _as_told(limit: str, text: str, dimension: str) -> str:
    """A limit in the unit that an answer has, where that is how the United States tell it."""
    us = units.unit(dimension, "us")
    return units.show(units.parse(limit, dimension), dimension, "us") if us and text.endswith(us) else limit


def lay(draft: Draft, call: Called) -> Called | None:
    """Lay the best of a call's ways in front of the house; the call with what it got, None where its water does not ask for it."""
    evaluation = evaluate(open_plan(draft.document))
    if call.above and not float(evaluation.points[HOUSE].water.high("hardness")[:, 0].max()) > call.above:
        return None
    spot = spot_in(evaluation, (draft.last, HOUSE))
    tries = []
    for place, way in enumerate(call.ways):
        chosen = best(draft.catalogue, call.kind, spot, way)
        if chosen is None:
            continue
        try:
            document = _with(draft, call.kind, *chosen)
        except DocumentError:
            continue
        tries.append((_badness(document), place, chosen, document))
    if not tries:
        return call
    _, _, (item, count), document = min(tries, key=lambda t: t[:2])
    draft.document = _apart(document)
    return replace(call, stage=draft.last, item=draft.catalogue.rows[item].word("label") or item, units=count)


def _with(draft: Draft, kind: str, item: str, count: int) -> Document:
    edit = AddStage(kind=kind, item=item, into=(draft.last, HOUSE), settings=draft.catalogue.side_by_side(item, count))
    return apply(draft.document, plan_edit(draft.document, edit, draft.catalogue))


def _apart(document: Document) -> Document:
    """The clocks of what cleans itself set to hours of their own: two at once ask more of a pump than it gives."""
    washers = [stage for stage, result in evaluate(open_plan(document)).stages.items() if result.cleaning is not None]
    for place, stage in enumerate(washers if len(washers) > 1 else ()):
        edit = ChangeSetting(stage=stage, key="clean_at", value=f"{_FIRST_HOUR + place * _HOURS_APART} h")
        document = apply(document, plan_edit(document, edit))
    return document


def _badness(document: Document) -> int:
    """What is found in a train, as one number: fails count most."""
    return sum(_WEIGHT[finding.severity] for finding in check_all(evaluate(open_plan(document))))
