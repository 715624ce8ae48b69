"""What stands on a layout: marks in bending order, and everything beside them."""

from __future__ import annotations

import json

import pytest

from bending.layout import layout
from tests.bending.documents import HALF_INCH, corner, feature, leg, run

STUB = run(leg(20), corner(90, "left"), leg(60), measure="back")


def test_a_stubs_mark_is_the_stub_less_the_take_up() -> None:
    """Take-up 5 on 1/2 EMT: NJATC Conduit L1 lesson 5."""
    (mark,) = layout(STUB)["pieces"][0]["marks"]
    assert mark["at"] == pytest.approx(15)
    assert (mark["text"], mark["mark"], mark["hook"], mark["from"]) == ('15"', "arrow", "start", "start")


def test_a_zero_at_the_end_measures_every_mark_from_there_with_the_hook_that_way() -> None:
    (mark,) = layout({**STUB, "zero": "end"})["pieces"][0]["marks"]
    assert mark["at"] == pytest.approx(60 - 5)
    assert (mark["hook"], mark["from"]) == ("end", "end")
    assert mark["station"] == pytest.approx(layout(STUB)["developed_length"] - 55)


def test_the_line_in_the_shoe_is_said_from_the_zero_end() -> None:
    """The pipe bends to its left as one walks it: that line goes in the shoe, and is the right one from behind."""
    assert layout(STUB)["pieces"][0]["marks"][0]["in_shoe"] == "left"
    assert layout({**STUB, "zero": "end"})["pieces"][0]["marks"][0]["in_shoe"] == "right"
    assert layout({**STUB, "zero": "end"})["pieces"][0]["marks"][0]["roll"] == 90


def test_a_ten_degree_offset_of_three_eighths_has_its_marks_two_and_a_quarter_apart() -> None:
    """Common practice, no source: the multiplier of a 10 is 6."""
    one = feature("box_offset", at="start", rise="3/8", angle=10, tail=2)
    first, second = layout(run(leg(60, one)))["pieces"][0]["marks"]
    assert second["at"] - first["at"] == pytest.approx(2.25, abs=0.1)


def test_the_other_end_is_bent_first_from_a_zero_there() -> None:
    one = feature("saddle3", centre=45, rise=3, angle=45, turn="out")
    marks = layout(run(leg(120, one), zero="end"))["pieces"][0]["marks"]
    assert [mark["step"] for mark in marks] == [1, 2, 3]
    assert marks[0]["station"] > marks[1]["station"] > marks[2]["station"]
    assert [mark["angle"] for mark in marks] == pytest.approx([22.5, 45, 22.5])


def test_springback_changes_what_the_hand_bends_to_and_nothing_else() -> None:
    bender = {**HALF_INCH, "springback": {"k": 0.02, "c": 1}}
    (plain,), (sprung,) = (layout({**STUB, "bender": one})["pieces"][0]["marks"] for one in (HALF_INCH, bender))
    assert sprung["bend_to"] == pytest.approx(92.8)
    assert {**sprung, "bend_to": 90.0} == plain


def test_a_metric_tape_pencils_millimetres() -> None:
    piece = layout({**STUB, "tape": "1 mm"})["pieces"][0]
    assert piece["marks"][0]["text"] == "381 mm"


def test_threads_stand_on_the_piece() -> None:
    assert layout({**STUB, "threads": ["start", "end"]})["pieces"][0]["threads"] == ["start", "end"]


def test_fittings_and_conduit_are_counted() -> None:
    ends = {"to": "box face", "fitting": "set-screw connector"}
    told = [one["text"] for one in layout({**STUB, "start": ends, "end": ends})["materials"]]
    assert told == ["1/2 EMT", "1/2 EMT set-screw connector", "1/2 EMT set-screw connector", "1/2 EMT strap"]


def test_the_finished_piece_is_measured_outside_to_outside() -> None:
    """A stub of 20 to its back and a leg of 60 to its back: the piece is as long and as wide as its legs."""
    (piece,) = layout(STUB)["size"]["pieces"]
    assert piece["box"] == pytest.approx([20, 60, 0.706], abs=1e-4)


def test_a_bend_that_turns_back_reaches_past_both_of_its_ends() -> None:
    shape = layout(run(leg(40), corner(90, "left"), leg(40), corner(120, "left"), leg(40)))
    assert shape["size"]["pieces"][0]["box"][0] == pytest.approx(40 + 0.706 / 2, abs=1e-3)


def test_a_run_longer_than_its_stick_is_made_of_two() -> None:
    assert [len(layout({**STUB, "stick": stick})["pieces"]) for stick in (70, 120)] == [2, 1]


def test_a_layout_is_plain_json() -> None:
    laid = layout(STUB)
    assert json.loads(json.dumps(laid)) == laid


def test_a_run_is_read_back_in_words() -> None:
    one = feature("offset", at=30, rise=3, side=-1, angle=30, from_end=True)
    words = layout(run(leg("40 1/2", one), corner(45, "in"), leg(60), start={"to": "box face"}))["reads"]
    for part in (
        "From box face",
        '40 1/2"',
        "a 45 in",
        'an offset out 3" and 1" to the right of that at 30°',
        "from the leg's end",
    ):
        assert part in words
