"""Racks: where every pipe's legs, features and corners go, by figures worked out by hand or from outside."""

from __future__ import annotations

import json
import math
from io import StringIO
from itertools import pairwise
from typing import Any

import pytest

from bending.__main__ import main
from bending.bender import Profile
from bending.layout import layout, layout_of_run
from bending.path import centreline
from bending.problems import Problems
from bending.rack import rack_layout
from bending.run import parse
from tests.bending.documents import HALF_INCH, ONE_INCH, THREE_QUARTER, Document, corner, feature, leg, run
from tests.bending.printed import row
from tests.bending.racks import beside, offsets
from tests.bending.test_docs import NAMES, numbers

TAN = {angle: math.tan(math.radians(angle / 2)) for angle in (22.5, 30, 45, 90)}


def cuts(answer: Document) -> list[float]:
    return [one["developed_length"] for one in answer["runs"]]


def stations(answer: Document, pipe: int) -> list[float]:
    return [mark["station"] for mark in answer["runs"][pipe - 1]["pieces"][0]["marks"]]


def codes(document: Any) -> set[tuple[str, str]]:
    with pytest.raises(Problems) as found:
        layout(document)
    return {(one.at, one.code) for one in found.value.problems}


def crossings(answer: Document, document: Document) -> list[list[tuple[float, ...]]]:
    """Points of intersection as marks and rolls fold them, from every pipe's own start."""
    from bending.fold import fold

    return [fold(one)["pieces"][0]["points"] for one in answer["runs"]]


# The tenth of the ten runs, as a rack of four: another of the project's own solvers, not a published check.


def four() -> Document:
    rack = {"count": 4, "spacing": "2 1/2", "side": "left"}
    answer: Document = layout({**row("T10")["inputs"]["run"], "rack": rack})
    return answer


def test_a_rack_of_four_has_the_worked_cuts_and_first_marks() -> None:
    pieces = [one["pieces"][0] for one in four()["runs"]]
    assert [one["cut"] for one in pieces] == ['99 3/16"', '104 3/16"', '109 3/16"', '114 3/16"']
    assert [one["marks"][0]["text"] for one in pieces] == ['39 7/16"', '41 15/16"', '44 7/16"', '46 15/16"']


def test_its_offset_marks_step_by_five_and_its_lines_in_the_shoe_are_alike() -> None:
    answer = four()
    assert answer["format"] == "layouts/1"
    for one, other in pairwise(range(1, 5)):
        steps = [b - a for a, b in zip(stations(answer, one), stations(answer, other), strict=True)]
        assert steps == pytest.approx([2.5, 5, 5])
    assert len({tuple(mark["in_shoe"] for mark in one["pieces"][0]["marks"]) for one in answer["runs"]}) == 1


def test_its_table_says_the_steps_once() -> None:
    (steps,) = four()["table"]["steps"]
    assert (steps["cut_length"], steps["cut"]) == (pytest.approx(5), '5"')
    assert [mark["at"] for mark in steps["marks"]] == pytest.approx([2.5, 5, 5])
    assert [one["pipes"] for one in four()["table"]["rows"]] == [[1], [2], [3], [4]]


def test_number_1_is_named_by_the_corner_unless_he_named_it() -> None:
    assert four()["rack"]["number_1"] == "inside of the corner"
    named = beside(run(leg(40)), number_1="nearest the panel")
    assert layout(named)["rack"]["number_1"] == "nearest the panel"


# What a bend does to the pipes beside number 1.


@pytest.mark.parametrize("turn", ["out", "in"])
def test_bends_square_to_the_rack_leave_all_pipes_alike(turn: str) -> None:
    path = [leg(60, feature("offset", at=40, rise=3, angle=30, turn=turn)), corner(90, turn)]
    path.append(leg(90, feature("saddle3", centre=40, rise=2, angle=45, turn=turn)))
    answer = layout(beside(run(*path), count=12))
    assert [one["pipes"] for one in answer["table"]["rows"]] == [list(range(1, 13))]
    assert "12 alike" in answer["reads"] and "12 alike" in answer["table"]["rows"][0]["said"]
    assert cuts(answer) == [cuts(answer)[0]] * 12
    assert answer["table"]["steps"][0]["cut_length"] == 0


