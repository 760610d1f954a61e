"""Remedies where a stage is too small, too large, or too tall for where it stands: other sizes, units side by side, its own settings."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp import units
from trainapp.dimensions import DAY
from trainapp.studies.remedies_case import Candidate, Case
from trainapp.studies.remedies_flow import joined, larger_pipe
from trainapp.studies.remedies_parts import alike, doubled, inserts, kind_word, refits, refitted, resized, setting, swap
from trainapp.studies.remedies_sizing import stage_of

_SALT = (8, 10, 12, 15)  # lb/ft3
_POUND_PER_FOOT3 = units.parse("1 lb/ft3", "density")


def candidates(case: Case) -> Iterator[Candidate]:
    """For the finding's code."""
    stage, code = case.finding.stage, case.finding.code
    if not case.is_stage:
        if code == "room-fit":
            yield from _narrower(case)
        return
    if code == "over-rating":
        yield from _stronger(case, stage)
    elif code in ("capacity-short", "hardness-leaks"):
        yield from _lasting(case, stage)
    elif code == "contact-short":
        yield from _longer(case, stage)
    elif code == "standing-water":
        yield from resized(case, stage, up=False, most=3)
    elif code == "room-fit":
        yield from _lower(case, stage)
    elif code in ("nitrate-dump", "media-loss", "ph-overshoot"):
        yield from _of_the_medium(case, stage)


def _stronger(case: Case, stage: str) -> Iterator[Candidate]:
    yield from resized(case, stage, most=3)
    yield doubled(case, stage)
    yield from refits(case, stage, f"a larger {kind_word(case.kind(stage))}", 1, alike(case, stage))
    pipe = list(larger_pipe(case, 1))
    for bigger in list(resized(case, stage, most=2)):
        yield from joined(case, [bigger], pipe)
        yield from joined(case, [bigger], [doubled(case, stage)])
    yield from joined(case, [doubled(case, stage)], pipe)


# Running out --------------------------------------------------------------------------------------------------------------------


def _lasting(case: Case, stage: str) -> Iterator[Candidate]:
    kind = case.kind(stage)
    if kind in ("softener", "tannin_resin"):
        yield from more_salt(case, stage)
    if "wash_every" in case.context.stage(stage).spec.settings:
        yield from _more_often(case, stage, "wash_every", "Wash", (2, 1))
    if kind == "tannin_resin":
        yield from _more_often(case, stage, "regenerate_every", "Regenerate", (2, 1))
    yield from resized(case, stage, most=3)
    if kind == "softener":
        yield from two_tanks(case, stage)
    if kind == "sediment_cartridge":
        yield from _coarser_ahead(case, stage)
    yield from refits(case, stage, f"another {kind_word(kind)}", 2, alike(case, stage))
    yield doubled(case, stage)
    if kind == "sediment_cartridge":
        yield doubled(case, stage, 2)


def more_salt(case: Case, stage: str) -> Iterator[Candidate]:
    """Higher salt doses for each regeneration."""
    dose = float(case.setting(stage, "salt_dose"))
    for pounds in [p for p in _SALT if p * _POUND_PER_FOOT3 > dose * 1.05][:3]:
        shown = case.show(pounds * _POUND_PER_FOOT3, "density")
        label = f"Set the salt dose of {case.name(stage)} to {shown}."
        yield setting(case, stage, "salt_dose", f"{pounds} lb/ft3", label, "more salt for each regeneration")


def two_tanks(case: Case, stage: str) -> Iterator[Candidate]:
    """A softener whose tanks take turns."""
    if case.setting(stage, "tanks") == "1":
        regenerant = str(case.setting(stage, "regenerant"))
        yield from refitted(case, stage, "a softener with 2 tanks", 2, tanks="2", regenerant=regenerant)


