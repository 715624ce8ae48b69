"""Drawings: what a hand must be able to read off them. Figures come from the requests themselves or from hand sums."""

import itertools
import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from bending.drawing import (
    PENS,
    Circle,
    Drawing,
    Line,
    Number,
    Polygon,
    Text,
    Tube,
    hook_sign,
    mark_sign,
    shape_icon,
    shape_views,
    shoe_clock,
    stick,
    to_svg,
    views_of_points,
)
from bending.drawing.boxes import box_of, extent, overlap
from bending.drawing.primitives import angle_number, number, number_width
from bending.drawing.wire import centreline, cut_out, wire_of_points
from bending.layout import layout
from bending.problems import Problems

SHOES = {"1/2": (5, 2.625), "3/4": (6, 3.25), "1": (8, 4)}
BOX = {"kind": "box_offset", "rise": "3/8", "angle": 10, "tail": 2}
ENDS = {"start": {"allowance": "1/8"}, "end": {"allowance": "1/8"}}


def asked(path, size="3/4", **more):
    take_up, gain = SHOES[size]
    bender = {"take_up": take_up, "gain": gain}
    return {"format": "run/1", "raceway": "EMT", "size": size, "bender": bender, "path": path, **{**ENDS, **more}}


STUB = asked([{"leg": "19 1/2"}, {"corner": 90, "turn": "out"}, {"leg": 66}], start={}, end={})
U_RUN = asked(
    [{"leg": 31}, {"corner": 90, "turn": "left"}, {"leg": "44 1/4"}, {"corner": 90, "turn": "left"}, {"leg": 31}]
)
SADDLE = {"kind": "saddle3", "centre": 41, "rise": "2 7/8", "angle": 45}
BOX_TO_BOX = asked([{"leg": 98, "features": [{**BOX, "at": "start"}, SADDLE, {**BOX, "at": "end"}]}])
DUCT = asked(
    [
        {
            "leg": 112,
            "features": [{"kind": "saddle4", "from": 44, "to": 72, "rise": "6 1/2", "angle": 30}],
            "obstructions": [{"from": 47, "to": 69, "height": 6, "clear": "1/2"}],
        }
    ]
)
KICK = asked(
    [
        {"leg": 58, "features": [{"kind": "kick", "rise": 3, "turn": "right", "angle": 15}]},
        {"corner": 90, "turn": "out"},
        {"leg": "26 3/4"},
    ],
    size="1",
)
ROLLED = asked([{"leg": 80, "features": [{"kind": "offset", "at": 46, "rise": 5, "side": -7, "angle": 30}]}], size="1")
RUNS = {"stub": STUB, "u": U_RUN, "box to box": BOX_TO_BOX, "duct": DUCT, "kick": KICK, "rolled": ROLLED}
every_run = pytest.mark.parametrize("run", RUNS.values(), ids=RUNS.keys())


def views(run, **wishes):
    return shape_views(layout(run), run, **wishes)


def of(drawing, kind, style=None):
    return [item for item in drawing.items if isinstance(item, kind) and style in (None, item.style)]


def figures(drawing):
    return sorted(item.spoken.removesuffix(" inches") for item in of(drawing, Number))


def words(drawing):
    return [item.words for item in of(drawing, Text)]


# Numbers.


@pytest.mark.parametrize(
    ("written", "parts"),
    [
        ('98 13/16"', ("98", "13", "16", "″")),
        ('3/8"', ("", "3", "8", "″")),
        ('41"', ("41", "", "", "″")),
        ("1588 mm", ("1588", "", "", " mm")),
        ("22.5°", ("22", "1", "2", "°")),
        ("0.5°", ("", "1", "2", "°")),
    ],
)
def test_a_written_length_is_set_as_whole_numerator_and_denominator(written, parts):
    found = number(written, (0, 0), 20)
    assert (found.whole, found.numerator, found.denominator, found.unit) == parts


def test_a_number_says_itself_aloud():
    assert number('98 13/16"', (0, 0), 20).spoken == "98 13/16 inches"
    assert angle_number(22.5, (0, 0), 20).spoken == "22 1/2 degrees"


def test_a_fraction_in_svg_is_raised_and_lowered_and_comes_back_to_the_line():
    svg = to_svg(Drawing(100, 40, (number('98 13/16"', (0, 30), 20),)), "n")
    text = ET.fromstring(svg).find("{*}text")
    assert "".join(text.itertext()) == "9813⁄16″"
    assert sum(float(span.get("dy", 0)) for span in text) == pytest.approx(0)


# SVG.


