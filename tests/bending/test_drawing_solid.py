"""The finished pipe as data for a view that can be turned."""

import json
import math
from itertools import pairwise

import pytest

from bending.drawing import solid
from bending.fold import fold
from bending.layout import layout

# Take-up and gain of a usual 3/4 EMT hand shoe: common practice, no source.
BENDER = {"take_up": 6, "gain": 3.25}


def asked(*path, **more):
    run = {"format": "run/1", "raceway": "EMT", "size": "3/4", "bender": BENDER, "path": list(path)}
    return {**run, **more}


SHORT = asked({"leg": 12}, {"corner": 90, "turn": "out"}, {"leg": 12})
LONG = asked({"leg": 90}, {"corner": 90, "turn": "left"}, {"leg": 40}, {"corner": 90, "turn": "out"}, {"leg": 12})


def of(run, **document):
    return solid(layout(run), {**run, **document})


def test_a_short_pipe_is_given_as_it_is():
    found, folded = of(SHORT), fold(layout(SHORT))["pieces"][0]
    assert found["points"] == [pytest.approx(point, abs=1e-4) for point in folded["points"]]
    assert found["radii"] == [pytest.approx(bend["radius"], abs=1e-4) for bend in folded["bends"]]
    assert found["breaks"] == []


def test_long_straights_are_short_and_named_and_nothing_turns():
    found, folded = of(LONG), fold(layout(LONG))["pieces"][0]
    assert found["breaks"] == [0, 1]
    assert math.dist(*found["points"][:2]) < 40
    for way, true in zip(ways(found["points"]), ways(folded["points"]), strict=True):
        assert way == pytest.approx(true, abs=1e-6)


def ways(points):
    steps = [[b - a for a, b in zip(one, other, strict=True)] for one, other in pairwise(points)]
    return [[size / math.hypot(*step) for size in step] for step in steps]


@pytest.mark.parametrize(
    ("document", "right", "up"),
    [
        ({}, [1, 0, 0], [0, 0, 1]),
        ({"mount": "ceiling"}, [0, 1, 0], [0, 0, -1]),
        ({"mount": "deck"}, [0, -1, 0], [1, 0, 0]),
        ({"mount": "wall", "heads": "up"}, [0, -1, 0], [1, 0, 0]),
        ({"mount": "wall", "heads": "my left"}, [-1, 0, 0], [0, -1, 0]),
    ],
)
def test_it_begins_as_he_sees_it_who_hangs_it(document, right, up):
    """Travel is +x, out +z, left +y; a free run begins with the square view that shows its bend."""
    found = of(SHORT, **document)
    assert (found["right"], found["up"]) == (right, up)


def test_it_says_on_what_it_hangs():
    assert [of(SHORT, **one)["mount"] for one in ({}, {"mount": "wall"}, {"mount": "deck"})] == ["free", "wall", "deck"]


def test_it_is_told_in_words_from_where_he_stands():
    words = of(LONG, mount="ceiling", end={"to": "switch box"})["words"]
    assert "2 bends; from A it goes AHEAD, then to YOUR RIGHT, then DOWN" in words
    assert "B the end, switch box" in words and "ceiling" in words


def test_a_free_run_is_told_in_the_frame_s_words():
    assert "along the run, then left, then out" in of(LONG)["words"]


def test_a_straight_pipe_has_no_bends_to_tell():
    found = of(asked({"leg": 75}))
    assert "0 bends" in found["words"] and found["radii"] == [] and found["breaks"] == [0]


def test_the_zero_end_is_the_piece_s_own():
    assert of(SHORT)["zero"] == "start"
    made = layout(SHORT)
    made["pieces"][0]["zero"] = "end"
    assert solid(made)["zero"] == "end"


def test_it_is_plain_json():
    found = of(LONG, mount="ceiling")
    assert json.loads(json.dumps(found)) == found