@pytest.mark.parametrize("angle", [22.5, 30, 45])
@pytest.mark.parametrize(("turn", "way"), [("left", -1), ("right", 1)])
def test_an_offset_in_the_rack_s_plane_moves_as_a_whole(angle: float, turn: str, way: int) -> None:
    answer = layout(beside(run(leg(90, feature("offset", at=50, rise=6, angle=angle, turn=turn))), 3))
    for number in (2, 3):
        moved = way * (number - 1) * 3 * TAN[angle]
        wanted = [station + moved for station in stations(answer, 1)]
        assert stations(answer, number) == pytest.approx(wanted)
        assert cuts(answer)[number - 1] == pytest.approx(cuts(answer)[0])


def test_an_offset_is_moved_whichever_way_it_was_measured() -> None:
    plain = layout(beside(run(leg(90, feature("offset", at=50, rise=6, angle=30, turn="left")))))
    other = run(leg(90, feature("offset", at=40, from_end=True, rise=6, angle=30, turn="left")))
    assert stations(layout(beside(other)), 3) == pytest.approx(stations(plain, 3))


@pytest.mark.parametrize(("side", "share"), [(0.0, 0.0), (4.0, 0.8), (-4.0, -0.8)])
def test_a_rolled_offset_moves_by_its_part_in_the_rack_s_plane(side: float, share: float) -> None:
    """Rise 3 out and 4 to the left: a true offset of 5, four fifths of it in the plane."""
    one = feature("offset", at=50, rise=3, side=side, angle=30)
    answer = layout(beside(run(leg(90, one)), 2))
    moved = [b - a for a, b in zip(stations(answer, 1), stations(answer, 2), strict=True)]
    assert moved == pytest.approx([-2 * share * TAN[30]] * 2)


def test_the_pairs_of_a_four_bend_move_opposite_ways() -> None:
    """Its cut grows by what the two pairs move apart."""
    one = feature("saddle4", rise=4, angle=30, turn="left", **{"from": 40, "to": 60})
    answer, apart = layout(beside(run(leg(110, one)), 2)), 2 * TAN[30]
    moved = [b - a for a, b in zip(stations(answer, 1), stations(answer, 2), strict=True)]
    assert moved == pytest.approx([-apart, -apart, apart, apart])
    assert cuts(answer)[1] == pytest.approx(cuts(answer)[0])


def test_a_three_bend_keeps_its_centre_and_rises_more_on_the_side_that_it_goes_to() -> None:
    one, angle = feature("saddle3", centre=50, rise=4, angle=60, turn="left"), math.radians(60)
    answer = layout(beside(run(leg(100, one)), 2))
    first, second = (points[1:-1] for points in crossings(answer, one)[:2])
    assert second[1][0] == pytest.approx(first[1][0]) == pytest.approx(50)
    assert second[1][1] - first[1][1] == pytest.approx(2 * (1 / math.cos(angle / 2) - 1))
    assert [second[0][0] - first[0][0], second[2][0] - first[2][0]] == pytest.approx(
        [-2 * math.tan(angle / 4), 2 * math.tan(angle / 4)]
    )


@pytest.mark.parametrize("measure", ["back", "centre", "inside"])
@pytest.mark.parametrize(("turn", "way"), [("right", 1), ("left", -1)])
def test_a_same_radius_90_takes_a_spacing_a_leg_and_two_of_the_cut(measure: str, turn: str, way: int) -> None:
    answer = layout(beside(run(leg(50), corner(90, turn), leg(60), measure=measure), 2))
    assert [cut - cuts(answer)[0] for cut in cuts(answer)] == pytest.approx([0, 4 * way, 8 * way])
    assert stations(answer, 2)[0] - stations(answer, 1)[0] == pytest.approx(2 * way)


