"""The standing view: what a man sees who hangs the run. Directions are the conventions of NOMENCLATURE.md, seen from
where he stands; sizes come from the requests themselves."""

import itertools
import math
import xml.etree.ElementTree as ET

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bending.drawing import (
    PENS,
    Line,
    Number,
    Polygon,
    Polyline,
    Text,
    Tube,
    standing_of_points,
    standing_view,
    to_svg,
)
from bending.drawing.boxes import box_of, extent, overlap
from bending.drawing.larger import LEAST_RISE, enlarged
from bending.drawing.stance import stance_of
from bending.drawing.vanishing import eye_view
from bending.drawing.wire import wire_of_points
from bending.layout import layout
from bending.problems import Problems
from tests.bending.documents import runs

# Take-up and gain of usual hand shoes: common practice, no source.
SHOES = {"3/4": (6, 3.25), "1": (8, 4)}
BOX = {"kind": "box_offset", "rise": "3/8", "angle": 10, "tail": 2}
SADDLE = {"kind": "saddle3", "centre": 41, "rise": "2 7/8", "angle": 45}


def asked(*path, size="3/4", **more):
    take_up, gain = SHOES[size]
    bender = {"take_up": take_up, "gain": gain}
    return {"format": "run/1", "raceway": "EMT", "size": size, "bender": bender, "path": list(path), **more}


def leg(length, *features, **more):
    return {"leg": length, "features": list(features), **more}


def corner(turn, angle=90):
    return {"corner": angle, "turn": turn}


def standing(run, *, hangs, **wishes):
    return standing_view(layout(run), {**run, **hangs}, **wishes)


CEILING, DECK = {"mount": "ceiling"}, {"mount": "deck"}
WALL = {heads: {"mount": "wall", "heads": heads} for heads in ("up", "down", "my left", "my right")}
KICK = asked(
    leg(58, {"kind": "kick", "rise": "3 1/8", "turn": "right", "angle": 15}), corner("out"), leg("26 3/4"), size="1"
)
BOX_TO_BOX = asked(leg(98, {**BOX, "at": "start"}, SADDLE, {**BOX, "at": "end"}))
OFFSET = asked(leg(62, {"kind": "offset", "at": 30, "rise": 4, "angle": 30, "turn": "left"}), corner("right"), leg(40))
OUTWARD = asked(leg(30), corner("left"), leg(30), corner("out"), leg(20))
RUNS = {"kick": KICK, "box to box": BOX_TO_BOX, "offset": OFFSET, "outward": OUTWARD}
EVERY = [
    pytest.param(run, hangs, id=f"{name} {' '.join(hangs.values())}")
    for name, run in RUNS.items()
    for hangs in (CEILING, DECK, *WALL.values())
]


def of(drawing, kind, *styles):
    return [item for item in drawing.items if isinstance(item, kind) and (not styles or item.style in styles)]


def words(drawing):
    return [item.words for item in of(drawing, Text)]


def figures(drawing):
    return [item.spoken.removesuffix(" inches") for item in of(drawing, Number)]


def place(drawing, letter):
    found = next(item for item in of(drawing, Text) if item.words.split(":")[0] == letter)
    left, top, right, bottom = box_of(found)
    return (left + right) / 2, (top + bottom) / 2


def came_from(drawing):
    """Under a ceiling: where the pipe comes in over his head."""
    return min((point for body in of(drawing, Polygon, "body") for point in body.points), key=lambda point: point[1])


# Which way is which.


@pytest.mark.parametrize(
    ("hangs", "turn", "way"),
    [
        (WALL["up"], "left", (-1, -1)),
        (WALL["up"], "right", (1, -1)),
        (WALL["down"], "left", (1, 1)),
        (WALL["down"], "right", (-1, 1)),
        (WALL["my right"], "left", (1, -1)),
        (WALL["my right"], "right", (1, 1)),
        (WALL["my left"], "left", (-1, 1)),
        (WALL["my left"], "right", (-1, -1)),
        (DECK, "left", (-1, -1)),
        (DECK, "right", (1, -1)),
    ],
)
def test_b_lies_where_he_sees_it(hangs, turn, way):
    """From A: to his right or left, and up (-1) or down the sheet; on a deck, ahead is up the sheet."""
    drawing = standing(asked(leg(20), corner(turn), leg(20)), hangs=hangs)
    (ax, ay), (bx, by) = place(drawing, "A"), place(drawing, "B")
    assert ((bx - ax) * way[0], (by - ay) * way[1]) > (40, 40)


