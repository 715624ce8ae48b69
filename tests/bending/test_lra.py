"""Length, rotation, angle: two parts worked by hand, and tables turned back into points."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bending.fold import fold
from bending.lra import developed_length, lra, points
from bending.problems import Problems
from tests.bending.printed import of

OUT = (0.0, 0.0, 1.0)
WORKED = of("lra")
# Worked out by hand for these tests, not published.
SQUARE_U = ((0, 0, 0), (100, 0, 0), (100, 100, 0), (100, 100, 100))

turns = st.tuples(st.floats(1, 60), st.floats(-179.9, 180), st.floats(1, 170))
tables_of_turns = st.lists(turns, min_size=1, max_size=8)


def columns(table):
    return [row.length for row in table], [row.rotation for row in table[:-1]], [row.angle for row in table[:-1]]


def code(*arguments, **options):
    with pytest.raises(Problems) as caught:
        lra(*arguments, **options)
    return [(problem.at, problem.code) for problem in caught.value.problems]


def walked(chosen):
    """Points of a table of (length, rotation, angle), by quaternions: a second opinion on the frames of the module."""
    place, turn, found = (0.0, 0.0, 0.0), (1.0, 0.0, 0.0, 0.0), [(0.0, 0.0, 0.0)]
    for length, rotation, angle in [*chosen, (7.0, 0.0, 0.0)]:
        place = tuple(a + length * b for a, b in zip(place, rotated(turn, (1, 0, 0)), strict=True))
        found.append(place)
        # The bench's axes move with the tube: x ahead, z to the inside, so a bend turns about minus y.
        turn = times(times(turn, about((1, 0, 0), rotation)), about((0, -1, 0), angle))
    return found


def about(axis, degrees):
    half = math.radians(degrees) / 2
    return (math.cos(half), *(math.sin(half) * part for part in axis))


def times(p, q):
    a, b, c, d = p
    e, f, g, h = q
    return (
        a * e - b * f - c * g - d * h,
        a * f + b * e + c * h - d * g,
        a * g - b * h + c * e + d * f,
        a * h + b * g - c * f + d * e,
    )


def rotated(turn, way):
    w, x, y, z = turn
    return times(times(turn, (0, *way)), (w, -x, -y, -z))[1:]


@pytest.mark.parametrize("worked", WORKED, ids=lambda one: one["id"])
def test_lengths_rotations_and_angles_of_a_worked_part(worked):
    """Our own arithmetic, not published."""
    lengths, rotations, angles = columns(lra([tuple(point) for point in worked["inputs"]["points"]]))
    answer, near = worked["answer"], worked["precision"]
    assert lengths == pytest.approx(answer["length"], abs=near)
    assert angles == pytest.approx(answer["angle"], abs=near)
    assert rotations == pytest.approx([0, *answer["rotation"]], abs=near)


def test_straights_and_arcs_with_a_radius():
    """G02 with a radius of 30, worked by hand: 100 less one or two tangents of 30; arcs of 30 pi / 2."""
    table = lra(SQUARE_U, 30)
    assert [row.straight for row in table] == pytest.approx([70, 40, 70])
    assert [row.arc for row in table] == pytest.approx([15 * math.pi, 15 * math.pi, 0])
    assert developed_length(table) == pytest.approx(274.248, abs=5e-4)


def test_each_bend_may_have_its_own_radius():
    assert [row.straight for row in lra(SQUARE_U, [30, 20])] == pytest.approx([70, 50, 80])


def test_one_straight_is_a_table_of_one_row():
    (row,) = lra(((0, 0, 0), (3, 4, 12)))
    assert (row.length, row.straight, row.rotation, row.angle) == (13, 13, None, None)


@given(tables_of_turns)
def test_points_of_a_table_are_those_of_a_second_way_of_turning(chosen):
    expected = walked(chosen)
    found = points(lra(expected, out=OUT))
    assert max(math.dist(a, b) for a, b in zip(found, expected, strict=True)) < 1e-6


@given(tables_of_turns)
def test_a_table_comes_back_from_its_points(chosen):
    lengths, rotations, angles = columns(lra(walked(chosen), out=OUT))
    assert lengths == pytest.approx([*(length for length, _, _ in chosen), 7], abs=1e-6)
    assert angles == pytest.approx([angle for _, _, angle in chosen], abs=1e-6)
    for found, (_, rotation, _) in zip(rotations, chosen, strict=True):
        assert math.cos(math.radians(found - rotation)) == pytest.approx(1, abs=1e-9)


@given(tables_of_turns, st.floats(-180, 180))
def test_how_the_part_lies_changes_only_the_first_rotation(chosen, turned):
    part = walked(chosen)
    moved = [tuple(a + 5 for a in rotated(about((0.6, 0.8, 0), turned), point)) for point in part]
    lengths, rotations, angles = columns(lra(moved))
    expected = columns(lra(part))
    assert rotations[0] == 0
    assert lengths == pytest.approx(expected[0], abs=1e-6)
    assert angles == pytest.approx(expected[2], abs=1e-6)
    for found, other in zip(rotations, expected[1], strict=True):
        assert math.cos(math.radians(found - other)) == pytest.approx(1, abs=1e-9)


@given(tables_of_turns)
def test_a_mirrored_part_turns_the_other_way(chosen):
    rotations = columns(lra(walked(chosen)))[1]
    mirrored = columns(lra([(x, -y, z) for x, y, z in walked(chosen)]))[1]
    for one, other in zip(rotations, mirrored, strict=True):
        assert math.cos(math.radians(one + other)) == pytest.approx(1, abs=1e-9)


@given(st.integers(-11, 12), st.integers(-11, 12))
def test_rotation_is_minus_the_growth_of_a_layout_s_roll(first, second):
    rolls = first * 15, second * 15
    marks = [
        {"step": n, "station": 20 * n, "mark": "arrow", "hook": "start", "angle": 40, "roll": roll}
        for n, roll in enumerate(rolls, start=1)
    ]
    shoe = {"radius": 4, "arrow_lead": 0, "outside_diameter": 0.7}
    folded = fold({"format": "layout/1", "bender": shoe, "pieces": [{"cut_length": 70, "marks": marks}]})
    table = lra([tuple(point) for point in folded["pieces"][0]["points"]], 4, out=OUT)
    growth = [rolls[0], rolls[1] - rolls[0]]
    for row, grown in zip(table, growth, strict=False):
        assert math.cos(math.radians(row.rotation + grown)) == pytest.approx(1, abs=1e-9)
    assert developed_length(table) == pytest.approx(70)


@given(tables_of_turns, st.floats(0.01, 5))
def test_developed_length_is_the_broken_line_less_the_gains(chosen, radius):
    tangents = [radius * math.tan(math.radians(angle) / 2) for _, _, angle in chosen]
    assume(all(a + b < length for a, b, (length, _, _) in zip([0, *tangents], tangents, chosen, strict=False)))
    assume(tangents[-1] < 7)
    gains = sum(2 * t - radius * math.radians(angle) for t, (_, _, angle) in zip(tangents, chosen, strict=True))
    broken = sum(length for length, _, _ in chosen) + 7
    assert developed_length(lra(walked(chosen), radius)) == pytest.approx(broken - gains, abs=1e-6)


@pytest.mark.parametrize(
    ("places", "options", "expected"),
    [
        ([(0, 0, 0)], {}, [("points", "too_few_points")]),
        ([(0, 0, 0), (1, math.nan, 0)], {}, [("points[1]", "not_finite")]),
        ([(0, 0, 0), (1, 0, 0), (1, 0, 0)], {}, [("points[2]", "same_place")]),
        ([(0, 0, 0), (1, 0, 0), (2, 0, 0)], {}, [("points[1]", "no_bend")]),
        ([(0, 0, 0), (2, 0, 0), (1, 0, 0)], {}, [("points[1]", "doubles_back")]),
        (SQUARE_U, {"radius": 60}, [("points[1]", "overlap")]),
        (SQUARE_U, {"radius": -1}, [("radius", "bad_radius")]),
        (SQUARE_U, {"radius": [3]}, [("radius", "bad_radius")]),
        (SQUARE_U, {"out": (1, 0, 0)}, [("out", "no_direction")]),
    ],
)
def test_a_centreline_that_is_no_part_is_refused_in_its_place(places, options, expected):
    assert code(places, **options) == expected
