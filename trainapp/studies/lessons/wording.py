"""Texts of a lesson with the quantities that they name, in the units of the reader."""

from __future__ import annotations

import re
from collections.abc import Mapping

from trainapp import units
from trainapp.studies.lessons.model import Control, Lesson, Scalar
from trainapp.studies.lessons.numbers import parsed, with_unit
from trainapp.units import System
from trainapp.water.analytes import BY_KEY

BRACES = re.compile(r"\{([^{}]*)\}")
LIMIT = "limit"
#: Kinds of quantity that a limit may be of, the likeliest first where one unit fits several.
_LIMITS = (
    "flow", "pressure", "dose", "fraction", "uvt", "concentration", "hardness", "turbidity", "volume", "mass", "time", "ph", "hours",
    "energy", "pieces",
)  # fmt: skip


def said(lesson: Lesson, text: str, system: System, values: Mapping[str, Scalar] | None = None) -> str:
    """A text with the limit where it has {limit}, and the value of a control where it has that control's key in braces.

    Args:
        text: of scene, question, watch, point or of something to try.
        values: of controls by key; those that are missing stand where the scene has them.
    """
    known = {control.key: control_text(control, (values or {}).get(control.key, control.start), system) for control in lesson.controls}
    known[LIMIT] = limit_text(lesson, system)
    return units.typeset(BRACES.sub(lambda found: known.get(found[1], found[0]), text))


def control_text(control: Control, value: Scalar, system: System) -> str:
    """A value of a control as people read it ("2.5 mg/L"; the text of a choice)."""
    for choice in control.choices:
        if choice.value == value:
            return choice.text
    if isinstance(value, str | bool):
        return str(value)
    return with_unit(units.parse(f"{value:.9g} {control.unit}".rstrip(), control.dimension), control.dimension, system)


def limit_text(lesson: Lesson, system: System) -> str:
    """The limit with its unit; as it is written where its kind cannot be told; "" without one."""
    text, analyte = lesson.judge.limit, BY_KEY.get(lesson.measure.key)
    for dimension in (*([analyte.dimension] if analyte else []), *_LIMITS) if text else ():
        try:
            return with_unit(parsed(text, dimension), dimension, system)
        except units.UnitError:
            continue
    return text


__all__ = ["BRACES", "LIMIT", "control_text", "limit_text", "said"]
