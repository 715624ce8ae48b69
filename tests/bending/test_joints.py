"""Long runs: where they are joined, and that the pieces fold up to the run."""

from __future__ import annotations

import math
from itertools import combinations, pairwise
from time import process_time
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from bending import tables
from bending.fold import fold
from bending.layout import layout
from bending.problems import Problems
from bending.sticks import Span, Stock, joints, pieces
from tests.bending.documents import THREE_QUARTER, Document, corner, feature, leg, run, runs
from tests.bending.test_fold_is_path import solved

# A wall run: box, jog up 4 1/2 at 92, then up the wall to a box. The expected pieces are worked out by hand: one whole
# stick, and what is left of 214.1 less the 1/8 of a coupling's stop.
HOME_RUN = run(
    leg(
        161,
        feature("box_offset", at="start", rise="3/8", angle=10, tail=2),
        feature("offset", at=92, holds="far", rise="4 1/2", turn="left", angle=30),
    ),
    corner(90),
    leg("55 1/2"),
    size="3/4", bender=THREE_QUARTER, measure="back", start={"allowance": "1/8"}, end={"allowance": "1/8"}, stick=120,
)  # fmt: skip


def lengths(document: Document) -> list[float]:
    return [piece["cut_length"] for piece in layout(document)["pieces"]]


def codes(document: Document) -> list[tuple[str, str]]:
    with pytest.raises(Problems) as refused:
        layout(document)
    return [(one.at, one.code) for one in refused.value.problems]


def test_a_home_run_is_one_whole_stick_and_the_rest() -> None:
    """Its total of 214.100 is another solver's; 120 of it is a stick, and a coupling's stop takes 1/8 (no source)."""
    laid = layout(HOME_RUN)
    assert laid["developed_length"] == pytest.approx(214.100, abs=5e-4)
    assert lengths(HOME_RUN) == pytest.approx([120, 214.100 - 120 - 0.125], abs=5e-4)
    assert [len(piece["marks"]) for piece in laid["pieces"]] == [4, 1]
    assert [piece["gap"] for piece in laid["pieces"]] == [0.125, 0]


def test_every_piece_has_its_own_zero() -> None:
    """The whole run's last mark stands at 155.975 by another solver: less a stick and the coupling's stop."""
    (mark,) = layout(HOME_RUN)["pieces"][1]["marks"]
    assert mark["station"] == pytest.approx(155.975 - 120.125, abs=5e-4)
    assert mark["step"] == 1


def test_a_run_without_a_stick_length_is_one_piece() -> None:
    assert len(lengths({**HOME_RUN, "stick": None})) == 1


# Splitting, against every split there is.


def every_split(ends: Span, places: list[Span], stock: Stock) -> list[tuple[int, int, float]]:
    """Pieces, cuts and the longest off-cut's negative of every split at whole inches."""
    free = [n for n in range(int(ends[0]), int(ends[1])) if any(low <= n <= high for low, high in places)]
    found = []
    for count in range(6):
        for joined in combinations(free, count):
            made = [other - one for one, other in pieces(ends, joined, stock.gap)]
            if (count == 0 or min(made) >= stock.least) and max(made) <= stock.stick:
                found.append((len(made), *_waste(made, stock)))
        if found:
            break
    return found


def _waste(made: list[float], stock: Stock) -> tuple[int, float]:
    cut = [stock.stick - one for one in made if abs(one - stock.stick) > 1e-9]
    return len(cut), -max(cut, default=0.0)


