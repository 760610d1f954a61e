"""What both answers of `trainapp year` share: its cautions, dates, and the numbers in the order in which they are told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trainapp import data, units
from trainapp.checks.context import analyte_inside, analyte_label
from trainapp.dimensions import DAY, YEAR
from trainapp.studies.year import GoneWrong, Year
from trainapp.studies.year.goals import FAR, analyte_of, conditions
from trainapp.studies.year.inlet import read_code
from trainapp.train.naming import Names

ILLUSTRATIVE = (
    "Illustrative: how fast a film grows on a sleeve, how cold water dims a lamp, spikes and power cuts are for teaching, not data. "
    "Real rates come from the sensor and from looking at the sleeve."
)
NOT_SAFE = "A run through time is a calculation. It never shows that water is fit to drink: only tests do."
#: Over the list of what goes wrong in two runs, and what stands where one of them has none of it.
FIRST_OF_EACH = "What goes wrong, the first day of each in both"
NEVER = "not in this run"
_MONTHS = (
    ("January", 31), ("February", 28), ("March", 31), ("April", 30), ("May", 31), ("June", 30), ("July", 31), ("August", 31),
    ("September", 30), ("October", 31), ("November", 30), ("December", 31),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Told:
    """One number of a run.

    Attributes:
        key, label: in JSON, in words.
        value: None where the train has none. dimension: of it; "hours" and "energy" (kWh) beside those of the program.
        band: least and most where a teaching picture decides; then there is no single value.
    """

    key: str
    label: str
    value: float | None
    dimension: str
    band: tuple[float, float] | None = None


def numbers(year: Year) -> Iterator[Told]:
    """The numbers of a run in order."""
    totals, names = year.totals, Names(year.document)
    cuts = cuts_told(year)
    for i, (node, light) in enumerate(totals.lights.items()):
        of = f"_{node}" if i else ""
        past = f"Water past {names.inside(node)}"
        yield Told(f"hours_outside_rating_sure{of}", f"{past} outside its rating, film left out", light.sure, "hours")
        label = f"The same with a film on the sleeve, illustrative, {names.plain(node)}"
        yield Told(f"hours_outside_rating{of}", label, light.outside, "hours", light.band)
        beyond = f" ({_some([analyte_inside(key) for key in light.beyond_limits])})" if light.beyond_limits else ""
        yield Told(f"hours_beyond_inlet{of}", f"{past} beyond its inlet limits{beyond}", light.beyond, "hours")
        yield Told(f"hours_unlit{of}", f"{past} with its lamp unlit{cuts}", light.unlit, "hours")
    if totals.untreated_hours:
        yield Told("hours_untreated", "Drinking water that nothing disinfects", totals.untreated_hours, "hours")
    yield Told("hours_hard", "Hard water at the house", totals.judged.get("hard"), "hours")
    yield Told("hours_rusty", "Iron at the house", totals.judged.get("rusty"), "hours")
    yield Told("hours_black", "Manganese at the house", totals.judged.get("black"), "hours")
    yield Told("hours_acid", "Acid water at the house", totals.judged.get("acid"), "hours")
    yield Told("hours_cloudy", "Cloudy water at the house", totals.judged.get("cloudy"), "hours")
    yield Told("hours_dry", f"House without all the water it wanted{cuts}", totals.dry_hours, "hours")
    yield Told("hours_drawn", "House drawing water", totals.drawn_hours, "hours")
    yield Told("lowest_pressure", "Lowest pressure at the house while drawing", totals.lowest_pressure, "pressure")
    yield Told("hours_low_pressure", "Below the pressure wanted", totals.low_pressure_hours, "hours")
    yield Told("house_water", "Water to the house", totals.house_water, "volume")
    yield Told("drained_water", "Water to drain", totals.drained_water, "volume")
    yield Told("salt", "Salt", totals.salt, "mass")
    yield Told("energy_lamp", "Electricity of the lamp", totals.energy_lamp, "energy")
    yield Told("energy_pump", "Electricity of the pump, the well's depth left out", totals.energy_pump, "energy")
    yield Told("cartridges", "Cartridges changed", totals.cartridges, "pieces")
    yield Told("lamps", "UV lamps changed", totals.lamps, "pieces")
    yield Told("regenerations", "Regenerations", totals.regenerations, "pieces")
    yield Told("backwashes", "Backwashes", totals.washes, "pieces")
    yield Told("pump_starts", "Starts of the pump", totals.pump_starts, "pieces")


def _some(names: list[str]) -> str:
    """Names as a label has room for them."""
    return ", ".join(names) if len(names) < 3 else f"{names[0]}, {names[1]} and {len(names) - 2} more"


def cuts_told(*years: Year) -> str:
    """What follows a number that rests on power cuts, "" where there are none."""
    return ", illustrative power cuts" if any(year.options.cuts for year in years) else ""


def show(value: float, dimension: str, system: units.System) -> str:
    """A number of a run with its unit."""
    if dimension == "hours":
        return f"{value:.1f} h"
    if dimension == "energy":
        return f"{value:.0f} kWh"
    return f"{value:.0f}" if dimension == "pieces" else units.show(value, dimension, system)


def date_of(year: Year, day: float) -> str:
    """The date of a day of the run, "5 March", with its year from the second on."""
    whole = year.options.start_day + int(day)
    left, names = whole % 365, iter(_MONTHS)
    name, length = next(names)
    while left >= length:
        left -= length
        name, length = next(names)
    later = f", year {whole // 365 + 1}" if whole >= 365 else ""
    return f"{left + 1} {name}{later}"


def title_of(wrong: GoneWrong) -> str:
    """What goes wrong, in a few words."""
    entered = read_code(wrong.code)
    if entered is not None:
        return f"{analyte_label(entered[0])} {'far ' if entered[1] else ''}beyond what may enter the chamber"
    if analyte_of(wrong.code):
        return f"{analyte_label(analyte_of(wrong.code))} beyond its limit at the house"
    known = {condition.key: condition.title for condition in conditions()} | data.load_toml("year/titles.toml")
    known |= {f"{condition.key}{FAR}": f"{condition.title}, far beyond its limit" for condition in conditions()}
    return str(known.get(wrong.code) or wrong.sentence.split(":")[0].split(". ")[0].rstrip("."))


def marked(wrong: GoneWrong) -> str:
    """The same for a picture: with the word of a teaching picture."""
    return title_of(wrong) + (", illustrative" if wrong.illustrative else "")


def when(year: Year, wrong: GoneWrong) -> str:
    """When something goes wrong: a date, or the band of a teaching picture."""
    if wrong.months is not None:
        soon, late = wrong.months
        until = "on, if ever" if late == float("inf") else f"to {late:.1f}"
        return f"month {soon:.1f} {until}, illustrative"
    if wrong.invented:
        return f"in a power cut of month {(wrong.day or 0.0) * DAY / (YEAR / 12):.1f}, illustrative"
    return date_of(year, wrong.day or 0.0)


def is_failing(year: Year) -> bool:
    """Whether anything of severity fail went wrong that does not hang on a teaching picture alone.

    When a power cut comes is invented, but what it does to a train without a valve is not.
    """
    return any(wrong.severity == "fail" and wrong.months is None for wrong in year.gone_wrong)
