"""Segment bends, return bends and fittings in the path: their geometry against circles and right triangles."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bending.fold import fold
from bending.layout import layout
from bending.problems import Problems
from tests.bending.documents import Document, corner, leg, run

SHOE = 4.48  # of the usual 1/2 EMT shoe of documents.py, nearly; only used to ask for more than it
OD = 0.706  # 1/2 EMT, ANSI C80.3


def swept(radius: float, angle: float = 90, **more: Any) -> Document:
    return run(leg(80), {**corner(angle, "left"), "radius": radius, **more}, leg(80))


def folded(document: Document) -> dict[str, Any]:
    (piece,) = fold(layout(document))["pieces"]
    return piece


@pytest.mark.parametrize(("radius", "shots"), [(20, 15), (24, 18), (36, 15), (10, 5)])
def test_the_straights_between_shots_touch_a_circle_of_the_asked_radius(radius: float, shots: int) -> None:
    """A regular polygon's sides touch its inscribed circle in their middles (Euclid, Elements IV.13)."""
    piece = folded(swept(radius, shots=shots))
    assert len(piece["bends"]) == shots
    centre = (80 - radius, radius, 0)
    corners = [bend["pi"] for bend in piece["bends"]]
    middles = [[(a + b) / 2 for a, b in zip(*pair, strict=True)] for pair in itertools.pairwise(corners)]
    assert [math.dist(middle, centre) for middle in middles] == pytest.approx([radius] * (shots - 1), abs=1e-6)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.floats(8, 30), st.floats(20, 120), st.integers(3, 30))
def test_all_shots_are_alike_and_their_marks_equally_far_apart(radius: float, angle: float, shots: int) -> None:
    try:
        marks = layout(swept(radius, angle, shots=shots))["pieces"][0]["marks"]
    except Problems as found:
        assert {one.code for one in found.problems} <= {"leg_too_short", "too_few_shots", "too_close"}
        return
    assert [mark["angle"] for mark in marks] == pytest.approx([angle / shots] * shots)
    steps = [b["station"] - a["station"] for a, b in itertools.pairwise(marks)]
    # Chord between points of intersection less the shot's own gain: 2 R tan(d/2) - Rs (2 tan(d/2) - d)
    turn, shoe = math.radians(angle / shots), layout(swept(radius, angle, shots=shots))["bender"]["radius"]
    chord = 2 * radius * math.tan(turn / 2) - shoe * (2 * math.tan(turn / 2) - turn)
    assert steps == pytest.approx([chord] * (shots - 1), abs=1e-6)


def test_six_degrees_a_shot_or_less_unless_told() -> None:
    """Common practice, no source."""
    assert len(folded(swept(20))["bends"]) == 15
    assert len(folded(swept(20, 100))["bends"]) == 17


def test_legs_of_a_segment_90_are_measured_to_its_back() -> None:
    """The worked 90 of 48 and 44 to the back, radius 24: the straight left of each is leg - radius - half the outside
    diameter (right triangle)."""
    document = run(leg(48), {**corner(90, "left"), "radius": 24}, leg(44), measure="back")
    points = folded(document)["points"]
    assert points[-1][1] == pytest.approx(44 - OD / 2, abs=1e-6)
    assert max(x for x, _, _ in points) == pytest.approx(48 - OD / 2, abs=1e-6)


def test_of_one_corner_predicted_and_reading_back_say_one_thing() -> None:
    found = layout(swept(20))
    assert [one["what"] for one in found["predicted"]].count("radius") == 1
    assert found["reads"].count("radius in 15 shots") == 1


def test_the_books_marks_stand_beside_the_exact_ones() -> None:
    """NJATC, Conduit Fabrication level 2, lesson 4: radius 24, 18 shots, 37.68 developed, 2.0933 between marks, the
    first leg's straight 48 - 24 - half the outside diameter."""
    document = run(leg(48), {**corner(90, "left"), "radius": 24, "shots": 18}, leg(44), measure="back")
    entries = layout(document)["handbook"]
    assert [entry["mark"] for entry in entries] == ["centre"] * 18
    ats = [entry["at"] for entry in entries]
    assert ats[1] - ats[0] == pytest.approx(2.0933, abs=0.001)
    assert ats[0] - 2.0933 / 2 == pytest.approx(48 - 24 - OD / 2, abs=0.001)


@pytest.mark.parametrize(
    ("item", "at", "code"),
    [
        ({"radius": 2}, "path[1].radius", "radius_too_small"),
        ({"radius": 20, "shots": 2.5}, "path[1].shots", "not_whole"),
        ({"shots": 9}, "path[1].shots", "shots_without_radius"),
        ({"radius": 200}, "path[0].leg", "leg_too_short"),
        ({"radius": 1e300}, "path[1].radius", "too_long"),
    ],
)
def test_a_segment_bend_that_cant_be_is_refused_at_its_place(item: Document, at: str, code: str) -> None:
    with pytest.raises(Problems) as found:
        layout(run(leg(80), {**corner(90, "left"), **item}, leg(80)))
    assert (at, code) in {(one.at, one.code) for one in found.value.problems}


