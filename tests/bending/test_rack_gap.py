"""Neighbours in a rack keep their distance: measured between what their sticks fold up to, not by the formula."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from bending.layout import layout
from bending.problems import Problems
from bending.run import parse
from tests.bending.documents import HALF_INCH, ONE_INCH, THREE_QUARTER, Document, corner, feature, leg, run, runs
from tests.bending.racks import away, beside, least_gaps, near_its_own, offsets, pieces

# A shot of a segment bend stands this much outside its radius at the most, in the racks here: (R - Rs) (1/cos 3 - 1).
BULGE = 0.03
# A tenth of an inch of an arc of 4 in or more passes so far inside it.
CHORD = 4e-4
often = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


def solved(document: Document) -> dict[str, Any]:
    """A rack's answer; where one of its pipes has no room, that is another test's concern."""
    try:
        return layout(document)
    except Problems:
        assume(False)
        raise


def apart(answer: dict[str, Any], reach: int = 2) -> list[list[Any]]:
    """For each pair of neighbours, part by part, how far the one is from the other."""
    lines = [pieces(one, start) for one, start in zip(answer["runs"], offsets(answer), strict=True)]
    return [near_its_own(one, other, reach) for one, other in pairwise(lines)]


def twists(document: Document) -> bool:
    """Whether a kick at a leg's start turns out of its corner's plane: its slope then meets the leg before and its own
    leg where it must, which is nearer than the spacing or further than it."""
    try:
        asked = parse(document)
    except Problems:
        return False
    beside_corners = zip(asked.corners, asked.legs[1:], strict=True)
    kicks = [(one.turn, kick.turn) for one, leg in beside_corners if (kick := leg.kick("start"))]
    return any(abs(math.sin(math.radians(one - other))) > 1e-6 for one, other in kicks)


UNTWISTED = runs().filter(lambda document: not twists(document))


@often
@given(UNTWISTED, st.floats(2.5, 5), st.sampled_from(["left", "right"]))
def test_neighbours_of_one_size_are_never_nearer_than_their_spacing_nor_further_than_a_bend_opens(
    document: Document, spacing: float, side: str
) -> None:
    answer = solved(beside(document, spacing, side))
    marks = in_order(answer["runs"][0])
    places = [mark["feature"] for mark in marks]
    for parts in apart(answer):
        assert min(float(part.min()) for part in parts) > spacing - CHORD
        for part, mark in zip(parts[1::2], marks, strict=True):
            shot = places.count(mark["feature"]) > 1 and "features" not in mark["feature"]
            assert shot or part.max() <= spacing / math.cos(math.radians(mark["angle"] / 2)) + 1e-3


@often
@given(UNTWISTED, st.floats(2.5, 5), st.sampled_from(["left", "right"]))
def test_neighbours_of_one_size_are_their_spacing_apart_along_every_straight(
    document: Document, spacing: float, side: str
) -> None:
    answer = solved(beside(document, spacing, side))
    lines = [pieces(one, start) for one, start in zip(answer["runs"], offsets(answer), strict=True)]
    for one, other in pairwise(lines):
        for number in outside_of_corners(answer["runs"][0]):
            found = [off_line(spot, one[2 * number]) for spot in other[2 * number][[0, -1]]]
            assert found == pytest.approx([spacing] * 2, abs=1e-6)


def outside_of_corners(laid: dict[str, Any]) -> list[int]:
    """Numbers of the straights that don't lie within a corner bent in shots."""
    places = [mark["feature"] for mark in in_order(laid)]
    within = {n + 1 for n, pair in enumerate(pairwise(places)) if pair[0] == pair[1] and "features" not in pair[0]}
    return [number for number in range(len(places) + 1) if number not in within]


def in_order(laid: dict[str, Any]) -> list[dict[str, Any]]:
    """Its marks from its start on, whichever end they are measured from."""
    return sorted(laid["pieces"][0]["marks"], key=lambda mark: float(mark["station"]))


