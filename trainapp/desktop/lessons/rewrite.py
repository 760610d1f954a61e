"""Changes of a lesson that is written, as far as they go beyond one place: parts that come and go, and what hangs together with them."""

from __future__ import annotations

import copy
from typing import Any

from trainapp.desktop.lessons.tree import At, Tree, fit_answers, get, put

#: What a bench says of its train.
_TRAIN = ("train", "document", "leave_out", "edits", "set")


def set_value(tree: Tree, at: At, value: Any) -> None:
    """Put what was typed or chosen where it belongs; ranges that meet there stay joined."""
    if at[0] == "answers" and at[-1] == "text":
        rename_answer(tree, int(at[1]), str(value))
    elif at[-1] == "below":
        put(tree, at, value)
        put(tree, ("answers", int(at[1]) + 1, "at_least"), value)
    else:
        put(tree, at, None if value == "" and at[0] in ("run", "watch") and at[-1] != "text" else value)


def judge_by(tree: Tree, by: str) -> None:
    """Judge in another way."""
    tree["judge"] = {"by": by} | {key: value for key, value in tree["judge"].items() if key in ("alike", "words")}
    if by == "limit":
        tree["judge"] |= {"limit": "", "side": "at_least"}
    fit_answers(tree)


def rename_answer(tree: Tree, index: int, text: str) -> None:
    """An answer's text, wherever it stands."""
    old = tree["answers"][index].get("text", "")
    tree["answers"][index]["text"] = text
    for part in (tree["point"], *tree.get("tries", ())):
        if part.get("answer") == old:
            part["answer"] = text


def count_answers(tree: Tree, more: bool) -> None:
    """One range more, or one less."""
    answers = tree["answers"]
    if more:
        answers[-1]["below"] = answers[-1].get("at_least", "")
        answers.append({"text": "much more", "at_least": answers[-1]["below"]})
    else:
        answers.pop()
        answers[-1].pop("below", None)
    fit_answers(tree)


def add_second(tree: Tree) -> None:
    """A second train, for now like the first."""
    tree["benches"].append({**copy.deepcopy(tree["benches"][0]), "label": "The other train"})
    fit_answers(tree)


def drop_bench(tree: Tree, index: int) -> None:
    """One train less; nothing is left to compare with."""
    del tree["benches"][index]
    if get(tree, ("judge", "by")) == "compare":
        judge_by(tree, "limit")
    fit_answers(tree)


def take_train(tree: Tree, index: int, name: str) -> None:
    """Another of the lessons' trains."""
    _bare(tree, index)["train"] = name


def take_document(tree: Tree, index: int, text: str) -> None:
    """A train of its own: the text of a document."""
    _bare(tree, index)["document"] = text


def _bare(tree: Tree, index: int) -> Tree:
    bench: Tree = tree["benches"][index]
    for key in _TRAIN:
        bench.pop(key, None)
    return bench


def leave_out(tree: Tree, index: int, stage: str, on: bool) -> None:
    """Take a stage out of a train, or leave it in."""
    bench = tree["benches"][index]
    left = [name for name in bench.get("leave_out", []) if name != stage] + ([stage] if on else [])
    put(tree, ("benches", index, "leave_out"), left or None)


def add_control(tree: Tree, control: Tree) -> bool:
    """Let the class change something; whether it could not be changed already."""
    if any(each["key"] == control["key"] for each in tree.get("controls", ())):
        return False
    tree.setdefault("controls", []).append(copy.deepcopy(control))
    return True


def drop_control(tree: Tree, index: int) -> None:
    """Let the class change one thing less; what was to be tried with it goes, too."""
    gone = tree["controls"].pop(index)["key"]
    if get(tree, ("watch", "over")) == gone:
        tree["watch"].pop("over")
    tree["tries"] = [attempt for attempt in tree.get("tries", []) if gone not in attempt["set"]]


def plain(tree: Tree) -> Tree:
    """The tree as the engine reads it, without parts that are empty."""
    made = copy.deepcopy(dict(tree))
    for part in ("controls", "tries"):
        if not made.get(part):
            made.pop(part, None)
    return made
