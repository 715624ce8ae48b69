"""What a bender can reach: the trade's own least lengths, step by step, for every order.

The least lengths are common practice, no source, but for the stub marks; each follows from take-up and radius by hand.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings

from bending import swing
from bending.bender import ORDERS, Profile
from bending.envelope import Box, Envelope, Handle
from bending.fold import fold
from bending.layout import layout
from bending.problems import Problems
from tests.bending.documents import HALF_INCH, Document, corner, feature, leg, run, runs

# Size, take-up and gain as measured on hand benders, R + d/2 and 2R + d: the trade's table of least lengths.
SIZES = [
    ("1/2", 5, "2 5/8", 4.8, 9.65), ("3/4", 6, "3 1/4", 5.9, 11.77), ("1", 8, 4, 7.2, 14.38),
    ("1-1/4", 11, "5 5/8", 10.3, 20.69),
]  # fmt: skip
STEP = 1 / 16
KNOWN = {"hook_grip": 1.75, "heel": 8, "straight_small": 0.25, "straight_large": 1.5, "largest_angle": 95}


def bent(document: Document, **limits: Any) -> Document:
    return {**document, "bender": {**HALF_INCH, **limits}}


def whys(document: Document, order: str = "push-through") -> list[str]:
    (offer,) = [one for one in layout(document)["orders"] if one["order"] == order]
    assert offer["can"] is (not offer["why"])
    return [why["code"] for why in offer["why"]]


def working(document: Document) -> set[str]:
    return {one["order"] for one in layout(document)["orders"] if one["can"] and "same_as" not in one}


def of_size(row: tuple[Any, ...], *path: Any, **limits: Any) -> Document:
    size, take_up, gain, *_ = row
    return run(*path, size=size, measure="back", bender={"take_up": take_up, "gain": gain, **limits})


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row[0])
def test_a_stub_is_at_least_the_take_up_and_the_hooks_grip(row: tuple[Any, ...]) -> None:
    least = row[1] + 1.75
    assert whys(of_size(row, leg(least), corner(90), leg(80), hook_grip=1.75)) == []
    assert whys(of_size(row, leg(least - STEP), corner(90), leg(80), hook_grip=1.75)) == ["hook_grip"]


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row[0])
def test_a_ten_inch_stub_can_be_made_up_to_1_inch_and_not_on_1_1_4(row: tuple[Any, ...]) -> None:
    """porcupinepress.com, Stub-Ups: marks at 5, 4 and 2 for 1/2, 3/4 and 1 EMT, and none for 1-1/4."""
    document = of_size(row, leg(10), corner(90), leg(80))
    if row[0] == "1-1/4":
        with pytest.raises(Problems):
            layout(document)
        return
    assert whys(document) == []
    assert layout(document)["pieces"][0]["marks"][0]["at"] == pytest.approx(10 - row[1])


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row[0])
def test_a_far_leg_pushed_through_is_at_least_the_radius_half_the_pipe_and_the_heel(row: tuple[Any, ...]) -> None:
    heel, least = 8, row[3] + 8
    assert whys(of_size(row, leg(40), corner(90), leg(least + 0.05), heel=heel)) == []
    assert whys(of_size(row, leg(40), corner(90), leg(least - 0.05 - STEP), heel=heel)) == ["heel"]


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row[0])
def test_turned_round_the_far_leg_is_a_stub(row: tuple[Any, ...]) -> None:
    limits = {"heel": 8, "hook_grip": 1.75}
    short = of_size(row, leg(60), corner(90), leg(60), corner(90), leg(row[1] + 1.75), **limits)
    assert (whys(short), whys(short, "last-turned"), whys(short, "back-to-back")) == (["heel"], [], [])
    shorter = of_size(row, leg(60), corner(90), leg(60), corner(90), leg(row[1] + 1.75 - STEP), **limits)
    assert whys(shorter, "last-turned") == whys(shorter, "back-to-back") == ["hook_grip"]


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row[0])
def test_back_to_back_is_at_least_two_radii_the_pipe_and_the_straight_between(row: tuple[Any, ...]) -> None:
    legs = leg(40), corner(90), leg(row[4] + 1.5 + 0.01), corner(90), leg(40)
    assert whys(of_size(row, *legs, straight_large=1.5), "back-to-back") == []
    closer = leg(40), corner(90), leg(row[4] + 1.5 - 0.05), corner(90), leg(40)
    assert all("straight_between" in whys(of_size(row, *closer, straight_large=1.5), one) for one in ORDERS[:5])


def test_the_heel_has_one_length_up_to_15_degrees_and_one_above() -> None:
    """A box offset's tail of 4 is enough for a small heel, and a 90's needs the large one."""
    box = run(leg(60, feature("box_offset", at="end", rise="3/8", angle=10, tail=4)))
    heel = {"small": 3, "large": 8}
    assert whys(bent(box, heel=heel)) == []
    assert whys(bent(box, heel=8)) == ["heel"]
    assert whys(bent(run(leg(40), corner(90), leg(12), measure="back"), heel=heel)) == ["heel"]
    assert Profile.from_json({**HALF_INCH, "heel": heel}, "EMT", "1/2").as_json()["heel"] == heel


@pytest.mark.parametrize(("at", "step"), [("start", 2), ("end", 2)])
def test_with_a_long_lead_a_box_offsets_second_arrow_falls_on_its_first_bend(at: str, step: int) -> None:
    """With a lead of 3 the straight of a box offset, 1.4, is short of it: common practice, no source."""
    document = run(leg(60, feature("box_offset", at=at, rise="3/8", angle=10, tail=5)))
    document["bender"] = {"radius": 4.47, "arrow_lead": 3.0, "marks": {"arrow": "a", "centre": "c"}}
    found = layout(document)
    (pushed,) = [one for one in found["orders"] if one["order"] == "push-through"]
    assert [(why["code"], why["at"]) for why in pushed["why"]] == [("arrow_on_bend", "path[0].features[0]")]
    assert working(document) == {"last-turned", "centres"}
    assert step == next(mark["step"] for mark in found["pieces"][0]["marks"] if mark["step"] > 1)


def test_a_saddle_from_its_centre_out_has_its_arrows_on_straight_pipe() -> None:
    """The lead must fit on the slope: 5.35 in is straight there on 3/4 EMT, by the ten runs' third."""
    saddle = leg(98, feature("saddle3", centre=41, rise="2 7/8", angle=45))
    for lead, codes in ((5.3, []), (5.45, ["arrow_on_bend"])):
        document = run(saddle, size="3/4", bender={"radius": 5.423, "arrow_lead": lead})
        assert whys(document, "centre-out") == codes


