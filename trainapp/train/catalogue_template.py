"""A catalogue to begin with: a CSV with a row for each kind of stage, its settings filled in."""

from __future__ import annotations

import csv
import io

from trainapp.spelling import inside
from trainapp.stages import registry
from trainapp.train.catalogue import Catalogue
from trainapp.train.catalogue_reading import FIXED

#: Settings that a cell cannot hold.
_NO_CELL = ("table", "curve")


def template() -> str:
    """A row for each kind: the first item of the program's own catalogue, and the defaults of what it does not set.

    It can be read as it is; columns of other kinds stay empty.
    """
    catalogue = Catalogue.load()
    rows, columns = list[dict[str, str]](), dict.fromkeys(FIXED)
    for name, kind in registry.kinds().items():
        sample = next(iter(catalogue.of_kind(name).values()), None)
        cells: dict[str, object] = {key: spec.default for key, spec in kind.spec.settings.items() if spec.dimension not in _NO_CELL}
        if sample is not None:
            cells |= {key: value for key, value in sample.settings.items() if key in cells}
        told = {key: _cell(value) for key, value in cells.items() if value not in (None, "") and not isinstance(value, list | dict)}
        price = "" if sample is None or sample.amount is None else f"{sample.amount:g}"
        label = f"My {inside(kind.spec.label)}"
        rows.append({"item": f"my-{name.replace('_', '-')}", "kind": name, "label": label, "price": price, **told})
        columns |= dict.fromkeys(told)
    file = io.StringIO()
    writer = csv.DictWriter(file, list(columns), restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return file.getvalue()


def _cell(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


__all__ = ["template"]