def test_a_concentric_90_grows_by_its_arc_and_both_straights_stay() -> None:
    answer = layout(beside(run(leg(50), corner(90, "right"), leg(60)), 3, corner="concentric"))
    paths = [centreline(parse(document)) for document in answer["documents"]]
    assert [path.corners[0].radius - paths[0].corners[0].radius for path in paths] == pytest.approx([0, 3, 6])
    straights = [(path.corners[0].inset, path.straights[0]) for path in paths]
    assert straights[1][1] == pytest.approx(straights[0][1], abs=0.5)
    arcs = [path.length - paths[0].length for path in paths]
    assert arcs == pytest.approx([0, 3 * math.pi / 2, 6 * math.pi / 2], abs=0.02)


def test_a_kick_s_corner_and_the_kick_itself_keep_their_distance() -> None:
    """In the rack's plane, against the corner: the kick's own and the corner's point move along its slope."""
    kick = feature("kick", rise=8, angle=30, turn="left")
    answer = layout(beside(run(leg(60, kick), corner(120, "right"), leg(60)), 2))
    first, second = (crossings(answer, kick)[number] for number in (0, 1))
    assert second[1][0] - first[1][0] == pytest.approx(-2 * math.tan(math.radians(15)))
    slope = math.dist(second[1], second[2]) - math.dist(first[1], first[2])
    assert slope == pytest.approx(2 * math.tan(math.radians(60)) - 2 * math.tan(math.radians(15)))


def test_a_box_offset_in_the_rack_s_plane_moves_along_its_tail() -> None:
    one = feature("box_offset", at="start", rise=0.5, angle=10, tail=4, turn="left")
    answer = layout(beside(run(leg(60, one)), 2))
    moved = stations(answer, 2)[0] - stations(answer, 1)[0]
    assert moved == pytest.approx(2 * math.tan(math.radians(5)))


def test_a_return_bend_is_wider_for_the_pipes_outside_it() -> None:
    answer = layout(beside(run(leg(40), {"u_bend": 20, "turn": "right"}, leg(40)), 2))
    widths = [abs(points[-1][1] - points[0][1]) for points in crossings(answer, {})]
    assert widths == pytest.approx([20, 24, 28])


def test_all_pipes_take_what_number_1_picked_to_go_over_something() -> None:
    one = feature("over", height=4, clear=0.5, **{"from": 50, "to": 60})
    answer = layout(beside(run(leg(120, one))))
    assert [one["pipes"] for one in answer["table"]["rows"]] == [[1, 2, 3]]
    assert answer["runs"][0]["picked"][0]["kind"] == "saddle4"


def test_something_that_stands_across_the_rack_is_checked_for_every_pipe() -> None:
    """Past an inside corner the legs of the outer pipes are longer; what stands in the way is the same thing."""
    wall = {"from": 20, "to": 24, "height": 2}
    across = {"leg": 60, "obstructions": [wall]}
    answer = layout(beside(run(leg(40), corner(90, "right"), across)))
    hit = [[check["code"] for check in one["checks"] if check["level"] == "cannot"] for one in answer["runs"]]
    assert hit[0] and hit == [hit[0]] * 3


# Places along the centreline.


def joints(answer: Document) -> list[float]:
    """Where each pipe's first piece ends, across number 1's first leg: each starts its own offset to the left."""
    from bending.fold import fold

    ends = [fold(one)["pieces"][0]["points"][-1][1] for one in answer["runs"]]
    return [end + left for end, (_, left, _) in zip(ends, offsets(answer), strict=True)]


