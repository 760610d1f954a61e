"""Writing a price list, TOML or CSV, so that reading it gives the same list."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from trainapp.studies.cost.prices import PriceList
from trainapp.studies.cost.rows import COLUMNS, Row

_ALSO = ("note", "source", "status")


def toml_text(prices: PriceList) -> str:
    """The list as TOML."""
    parts = ['format = "trainapp/prices"\nversion = 1\n', "[list]\n" + "".join(_pair(key, value) for key, value in prices.general.items())]
    parts += [f"[[{row.section}]]\n" + "".join(_pair(key, value) for key, value in _columns(row).items()) for row in prices.rows]
    return "\n".join(parts)


def csv_text(prices: PriceList) -> str:
    """The list as CSV: rows of the section "list" hold the general figures."""
    names = dict.fromkeys(name for needed, more in COLUMNS.values() for name in (*needed, *more))
    head = ["section", *dict.fromkeys(["item", "value", *names, *_ALSO])]
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, head, lineterminator="\r\n", restval="")
    writer.writeheader()
    for key, value in prices.general.items():
        writer.writerow({"section": "list", "item": key, "value": ", ".join(value) if isinstance(value, list) else _plain(value)})
    for row in prices.rows:
        writer.writerow({"section": row.section, **{key: _cell(value) for key, value in _columns(row).items()}})
    return text.getvalue()


def where_text(where: object) -> str:
    """Conditions of a row as one cell: "length=20 in; diameter=4.5 in"."""
    return "; ".join(f"{key}={value}" for key, value in where.items()) if isinstance(where, Mapping) else str(where or "")


def _columns(row: Row) -> dict[str, Any]:
    """Columns of a row in the order of its section, as they were read."""
    needed, more = COLUMNS[row.section]
    return {key: row.raw[key] for key in (*needed, *more, *_ALSO) if row.raw.get(key) not in (None, "", {})}


def _cell(value: object) -> str:
    return where_text(value) if isinstance(value, Mapping) else _plain(value)


def _plain(value: object) -> str:
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def _pair(key: str, value: object) -> str:
    return f"{key} = {_toml(value)}\n"


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {_toml(part)}' for key, part in value.items())} }}"
    if isinstance(value, Iterable) and not isinstance(value, str):
        return f"[{', '.join(_toml(part) for part in value)}]"
    # a basic string of TOML is written as JSON writes one
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


__all__ = ["csv_text", "toml_text", "where_text"]
