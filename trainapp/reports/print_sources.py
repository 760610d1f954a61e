"""Sources as print cites them: numbered where they are used, listed once at the end."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp.sources import sources


def label_of(key: str) -> str:
    """A source as it is printed; what is no key of the table is a document's own words."""
    return sources()[key].label if key in sources() else key


class Citations:
    """Numbers of the sources of one document, in the order of their use."""

    def __init__(self) -> None:
        self._numbers: dict[tuple[str, str], int] = {}

    def number(self, key: str, status: str = "") -> str:
        """The number of a source, "" for none; `status` is how sure what cites it is, where that is not the source's own."""
        if not key:
            return ""
        sure = status or (sources()[key].status_default if key in sources() else "")
        return f"{self._numbers.setdefault((key, sure), len(self._numbers) + 1)}"

    def lines(self) -> Iterator[tuple[str, str, str]]:
        """Number, source and how sure it is, in order."""
        for (key, sure), number in self._numbers.items():
            seen = sources()[key].seen if key in sources() else ""
            yield f"{number}", label_of(key) + (f" (seen: {seen})" if seen else ""), sure

    def __bool__(self) -> bool:
        return bool(self._numbers)
