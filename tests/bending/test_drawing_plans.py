"""Rack plans and saw plans. Cut plans and spacings are the tests' own; sums are done by hand beside them."""

import math
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from bending.cutplan import cutplan
from bending.drawing import PENS, Circle, Line, Number, Polygon, Text, Tube, rack_plan, saw_plan, to_svg
from bending.drawing.boxes import extent
from bending.drawing.rackplan import cut_alike
from bending.drawing.wire import shift, wire_of_fold
from bending.fold import fold
from bending.layout import layout

# Take-up and gain of a usual 3/4 EMT hand shoe: common practice, no source.
BENDER = {"take_up": 6, "gain": 3.25}


def of(drawing, kind, *styles):
    return [item for item in drawing.items if isinstance(item, kind) and (not styles or item.style in styles)]


def words(drawing):
    return [item.words for item in of(drawing, Text)]


def figures(drawing):
    return [item.spoken.removesuffix(" inches") for item in of(drawing, Number)]


def pipe(*path):
    run = {"format": "run/1", "raceway": "EMT", "size": "3/4", "bender": BENDER, "measure": "back", "path": list(path)}
    return layout(run)


def rack(turn, step, count=4):
    """Through a corner, each next pipe's legs longer by `step`: a same-radius 90 needs the spacing, or less it."""
    return [pipe({"leg": 46 + step * k}, {"corner": 90, "turn": turn}, {"leg": 60 + step * k}) for k in range(count)]


STRAIGHT = [pipe({"leg": 30})] * 3


# Rack plan.


def test_every_pipe_has_its_number_at_both_ends():
    drawing = rack_plan(rack("right", 2.5), ["2 1/2"])
    discs = of(drawing, Circle, "disc")
    said = [word for word in words(drawing) if word.isdigit()]
    assert len(discs) == 8 and said == ["1", "1", "2", "2", "3", "3", "4", "4"]


def test_no_disc_touches_its_neighbour():
    discs = of(rack_plan(rack("right", 1.25), [1.25]), Circle, "disc")
    nearest = min(math.dist(a.centre, b.centre) - a.radius - b.radius for a in discs for b in discs if a is not b)
    assert nearest > 0


def test_the_spacing_stands_once():
    assert figures(rack_plan(rack("right", 2.5), ["2 1/2"])) == ["2 1/2"]


def test_spacings_that_differ_stand_each():
    assert figures(rack_plan(STRAIGHT, [2.5, 4])) == ["2 1/2", "4"]
    assert figures(rack_plan([STRAIGHT[0]] * 4, [2.5, 2.5, 4])) == ["2 1/2", "4"]


@pytest.mark.parametrize(
    ("turn", "side", "step", "said"),
    [
        ("right", "left", 2.5, "1: inside the corner"),
        ("left", "left", -2.5, "1: outside the corner"),
        ("left", "right", 2.5, "1: inside the corner"),
        ("right", "right", -2.5, "1: outside the corner"),
    ],
)
def test_number_1_is_told_by_the_first_corner(turn, side, step, said):
    assert said in words(rack_plan(rack(turn, step), [2.5], side=side))


def test_number_1_is_named_as_he_named_it():
    assert "1: nearest the panel" in words(rack_plan(STRAIGHT, [2], number_1="nearest the panel"))


def test_a_rack_that_turns_out_of_its_plane_has_no_inside():
    up = [pipe({"leg": 30}, {"corner": 90, "turn": "out"}, {"leg": 20})] * 3
    assert not [word for word in words(rack_plan(up, [2])) if word.startswith("1:")]


@pytest.mark.parametrize(("side", "way"), [("left", -1), ("right", 1)])
def test_the_others_lie_toward_the_side_that_was_said(side, way):
    """Seen from out, the run going to the right, left is up on the sheet."""
    discs = [circle.centre[1] for circle in of(rack_plan(STRAIGHT, [2], side=side), Circle, "disc")]
    assert (discs[-1] - discs[0]) * way > 10


def test_long_pipes_stay_as_far_apart_as_they_are_when_their_straights_are_cut_out():
    """A same-radius 90 keeps the spacing on both legs."""
    made = rack("right", 2.5)
    wires = [shift(wire_of_fold(fold(one), 0.922), (0, 2.5 * k, 0)) for k, one in enumerate(made)]
    short = cut_alike(wires, 6)
    assert short[0].straights[0].length < wires[0].straights[0].length
    for one, other in pairwise(short):
        assert other.straights[0].start[1] - one.straights[0].start[1] == pytest.approx(2.5)
        assert other.straights[1].start[0] - one.straights[1].start[0] == pytest.approx(2.5)


def test_pipes_are_drawn_as_far_apart_as_their_scale_says():
    drawing = rack_plan(STRAIGHT, [2, 3])
    ys = [tube.points[0][1] for tube in of(drawing, Tube)]
    scale = of(drawing, Tube)[0].width / 0.922
    assert [abs(b - a) / scale for a, b in pairwise(ys)] == pytest.approx([2, 3])


@pytest.mark.parametrize(("spacings", "side"), [([2, 2, 2], "left"), ([], "left"), ([2], "up")])
def test_a_wrong_number_of_spacings_or_no_side_is_refused(spacings, side):
    with pytest.raises(ValueError):
        rack_plan(STRAIGHT, spacings, side=side)


