"""Where the pipe goes. Expected places are worked by hand from plane trigonometry."""

from __future__ import annotations

import math
from typing import Any

import pytest

from bending.path import Path, centreline
from bending.run import parse
from bending.vectors import Vector
from tests.bending.documents import Document, corner, feature, leg, run

R = (2.625 - 0.706) / (2 - math.pi / 2)
D = 0.706
TAN_22 = math.tan(math.radians(22.5))


def path(document: Document) -> Path:
    return centreline(parse(document))


def close(point: Vector, *wanted: float) -> bool:
    return math.dist(point, wanted) < 1e-9


def tangent(angle: float) -> float:
    return R * math.tan(math.radians(angle) / 2)


@pytest.mark.parametrize(
    ("turn", "way"),
    [("out", (0, 0, 1)), ("left", (0, 1, 0)), ("in", (0, 0, -1)), ("right", (0, -1, 0)), (45, (0, 0.5**0.5, 0.5**0.5))],
)
def test_a_corner_turns_the_way_it_is_told(turn: Any, way: Vector) -> None:
    assert close(path(run(leg(40), corner(90, turn), leg(30))).directions[1], *way)


def test_the_frame_is_carried_through_a_corner_without_twist() -> None:
    """Out of the surface, then left: at the inside corner out has become the new surface's own."""
    walked = path(run(leg(40), corner(90, "out"), leg(40), corner(90, "left"), leg(40)))
    assert close(walked.directions[2], 0, 1, 0)
    assert close(walked.frames[1].u, -1, 0, 0)
    assert close(walked.points[-1], 40, 40, 40)


@pytest.mark.parametrize(
    ("measure", "length"),
    [("centre", 40.0), ("back", 40 - D / 2 * TAN_22), ("inside", 40 + D / 2 * TAN_22)],
)
def test_the_back_of_a_corner_stands_beyond_its_centre_and_the_inside_short_of_it(measure: str, length: float) -> None:
    assert path(run(leg(40), corner(45), leg(40), measure=measure)).points[1][0] == pytest.approx(length)


def test_an_allowance_stops_short_of_the_reference_and_a_negative_one_passes_it() -> None:
    walked = path(run(leg(40), start={"allowance": "1/8"}, end={"allowance": -0.5}))
    assert walked.length == pytest.approx(40 - 0.125 + 0.5)


@pytest.mark.parametrize("end", ["start", "end"])
def test_a_run_left_long_is_longer_by_that(end: str) -> None:
    assert path(run(leg(40), run_long={"end": end, "by": 2})).length == pytest.approx(42)


@pytest.mark.parametrize(
    ("holds", "at_is", "first"),
    [("far", "pi", 60 - 6 / math.tan(math.radians(30))), ("near", "pi", 60.0),
     ("far", "level", 60 - 6 / math.tan(math.radians(30)) - tangent(30)), ("near", "level", 60 + tangent(30))],
)  # fmt: skip
def test_an_offset_holds_the_bend_that_it_is_told_to(holds: str, at_is: str, first: float) -> None:
    one = feature("offset", at=60, rise=6, angle=30, holds=holds, at_is=at_is)
    walked = path(run(leg(120, one)))
    assert close(walked.points[1], first, 0, 0)
    assert close(walked.points[2], first + 6 / math.tan(math.radians(30)), 0, 6)


def test_a_place_from_the_end_is_the_same_place() -> None:
    one = feature("offset", at=60, rise=6, angle=30)
    other = {**one, "at": 60, "from_end": True}
    assert all(
        math.dist(here, there) < 1e-9
        for here, there in zip(*(path(run(leg(120, it))).points for it in (one, other)), strict=True)
    )


def test_a_rolled_offset_goes_to_the_left_of_its_turn() -> None:
    walked = path(run(leg(120, feature("offset", at=60, rise=3, side=4, angle=30))))
    assert close(walked.points[2], 60, 4, 3)
    turned = path(run(leg(120, feature("offset", at=60, rise=3, side=4, angle=30, turn="left"))))
    assert close(turned.points[2], 60, 3, -4)


def test_the_leg_goes_on_at_an_offsets_level() -> None:
    walked = path(run(leg(120, feature("offset", at=60, rise=6, angle=30)), corner(90, "left"), leg(40)))
    assert close(walked.points[-1], 120, 40, 6)


def test_a_saddle_clears_what_it_is_told_to_at_its_centre() -> None:
    """The bend is round: its middle stands R (1/cos(22.5) - 1) inside its point of intersection."""
    walked = path(run(leg(90, feature("saddle3", centre=45, rise=3, angle=45))))
    inside = R * (1 / math.cos(math.radians(22.5)) - 1)
    assert close(walked.points[2], 45, 0, 3 + inside)
    assert walked.points[1][0] == pytest.approx(45 - (3 + inside) / math.tan(math.radians(22.5)))
    assert [bend.angle for bend in walked.bends] == pytest.approx([22.5, 45, 22.5])


