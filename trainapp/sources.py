"""The published sources, by key. Every limit, table, formula and default cites one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from trainapp.data import load_toml

STATUSES: tuple[str, ...] = ("published", "secondary", "common practice", "from memory", "computed", "invented")


@dataclass(frozen=True, slots=True)
class Source:
    """One document, or the honest want of one.

    Attributes:
        key: as data and code cite it.
        title: the document.
        edition: issue or year, "" where it has none.
        where: clause, table or page, "" for the whole.
        status_default: one of :data:`STATUSES`: how sure what cites it is, where it does not say otherwise.
        seen: how it was seen, where that needs saying.
    """

    key: str
    title: str
    edition: str
    where: str
    status_default: str
    seen: str

    @property
    def label(self) -> str:
        """The source as a finding prints it."""
        parts = (self.title, self.edition, "" if self.where in self.title else self.where)
        return ", ".join(part for part in parts if part)


@cache
def sources() -> Mapping[str, Source]:
    """Every source by key, in the order of resources/sources.toml.

    Raises:
        ValueError: an entry with an unknown field or status.
    """
    return MappingProxyType({key: _source(key, row) for key, row in load_toml("sources.toml").items()})


def source(key: str) -> Source:
    """The source of that key.

    Raises:
        KeyError: no such source; the message names the key.
    """
    try:
        return sources()[key]
    except KeyError:
        raise KeyError(f"no source has the key {key!r}") from None


def _source(key: str, row: Mapping[str, str]) -> Source:
    unknown = row.keys() - {"title", "edition", "where", "status", "seen"}
    if unknown or row["status"] not in STATUSES:
        raise ValueError(f"resources/sources.toml: {key} has {sorted(unknown) or row['status']}")
    return Source(key, row["title"], row.get("edition", ""), row.get("where", ""), row["status"], row.get("seen", ""))