@pytest.mark.parametrize("medium", ["screen", "paper"])
@pytest.mark.parametrize("width", [320, 390, 540])
def test_a_rack_stays_on_its_sheet(width, medium):
    document = {"start": {"to": "riser"}, "end": {"to": "over room 230"}}
    for made in (rack("right", 2.5), rack("left", -2.5), STRAIGHT):
        drawing = rack_plan(made, [2.5], document=document, width=width, medium=medium)
        left, top, right, bottom = extent(drawing.items)
        assert left >= -1 and top >= -1 and right <= width + 1 and bottom <= drawing.height + 1
        assert {item.style for item in drawing.items} <= set(PENS)
        assert {"A ends: riser", "B ends: over room 230"} <= set(words(drawing))


def test_the_rack_is_told_in_words_too():
    told = ET.fromstring(to_svg(rack_plan(rack("right", 2.5), [2.5]))).find("{*}title").text
    assert told == "Plan of a rack of 4, 2 1/2 inches centre to centre; 1 is inside the corner"


# Saw plan.

PARTS = {"stick": 120, "kerf": 0.0625, "pieces": [98.8125, 82.25, 31.25, 50.375], "drops": [55], "useful": 18}
TAGS = ["K-07", "S-04", "S-05", "B-11"]


def sawn(parts=PARTS, tags=TAGS, **wishes):
    return saw_plan(cutplan(parts), parts, tags, **wishes)


def bars(drawing):
    return [item for item in of(drawing, Polygon, "pipe")]


def wide(item):
    return max(x for x, _ in item.points) - min(x for x, _ in item.points)


def test_off_cuts_come_first_and_every_bar_says_what_it_is():
    said = [word for word in words(sawn()) if word.startswith(("off-cut", "stick"))]
    assert said == ["off-cut, 55″", "stick 1, 120″", "stick 2, 120″"]


def test_every_cut_has_its_tag_and_its_length():
    drawing = sawn()
    assert {"K-07", "S-04", "S-05", "B-11"} <= set(words(drawing))
    # And 120 - 98 13/16 - 1/16 goes back to the rack.
    assert sorted(figures(drawing)) == sorted(["50 3/8", "98 13/16", "82 1/4", "31 1/4", "21 1/8"])


def test_bars_are_true_to_one_scale():
    assert [wide(item) / wide(bars(sawn())[0]) for item in bars(sawn())] == pytest.approx(
        [1, 98.8125 / 50.375, 82.25 / 50.375, 31.25 / 50.375]
    )


def test_a_blade_follows_every_cut_that_something_is_left_of():
    # The off-cut once, one piece once, the two pieces twice: 120 - 113 1/2 is left of them.
    assert len(of(sawn(), Line, "saw")) == 4


def test_an_end_that_is_used_whole_has_no_blade():
    assert not of(sawn({"stick": 120, "kerf": 0.0625, "pieces": [120]}, ["K-1"]), Line, "saw")


def test_a_trimmed_stick_shows_the_first_cut_too():
    # 120 less 1/4 and 60, and two blades: the trim's own is in the trim.
    drawing = sawn({"stick": 120, "kerf": 0.0625, "trim": 0.25, "pieces": [60]}, ["K-1"])
    assert len(of(drawing, Line, "saw")) == 2
    assert sorted(figures(drawing)) == ["59 11/16", "60"]


def test_scrap_is_crossed_out_and_what_is_kept_is_open():
    drawing = sawn()
    # Scrap of the off-cut and of the second stick: two strokes each; the kept end has no end.
    assert len(of(drawing, Polygon, "open")) == 2 and len(of(drawing, Line, "dim")) == 4
    kept = [item for item in drawing.items if item.style == "cut"]
    assert len(kept) == 2 and all(item.points[0][1] == item.points[1][1] for item in kept)
    assert "to rack" in words(sawn(width=900))


def test_a_cut_too_short_for_words_says_them_under_it_in_its_own_row():
    drawing = sawn({"stick": 120, "kerf": 0.0625, "pieces": [109, 3, 3, 3]}, ["S-1", "S-2", "S-3", "S-4"])
    rows = {item.words: item.at for item in of(drawing, Text) if item.words.startswith("S-")}
    hung = [rows[tag] for tag in ("S-2", "S-3", "S-4")]
    assert len({y for _, y in hung}) == 3 and min(y for _, y in hung) > rows["S-1"][1]
    assert len(of(drawing, Line, "ext")) == 3


def test_pieces_without_tags_are_counted():
    assert "no. 2" in words(sawn(tags=["K-07"]))


@pytest.mark.parametrize(("width", "text", "medium"), [(360, 16, "screen"), (566, 17, "screen"), (540, 24, "paper")])
def test_a_saw_plan_stays_on_its_sheet(width, text, medium):
    parts = {**PARTS, "pieces": [98.8125, 82.25, 31.25, 50.375, 12, 12, 4.5, 3, 3, 119, 7]}
    drawing = sawn(parts, [f"T-{number}" for number in range(11)], width=width, text=text, medium=medium)
    left, top, right, bottom = extent(drawing.items)
    assert left >= -1 and top >= -1 and right <= width + 1 and bottom <= drawing.height + 1
    assert {item.style for item in drawing.items} <= set(PENS)


def test_the_saw_plan_is_told_in_words_too():
    told = sawn().words
    assert "off-cut, 55″: B-11 50 3/8 inches" in told and "S-04 82 1/4 inches, S-05 31 1/4 inches" in told


def test_an_empty_plan_is_an_empty_sheet():
    assert saw_plan({"sticks": []}, {"pieces": []}).items == ()
