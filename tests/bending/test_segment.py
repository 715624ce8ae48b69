"""Segment bends: their geometry against circles and right triangles, and that they are spoken of as one corner."""

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


def test_by_the_book_it_is_one_mark_and_a_spacing() -> None:
    """NJATC, Conduit Fabrication level 2, lesson 4: radius 24, 18 shots, 37.68 developed, 2.0933 between marks, the
    first leg's straight 48 - 24 - half the outside diameter."""
    document = run(leg(48), {**corner(90, "left"), "radius": 24, "shots": 18}, leg(44), measure="back")
    (entry,) = layout(document)["handbook"]
    assert (entry["mark"], entry["shots"], entry["angle"]) == ("centre", 18, pytest.approx(90))
    assert entry["space"] == pytest.approx(2.0933, abs=0.001)
    assert entry["at"] - 2.0933 / 2 == pytest.approx(48 - 24 - OD / 2, abs=0.001)


def test_by_the_book_the_next_leg_is_measured_on_from_the_end_of_the_bend() -> None:
    """The same lesson: both straights and the developed length add up, 79.305 for 2 in; so a stub on the far leg of 44
    is marked that much further along: straight, bend, then 44 - 24 - half the diameter to the end."""
    path = [leg(48), {**corner(90, "left"), "radius": 24, "shots": 18}, leg(44), corner(90), leg(30)]
    _, stub = layout(run(*path, measure="back"))["handbook"]
    assert stub["at"] == pytest.approx((48 - 24 - OD / 2) + 37.68 + (44 - 24 - OD / 2) - 5, abs=0.02)


def test_an_angle_that_no_book_has_a_start_for_says_so() -> None:
    (entry,) = layout(swept(20, 60))["handbook"]
    assert (entry["rule"], entry["shots"], "space" in entry) == ("no_rule", 10, False)


@pytest.mark.parametrize(
    ("item", "at", "code"),
    [
        ({"radius": 2}, "path[1].radius", "radius_too_small"),
        ({"radius": 20, "shots": 2.5}, "path[1].shots", "not_whole"),
        ({"shots": 9}, "path[1].shots", "shots_without_radius"),
        ({"radius": 20, "shots": 1}, "path[1].shots", "out_of_range"),
        ({"radius": 200}, "path[0].leg", "leg_too_short"),
        ({"radius": 1e300}, "path[1].radius", "too_long"),
    ],
)
def test_a_segment_bend_that_cant_be_is_refused_at_its_place(item: Document, at: str, code: str) -> None:
    with pytest.raises(Problems) as found:
        layout(run(leg(80), {**corner(90, "left"), **item}, leg(80)))
    assert (at, code) in {(one.at, one.code) for one in found.value.problems}


def test_too_few_shots_for_the_shoe_are_told_how_many_will() -> None:
    bender = {"radius": 4.47, "arrow_lead": 0.2, "largest_angle": 20}
    with pytest.raises(Problems) as found:
        layout({**swept(20, shots=3), "bender": bender})
    (one,) = found.value.problems
    assert (one.at, one.code) == ("path[1].shots", "too_few_shots")
    assert "at least 5 " in one.text
    assert layout({**swept(20, shots=5), "bender": bender})["pieces"]


def test_a_turn_of_more_than_135_is_none_in_many_shots_either() -> None:
    kick = {"kind": "kick", "at": "start", "rise": 12, "angle": 30, "turn": "right"}
    with pytest.raises(Problems) as found:
        layout(run(leg(90), {**corner(120, "left"), "radius": 10}, leg(120, kick)))
    assert ("path[1]", "angle_too_large") in {(one.at, one.code) for one in found.value.problems}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(st.floats(8, 24), st.floats(20, 100), st.integers(2, 20), st.sampled_from(["1/16", "1/32", "1 mm"]))
