"""Remedies where water holds too much or too little of something: the treatment that acts on it, put in or made to do more."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from trainapp import units
from trainapp.studies.remedies_case import Candidate, Case
from trainapp.studies.remedies_flow import joined
from trainapp.studies.remedies_parts import chained, doubled, inserts, moved, pairs, refitted, resized, setting
from trainapp.studies.remedies_size import more_salt, two_tanks
from trainapp.train.edits import RemoveStage

#: Ways to take iron and manganese, and what they are called.
_IRON: tuple[tuple[str, str], ...] = (
    ("manganese_greensand", "chlorine"), ("coated_zeolite", "chlorine"), ("coated_silicate", "air"), ("manganese_dioxide", "chlorine"),
    ("manganese_greensand", "permanganate"),
)  # fmt: skip
_CODES = frozenset({
    "inlet-limit", "outlet-goal", "health", "media-limit", "oxidant-short", "iron-on-resin", "iron-bacteria", "chlorine-on-resin",
    "pink-water", "corrosion", "outside-rating", "iron-coats", "order", "feed-pacing", "taste",
})  # fmt: skip


def candidates(case: Case) -> Iterator[Candidate]:
    """For the finding's code and analyte."""
    code = case.finding.code
    if code not in _CODES:
        return
    if code in ("oxidant-short", "media-limit", "pink-water", "iron-bacteria") and case.is_stage:
        yield from _oxidised(case, case.finding.stage)
    elif code == "feed-pacing" and case.is_stage:
        label = f"Let {case.name(case.finding.stage)} follow a flow meter."
        yield setting(case, case.finding.stage, "paced_by", "flow", label, "a feed that follows a flow meter", work="flow_meter")
    elif code == "order" and not case.finding.analyte:
        return
    else:
        way = _WAYS.get({"iron-on-resin": "iron", "corrosion": "ph"}.get(code, case.finding.analyte))
        if way is not None:
            yield from way(case, case.place)


# Iron, manganese, sulfide -------------------------------------------------------------------------------------------------------------


def _iron(case: Case, place: str) -> Iterator[Candidate]:
    """An iron filter ahead; another medium, a larger one, a higher pH or an oxidant where one stands there."""
    filters = case.ahead(place, "iron_removal") or ([place] if "iron_removal" in case.context.tags(place) else [])
    if filters:
        yield from _oxidised(case, filters[0])
    else:
        for media, oxidant in _IRON:
            yield from inserts(case, "iron_filter", place, 1, media=media, oxidant=oxidant)
        for media, oxidant in _IRON[:3]:
            yield from pairs(case, "iron_filter", place, media=media, oxidant=oxidant)
        yield from _filter_and_more(case, place)
        yield from inserts(case, "softener", place, 1, tanks="1")
    yield from _fine(case, place)


def _filter_and_more(case: Case, place: str, most: int = 4) -> Iterator[Candidate]:
    """An iron filter with a softener and a fine cartridge behind it, as far as the place asks for them and has none."""
    link = case.slot(40, place)
    if link is None:
        return
    at_chamber = "disinfection" in case.context.tags(place)
    has_fine = any(case.context.is_fine(stage) for stage in case.ahead(place, "sediment"))
    is_soft = bool(case.ahead(place, "softening")) or "softening" in case.context.tags(place)
    fine = None if has_fine or not at_chamber else case.best("sediment_cartridge", link, rating=5e-6, build="depth")
    softener = None if is_soft else case.best("softener", link, tanks="1")
    for media, oxidant in _IRON[:most]:
        chosen = case.best("iron_filter", link, media=media, oxidant=oxidant)
        for rest in ((fine,), (softener, fine)):
            behind = [one for one in rest if one is not None]
            if chosen is not None and behind:
                yield from chained(case, link, chosen, *behind)


def _oxidised(case: Case, stage: str) -> Iterator[Candidate]:
    """An iron filter or a feed that brings enough oxidant, on a medium that suits this water."""
    if "iron_removal" not in case.context.tags(stage):
        yield from _fed(case, stage)
        return
    if case.setting(stage, "dose") is not None:
        label = f"Let the feed of {case.name(stage)} follow what the water asks for."
        yield setting(case, stage, "dose", None, label, "a dose that follows the water")
    now = (case.setting(stage, "media"), case.setting(stage, "oxidant"))
    for media, oxidant in _IRON:
        if (media, oxidant) != now:
            yield from refitted(case, stage, "another medium or oxidant", 1, media=media, oxidant=oxidant)
    yield from resized(case, stage)
    yield doubled(case, stage)
    if not case.ahead(stage, "ph_up"):
        yield from inserts(case, "neutralizer", stage, 2, media="calcite")
    yield from _second_filter(case, stage)
    if not case.ahead(stage, "oxidant"):
        feed = list(inserts(case, "oxidant_feed", stage, 2, oxidant="chlorine", paced_by="flow"))
        yield from feed
        for media in ("manganese_greensand", "coated_zeolite"):
            yield from joined(case, feed[:1], list(refitted(case, stage, "another medium", 1, media=media, oxidant="chlorine")))