def off_line(spot: Any, straight: Any) -> float:
    """How far a place is from the line that a straight lies in."""
    way = (straight[-1] - straight[0]) / np.linalg.norm(straight[-1] - straight[0])
    return float(np.linalg.norm(np.cross(spot - straight[0], way)))


@pytest.mark.parametrize("angle", [15, 30, 45])
def test_a_kick_in_the_rack_s_plane_after_a_corner_square_to_it_closes_the_gap_and_says_so(angle: float) -> None:
    """Both its legs must lie flat, a spacing apart, so its slope lies the cosine of its angle apart."""
    kick = feature("kick", at="start", rise=10, angle=angle, turn="left")
    answer = layout(beside(run(leg(60), corner(90, "out"), leg(110, kick)), 3))
    assert [gap["gap"] + 0.706 for gap in answer["gaps"]] == pytest.approx([3 * math.cos(math.radians(angle))] * 2)
    assert checks(answer) == [("rack_gap_closes", "caution")] * 2


IN_PLANE = [
    run(leg(60), corner(angle, turn), leg(70)) for angle in (22.5, 45, 90, 120) for turn in ("left", "right")
] + [
    run(leg(90, feature("offset", at=50, rise=6, angle=30, turn="left"))),
    run(leg(90, feature("offset", at=50, rise=4, side=5, angle=45))),
    run(leg(110, feature("saddle3", centre=50, rise=5, angle=60, turn="right"))),
    run(leg(120, feature("saddle4", rise=5, angle=30, turn="left", **{"from": 45, "to": 65}))),
    run(leg(80, feature("kick", rise=16, angle=30, turn="left")), corner(120, "right"), leg(60)),
    run(leg(60), corner(90, "right"), leg(90, feature("kick", at="start", rise=16, angle=30, turn="left"))),
    run(leg(60), {"u_bend": 30, "turn": "right"}, leg(60)),
]


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("document", IN_PLANE)
def test_on_straights_they_are_their_spacing_apart_and_at_bends_no_more_than_the_bend_opens(
    document: Document, side: str
) -> None:
    """s / cos(turn/2) at most, where both bends have the same radius."""
    answer = layout(beside(document, 2.5, side))
    turns = [mark["angle"] for mark in answer["runs"][0]["pieces"][0]["marks"]]
    for parts in apart(answer):
        assert min(float(part.min()) for part in parts) == pytest.approx(2.5, abs=1e-6)
        for part in parts[::2]:
            assert float(np.median(part)) == pytest.approx(2.5, abs=1e-6)
        for part, turn in zip(parts[1::2], turns, strict=True):
            assert part.max() <= 2.5 / math.cos(math.radians(turn / 2)) + 1e-3


@pytest.mark.parametrize("angle", [45, 90, 120])
def test_the_gap_of_a_same_radius_corner_opens_to_its_most_in_the_middle(angle: float) -> None:
    """Far larger than the spacing, the radius makes the two arcs' middles stand s / cos(turn/2) apart."""
    wide = run(leg(400), corner(angle, "right"), leg(400), bender={"radius": 60, "arrow_lead": 0})
    (parts,) = apart(layout(beside(wide, 2, count=2)))
    assert parts[1].max() == pytest.approx(2 / math.cos(math.radians(angle / 2)), abs=0.05)
    assert parts[1].max() > 2.1


@pytest.mark.parametrize("angle", [45, 90, 120])
@pytest.mark.parametrize("document", [corner(0, "right"), {**corner(0, "right"), "radius": 24, "shots": 20}])
def test_concentric_corners_keep_the_spacing_everywhere(angle: float, document: Document) -> None:
    asked = run(leg(120), {**document, "corner": angle}, leg(130))
    for parts in apart(layout(beside(asked, 3, corner="concentric")), reach=99):
        assert min(float(part.min()) for part in parts) > 3 - 1e-4
        assert max(float(part.max()) for part in parts[1:-1]) < 3 + BULGE