@pytest.mark.parametrize(("turn", "side"), [("left", 1), ("right", -1)])
def test_under_a_ceiling_the_run_s_left_is_his_right(turn, side):
    drawing = standing(asked(leg(20), corner(turn), leg(40)), hangs=CEILING)
    assert (place(drawing, "B")[0] - came_from(drawing)[0]) * side > 40


def test_under_a_ceiling_out_is_down():
    drawing = standing(asked(leg(20), corner("out"), leg(40)), hangs=CEILING)
    assert place(drawing, "B")[1] - came_from(drawing)[1] > 100


@pytest.mark.parametrize(
    ("hangs", "said"),
    [
        (CEILING, "to YOUR LEFT"),
        (DECK, "to YOUR RIGHT"),
        (WALL["up"], "to YOUR RIGHT"),
        (WALL["down"], "to YOUR LEFT"),
        (WALL["my right"], "DOWN"),
        (WALL["my left"], "UP"),
    ],
)
def test_a_kick_to_the_run_s_right_is_said_as_he_sees_it(hangs, said):
    assert said in words(standing(KICK, hangs=hangs))


def test_his_hands_are_named_at_the_sides_of_the_picture():
    drawing = standing(KICK, hangs=CEILING, width=390)
    at = {item.words: item.at[0] for item in of(drawing, Text) if item.words.startswith("YOUR")}
    assert at["YOUR LEFT"] < 60 and at["YOUR RIGHT"] > 330


@pytest.mark.parametrize("hangs", [{}, {"mount": "free"}, {"mount": "wall"}, {"mount": "wall", "heads": "north"}])
def test_where_nobody_stands_there_is_no_standing_view(hangs):
    assert standing(KICK, hangs=hangs) is None


def test_a_turn_toward_the_eye_is_said():
    assert "turns OFF the wall" in words(standing(OUTWARD, hangs=WALL["up"]))
    assert "turns UP" in words(standing(OUTWARD, hangs=DECK))


@pytest.mark.parametrize(
    ("document", "east"),
    [
        ({"mount": "ceiling", "heads": "north"}, "my right"),
        ({"mount": "deck", "heads": "south"}, "my left"),
        ({"mount": "wall", "heads": "up", "faces": "south"}, "my right"),
        ({"mount": "wall", "heads": "up", "faces": "north"}, "my left"),
    ],
)
def test_a_compass_word_is_turned_by_where_he_looks(document, east):
    stance = stance_of(document)
    assert stance.way("east") == stance.way(east)


def test_without_a_heading_a_compass_word_means_nothing():
    assert stance_of(CEILING).way("east") is None
    assert stance_of(CEILING).way("sideways") is None


# Sizes.


def test_small_rises_are_drawn_large_and_their_numbers_stay_true():
    assert figures(standing(BOX_TO_BOX, hangs=WALL["up"])).count("3/8") == 2
    wire = wire_of_points([(0, 0, 0), (10, 0, 0), (12, 0, 0.375), (30, 0, 0.375)], [2, 2], 0.922, ["f", "f"])
    assert enlarged(wire).parts[-1].end == pytest.approx((30, 0, LEAST_RISE * 0.922))


def test_a_large_rise_is_drawn_as_it_is():
    wire = wire_of_points([(0, 0, 0), (10, 0, 0), (16, 0, 6), (30, 0, 6)], [2, 2], 0.922, ["f", "f"])
    assert enlarged(wire) is wire


def test_an_enlarged_slope_grows_along_its_leg_no_more_than_it_may():
    wire = wire_of_points([(0, 0, 0), (10, 0, 0), (12, 0, 0.2), (30, 0, 0.2)], [0.1, 0.1], 1, ["f", "f"])
    assert enlarged(wire, 2, 3).parts[-1].end == pytest.approx((10 + 6 + 18, 0, 2))


def test_the_eye_sees_what_is_far_small_and_parallels_meet():
    wire = wire_of_points([(0, 0, 0), (60, 0, 0)], [], 0.922)
    view = eye_view(stance_of(CEILING).view, wire)
    lines = [[view.flat((x, y, 0)) for x in (10, 60, 1e9)] for y in (0, 5)]
    apart = [abs(a[0] - b[0]) for a, b in zip(*lines, strict=True)]
    assert apart[0] > apart[1] > 1
    assert lines[0][2] == pytest.approx((0, 0), abs=1e-3)
    assert lines[1][2] == pytest.approx((0, 0), abs=1e-3)


def test_a_long_first_leg_comes_in_over_his_head():
    drawing = standing(KICK, hangs=CEILING)
    (cover,) = of(drawing, Polygon, "gap")
    assert 0 < came_from(drawing)[1] <= max(y for _, y in cover.points) < 30
    assert {item.words for item in of(drawing, Text, "loud")} == {"AS IT HANGS", "B"}