def test_a_four_bend_saddle_is_level_between_its_places() -> None:
    one = feature("saddle4", rise=6, angle=30, at_is="level", **{"from": 50, "to": 70})
    bends = path(run(leg(120, one))).bends
    assert bends[1].point[0] + bends[1].tangent == pytest.approx(50)
    assert bends[2].point[0] - bends[2].tangent == pytest.approx(70)


def test_a_box_offset_stands_out_to_the_knockout_at_either_end() -> None:
    ends = [feature("box_offset", at=at, rise=0.375, angle=10, tail=2) for at in ("start", "end")]
    walked = path(run(leg(60, *ends)))
    assert walked.straights[0] == pytest.approx(2)
    assert walked.straights[-1] == pytest.approx(2)
    assert walked.points[2][2] == pytest.approx(-0.375)
    assert close(walked.points[-1], 60, 0, 0)


@pytest.mark.parametrize(("measure", "along"), [("back", 60 - D / 2), ("centre", 60), ("inside", 60 + D / 2)])
def test_a_kicks_corner_stands_centre_to_centre_off_the_legs_line(measure: str, along: float) -> None:
    kick = feature("kick", rise=6, angle=20, turn="left")
    walked = path(run(leg(60, kick), corner(90, "out"), leg(40), measure=measure))
    assert close(walked.points[2], along, 6, 0)
    assert close(walked.points[1], along - 6 / math.tan(math.radians(20)), 0, 0)


def test_a_kick_square_to_its_corners_plane_leaves_the_stub_plumb() -> None:
    kick = feature("kick", rise=6, angle=20, turn="left")
    assert close(path(run(leg(60, kick), corner(90, "out"), leg(40))).directions[-1], 0, 0, 1)


@pytest.mark.parametrize(("turn", "cure"), [("out", 70), ("in", 110)])
def test_a_kick_in_its_corners_plane_is_cured_by_the_corner(turn: str, cure: float) -> None:
    kick = feature("kick", rise=6, angle=20, turn=turn)
    assert close(path(run(leg(90, kick), corner(cure, "out"), leg(40))).directions[-1], 0, 0, 1)


def test_a_kick_at_the_start_brings_the_pipe_on_to_the_line_that_the_corner_names() -> None:
    kick = feature("kick", at="start", rise=6, angle=20, turn="right")
    walked = path(run(leg(60), corner(90, "out"), leg(90, kick)))
    assert close(walked.directions[-1], 0, 0, 1)
    assert close(walked.points[1], 60, 0, 0)
    assert close(walked.points[2], 60, 6, 6 / math.tan(math.radians(20)))


@pytest.mark.parametrize(("turn", "bend"), [("left", 90.0), ("out", 70.0), ("in", 110.0)])
def test_a_corner_beside_a_kick_at_the_start_really_bends_to_the_slope(turn: str, bend: float) -> None:
    """Square to its plane it stays 90. In its plane the slope lies on the side away from the kick's turn: after a
    corner toward out, out looks back along the leg before, so a kick that way began on a slope that leans ahead."""
    kick = feature("kick", at="start", rise=6, angle=20, turn=turn)
    walked = path(run(leg(60), corner(90, "out"), leg(90, kick)))
    assert walked.bends[0].angle == pytest.approx(bend)


def test_an_end_kick_walked_backward_is_a_start_kick() -> None:
    """The same pipe from its other end: the same bends and straights, in the other order."""
    kick = feature("kick", rise=6, angle=20, turn="left")
    onward = path(run(leg(60, kick), corner(90, "out"), leg(40)))
    back = path(run(leg(40), corner(90, "out"), leg(60, {**kick, "at": "start"})))
    assert back.straights == pytest.approx(onward.straights[::-1])
    assert [bend.angle for bend in back.bends] == pytest.approx([bend.angle for bend in onward.bends][::-1])


def test_the_developed_length_is_legs_less_gains() -> None:
    """Each leg 40 to the centre; a 90 takes R (2 - pi/2) off the two of them."""
    assert path(run(leg(40), corner(90), leg(40))).length == pytest.approx(80 - R * (2 - math.pi / 2))


def test_features_may_be_written_in_any_order() -> None:
    one, other = feature("offset", at=40, rise=3, angle=30), feature("saddle3", centre=80, rise=2, angle=45)
    assert path(run(leg(120, one, other))).points == path(run(leg(120, other, one))).points