def test_concentric_pipes_inside_number_1_keep_it_too() -> None:
    asked = run(leg(120), {**corner(90, "left"), "radius": 24}, leg(130))
    for parts in apart(layout(beside(asked, 3, corner="concentric")), reach=99):
        assert min(float(part.min()) for part in parts) > 3 - 1e-4
        assert max(float(part.max()) for part in parts[1:-1]) < 3 + BULGE


SHOES = {"1/2": HALF_INCH, "3/4": THREE_QUARTER, "1": ONE_INCH, "1-1/4": {"take_up": 11, "gain": "5 5/8"}}


@st.composite
def mixed(draw: st.DrawFn) -> Document:
    """A random run of 1/2 in with two pipes of other sizes beside it."""
    document = draw(runs())
    sizes = ["1/2", *draw(st.lists(st.sampled_from(list(SHOES)), min_size=1, max_size=2))]
    more = {"raceway": "EMT", "size": "1/2", "bender": HALF_INCH}
    spacings = draw(st.lists(st.floats(1.8, 5), min_size=len(sizes) - 1, max_size=len(sizes) - 1))
    return beside(
        {**document, **more}, side=draw(st.sampled_from(["left", "right"])), sizes=sizes, spacings=spacings,
        benders=[None, *(SHOES[size] for size in sizes[1:])], align=draw(st.sampled_from(["bottom", "centre"])),
    )  # fmt: skip


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(mixed())
def test_the_least_gap_that_is_told_is_the_one_that_is_measured(document: Document) -> None:
    """By the straights and arcs that the marks fold up to, sampled a tenth of an inch apart."""
    answer = solved(document)
    for told, measured in zip(answer["gaps"], least_gaps(answer), strict=True):
        assert told["gap"] == pytest.approx(measured, abs=2e-3) or told["gap"] < 0 < 0.05 + told["gap"] - measured
        assert told["gap"] <= measured + CHORD


def test_a_least_gap_is_told_where_it_is() -> None:
    answer = layout(beside(run(leg(60), corner(90, "right"), leg(70)), sizes=["1/2", "1-1/4"],
                           benders=[None, SHOES["1-1/4"]]))  # fmt: skip
    (told,) = answer["gaps"]
    assert told["pipes"] == [1, 2] and told["at"] == "path[1]" and told["gap"] < told["straight_gap"]
    line = np.vstack(pieces(answer["runs"][1], offsets(answer)[1]))
    halves = sum(one["bender"]["outside_diameter"] / 2 for one in answer["runs"])
    assert float(away(np.array([told["point"]]), line)[0]) - halves == pytest.approx(told["gap"], abs=2e-3)


def checks(answer: dict[str, Any]) -> list[tuple[str, str]]:
    return [(one["code"], one["level"]) for one in answer["checks"]]


def test_pipes_that_touch_can_t_be_bent_and_their_own_layouts_say_so() -> None:
    """Beside 1/2 in the larger radius of 1-1/4 in cuts across the corner."""
    answer = layout(beside(run(leg(60), corner(90, "right"), leg(70)), 1.3, sizes=["1/2", "1-1/4"],
                           benders=[None, SHOES["1-1/4"]]))  # fmt: skip
    assert checks(answer) == [("rack_touches", "cannot")]
    assert all("rack_touches" in [check["code"] for check in one["checks"]] for one in answer["runs"])


def test_a_gap_that_closes_at_a_bend_is_a_caution_for_both_pipes_and_no_other() -> None:
    answer = layout(beside(run(leg(60), corner(90, "right"), leg(70)), 4, sizes=["1/2", "1-1/4", "1-1/4"],
                           benders=[None, SHOES["1-1/4"], SHOES["1-1/4"]]))  # fmt: skip
    assert checks(answer) == [("rack_gap_closes", "caution")]
    told = ["rack_gap_closes" in [check["code"] for check in one["checks"]] for one in answer["runs"]]
    assert told == [True, True, False]


def test_pipes_that_keep_their_distance_are_said_to() -> None:
    assert checks(layout(beside(run(leg(60), corner(90, "right"), leg(70))))) == [("rack_gap", "ok")]
