"""Words as their reader spells them: in the United States, or elsewhere."""

from __future__ import annotations

import os
import re
from functools import cache

#: How the two ways of English begin to differ, British first; the case of the first letter is kept.
_SPELLINGS = (("colour", "color"), ("odour", "odor"), ("litre", "liter"), ("metre", "meter"), ("grey", "gray"), ("aluminium", "aluminum"),
              ("licence", "license"), ("an earthed", "a grounded"), ("earthed", "grounded"))  # fmt: skip
#: What says how the reader spells, the strongest first (POSIX.1-2017, 8.2).
_VARIABLES = ("LC_ALL", "LC_MESSAGES", "LANG")


@cache
def american() -> bool:
    """Whether the reader's locale names the United States, or no territory at all: the program's own words are American."""
    name = next((os.environ[key] for key in _VARIABLES if os.environ.get(key)), "")
    territory = re.match(r"[A-Za-z]{2,3}[_-]([A-Za-z]{2})(?![A-Za-z])", name)
    return territory is None or territory[1].upper() == "US"


@cache
def _other_spelling(as_american: bool) -> tuple[re.Pattern[str], dict[str, str]]:
    # the other way round a meter is an instrument as well
    pairs = dict(_SPELLINGS) if as_american else {"color": "colour", "odor": "odour", "aluminum": "aluminium"}
    return re.compile(rf"(?i)(?<!\w)((?:centi|milli|kilo|dis)?)({'|'.join(pairs)})"), pairs


def spelt(text: str) -> str:
    """A text of the program as the reader's locale spells: "color" in the United States, "colour" elsewhere. Keys never pass here."""
    return spelt_in(text, american())


def spelt_in(text: str, as_american: bool) -> str:
    """The same for a reader who is known."""
    pattern, pairs = _other_spelling(as_american)
    return pattern.sub(lambda found: found[1] + _cased(pairs[found[2].lower()], found[2]), text)


def _cased(word: str, like: str) -> str:
    return word.capitalize() if like[:1].isupper() else word


def inside(text: str) -> str:
    """A text of sentence case as it goes on inside a sentence: "iron filter", but "UV chamber", "pH", "E. coli" and "ABC Water".

    Its first letter becomes small unless its first word is an abbreviation: another capital or a digit in it, or one letter alone.
    """
    first = re.match(r"\w*", text)
    word = first[0] if first else ""
    abbreviated = any(letter.isupper() or letter.isdigit() for letter in word[1:]) or (len(word) == 1 and word != "A")
    return text if abbreviated else text[:1].lower() + text[1:]


def name_inside(name: str) -> str:
    """A name that someone gave, inside a sentence: as it stands where another word has a capital, too ("Lone Alder prices")."""
    return name if any(word[:1].isupper() for word in name.split()[1:]) else inside(name)


def with_article(label: str) -> str:
    """A label inside a sentence, behind its article: "an iron filter", "a UV chamber"."""
    word = inside(label)
    return f"{'an' if word[:1] in 'aeio' else 'a'} {word}"