def test_the_hook_may_lie_on_a_bend_up_to_15_degrees_and_on_no_larger_one() -> None:
    for angle, codes in ((15, []), (22.5, ["hook_on_bend"])):
        document = run(leg(90, feature("offset", at=50, rise=2, angle=angle)))
        assert whys(bent(document, envelope={"hook": 8})) == codes


@pytest.mark.parametrize("zero", ["start", "end"])
def test_opposite_90s_need_the_first_leg_shorter_than_the_floor_is_low(zero: str) -> None:
    """Common practice, no source: on the floor the first leg hangs under the second bend. A leg of 20 to the centre
    ends 20 below the pipe there; so does one of the same way 20 above, and is free."""
    for way, floor, codes in (("right", 19.9, ["strikes_floor"]), ("right", 20.1, []), ("left", 0, [])):
        document = run(leg(20), corner(90, "left"), leg(40), corner(90, way), leg(20), zero=zero)
        assert whys(bent(document, envelope={"floor": floor})) == codes


def test_a_leg_that_starts_level_may_swing_through_the_floor() -> None:
    """Of a Z with a 60 first, the leg hangs down at the start of the second; of a bend sideways nothing hangs."""
    sideways = run(leg(20), corner(90, "left"), leg(40), corner(90, "out"), leg(40))
    assert whys(bent(sideways, envelope={"floor": 0})) == []


def pair(radius: float, apart: float) -> list[swing.Turn]:
    """Two 90s the same way, the first leg 20 long, so much straight between them."""
    first = 20 + radius * math.pi / 2
    second = first + apart
    return [
        swing.Turn(1, 20.0, first, 90.0, 0.0, "start"),
        swing.Turn(2, second, second + radius * math.pi / 2, 90.0, 0.0, "start"),
    ]


@pytest.mark.parametrize(("between", "hit"), [(10, True), (21.9, True), (22.0, False)])
def test_same_way_90s_need_room_for_the_handle(between: float, hit: bool) -> None:
    """By hand: a handle that leans 45 toward the hook meets a leg 20 high, seen from the axis, at 20 before it; half of
    handle and pipe, 1.353, is 1.91 farther along."""
    found = swing.strikes(swing.Shoe(5.0, 0.706), pair(5, between - 5), 200.0, Envelope(handle=Handle(40, 2, 45)))
    assert [one.what for one in found] == (["handle"] if hit else [])