def _second_filter(case: Case, stage: str) -> Iterator[Candidate]:
    """Another iron filter right behind, for more iron than one can take."""
    targets = [node for node in case.plan.graph.successors(stage) if node in case.plan.live]
    if len(targets) == 1 and len(case.context.having("iron_removal")) == 1:
        link = (stage, targets[0])
        for media, oxidant in (_IRON[1], _IRON[0]):
            chosen = case.best("iron_filter", link, media=media, oxidant=oxidant)
            if chosen is not None:
                yield from chained(case, link, chosen)


def _fed(case: Case, feed: str) -> Iterator[Candidate]:
    """A feed with another dose, or another oxidant."""
    dose, asked = case.setting(feed, "dose"), case.finding.limit
    if dose is None:
        return
    wanted = {float(dose) * factor for factor in (0.5, 1.25, 1.5, 2.0, 3.0)}
    if asked is not None:
        wanted |= {asked.low * factor for factor in (1.1, 1.5, 2.0)}
    more = case.finding.code == "oxidant-short"
    for amount in sorted(w for w in wanted if (w > float(dose)) == more):
        text = f"{amount:.2g} mg/L"
        label = f"Set the dose of {case.name(feed)} to {case.show(units.parse(text, 'concentration'), 'concentration')}."
        yield setting(case, feed, "dose", text, label, "a higher dose" if more else "a lower dose")
    label = f"Let {case.name(feed)} follow a flow meter."
    yield setting(case, feed, "paced_by", "flow", label, "a feed that follows a flow meter", work="flow_meter")
    yield from refitted(case, feed, "chlorine as oxidant", 2, oxidant="chlorine", paced_by="flow")
    if not more:
        yield Candidate(f"Take {case.name(feed)} out.", (RemoveStage(id=feed),), "no oxidant at all")


def _sulfide(case: Case, place: str) -> Iterator[Candidate]:
    for media, oxidant in (_IRON[0], _IRON[1], _IRON[3]):
        yield from inserts(case, "iron_filter", place, 1, media=media, oxidant=oxidant)
    for stage in case.ahead(place, "iron_removal")[:1]:
        yield from _oxidised(case, stage)
    feed = list(inserts(case, "oxidant_feed", place, 1, oxidant="chlorine", paced_by="flow"))
    carbon = list(inserts(case, "carbon_bed", place, 1, carbon="plain"))
    yield from carbon
    yield from joined(case, feed, carbon)
    yield from inserts(case, "oxidant_feed", place, 1, oxidant="peroxide")


# Hardness, particles, light -----------------------------------------------------------------------------------------------------------


def _hardness(case: Case, place: str) -> Iterator[Candidate]:
    softeners = case.ahead(place, "softening")
    for bed in case.ahead(place, "hardness_up"):
        if softeners and softeners[0] in case.context.before(bed):
            yield from moved(case, bed, case.link_to(softeners[0]))
            yield from moved(case, softeners[0], case.link_to(place))
    for stage in softeners[:1]:
        yield from more_salt(case, stage)
        yield from resized(case, stage)
        yield from two_tanks(case, stage)
    if not softeners:
        yield from inserts(case, "softener", place, 2, tanks="1")
        yield from inserts(case, "softener", place, 1, tanks="2")
        if case.context.readings.most(place, "iron") > 0.3:
            yield from _filter_and_more(case, place)


def _fine(case: Case, place: str) -> Iterator[Candidate]:
    """Cartridges ahead of a place, finer step by step."""
    for um, basis in ((5, "nominal"), (1, "absolute")):
        rating = units.parse(f"{um} um", "particle_size")
        yield from inserts(case, "sediment_cartridge", place, 1, rank=80, rating=rating, rating_basis=basis)
    link = case.slot(80, place)
    if link is not None:
        both = (case.best("sediment_cartridge", link, rating=units.parse(f"{um} um", "particle_size"), build="depth") for um in (20, 5))
        yield from chained(case, link, *(one for one in both if one is not None))


