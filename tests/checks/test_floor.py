"""Places on the floor: through a wall, in one place, in the way of service; silent where there is room."""

from __future__ import annotations

from typing import Any

from tests.checks.build import FINE, found, train, uv
from tests.train.trains import stage
from trainapp.checks.finding import Finding
from trainapp.train.evaluation import Evaluation

BED = stage("bed", "carbon_bed", tank_diameter="10 in", bed_depth="36 in")
ROOM = {"width": "12 ft", "height": "9 ft"}


def placed(width: str = "12 ft", **x: str) -> Evaluation:
    def at(entry: dict[str, Any]) -> dict[str, Any]:
        return {**entry, "place": {"x": x[entry["id"]]}} if entry["id"] in x else entry

    return train([at(BED), at(FINE), at(uv())], room={**ROOM, "width": width})


def fits(evaluation: Evaluation) -> list[Finding]:
    return found(evaluation, "room-fit")


def test_with_room_between_them_nothing_is_said() -> None:
    assert fits(placed(bed="3 ft", fine="5 ft", uv="8 ft")) == []
    assert fits(placed(bed="0.5 ft", uv="11 ft")) == []


def test_two_in_one_place() -> None:
    (one,) = fits(placed(bed="3 ft", fine="3.4 ft", uv="8 ft"))
    assert one.severity == "caution" and {one.stage, *one.also_at} == {"bed", "fine"}
    assert one.title == "The carbon bed and the sediment cartridge stand in one place"
    # 10 in of tank and 7 in of housing (4.5 in and 2.5 in of its head): 8.5 in from middle to middle they just clear each other.
    assert fits(placed(bed="3 ft", fine="45 in", uv="8 ft")) == []


def test_through_a_wall() -> None:
    (right,) = fits(placed(bed="3 ft", fine="5 ft", uv="12 ft"))
    assert right.stage == "uv" and "through the right wall" in right.message
    (left,) = fits(placed(bed="0.2 ft", fine="5 ft", uv="8 ft"))
    assert left.stage == "bed" and "2.6 in through the left wall" in left.message
    assert left.value is not None and left.limit is not None and left.value.low < left.limit.low == 0.0


def test_in_the_way_of_service() -> None:
    """A tank under a housing whose cartridge has to come down: they do not touch, but the cartridge does not come out."""
    low = stage("feed", "oxidant_feed", oxidant="chlorine", dose="1 mg/L", height="22.5 in", width="12 in")
    evaluation = train(
        [{**low, "place": {"x": "5 ft"}}, {**FINE, "place": {"x": "5 ft"}}, uv()],
        room=ROOM,
        water={"iron": "0.5 mg/L", "iron_dissolved": "0.5 mg/L"},
    )
    (one,) = fits(evaluation)
    assert one.stage == "fine" and one.also_at == ("feed",)
    assert "changing its cartridge" in one.message


def test_without_places_nothing_is_judged_here() -> None:
    assert fits(train([BED, FINE, uv()], room=ROOM)) == []


def test_own_places_are_judged_instead_of_a_row_side_by_side() -> None:
    """A housing may hang over a low tank: what would be too wide in a row fits the room as it is placed."""
    low = stage("feed", "oxidant_feed", oxidant="chlorine", dose="1 mg/L", height="18 in", width="12 in")
    stages = [low, FINE, uv()]
    water = {"iron": "0.5 mg/L", "iron_dissolved": "0.5 mg/L"}
    assert [f.title for f in fits(train(stages, room={"width": "2.5 ft"}, water=water))] == ["The train is too wide for the room"]
    where = {"feed": "0.6 ft", "fine": "0.6 ft", "uv": "2 ft"}
    own = [{**entry, "place": {"x": where[entry["id"]]}} for entry in stages]
    assert fits(train(own, room={"width": "2.5 ft"}, water=water)) == []
