"""Every order: the same bends, each with its own mark and hook."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings

from bending.bender import ORDERS
from bending.fold import fold
from bending.layout import layout
from bending.lengths import format_length
from bending.problems import Problems
from tests.bending.documents import HALF_INCH, THREE_QUARTER, Document, corner, feature, leg, run, runs

EVERY_MARK = {kind: kind for kind in ("arrow", "notch", "star", "centre")}
U = run(leg(31), corner(90), leg("44 1/4"), corner(90), leg(31), measure="back")
BOX = {"rise": "3/8", "angle": 10, "tail": 2}
SADDLE = feature("saddle3", centre=41, rise="2 7/8", angle=45)
BOX_TO_BOX = run(
    leg(98, feature("box_offset", at="start", **BOX), SADDLE, feature("box_offset", at="end", **BOX)),
    size="3/4", bender=THREE_QUARTER, measure="back", start={"allowance": "1/8"}, end={"allowance": "1/8"},
)  # fmt: skip


def on_every_mark(document: Document, **more: Any) -> Document:
    return {**document, "bender": {**document["bender"], "marks": EVERY_MARK, "order": "push-through"}, **more}


def marks(document: Document, order: str, **more: Any) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = layout(on_every_mark(document, order=order, **more))["pieces"][0]["marks"]
    return found


def layout_of(document: Document, order: str) -> dict[str, Any]:
    """A run's layout in one order; one that doesn't fit is another test's concern."""
    try:
        return layout(on_every_mark(document, order=order))
    except Problems:
        assume(False)
        raise


def points(laid: dict[str, Any], rounded: bool = False) -> list[list[float]]:
    return [point for piece in fold(laid, rounded=rounded)["pieces"] for point in piece["points"]]


def told(found: list[dict[str, Any]], *keys: str) -> list[tuple[Any, ...]]:
    return [tuple(mark[key] for key in keys) for mark in found]


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(runs())
def test_every_order_of_a_run_folds_to_the_same_path(document: Document) -> None:
    """That pushing through folds to the described one is another test's."""
    laid = {order: layout_of(document, order) for order in ORDERS}
    wanted = points(laid["push-through"])
    for order in ORDERS:
        found = points(laid[order])
        assert len(found) == len(wanted)
        assert max(math.dist(*pair) for pair in zip(found, wanted, strict=True)) < 1e-6


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(runs())
def test_the_pencilled_marks_of_every_order_bring_the_end_where_the_layout_says(document: Document) -> None:
    for order in ORDERS:
        laid = layout_of(document, order)
        off = math.dist(points(laid, rounded=True)[-1], points(laid)[-1])
        (far,) = [one for one in laid["predicted"] if one["what"] == "far_end"]
        assert far["predicted"] == pytest.approx(off, abs=2e-6)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("zero", ["start", "end"])
def test_every_bend_is_made_once(order: str, zero: str) -> None:
    found = marks(BOX_TO_BOX, order, zero=zero)
    assert sorted(mark["step"] for mark in found) == list(range(1, 8))
    assert sorted(round(mark["angle"], 6) for mark in found) == [10, 10, 10, 10, 22.5, 22.5, 45]


def test_the_last_bend_turned_round_has_its_hook_far_and_its_arrow_past_the_bend() -> None:
    """A stub of 31 from its far end: 31 less the take-up of 5 (NJATC Conduit L1 lesson 5), from the other end."""
    laid = layout(on_every_mark(U, order="last-turned"))
    first, last = laid["pieces"][0]["marks"]
    assert (first["mark"], first["hook"], last["mark"], last["hook"]) == ("arrow", "start", "arrow", "end")
    assert last["from"] == "start"
    assert laid["pieces"][0]["cut_length"] - last["station"] == pytest.approx(31 - 5)


def test_a_saddle_from_its_centre_out_as_hands_are_taught_it() -> None:
    """Goodheart-Willcox, Modern Residential Wiring, 2015, p. 91, for 1/2 EMT: the centre on the notch, 3/16 farther for
    each inch of rise; the outer marks 2-1/2 an inch either side, on the arrow, hooks toward the centre."""
    found = marks(run(leg(60, feature("saddle3", centre=30, rise=2, angle=45))), "centre-out")
    assert told(found, "mark", "hook", "angle") == [
        ("notch", "start", 45), ("arrow", "end", 22.5), ("arrow", "start", 22.5),
    ]  # fmt: skip
    assert [mark["at"] for mark in found] == pytest.approx([30.375, 25.375, 35.375], abs=1 / 8)


def test_the_notch_is_the_centre_of_a_45_and_of_no_other_bend() -> None:
    for angle, same in ((45, True), (60, False), (30, False)):
        document = run(leg(80, feature("saddle3", centre=40, rise=3, angle=angle)))
        notch, centre = marks(document, "centre-out")[0], marks(document, "centres")[1]
        assert (notch["mark"], centre["mark"], centre["hook"]) == ("notch", "centre", "none")
        assert (abs(notch["station"] - centre["station"]) < 1e-9) is same


def test_a_worked_saddle_between_two_box_offsets_from_its_centre_out() -> None:
    """The third of the ten runs, by the other solver: 41 7/16 on the notch, 34 1/16 and 48 13/16 with the hooks to it.
    Pushed through the first of them is 31 11/16: the mark moves with the hook."""
    centre, near, far = marks(BOX_TO_BOX, "centre-out")[2:5]
    assert (centre["text"], near["text"], far["text"]) == ('41 7/16"', '34 1/16"', '48 13/16"')
    assert marks(BOX_TO_BOX, "push-through")[2]["text"] == '31 11/16"'