@pytest.mark.parametrize("rack", [{}, {"corner": "concentric"}])
def test_a_joint_is_made_square_beside_number_1_s(rack: Document) -> None:
    """90 along number 1's stick is on its second leg, which goes to the right: gain of its 90, 1.919 (2 R - arc of a
    radius of 4.471), takes it to 41.919."""
    document = run(leg(50), corner(90, "right"), leg(100), joint_at=[90], stick=None)
    assert joints(layout(beside(document, **rack))) == pytest.approx([-41.919] * 3, abs=1e-3)


def test_what_no_joint_may_reach_into_and_pull_points_go_with_the_pipe() -> None:
    """The outer pipe's second leg begins two spacings further along its stick: one a leg."""
    document = run(leg(50), corner(90, "right"), leg(100), no_joint=[[20, 30], [80, 90]], pull_points=[100])
    first, second = layout(beside(document, 2, count=2))["documents"]
    assert first["no_joint"] == [[20, 30], [80, 90]]
    assert second["no_joint"] == [pytest.approx([20, 30]), pytest.approx([84, 94])]
    assert second["pull_points"] == pytest.approx([104])


def test_a_place_in_a_bend_is_as_far_through_the_bend_of_every_pipe() -> None:
    document = run(leg(50), corner(90, "right"), leg(100), pull_points=[])
    path = centreline(parse(document))
    halfway = (path.bends[0].begins + path.bends[0].ends) / 2
    _, second = layout(beside({**document, "pull_points": [halfway]}, 2, count=2))["documents"]
    assert second["pull_points"] == pytest.approx([halfway + 2])


@pytest.mark.parametrize("number", [0, 1, 2])
def test_each_pipe_s_document_alone_has_its_layout(number: int) -> None:
    one = feature("saddle3", centre=40, rise=3, angle=45, turn="left")
    answer = layout(beside(run(leg(60), corner(90, "right"), leg(80, one))))
    assert layout(answer["documents"][number]) == answer["runs"][number]


# Mixed sizes.

MIXED: Document = {"sizes": ["1/2", "3/4", "1"], "spacings": [2.5, 3], "benders": [None, THREE_QUARTER, ONE_INCH]}


def test_mixed_sizes_keep_their_own_radius() -> None:
    answer = layout(beside(run(leg(50), corner(90, "right"), leg(60)), **MIXED))
    radii = [Profile.from_json(bender, "EMT", size).radius
             for bender, size in ((HALF_INCH, "1/2"), (THREE_QUARTER, "3/4"), (ONE_INCH, "1"))]  # fmt: skip
    assert [one["bender"]["radius"] for one in answer["runs"]] == pytest.approx(radii)


def test_legs_to_the_back_also_change_by_half_the_difference_of_the_diameters() -> None:
    """3/4 in EMT is 0.922 across and 1/2 in 0.706: ANSI C80.3. The back of a thicker pipe stands 0.108 further."""
    answer = layout(beside(run(leg(50), corner(90, "right"), leg(60), measure="back"), **MIXED))
    first, second = crossings(answer, {})[:2]
    assert second[1][0] - first[1][0] == pytest.approx(2.5)
    told = [one for one in answer["runs"][1]["predicted"] if one["at"] == "path[0].leg"]
    assert told[0]["asked"] == pytest.approx(50 + 2.5 + (0.922 - 0.706) / 2)


def test_pipes_that_turn_up_a_wall_together_lie_with_their_backs_flush_on_it() -> None:
    """Bottoms in line before the corner are bottoms in line after it: every leg to the back is number 1's."""
    answer = layout(beside(run(leg(50), corner(90, "out"), leg(60), measure="back"), **MIXED))
    for one in answer["runs"]:
        told = [each["asked"] for each in one["predicted"] if each["at"] == "path[0].leg"]
        assert told == pytest.approx([50])