@every_run
@pytest.mark.parametrize("medium", ["screen", "paper"])
def test_svg_is_well_formed_and_carries_no_style_or_script(run, medium):
    found = layout(run)
    for drawing in (*shape_views(found, run, medium=medium), stick(found, medium=medium), shoe_clock(90, "start")):
        root = ET.fromstring(to_svg(drawing, 'A & B <"title">'))
        assert root.get("role") == "img"
        assert root.find("{*}title").text == 'A & B <"title">'
        names = {name for element in root.iter() for name in element.attrib}
        assert not {name for name in names if name == "style" or name.startswith("on")}


def test_svg_draws_every_kind_of_item_with_its_style_s_class():
    items = (
        Line((0, 0), (9, 9), "dim"),
        Circle((5, 5), 2, "bore"),
        Polygon(((0, 0), (1, 0), (1, 1)), "flag"),
        Tube(((0, 0), (9, 0)), 4, "pipe"),
        Text((1, 1), "A < B", 12),
    )
    svg = to_svg(Drawing(10, 10, items), "t")
    assert all(name in svg for name in ("d-dim", "d-bore", "d-flag", "d-pipe-edge", "d-pipe-body", "A &lt; B"))


@every_run
def test_every_style_used_has_a_pen(run):
    found = layout(run)
    for drawing in (*shape_views(found, run), stick(found)):
        assert {item.style for item in drawing.items} <= set(PENS)


def test_paper_leaves_the_pipe_white():
    assert PENS["pipe"].fills("paper") == "#FFFFFF" != PENS["pipe"].fills("screen")


# Two square views.


@pytest.mark.parametrize(
    ("run", "names"),
    [
        (STUB, ["SIDE", "FACE"]),
        (U_RUN, ["FACE", "SIDE"]),
        (BOX_TO_BOX, ["SIDE", "FACE"]),
        (KICK, ["SIDE", "FACE"]),
    ],
)
def test_the_view_with_most_of_the_bending_comes_first(run, names):
    assert [
        words(drawing)[-3:] and next(w for w in words(drawing) if w in ("SIDE", "FACE")) for drawing in views(run)
    ] == names


@every_run
def test_the_views_stand_right_under_each_other(run):
    first, second = views(run)
    tubes = [of(drawing, Tube) for drawing in (first, second)]
    lefts = [min(x for tube in found for x, _ in tube.points) for found in tubes]
    assert first.width == second.width
    assert {tube.width for found in tubes for tube in found} == {tubes[0][0].width}
    assert lefts[0] == pytest.approx(lefts[1], abs=1)


@every_run
def test_the_way_out_is_told_on_both(run):
    told = [word for drawing in views(run) for word in words(drawing) if word in ("OUT", "THIS FACE OUT")]
    assert sorted(told) == ["OUT", "THIS FACE OUT"]


@every_run
def test_both_ends_have_their_letter_on_both(run):
    for drawing in views(run):
        assert [word for word in words(drawing) if word in ("A", "B")] == ["A", "B"]


@pytest.mark.parametrize(
    ("turn", "view", "up"), [("left", "FACE", 1), ("right", "FACE", -1), ("out", "SIDE", 1), ("in", "SIDE", -1)]
)
def test_no_view_is_mirrored(turn, view, up):
    """Seen from out, the run going to the right, left (out x travel) is up on the sheet; from the side, out is."""
    run = asked([{"leg": 20}, {"corner": 90, "turn": turn}, {"leg": 20}])
    first, _ = views(run)
    at = {item.words: item.at for item in of(first, Text) if item.words in ("A", "B")}
    assert view in words(first)
    assert at["A"][0] < at["B"][0]
    assert (at["A"][1] - at["B"][1]) * up > 50


def test_the_ends_are_named_under_the_second_view():
    run = {**KICK, "start": {"to": "coupling"}, "end": {"to": "panel P-3 top", "allowance": "1/8"}}
    assert {"A: coupling", "B: panel P-3 top"} <= set(words(views(run)[1]))


def test_bends_are_round_and_of_their_own_radius():
    wire = wire_of_points([(0, 0, 0), (30, 0, 0), (30, 0, 30)], [5.424], 0.922)
    (elbow,) = wire.elbows
    centre = (30 - 5.424, 0, 5.424)
    assert [math.dist(point, centre) for point in centreline(elbow)] == pytest.approx([5.424] * len(centreline(elbow)))


def test_a_cut_out_pipe_keeps_its_bends_and_the_order_of_its_straights():
    wire = wire_of_points([(0, 0, 0), (40, 0, 0), (40, 0, 90)], [5.0], 0.922)
    short = cut_out(wire, 8)
    assert [elbow.radius for elbow in short.elbows] == [5.0]
    lengths = [straight.length for straight in short.straights]
    assert 8 < lengths[0] < lengths[1] < 40


