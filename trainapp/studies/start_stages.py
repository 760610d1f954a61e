"""Which stages a first train gets, and which items: each way is tried where it would stand, and the one with fewest findings is taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from trainapp import data, units
from trainapp.checks import findings as check_all
from trainapp.studies.remedies_sizing import Choice, best, spot_in
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import AddStage, apply, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.train.raw import AT_RISK
from trainapp.train.zones import HOUSE
from trainapp.water.analytes import BY_KEY

_WEIGHT = {"fail": 100, "caution": 3, "note": 0}


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
    at_risk = source in AT_RISK
    open_to = f"{data.load_toml('start/start.toml')['words'][source]} meets what lies on the ground"
    if at_risk:
        yield Called("sediment_cartridge", ({"rating": _um(20), "build": "depth"},), f"{open_to}, and grit comes with it")
    table, kinds = data.load_toml("start/start.toml"), set[str]()
    for row in table["call"]:
        why = _called(row, results)
        if why:
            kinds.add(row["stage"])
            yield Called(row["stage"], tuple(table["ways"][row["stage"]]), why)
    if at_risk and "neutralizer" in kinds and "softener" not in kinds:
        hard = next(units.parse(row["above"], "hardness") for row in table["call"] if row["stage"] == "softener")
        yield Called("softener", tuple(table["ways"]["softener"]), "the neutralizer gives hardness that would scale the lamp", above=hard)
    if at_risk:
        fine: Mapping[str, Choice] = {"rating": _um(1), "rating_basis": "absolute"}
        yield Called("sediment_cartridge", (fine,), "cysts and cloudiness must not reach the lamp")
        chamber: Mapping[str, Choice] = {"device_class": "A", "shutoff": "valve", "rated_uvt": 75.0}
        yield Called("uv_chamber", (chamber,), f"{open_to}: it is disinfected whatever one sample says")


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
    return f"{BY_KEY[row['analyte']].label} is {text}; {row['because']}{beyond}"


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
    draft.document = document
    return replace(call, stage=draft.last, item=draft.catalogue.rows[item].word("label") or item, units=count)


def _with(draft: Draft, kind: str, item: str, count: int) -> Document:
    edit = AddStage(kind=kind, item=item, into=(draft.last, HOUSE), settings={"count": count} if count > 1 else {})
    return apply(draft.document, plan_edit(draft.document, edit, draft.catalogue))


def _badness(document: Document) -> int:
    """What is found in a train, as one number: fails count most."""
    return sum(_WEIGHT[finding.severity] for finding in check_all(evaluate(open_plan(document))))
