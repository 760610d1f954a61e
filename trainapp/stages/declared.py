"""Treatment that is declared, not modelled: shares removed as given. It never counts as disinfection and always says what it is."""

from __future__ import annotations

from collections.abc import Mapping

from trainapp.dimensions import DAY, YEAR
from trainapp.hydraulics.devices import flow_coefficient
from trainapp.hydraulics.elements import Element
from trainapp.stages._figures import measured
from trainapp.stages.base import Chore, Duty, Figure, Remark, Settings, Stage
from trainapp.stages.leaving import SYMBOLS, inside
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Working
from trainapp.water.analytes import BY_KEY, PARTICLE_ROWS, ROW_INDEX
from trainapp.water.stream import Stream

#: Living things: no declaration removes them.
BACTERIA = frozenset({"total_coliform", "e_coli", "iron_bacteria"})
#: Not amounts of anything, so no share of them can go.
_NOT_AMOUNTS = frozenset({"ph", "temperature", "uvt", "uvt_filtered", "settles_overnight"})
#: Analytes that are carried as several rows, and hardness with what it is made of.
_ROWS_OF: Mapping[str, tuple[str, ...]] = {
    "iron": ("iron_dissolved", "iron_particulate"),
    "manganese": ("manganese_dissolved", "manganese_particulate"),
    "turbidity": PARTICLE_ROWS,
    "turbidity_filtered_5um": PARTICLE_ROWS[:3],
    "hardness": ("hardness", "calcium", "magnesium"),
}
#: Analytes of which the same share goes with another, and the whole that another is a part of.
_PARTS_OF: Mapping[str, tuple[str, ...]] = {
    "iron": ("iron_dissolved",), "manganese": ("manganese_dissolved",), "turbidity": ("turbidity_filtered_5um",),
    "hardness": ("calcium", "magnesium"),
}  # fmt: skip
_WHOLE_OF: Mapping[str, str] = {"iron_dissolved": "iron", "manganese_dissolved": "manganese", "turbidity_filtered_5um": "turbidity"}
_SIZE = (0.35, 0.45)  # m, of a box that nobody described


@register
class Declared(Stage):
    """Multiplies the named analytes by what is left of them, in both readings alike; any other row passes."""

    spec = load_spec("declared")

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        self._shares: Mapping[str, float] = settings.get("removal") or {}
        self._used = {key: share for key, share in self._shares.items() if _removable(key)}
        taken = {part: key for key in self._used for part in (key, *_PARTS_OF.get(key, ()))}
        self.laws = {part: (f"{SYMBOLS[part]}_in · (1 − R_{SYMBOLS[key]})", "document") for part, key in taken.items()} | {
            _WHOLE_OF[key]: (f"{SYMBOLS[_WHOLE_OF[key]]}_in − R_{SYMBOLS[key]} · {SYMBOLS[key]}_in", "document")
            for key in self._used
            if key in _WHOLE_OF and _WHOLE_OF[key] not in self._used
        }

    @property
    def name(self) -> str:
        """What it is, in the document's words."""
        return self.settings.word("name")

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        out = water.copy()
        for key, share in self._used.items():
            label = inside(BY_KEY[key])
            said, symbol = f"share of {label} that it is said to take", f"R_{SYMBOLS[key]}"
            taken = w.step(symbol, said, share, "fraction", source="document", result=f"removal_{key}")
            left = w.step(f"1 − {symbol}", f"share of {label} that is left", 1.0 - taken, "fraction", formula=f"1 − {symbol}")
            out.scale(_ROWS_OF.get(key, (key,)), left)
        remarks.append(self._not_modelled())
        remarks.extend(self._ignored())
        return out

    def _not_modelled(self) -> Remark:
        said = ", ".join(f"{inside(BY_KEY[key])} {100 * share:g} %" for key, share in self._used.items()) or "nothing"
        return Remark(
            "declared", "note", f"{self.name} is declared, not modelled",
            f"{self.name} is taken at its word ({said}); ask for test results of the very device, and test the water behind it.",
            source="document",
        )  # fmt: skip

    def _ignored(self) -> list[Remark]:
        found = []
        for key in self._shares.keys() - self._used.keys():
            alive = key in BACTERIA
            label = inside(BY_KEY[key]) if key in BY_KEY else key
            why = "declared treatment never counts as disinfection" if alive else "it is not an amount that a share can be taken from"
            found.append(Remark(
                "declared-ignored", "caution" if alive else "note", f"Declared removal of {label} is not counted",
                f"What {self.name} is said to do to {label} is not counted: {why}.",
                analyte=key if key in BY_KEY else "", source="document",
            ))  # fmt: skip
        return sorted(found, key=lambda remark: remark.title)

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        return (Chore("Serve it as its maker asks, and test the water behind it", YEAR / DAY),)

    def losses(self, cold: float) -> tuple[Element, Element]:
        ports = flow_coefficient(self.spec.constants["cv"])
        return ports, ports

    def figure(self) -> Figure:
        width, height = _SIZE
        return measured(Figure("box", width, height), self.settings)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("name", self.name, "text"),)


def _removable(key: str) -> bool:
    return key in BY_KEY and key not in BACTERIA and key not in _NOT_AMOUNTS and all(row in ROW_INDEX for row in _ROWS_OF.get(key, (key,)))