@pytest.mark.parametrize(
    ("box", "hit"),
    [
        (Box((19, 21), (14, 16), (-1, 1)), True),
        (Box((19, 21), (14, 16), (3, 4)), False),
        (Box((22.8, 30), (0, 20), (-1, 1)), False),
        (Box((-12, -11), (0, 10), (-1, 1)), False),
    ],
)
def test_an_earlier_leg_may_strike_the_frame_while_it_swings(box: Box, hit: bool) -> None:
    """By hand: a quarter turn about (0, 5) takes the leg's end from (-10, 25) to (20, 15), on a circle of 22.36."""
    found = swing.strikes(swing.Shoe(5.0, 0.7), pair(5, 5), 90.0, Envelope(frame=(box,)))
    assert [one.what for one in found] == (["frame"] if hit else [])


@pytest.mark.parametrize(
    ("box", "degrees"), [(Box((38, 39), (10, 12), (-1, 1)), 64.7), (Box((30, 36), (10, 12), (-1, 1)), None)]
)
def test_a_leg_behind_the_heel_slides_toward_the_frame(box: Box, degrees: float | None) -> None:
    """By hand: the leg stands 45 behind the shoe and comes 7.85 nearer, radius times a quarter turn; with half a pipe,
    0.35, it meets what ends at 39 after 5.65, which is 64.7 degrees."""
    quarter = 5 * math.pi / 2
    turns = [
        swing.Turn(1, 80.0, 80 + quarter, 90.0, 0.0, "end"),
        swing.Turn(2, 40.0, 40 + quarter, 90.0, 0.0, "start"),
    ]
    found = [one.degrees for one in swing.strikes(swing.Shoe(5.0, 0.7), turns, 120.0, Envelope(frame=(box,)))]
    assert found == ([] if degrees is None else [pytest.approx(degrees, abs=0.1)])


@pytest.mark.parametrize(("length", "hit"), [(38, True), (32, False)])
def test_a_handle_comes_down_on_a_leg_behind_the_heel(length: float, hit: bool) -> None:
    """By hand: upright before the bend, the handle lies level at 90 degrees, and the leg stands 37.15 behind then: a
    handle of 32 ends short of it, one of 38 doesn't."""
    quarter = 5 * math.pi / 2
    turns = [
        swing.Turn(1, 80.0, 80 + quarter, 90.0, 0.0, "end"),
        swing.Turn(2, 40.0, 40 + quarter, 90.0, 0.0, "start"),
    ]
    found = swing.strikes(swing.Shoe(5.0, 0.7), turns, 120.0, Envelope(handle=Handle(length, 2, 0)))
    assert [one.what for one in found] == (["handle"] if hit else [])


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(runs())
def test_when_the_last_bend_is_made_the_swung_pipe_is_the_folded_one(document: Document) -> None:
    """As long from end to end, its last straight as far from its first, and not its mirror: along, up and across are
    a left hand's, so that the sense is the other one."""
    for order in ORDERS[:5]:
        laid = solved({**document, "order": order})
        if laid["pieces"][0]["marks"]:
            folded = fold(laid)["pieces"][0]["points"]
            after = swing.swept(laid, 0, len(laid["pieces"][0]["marks"])).after
            assert math.dist(after[0], after[-1]) == pytest.approx(math.dist(folded[0], folded[-1]), abs=1e-6)
            assert sense(after) == pytest.approx(-sense(folded), abs=1e-4)


def solved(document: Document) -> Document:
    """A run's layout; one that doesn't fit is another test's concern."""
    try:
        return layout(document)
    except Problems:
        assume(False)
        raise


def sense(points: Any) -> float:
    """Volume between the directions of the first and last straight and the line from end to end."""
    first, last = (np.subtract(*pair) for pair in ((points[1], points[0]), (points[-1], points[-2])))
    across = np.subtract(points[-1], points[0])
    return float(np.linalg.det([first / np.linalg.norm(first), across, last / np.linalg.norm(last)]))


def test_a_bend_that_cant_be_made_names_the_order_that_can() -> None:
    document = bent(run(leg(31), corner(90), leg("44 1/4"), corner(90), leg(8), measure="back"), **KNOWN)
    laid = layout(document)
    assert laid["pieces"][0]["order"] == "push-through"
    (found,) = [one for one in laid["checks"] if one["code"] == "heel"]
    assert found["level"] == "cannot"
    assert "turned round" in found["words"]
    assert working(document) == {"last-turned", "back-to-back", "end-for-end"}
    for order in working(document):
        assert not any(one["level"] == "cannot" for one in layout({**document, "order": order})["checks"])


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(runs())
def test_an_order_that_is_offered_has_nothing_against_it_when_it_is_asked_for(document: Document) -> None:
    document = {**document, "bender": {**document["bender"], **KNOWN, "heel": 20, "envelope": {"floor": 6}}}
    for one in solved(document)["orders"]:
        if "order_without_mark" not in [why["code"] for why in one["why"]]:
            found = layout({**document, "order": one["order"]})["checks"]
            held = {why["code"] for why in one["why"]}
            assert {check["code"] for check in found if check["level"] == "cannot"} == held