# What is seen beside the pipe.


@pytest.mark.parametrize("hangs", [CEILING, DECK, WALL["my right"]])
def test_straight_on_is_dashed_beside_a_kick(hangs):
    dashed = of(standing(KICK, hangs=hangs), Polyline, "was")
    assert len(dashed) == 1 and math.dist(dashed[0].points[0], dashed[0].points[-1]) > 20


@pytest.mark.parametrize("look", ["lit", "bad"])
@pytest.mark.parametrize("hangs", [CEILING, WALL["up"]])
def test_the_moved_part_has_its_look_with_its_number_and_words(look, hangs):
    drawing = standing(KICK, hangs=hangs, highlight={"path[0].features[0].rise": look})
    assert {f"pipe-{look}", f"body-{look}", f"cut-{look}"} & {item.style for item in drawing.items}
    assert [item.spoken for item in of(drawing, Number, f"number-{look}")] == ["3 1/8 inches"]
    assert len(of(drawing, Text, f"number-{look}")) == 1


def test_legs_say_how_long_they_were_asked_for():
    drawing = standing(KICK, hangs=CEILING)
    assert {"58", "26 3/4"} <= set(figures(drawing))
    assert "to back of 90" in words(drawing)


def test_the_ends_say_what_they_go_to():
    run = {**OFFSET, "start": {"to": "finished floor"}, "end": {"to": "panel side"}}
    assert {"A: finished floor", "B: panel side"} <= set(words(standing(run, hangs=WALL["up"])))


@pytest.mark.parametrize("hangs", [CEILING, DECK, WALL["up"]])
def test_what_it_hangs_on_is_drawn_and_named(hangs):
    drawing = standing(KICK, hangs=hangs)
    assert of(drawing, Polygon, "surface")
    assert any(hangs["mount"] in said.split() for said in words(drawing))


def test_a_corner_onto_a_wall_shows_the_wall():
    path = [KICK["path"][0], {**KICK["path"][1], "mount": "wall"}, KICK["path"][2]]
    drawing = standing_view(layout(KICK), {**KICK, **CEILING, "path": path})
    assert "wall" in words(drawing) and "wall" not in words(standing(KICK, hangs=CEILING))


# What was there before.

DUCT = {"from": 38, "to": 44, "height": 2, "clear": "1/2"}
PIPE = {"pipe": "2 3/8", "centre": 41, "gap": "1/4", "clear": "1/2"}


def with_over(item, **more):
    feature = {**SADDLE, **item, "kind": "over", **more}
    return {**BOX_TO_BOX, "path": [leg(98, {**BOX, "at": "start"}, feature, {**BOX, "at": "end"})]}


def with_obstruction(item, **more):
    return {**BOX_TO_BOX, "path": [leg(98, *BOX_TO_BOX["path"][0]["features"], obstructions=[{**item, **more}])]}


def solids(document):
    found = of(standing_view(layout(BOX_TO_BOX), document), Polygon, "solid")
    return [item.points for item in found]


@pytest.mark.parametrize("item", [DUCT, PIPE], ids=["duct", "pipe"])
@pytest.mark.parametrize("hangs", [CEILING, DECK, WALL["my left"]])
def test_what_an_over_leads_over_is_drawn_as_an_obstruction_is(item, hangs):
    over, obstruction = ({**made(item), **hangs} for made in (with_over, with_obstruction))
    assert solids(over) and solids(over) == solids(obstruction)


def test_an_obstruction_measured_from_the_leg_s_end_stands_in_the_same_place():
    from_end = {**DUCT, "from": 98 - 44, "to": 98 - 38, "from_end": True}
    near, far = (solids({**with_obstruction(item), **WALL["my right"]})[0] for item in (DUCT, from_end))
    assert far == tuple(pytest.approx(point) for point in near)


def test_it_stands_behind_the_pipe():
    drawing = standing_view(layout(BOX_TO_BOX), {**with_over(DUCT), **WALL["my right"]})
    styles = [item.style for item in drawing.items]
    assert styles.index("solid") < styles.index("pipe")


def test_insulation_makes_a_pipe_thicker():
    plain, thick = (solids({**with_over(PIPE, insulation=more), **WALL["my right"]})[0] for more in (0, 1))
    assert spread(thick) > spread(plain) + 10


def middle(points):
    return [(min(axis) + max(axis)) / 2 for axis in zip(*points, strict=True)]


