"""Two thousand damaged documents: each is opened or refused with one sentence that names a place; nothing else happens."""

from __future__ import annotations

import json
import random
import time
from typing import Any

import pytest

from trainapp.train.document import Document, DocumentError, dumps, graph, loads, settings_of

from .conftest import FARM

BATCHES, EACH = 8, 250
ODD: list[Any] = [
    None, True, False, 0, -1, 10**17, 1e308, -0.0, "", " ", "nan", "-5 gpm", "1e999 psi", "5 furlongs", "∞ mg/L", "9" * 70, "<", "<-1 mg/L",
    "\x00", "supply", "house", [], {}, [[]], [None], {"id": None}, {"": ""}, [["0 gpm", "0 psi"]], "18 gpg", "71", "0 gpm", "x" * 5000,
    "١٢ gpm", "¼ in",
]  # fmt: skip


def slots(value: Any) -> list[tuple[Any, Any]]:
    """Every (container, key) of a tree."""
    here = [(value, key) for key in (value if isinstance(value, dict) else range(len(value)))]
    return here + [slot for c, k in here if isinstance(c[k], dict | list) for slot in slots(c[k])]


def mutated(dice: random.Random) -> str | bytes:
    tree = json.loads(json.dumps(FARM))
    how = dice.randrange(8)
    if how < 4:
        for _ in range(dice.randint(1, 3)):
            container, key = dice.choice(slots(tree))
            other, name = dice.choice(slots(tree))
            choice = dice.randrange(4)
            if choice == 0 and not isinstance(container, list):
                container[dice.choice(["id", "kind", "yield", "zzz", "settings", "pipe", "count", "drain"])] = dice.choice(ODD)
            elif choice == 1:
                del container[key]
                if not tree:
                    break
            elif choice == 2 and not isinstance(other[name], dict | list):
                container[key] = other[name]
            else:
                container[key] = dice.choice(ODD)
            if not slots(tree):
                break
        return json.dumps(tree)
    text = json.dumps(tree, indent=dice.choice([None, 1]))
    at = dice.randrange(len(text))
    if how == 4:
        return text[:at]
    if how == 5:
        wild = [
            "NaN",
            "-Infinity",
            "1e400",
            "9" * 4400,
            "[" * dice.choice([50, 5000, 60_000]),
            '{"a":' * 2000,
            '"\\udfff"',
            "\ud800",
            "\x00",
            "}",
            '","',
        ]
        return text[:at] + dice.choice(wild) + text[at + dice.randint(0, 4) :]
    if how == 6:
        raw = bytearray(text.encode())
        for _ in range(dice.randint(1, 6)):
            raw[dice.randrange(len(raw))] ^= 1 << dice.randrange(8)
        return bytes(raw)
    length = dice.randint(1, 200)
    return text[:at] + text[at : at + length] * dice.randint(2, 5) + text[at + length :]


@pytest.mark.parametrize("batch", range(BATCHES))
def test_damaged_documents(batch: int, tmp_path: Any) -> None:
    dice = random.Random(batch)
    opened = 0
    for number in range(EACH):
        damaged = mutated(dice)
        started = time.monotonic()
        try:
            document = loads(damaged) if isinstance(damaged, str) else _from_bytes(damaged)
        except DocumentError as error:
            sentence = str(error)
            assert sentence and sentence.isprintable() and len(sentence) < 700, (batch, number, sentence)
        else:
            opened += 1
            assert loads(dumps(document)) == document
            graph(document)
            for stage in document.stages:
                settings_of(stage)
        assert time.monotonic() - started < 5
    assert 0 < opened < EACH


def _from_bytes(raw: bytes) -> Document:
    from trainapp.train.reading import decode

    return loads(decode(raw))