def test_a_bender_may_be_named() -> None:
    profiles = {"blue": Profile.from_take_up("blue", "EMT", "3/4", take_up=6, gain=3.25)}
    named = beside(run(leg(50)), sizes=["1/2", "3/4"], benders=[None, "blue"])
    assert rack_layout(named, profiles)["runs"][1]["bender"]["name"] == "blue"
    assert codes(named) == {("rack.benders[1]", "unknown_bender")}


# What is wrong with a rack.


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        ({"count": 1}, ("rack.count", "out_of_range")),
        ({"count": 2.5}, ("rack.count", "not_whole")),
        ({"count": 1e300}, ("rack.count", "out_of_range")),
        ({"count": None}, ("rack.count", "missing")),
        ({"spacing": 0}, ("rack.spacing", "not_positive")),
        ({"spacing": math.nan}, ("rack.spacing", "not_finite")),
        ({"spacing": 0.706}, ("rack.spacing", "spacing_too_small")),
        ({"spacing": None, "spacings": [2, 0.5]}, ("rack.spacings[1]", "spacing_too_small")),
        ({"spacing": None}, ("rack.spacing", "missing")),
        ({"spacings": [2, 2]}, ("rack.spacing", "spacing_twice")),
        ({"spacing": None, "spacings": [2]}, ("rack.spacings", "counts_differ")),
        ({"side": None}, ("rack.side", "missing")),
        ({"side": "up"}, ("rack.side", "no_stance")),
        ({"side": "widdershins"}, ("rack.side", "unknown_word")),
        ({"align": "top"}, ("rack.align", "unknown_word")),
        ({"corner": "sharp"}, ("rack.corner", "unknown_word")),
        ({"number_1": 7}, ("rack.number_1", "not_text")),
        ({"pipes": 4}, ("rack.pipes", "unknown_key")),
        ({"sizes": ["1/2"], "count": None}, ("rack.sizes", "too_few")),
        ({"sizes": ["1/2", "1/2"]}, ("rack.count", "counts_differ")),
        ({"sizes": ["3/4", "3/4", "3/4"]}, ("rack.sizes[0]", "sizes_differ")),
        ({"sizes": ["1/2", "9", "1/2"]}, ("rack.sizes[1]", "unknown_word")),
        ({"sizes": ["1/2", [], "1/2"]}, ("rack.sizes[1]", "unknown_word")),
        ({"sizes": ["1/2", "3/4", "1/2"]}, ("rack.benders[1]", "missing")),
        ({"benders": [None]}, ("rack.benders", "counts_differ")),
        ({"benders": [THREE_QUARTER, None, None]}, ("rack.benders[0]", "bender_twice")),
        ({"benders": [None, {"radius": -1, "arrow_lead": 0}, None]}, ("rack.benders[1].radius", "not_positive")),
    ],
)
def test_what_is_wrong_with_a_rack_is_refused_by_name(change: Document, wanted: tuple[str, str]) -> None:
    rack = {"count": 3, "spacing": 2.5, "side": "left", **change}
    assert codes({**run(leg(40)), "rack": rack}) == {wanted}


def test_faults_of_the_run_and_of_its_rack_are_told_together() -> None:
    assert codes({**run(leg(-4)), "rack": {"count": 1}}) == {
        ("path[0].leg", "not_positive"),
        ("rack.count", "out_of_range"),
    }


def test_thicker_pipes_on_one_surface_may_stand_a_little_closer_than_half_of_both() -> None:
    """Bottoms in line, 0.706 and 1.163 across (ANSI C80.3) touch at 2 sqrt(0.353 * 0.5815) = 0.9061."""
    sizes: Document = {"sizes": ["1/2", "1"], "benders": [None, ONE_INCH]}
    assert codes(beside(run(leg(40)), 0.906, **sizes)) == {("rack.spacing", "spacing_too_small")}
    assert layout(beside(run(leg(40)), 0.907, **sizes))["gaps"][0]["gap"] == pytest.approx(0, abs=1e-3)
    assert codes(beside(run(leg(40)), 0.907, align="centre", **sizes)) == {("rack.spacing", "spacing_too_small")}


