"""What edits do to the plain tree of a document. The tree is the caller's own copy and is changed in place."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from typing import Any

import networkx as nx

from trainapp.train.errors import DocumentError, number, numbered, quoted
from trainapp.train.graph import HOUSE, RESERVED, Graph
from trainapp.train.settings import common_settings

Tree = dict[str, Any]
Ends = tuple[str, str]
Steps = tuple[str | int, ...]


def _stages(tree: Tree) -> list[dict[str, Any]]:
    stages: list[dict[str, Any]] = tree.setdefault("stages", [])
    return stages


def _links(tree: Tree) -> list[dict[str, Any]]:
    links: list[dict[str, Any]] = tree.setdefault("links", [])
    return links


def _stage(tree: Tree, stage_id: str) -> dict[str, Any]:
    for stage in _stages(tree):
        if stage["id"] == stage_id:
            return stage
    raise DocumentError(("stages", stage_id), f"{quoted(stage_id)} is not a stage of this train")


def link_index(tree: Tree, ends: Ends) -> int:
    """Place of a pipe in the list of links.

    Raises:
        DocumentError: there is none.
    """
    for index, row in enumerate(_links(tree)):
        if (row["from"], row["to"]) == tuple(ends):
            return index
    raise DocumentError(("links", f"{ends[0]}>{ends[1]}"), "there is no such pipe")


def _into(tree: Tree, node: str) -> list[dict[str, Any]]:
    return [row for row in _links(tree) if row["to"] == node]


def _out_of(tree: Tree, node: str) -> list[dict[str, Any]]:
    return [row for row in _links(tree) if row["from"] == node]


# Adding -----------------------------------------------------------------------------------------------------------------------


def new_id(tree: Tree, wanted: str) -> str:
    """An id that no stage, outlet or end has: the wanted one, else with a number."""
    taken = {*RESERVED, *tree.get("outlets", {}), *(stage["id"] for stage in _stages(tree))}
    stem, tail = wanted.rstrip("0123456789"), wanted[len(wanted.rstrip("0123456789")) :]
    if not stem.endswith("-") or not tail:
        stem = f"{wanted}-"
    name, number = wanted, 2
    while name in taken:
        name, number = f"{stem}{number}", number + 1
    return name


def entry(
    tree: Tree, kind: str, item: str | None, settings: Mapping[str, Any], beside: Mapping[str, Any], wanted: str | None
) -> dict[str, Any]:
    """A new stage entry with an id of its own."""
    row: dict[str, Any] = {"id": wanted or new_id(tree, kind.replace("_", "-")), "kind": kind}
    if item is not None:
        row["item"] = item
    return row | copy.deepcopy(dict(beside)) | {"settings": copy.deepcopy(dict(settings))}


def insert_entry(tree: Tree, row: dict[str, Any], ends: Ends) -> None:
    """Write a stage after the one that feeds it, so that a file reads in the order of flow."""
    stages = _stages(tree)
    ids = [stage["id"] for stage in stages]
    if ends[0] in ids:
        stages.insert(ids.index(ends[0]) + 1, row)
    elif ends[1] in ids:
        stages.insert(ids.index(ends[1]), row)
    else:
        stages.append(row)


def add_into(tree: Tree, row: dict[str, Any], ends: Ends) -> None:
    """Put a stage into a link: the pipe that was there leads to it, a common one leads on."""
    index = link_index(tree, ends)
    insert_entry(tree, row, ends)
    links = _links(tree)
    links[index : index + 1] = [{**links[index], "to": row["id"]}, {"from": row["id"], "to": ends[1]}]


def add_at_end(tree: Tree, row: dict[str, Any]) -> None:
    """Put a stage in front of the house, behind all that led there."""
    arriving = _into(tree, HOUSE)
    if len(arriving) == 1:
        add_into(tree, row, (arriving[0]["from"], HOUSE))
        return
    _stages(tree).append(row)
    for pipe in arriving:
        pipe["to"] = row["id"]
    link(tree, (row["id"], HOUSE), None)


def add_twin(tree: Tree, stage_id: str, wanted: str | None) -> None:
    """Put a copy of a stage beside it, between the same neighbours; not on the same place of the floor."""
    original = _stage(tree, stage_id)
    twin = {**copy.deepcopy(original), "id": wanted or new_id(tree, stage_id)}
    twin.pop("place", None)
    _stages(tree).insert(_stages(tree).index(original) + 1, twin)
    for pipe in _into(tree, stage_id):
        _links(tree).append({**copy.deepcopy(pipe), "to": twin["id"]})
    for pipe in _out_of(tree, stage_id):
        _links(tree).append({**copy.deepcopy(pipe), "from": twin["id"]})


def paste(tree: Tree, stages: list[dict[str, Any]], links: list[dict[str, Any]]) -> list[str]:
    """Add copies of stages with new ids, and the pipes between them; the ids, in the order of `stages`."""
    renamed: dict[str, str] = {}
    for stage in stages:
        old = stage.get("id")
        if not isinstance(old, str) or not isinstance(stage.get("kind"), str):
            raise DocumentError("edit.stages", "what is pasted is not a stage")
        renamed[old] = new_id(tree, old)
        _stages(tree).append({**copy.deepcopy(stage), "id": renamed[old]})
    for pipe in links:
        ends = pipe.get("from"), pipe.get("to")
        if ends[0] in renamed and ends[1] in renamed:
            _links(tree).append({**copy.deepcopy(pipe), "from": renamed[ends[0]], "to": renamed[ends[1]]})
    return list(renamed.values())


def add_outlet(tree: Tree, name: str, outlet: Mapping[str, Any], after: str) -> None:
    """Add an end beside the house."""
    outlets = tree.setdefault("outlets", {})
    if name in outlets:
        raise DocumentError(("outlets", name), f"{quoted(name)} names two things")
    outlets[name] = copy.deepcopy(dict(outlet))
    link(tree, (after, name), None)


# Taking away ------------------------------------------------------------------------------------------------------------------


def remove(tree: Tree, stage_id: str) -> None:
    """Take a stage away and close the pipe."""
    row = _stage(tree, stage_id)
    heal(tree, stage_id)
    _stages(tree).remove(row)
    item = row.get("item")
    if item is not None and not any(stage.get("item") == item for stage in _stages(tree)):
        tree.get("items", {}).pop(item, None)


def heal(tree: Tree, node: str) -> None:
    """Take a node out of the pipes. Neighbours are joined, but not where that would lay a bare pipe round a stage beside it."""
    links, arriving, leaving = _links(tree), _into(tree, node), _out_of(tree, node)
    rest = [row for row in links if node not in (row["from"], row["to"])]
    ways: Graph = nx.DiGraph((row["from"], row["to"]) for row in rest)
    joined = []
    for before in arriving:
        for behind in leaving:
            source, target = before["from"], behind["to"]
            if source in ways and target in ways and nx.has_path(ways, source, target):
                continue
            pipe = before.get("pipe", behind.get("pipe"))
            joined.append({"from": source, "to": target} | ({"pipe": pipe} if pipe is not None else {}))
    at = min((links.index(row) for row in arriving), default=len(links))
    at -= sum(1 for row in links[:at] if node in (row["from"], row["to"]))
    links[:] = rest[:at] + joined + rest[at:]


def move(tree: Tree, stage_id: str, into: Ends) -> None:
    """Move a stage into another link; into one of its own it stays where it is."""
    row = _stage(tree, stage_id)
    link_index(tree, into)
    if stage_id in into:
        return
    heal(tree, stage_id)
    _stages(tree).remove(row)
    add_into(tree, row, into)


def remove_outlet(tree: Tree, name: str) -> None:
    """Take an end away with the pipes that lead there."""
    if name not in tree.get("outlets", {}):
        raise DocumentError(("outlets", name), f"{quoted(name)} is not an outlet")
    del tree["outlets"][name]
    _links(tree)[:] = [row for row in _links(tree) if row["to"] != name]


# Pipes, settings, names -------------------------------------------------------------------------------------------------------


def link(tree: Tree, ends: Ends, pipe: Any) -> None:
    """Lay a pipe."""
    _links(tree).append({"from": ends[0], "to": ends[1]} | ({"pipe": copy.deepcopy(pipe)} if pipe is not None else {}))


def unlink(tree: Tree, ends: Ends) -> None:
    """Take a pipe away."""
    del _links(tree)[link_index(tree, ends)]


def change_setting(tree: Tree, stage_id: str, key: str, value: Any) -> None:
    """Set a setting of a stage; None takes it away."""
    row = _stage(tree, stage_id)
    beside = key in row and key in common_settings() and key not in row.get("settings", {})
    place = row if beside else row.setdefault("settings", {})
    if value is not None:
        place[key] = copy.deepcopy(value)
        return
    place.pop(key, None)
    if key in common_settings():
        row.pop(key, None)


def rename(tree: Tree, what: str, old: str, new: str) -> None:
    """Change an id and all that speaks of it."""
    if what == "sample":
        _find(tree.get("samples", []), "samples", old)["id"] = new
        if tree.get("design_sample") == old:
            tree["design_sample"] = new
        return
    if what == "stage":
        _stage(tree, old)["id"] = new
    elif old in tree.get("outlets", {}):
        tree["outlets"] = {new if name == old else name: row for name, row in tree["outlets"].items()}
    else:
        raise DocumentError(("outlets", old), f"{quoted(old)} is not an outlet")
    for row in _links(tree):
        row.update({end: new for end in ("from", "to") if row[end] == old})
    for key, rows in (("at", tree.get("samples", [])), ("stage", tree.get("accepted", [])), ("stage", tree.get("log", []))):
        for row in rows:
            if row.get(key) == old:
                row[key] = new


def _find(rows: list[Any], section: str, name: str) -> dict[str, Any]:
    for row in rows:
        if isinstance(row, dict) and row.get("id") == name:
            return row
    raise DocumentError((section, name), f"{quoted(name)} is not there")


def check_shape(tree: Tree) -> None:
    """Refuse what the next edit of a batch could not walk through.

    Raises:
        DocumentError: with the place.
    """
    for section, keys in _ROWS.items():
        rows = tree.get(section, [])
        if not isinstance(rows, list):
            raise DocumentError(section, f"{quoted(rows)} is not a list")
        for index, row in enumerate(rows):
            if not isinstance(row, dict) or not all(isinstance(row.get(key), str) for key in keys):
                raise DocumentError((section, number(index)), f"this needs {' and '.join(keys) or 'to be an object'}")
            if not isinstance(row.get("settings", {}), dict):
                raise DocumentError((section, number(index), "settings"), f"{quoted(row['settings'])} is not an object")
    for section in ("outlets", "items"):
        if not isinstance(tree.get(section, {}), dict):
            raise DocumentError(section, f"{quoted(tree[section])} is not an object")


_ROWS = {"stages": ("id", "kind"), "links": ("from", "to"), "samples": ("id",), "accepted": (), "log": ()}


# Any place --------------------------------------------------------------------------------------------------------------------


def set_value(tree: Tree, path: Steps, value: Any) -> None:
    """Set what stands at a place."""
    place = _walk(tree, path, make=True)
    last = path[-1]
    value = copy.deepcopy(value)
    if isinstance(place, dict):
        place[str(last)] = value
        return
    index = _index(place, last)
    counted = isinstance(last, int) or (last[:1] == "#" and last[1:].isnumeric())
    if counted and (index is None or index > len(place)):
        raise DocumentError(_shown(path), "nothing stands there")
    if index is None or index == len(place):
        place.append(value)
    else:
        place[index] = value


def remove_value(tree: Tree, path: Steps) -> None:
    """Take away what stands at a place."""
    place = _walk(tree, path, make=False)
    last = path[-1]
    key = _index(place, last) if isinstance(place, list) else last
    if key is None or (key not in place if isinstance(place, dict) else not 0 <= int(key) < len(place)):
        raise DocumentError(_shown(path), "nothing stands there")
    del place[key]


def _walk(tree: Tree, path: Steps, make: bool) -> Any:
    """The object or list that holds the last step."""
    if not path:
        raise DocumentError("", "a place needs at least one step")
    place: Any = tree
    for depth, step in enumerate(path[:-1]):
        if isinstance(place, dict):
            if make and step not in place:
                place[str(step)] = [] if depth == 0 and step in _ROWS else {}
            place = place.get(step)
        elif isinstance(place, list):
            index = _index(place, step)
            place = place[index] if index is not None and index < len(place) else None
        if not isinstance(place, dict | list):
            raise DocumentError(_shown(path[: depth + 1]), "nothing stands there")
    return place


def _index(rows: list[Any], step: str | int) -> int | None:
    """Index of a list member by number, by "#n" counted from 1, by id, or for a link by its ends."""
    if isinstance(step, int):
        return step if step >= 0 else None
    if (index := numbered(step)) is not None:
        return index
    tests: tuple[Callable[[dict[str, Any]], object], ...] = (lambda r: r.get("id"), lambda r: f"{r.get('from')}>{r.get('to')}")
    for index, row in enumerate(rows):
        if isinstance(row, dict) and any(test(row) == step for test in tests):
            return index
    return None


def _shown(path: Steps) -> tuple[str, ...]:
    return tuple(number(step) if isinstance(step, int) else step for step in path)