@st.composite
def stretches(draw: Any) -> tuple[Span, list[Span], Stock]:
    """Small enough to try every split: whole inches, so that the best split has its joints at whole inches too."""
    until = draw(st.integers(8, 34))
    marks = draw(st.lists(st.integers(1, until - 1), min_size=0, max_size=8, unique=True))
    marks = sorted(marks)[: len(marks) // 2 * 2]
    places = [(float(low), float(high)) for low, high in zip(marks[::2], marks[1::2], strict=True)]
    gap, least = draw(st.integers(0, 2)), draw(st.integers(1, 3))
    return (0.0, float(until)), places, Stock(float(draw(st.integers(max(5, until // 4), 20))), gap, least)


@settings(max_examples=400, deadline=None)
@given(stretches())
def test_no_split_has_fewer_pieces_or_cuts_or_a_longer_off_cut(asked: tuple[Span, list[Span], Stock]) -> None:
    ends, places, stock = asked
    found, every = joints(ends, places, stock), every_split(ends, places, stock)
    if found is None:
        assert not every
        return
    made = [other - one for one, other in pieces(ends, found, stock.gap)]
    assert max(made) <= stock.stick + 1e-9
    assert all(any(low - 1e-9 <= one <= high + 1e-9 for low, high in places) for one in found)
    assert (len(made), *_waste(made, stock)) == min(every)


def test_most_small_lengths_can_be_split() -> None:
    """Were it not so, the property above would say little."""
    tally = {True: 0, False: 0}

    @settings(max_examples=200, deadline=None, database=None, derandomize=True)
    @given(stretches())
    def count(asked: tuple[Span, list[Span], Stock]) -> None:
        tally[bool(joints(*asked))] += 1

    count()
    assert tally[True] > tally[False] / 4


def test_a_joint_never_leaves_a_sliver() -> None:
    """241 of 120 sticks without a stop: the third piece would be 1 long; it is no shorter than the least piece."""
    found = joints((0, 241), [(4, 237)], Stock(120, 0, 4))
    assert found is not None
    made = [other - one for one, other in pieces((0, 241), found, 0)]
    assert sorted(made) == pytest.approx([4, 117, 120])


# The whole way through a layout.


@st.composite
def long_runs(draw: Any) -> Document:
    """Random runs with long legs, a stick, and now and then asked joints and forbidden stretches."""
    document = draw(runs())
    for one in document["path"][::2]:
        if isinstance(one.get("leg"), int | float) and not one.get("features"):
            one["leg"] += draw(st.sampled_from([0, 40, 130]))
    return {**document, "stick": draw(st.sampled_from([60, 90, 120])), "zero": draw(st.sampled_from(["start", "end"]))}


UNSPLIT = {"no_joint_place"}


def split(document: Document) -> Document:
    try:
        laid = layout(document)
    except Problems as problems:
        if {one.code for one in problems.problems} == UNSPLIT:
            assume(False)
        solved(document)
        raise
    return laid


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(long_runs())
def test_pieces_fold_up_to_the_run(document: Document) -> None:
    laid = split(document)
    path, whole = solved({**document, "stick": None})
    folded = fold(laid)["pieces"]
    assert math.dist(folded[-1]["points"][-1], path.points[-1]) < 1e-6
    assert [bend["pi"] for piece in folded for bend in piece["bends"]] == [
        pytest.approx(bend["pi"], abs=1e-6) for bend in fold(whole)["pieces"][0]["bends"]
    ]


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(long_runs())
def test_cut_lengths_and_gaps_are_the_developed_length(document: Document) -> None:
    laid = split(document)
    used = sum(piece["cut_length"] + piece["gap"] for piece in laid["pieces"])
    assert used == pytest.approx(laid["developed_length"], abs=1e-6)
    assert max(piece["cut_length"] for piece in laid["pieces"]) <= document["stick"] + 1e-6


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(long_runs())
def test_a_coupling_has_its_straight_on_both_sides(document: Document) -> None:
    laid = split(document)
    room = tables.coupling(document["raceway"], document["size"]).room
    for before, after in pairwise(fold(laid)["pieces"]):
        left = before["length"] - (before["bends"][-1]["stations"][1] if before["bends"] else 0)
        right = after["bends"][0]["stations"][0] if after["bends"] else after["length"]
        assert min(left, right) > room - 1e-6


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(long_runs())
def test_the_far_end_of_several_sticks_is_where_their_rounded_marks_bring_it(document: Document) -> None:
    laid = split(document)
    assume(len(laid["pieces"]) > 1)
    path, _ = solved({**document, "stick": None})
    end = fold(laid, rounded=True)["pieces"][-1]["points"][-1]
    (told,) = [one for one in laid["predicted"] if one["what"] == "far_end"]
    assert told["predicted"] == pytest.approx(math.dist(end, path.points[-1]), abs=3e-6)


# Asked and forbidden joints.


def test_an_asked_joint_is_where_the_first_piece_ends() -> None:
    assert lengths({**HOME_RUN, "joint_at": [110]})[0] == pytest.approx(110)
    assert lengths(run(leg(100), joint_at=["40 1/2"])) == pytest.approx([40.5, 100 - 40.5 - 0.125])


def test_a_forbidden_stretch_keeps_joints_and_their_couplings_out() -> None:
    """A sleeve from 100 to 130: the joint stands before it with half a coupling."""
    document = {**HOME_RUN, "no_joint": [[110, 130]]}
    room = tables.coupling("EMT", "3/4").room
    assert lengths(document)[0] <= 110 - room - 0.125


@pytest.mark.parametrize(
    ("more", "fault"),
    [
        ({"joint_at": [156]}, ("joint_at[0]", "no_straight_for_joint")),
        ({"joint_at": [400]}, ("joint_at[0]", "out_of_range")),
        ({"joint_at": [120, 121]}, ("joint_at[1]", "joints_too_close")),
        ({"joint_at": [120], "no_joint": [[115, 125]]}, ("joint_at[0]", "joint_forbidden")),
        ({"no_joint": [[0, 214]]}, ("stick", "no_joint_place")),
        ({"stick": 1}, ("stick", "too_many")),
        ({"stick": 2.25}, ("stick", "no_joint_place")),
        ({"joint_at": [0]}, ("joint_at[0]", "not_positive")),
        ({"joint_at": "120"}, ("joint_at", "not_a_list")),
        ({"no_joint": [[130, 110]]}, ("no_joint[0]", "out_of_order")),
        ({"no_joint": [110]}, ("no_joint[0]", "not_a_pair")),
    ],
)
def test_what_cant_be_joined_is_refused_by_name(more: Document, fault: tuple[str, str]) -> None:
    assert codes({**HOME_RUN, **more}) == [fault]


def test_the_stick_that_would_do_does() -> None:
    """The straight after the offset begins near 94 1/2: a 90 stick doesn't reach it, one a little longer does."""
    with pytest.raises(Problems) as refused:
        layout({**HOME_RUN, "no_joint": [[4.5, 90]], "stick": 90})
    (problem,) = refused.value.problems
    told = problem.text.rsplit("A stick of ", 1)[1].removesuffix(" would do.")
    assert len(lengths({**HOME_RUN, "no_joint": [[4.5, 90]], "stick": told})) >= 2
    with pytest.raises(Problems):
        layout({**HOME_RUN, "no_joint": [[4.5, 90]], "stick": 94})


def test_a_joint_leaves_the_bender_its_hold_where_there_is_room() -> None:
    """The piece after the joint begins with a 90: the hook needs 6 from its end to the arrow, 0.115 before the bend."""
    shoe = {"take_up": 6, "gain": "3 1/4", "hook_grip": 6}
    document = run(leg(125), corner(90), leg(60), size="3/4", bender=shoe, stick=120)
    (mark,) = [mark for piece in layout(document)["pieces"][1:] for mark in piece["marks"]]
    assert mark["station"] >= 6 - 1e-9


# Threads.

RIGID = {"raceway": "RMC", "size": "3/4", "bender": {"take_up": 8, "gain": "3 7/8"}}


def test_threaded_ends_meet_in_their_coupling() -> None:
    laid = layout(run(leg(150), corner(90), leg(40), stick=119.25, **RIGID))
    assert [piece["gap"] for piece in laid["pieces"]] == [0, 0]
    assert [piece["threads"] for piece in laid["pieces"]] == [["end"], ["start"]]


def test_tubing_is_never_threaded_at_a_joint() -> None:
    assert all(piece["threads"] == [] for piece in layout(HOME_RUN)["pieces"])


def test_a_bend_close_to_a_threaded_end_is_a_caution() -> None:
    """Common practice, no source: a die and its head take some 4 of straight on small rigid conduit."""
    near, far = (run(leg(length), corner(90), leg(60), threads=["start"], **RIGID) for length in (9, 14))
    found = [[one["code"] for one in layout(document)["checks"]] for document in (near, far)]
    assert ["thread_room" in one for one in found] == [True, False]
    assert all("thread_before_bending" in one for one in found)


def test_a_run_of_two_hundred_legs_is_joined_in_a_moment() -> None:
    """Some fifty sticks with a bend every few feet; the limit is ten times what it takes, for a busy machine."""
    path: list[Any] = [leg(24)]
    for number in range(199):
        path += [corner(30, ("left", "right")[number % 2]), leg(24)]
    document = run(*path, stick=120)
    before = process_time()
    assert len(layout(document)["pieces"]) > 40
    assert process_time() - before < 2
