"""What a train makes of each thing that its site needs, in words that promise nothing."""

from __future__ import annotations

from trainapp.checks.context import Context
from trainapp.checks.germs import standing_of_light
from trainapp.reports.options_cells import Cell
from trainapp.studies.options.contender import Contender, Served, of_option
from trainapp.studies.options.proposal import Option
from trainapp.studies.options.site import Need, Site, adverse_end
from trainapp.studies.options.treatments import Way
from trainapp.studies.options.words import PROVE, TEST, is_close
from trainapp.train.evaluation import Evaluation
from trainapp.train.zones import HOUSE
from trainapp.units import typeset

#: Failures by which light counts for nothing.
_OF_LIGHT = frozenset({"uv-class", "outside-rating", "dose-short", "no-flow-control", "unprotected-path", "inlet-limit", "over-rating"})
_SURFACE = "Surface water asks for more than this program can judge: a cyst rating, and design by someone licensed, never light alone."
_NEAR_GUIDE = "The chamber meets this water near or beyond a guide: its cautions say which, and have to be put right first."
#: What is said of a chamber that is not enough by itself: whether the water is near or beyond its guide, whether surface water comes in.
_SHORT = {
    (True, False): "UV, its cautions first", (False, True): "UV, licensed design too",
    (True, True): "UV, not enough by itself",
}  # fmt: skip
#: Near a limit: from this share of a maximum on, or within so much of a pH.
_NEAR, _NEAR_PH = 0.8, 0.2


def treated_cell(site: Site, need: Need, contender: Contender) -> Cell:
    """One cell."""
    rule = need.rule
    told = next((row for row in contender.treats if row.need == rule.key), None)
    if told is None:
        return Cell("not counted", mark="unknown")
    if rule.key == "germs":
        return _germs(site, contender)
    if told.met is None:
        return _provided(site, need, contender.measured.evaluation)
    figures = f"{typeset(told.before)} to {typeset(told.after)} at its worse end; {PROVE}."
    if told.before == told.after and not told.met:
        note = _over_the_year(rule.analyte, contender.served) or f"{told.before}, as in the raw water."
        return Cell("stays", mark="none", quiet=True, note=note)
    if not told.met:
        return Cell("less, not enough", mark="near", note=figures)
    left = adverse_end(rule, contender.measured.evaluation.points[HOUSE].water)
    return _met(need, left, contender.served, figures)


def germs_told(site: Site, option: Option) -> str:
    """What a board says of bacteria under an option."""
    return _germs(site, of_option(option)).text


def _met(need: Need, left: float, served: Served | None, figures: str) -> Cell:
    analyte = need.rule.analyte
    hours = served.wrong.get(analyte, 0.0) if served is not None else 0.0
    if served is not None and hours >= 1.0:
        note = f"{figures} {_over_the_year(analyte, served)}"
        return Cell(f"comes through {hours:,.0f} h a year", mark="near", note=note)
    if _is_near(need, left):
        close = need.limit is not None and is_close(analyte, left, need.limit)
        return Cell("too close to call, test" if close else "close to its limit, test", mark="near", note=figures)
    return Cell(TEST, mark="ok", note=figures)


def _is_near(need: Need, left: float) -> bool:
    """Whether a value within its limit is near it, by the same rule as in the ledger."""
    if need.limit is None:
        return False
    if need.rule.analyte == "ph":
        return abs(left - need.limit) < _NEAR_PH
    return need.rule.below is None and left > _NEAR * need.limit


def _over_the_year(analyte: str, served: Served | None) -> str:
    """What a year of service makes of it."""
    if served is None or not served.wrong.get(analyte):
        return ""
    return f"In {served.wrong[analyte]:,.0f} of the {served.drawn:,.0f} hours in a year in which the house draws water."


def _germs(site: Site, contender: Contender) -> Cell:
    context = Context(contender.measured.evaluation)
    if not context.ultraviolet:
        return Cell("not treated", mark="none", quiet=True)
    chambers = frozenset(context.ultraviolet)
    against = [
        f for f in contender.measured.findings
        if f.severity == "fail" and f.code in _OF_LIGHT and (f.stage in chambers or f.code == "unprotected-path")
    ]  # fmt: skip
    if against:
        count = len(against)
        return Cell(f"not counted: {count} fail{'s' * (count != 1)}", mark="fail", note="; ".join(f.title for f in against))
    near = standing_of_light(contender.measured.evaluation, context) is not None
    if near or "surface" in site.facts:
        notes = [_NEAR_GUIDE] if near else []
        notes += [_SURFACE] if "surface" in site.facts else []
        return Cell(_SHORT[near, "surface" in site.facts], mark="near", note=" ".join(notes))
    return Cell("UV, test to confirm", mark="ok", note="Treated by design, which is no proof: only tests after start-up show it.")


def _provided(site: Site, need: Need, evaluation: Evaluation) -> Cell:
    """Needs without a number: whether any way of meeting them is there in full."""
    if any(_stands(site, way, evaluation) for way in need.rule.ways):
        return Cell("provided for", mark="ok", note=f"Meant against {need.rule.treats}; {PROVE}.")
    return Cell("not treated", mark="none", quiet=True)


def _stands(site: Site, way: Way, evaluation: Evaluation) -> bool:
    places = [site.rules.places.get(key) or site.rules.heads.get(key) for key in way.places]
    stages = [result.stage for result in evaluation.stages.values()]
    return all(place is not None and any(place.takes(s.spec) and place.fits(s.spec, s.settings) for s in stages) for place in places)
