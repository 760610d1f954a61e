"""Numbers as the reader's locale writes them, on the screen alone.

Texts are made with a point, whoever reads them: files, exports and paper keep it. What a widget shows passes through :func:`local` last.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache

from PySide6.QtCore import QLocale

from trainapp.sources import sources

#: A number that stands by itself, its thousands grouped by commas or not: no part of a name, a version, a date or a file.
_NUMBER = r"(?<![\w.,/\-])(?P<whole>\d{1,3}(?:,\d{3})+|\d+)(?P<part>\.\d+)?(?![\w(]|\.\w|,\d)"
#: Between the digit groups of a long number (ISO 80000-1, 7.3.1).
_GROUPS = re.compile("(?<=[0-9])\u202f(?=[0-9]{3}(?![0-9]))")
#: Numbers of clauses and tables.
_CLAUSE = r"\b(?:CFR|NR|[Cc]ode|[Tt]ables?|[Cc]lause|[Ss]ection|[Cc]hapter|[Pp]age|[Vv]ersion)[ \u202f]\d[\d.]*"


def local(text: str) -> str:
    """A shown text with the decimal sign and the digit groups of the application's locale; what cites a source is left as it is."""
    locale = QLocale()
    point, group = locale.decimalPoint(), locale.groupSeparator()
    # other digits than ours would need all of a text's numbers, dates too
    if locale.zeroDigit() != "0":
        return text
    if (point, group) != (".", ","):
        text = _written(text, point, group)
    return _GROUPS.sub(group, text) if "\u202f" in text else text


@lru_cache(maxsize=4096)
def _written(text: str, point: str, group: str) -> str:
    def one(found: re.Match[str]) -> str:
        if found["whole"] is None:
            return found[0]
        return found["whole"].replace(",", group) + (found["part"] or "").replace(".", point)

    return _pattern().sub(one, text)


@cache
def _pattern() -> re.Pattern[str]:
    cited = {text for source in sources().values() for text in (source.label, source.title) if re.search(r"\d[.,]\d", text)}
    kept = sorted(map(re.escape, cited), key=len, reverse=True)
    return re.compile("|".join((*kept, _CLAUSE, _NUMBER)))


__all__ = ["local"]