def test_long_straights_are_cut_out_with_two_strokes():
    first, _ = views(STUB)
    assert len([item for item in first.items if item.style == "break"]) == 4


def test_a_pipe_that_has_room_is_drawn_whole():
    short = asked([{"leg": 14}, {"corner": 90, "turn": "out"}, {"leg": 14}], start={}, end={})
    assert not [item for drawing in views(short) for item in drawing.items if item.style == "break"]


# Check dimensions, from the pipe's own ends.


@pytest.mark.parametrize(
    ("run", "first", "second"),
    [
        (STUB, ["19 1/2", "66"], []),
        # 31 less 1/8 at each end; back to back as asked.
        (U_RUN, ["30 7/8", "30 7/8", "44 1/4"], []),
        # 98 less two eighths; the high spot an eighth nearer to the pipe's end than to the box.
        (BOX_TO_BOX, ["2 7/8", "3/8", "3/8", "40 7/8", "97 3/4"], []),
        (KICK, ["26 5/8", "57 7/8"], ["3"]),
        (ROLLED, ["7", "79 3/4"], ["5"]),
    ],
)
def test_check_dimensions_are_what_was_asked_less_what_the_ends_stop_short(run, first, second):
    found = views(run)
    assert [figures(drawing) for drawing in found] == [sorted(first), sorted(second)]


def test_a_four_bend_says_where_it_is_level_from():
    # Point of intersection at 44 less 1/8, and a tangent on: 5.424 tan 15 = 1.453.
    assert figures(views(DUCT)[0]) == sorted(["6 1/2", "45 5/16", "111 3/4"])


def test_a_must_hit_dimension_has_its_star_before_it():
    first, _ = views({**STUB, "stars": ["path[2].leg"]})
    (star,) = of(first, Polygon, "star")
    (starred,) = [item for item in of(first, Number) if item.spoken.startswith("66")]
    assert max(x for x, _ in star.points) < starred.at[0]


def test_a_tolerance_follows_its_dimension():
    assert "±1/16, never long" in words(views(STUB, tolerances={"path[2].leg": "±1/16, never long"})[0])


def test_dimension_lines_end_in_slashes_at_45_degrees():
    slashes = of(views(BOX_TO_BOX)[0], Line, "slash")
    sloped = [item for item in slashes if item.start[0] != item.end[0]]
    assert len(sloped) == 2 * 5
    assert all(one.end[0] - one.start[0] == pytest.approx(one.start[1] - one.end[1]) for one in sloped)


def test_dimensions_are_told_in_words_too():
    assert "overall 97 3/4 inches" in views(BOX_TO_BOX)[0].words


def test_a_metric_tape_shows_millimetres():
    assert "495 millimetres" in figures(views(STUB, tape="1 mm")[0])


@every_run
@pytest.mark.parametrize(("width", "text", "medium"), [(540, 17, "screen"), (356, 18, "screen"), (540, 26, "paper")])
def test_no_number_is_written_over_another_or_over_the_pipe_or_off_the_sheet(run, width, text, medium):
    for drawing in views(run, width=width, text=text, medium=medium):
        boxes = [box_of(item) for item in of(drawing, Number)]
        assert not [pair for pair in itertools.combinations(boxes, 2) if overlap(*pair)]
        assert not [box for box in boxes for tube in of(drawing, Tube) if runs_through(tube, box)]
        left, top, right, bottom = extent(drawing.items)
        assert left >= -1 and top >= -1 and right <= width + 1 and bottom <= drawing.height + 1


def runs_through(tube, box):
    """Whether the middle line of a pipe crosses the middle of a number."""
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    return any(
        math.dist(middle, (a[0] + (b[0] - a[0]) * s / 20, a[1] + (b[1] - a[1]) * s / 20)) < tube.width / 2
        for a, b in itertools.pairwise(tube.points)
        for s in range(21)
    )


# What is asked or wrong.


@pytest.mark.parametrize("look", ["lit", "bad"])
def test_a_place_in_the_document_can_be_made_to_stand_out(look):
    first, second = views(KICK, highlight={"path[0].features[0].rise": look})
    assert of(first, Tube, f"pipe-{look}") and of(second, Tube, f"pipe-{look}")
    assert [item.spoken for item in of(second, Number, f"number-{look}")] == ["3 inches"]


def test_a_lit_leg_lights_its_own_dimension_only():
    first, _ = views(STUB, highlight={"path[2].leg": "lit"})
    assert [item.spoken for item in of(first, Number, "number-lit")] == ["66 inches"]