def test_a_ram_bender_needs_pipe_on_both_sides_of_its_mark() -> None:
    ram = {"marks": {"centre": "centre"}, "hook_grip": 10}
    short = run(leg(10), corner(90), leg(60))
    assert whys(bent(short, **ram), "centres") == ["hook_grip"]
    assert whys(bent({**short, "path": short["path"][::-1]}, **ram), "centres") == ["hook_grip"]
    assert whys(bent(run(leg(14), corner(90), leg(14)), **ram), "centres") == []


def test_without_an_envelope_nothing_swings_and_the_layout_says_so() -> None:
    z = run(leg(20), corner(90, "left"), leg(40), corner(90, "right"), leg(60))
    told = {enveloped: [one["code"] for one in layout(bent(z, **KNOWN, **enveloped_of(enveloped)))["checks"]]
            for enveloped in (True, False)}  # fmt: skip
    assert "not_checked" in told[False]
    assert "not_checked" not in told[True]
    assert "held" in told[True]


def enveloped_of(there: bool) -> Document:
    return {"envelope": {"floor": 30}} if there else {}


@pytest.mark.parametrize(
    ("envelope", "wanted"),
    [
        ({"flor": 3}, ("envelope.flor", "unknown_key")),
        ({"floor": -1}, ("envelope.floor", "out_of_range")),
        ({"hook": "long"}, ("envelope.hook", "not_a_length")),
        ({"handle": {"length": 40, "width": 1}}, ("envelope.handle.upright_at", "missing")),
        ({"handle": {"length": 0, "width": 1, "upright_at": 30}}, ("envelope.handle.length", "not_positive")),
        ({"frame": {}}, ("envelope.frame", "not_a_list")),
        ({"frame": [7]}, ("envelope.frame[0]", "not_an_object")),
        ({"frame": [{"along": [0, 1], "up": [0, 1]}]}, ("envelope.frame[0].across", "missing")),
        ({"frame": [{"along": [2, 1], "up": [0, 1], "across": [0, 1]}]}, ("envelope.frame[0].along", "out_of_range")),
        ({"frame": [{"along": ["x", 1], "up": [0, 1], "across": [0, 1]}]}, ("envelope.frame[0].along", "not_a_length")),
    ],
)
def test_an_envelope_that_means_nothing_is_refused_by_name(envelope: Document, wanted: tuple[str, str]) -> None:
    with pytest.raises(Problems) as refused:
        Profile.from_json({**HALF_INCH, "envelope": envelope}, "EMT", "1/2")
    assert wanted in [(one.at, one.code) for one in refused.value.problems]


def test_an_envelope_is_kept_and_read_back() -> None:
    frame = [{"along": [-6, 12], "up": [-9, -1], "across": [-4, "4 1/2"]}]
    handle = {"length": 38, "width": "1 1/2", "upright_at": 30}
    written = {**HALF_INCH, "envelope": {"floor": 0, "hook": 2, "handle": handle, "frame": frame}}
    profile = Profile.from_json(written, "EMT", "1/2")
    assert profile.envelope == Envelope(0.0, 2.0, Handle(38.0, 1.5, 30.0), (Box((-6, 12), (-9, -1), (-4, 4.5)),))
    assert Profile.from_json(profile.as_json(), "EMT", "1/2") == profile


@pytest.mark.parametrize(
    ("mapping", "wanted"),
    [
        ({"marks": {"star": "star"}}, ("marks", "no_mark")),
        ({"marks": {"arrow": "arrow"}, "order": "back-to-back"}, ("order", "order_without_mark")),
        ({"heel": {"large": 8, "medium": 5}}, ("heel.medium", "unknown_key")),
    ],
)
def test_a_profile_whose_marks_and_order_contradict_each_other_is_refused(
    mapping: Document, wanted: tuple[str, str]
) -> None:
    with pytest.raises(Problems) as refused:
        Profile.from_json({**HALF_INCH, **mapping}, "EMT", "1/2")
    assert wanted in [(one.at, one.code) for one in refused.value.problems]
