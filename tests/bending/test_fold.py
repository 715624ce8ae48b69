"""Folding: hand-derived shapes, and rotation matrices from a general-purpose library (numpy) as the second opinion."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bending.fold import fold
from bending.problems import Problems
from tests.bending.printed import row

R, LEAD, OD = 5.424, 0.115, 0.922
QUARTER = R * math.pi / 2


def mark(step, station, angle=90.0, roll=0.0, *, kind="arrow", hook="start", **more):
    return {"step": step, "station": station, "mark": kind, "hook": hook, "angle": angle, "roll": roll, **more}


def stick(*marks, length=60.0, **more):
    return {"cut_length": length, "gap": 0, "marks": list(marks), **more}


def layout(*pieces):
    shoe = {"radius": R, "arrow_lead": LEAD, "outside_diameter": OD}
    return {"format": "layout/1", "tag": "T-1", "bender": shoe, "pieces": list(pieces)}


def points(*pieces, **options):
    return [piece["points"] for piece in fold(layout(*pieces), **options)["pieces"]]


def near(expected):
    return [pytest.approx(point, abs=1e-9) for point in expected]


def unit(direction):
    return direction / np.linalg.norm(direction)


def codes(document, **options):
    with pytest.raises(Problems) as caught:
        fold(document, **options)
    return [(problem.at, problem.code) for problem in caught.value.problems]


# A stick with one bend, worked by hand: the straight before, T to the crossing, T and the straight after.


def test_a_stick_without_marks_stays_straight():
    assert points(stick()) == [near([(0, 0, 0), (60, 0, 0)])]


def test_hook_to_the_start_bends_past_the_arrow():
    # 20 + lead straight, then R to the crossing of a 90 and R after it.
    up = R + 60 - (20 + LEAD + QUARTER)
    expected = [(0, 0, 0), (20 + LEAD + R, 0, 0), (20 + LEAD + R, 0, up)]
    assert points(stick(mark(1, 20))) == [near(expected)]


def test_hook_to_the_end_bends_before_the_arrow():
    low = 40 - LEAD - QUARTER
    assert points(stick(mark(1, 40, hook="end")))[0][1] == pytest.approx([low + R, 0, 0])


def test_turning_the_hook_round_moves_the_bend_by_twice_the_lead_and_the_arc():
    start = points(stick(mark(1, 30)))[0][1][0]
    end = points(stick(mark(1, 30, hook="end")))[0][1][0]
    assert start - end == pytest.approx(2 * LEAD + QUARTER)


@pytest.mark.parametrize("hook", ["start", "end"])
def test_the_notch_is_the_middle_of_a_45_whichever_way_the_hook_faces(hook):
    bend = fold(layout(stick(mark(1, 30, 45, kind="notch", hook=hook))))["pieces"][0]["bends"][0]
    assert sum(bend["stations"]) / 2 == pytest.approx(30)


@pytest.mark.parametrize(("hook", "side"), [("start", 1), ("end", -1)])
def test_the_notch_is_not_the_middle_of_a_60(hook, side):
    bend = fold(layout(stick(mark(1, 30, 60, kind="notch", hook=hook))))["pieces"][0]["bends"][0]
    assert sum(bend["stations"]) / 2 == pytest.approx(30 + side * R * math.radians(15) / 2)


@pytest.mark.parametrize(("hook", "side"), [("start", -1), ("end", 1)])
def test_the_star_is_where_the_back_of_a_90_comes(hook, side):
    # Back of the bend: R + d/2 beyond the tangent point on the far side of the hook.
    bend = fold(layout(stick(mark(1, 30, kind="star", hook=hook))))["pieces"][0]["bends"][0]
    tangent = bend["stations"][1] if hook == "start" else bend["stations"][0]
    assert tangent + side * (R + OD / 2) == pytest.approx(30)


def test_a_centre_mark_is_the_middle_at_any_angle():
    bend = fold(layout(stick(mark(1, 30, 72, kind="centre", hook="none"))))["pieces"][0]["bends"][0]
    assert bend["stations"] == pytest.approx([30 - R * math.radians(36), 30 + R * math.radians(36)])


@pytest.mark.parametrize(("roll", "way"), [(0, (0, 0, 1)), (90, (0, 1, 0)), (180, (0, 0, -1)), (270, (0, -1, 0))])
def test_the_line_in_the_shoe_is_the_way_the_bend_goes(roll, way):
    _, crossing, end = map(np.array, points(stick(mark(1, 20, roll=roll)))[0])
    assert unit(end - crossing) == pytest.approx(way)


# Several bends.


def test_two_opposite_bends_leave_the_ends_parallel_and_the_rise_between_them():
    # Rise of an offset: the straight and both tangents along the slope, times the sine.
    document = stick(mark(1, 10, 30), mark(2, 30, 30, roll=180))
    _, b, c, d = points(document)[0]
    between = 20 - R * math.radians(30) + 2 * R * math.tan(math.radians(15))
    assert c[2] - b[2] == pytest.approx(between * math.sin(math.radians(30)))
    assert d[2] == pytest.approx(c[2])


def test_a_crank_of_three_quarter_bends_walks_round_three_axes():
    # The carried top: out, then left of the carried frame, then out again.
    document = stick(mark(1, 10), mark(2, 30, roll=90), mark(3, 50, roll=0), length=70)
    legs = np.diff(np.array(points(document)[0]), axis=0)
    assert [unit(leg) for leg in legs] == near([(1, 0, 0), (0, 0, 1), (0, 1, 0), (-1, 0, 0)])


def matrix_fold(bends, length):
    """The same stick by rotation matrices of a moving frame, PIs only (numpy; no code in common with fold)."""
    place, frame, here, found = np.zeros(3), np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1.0]]).T, 0.0, [np.zeros(3)]
    for station, angle, roll in bends:
        r, a = math.radians(roll), math.radians(angle)
        tangent = R * math.tan(a / 2)
        corner = place + frame[:, 0] * (station + LEAD - here + tangent)
        spin = np.array([[1, 0, 0], [0, math.cos(r), math.sin(r)], [0, -math.sin(r), math.cos(r)]])
        pitch = np.array([[math.cos(a), 0, -math.sin(a)], [0, 1, 0], [math.sin(a), 0, math.cos(a)]])
        frame = frame @ spin @ pitch @ spin.T
        place, here = corner + frame[:, 0] * tangent, station + LEAD + R * a
        found.append(corner)
    return [*found, place + frame[:, 0] * (length - here)]


steps = st.lists(
    st.tuples(st.floats(0.5, 20), st.floats(1, 135), st.floats(0, 359.9)),
    min_size=1,
    max_size=12,
)


@given(steps)
def test_any_stick_agrees_with_rotation_matrices(rows):
    bends, here = [], 0.0
    for straight, angle, roll in rows:
        bends.append((here + straight - LEAD, angle, roll))
        here += straight + R * math.radians(angle)
    marks = [mark(i, *bend) for i, bend in enumerate(bends, 1)]
    (folded,) = points(stick(*marks, length=here + 5))
    assert np.array(folded) == pytest.approx(np.array(matrix_fold(bends, here + 5)), abs=1e-7)


@given(steps)
def test_the_folded_line_is_as_long_as_the_stick(rows):
    marks, here = [], 0.0
    for i, (straight, angle, roll) in enumerate(rows, 1):
        marks.append(mark(i, here + straight - LEAD, angle, roll))
        here += straight + R * math.radians(angle)
    (piece,) = fold(layout(stick(*marks, length=here + 5)))["pieces"]
    legs = np.linalg.norm(np.diff(np.array(piece["points"]), axis=0), axis=1).sum()
    corners = sum(R * (2 * math.tan(math.radians(a) / 2) - math.radians(a)) for _, a, _ in rows)
    assert legs - corners == pytest.approx(piece["length"], abs=1e-7)


def test_the_order_of_bending_changes_nothing():
    marks = [mark(1, 10, 30), mark(2, 30, 45, 90), mark(3, 45, 20, 200)]
    assert points(stick(*marks)) == points(stick(marks[2], marks[0], marks[1]))


@pytest.mark.parametrize("case", ["G02", "G03"])
def test_length_rotation_angle_rows(case):
    """Rows G02 and G03 are derived, not published: they check the turning, and count as no published check."""
    asked_for = row(case)
    assert not asked_for["counts"]
    angles, lengths = asked_for["answer"]["angle"], asked_for["answer"]["length"]
    small, here, marks, roll = 0.5, 0.0, [], 0.0
    tangents = [small * math.tan(math.radians(a) / 2) for a in angles]
    for i, angle in enumerate(angles):
        roll += asked_for["answer"]["rotation"][i - 1] if i else 0
        here += lengths[i] - tangents[i] - (tangents[i - 1] if i else 0)
        marks.append(mark(i + 1, here, angle, roll % 360))
        here += small * math.radians(angle)
    document = layout(stick(*marks, length=here + lengths[-1] - tangents[-1]))
    document["bender"].update(radius=small, arrow_lead=0)
    folded, asked = np.array(fold(document)["pieces"][0]["points"]), np.array(asked_for["inputs"]["points"], float)
    # The row fixes the shape, not where it stands or how it was turned: distances and handedness say it all.
    assert distances(folded) == pytest.approx(distances(asked), abs=asked_for["precision"])
    for i in range(len(asked) - 3):
        assert abs(twist(folded[i : i + 4])) == pytest.approx(abs(twist(asked[i : i + 4])), abs=0.01)


def distances(found):
    return np.linalg.norm(found[:, None] - found[None, :], axis=2)


def twist(four):
    return np.linalg.det(np.diff(four, axis=0))


# Pieces, joints, pencil.


def test_the_next_piece_goes_on_in_line_across_the_gap():
    first, second = points(stick(mark(1, 20), gap=0.25), stick(length=10))
    assert np.array(second) - np.array(first[-1]) == pytest.approx(np.array([(0, 0, 0.25), (0, 0, 10.25)]))


def test_the_top_line_runs_on_through_a_joint():
    ((*_, crossing, end),) = points(stick(mark(1, 20), length=40), stick(mark(1, 10, roll=90), length=40))[1:]
    assert unit(np.subtract(end, crossing)) == pytest.approx([0, 1, 0])


def test_rounded_marks_are_folded_as_pencilled():
    exact = stick(mark(1, 20.03, text='20"', **{"from": "start"}), length=60.04, cut='60 1/16"')
    (folded,) = points(exact, rounded=True)
    (expected,) = points(stick(mark(1, 20), length=60.0625))
    assert folded == near(expected)


def test_a_mark_measured_from_the_end_counts_back_from_the_cut():
    exact = stick(mark(1, 20.03, text='40"', **{"from": "end"}), length=60, cut='60 1/16"')
    bend = fold(layout(exact), rounded=True)["pieces"][0]["bends"][0]
    assert bend["stations"][0] == pytest.approx(20.0625 + LEAD)


def test_a_mark_measured_from_a_finished_back_swallows_the_first_bend_s_error():
    first = mark(1, 20.03, text='20"', **{"from": "start"})
    star = mark(2, 60, kind="star", hook="end", text='40"', **{"from": "back of step 1"})
    low, high = fold(layout(stick(first, star, length=100)), rounded=True)["pieces"][0]["bends"]
    # Back to back: R + d/2 at either end of the straight between.
    assert high["stations"][0] - low["stations"][1] + 2 * (R + OD / 2) == pytest.approx(40)


# What can't be folded is refused, each fault at its place.


def test_bends_that_run_into_each_other_are_refused():
    assert codes(layout(stick(mark(1, 20), mark(2, 25)))) == [("pieces[0].marks", "overlap")]


def test_a_bend_that_runs_off_either_end_is_refused():
    assert codes(layout(stick(mark(1, 55)))) == [("pieces[0].marks", "off_the_end")]
    assert codes(layout(stick(mark(1, 5, hook="end")))) == [("pieces[0].marks", "overlap")]


def test_every_fault_of_a_layout_is_named_at_once():
    broken = layout(stick({"step": 1, "station": "x", "mark": "arrow", "hook": "none", "angle": 0, "roll": 1e300}))
    broken["bender"]["radius"] = float("nan")
    assert codes(broken) == [
        ("bender.radius", "out_of_range"),
        ("pieces[0].marks[0].station", "not_a_number"),
        ("pieces[0].marks[0].hook", "unknown_word"),
        ("pieces[0].marks[0].angle", "out_of_range"),
        ("pieces[0].marks[0].roll", "out_of_range"),
    ]


def test_a_centre_mark_has_no_hook():
    assert codes(layout(stick(mark(1, 20, kind="centre")))) == [("pieces[0].marks[0].hook", "unknown_word")]


@pytest.mark.parametrize("document", [{}, [], None, {"format": "layout/1", "bender": 3, "pieces": {}}])
def test_what_is_no_layout_is_refused(document):
    assert codes(document)


def test_two_marks_of_one_step_are_refused():
    assert codes(layout(stick(mark(1, 20), mark(1, 40)))) == [("pieces[0].marks", "step_twice")]


def test_pencilled_marks_need_their_text():
    assert codes(layout(stick(mark(1, 20))), rounded=True) == [("pieces[0].marks[0].text", "missing")]