def test_the_radius_and_the_legs_are_what_the_rounded_marks_fold_up_to(
    radius: float, angle: float, shots: int, tape: str
) -> None:
    """The legs' lines cross where plane geometry says: the first and last straight of the folded stick, made longer."""
    document = {**swept(radius, angle, shots=shots), "tape": tape}
    laid = layout(document)
    told = {one["at"]: one for one in laid["predicted"]}
    points = fold(laid, rounded=True)["pieces"][0]["points"]
    before, after, inset = _crossing(points, angle)
    assert told["path[0].leg"]["difference"] == pytest.approx(before - 80, abs=2e-6)
    assert told["path[2].leg"]["difference"] == pytest.approx(after - 80, abs=2e-6)
    spread = math.tan(math.radians(angle) / 2) - math.tan(math.radians(angle / shots) / 2)
    assert told["path[1].radius"]["difference"] == pytest.approx(inset / spread - radius, abs=2e-6 / spread)


def _crossing(points: list[Any], angle: float) -> tuple[float, float, float]:
    """From each end of a flat stick to where its two straights cross, and the mean of the two ways from there to the
    nearest point of intersection: law of sines."""
    first, last = points[1], points[-2]
    chord, sine = math.dist(first, last), math.sin(math.radians(angle))
    along = math.atan2(last[1] - first[1], last[0] - first[0])
    ahead, past = (chord * math.sin(part) / sine for part in (math.radians(angle) - along, along))
    return math.dist(points[0], first) + ahead, math.dist(points[-1], last) + past, (ahead + past) / 2


def test_a_degree_on_the_whole_bend_makes_it_tighter() -> None:
    """The marks stay, so the length on the stick does: R times the angle is the same (circle)."""
    told = next(one for one in layout(swept(20))["predicted"] if one["what"] == "radius")
    assert told["one_degree"] == pytest.approx(20 - 20 * 90 / 91, rel=0.02)


def test_a_kicks_rise_is_to_where_the_legs_lines_cross() -> None:
    kick = {"kind": "kick", "rise": 6, "angle": 20, "turn": "out"}
    document = run(leg(90, kick), {**corner(90, "left"), "radius": 12}, leg(60))
    laid = layout(document)
    told = next(one for one in laid["predicted"] if one["what"] == "rise")
    points = fold(laid, rounded=True)["pieces"][0]["points"]
    # The bend lies square to the kick: the last leg's height is the corner's own.
    assert told["difference"] == pytest.approx(points[-1][2] - 6, abs=2e-6)


def test_its_finished_radius_is_held_against_the_other_column_of_the_table() -> None:
    """NFPA 70 chapter 9 table 2, 2 in: 9-1/2 one-shot, 12 other bends."""
    shoe = {"raceway": "RMC", "size": "2", "bender": {"radius": 9.5, "arrow_lead": 0}}
    for radius, level in ((11.9, "rule"), (12, "ok")):
        found = [one for one in layout({**swept(radius), **shoe})["checks"] if one["code"] == "radius"]
        assert [(one["level"], one["at"]) for one in found] == [(level, "path[1].radius")]


@pytest.mark.parametrize(("shots", "share", "level"), [(3, "3.5 %", "caution"), (18, "0.095 %", "ok")])
def test_how_far_from_round_it_comes_out_is_told(shots: int, share: str, level: str) -> None:
    """R (1/cos(shot/2) - 1): 3.5 hundredths of R at 3 shots, a tenth of one at 18 (right triangle)."""
    (found,) = [one for one in layout(swept(24, shots=shots))["checks"] if one["code"] == "segment"]
    assert share in found["words"]
    assert found["level"] == level
    assert float(share.split(maxsplit=1)[0]) == pytest.approx(100 * (1 / math.cos(math.pi / 4 / shots) - 1), rel=0.02)


@pytest.mark.parametrize(("more", "level"), [(-0.01, "ok"), (0.01, "caution")])
def test_an_obstruction_before_its_corner_is_measured_from_the_shots(more: float, level: str) -> None:
    """The corner turns off the surface: its centre is 20 before the leg's end and 20 off the pipe's centreline, and
    the obstruction's edge at (70, 1) lies outside that circle (distance between two points). 45 shots are round to
    0.003."""
    gap = math.dist((70, 1), (60, 20 + OD / 2)) - 20 - OD / 2
    edge = {"from": 70, "to": 75, "height": 1, "clear": gap + more}
    document = run({**leg(80), "obstructions": [edge]}, {**corner(90, "out"), "radius": 20, "shots": 45}, leg(80))
    (found,) = [one for one in layout(document)["checks"] if one["code"] == "clearance"]
    assert found["level"] == level