def _turbidity(case: Case, place: str) -> Iterator[Candidate]:
    yield from _fine(case, place)
    yield from inserts(case, "sediment_bed", place, 1, media="multimedia")
    bed, fine = list(inserts(case, "sediment_bed", place, 1, media="multimedia")), list(_fine(case, place))
    yield from joined(case, bed, fine)


def _light(case: Case, place: str) -> Iterator[Candidate]:
    """What takes up light: particles, iron, tannin, organic matter."""
    iron = case.context.readings.most(place, "iron")
    if iron > 0.1 and not case.ahead(place, "iron_removal"):
        for media, oxidant in _IRON[:4]:
            yield from inserts(case, "iron_filter", place, 1, media=media, oxidant=oxidant)
        yield from _filter_and_more(case, place, 2)
    yield from _fine(case, place)
    yield from _tannin(case, place)


def _tannin(case: Case, place: str) -> Iterator[Candidate]:
    resins = case.ahead(place, "anion_exchange")
    for stage in resins[:1]:
        yield from resized(case, stage)
        yield from more_salt(case, stage)
    if not resins:
        yield from inserts(case, "tannin_resin", place, 2)
        softener = () if case.ahead(place, "softening") else ("softener",)
        yield from _in_line(case, place, 60, *softener, "tannin_resin")
        yield from _in_line(case, place, 60, *softener, "tannin_resin", "carbon_bed")
    yield from inserts(case, "carbon_bed", place, 1, carbon="plain")


def _in_line(case: Case, place: str, rank: int, *kinds: str) -> Iterator[Candidate]:
    """Stages of several kinds one behind the other, each as it fits there."""
    link = case.slot(rank, place)
    if link is not None:
        chosen = [case.best(kind, link) for kind in kinds]
        yield from chained(case, link, *(one for one in chosen if one is not None))


# pH, chlorine, sodium -----------------------------------------------------------------------------------------------------------------


def _ph(case: Case, place: str) -> Iterator[Candidate]:
    """Up: a neutralizer, larger or of another medium where one stands there. Down: calcite alone."""
    beds = case.ahead(place, "ph_up")
    value, limit = case.finding.value, case.finding.limit
    if value is not None and limit is not None and value.low > limit.low:
        for stage in beds:
            yield from refitted(case, stage, "calcite alone", 2, media="calcite")
            yield from resized(case, stage, up=False)
        return
    for stage in beds[:1]:
        yield from resized(case, stage, most=3)
        yield from refitted(case, stage, "calcite with magnesia", 2, media="calcite_magnesia")
        yield from refitted(case, stage, "a neutralizer with upward flow", 2, flow="up")
    if not beds:
        yield from inserts(case, "neutralizer", place, 3, media="calcite", flow="down")
        yield from inserts(case, "neutralizer", place, 2, media="calcite", flow="up")
        yield from inserts(case, "neutralizer", place, 2, media="calcite_magnesia")
        # behind the iron filter, where much iron would coat it
        yield from inserts(case, "neutralizer", place, 1, rank=50, media="calcite", flow="down")


def _chlorine(case: Case, place: str) -> Iterator[Candidate]:
    for carbon in ("plain", "catalytic"):
        yield from inserts(case, "carbon_bed", place, 2, carbon=carbon)
        if "softening" in case.context.tags(place):
            yield from inserts(case, "carbon_bed", place, 2, rank=55, carbon=carbon)
    for stage in case.ahead(place, "carbon")[:1]:
        yield from resized(case, stage)
        yield from refitted(case, stage, "catalytic carbon", 2, carbon="catalytic")


def _sodium(case: Case, place: str) -> Iterator[Candidate]:
    """Potassium in its place: what the resin takes has to be exchanged for something."""
    for stage in case.ahead(place, "softening"):
        if case.setting(stage, "regenerant") == "sodium_chloride":
            label = f"Regenerate {case.name(stage)} with potassium chloride."
            yield setting(case, stage, "regenerant", "potassium_chloride", label, "potassium chloride")


_WAYS: Mapping[str, Callable[[Case, str], Iterator[Candidate]]] = {
    "iron": _iron, "iron_dissolved": _iron, "manganese": _iron, "hydrogen_sulfide": _sulfide, "hardness": _hardness,
    "turbidity": _turbidity, "uvt": _light, "tannin": _tannin, "colour": _tannin, "toc": _tannin, "ph": _ph, "free_chlorine": _chlorine,
    "total_chlorine": _chlorine, "sodium": _sodium,
}  # fmt: skip
