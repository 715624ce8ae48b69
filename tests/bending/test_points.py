"""Points of a model to a run: what is laid out folds back up to the same points."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bending.fold import fold
from bending.layout import layout
from bending.points import UNITS, from_points, of_document, read_csv
from bending.problems import Problems
from bending.vectors import Frame, Vector, add
from tests.bending.documents import HALF_INCH

HEAD = {"raceway": "EMT", "size": "1/2", "bender": HALF_INCH, "tag": "M-1"}


def in_the_model(place: Vector, frame: Frame, origin: Vector) -> Vector:
    x, y, z = place
    return add(add(add(origin, frame.t, x), frame.left, y), frame.u, z)


@st.composite
def polylines(draw: st.DrawFn) -> list[list[float]]:
    """Straights of 40 in and more, turning by 1 to 125 degrees in any direction."""
    count = draw(st.integers(2, 9))
    places = [[draw(st.floats(-500, 500)) for _ in range(3)]]
    way = _unit([draw(st.floats(-1, 1)) for _ in range(3)])
    for _ in range(count - 1):
        size = draw(st.floats(40, 200))
        places.append([at + size * along for at, along in zip(places[-1], way, strict=True)])
        way = _turned(way, draw(st.floats(1, 125)), draw(st.floats(0, 360)))
    return places


def _unit(one: list[float]) -> list[float]:
    size = math.hypot(*one)
    return [1.0, 0.0, 0.0] if size < 0.1 else [value / size for value in one]


def _turned(way: list[float], angle: float, around: float) -> list[float]:
    least = min(range(3), key=lambda axis: abs(way[axis]))
    aside = [float(axis == least) for axis in range(3)]
    share = sum(a * b for a, b in zip(aside, way, strict=True))
    one = _unit([a - share * b for a, b in zip(aside, way, strict=True)])
    other = [
        way[1] * one[2] - way[2] * one[1], way[2] * one[0] - way[0] * one[2], way[0] * one[1] - way[1] * one[0]
    ]  # fmt: skip
    turn, bend = math.radians(around), math.radians(angle)
    inside = [math.cos(turn) * a + math.sin(turn) * b for a, b in zip(one, other, strict=True)]
    return [math.cos(bend) * a + math.sin(bend) * b for a, b in zip(way, inside, strict=True)]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(polylines(), st.sampled_from(sorted(UNITS)))
def test_the_laid_out_run_folds_back_up_to_the_points(points: list[list[float]], unit: str) -> None:
    given_in = [[value / UNITS[unit] for value in point] for point in points]
    found = from_points(given_in, unit, **HEAD)
    folded = [tuple(place) for piece in fold(layout(found.document))["pieces"] for place in piece["points"]]
    assert len(folded) == len(points)
    for place, point in zip(folded, points, strict=True):
        assert math.dist(in_the_model(place, found.frame, found.origin), point) < 1e-6


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(polylines(), st.data())
def test_a_larger_radius_leads_to_the_same_end(points: list[list[float]], data: st.DataObject) -> None:
    bent = [[*point, data.draw(st.none() | st.floats(6, 12))] for point in points]
    try:
        found = from_points(bent, **HEAD)
        laid = layout(found.document)
    except Problems as refused:
        assert {one.code for one in refused.problems} <= {"wont_fit", "too_close", "leg_too_short"}
        return
    end = fold(laid)["pieces"][-1]["points"][-1]
    assert math.dist(in_the_model(end, found.frame, found.origin), points[-1]) < 1e-6


def test_an_offset_in_a_model_is_two_corners_on_the_same_pipe() -> None:
    # tan 30: 4 up over 6.9282 along
    places = [[0, 0, 0], [40, 0, 0], [40 + 4 / math.tan(math.radians(30)), 0, 4], [90, 0, 4]]
    points = layout(from_points(places, **HEAD).document)["pieces"][0]
    offset = {"kind": "offset", "at": 40, "holds": "near", "rise": 4, "angle": 30}
    asked = layout({**HEAD, "format": "run/1", "path": [{"leg": 90, "features": [offset]}]})["pieces"][0]
    assert points["cut_length"] == pytest.approx(asked["cut_length"], abs=1e-6)
    for one, other in zip(points["marks"], asked["marks"], strict=True):
        assert (one["station"], one["roll"], one["angle"]) == pytest.approx(
            (other["station"], other["roll"], other["angle"]), abs=1e-6
        )


def test_corners_that_have_no_room_are_refused_at_their_points() -> None:
    with pytest.raises(Problems) as found:
        of_document({**HEAD, "points": [[0, 0, 0], [0, 0, 0], [40, 0, 0], [40, 3, 0], [80, 3, 0]]})
    assert {one.at for one in found.value.problems} <= {"points[2]", "points[3]"}


def test_a_radius_that_this_shoe_can_t_make_is_refused_at_its_point() -> None:
    with pytest.raises(Problems) as found:
        of_document({**HEAD, "points": [[0, 0, 0], [40, 0, 0, 2], [40, 50, 0]]})
    assert [(one.at, one.code) for one in found.value.problems] == [("points[1]", "radius_too_small")]


def test_a_stub_in_a_model_is_the_stub_that_a_foreman_asks_for() -> None:
    found = from_points([[0, 0, 0], [0, 0, 20], [60, 0, 20]], **HEAD)
    assert [step.get("leg", step.get("corner")) for step in found.document["path"]] == pytest.approx([20, 90, 60])


def test_points_that_say_nothing_are_left_out_and_named() -> None:
    found = from_points([[0, 0, 0], [0, 0, 0], [30, 0, 0], [60, 0, 0], [60, 40, 0]], **HEAD)
    assert found.left_out == (1, 2)
    assert [step["leg"] for step in found.document["path"][::2]] == [60, 40]


def test_out_is_up_unless_the_first_leg_goes_up() -> None:
    assert from_points([[0, 0, 0], [9, 0, 0]], **HEAD).frame.u == (0, 0, 1)
    assert from_points([[0, 0, 0], [0, 0, 9]], **HEAD).frame.u == (1, 0, 0)


@pytest.mark.parametrize(
    ("points", "unit", "at", "code"),
    [
        ([[0, 0, 0]], "in", "points", "too_few_points"),
        ([[0, 0, 0], [0, 0, 0]], "in", "points", "too_few_points"),
        ([[0, 0, 0], [1, 2]], "in", "points[1]", "not_a_point"),
        ([[0, 0, 0], [1, 2, "3"]], "in", "points[1]", "not_a_point"),
        ([[0, 0, 0], [1, 2, 3, 0], [4, 9, 6]], "in", "points[1]", "not_positive"),
        ([[0, 0, 0], [1, 2, 10**400]], "in", "points[1]", "not_finite"),
        ([[0, 0, 0], [1, 2, math.nan]], "in", "points[1]", "not_finite"),
        ([[0, 0, 0], [1, 2, 1e300]], "in", "points[1]", "too_far"),
        ([[0, 0, 0], [1, 2, 3]], "cubits", "unit", "unknown_word"),
        ([[0, 0, 0], [0, 0, 0], [50, 0, 0], [0, 1, 0]], "in", "points[2]", "angle_too_large"),
        ([[0, 0, 0], [500, 0, 0], [1000, 1, 0]], "in", "points[1]", "angle_too_small"),
        ([[0, 0, n] for n in range(501)], "in", "points", "too_many"),
    ],
)
def test_points_that_make_no_run_are_refused_at_their_place(points: list, unit: str, at: str, code: str) -> None:
    with pytest.raises(Problems) as found:
        from_points(points, unit, **HEAD)
    assert [(one.at, one.code) for one in found.value.problems] == [(at, code)]


@pytest.mark.parametrize(
    "text",
    ["X, Y, Z\n1,2,3\n4,5,6\n", "1,2,3\n4,5,6", "name,z,y,x\na,3,2,1\nb,6,5,4\n", "\ufeffx,y,z\r\n1,2,3\r\n4,5,6"],
)
def test_csv_is_read_with_or_without_a_heading(text: str) -> None:
    assert read_csv(text) == [[1, 2, 3], [4, 5, 6]]


def test_a_row_that_is_no_point_is_named() -> None:
    with pytest.raises(Problems) as found:
        read_csv("x,y,z\n1,2,3\n4,five,6\n")
    assert [(one.at, one.code) for one in found.value.problems] == [("points[1]", "not_a_point")]


def test_a_column_called_radius_is_the_fourth_number() -> None:
    assert read_csv("x,y,z,Radius\n1,2,3,\n4,5,6,24\n7,8,9\n") == [[1, 2, 3], [4, 5, 6, 24], [7, 8, 9]]


def test_ever_so_many_rows_are_too_many_points() -> None:
    with pytest.raises(Problems) as found:
        from_points(read_csv("1,2,3\n" * 100_000), **HEAD)
    assert found.value.problems[0].code == "too_many"
