"""Edits of samples: a result with its method and note, whole samples, and many results at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from trainapp.train.document import Document, Sample
from trainapp.train.edits import Batch, Edit, RemoveValue, SetValue

#: Id of the first sample of a document; further ones get a number.
FIRST = "sample"


def sample_of(document: Document, name: str) -> Sample | None:
    """The sample of that id, None where there is none."""
    return next((sample for sample in document.samples if sample.id == name), None)


def parts_of(raw: Any) -> tuple[str, str, str]:
    """Text, method and note of a result as a document has it."""
    if isinstance(raw, Mapping):
        return str(raw.get("value", "")), str(raw.get("method", "")), str(raw.get("note", ""))
    return ("" if raw is None else str(raw)), "", ""


def written(text: str, method: str, note: str) -> Any:
    """A result as a document writes it: a text alone where there is no more to say."""
    more = {key: value for key, value in (("method", method), ("note", note)) if value}
    return {"value": text, **more} if more else text


def set_result(document: Document, name: str, key: str, **parts: str) -> Edit:
    """Change `text`, `method` or `note` of one result; an empty text takes the result away. Makes the sample where there is none."""
    sample = sample_of(document, name)
    if sample is None:
        return add_sample(name or FIRST, {key: written(parts.get("text", ""), parts.get("method", ""), parts.get("note", ""))})
    text, method, note = parts_of(sample.results.get(key))
    text, method, note = parts.get("text", text), parts.get("method", method), parts.get("note", note)
    path = ("samples", name, "results", key)
    return SetValue(path=path, value=written(text, method, note)) if text else RemoveValue(path=path)


def set_results(document: Document, name: str, texts: Mapping[str, str]) -> Edit:
    """Write many results as one step; methods and notes of those that were there stay."""
    sample = sample_of(document, name)
    if sample is None:
        return add_sample(name or FIRST, dict(texts))
    edits = [set_result(document, name, key, text=text) for key, text in texts.items()]
    return Batch(edits=edits, name=f"Paste {len(edits)} result{'s' * (len(edits) != 1)}")  # type: ignore[arg-type]


def add_sample(name: str, results: Mapping[str, Any], like: Sample | None = None) -> Edit:
    """A new sample, taken where another was."""
    place = like.word("at") if like is not None else "supply"
    return SetValue(path=("samples", name), value={"id": name, "at": place, "results": dict(results)})


def remove_sample(document: Document, name: str) -> Edit:
    """Take a sample away; where it was the design water, the worst of the others is."""
    edits: list[Edit] = [RemoveValue(path=("samples", name))]
    if document.design_sample == name:
        edits.insert(0, SetValue(path=("design_sample",), value="worst"))
    return Batch(edits=edits, name=f"Remove sample {name}")  # type: ignore[arg-type]


def free_name(taken: Sequence[str], wanted: str = FIRST) -> str:
    """An id that no sample has."""
    return next(name for name in (wanted, *(f"{wanted}-{i}" for i in range(2, len(taken) + 3))) if name not in taken)
