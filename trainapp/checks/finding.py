"""A finding: one thing a check has to say, with its value, its limit and where the limit comes from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from trainapp.stages.base import Severity

SEVERITIES: tuple[Severity, ...] = ("fail", "caution", "note")


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its dimension, or an interval (`high` None: unbounded); internal units ("none": in `unit`)."""

    low: float
    high: float | None
    dimension: str
    unit: str = ""

    @classmethod
    def of(cls, value: float, dimension: str, unit: str = "") -> Amount:
        return cls(value, value, dimension, unit)


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding of contract section 3.

    Attributes:
        code: stable code for other programs; never on screen.
        severity: fail, caution, note.
        stage: id of the stage or end it is about, "" for the whole train.
        analyte: analyte key or "".
        title: short sentence for lists ("Manganese into the UV chamber").
        message: one plain sentence that a customer understands.
        value, limit: numbers with unit; None where there is none.
        what: what the value is of inside a sentence, "" where the analyte says it ("hardness that it adds").
        source, status: key of the published source of the limit, and how sure it is.
        also_at: further places where the same cause shows.
        cause: key by which findings of one cause are merged.
        cautions: the usual cautions that go with it.
        accepted: the document's acceptance entry where one holds.
        remedies: {"label", "edits"} tried and found to work.
    """

    code: str
    severity: Severity
    stage: str
    title: str
    message: str
    analyte: str = ""
    value: Amount | None = None
    limit: Amount | None = None
    source: str = "common-practice"
    status: str = "common practice"
    also_at: tuple[str, ...] = ()
    cause: str = ""
    cautions: tuple[str, ...] = ()
    accepted: dict[str, Any] | None = None
    remedies: tuple[dict[str, Any], ...] = field(default=())
    what: str = ""