# Return bends


@pytest.mark.parametrize("width", [10, 12.5, 30])
def test_the_legs_of_a_return_bend_stand_its_width_apart(width: float) -> None:
    points = folded(run(leg(40), {"u_bend": width, "turn": "left"}, leg(40)))["points"]
    assert [point[1] for point in points] == pytest.approx([0, 0, width, width], abs=1e-6)
    assert points[-1][0] == pytest.approx(0, abs=1e-6)


def test_a_return_bend_narrower_than_two_radii_is_refused() -> None:
    with pytest.raises(Problems) as found:
        layout(run(leg(40), {"u_bend": 8, "turn": "left"}, leg(40)))
    assert [(one.at, one.code) for one in found.value.problems] == [("path[1].u_bend", "too_narrow")]


def test_a_return_bend_is_two_90s_and_the_straight_between() -> None:
    two = run(leg(40), corner(90, "left"), leg(12), corner(90, "left"), leg(40))
    one = run(leg(40), {"u_bend": 12, "turn": "left"}, leg(40))
    assert folded(one)["points"] == [pytest.approx(point, abs=1e-9) for point in folded(two)["points"]]


# Fittings


def body(**more: Any) -> Document:
    return run(leg(30), {"fitting": "conduit body", "allowance": ["1 1/2", 2], **more}, leg(40))


def test_a_conduit_body_parts_the_run_into_two_pieces_that_stop_short_of_it() -> None:
    pieces = layout(body(corner=90, turn="left"))["pieces"]
    assert [piece["cut_length"] for piece in pieces] == pytest.approx([30 - 1.5, 40 - 2])
    assert all(piece["marks"] == [] for piece in pieces)


def test_the_piece_after_a_turning_body_goes_on_where_the_legs_lines_cross() -> None:
    _, second = fold(layout(body(corner=90, turn="left")))["pieces"]
    assert second["points"] == [pytest.approx([30, 2, 0], abs=1e-9), pytest.approx([30, 40, 0], abs=1e-9)]


def test_a_body_that_goes_straight_on_lies_in_line() -> None:
    _, second = fold(layout(body()))["pieces"]
    assert second["points"][-1] == pytest.approx([70, 0, 0], abs=1e-9)


def test_a_body_ends_the_count_of_degrees() -> None:
    """NFPA 70 (NEC) 2020, 358.26: 360 degrees between pull points."""
    half = [step for _ in range(3) for step in (corner(90, "left"), leg(30))]
    inside = run(leg(30), *half, {"fitting": "conduit body", "allowance": 2}, leg(30), *half)
    through = run(leg(30), *half, corner(5, "left"), leg(30), *half)
    levels = [
        next(check["level"] for check in layout(document)["checks"] if check["code"] == "total_bends")
        for document in (inside, through)
    ]
    assert levels == ["ok", "rule"]


def test_a_factory_elbow_is_bought_and_turns_with_its_own_radius() -> None:
    elbow = {"fitting": "factory elbow", "corner": 90, "turn": "left", "radius": 9, "allowance": 11}
    laid = layout(run(leg(40), elbow, leg(40)))
    first, second = fold(laid)["pieces"]
    assert first["then"]["radius"] == 9
    assert second["points"] == [pytest.approx([40, 11, 0], abs=1e-9), pytest.approx([40, 40, 0], abs=1e-9)]
    assert any("factory elbow" in one["text"] for one in laid["materials"])


@pytest.mark.parametrize(
    ("item", "at", "code"),
    [
        ({"fitting": "elbow"}, "path[1].fitting", "unknown_word"),
        ({"fitting": "conduit body"}, "path[1].allowance", "missing"),
        ({"fitting": "conduit body", "allowance": [1, 2, 3]}, "path[1].allowance", "not_two"),
        ({"fitting": "coupling", "allowance": 1, "turn": "left"}, "path[1].turn", "no_turn"),
        (
            {"fitting": "factory elbow", "corner": 90, "turn": "left", "radius": 9, "allowance": 2},
            "path[1].allowance",
            "allowance_too_short",
        ),
    ],
)
def test_a_fitting_that_cant_be_read_is_refused_at_its_place(item: Document, at: str, code: str) -> None:
    with pytest.raises(Problems) as found:
        layout(run(leg(40), item, leg(40)))
    assert (at, code) in {(one.at, one.code) for one in found.value.problems}