def test_insulation_lies_round_the_pipe():
    plain, thick = (solids({**with_over(PIPE, insulation=more), **DECK})[0] for more in (0, 0.25))
    assert middle(plain) == pytest.approx(middle(thick))


@pytest.mark.parametrize("thing", [{"from": 60, "to": 66, "off": 2}, {"pipe": 3, "centre": 63, "off": 2}])
def test_what_stands_beside_the_run_is_drawn_on_its_side(thing):
    """On a wall, the leg going right: up is its left."""
    above, below = (solids({**with_obstruction(thing, turn=turn), **WALL["my right"]})[0] for turn in ("up", "right"))
    pipe = [point for item in of(standing(BOX_TO_BOX, hangs=WALL["my right"]), Tube) for point in item.points]
    assert middle(above)[1] < middle(pipe)[1] < middle(below)[1]


def test_a_straight_that_is_shown_short_shows_what_stands_there_as_wide_as_it_is():
    """1 and 2 wide on the same straight."""
    one, other = (
        solids({**with_obstruction({"from": 66 - wide, "to": 66, "height": 2}), **WALL["my right"]})[0]
        for wide in (1, 2)
    )
    assert spread(other) == pytest.approx(2 * spread(one), rel=1e-6)


def test_under_a_ceiling_a_pipe_has_two_ends():
    """Seen from the side, most of its picture is the bar between them."""
    outline, end = solids({**with_obstruction(PIPE), **CEILING})
    assert spread(outline) > 4 * spread(end)


def spread(points):
    return max(x for x, _ in points) - min(x for x, _ in points)


def test_half_typed_obstructions_are_left_out():
    for item in ({}, {"from": "4", "to": ""}, {"pipe": "2 3/", "centre": 9}, {"from": 9, "to": 4, "height": 0}):
        assert solids({**with_obstruction(item), **WALL["my right"]}) == []


# Every picture.


@pytest.mark.parametrize(("run", "hangs"), EVERY)
@pytest.mark.parametrize(("width", "text", "medium"), [(390, 16, "screen"), (540, 26, "paper")])
def test_nothing_said_is_written_over_another_or_off_the_sheet(run, hangs, width, text, medium):
    drawing = standing(run, hangs=hangs, width=width, text=text, medium=medium)
    boxes = [box_of(item) for item in drawing.items if isinstance(item, Text | Number)]
    assert not [pair for pair in itertools.combinations(boxes, 2) if overlap(*pair)]
    left, _, right, bottom = extent([item for item in drawing.items if item.style not in ("gap", "was")])
    assert left >= -1 and right <= width + 1 and bottom <= drawing.height + 1


@settings(max_examples=40, deadline=None)
@given(runs(), st.sampled_from([CEILING, DECK, *WALL.values()]))
def test_whatever_a_run_is_its_picture_stays_legible(run, hangs):
    try:
        drawing = standing(run, hangs=hangs, width=390, text=16)
    except Problems:
        assume(False)
    boxes = [box_of(item) for item in drawing.items if isinstance(item, Text | Number)]
    assert not [pair for pair in itertools.combinations(boxes, 2) if overlap(*pair)]
    left, _, right, bottom = extent([item for item in drawing.items if item.style not in ("gap", "was")])
    assert left >= -1 and right <= 391 and bottom <= drawing.height + 1


@pytest.mark.parametrize(("run", "hangs"), EVERY)
def test_it_is_well_formed_and_every_style_has_a_pen(run, hangs):
    drawing = standing(run, hangs=hangs)
    assert {item.style for item in drawing.items} <= set(PENS)
    root = ET.fromstring(to_svg(drawing))
    assert root.find("{*}title").text.startswith("The run as it hangs, seen")


@pytest.mark.parametrize("hangs", [CEILING, WALL["up"]])
def test_a_run_that_cannot_be_bent_is_drawn_from_its_points(hangs):
    points = [(0, 0, 0), (50, 0, 0), (55, -3, 0), (55, -3, 20)]
    places = ["path[0].features[0]", "path[1]"]
    drawing = standing_of_points(points, [6, 6], 1.163, features=places, document={**KICK, **hangs})
    assert of(drawing, Polygon, "body") or of(drawing, Tube)
    assert "3" in figures(drawing)


def test_it_tells_the_moves_in_words_too():
    assert "3 1/8 inches to YOUR LEFT" in standing(KICK, hangs=CEILING).words


def test_lines_and_slashes_mark_how_far_a_kick_leads():
    drawing = standing(KICK, hangs=CEILING, highlight={"path[0].features[0]": "lit"})
    assert len(of(drawing, Line, "lit")) == 3
