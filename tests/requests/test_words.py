"""A run in the trade's words: what each number was measured from and to, and what a newer revision changed."""

import pytest

from shop.requests.words import changed, degrees, on_tape, said

START, END = {"to": "box face, box C-3", "allowance": "1/8"}, {"to": "panel top", "allowance": "0"}


def run(*path, **more):
    return {"format": "run/1", "raceway": "EMT", "size": "3/4", "start": START, "end": END, "path": list(path), **more}


def leg(length, *features):
    return {"leg": length, "features": list(features)}


OFFSET = {"kind": "offset", "at": "20", "from_end": True, "rise": "2 1/2", "turn": "out", "angle": 22.5}


def details(document):
    return {one.place: (one.words, one.detail) for one in said(document)}


def test_a_leg_says_what_it_was_measured_from_and_to():
    found = details(run(leg("58"), {"corner": 90, "turn": "out"}, leg("26 3/4")))
    assert found["path[0].leg"] == ("Leg 1", "box face, box C-3 to back of the 90")
    assert found["path[2].leg"] == ("Leg 2", "back of the 90 to panel top")


@pytest.mark.parametrize(
    ("corner", "more", "words"),
    [
        (90, {}, "back of the 90"),
        (60, {}, "centre of the bend"),
        (90, {"measure": "inside"}, "inside of the 90"),
        (60, {"measure": "back"}, "back of the bend"),
    ],
)
def test_a_corner_is_measured_as_is_usual_unless_the_run_says(corner, more, words):
    found = details(run(leg("58"), {"corner": corner, "turn": "out"}, leg("26"), **more))
    assert found["path[0].leg"][1] == f"box face, box C-3 to {words}"


def test_a_bend_says_from_which_end_of_its_leg_it_was_measured():
    found = details(run(leg("68", OFFSET)))
    assert found["path[0].features[0].at"] == ("Offset: at", "from the leg's end")
    assert found["path[0].features[0].rise"] == ("Offset: rise", "22½°, out")


def test_a_typed_length_is_a_length_only_where_the_tape_shows_it():
    assert (on_tape("5' 2 1/2\""), on_tape("62.53"), on_tape("long")) == (62.5, None, None)


@pytest.mark.parametrize(("typed", "shown"), [("22.5", "22½°"), ("90", "90°"), ("22.25", "22.25°"), ("steep", "steep")])
def test_an_angle_is_read_as_the_trade_writes_it(typed, shown):
    assert degrees(typed) == shown


def test_nothing_is_changed_between_two_writings_of_one_run():
    corner = {"corner": 90, "turn": "out"}
    a = run(leg("58"), corner, leg("26"), measure="back")
    b = run({**leg("58"), "to": "back"}, corner, {**leg("26"), "from": "back"})
    assert changed(a, b) == ()


def test_a_changed_number_stands_beside_what_it_was():
    [change] = changed(run(leg("68", OFFSET)), run(leg("68", OFFSET | {"rise": "3"})))
    assert (change.place, change.old, change.new) == ("path[0].features[0].rise", "2 1/2", "3")


def test_a_row_that_came_has_no_old_and_one_that_went_no_new():
    plain, bent = run(leg("68")), run(leg("68", OFFSET))
    [come], [gone] = changed(plain, bent), changed(bent, plain)
    assert (come.old, come.words, gone.new, gone.words) == ("", "Offset", "", "Offset")


def test_another_conduit_is_a_change():
    [change] = changed(run(leg("68")), run(leg("68"), size="1"))
    assert (change.old, change.new) == ("3/4 EMT", "1 EMT")