def test_what_stands_in_the_way_is_hatched():
    first, second = views(DUCT)
    for drawing in (first, second):
        assert len(of(drawing, Polygon, "solid")) == 1
        assert of(drawing, Line, "hatch")


def test_the_pipe_is_seen_to_clear_what_it_goes_over():
    first, _ = views(DUCT)
    (duct,) = of(first, Polygon, "solid")
    top = min(y for _, y in duct.points)
    left, right = min(x for x, _ in duct.points), max(x for x, _ in duct.points)
    tube = of(first, Tube)[0]
    over = [y for x, y in tube.points if left <= x <= right] or [min(y for _, y in tube.points)]
    scale = tube.width / 0.922
    # Half an inch asked, between the duct's top and the pipe's underside.
    assert top - (max(over) + tube.width / 2) == pytest.approx(0.5 * scale, abs=1)


def test_a_run_that_can_t_be_laid_out_is_drawn_from_its_points():
    points = [(0, 0, 0), (46, 0, 0), (53, -3, 0), (53, -3, 20)]
    features = ["path[0].features[0]", "path[1]"]
    highlight = {"path[0].features[0].rise": "bad"}
    first, second = views_of_points(points, [6.61, 60.0], 1.163, features=features, highlight=highlight)
    assert of(first, Tube, "pipe-bad") and of(second, Number, "number-bad")


@pytest.mark.parametrize("points", [[(0, 0, 0), (40, 0, 0)], [(0, 0, 0), (20, 0, 0), (20, 0, 0), (40, 0, 0)]])
def test_a_straight_run_is_drawn_straight(points):
    first, _ = views_of_points(points, [5.0] * (len(points) - 2), 0.922)
    assert figures(first) == ["40"]


def test_a_layout_that_can_t_be_folded_is_refused_not_drawn():
    found = layout(STUB)
    found["pieces"][0]["marks"][0]["station"] = 500
    with pytest.raises(Problems) as caught:
        shape_views(found)
    assert [problem.code for problem in caught.value.problems] == ["off_the_end"]


def in_two(found, at):
    """The same run from two pieces, joined by a coupling at `at` inches."""
    (piece,) = found["pieces"]
    near = [mark for mark in piece["marks"] if mark["station"] < at]
    far = [{**mark, "station": mark["station"] - at} for mark in piece["marks"] if mark["station"] >= at]
    pieces = [
        {**piece, "marks": near, "cut_length": at},
        {**piece, "marks": far, "cut_length": piece["cut_length"] - at},
    ]
    return {**found, "pieces": pieces}


def test_a_run_of_two_pieces_shows_its_coupling_and_the_same_dimensions():
    whole = layout(STUB)
    first, _ = shape_views(in_two(whole, 60.0))
    assert figures(first) == figures(shape_views(whole)[0])
    assert len(of(first, Polygon, "pipe")) == 1


def test_one_piece_can_be_drawn_by_itself():
    first, _ = shape_views(in_two(layout(STUB), 60.0), piece=1)
    # What is left of the leg of 66: cut length 82 1/4 less 60.
    assert figures(first) == ["22 1/4"]


def test_the_icon_fills_its_square_and_keeps_inside():
    icon = shape_icon(layout(U_RUN), 48)
    left, top, right, bottom = extent(icon.items)
    assert left >= -1 and top >= -1 and right <= 49 and bottom <= 49
    assert max(right - left, bottom - top) > 40


# The straight stick.


def flags(drawing):
    """Which way each arrow's flag flies: 1 to the right."""
    sheets = [item.points for item in of(drawing, Polygon, "flag") if len(item.points) == 3]
    return [1 if tip[0] > staff[0] else -1 for staff, tip, _ in sheets]


def staffs(drawing):
    return sorted(item.start[0] for item in of(drawing, Line, "mark") if item.end[1] - item.start[1] > 20)


@every_run
def test_marks_stand_in_their_order_and_number(run):
    found = layout(run)
    drawing = stick(found)
    marks = found["pieces"][0]["marks"]
    assert len(staffs(drawing)) == len(marks)
    assert [word for word in words(drawing) if word.isdigit()] == [str(mark["step"]) for mark in marks]
    assert [item.spoken for item in of(drawing, Number)][:-1] == [number(m["text"], (0, 0), 1).spoken for m in marks]


def test_the_far_end_s_number_is_what_the_tape_must_read_back():
    # Cut 82 1/4, last mark 13 1/2.
    assert of(stick(layout(STUB)), Number)[-1].spoken == "68 3/4 inches"