def _more_often(case: Case, stage: str, key: str, verb: str, days: tuple[int, ...]) -> Iterator[Candidate]:
    now = case.setting(stage, key)
    for day in days:
        if now is None or float(now) > day * DAY * 1.01:
            each = "every day" if day == 1 else f"every {day} days"
            label = f"{verb} {case.name(stage)} {each}."
            yield setting(case, stage, key, f"{day} d", label, "cleaning it more often")


def _coarser_ahead(case: Case, stage: str) -> Iterator[Candidate]:
    """Something coarse that takes most of the dirt before it comes to a fine cartridge."""
    if float(case.setting(stage, "rating")) < units.parse("40 um", "particle_size"):
        for um in (50, 20):
            rating = units.parse(f"{um} um", "particle_size")
            yield from inserts(case, "sediment_cartridge", stage, 1, rating=rating, build="depth")
        yield from inserts(case, "sediment_bed", stage, 1, media="multimedia")
        coarse = list(inserts(case, "sediment_cartridge", stage, 1, rating=units.parse("20 um", "particle_size"), build="depth"))
        yield from joined(case, coarse, list(resized(case, stage))[-1:])


# Time -----------------------------------------------------------------------------------------------------------------------------


def _longer(case: Case, stage: str) -> Iterator[Candidate]:
    kind = case.kind(stage)
    yield from resized(case, stage, most=3)
    if kind == "carbon_bed" and case.setting(stage, "carbon") == "plain":
        yield from refitted(case, stage, "catalytic carbon", 2, carbon="catalytic")
    if kind == "neutralizer":
        yield from refitted(case, stage, "a neutralizer with upward flow", 2, flow="up")
        yield from refitted(case, stage, "calcite with magnesia", 2, media="calcite_magnesia")
    if kind == "contact_tank":
        yield from refitted(case, stage, "a baffled contact tank", 2, baffling=0.5)
    yield doubled(case, stage)
    if kind == "neutralizer":
        yield doubled(case, stage, 2)


def _of_the_medium(case: Case, stage: str) -> Iterator[Candidate]:
    code = case.finding.code
    if code == "nitrate-dump":
        yield from _more_often(case, stage, "regenerate_every", "Regenerate", (2, 1))
        yield from more_salt(case, stage)
        yield from resized(case, stage, most=3)
    if code == "media-loss":
        yield from resized(case, stage, most=3)
        yield from refitted(case, stage, "a neutralizer with downward flow", 2, flow="down")
        yield doubled(case, stage)
    if code == "ph-overshoot":
        label = f"Take 5 % magnesia in {case.name(stage)}."
        yield setting(case, stage, "magnesia_share", "5 %", label, "less magnesia")
        yield from refitted(case, stage, "calcite alone", 2, media="calcite")
        yield from resized(case, stage, up=False)


# Room -----------------------------------------------------------------------------------------------------------------------------


def _lower(case: Case, stage: str) -> Iterator[Candidate]:
    """Smaller sizes that stand under the ceiling, alone and two of them."""
    height, kind = case.document.room.get("height"), case.kind(stage)
    for item in case.catalogue.next_size(kind, case.context.stage(stage).settings, up=False):
        figure = stage_of(case.catalogue, item).figure()
        if height is not None and figure.base + figure.height + figure.clear_above <= height:
            smaller = swap(case, stage, item, f"a smaller {kind_word(kind)}")
            yield smaller
            yield from joined(case, [smaller], [doubled(case, stage)])


def _narrower(case: Case) -> Iterator[Candidate]:
    """The widest stages a size smaller, each and together."""
    results = {s: r for s, r in case.evaluation.stages.items() if r.stage.figure().shape != "inline" and case.twins(s)[0] == s}
    widest = sorted(results, key=lambda s: -(results[s].stage.figure().width + results[s].stage.figure().beside[0]))
    each = [list(resized(case, stage, up=False)) for stage in widest[:4]]
    for group in each:
        yield from group
    yield from joined(case, *each[:2])
    yield from joined(case, *each[:4])