@pytest.mark.parametrize(("turn", "side"), [("left", "right"), ("right", "left"), (60, "right")])
def test_number_1_is_inside_the_first_corner_of_the_rack_s_plane_unless_he_says_a_side(turn: Any, side: str) -> None:
    document = run(leg(50), corner(45, "out"), leg(50), corner(90, turn), leg(60), corner(45, "left"), leg(50))
    answer = layout({**document, "rack": {"count": 2, "spacing": 2}})["rack"]
    assert (answer["side"], answer["number_1"]) == (side, "inside of the corner")


@pytest.mark.parametrize("rack", [7, "four", [], True])
def test_a_rack_that_is_no_object_is_refused(rack: Any) -> None:
    assert codes({**run(leg(40)), "rack": rack}) == {("rack", "not_an_object")}


def test_what_is_wrong_with_a_pipe_is_said_with_its_number() -> None:
    """The inside pipes of a left corner run out of leg."""
    document = beside(run(leg(10), corner(90, "left"), leg(60)), count=4)
    with pytest.raises(Problems) as found:
        layout(document)
    assert {one.at for one in found.value.problems} == {"path[0].leg"}
    assert all(one.text.startswith(("pipe 3: ", "pipe 4: ")) for one in found.value.problems)


def test_a_concentric_corner_with_no_room_inside_is_refused() -> None:
    document = beside(run(leg(50), corner(90, "left"), leg(60)), corner="concentric")
    assert codes(document) == {("rack.corner", "concentric_too_small")}
    swept = run(leg(50), {**corner(90, "left"), "radius": 12}, leg(60))
    assert len(layout(beside(swept, corner="concentric"))["runs"]) == 3


def test_a_rack_has_no_more_bends_than_can_be_answered_for() -> None:
    features = [feature("offset", at=40 * (n + 1), rise=4, angle=30) for n in range(5)]
    assert codes(beside(run(leg(260, *features)), count=60)) == {("rack", "too_many")}


def test_one_run_is_no_rack() -> None:
    with pytest.raises(Problems) as found:
        layout_of_run(beside(run(leg(40))))
    assert [(one.at, one.code) for one in found.value.problems] == [("rack", "rack_of_pipes")]
    assert layout({**run(leg(40)), "rack": None})["format"] == "layout/1"


def test_his_own_words_for_the_side_are_read_from_where_he_stands() -> None:
    """Under a ceiling my left is the frame's right."""
    document = run(leg(40), mount="ceiling")
    assert layout(beside(document, side="my left"))["rack"]["side"] == "right"
    assert codes(beside(document, side="down")) == {("rack.side", "off_the_surface")}


def test_an_answer_is_plain_json_with_the_tag() -> None:
    answer = layout(beside(run(leg(40), tag="rack K")))
    assert json.loads(json.dumps(answer, allow_nan=False))["tag"] == "rack K"


def test_every_number_of_a_rack_s_answer_is_in_the_nomenclature() -> None:
    document = beside(run(leg(50), corner(90, "right"), leg(60), joint_at=[30], pull_points=[20]), **MIXED)
    told = {**document, "no_joint": [[2, 4]]}
    assert {*numbers(told), *numbers(layout(told))} - NAMES == set()


def test_the_command_line_lays_out_racks_among_runs() -> None:
    good, bad = beside(run(leg(40), tag="rack K")), beside(run(leg(40), tag="rack L"), count=1)
    printed = StringIO()
    status = main(["layout", "-"], StringIO("\n".join(json.dumps(one) for one in (run(leg(40)), good, bad))), printed)
    answers = [json.loads(line) for line in printed.getvalue().splitlines()]
    assert [one["format"] for one in answers] == ["layout/1", "layouts/1", "problems/1"]
    assert [(one["tag"], one["line"]) for one in answers[1:]] == [("rack K", 2), ("rack L", 3)]
    assert status == 2