@pytest.mark.parametrize("zero", ["start", "end"])
@pytest.mark.parametrize("turns", [("left", "left"), ("left", "right"), ("left", "out")])
def test_back_to_back_the_star_stands_at_the_outside_to_outside_length(zero: str, turns: tuple[str, str]) -> None:
    """Goodheart-Willcox, Modern Residential Wiring, 2011, p. 86: the star on the mark, measured from the back of the
    first bend, the bender turned round."""
    document = run(leg(31), corner(90, turns[0]), leg("44 1/4"), corner(90, turns[1]), leg(20), measure="back")
    found = marks(document, "back-to-back", zero=zero)
    assert told(found, "mark", "from") == [("arrow", zero), ("star", "back of step 1")]
    assert found[1]["hook"] != zero
    assert found[1]["at"] == pytest.approx(44.25)
    assert found[1]["text"] == '44 1/4"'


def test_each_of_three_90s_is_laid_out_from_the_one_before() -> None:
    document = run(leg(31), corner(90), leg(40), corner(90), leg(50), corner(90), leg(31), measure="back")
    found = marks(document, "back-to-back")
    assert told(found, "from", "text") == [
        ("start", '26"'), ("back of step 1", '40"'), ("back of step 2", '50"'),
    ]  # fmt: skip


def test_a_star_from_the_finished_back_swallows_the_first_bends_error() -> None:
    """An eighth too far on the first mark moves both 90s by an eighth: the distance between their backs stays."""
    laid = layout(on_every_mark(U, order="back-to-back"))
    laid["pieces"][0]["marks"][0]["text"] = '26 1/8"'
    off = fold(laid, rounded=True)["pieces"][0]["points"]
    true = fold(laid)["pieces"][0]["points"]
    assert math.dist(off[0], off[1]) - math.dist(true[0], true[1]) == pytest.approx(1 / 8)
    assert math.dist(off[1], off[2]) == pytest.approx(math.dist(true[1], true[2]))


def test_a_90_after_another_angle_is_pushed_through() -> None:
    document = run(leg(31), corner(45), leg(40), corner(90), leg(31))
    assert {mark["mark"] for mark in marks(document, "back-to-back")} == {"arrow"}


@pytest.mark.parametrize("zero", ["start", "end"])
def test_end_for_end_has_two_zeros_and_each_line_is_said_from_its_own(zero: str) -> None:
    """A U of two equal legs: the same mark, 31 less 5, from either end. As one looks from either end the first leg
    bends to one hand, so one of them is left and the other right."""
    found = marks(U, "end-for-end", zero=zero)
    assert [mark["text"] for mark in found] == ['26"', '26"']
    assert [mark["from"] for mark in found] == [mark["hook"] for mark in found]
    assert found[0]["from"] == zero
    assert {mark["from"]: mark["in_shoe"] for mark in found} == {"start": "left", "end": "right"}


def test_end_for_end_keeps_a_features_bends_with_one_zero() -> None:
    found = marks(BOX_TO_BOX, "end-for-end")
    zeros = {mark["feature"]: set() for mark in found}
    for mark in found:
        zeros[mark["feature"]].add(mark["from"])
    assert all(len(one) == 1 for one in zeros.values())
    assert {mark["from"] for mark in found} == {"start", "end"}
    assert [mark["text"] for mark in found[:2]] == [mark["text"] for mark in found[-2:]]


def test_on_a_ram_bender_every_mark_is_the_middle_of_its_bend() -> None:
    """NAVEDTRA 14026's hydraulic bender takes the middle of the bend: half the arc either side of the mark."""
    ram = {**HALF_INCH, "marks": {"centre": "centre of the shoe"}}
    laid = layout({**U, "bender": ram})
    piece = laid["pieces"][0]
    assert piece["order"] == "centres"
    for mark, bend in zip(piece["marks"], fold(laid)["pieces"][0]["bends"], strict=True):
        assert mark["station"] == pytest.approx(sum(bend["stations"]) / 2)


@pytest.mark.parametrize(
    ("marks", "order", "wanted"),
    [
        ({"arrow": "arrow"}, "centre-out", ("order", "order_without_mark")),
        ({"arrow": "arrow"}, "back-to-back", ("order", "order_without_mark")),
        ({"centre": "centre"}, "push-through", ("order", "order_without_mark")),
        ({"arrow": "arrow", "notch": "notch"}, "centres", ("order", "order_without_mark")),
    ],
)
def test_an_order_whose_mark_the_bender_hasnt_got_is_refused(
    marks: Document, order: str, wanted: tuple[str, str]
) -> None:
    document = {**U, "bender": {**HALF_INCH, "marks": marks}, "order": order}
    with pytest.raises(Problems) as refused:
        layout(document)
    assert [(one.at, one.code) for one in refused.value.problems] == [wanted]


def test_folding_measures_from_the_back_on_the_side_that_the_bend_lies_on() -> None:
    """A first bend that is set with its hook far has its mark past it; the second still lies beyond both."""
    laid = layout(on_every_mark(U, order="back-to-back"))
    first = laid["pieces"][0]["marks"][0]
    bend = fold(laid)["pieces"][0]["bends"][0]
    station = bend["stations"][1] + 60
    first.update(hook="end", station=station, text=format_length(station))
    laid["bender"]["arrow_lead"] = 60.0
    with_lead = fold(laid)["pieces"][0]["bends"]
    assert with_lead[0]["stations"] == pytest.approx(bend["stations"])
    rounded = fold(laid, rounded=True)["pieces"][0]["bends"]
    gap = with_lead[1]["stations"][0] - with_lead[0]["stations"][1]
    assert rounded[1]["stations"][0] - rounded[0]["stations"][1] == pytest.approx(gap, abs=1 / 32)
