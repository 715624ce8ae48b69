"""`over`: what is picked clears by what was asked for, and is an ordinary feature."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from bending.layout import layout
from bending.problems import Problems
from bending.run import parse
from tests.bending.documents import BENDERS, TURNS, Document, corner, feature, leg, run, runs
from tests.bending.printed import of

USUAL = {5, 10, 15, 22.5, 30, 45, 60}
DUCT = {"from": 47, "to": 69, "height": 6, "clear": "1/2"}
PIPE = {"pipe": "2 3/8", "centre": 41, "clear": "1/2"}


def over(**fields: Any) -> Document:
    return feature("over", **fields)


def picked(*features: Document, length: Any = 112, **more: Any) -> list[Document]:
    found: list[Document] = layout(run(leg(length, *features), **more))["picked"]
    return found


def one(*features: Document, **more: Any) -> Document:
    (found,) = picked(*features, **more)
    return found


def gaps(laid: Document) -> list[tuple[float, float]]:
    """Gap and clearance asked for of every obstruction."""
    return [(check["gap"], check["asked"]) for check in laid["checks"] if check["code"] == "clearance"]


def refused(*features: Document, length: Any = 112, **more: Any) -> set[tuple[str, str]]:
    with pytest.raises(Problems) as problems:
        layout(run(leg(length, *features), **more))
    return {(problem.at, problem.code) for problem in problems.value.problems}


# The trade's own two: past a sprinkler main, and across a duct. Expected numbers are sums done by hand in the runs.


def run_of_the_week(number: int) -> Document:
    (found,) = [row["inputs"]["run"] for row in of("ten_runs") if row["inputs"]["run"]["tag"] == f"run {number}"]
    return dict(found)


def test_a_pipe_that_touches_the_wall_is_cleared_by_the_saddle_that_a_man_would_ask_for() -> None:
    """2 3/8 of pipe and 1/2 clear are a rise of 2 7/8: the same bends, marks and cut."""
    asked = run_of_the_week(3)
    (whole,) = asked["path"]
    start, _, end = whole["features"]
    by_over = layout({**asked, "path": [{**whole, "features": [start, over(**PIPE), end]}]})
    assert by_over["pieces"] == layout(asked)["pieces"]
    assert [entry["rise"] for entry in by_over["picked"]] == [2.875]


def test_across_a_duct_the_conduit_is_level_from_edge_to_edge() -> None:
    """6 of duct and 1/2 clear are 6 1/2, level from 47 to 69; 30 is the angle that the run was asked for with."""
    asked = run_of_the_week(4)
    (whole,) = asked["path"]
    laid = layout({**asked, "path": [{**whole, "features": [over(**DUCT)]}]})
    (found,) = laid["picked"]
    assert (found["kind"], found["angle"], found["rise"]) == ("saddle4", 30, 6.5)
    assert (found["feature"]["from"], found["feature"]["to"], found["feature"]["at_is"]) == (47, 69, "level")
    assert gaps(laid) == [(pytest.approx(0.5, abs=1e-6), 0.5)] * 2


# What it clears.


def test_gap_pipe_insulation_and_clearance_add_up_less_the_strap() -> None:
    found = one(over(pipe="2 3/8", centre=50, gap="1/4", clear="1/2", insulation=1, standoff="13/16"))
    assert found["rise"] == pytest.approx(0.25 + 2.375 + 1 + 0.5 - 0.8125)


def test_height_and_clearance_add_up_less_the_strap() -> None:
    assert one(over(**DUCT, standoff="13/16"))["rise"] == pytest.approx(6.5 - 0.8125)


def test_what_is_out_already_needn_t_rise_so_far() -> None:
    offset = feature("offset", at=30, rise=2, angle=30)
    assert one(offset, over(**DUCT))["rise"] == pytest.approx(4.5)


@st.composite
def something_to_clear(draw: st.DrawFn) -> Document:
    """A leg with one thing on it, far from its ends, and a strap."""
    raceway, size, bender, _ = draw(st.sampled_from(BENDERS))
    more = {"clear": draw(st.floats(0, 3)), "turn": draw(TURNS), "standoff": draw(st.floats(0, 0.5)),
            "stay_up": draw(st.booleans()), "from_end": draw(st.booleans())}  # fmt: skip
    if draw(st.booleans()):
        thing = over(pipe=draw(st.floats(0.5, 30)), centre=1000, insulation=draw(st.floats(0, 2)), **more)
    else:
        ends = {"from": 1000, "to": 1000 + draw(st.floats(0.1, 60))}
        thing = over(height=draw(st.floats(0.6, 12)), **ends, **more)
    if draw(st.booleans()):
        thing["angle"] = draw(st.floats(5, 60))
    return {**run(leg(2000, thing)), "raceway": raceway, "size": size, "bender": bender}


@settings(max_examples=200, deadline=None)
@given(something_to_clear())
def test_the_finished_conduit_keeps_what_was_asked_for_and_no_more(document: Document) -> None:
    try:
        laid = layout(document)
    except Problems as problems:
        assert {problem.code for problem in problems.problems} <= {"wont_fit", "nothing_to_clear"}
        assume(False)
    ((gap, asked),) = gaps(laid)
    assert gap == pytest.approx(asked, abs=1e-6)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(runs())
def test_what_is_picked_is_an_ordinary_feature(document: Document) -> None:
    """Asked for by name it gives the same bends."""
    try:
        laid = layout(document)
    except Problems:
        assume(False)
    assume(laid["picked"])
    features = {entry["at"]: entry["feature"] for entry in laid["picked"]}
    path = [dict(item) for item in document["path"]]
    for number, item in enumerate(path):
        places = [f"path[{number}].features[{index}]" for index in range(len(item.get("features", ())))]
        if places:
            item["features"] = [features.get(at, old) for at, old in zip(places, item["features"], strict=True)]
    assert layout({**document, "path": path})["pieces"] == laid["pieces"]


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(runs())
def test_no_other_angle_is_picked_than_the_usual_ones(document: Document) -> None:
    try:
        laid = layout(document)
    except Problems:
        assume(False)
    assert {entry["angle"] for entry in laid["picked"]} <= USUAL


# Which bends.


def test_one_bend_goes_round_a_small_pipe() -> None:
    assert (one(over(**PIPE))["kind"], one(over(**PIPE))["angle"]) == ("saddle3", 45)


def test_round_a_pipe_that_the_bend_is_too_tight_for_go_four() -> None:
    """Half of 12 and half of the conduit are more than its 4.47 radius."""
    assert one(over(pipe=12, centre=60, clear=0), length=200)["kind"] == "saddle4"


def test_told_to_stay_up_it_rises_once() -> None:
    found = one(over(**DUCT, stay_up=True))
    assert (found["kind"], found["to"]) == ("offset", 47)


def test_the_angle_that_was_asked_for_is_taken() -> None:
    assert one(over(**DUCT, angle=22.5))["angle"] == 22.5


def test_a_small_rise_takes_a_flatter_angle() -> None:
    """2 R (1 - cos 22.5) is the least of a three-bend 45: 0.68 with a 4.47 radius."""
    found = one(over(pipe="1/2", centre=50, clear="1/8"))
    assert found["angle"] == 30 and "45" in found["why"]


def test_where_the_leg_is_short_it_goes_up_steeper() -> None:
    """At 30 the slope and its bends take 6.5/tan 30 + 2 x 4.47 tan 15 = 13.65 before the duct; at 45, 10.2."""
    near = {**DUCT, "from": 12, "to": 30}
    assert (one(over(**near))["angle"], one(over(**{**near, "from": 14, "to": 30}))["angle"]) == (45, 30)


def test_neighbours_are_kept_off() -> None:
    saddle = feature("saddle3", centre=20, rise=3, angle=45)
    assert one(saddle, over(**{**DUCT, "from": 42}))["angle"] == 45


def test_two_that_stand_close_are_picked_together() -> None:
    """Each alone would be 30. A slope with its bends takes 11.06 of the leg at 30 and 8.70 at 45, and 20 is between."""
    two = [over(**{"from": 40, "to": 46}, height=4, clear=1), over(**{"from": 66, "to": 72}, height=4, clear=1)]
    assert sorted(entry["angle"] for entry in picked(*two)) == [30, 45]


def test_the_bender_s_straight_between_bends_is_kept() -> None:
    bender = {"take_up": 5, "gain": "2 5/8", "straight_small": 1, "straight_large": 4}
    path = parse(run(leg(112, over(**{"from": 50, "to": 52}, height=6, clear=1)), bender=bender))
    (saddle,) = path.features
    assert saddle.ends - saddle.begins == pytest.approx(4)


def test_an_angle_that_the_shoe_doesn_t_make_isn_t_picked() -> None:
    bender = {"take_up": 5, "gain": "2 5/8", "largest_angle": 25}
    assert one(over(**DUCT), bender=bender)["angle"] == 22.5


def test_any_turn_will_do() -> None:
    laid = layout(run(leg(112, over(**DUCT, turn="left"))))
    assert [mark["roll"] for mark in laid["pieces"][0]["marks"]] == [90, 270, 270, 90]


def test_a_man_s_words_will_do() -> None:
    found = one(over(**DUCT, turn="up"), mount="wall", heads="my right")
    assert found["feature"]["turn"] == 90


def test_places_may_be_measured_from_the_end() -> None:
    near, far = (one(over(**{**DUCT, "from": a, "to": b}, **more))
                 for a, b, more in ((47, 69, {}), (65, 43, {"from_end": True})))  # fmt: skip
    assert (near["from"], near["to"]) == pytest.approx((far["from"], far["to"]))


# What can't be.


def test_what_is_cleared_already_is_refused() -> None:
    assert refused(over(pipe="1/2", centre=50, clear=0, standoff=1)) == {("path[0].features[0]", "nothing_to_clear")}


def test_a_rise_too_small_for_the_asked_angle_is_refused() -> None:
    at = {("path[0].features[0]", "wont_fit")}
    assert refused(over(pipe="1/2", centre=50, clear="1/8", angle=60)) == at


@pytest.mark.parametrize(("where", "code"), [((5, 20), "past_the_end"), ((95, 108), "too_close")])
def test_where_nothing_has_the_room_it_is_refused(where: tuple[float, float], code: str) -> None:
    thing = over(**{**DUCT, "from": where[0], "to": where[1]})
    with pytest.raises(Problems) as problems:
        layout(run(leg(112, thing), corner(90), leg(40)))
    assert {(problem.at, problem.code) for problem in problems.value.problems} == {("path[0].features[0]", code)}


def test_what_the_refusal_says_would_do_does() -> None:
    """At 60 a slope and its bends take 6.5/tan 60 + 2 x 4.47 tan 30 = 8.92 of the leg before the duct."""
    needed = 6.5 / math.tan(math.radians(60)) + 2 * 4.4714 * math.tan(math.radians(30))
    assert refused(over(**{**DUCT, "from": needed - 0.01})) == {("path[0].features[0]", "past_the_end")}
    assert one(over(**{**DUCT, "from": needed + 0.01}))["angle"] == 60


def test_every_over_that_can_t_be_is_told_of() -> None:
    nothing = over(pipe="1/2", centre=50, clear=0, standoff=1)
    with pytest.raises(Problems) as problems:
        layout(run(leg(112, nothing), corner(90), leg(112, nothing)))
    assert {problem.at for problem in problems.value.problems} == {"path[0].features[0]", "path[2].features[0]"}


def test_the_handbook_has_its_own_marks_for_it() -> None:
    books = layout(run(leg(112, over(**PIPE))))["handbook"]
    assert {entry["feature"] for entry in books} == {"path[0].features[0]"}