def test_the_flag_flies_to_the_side_where_the_bend_lies():
    found = layout(U_RUN)
    found["pieces"][0]["marks"][1]["hook"] = "end"
    assert flags(stick(found)) == [1, -1]


def test_zero_at_the_end_turns_the_stick_and_the_flags_round():
    found = layout(U_RUN)
    found["pieces"][0]["zero"] = "end"
    for mark in found["pieces"][0]["marks"]:
        mark.update({"from": "end", "hook": "end"})
    drawing = stick(found)
    assert flags(drawing) == [1, 1]
    assert [word for word in words(drawing) if word.isdigit()] == ["2", "1"]


def test_the_zero_block_is_fat_and_at_the_left():
    drawing = stick(layout(BOX_TO_BOX))
    (block,) = of(drawing, Polygon, "zero")
    assert max(x for x, _ in block.points) <= min(staffs(drawing))


def test_a_mark_measured_from_a_finished_back_says_so():
    found = layout(U_RUN)
    found["pieces"][0]["marks"][1].update({"from": "back of step 1", "mark": "star", "hook": "end", "text": '44 1/4"'})
    assert "from back of step 1" in words(stick(found))


@every_run
@pytest.mark.parametrize(("width", "text", "medium"), [(566, 17, "screen"), (356, 18, "screen"), (540, 28, "paper")])
def test_numbers_under_the_stick_never_touch(run, width, text, medium):
    drawing = stick(layout(run), width=width, text=text, medium=medium)
    boxes = [box_of(item) for item in of(drawing, Number)]
    assert not [pair for pair in itertools.combinations(boxes, 2) if overlap(*pair)]
    assert extent(drawing.items)[3] <= drawing.height + 1


def test_a_step_at_hand_is_lit_and_steps_done_are_dimmed():
    drawing = stick(layout(U_RUN), lit=2, done=[1])
    # 31 + 44 1/4 less the allowance, one gain and one take-up.
    assert [item.spoken for item in of(drawing, Number, "number-lit")] == ["65 7/8 inches"]
    assert len(of(drawing, Number, "number-done")) == 1


def test_a_stick_without_marks_can_be_drawn():
    found = layout(asked([{"leg": 40}], start={}, end={}))
    assert not of(stick(found), Number)


# Signs.


def test_the_four_marks_are_told_apart_by_outline():
    outlines = {mark: len(mark_sign(mark, True, (0, 0), 20)[0].points) for mark in ("arrow", "notch", "star", "centre")}
    assert sorted(outlines.values()) == [3, 4, 5, 10]


def test_a_mark_that_no_bender_has_is_refused():
    with pytest.raises(ValueError, match="no such mark"):
        mark_sign("teardrop", True, (0, 0), 20)


def test_the_hook_s_block_is_solid_for_zero_and_open_for_far():
    assert [hook_sign(zero, (0, 0), 20)[0].style for zero in (True, False)] == ["zero", "zero-open"]


# The clock: looking along the run left is on the left, looking back on the right (derived from the frame).


@pytest.mark.parametrize(
    ("roll", "hook", "hour"),
    [(0, "start", 12), (180, "end", 6), (90, "start", 9), (90, "end", 3), (270, "start", 3), (305.5, "start", 2)],
)
def test_the_stripe_stands_where_the_hand_sees_it(roll, hook, hour):
    assert shoe_clock(roll, hook).words.endswith(f"stripe at {hour} o'clock")


@pytest.mark.parametrize(("hook", "zero"), [("start", "start"), ("end", "start"), ("start", "end"), ("end", "end")])
@pytest.mark.parametrize(("line", "roll"), [("T", 0), ("B", 180), ("L", 90), ("R", 270)])
def test_the_letter_under_the_shoe_is_the_line_in_the_shoe(hook, zero, line, roll):
    letters = {item.words: item.at for item in of(shoe_clock(roll, hook, zero), Text)}
    under = min(letters, key=lambda letter: letters[letter][1])
    # The zero end names the sides: seen from the end, the run's left is its right.
    assert under == ({"L": "R", "R": "L"}.get(line, line) if zero == "end" else line)


def test_a_clock_refuses_an_end_that_is_none():
    with pytest.raises(ValueError, match="no such end"):
        shoe_clock(0, "far")


def test_a_number_s_width_grows_with_what_is_written():
    wide, narrow = number('98 13/16"', (0, 0), 20), number('3/8"', (0, 0), 20)
    assert number_width(wide) > number_width(narrow) > 0
    assert number_width(replace(wide, size=40)) == pytest.approx(2 * number_width(wide))
